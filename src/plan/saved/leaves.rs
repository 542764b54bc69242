//! The leaves of a level in `plan.json`, written and read back.
//!
//! ```text
//! {"suppliers": […], "offers": [{"vessel": …, "line": …}, …], "vessels": […], "fluids": […], "leaves": ["…", …]}
//! ```
//!
//! The lists name what the leaves speak of; each leaf is one text of six fields with `|` between them:
//!
//! 1. a letter for each of `suppliers`: `c` closed, `p` paying, `f` free delivery, `-` undecided;
//! 2. limits on packs, `,` between them: position in `offers`, `:`, least, `..`, most (blank = no limit);
//! 3. the weights of a deferred row of priority 1 to 4, of weighed money, of fluid and of the budget, `,` between them;
//! 4. the weights of suppliers' goods: position in `suppliers`, `:`, weight, `,` between them;
//! 5. the price of a piece of each of `vessels`, `,` between them; blank = as in the leaf before (in the first: 0);
//! 6. the price of a litre of each of `fluids`, which are owned, `,` between them; blank = what it costs.
//!
//! All numbers but those of the sixth are whole. What they mean is in [`crate::decision::leaf`].

use std::collections::{BTreeMap, BTreeSet};
use std::str::FromStr;

use serde_json::{Value, json};

use super::object::{Object, count, signed, text};
use crate::decision::leaf::{Leaf, PackLimits, Terms, Weights};
use crate::project::Project;
use crate::rules::FluidId;
use crate::stock::{SupplierId, VesselId};
use crate::units::Money;

/// Leaves as a file holds them; null where there are none.
pub(super) fn written(project: &Project, leaves: &[Leaf]) -> Value {
    if leaves.is_empty() {
        return Value::Null;
    }
    let stock = &project.stock;
    let decided = leaves.iter().flat_map(|leaf| leaf.suppliers.iter().map(|(supplier, _)| *supplier));
    let weighed = leaves.iter().flat_map(|leaf| leaf.goods.iter().map(|(supplier, _)| *supplier));
    let suppliers: Vec<SupplierId> = decided.chain(weighed).collect::<BTreeSet<_>>().into_iter().collect();
    // As they first occur: that does not depend on the order of the stock list's lines.
    let mut offers: Vec<usize> = Vec::new();
    for limits in leaves.iter().flat_map(|leaf| &leaf.packs) {
        if !offers.contains(&limits.offer) {
            offers.push(limits.offer);
        }
    }
    let vessels = leaves.iter().flat_map(|leaf| leaf.prices.iter().map(|(vessel, _)| *vessel));
    let vessels: Vec<VesselId> = vessels.collect::<BTreeSet<_>>().into_iter().collect();
    let fluids = leaves.iter().flat_map(|leaf| leaf.fluid_prices.iter().map(|(fluid, _)| *fluid));
    let fluids: Vec<FluidId> = fluids.collect::<BTreeSet<_>>().into_iter().collect();
    let mut before: BTreeMap<VesselId, i64> = BTreeMap::new();
    let mut texts = Vec::with_capacity(leaves.len());
    for leaf in leaves {
        let prices: BTreeMap<VesselId, i64> = leaf.prices.iter().copied().collect();
        let price = |of: &BTreeMap<VesselId, i64>, vessel| of.get(vessel).copied().unwrap_or(0);
        let changed = |vessel| (price(&prices, vessel) != price(&before, vessel)).then(|| price(&prices, vessel));
        let fifth =
            joined(vessels.iter().map(|vessel| changed(vessel).map(|price| price.to_string()).unwrap_or_default()));
        let position = |supplier: &SupplierId| suppliers.partition_point(|other| other < supplier);
        let goods = joined(leaf.goods.iter().map(|(supplier, weight)| format!("{}:{weight}", position(supplier))));
        let packs = joined(leaf.packs.iter().map(|limits| {
            let most = limits.most.map(|most| most.to_string()).unwrap_or_default();
            let position = offers.iter().take_while(|other| **other != limits.offer).count();
            format!("{position}:{}..{most}", limits.least)
        }));
        let letter = |supplier: &SupplierId| {
            let terms = leaf.suppliers.iter().find(|(other, _)| other == supplier);
            LETTERS.iter().find(|(_, of)| *of == terms.map_or(Terms::Undecided, |terms| terms.1)).map_or('-', |l| l.0)
        };
        let letters: String = suppliers.iter().map(letter).collect();
        let Weights { deferred: [one, two, three, four], money, fluid, budget } = leaf.weights;
        let weights = joined([one, two, three, four, money, fluid, budget].iter().map(i64::to_string));
        let litre = |fluid: &FluidId| leaf.fluid_prices.iter().find(|(other, _)| other == fluid);
        let litres = joined(fluids.iter().map(|fluid| litre(fluid).map(|(_, price)| price.text()).unwrap_or_default()));
        texts.push(format!("{letters}|{packs}|{weights}|{goods}|{fifth}|{litres}"));
        before = prices;
    }
    let offer = |offer: &usize| {
        let offer = &stock.offers[*offer];
        json!({"vessel": stock.vessel(offer.vessel).id, "line": offer.line})
    };
    json!({
        "suppliers": suppliers.iter().map(|supplier| &stock.supplier(*supplier).name).collect::<Vec<_>>(),
        "offers": offers.iter().map(offer).collect::<Vec<_>>(),
        "vessels": vessels.iter().map(|vessel| &stock.vessel(*vessel).id).collect::<Vec<_>>(),
        "fluids": fluids.iter().map(|fluid| &project.rules.fluid(*fluid).id).collect::<Vec<_>>(),
        "leaves": texts,
    })
}

const LETTERS: [(char, Terms); 4] =
    [('-', Terms::Undecided), ('c', Terms::Closed), ('p', Terms::Paying), ('f', Terms::Free)];

fn joined(parts: impl Iterator<Item = String>) -> String {
    parts.collect::<Vec<_>>().join(",")
}

/// Leaves read back from a level.
pub(super) fn read(project: &Project, level: &Object) -> Option<Vec<Leaf>> {
    if level.field("leaves")?.is_null() {
        return Some(Vec::new());
    }
    let object = level.object("leaves")?;
    let stock = &project.stock;
    let suppliers = object.list("suppliers", |path, item| {
        let found = text(item).and_then(|name| stock.suppliers.iter().position(|supplier| supplier.name == name));
        if found.is_none() {
            object.findings.add(path, "no supplier of the project");
        }
        found.map(|position| SupplierId(position as u32))
    });
    let offers = object.objects("offers", |offer| {
        let vessel = offer.read("vessel", "a vessel of the stock list", |value| stock.vessel_named(text(value)?));
        let line = offer.read("line", "a line of the stock list", count::<usize>);
        let (vessel, line) = (vessel?, line?);
        let found = stock.offers.iter().position(|offer| offer.vessel == vessel && offer.line == line);
        if found.is_none() {
            offer.wrong("line", "no offer of this vessel stands there");
        }
        found
    });
    let vessels = object.list("vessels", |path, item| {
        let found = text(item).and_then(|id| stock.vessel_named(id));
        if found.is_none() {
            object.findings.add(path, "no vessel of the stock list");
        }
        found
    });
    let fluids = object.list("fluids", |path, item| {
        let found = text(item).and_then(|id| project.rules.fluids.iter().position(|fluid| fluid.id == id));
        if found.is_none() {
            object.findings.add(path, "no fluid of the rules");
        }
        found.map(|position| FluidId(position as u16))
    });
    let texts = object.texts("leaves");
    object.done();
    let names = Names { suppliers: suppliers?, offers: offers?, vessels: vessels?, fluids: fluids? };
    let mut before = vec![0; names.vessels.len()];
    let mut leaves = Vec::new();
    for (number, text) in texts?.iter().enumerate() {
        let leaf = names.leaf(text, &mut before);
        if leaf.is_none() {
            object.findings.add(&format!("{}[{number}]", object.at("leaves")), "not six fields of a leaf");
        }
        leaves.push(leaf?);
    }
    Some(leaves)
}

/// What positions in leaves stand for.
struct Names {
    suppliers: Vec<SupplierId>,
    offers: Vec<usize>,
    vessels: Vec<VesselId>,
    fluids: Vec<FluidId>,
}

impl Names {
    /// One leaf; `before` are the prices of the one before, and then its own.
    fn leaf(&self, text: &str, before: &mut [i64]) -> Option<Leaf> {
        let [letters, packs, weights, goods, prices, litres] = text.split('|').collect::<Vec<_>>().try_into().ok()?;
        let terms: Option<Vec<Terms>> = letters
            .chars()
            .map(|letter| LETTERS.iter().find(|(of, _)| *of == letter).map(|(_, terms)| *terms))
            .collect();
        let terms = terms.filter(|terms| terms.len() == self.suppliers.len())?;
        let suppliers = self.suppliers.iter().copied().zip(terms).filter(|(_, terms)| *terms != Terms::Undecided);
        let limits = |limits: &str| {
            let (offer, limits) = limits.split_once(':')?;
            let (least, most) = limits.split_once("..")?;
            let most = if most.is_empty() { None } else { Some(whole(most)?) };
            Some(PackLimits { offer: *self.offers.get(whole::<usize>(offer)?)?, least: whole(least)?, most })
        };
        let weight = |weight: &str| {
            let (supplier, weight) = weight.split_once(':')?;
            Some((*self.suppliers.get(whole::<usize>(supplier)?)?, whole(weight)?))
        };
        let weights: [i64; 7] = items(weights).map(whole).collect::<Option<Vec<_>>>()?.try_into().ok()?;
        let [one, two, three, four, money, fluid, budget] = weights;
        let prices = one_for_each(prices, self.vessels.len())?;
        let litres = one_for_each(litres, self.fluids.len())?;
        let of_fluid = |(fluid, text): (&FluidId, &str)| (!text.is_empty()).then(|| Some((*fluid, amount(text)?)));
        for (price, text) in before.iter_mut().zip(prices).filter(|(_, text)| !text.is_empty()) {
            *price = whole(text)?;
        }
        let prices = self.vessels.iter().copied().zip(before.iter().copied()).filter(|(_, price)| *price != 0);
        Some(Leaf {
            suppliers: suppliers.collect(),
            packs: items(packs).map(limits).collect::<Option<_>>()?,
            weights: Weights { deferred: [one, two, three, four], money, fluid, budget },
            prices: prices.collect(),
            goods: items(goods).map(weight).collect::<Option<_>>()?,
            fluid_prices: self.fluids.iter().zip(litres).filter_map(of_fluid).collect::<Option<_>>()?,
        })
    }
}

/// What stands between commas.
fn items(list: &str) -> impl Iterator<Item = &str> {
    list.split(',').filter(move |_| !list.is_empty())
}

/// What stands between commas, one for each of so many things; blank for a single one too.
fn one_for_each(list: &str, n: usize) -> Option<Vec<&str>> {
    let found: Vec<&str> = if n == 1 { vec![list] } else { items(list).collect() };
    (found.len() == n).then_some(found)
}

/// Money as it is written here.
fn amount(text: &str) -> Option<Money> {
    signed(text).filter(|amount| amount.text() == text)
}

/// A whole number as it is written here: digits, and a sign where it is below nothing.
fn whole<T: FromStr + ToString>(text: &str) -> Option<T> {
    text.parse().ok().filter(|number: &T| number.to_string() == text)
}
