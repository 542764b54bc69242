//! Small projects, trees and multipliers drawn from a seed.

use std::collections::BTreeMap;

use rehouse::decision::Aim;
use rehouse::decision::certificate::{Certificate, Group, LotChoice, MOST, Node, Numbers, Weights};
use rehouse::stock::{SupplierId, VesselId};

use super::plans::{DecidedLot, SmallProject};
use crate::random::Random;

fn one_of<T: Copy>(random: &mut Random, all: &[T]) -> T {
    all[random.below(all.len() as u64) as usize]
}

/// The files of a project: up to four lots, mostly alike, three jars, up to three offers, two suppliers, and sometimes each kind of
/// limit.
pub fn files(seed: u64) -> Vec<(&'static str, String)> {
    let random = &mut Random(seed);
    let survey = survey(random);
    let stock = stock(random);
    let suppliers = suppliers(random);
    let owned = match random.below(3) {
        0 => String::new(),
        _ => format!("ethanol-70,0.{:03},\nethanol-50,0.{:03},\n", random.below(400), random.below(200)),
    };
    let settings = settings(random);
    let mut files = vec![
        ("specimens.csv", survey),
        ("vessels.csv", stock),
        ("suppliers.csv", suppliers),
        ("settings.toml", settings),
    ];
    if !owned.is_empty() {
        files.push(("fluid-stock.csv", format!("fluid,litres,location\n{owned}")));
    }
    files
}

fn survey(random: &mut Random) -> String {
    let mut survey = "catalogNumber,length_mm,width_mm,height_mm,tissue_ml,fluid,priority,current_fluid,\
                      individualCount,max_vessels,tank_quote\n"
        .to_owned();
    let one_fluid = random.below(2) == 0;
    for row in 0..2 + random.below(3) {
        let fluid = if one_fluid { "ethanol-70" } else { one_of(random, &["ethanol-70", "ethanol-50", "formalin-10"]) };
        let tissue = one_of(random, &[5, 5, 5, 9, 12]);
        let current = if random.below(6) == 0 { "formalin-10" } else { "" };
        let divided = if random.below(6) == 0 { "2,2" } else { "," };
        let quote = one_of(random, &["", "", "1.20", "0.35"]);
        let high = one_of(random, &[40, 40, 40, 62]);
        survey +=
            &format!("R-{row},{high},18,18,{tissue},{fluid},{},{current},{divided},{quote}\n", 3 - random.below(5) / 4);
    }
    survey
}

fn stock(random: &mut Random) -> String {
    let mut stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,pack_price,pack_size,\
                     min_packs,order_limit,supplier\n"
        .to_owned();
    for (vessel, (bore, height)) in [(45, 80), (55, 100), (30, 30)].into_iter().enumerate() {
        let mut offer = || {
            let (price, size) = (1 + random.below(90), 1 + random.below(3));
            let (fewest, limit) = (one_of(random, &["", "", "2"]), size * (1 + random.below(3)));
            format!("0.{price:02},{size},{fewest},{limit},{}", one_of(random, &["", "Alder Glass", "Birch Works"]))
        };
        let (first, second) = (offer(), offer());
        let free = one_of(random, &[0, 0, 1, 2]);
        let line = format!("J-{vessel},cylinder,{bore},{height},borosilicate,pp-cap-ptfe,{free}");
        match random.below(5) {
            0 => stock += &format!("{line},,,,,\n"),
            1 if vessel == 0 => stock += &format!("{line},{first}\nJ-{vessel},cylinder,,,,,,{second}\n"),
            _ => stock += &format!("{line},{first}\n"),
        }
    }
    stock
}

fn suppliers(random: &mut Random) -> String {
    let mut terms = |minimum: u64| {
        let over = match random.below(8) {
            0..4 => format!("0.{:02}", 10 + random.below(90)),
            4 => "0".to_owned(),
            _ => String::new(),
        };
        format!("0.{:02},{over},{}", random.below(60), one_of(random, &["", "0.20", "0.55"][..minimum as usize]))
    };
    format!(
        "supplier,delivery_charge,free_delivery_over,minimum_order\nAlder Glass,{}\nBirch Works,{}\n",
        terms(3),
        terms(1)
    )
}

fn settings(random: &mut Random) -> String {
    let mut settings = String::new();
    let mut maybe = |line: String| {
        if random.below(3) == 0 {
            settings += &line;
        }
    };
    maybe("max_vessel_types = 1\n".to_owned());
    maybe("max_suppliers = 1\n".to_owned());
    maybe("spare_pct = 25\n".to_owned());
    maybe("litre_weight = 0.3\n".to_owned());
    maybe("tanks = \"when cheaper\"\n".to_owned());
    let labour = random.below(2) == 0;
    if random.below(2) == 0 {
        settings += &format!("budget = 0.{:02}\nlabour_in_budget = {labour}\n", random.below(100));
    }
    settings += &format!(
        "[fluid_price]\nethanol-70 = {}\nethanol-50 = 2.25\nformalin-10 = 0.75\n[labour]\nminutes_per_move = 1\nrate_per_hour = 6\n",
        one_of(random, &["0", "4.1237", "1.5"])
    );
    if random.below(4) == 0 {
        let weights = one_of(random, &["[1, 1, 1, 1]", "[3, 2, 2, 1]", "[8, 4, 2, 1]", "[10000, 100, 10, 1]"]);
        settings += &format!("[priority]\nrule = \"weighted\"\nweights = {weights}\n");
    }
    settings
}

/// Lots that differ only by a constant.
struct AlikeLots {
    places: Vec<LotChoice>,
    by_constant: Vec<Vec<u32>>,
    /// Whether the waiting lots are counted by constant.
    divided: bool,
}

/// The constant by which every way of `other` costs more than that of `one`; `None` if it is not the same for all ways.
fn beyond(one: &DecidedLot, other: &DecidedLot) -> Option<Vec<i128>> {
    let same = one.priority == other.priority && one.ways.len() == other.ways.len();
    let differences: Vec<Option<Vec<i128>>> = (one.ways.iter().zip(&other.ways))
        .map(|(one, other)| {
            let amounts = |way: &super::plans::LotWay| [way.money, way.fluid].into_iter().chain(way.needs.clone());
            let same = one.place == other.place && one.pieces == other.pieces;
            same.then(|| amounts(other).zip(amounts(one)).map(|(other, one)| other - one).collect())
        })
        .collect();
    let first = differences.first()?.clone()?;
    (same && differences.iter().all(|beyond| beyond.as_ref() == Some(&first))).then_some(first)
}

fn alike(small: &SmallProject, random: &mut Random) -> Vec<AlikeLots> {
    type ByConstants = BTreeMap<Vec<i128>, Vec<u32>>;
    let mut found: Vec<(&DecidedLot, ByConstants)> = Vec::new();
    for lot in &small.lots {
        match found.iter_mut().find_map(|(first, by)| Some((beyond(first, lot)?, by))) {
            Some((constant, by)) => by.entry(constant).or_default().push(lot.row),
            None => found.push((lot, BTreeMap::from([(beyond(lot, lot).expect("itself"), vec![lot.row])]))),
        }
    }
    let alike = |(first, by): (&DecidedLot, BTreeMap<Vec<i128>, Vec<u32>>)| AlikeLots {
        places: first.ways.iter().map(|way| way.place).collect(),
        by_constant: by.into_values().collect(),
        divided: random.below(2) == 0,
    };
    found.into_iter().map(alike).collect()
}

/// A tree while it is drawn.
struct DrawnTree<'a> {
    small: &'a SmallProject<'a>,
    random: &'a mut Random,
    alike: Vec<AlikeLots>,
    certificate: Certificate,
    /// Position in `Certificate::groups`, by position in `alike` and, for a part of it, of its constant.
    groups: BTreeMap<(usize, Option<usize>), usize>,
    n_leaves: usize,
}

/// The limits that the splits above a node set.
#[derive(Clone, Default)]
struct SplitLimits {
    suppliers: Vec<usize>,
    packs: BTreeMap<usize, (i64, Option<i64>)>,
    lots: BTreeMap<(usize, LotChoice), (i64, i64)>,
}

impl DrawnTree<'_> {
    fn group(&mut self, of: usize, constant: Option<usize>) -> usize {
        if let Some(known) = self.groups.get(&(of, constant)) {
            return *known;
        }
        let within = constant.map(|_| self.group(of, None));
        let by_constant = &self.alike[of].by_constant;
        let mut rows = constant.map_or_else(|| by_constant.concat(), |constant| by_constant[constant].clone());
        rows.sort_unstable();
        self.certificate.groups.push(Group { rows, within });
        self.groups.insert((of, constant), self.certificate.groups.len() - 1);
        self.certificate.groups.len() - 1
    }

    fn below(&mut self, depth: u32, limits: &SplitLimits) {
        if depth > 0 && self.random.below(6) > 0 && self.split(depth - 1, limits) {
            return;
        }
        self.certificate.nodes.push(Node::Leaf { numbers: self.n_leaves });
        self.n_leaves += 1;
    }

    fn split(&mut self, depth: u32, limits: &SplitLimits) -> bool {
        let stock = &self.small.project.stock;
        match self.random.below(5) {
            0 => {
                let supplier = self.random.below(stock.suppliers.len() as u64) as usize;
                if limits.suppliers.contains(&supplier) {
                    return false;
                }
                self.certificate.nodes.push(Node::Supplier(SupplierId(supplier as u32)));
                let mut limits = limits.clone();
                limits.suppliers.push(supplier);
                let children = if stock.suppliers[supplier].free_delivery_over.is_some() { 3 } else { 2 };
                (0..children).for_each(|_| self.below(depth, &limits));
            }
            1 | 2 if !stock.offers.is_empty() => {
                let offer = self.random.below(stock.offers.len() as u64) as usize;
                let (least, most) = limits.packs.get(&offer).copied().unwrap_or((0, None));
                let at_most = least + self.random.below(2) as i64;
                if most.is_some_and(|most| at_most >= most) {
                    return false;
                }
                self.certificate.nodes.push(Node::Packs { offer, at_most });
                for child in [(least, Some(at_most)), (at_most + 1, most)] {
                    let mut limits = limits.clone();
                    limits.packs.insert(offer, child);
                    self.below(depth, &limits);
                }
            }
            _ if !self.alike.is_empty() => {
                let of = self.random.below(self.alike.len() as u64) as usize;
                let alike = &self.alike[of];
                let place = match self.random.below(3) {
                    0 => LotChoice::Waiting,
                    _ => one_of(self.random, &alike.places),
                };
                let constant = (place == LotChoice::Waiting && alike.divided)
                    .then(|| self.random.below(alike.by_constant.len() as u64) as usize);
                let size = constant.map_or_else(|| alike.by_constant.concat().len(), |of| alike.by_constant[of].len());
                let group = self.group(of, constant);
                let (least, most) = limits.lots.get(&(group, place)).copied().unwrap_or((0, size as i64));
                if least >= most {
                    return false;
                }
                let at_most = least + self.random.below((most - least) as u64) as i64;
                self.certificate.nodes.push(Node::Lots { group, place, at_most });
                for child in [(least, at_most), (at_most + 1, most)] {
                    let mut limits = limits.clone();
                    limits.lots.insert((group, place), child);
                    self.below(depth, &limits);
                }
            }
            _ => return false,
        }
        true
    }
}

/// A certificate of a level: a tree and multipliers of all kinds.
pub fn certificate(small: &SmallProject, aim: Aim, random: &mut Random) -> Certificate {
    let alike = alike(small, random);
    let (certificate, groups) = (Certificate::default(), BTreeMap::new());
    let mut drawing = DrawnTree { small, random, alike, certificate, groups, n_leaves: 0 };
    let depth = drawing.random.below(5) as u32;
    drawing.below(depth, &SplitLimits::default());
    let DrawnTree { mut certificate, n_leaves, .. } = drawing;
    // Drops groups that no split uses.
    let counted: Vec<usize> = certificate
        .nodes
        .iter()
        .filter_map(|node| if let Node::Lots { group, .. } = node { Some(*group) } else { None })
        .flat_map(|group| [Some(group), certificate.groups[group].within])
        .flatten()
        .collect();
    let kept: Vec<usize> = (0..certificate.groups.len()).filter(|group| counted.contains(group)).collect();
    let place = |group: usize| kept.iter().position(|kept| *kept == group).expect("a group that is counted");
    certificate.groups = kept.iter().map(|group| certificate.groups[*group].clone()).collect();
    certificate.groups.iter_mut().for_each(|group| group.within = group.within.map(place));
    for node in &mut certificate.nodes {
        if let Node::Lots { group, .. } = node {
            *group = place(*group);
        }
    }
    let sets = 1 + random.below(3) as usize;
    for node in &mut certificate.nodes {
        if let Node::Leaf { numbers } = node {
            *numbers %= sets;
        }
    }
    while certificate.numbers.len() < sets.min(n_leaves) {
        let numbers = numbers(small, aim, random);
        if !certificate.numbers.contains(&numbers) {
            certificate.numbers.push(numbers);
        }
    }
    certificate
}

/// Multipliers in proportion to the costs that they stand against, some of them 0.
fn numbers(small: &SmallProject, aim: Aim, random: &mut Random) -> Numbers {
    let (stock, settings) = (&small.project.stock, &small.project.settings);
    let own: i64 = if random.below(12) == 0 {
        0
    } else {
        1 << match aim {
            Aim::WeightedDeferred | Aim::Deferred(_) => 20 + random.below(20),
            Aim::Money => random.below(12),
            Aim::Fluid => 10 + random.below(20),
        }
    };
    // The cost of a whole lot or of a unit of currency.
    let scale = match aim {
        Aim::WeightedDeferred | Aim::Deferred(_) => own,
        Aim::Money => own.saturating_mul(4_000_000),
        Aim::Fluid => own.saturating_mul(150),
    };
    let scale = if own == 0 { 1 << 30 } else { scale };
    let mut some = |most: i64| if random.below(3) == 0 { 0 } else { random.below(most.max(0) as u64 + 1) as i64 };
    let is_weighted = settings.weights_in_force().is_some();
    let by_priority = [0; 4].map(|_: i64| some(4 * scale));
    let mut weights = Weights {
        weighted_deferred: if is_weighted { by_priority[0] } else { 0 },
        deferred: if is_weighted { [0; 4] } else { by_priority },
        money: some(scale / 4_000_000),
        fluid: some(scale / 150),
        budget: if settings.budget.is_some() { some(scale / 4_000_000) } else { 0 },
    };
    *weights.of_mut(aim) = own;
    let counted = weights.up_to(aim);
    let money = counted.money + counted.budget;
    let not_zero = |pairs: &mut dyn Iterator<Item = (usize, i64)>| -> Vec<(usize, i64)> {
        pairs.filter(|(_, number)| *number != 0).collect()
    };
    // The price of a piece in a pack, or any number.
    let prices = not_zero(&mut (0..stock.vessels.len()).map(|vessel| {
        let offer = stock.offers.iter().find(|offer| offer.vessel.0 as usize == vessel);
        let piece = offer.map_or(0, |offer| offer.pack_price.parts() / i64::from(offer.pack_size));
        (vessel, if some(2) == 1 { some(scale) } else { piece.saturating_mul(money).min(MOST) })
    }));
    let scale = scale / 4;
    let goods = not_zero(&mut (0..stock.suppliers.len()).map(|supplier| (supplier, some(3 * money / 2))));
    let owned: Vec<_> = (small.owned.iter())
        .map(|own| {
            let full = (i128::from(money) * own.price).min(i128::from(i64::MAX / 2)) as i64;
            (own.fluid, if some(3) == 0 { full } else { some(full) })
        })
        .filter(|(_, multiplier)| *multiplier != 0)
        .collect();
    let shared = settings.max_vessel_types.is_some() || some(4) == 1;
    let of_offer = |offer: usize| (offer, if shared { some(scale) } else { 0 });
    let per_kind = not_zero(&mut (0..stock.offers.len()).map(of_offer));
    Numbers {
        weights,
        prices: prices.into_iter().map(|(vessel, price)| (VesselId(vessel as u32), price)).collect(),
        goods: goods.into_iter().map(|(supplier, weight)| (SupplierId(supplier as u32), weight)).collect(),
        owned,
        per_supplier: if settings.max_suppliers.is_some() { some(scale) } else { 0 },
        kinds: if settings.max_vessel_types.is_some() { some(2 * scale) } else { 0 },
        cuts: Vec::new(),
        per_kind,
    }
}
