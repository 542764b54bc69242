//! The leaves of a level in `plan.json`, written and read back.
//!
//! ```text
//! {"suppliers": […], "offers": [{"vessel": …, "line": …}, …], "vessels": […], "fluids": […], "numbers": ["…", …], "leaves": ["…", …]}
//! ```
//!
//! Of fluid it may be `"money"` instead: the leaves of that level bound fluid too.
//!
//! The first lists name what the others speak of. Each leaf is one text of three fields with `|` between them:
//!
//! 1. a letter for each of `suppliers`: `c` closed, `p` paying, `f` free delivery, `-` undecided:
//!    the text stands for a leaf with each of these;
//! 2. limits on packs, `,` between them: position in `offers`, `:`, least, `..`, most (blank = no limit);
//! 3. which of `numbers` bound it, by position.
//!
//! Numbers are one text of four fields:
//!
//! 1. the weights of a deferred row of priority 1 to 4, of weighed money, of fluid and of the budget, `,` between them;
//! 2. the weights of suppliers' goods: position in `suppliers`, `:`, weight, `,` between them;
//! 3. the price of a piece of each of `vessels`, `,` between them; blank = as in the numbers before (in the first: 0);
//! 4. the price of a litre of each of `fluids`, which are owned, `,` between them; blank = what it costs.
//!
//! All numbers but those of the fourth are whole. What they mean is in [`crate::decision::leaf`].

use std::collections::BTreeSet;
use std::str::FromStr;

use itertools::Itertools;
use serde_json::{Value, json};

use super::object::{Object, count, signed, text};
use crate::decision::leaf::{Leaf, Leaves, Numbers, PackLimits, Terms, Weights};
use crate::decision::{Aim, Level};
use crate::project::Project;
use crate::rules::FluidId;
use crate::stock::{SupplierId, VesselId};
use crate::units::Money;

/// Leaves of a level as a file holds them.
pub(super) fn written(project: &Project, level: &Level) -> Value {
    let leaves = &level.leaves;
    if level.aim == Aim::Fluid && leaves.is_empty() {
        return json!(Aim::Money.name());
    }
    let (stock, rules) = (&project.stock, &project.rules);
    let names = Names::of(leaves);
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
        "numbers": leaves.numbers.iter().map(|numbers| names.written(numbers, &mut before)).collect::<Vec<_>>(),
        "leaves": leaves.parts.iter().map(|leaf| names.written_leaf(leaf)).collect::<Vec<_>>(),
    })
}

const LETTERS: [(char, Terms); 4] =
    [('-', Terms::Undecided), ('c', Terms::Closed), ('p', Terms::Paying), ('f', Terms::Free)];

fn joined(parts: impl Iterator<Item = String>) -> String {
    parts.collect::<Vec<_>>().join(",")
}

/// Leaves read back from a level.
pub(super) fn read(project: &Project, level: &Object) -> Option<Leaves> {
    if level.field("leaves")? == Aim::Money.name() && level.field("level")? == Aim::Fluid.name() {
        return Some(Leaves::default());
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
    let [numbers, parts] = ["numbers", "leaves"].map(|name| object.texts(name));
    object.done();
    let names = Names { suppliers: suppliers?, offers: offers?, vessels: vessels?, fluids: fluids? };
    let wrong =
        |name: &str, number: usize, wrong| object.findings.add(&format!("{}[{number}]", object.at(name)), wrong);
    let mut before = vec![0; names.vessels.len()];
    let mut leaves = Leaves::default();
    for (number, text) in numbers?.iter().enumerate() {
        let numbers = names.numbers(text, &mut before);
        if numbers.is_none() {
            wrong("numbers", number, "not four fields of numbers");
        }
        leaves.numbers.push(numbers?);
    }
    for (number, text) in parts?.iter().enumerate() {
        let leaf = names.leaf(text);
        if leaf.is_none() {
            wrong("leaves", number, "not three fields of a leaf");
        }
        leaves.parts.push(leaf?);
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
    /// What leaves speak of, in the stock's order, but for offers: those are as they first occur, which does not depend on
    /// the order of the stock list's lines.
    fn of(leaves: &Leaves) -> Self {
        let Leaves { parts, numbers } = leaves;
        let decided = parts.iter().flat_map(|leaf| leaf.suppliers.iter().map(|(supplier, _)| *supplier));
        let weighed = numbers.iter().flat_map(|numbers| numbers.goods.iter().map(|(supplier, _)| *supplier));
        let vessels = numbers.iter().flat_map(|numbers| numbers.prices.iter().map(|(vessel, _)| *vessel));
        let fluids = numbers.iter().flat_map(|numbers| numbers.fluid_prices.iter().map(|(fluid, _)| *fluid));
        Names {
            suppliers: decided.chain(weighed).collect::<BTreeSet<_>>().into_iter().collect(),
            offers: parts.iter().flat_map(|leaf| leaf.packs.iter().map(|limits| limits.offer)).unique().collect(),
            vessels: vessels.collect::<BTreeSet<_>>().into_iter().collect(),
            fluids: fluids.collect::<BTreeSet<_>>().into_iter().collect(),
        }
    }

    fn written_leaf(&self, leaf: &Leaf) -> String {
        let letter = |supplier: &SupplierId| {
            let terms = leaf.suppliers.iter().find(|(other, _)| other == supplier);
            LETTERS.iter().find(|(_, of)| *of == terms.map_or(Terms::Undecided, |terms| terms.1)).map_or('-', |l| l.0)
        };
        let letters: String = self.suppliers.iter().map(letter).collect();
        let packs = joined(leaf.packs.iter().map(|limits| {
            let most = limits.most.map(|most| most.to_string()).unwrap_or_default();
            let position = self.offers.iter().take_while(|other| **other != limits.offer).count();
            format!("{position}:{}..{most}", limits.least)
        }));
        format!("{letters}|{packs}|{}", leaf.numbers)
    }

    /// Numbers; `before` are the prices of those before, and then their own.
    fn written(&self, numbers: &Numbers, before: &mut Vec<i64>) -> String {
        let Weights { deferred: [one, two, three, four], money, fluid, budget } = numbers.weights;
        let weights = joined([one, two, three, four, money, fluid, budget].iter().map(i64::to_string));
        let position = |supplier: &SupplierId| self.suppliers.partition_point(|other| other < supplier);
        let goods = joined(numbers.goods.iter().map(|(supplier, weight)| format!("{}:{weight}", position(supplier))));
        let price =
            |vessel: &VesselId| numbers.prices.iter().find(|(of, _)| of == vessel).map_or(0, |(_, price)| *price);
        let prices: Vec<i64> = self.vessels.iter().map(price).collect();
        let changed = prices.iter().zip(&*before).map(|(price, before)| (price != before).then(|| price.to_string()));
        let changed = joined(changed.map(Option::unwrap_or_default));
        *before = prices;
        let litre = |fluid: &FluidId| numbers.fluid_prices.iter().find(|(other, _)| other == fluid);
        let litres =
            joined(self.fluids.iter().map(|fluid| litre(fluid).map(|(_, price)| price.text()).unwrap_or_default()));
        format!("{weights}|{goods}|{changed}|{litres}")
    }

    fn leaf(&self, text: &str) -> Option<Leaf> {
        let [letters, packs, numbers] = text.split('|').collect::<Vec<_>>().try_into().ok()?;
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
        let packs = items(packs).map(limits).collect::<Option<_>>()?;
        Some(Leaf { suppliers: suppliers.collect(), packs, numbers: whole(numbers)? })
    }

    /// Numbers; `before` are the prices of those before, and then their own.
    fn numbers(&self, text: &str, before: &mut [i64]) -> Option<Numbers> {
        let [weights, goods, prices, litres] = text.split('|').collect::<Vec<_>>().try_into().ok()?;
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
        Some(Numbers {
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
