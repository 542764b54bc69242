//! Families of listed vessels: those of one form, material and closure, with the proportions that they share.
//!
//! Each proportion is the median of the family's members, which one odd member does not move. Bodies differ most in how high they
//! are for their width, so a family has up to three heights: that of its lowest, its middle and its highest member.

use std::collections::BTreeMap;

use crate::project::Project;
use crate::rules::{ClosureId, MaterialId};
use crate::stock::{Section, Vessel, VesselId};
use crate::units::{Length, Volume};

/// The form of a body seen from above.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BodyForm {
    /// Round.
    Round,
    /// Rectangular.
    Rectangular,
}

impl BodyForm {
    /// The form of a section.
    pub fn of(section: Section) -> BodyForm {
        match section {
            Section::Round(_) => BodyForm::Round,
            Section::Rectangular(..) => BodyForm::Rectangular,
        }
    }

    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            BodyForm::Round => "cylinder",
            BodyForm::Rectangular => "rectangular",
        }
    }
}

/// What makes vessels a family.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct FamilyKind {
    /// BodyForm of the body.
    pub form: BodyForm,
    /// Material of the body.
    pub material: MaterialId,
    /// The closure.
    pub closure: ClosureId,
}

/// A family of listed vessels.
#[derive(Clone, Debug, PartialEq)]
pub struct VesselFamily {
    /// What its members share.
    pub kind: FamilyKind,
    /// Smallest and largest of the longer inner sides, or bores.
    pub sides: (Length, Length),
    high: (Length, Length),
    capacities: (Volume, Volume),
    /// Inner heights as a share of the longer side: lowest, middle and highest member, without those that are alike.
    pub heights: Vec<f64>,
    narrower: f64,
    mouth: (BodyForm, f64),
    body: f64,
    brimful: f64,
    lid: Option<Length>,
    /// Litres, and price of a piece, of each of its offers.
    pub prices: Vec<(f64, f64)>,
}

impl VesselFamily {
    /// The families of which some vessel has a price, or where none has, all; by form, material and closure.
    pub fn all(project: &Project) -> Vec<VesselFamily> {
        let mut members: BTreeMap<FamilyKind, Vec<VesselId>> = BTreeMap::new();
        for (id, vessel) in project.stock.listed() {
            let kind =
                FamilyKind { form: BodyForm::of(vessel.section), material: vessel.material, closure: vessel.closure };
            members.entry(kind).or_default().push(id);
        }
        let families: Vec<VesselFamily> = members.iter().filter_map(|(kind, of)| family(project, *kind, of)).collect();
        let any = families.iter().any(|family| !family.prices.is_empty());
        families.into_iter().filter(|family| !any || !family.prices.is_empty()).collect()
    }

    /// Whether the height and the capacity of a vessel are near those of the family: from two thirds of the lowest to one and a half of
    /// the highest, and from half the smallest to twice the largest (common practice, no source).
    pub fn is_near(&self, vessel: &Vessel) -> bool {
        let (lowest, highest) = self.high;
        let (smallest, largest) = self.capacities;
        (lowest.mm() / 1.5..=highest.mm() * 1.5).contains(&vessel.inner_height.mm())
            && (smallest.ml() / 2.0..=largest.ml() * 2.0).contains(&vessel.brimful.ml())
    }

    /// A vessel of the family whose longer side and height are at least these, rounded up to multiples of `round`.
    pub fn vessel(&self, longer: Length, height: f64, round: Length) -> Vessel {
        let up = |length: f64| Length::at_least_zero((length / round.mm() - 1e-9).ceil() * round.mm());
        // A manufacturer states whole millimetres, and what is stated is there.
        let down = |length: f64| Length::at_least_zero((length + 1e-9).floor());
        let longer = up(longer.mm());
        let section = match self.kind.form {
            BodyForm::Round => Section::Round(longer),
            BodyForm::Rectangular => Section::Rectangular(longer, up(longer.mm() * self.narrower).min(longer)),
        };
        let inner_height = up(longer.mm() * height);
        let body_height = down(inner_height.mm() * self.body).min(inner_height);
        let (mouth_form, mouth) = self.mouth;
        let mouth = match mouth_form {
            BodyForm::Round => Section::Round(down(section.smaller().mm() * mouth).min(section.smaller())),
            BodyForm::Rectangular => Section::Rectangular(
                down(section.larger().mm() * mouth).min(section.larger()),
                down(section.smaller().mm() * mouth).min(section.smaller()),
            ),
        };
        let geometric = Vessel::geometric_volume(section, body_height, mouth, inner_height);
        let brimful = geometric.ml() * self.brimful;
        // Three figures or more.
        let step = if brimful >= 100.0 { 1.0 } else { 0.1 };
        Vessel {
            id: String::new(),
            line: 0,
            description: String::new(),
            section,
            inner_height,
            body_height,
            mouth,
            mouth_assumed: false,
            brimful: Volume::at_least_zero((brimful / step).floor() * step),
            material: self.kind.material,
            closure: self.kind.closure,
            on_hand: 0,
            on_order: 0,
            reserve: 0,
            outer_height: self.lid.map(|lid| Length::at_least_zero((inner_height + lid).mm().ceil())),
            outer_width: None,
            empty_mass: None,
            carried: Vec::new(),
        }
    }
}

/// A family of these members; `None` if none has an inside.
fn family(project: &Project, kind: FamilyKind, members: &[VesselId]) -> Option<VesselFamily> {
    let vessels: Vec<&Vessel> = members.iter().map(|id| project.stock.vessel(*id)).collect();
    let has_inside = |vessel: &&Vessel| {
        vessel.section.smaller() > Length::ZERO && vessel.inner_height > Length::ZERO && vessel.brimful.ml() > 0.0
    };
    let vessels: Vec<&Vessel> = vessels.into_iter().filter(has_inside).collect();
    let of = |share: fn(&Vessel) -> f64| median(vessels.iter().map(|vessel| share(vessel)).collect());
    let sides = || vessels.iter().map(|vessel| vessel.section.larger());
    let high = || vessels.iter().map(|vessel| vessel.inner_height);
    let capacities = || vessels.iter().map(|vessel| vessel.brimful);
    let round = vessels.iter().filter(|vessel| BodyForm::of(vessel.mouth) == BodyForm::Round).count();
    let mouth_form = if round * 2 >= vessels.len() { BodyForm::Round } else { BodyForm::Rectangular };
    let lids = vessels.iter().filter_map(|vessel| Some(vessel.outer_height?.less(vessel.inner_height).mm())).collect();
    let prices = members.iter().flat_map(|id| {
        let litres = project.stock.vessel(*id).brimful.ml() / 1000.0;
        let offers = project.stock.offers_of(*id);
        offers.map(move |(_, offer)| (litres, offer.pack_price.approximate() / f64::from(offer.pack_size.max(1))))
    });
    Some(VesselFamily {
        kind,
        sides: (sides().reduce(Length::min)?, sides().reduce(Length::max)?),
        high: (high().reduce(Length::min)?, high().reduce(Length::max)?),
        capacities: (capacities().reduce(Volume::min)?, capacities().reduce(Volume::max)?),
        heights: heights(
            vessels.iter().map(|vessel| vessel.inner_height.mm() / vessel.section.larger().mm()).collect(),
        ),
        narrower: of(|vessel| vessel.section.smaller().mm() / vessel.section.larger().mm())?,
        mouth: (mouth_form, of(|vessel| vessel.mouth.smaller().mm() / vessel.section.smaller().mm())?.min(1.0)),
        body: of(|vessel| vessel.body_height.mm() / vessel.inner_height.mm())?.min(1.0),
        brimful: of(|vessel| {
            let Vessel { section, body_height, mouth, inner_height, .. } = *vessel;
            let geometric = Vessel::geometric_volume(section, body_height, mouth, inner_height).ml();
            if geometric > 0.0 { vessel.brimful.ml() / geometric } else { 1.0 }
        })?,
        lid: median(lids).map(Length::at_least_zero),
        prices: prices.filter(|(litres, price)| *litres > 0.0 && *price > 0.0).collect(),
    })
}

/// The middle number, or the mean of the two middle ones; `None` of none.
pub fn median(mut numbers: Vec<f64>) -> Option<f64> {
    numbers.sort_by(f64::total_cmp);
    let (below, above) = (numbers.len().checked_sub(1)? / 2, numbers.len() / 2);
    Some(f64::midpoint(numbers[below], numbers[above]))
}

/// The lowest, the middle and the highest, without those that are within a tenth of one before.
fn heights(shares: Vec<f64>) -> Vec<f64> {
    let lowest = shares.iter().copied().reduce(f64::min);
    let highest = shares.iter().copied().reduce(f64::max);
    let mut heights: Vec<f64> = Vec::new();
    for height in [median(shares), lowest, highest].into_iter().flatten() {
        if heights.iter().all(|other| (height / other - 1.0).abs() > ALIKE) {
            heights.push(height);
        }
    }
    heights.sort_by(f64::total_cmp);
    heights
}

/// Heights within this share of one another are one proportion (common practice, no source).
const ALIKE: f64 = 0.1;
