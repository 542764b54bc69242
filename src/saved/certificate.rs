//! The certificate of a level in `plan.json`, written and read back.
//!
//! ```text
//! {"suppliers": […], "offers": [{"vessel": …, "line": …}, …], "vessels": […], "fluids": […],
//!  "groups": ["0-5,9", "0-2 of 0", …], "cuts": ["v3/4:0-5,9", "v3/kind:=0", …], "numbers": ["…", …], "tree": ["s0", "0", "p1<=3", "0", "1", …]}
//! ```
//!
//! For the level of fluid it may be `"money"` instead: the certificate of the level of money then bounds fluid too.
//!
//! The first four lists name what the others refer to by position. `groups` lists the lots of each group: the positions of their
//! rows where those of the survey stand in order of their key columns (institution, collection, catalogue number, part), rising; `a-b`
//! stands for two or more that follow each other. ` of ` and a position name the larger group.
//!
//! `cuts` lists what each cut says, `:`, and the lots in it, as those of a group; `=` and a position stand for the same lots as
//! those of the first cut that has them.
//!
//! | text | cut |
//! |---|---|
//! | `v3/4:` | whole packs of vessel 3, by the divisor 4, without spare pieces |
//! | `v3/4+spares:` | the same with spare pieces |
//! | `v3/4+one:` | whole packs of vessel 3, by the divisor 4, one piece to spare where any are bought |
//! | `v3/least:` | a purchase of vessel 3 is the smallest order at least; no lots follow |
//! | `v3/count:` | the pieces of vessel 3 that the lots take; its weight may be below 0 |
//! | `v3/kind:` | vessel 3 is bought |
//! | `v3/s1:` | something is ordered from supplier 1 |
//!
//! `tree` lists the nodes in preorder:
//!
//! | text | node |
//! |---|---|
//! | `2` | a leaf with numbers 2 |
//! | `s1` | a child for each state of supplier 1: closed, paying, and free where it has a threshold |
//! | `p1<=3` | at most 3 packs of offer 1, then more |
//! | `c2<=3` | at most 3 pieces of cut 2, then more |
//! | `l0@v3<=2` | at most 2 lots of group 0 in vessel 3, then more |
//! | `l0@tank<=2` | the same in tanks made to measure |
//! | `l0@wait<=2` | the same deferred |
//!
//! Numbers are one text of seven fields with `|` between them:
//!
//! 1. the weights of a deferred lot of priority 1 to 4, of weighed money, of fluid and of the budget, `,` between them;
//! 2. σ and θ, of a supplier and of a kind, `,` between them;
//! 3. g, of goods: position in `suppliers`, `:`, weight, `,` between them;
//! 4. π, of a piece of each of `vessels`, `,` between them; blank = as in the numbers before (in the first: 0);
//! 5. λ, of owned fluid: position in `fluids`, `:`, weight, `,` between them;
//! 6. θ(o), of offers: position in `offers`, `:`, share, `,` between them;
//! 7. w, of cuts: position in `cuts`, `:`, weight, `,` between them.
//!
//! All are whole. What they mean is in [`crate::decision::certificate`]. Each certificate has one spelling, and no other is read.

mod rows;
mod spelling;

use std::collections::{BTreeSet, HashMap};

use itertools::Itertools;
use serde_json::{Value, json};

pub(super) use self::rows::KeyOrder;
use self::rows::{read_group, read_rows, written_group, written_rows};
use self::spelling::{items, one_for_each, pairs, position_and_number, whole};
use super::object::{Object, count, text};
use crate::decision::certificate::{Cut, CutForm, LotChoice, Node, Numbers, Weights};
use crate::decision::{Aim, Certificate, Level};
use crate::project::Project;
use crate::rules::FluidId;
use crate::stock::{SupplierId, VesselId};
use crate::units::Position;

/// The certificate of a level as a file holds it.
pub(super) fn written(project: &Project, order: &KeyOrder, level: &Level) -> Value {
    if level.aim == Aim::Fluid && level.certificate.is_empty() {
        return json!(Aim::Money.name());
    }
    object(project, order, &level.certificate)
}

fn object(project: &Project, order: &KeyOrder, certificate: &Certificate) -> Value {
    let (stock, rules) = (&project.stock, &project.rules);
    let names = Names::of(project, certificate);
    let offer = |offer: &usize| {
        let offer = &stock.offers[*offer];
        json!({"vessel": stock.vessel(offer.vessel).id, "line": offer.line})
    };
    let mut before = vec![0; names.vessels.len()];
    json!({
        "suppliers": names.suppliers.iter().map(|supplier| &stock.supplier(*supplier).name).collect::<Vec<_>>(),
        "offers": names.offers.iter().map(offer).collect::<Vec<_>>(),
        "vessels": names.vessels.iter().map(|vessel| &stock.vessel(*vessel).id).collect::<Vec<_>>(),
        "fluids": names.fluids.iter().map(|fluid| &rules.fluid(*fluid).id).collect::<Vec<_>>(),
        "groups": certificate.groups.iter().map(|group| written_group(order, group)).collect::<Vec<_>>(),
        "cuts": names.written_cuts(order, &certificate.cuts),
        "numbers": certificate.numbers.iter().map(|numbers| names.written(numbers, &mut before)).collect::<Vec<_>>(),
        "tree": certificate.nodes.iter().map(|node| names.written_node(node)).collect::<Vec<_>>(),
    })
}

/// The certificate read back from a level.
pub(super) fn read(project: &Project, order: &KeyOrder, level: &Object) -> Option<Certificate> {
    let value = level.field("certificate")?;
    if value == Aim::Money.name() && level.field("level")? == Aim::Fluid.name() {
        return Some(Certificate::default());
    }
    let read = level.object("certificate")?;
    let names = Names::read(project, &read);
    let groups = read.texts("groups");
    let [cuts, numbers, nodes] = ["cuts", "numbers", "tree"].map(|name| read.texts(name));
    read.done();
    let names = names?;
    let wrong =
        |name: &str, position: usize, wrong| read.findings.add(&format!("{}[{position}]", read.at(name)), wrong);
    let mut certificate = Certificate::default();
    for (position, text) in groups?.iter().enumerate() {
        let group = read_group(order, text);
        if group.is_none() {
            wrong("groups", position, "not the rows of a group");
        }
        certificate.groups.push(group?);
    }
    let mut held = 0;
    for (position, text) in cuts?.iter().enumerate() {
        let cut = names.cut(order, &certificate.cuts, text).filter(|cut| {
            held += cut.rows.len();
            held <= MOST_HELD
        });
        if cut.is_none() {
            wrong("cuts", position, "not a vessel, its kind, and rows");
        }
        certificate.cuts.push(cut?);
    }
    let mut before = vec![0; names.vessels.len()];
    for (position, text) in numbers?.iter().enumerate() {
        let numbers = names.numbers(text, &mut before);
        if numbers.is_none() {
            wrong("numbers", position, "not seven fields of numbers");
        }
        certificate.numbers.push(numbers?);
    }
    for (position, text) in nodes?.iter().enumerate() {
        let node = names.node(text);
        if node.is_none() {
            wrong("tree", position, "no node");
        }
        certificate.nodes.push(node?);
    }
    if object(project, order, &certificate) != *value {
        level.wrong("certificate", "not as a certificate is written");
        return None;
    }
    Some(certificate)
}

/// The suppliers, offers, vessels and fluids that positions in a certificate refer to.
struct Names {
    suppliers: Vec<SupplierId>,
    offers: Vec<usize>,
    vessels: Vec<VesselId>,
    fluids: Vec<FluidId>,
}

impl Names {
    /// All that a certificate refers to, in the order of the stock list. Only offers are in order of their first occurrence in the tree, then by
    /// vessel and terms, which does not depend on the order of the stock list's lines.
    fn of(project: &Project, certificate: &Certificate) -> Self {
        let Certificate { nodes, numbers, cuts, .. } = certificate;
        let mut suppliers: BTreeSet<SupplierId> = BTreeSet::new();
        let mut vessels: BTreeSet<VesselId> = BTreeSet::new();
        let mut offers = Vec::new();
        for node in nodes {
            match *node {
                Node::Supplier(supplier) => drop(suppliers.insert(supplier)),
                Node::Packs { offer, .. } => offers.push(offer),
                Node::Lots { place: LotChoice::Vessel(vessel), .. } => drop(vessels.insert(vessel)),
                Node::Lots { .. } | Node::Pieces { .. } | Node::Leaf { .. } => {}
            }
        }
        suppliers.extend(numbers.iter().flat_map(|numbers| numbers.goods.iter().map(|(supplier, _)| *supplier)));
        vessels.extend(numbers.iter().flat_map(|numbers| numbers.prices.iter().map(|(vessel, _)| *vessel)));
        for Cut { vessel, form, .. } in cuts {
            vessels.insert(*vessel);
            if let CutForm::Supplier(supplier) = form {
                suppliers.insert(*supplier);
            }
        }
        let fluids = numbers.iter().flat_map(|numbers| numbers.owned.iter().map(|(fluid, _)| *fluid));
        let shares = numbers.iter().flat_map(|numbers| numbers.per_kind.iter().map(|(offer, _)| *offer));
        let terms = |offer: &usize| {
            let offer = &project.stock.offers[*offer];
            let supplier = offer.supplier.map(|supplier| &project.stock.supplier(supplier).name);
            let packs = (offer.pack_size, offer.pack_price, offer.min_packs, offer.order_limit);
            (offer.vessel, supplier, packs, &offer.order_code, offer.line)
        };
        offers.extend(shares.sorted_unstable().dedup().sorted_by_key(terms));
        Names {
            suppliers: suppliers.into_iter().collect(),
            offers: offers.into_iter().unique().collect(),
            vessels: vessels.into_iter().collect(),
            fluids: fluids.collect::<BTreeSet<_>>().into_iter().collect(),
        }
    }

    fn read(project: &Project, read: &Object) -> Option<Self> {
        let stock = &project.stock;
        let suppliers = named(read, "suppliers", "no supplier of the project", |name| {
            let position = stock.suppliers.iter().position(|supplier| supplier.name == name)?;
            Some(SupplierId::at(position))
        });
        let offers = read.objects("offers", |offer| {
            let vessel = offer.read("vessel", "a vessel of the stock list", |value| stock.vessel_named(text(value)?));
            let line = offer.read("line", "a line of the stock list", count::<usize>);
            let (vessel, line) = (vessel?, line?);
            let found = stock.offers.iter().position(|offer| offer.vessel == vessel && offer.line == line);
            if found.is_none() {
                offer.wrong("line", "this line holds no offer of this vessel");
            }
            found
        });
        let vessels = named(read, "vessels", "no vessel of the stock list", |id| stock.vessel_named(id));
        let fluids = named(read, "fluids", "no fluid of the rules", |id| {
            let position = project.rules.fluids.iter().position(|fluid| fluid.id == id)?;
            Some(FluidId::at(position))
        });
        Some(Names { suppliers: suppliers?, offers: offers?, vessels: vessels?, fluids: fluids? })
    }

    fn supplier(&self, supplier: SupplierId) -> usize {
        self.suppliers.partition_point(|other| *other < supplier)
    }

    fn vessel(&self, vessel: VesselId) -> usize {
        self.vessels.partition_point(|other| *other < vessel)
    }

    fn offer(&self, offer: usize) -> usize {
        self.offers.iter().take_while(|other| **other != offer).count()
    }

    fn written_node(&self, node: &Node) -> String {
        match *node {
            Node::Leaf { numbers } => numbers.to_string(),
            Node::Supplier(supplier) => format!("s{}", self.supplier(supplier)),
            Node::Packs { offer, at_most } => format!("p{}<={at_most}", self.offer(offer)),
            Node::Pieces { cut, at_most } => format!("c{cut}<={at_most}"),
            Node::Lots { group, place, at_most } => {
                let place = match place {
                    LotChoice::Vessel(vessel) => format!("v{}", self.vessel(vessel)),
                    LotChoice::Tank => TANK.to_owned(),
                    LotChoice::Waiting => WAITING.to_owned(),
                };
                format!("l{group}@{place}<={at_most}")
            }
        }
    }

    fn node(&self, text: &str) -> Option<Node> {
        if let Some(supplier) = text.strip_prefix('s') {
            return Some(Node::Supplier(*self.suppliers.get(whole::<usize>(supplier)?)?));
        }
        if let Some(packs) = text.strip_prefix('p') {
            let (offer, at_most) = packs.split_once("<=")?;
            return Some(Node::Packs { offer: *self.offers.get(whole::<usize>(offer)?)?, at_most: whole(at_most)? });
        }
        if let Some(pieces) = text.strip_prefix('c') {
            let (cut, at_most) = pieces.split_once("<=")?;
            return Some(Node::Pieces { cut: whole(cut)?, at_most: whole(at_most)? });
        }
        if let Some(lots) = text.strip_prefix('l') {
            let (group, rest) = lots.split_once('@')?;
            let (place, at_most) = rest.split_once("<=")?;
            let place = match place {
                TANK => LotChoice::Tank,
                WAITING => LotChoice::Waiting,
                vessel => LotChoice::Vessel(*self.vessels.get(whole::<usize>(vessel.strip_prefix('v')?)?)?),
            };
            return Some(Node::Lots { group: whole(group)?, place, at_most: whole(at_most)? });
        }
        Some(Node::Leaf { numbers: whole(text)? })
    }

    fn written_cuts(&self, order: &KeyOrder, cuts: &[Cut]) -> Vec<String> {
        let mut first: HashMap<&[u32], usize> = HashMap::new();
        for (position, cut) in cuts.iter().enumerate() {
            first.entry(&cut.rows).or_insert(position);
        }
        let written = |(position, cut): (usize, &'_ Cut)| {
            let form = match cut.form {
                CutForm::Packs { divisor, spares: false } => divisor.to_string(),
                CutForm::Packs { divisor, spares: true } => format!("{divisor}{SPARES}"),
                CutForm::SparePiece { divisor } => format!("{divisor}{SPARE_PIECE}"),
                CutForm::LeastPurchase => return format!("v{}/{LEAST}:", self.vessel(cut.vessel)),
                CutForm::Count => COUNT.to_owned(),
                CutForm::Kind => KIND.to_owned(),
                CutForm::Supplier(supplier) => format!("s{}", self.supplier(supplier)),
            };
            let same = first[cut.rows.as_slice()];
            let rows = if same < position { format!("={same}") } else { written_rows(order, &cut.rows) };
            format!("v{}/{form}:{rows}", self.vessel(cut.vessel))
        };
        cuts.iter().enumerate().map(written).collect()
    }

    /// Reads a cut; `before` are those that precede it.
    fn cut(&self, order: &KeyOrder, before: &[Cut], text: &str) -> Option<Cut> {
        let (says, rows) = text.split_once(':')?;
        let (vessel, form) = says.strip_prefix('v')?.split_once('/')?;
        let form = match form {
            LEAST => CutForm::LeastPurchase,
            COUNT => CutForm::Count,
            KIND => CutForm::Kind,
            _ => match (form.strip_prefix('s'), form.strip_suffix(SPARES), form.strip_suffix(SPARE_PIECE)) {
                (Some(supplier), ..) => CutForm::Supplier(*self.suppliers.get(whole::<usize>(supplier)?)?),
                (None, Some(divisor), _) => CutForm::Packs { divisor: whole(divisor)?, spares: true },
                (None, None, Some(divisor)) => CutForm::SparePiece { divisor: whole(divisor)? },
                (None, None, None) => CutForm::Packs { divisor: whole(form)?, spares: false },
            },
        };
        let rows = match rows.strip_prefix('=') {
            None if form == CutForm::LeastPurchase => rows.is_empty().then(Vec::new)?,
            Some(_) if form == CutForm::LeastPurchase => return None,
            Some(same) => before.get(whole::<usize>(same)?)?.rows.clone(),
            None => read_rows(order, rows)?,
        };
        Some(Cut { vessel: *self.vessels.get(whole::<usize>(vessel)?)?, form, rows })
    }

    /// Numbers; `before` are the prices of those before, and then their own.
    fn written(&self, numbers: &Numbers, before: &mut Vec<i64>) -> String {
        let Weights { deferred: [one, two, three, four], money, fluid, budget } = numbers.weights;
        let weights = [one, two, three, four, money, fluid, budget].iter().join(",");
        let pairs = |pairs: &mut dyn Iterator<Item = (usize, i64)>| {
            pairs.sorted_unstable().map(|(position, number)| format!("{position}:{number}")).join(",")
        };
        let goods = pairs(&mut numbers.goods.iter().map(|(supplier, weight)| (self.supplier(*supplier), *weight)));
        let fluid = |fluid: FluidId| self.fluids.partition_point(|other| *other < fluid);
        let owned = pairs(&mut numbers.owned.iter().map(|(of, weight)| (fluid(*of), *weight)));
        let shares = pairs(&mut numbers.per_kind.iter().map(|(offer, share)| (self.offer(*offer), *share)));
        let mut prices = vec![0; self.vessels.len()];
        numbers.prices.iter().for_each(|(vessel, price)| prices[self.vessel(*vessel)] = *price);
        let changed = prices.iter().zip(&*before).map(|(price, before)| (price != before).then(|| price.to_string()));
        let changed = changed.map(Option::unwrap_or_default).join(",");
        *before = prices;
        let cuts = pairs(&mut numbers.cuts.iter().copied());
        format!("{weights}|{},{}|{goods}|{changed}|{owned}|{shares}|{cuts}", numbers.per_supplier, numbers.kinds)
    }

    /// Numbers; `before` are the prices of those before, and then their own.
    fn numbers(&self, text: &str, before: &mut [i64]) -> Option<Numbers> {
        let [weights, caps, goods, prices, owned, shares, cuts] =
            text.split('|').collect::<Vec<_>>().try_into().ok()?;
        let weights: [i64; 7] = items(weights).map(whole).collect::<Option<Vec<_>>>()?.try_into().ok()?;
        let [one, two, three, four, money, fluid, budget] = weights;
        let [per_supplier, kinds] = items(caps).map(whole).collect::<Option<Vec<_>>>()?.try_into().ok()?;
        let prices = one_for_each(prices, self.vessels.len())?;
        for (price, text) in before.iter_mut().zip(prices).filter(|(_, text)| !text.is_empty()) {
            *price = whole(text)?;
        }
        let prices = self.vessels.iter().copied().zip(before.iter().copied()).filter(|(_, price)| *price != 0);
        let mut per_kind = pairs(shares, &self.offers)?;
        per_kind.sort_unstable();
        Some(Numbers {
            weights: Weights { deferred: [one, two, three, four], money, fluid, budget },
            prices: prices.collect(),
            goods: pairs(goods, &self.suppliers)?,
            owned: pairs(owned, &self.fluids)?,
            per_supplier,
            kinds,
            per_kind,
            cuts: items(cuts).map(position_and_number).collect::<Option<_>>()?,
        })
    }
}

const TANK: &str = "tank";
const WAITING: &str = "wait";
const KIND: &str = "kind";
const COUNT: &str = "count";
/// The most rows that all cuts of a certificate may name together: short text can name very many, which would fill the memory.
const MOST_HELD: usize = 1 << 27;
const SPARES: &str = "+spares";
const SPARE_PIECE: &str = "+one";
const LEAST: &str = "least";

/// A list of names of the project.
fn named<T>(read: &Object, key: &'static str, unknown: &str, find: impl Fn(&str) -> Option<T>) -> Option<Vec<T>> {
    read.list(key, |path, item| {
        let found = text(item).and_then(&find);
        if found.is_none() {
            read.findings.add(path, unknown);
        }
        found
    })
}
