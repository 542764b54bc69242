//! Random surveys, stock lists and settings, as values.

use super::tables::{FLUIDS, NECKS};
use crate::random::Random;

/// Lengths in mm, volumes in ml, masses in g; rounded to a tenth, so that the file holds exactly these values.
pub struct OracleSpecimen {
    pub number: String,
    /// Length, width, height; `None` = taken from the present vessel.
    pub size: Option<[f64; 3]>,
    pub present: Option<usize>,
    pub rounded: bool,
    pub posture: &'static str,
    pub individuals: u32,
    pub tissue_ml: Option<f64>,
    pub mass_g: Option<f64>,
    pub body_factor: Option<f64>,
    pub fluid: usize,
    pub keep_years: Option<u32>,
    pub display: &'static str,
    pub clearance: Option<f64>,
    pub max_vessels: u32,
    pub max_outer_height: Option<f64>,
    pub give_pct: f64,
    pub must_use: Vec<usize>,
    pub must_not_use: Vec<usize>,
    pub current_fluid: Option<usize>,
    pub strength_pct: Option<f64>,
    pub current_ml: Option<f64>,
}

/// A plan shape.
#[derive(Clone, Copy, Debug)]
pub enum PlanShape {
    Round(f64),
    Oblong(f64, f64),
}

#[derive(Clone, Copy, Debug)]
pub enum OracleMouth {
    Full,
    Measured(PlanShape),
    Neck(usize),
}

pub struct OracleVessel {
    pub id: String,
    pub section: PlanShape,
    pub inner_height: f64,
    pub body_height: Option<f64>,
    pub mouth: OracleMouth,
    pub capacity_ml: Option<f64>,
    pub material: usize,
    pub closure: usize,
    pub on_hand: u32,
    pub on_order: u32,
    pub reserve: u32,
    pub unit_price: Option<f64>,
    pub order_limit: Option<u32>,
    pub outer_height: Option<f64>,
}

/// Percentages as in the file, lengths in mm.
#[derive(Clone, Debug)]
pub struct OracleSettings {
    pub keep_years: u32,
    pub accept_unproven: bool,
    pub controlled: bool,
    pub leaning: bool,
    pub turning: bool,
    pub renewals: bool,
    /// Per cent, minimum, maximum.
    pub wall: [f64; 3],
    pub mouth: [f64; 3],
    pub cover: [f64; 3],
    pub floor: f64,
    pub coil_core: f64,
    pub coil_core_least: f64,
    pub controlled_pct: f64,
    pub uncontrolled_pct: f64,
    pub sealed_pct: f64,
    pub aqueous_pct: f64,
    pub headspace_least: f64,
    pub share_pct: f64,
    pub density: f64,
    pub high_rounded: f64,
    pub high_box: f64,
    pub low: f64,
    pub exchange_pct: f64,
    pub weaker_pct: f64,
    pub baths_in_vessel: bool,
    pub tub_ratio: f64,
    pub reuse: bool,
    pub loss_pct: f64,
    pub tax_pct: f64,
}

impl Default for OracleSettings {
    /// The documented defaults.
    fn default() -> Self {
        Self {
            keep_years: 10,
            accept_unproven: false,
            controlled: false,
            leaning: false,
            turning: false,
            renewals: false,
            wall: [5.0, 0.5, 10.0],
            mouth: [10.0, 1.0, 10.0],
            cover: [10.0, 2.0, 10.0],
            floor: 0.0,
            coil_core: 3.0,
            coil_core_least: 2.0,
            controlled_pct: 5.0,
            uncontrolled_pct: 8.0,
            sealed_pct: 10.0,
            aqueous_pct: 3.0,
            headspace_least: 10.0,
            share_pct: 30.0,
            density: 1.05,
            high_rounded: 0.52,
            high_box: 0.60,
            low: 0.20,
            exchange_pct: 75.0,
            weaker_pct: 7.0,
            baths_in_vessel: false,
            tub_ratio: 5.0,
            reuse: false,
            loss_pct: 0.0,
            tax_pct: 0.0,
        }
    }
}

impl Random {
    fn happens(&mut self, share: f64) -> bool {
        self.share() < share
    }

    fn position(&mut self, limit: usize) -> usize {
        (self.share() * limit as f64) as usize
    }

    pub fn one<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.position(of.len())]
    }

    /// Uniform between the two, to a tenth.
    fn tenths(&mut self, least: f64, most: f64) -> f64 {
        tenth(least + (most - least) * self.share())
    }

    /// Log-uniform between the two, to a tenth.
    fn scaled(&mut self, least: f64, most: f64) -> f64 {
        tenth(least * (most / least).powf(self.share()))
    }

    fn maybe(&mut self, share: f64, least: f64, most: f64) -> Option<f64> {
        let drawn = self.tenths(least, most);
        self.happens(share).then_some(drawn)
    }
}

fn tenth(number: f64) -> f64 {
    (number * 10.0).round().max(1.0) / 10.0
}

impl PlanShape {
    pub fn area(self) -> f64 {
        match self {
            PlanShape::Round(bore) => std::f64::consts::PI * bore * bore / 4.0,
            PlanShape::Oblong(length, width) => length * width,
        }
    }

    /// The larger and the smaller inner width.
    pub fn widths(self) -> (f64, f64) {
        match self {
            PlanShape::Round(bore) => (bore, bore),
            PlanShape::Oblong(length, width) => (length.max(width), length.min(width)),
        }
    }
}

impl OracleVessel {
    pub fn mouth(&self) -> PlanShape {
        match self.mouth {
            OracleMouth::Full => self.section,
            OracleMouth::Measured(shape) => shape,
            OracleMouth::Neck(neck) => PlanShape::Round(NECKS[neck].1),
        }
    }

    pub fn body_height(&self) -> f64 {
        self.body_height.unwrap_or(self.inner_height)
    }

    /// The stated capacity, else from the inner measures.
    pub fn brimful_ml(&self) -> f64 {
        self.capacity_ml.unwrap_or_else(|| {
            let neck = self.inner_height - self.body_height();
            (self.section.area() * self.body_height() + self.mouth().area() * neck) / 1000.0
        })
    }

    pub fn random(random: &mut Random, number: usize) -> Self {
        let first = random.scaled(18.0, 320.0);
        let section = match random.happens(0.5) {
            true => PlanShape::Round(first),
            false => PlanShape::Oblong(first, tenth(first * (0.4 + 0.8 * random.share()))),
        };
        let inner_height = random.scaled(30.0, 420.0);
        let smaller = section.widths().1;
        let narrow = |random: &mut Random, width: f64| tenth(width * (0.5 + 0.45 * random.share()));
        let mouth = match random.position(4) {
            0 => OracleMouth::Measured(PlanShape::Round(narrow(random, smaller))),
            1 => match section {
                PlanShape::Round(_) => {
                    (0..NECKS.len()).rfind(|i| NECKS[*i].1 <= smaller).map_or(OracleMouth::Full, OracleMouth::Neck)
                }
                PlanShape::Oblong(length, width) => {
                    OracleMouth::Measured(PlanShape::Oblong(narrow(random, length), narrow(random, width)))
                }
            },
            _ => OracleMouth::Full,
        };
        let shoulder = !matches!(mouth, OracleMouth::Full) && random.happens(0.7);
        let body_height = shoulder.then(|| tenth(inner_height * (0.6 + 0.35 * random.share())));
        let mut vessel = Self {
            id: format!("v-{number:02}"),
            section,
            inner_height,
            body_height,
            mouth,
            capacity_ml: None,
            material: random.one(&[0, 0, 0, 0, 0, 0, 1, 1, 2, 3, 4]),
            closure: random.one(&[0, 0, 0, 0, 0, 0, 1, 1, 2, 3, 4]),
            on_hand: 0,
            on_order: 0,
            reserve: 0,
            unit_price: None,
            order_limit: None,
            outer_height: None,
        };
        let share = 0.9 + 0.35 * random.share();
        vessel.capacity_ml = random.happens(0.3).then(|| tenth(vessel.brimful_ml() * share));
        vessel.unit_price = random.happens(0.75).then(|| random.tenths(0.5, 90.0));
        vessel.order_limit = random.happens(0.2).then(|| random.position(3) as u32);
        if random.happens(0.5) {
            vessel.on_hand = random.position(6) as u32;
            vessel.on_order = random.position(3) as u32;
            vessel.reserve = random.position(4) as u32;
        }
        vessel.outer_height = random.happens(0.6).then(|| tenth(inner_height + 5.0 + 20.0 * random.share()));
        vessel
    }
}

impl OracleSpecimen {
    /// A size relative to one of the vessels, from far too small to a little too large for it.
    pub fn random(random: &mut Random, number: usize, vessels: &[OracleVessel]) -> Self {
        let model = random.position(vessels.len());
        let (larger, smaller) = vessels[model].section.widths();
        let mut share = |least: f64, most: f64| least + (most - least) * random.share();
        let mut size = [larger * share(0.15, 1.0), smaller * share(0.15, 0.95), smaller.min(larger) * share(0.1, 0.9)];
        let height = vessels[model].inner_height;
        // Any of the three measures may be the one along the vessel's height.
        let vertical = random.position(3);
        size[vertical] = height * (0.2 + 0.85 * random.share());
        let mut posture = random.one(&["as-set", "upright", "either", "any", "any", "any", "coil"]);
        if posture == "coil" {
            let thickness = smaller * (0.03 + 0.22 * random.share());
            size = [thickness * (4.0 + 40.0 * random.share()), thickness, thickness * (0.6 + 0.5 * random.share())];
        }
        if random.happens(0.2) {
            // A rod about as long as the vessel is high: it may have to lean.
            let thin = |random: &mut Random| smaller * (0.03 + 0.15 * random.share());
            size = [height * (0.75 + 0.35 * random.share()), thin(random), thin(random)];
            posture = random.one(&["upright", "either"]);
        }
        let size = size.map(tenth);
        let individuals = if random.happens(0.6) { 1 + random.position(12) as u32 } else { 1 };
        let blank = random.happens(0.12);
        // An upper limit of the row's fluid: its envelopes, or its present vessel.
        let room = match blank {
            true => 0.5 * vessels[model].brimful_ml(),
            false => size.iter().product::<f64>() / 1000.0 * f64::from(individuals),
        };
        let tissue = room * (0.1 + 0.8 * random.share());
        let known = random.position(6);
        let tissue_cell = ((tissue * 1000.0).floor() / 1000.0).max(0.001);
        let several =
            |random: &mut Random| (0..1 + random.position(4)).map(|_| random.position(vessels.len())).collect();
        let must_use: Vec<usize> = if random.happens(0.1) { several(random) } else { Vec::new() };
        let must_not_use = if must_use.is_empty() && random.happens(0.1) { several(random) } else { Vec::new() };
        let fluid = random.position(FLUIDS.len());
        let current_fluid = match random.position(4) {
            0 => Some(fluid),
            1 | 2 => Some(random.position(FLUIDS.len())),
            _ => None,
        };
        let full = current_fluid.unwrap_or(fluid);
        let strength_pct = FLUIDS[full].strength_pct.filter(|_| random.happens(0.5));
        let strength_pct = strength_pct.map(|full| tenth(full * random.tenths(0.3, 1.0)));
        let current_ml = random.happens(0.5).then(|| tenth(room * random.tenths(0.2, 6.0)));
        Self {
            number: format!("s-{number:02}"),
            size: (!blank).then_some(size),
            present: (blank || random.happens(0.1)).then_some(model),
            rounded: random.happens(0.5),
            posture,
            individuals,
            tissue_ml: (known == 0).then_some(tissue_cell),
            mass_g: (known == 1).then_some(tissue_cell),
            body_factor: (known == 2 && !blank).then(|| (10.0 + 70.0 * random.share()).round() / 100.0),
            fluid,
            keep_years: random.happens(0.6).then(|| random.one(&[1, 2, 3, 5, 8])),
            display: random.one(&["no", "no", "no", "clear", "flat"]),
            clearance: random.maybe(0.15, 0.2, 6.0),
            max_vessels: if random.happens(0.6) { 1 + random.position(6) as u32 } else { 1 },
            max_outer_height: random.maybe(0.25, height * 0.6, height * 2.0),
            give_pct: if random.happens(0.2) { random.one(&[5.0, 10.0, 20.0]) } else { 0.0 },
            must_use,
            must_not_use,
            current_fluid,
            strength_pct,
            current_ml,
        }
    }
}

impl OracleSettings {
    /// The defaults, or random values of all settings.
    pub fn random(random: &mut Random) -> Self {
        let mut settings = OracleSettings {
            accept_unproven: random.happens(0.7),
            controlled: random.happens(0.5),
            leaning: random.happens(0.5),
            turning: random.happens(0.5),
            renewals: random.happens(0.5),
            baths_in_vessel: random.happens(0.5),
            reuse: random.happens(0.5),
            ..OracleSettings::default()
        };
        if random.happens(0.5) {
            settings.keep_years = random.one(&[3, 6, 12]);
            settings.wall = [random.tenths(2.0, 8.0), random.tenths(0.1, 1.5), random.tenths(4.0, 14.0)];
            settings.mouth = [random.tenths(4.0, 14.0), random.tenths(0.5, 2.0), random.tenths(4.0, 14.0)];
            settings.cover = [random.tenths(4.0, 14.0), random.tenths(0.5, 4.0), random.tenths(5.0, 14.0)];
            settings.floor = random.tenths(0.1, 5.0);
            settings.coil_core = random.tenths(1.5, 4.0);
            settings.coil_core_least = random.tenths(1.0, 4.0).min(settings.coil_core);
            settings.controlled_pct = random.tenths(4.0, 7.0);
            settings.uncontrolled_pct = random.tenths(6.0, 10.0);
            settings.sealed_pct = random.tenths(8.0, 14.0);
            settings.aqueous_pct = random.tenths(1.0, 5.0);
            settings.headspace_least = random.tenths(4.0, 14.0);
            settings.share_pct = random.tenths(20.0, 40.0);
            settings.density = 1.07;
            settings.high_rounded = 0.48;
            settings.high_box = 0.66;
            settings.low = 0.17;
            settings.exchange_pct = random.tenths(50.0, 90.0);
            settings.weaker_pct = random.tenths(3.0, 12.0);
            settings.tub_ratio = random.tenths(2.0, 10.0);
            settings.loss_pct = random.tenths(0.5, 8.0);
            settings.tax_pct = random.tenths(5.0, 25.0);
        }
        settings
    }
}
