//! Fluid in figures: what to make up and from what, what to buy, what is spent and where it may burn.

use std::cmp::Reverse;

use itertools::Itertools;

use super::csv::write;
use super::table::{in_currency, table, wrapped};
use crate::fluid::flash;
use crate::plan::flammable::Moved;
use crate::plan::large_glass::{InGlass, LARGE_GLASS, LargeGlass, in_glass_above, largest_vessel};
use crate::plan::{Flammable, FluidOrder, MadeFrom, MakeUp, Plan};
use crate::project::Project;
use crate::rules::Fluid;
use crate::units::{Millilitres, Money, decimal};

const COLUMNS: [&str; 18] = [
    "line",
    "fluid",
    "rows",
    "litres_in_vessels",
    "litres_in_baths",
    "litres_kept",
    "litres_from_stock",
    "litres",
    "made_from",
    "concentrate_l",
    "water_l",
    "salts_g",
    "containers",
    "price_per_litre",
    "cost",
    "flash_c",
    "hazard_category",
    "litres_outside",
];

/// `make-up.csv`: a line per fluid to be made up, then per fluid or concentrate to be bought, then per kind of spent
/// fluid; the first cell says which.
pub fn make_up_file(project: &Project, plan: &Plan) -> Vec<u8> {
    let blank = || vec![String::new(); COLUMNS.len()];
    let made = plan.make_up.iter().map(|made| {
        let fluid = project.rules.fluid(made.fluid);
        let from = made.made_from.as_ref();
        let cells: [String; COLUMNS.len()] = [
            "make".to_owned(),
            fluid.id.clone(),
            made.rows.to_string(),
            made.amount.litres(),
            made.baths.litres(),
            made.reused.litres(),
            made.from_stock.litres(),
            made.to_make.litres(),
            from.map_or(String::new(), |from| from.concentrate.clone()),
            from.map_or(String::new(), |from| from.amount.litres()),
            from.and_then(|from| from.water).map_or(String::new(), Millilitres::litres),
            from.map_or(String::new(), salts),
            String::new(),
            project.fluid_price(made.fluid).text(),
            made.cost.text(),
            fluid.flash_c.map_or(String::new(), |flash| decimal(flash, 1)),
            category(fluid),
            made.amount_outside.litres(),
        ];
        cells.to_vec()
    });
    let bought = plan.fluid_orders.iter().map(|order| {
        let mut cells = blank();
        cells[0] = "buy".to_owned();
        cells[1] = order.fluid.clone();
        cells[6] = order.from_stock.litres();
        cells[7] = (order.needed - order.from_stock).litres();
        cells[12] = containers(order);
        cells[14] = order.cost.map_or(String::new(), Money::text);
        cells
    });
    let spent = plan.spent.iter().map(|spent| {
        let mut cells = blank();
        cells[0] = "spent".to_owned();
        cells[1] = spent.family.name().to_owned();
        cells[7] = spent.amount.litres();
        cells[13] = disposal_price(project, spent.family.name()).map_or(String::new(), Money::text);
        cells[14] = spent.cost.text();
        cells
    });
    write(COLUMNS.map(str::to_owned).to_vec(), &plan.skipped_rows, made.chain(bought).chain(spent))
}

/// `GHS 2, US IB`: how its flash point is classed, empty where it has none.
fn class(fluid: &Fluid) -> String {
    let Some(flash) = fluid.flash_c else { return String::new() };
    let category = flash::category(flash).map_or("-".to_owned(), |category| category.to_string());
    format!("GHS {category}, US {}", flash::us_class(flash))
}

/// Its hazard category as a flammable liquid, empty where it has none.
fn category(fluid: &Fluid) -> String {
    fluid.flash_c.and_then(flash::category).map_or(String::new(), |category| category.to_string())
}

/// `NaH2PO4·H2O 4.476; Na2HPO4 7.274`, in grams.
pub fn salts(from: &MadeFrom) -> String {
    from.salts.iter().map(|(name, mg)| format!("{name} {}", decimal(*mg as f64 / 1000.0, 3))).join("; ")
}

/// `2 × 25 l, 1 × 5 l`.
pub fn containers(order: &FluidOrder) -> String {
    order.containers.iter().rev().map(|(holds, _, count)| format!("{count} × {} l", holds.litres())).join(", ")
}

fn disposal_price(project: &Project, family: &str) -> Option<Money> {
    project.settings.disposal_price.get(family).copied()
}

/// A line for each hazard, with the fluids that have it.
fn hazards(project: &Project, plan: &Plan) -> String {
    let fluids: Vec<&Fluid> = plan.make_up.iter().map(|made| project.rules.fluid(made.fluid)).collect();
    let hazards = fluids.iter().map(|fluid| fluid.hazard.as_str()).filter(|hazard| !hazard.is_empty()).unique();
    let line = |hazard: &str| {
        let these = fluids.iter().filter(|fluid| fluid.hazard == hazard).map(|fluid| fluid.id.as_str()).join(", ");
        wrapped(&format!("{these}: {hazard}"), 2)
    };
    hazards.map(line).collect()
}

/// What a fluid is made from, in a few words: `20.1 l ethanol-96 + 7.9 l water`.
pub fn recipe(made: &MakeUp) -> String {
    let Some(from) = &made.made_from else { return "ready for use".to_owned() };
    let water =
        from.water.map_or("water to make up the volume".to_owned(), |water| format!("{} l water", water.litres()));
    let salts = from.salts.iter().map(|(name, mg)| format!(" + {} g {name}", decimal(*mg as f64 / 1000.0, 1)));
    format!("{} l {} + {water}{}", from.amount.litres(), from.concentrate, salts.collect::<String>())
}

/// The tables of fluid for a terminal.
pub fn tables(project: &Project, plan: &Plan) -> String {
    [make_up(project, plan), orders(project, plan), spent(project, plan), flammable(project, plan)].concat()
}

/// One of the amounts of a fluid.
type Amount = fn(&MakeUp) -> Millilitres;

fn make_up(project: &Project, plan: &Plan) -> String {
    let beside = |amount: Millilitres| if amount == Millilitres::ZERO { String::new() } else { amount.litres() };
    let any = |amount: Amount| plan.make_up.iter().any(|made| amount(made) != Millilitres::ZERO);
    // A column that says nothing is left out: baths, fluid kept, fluid on the shelf.
    let extra: [(&str, Amount); 3] = [
        ("in baths, l", |made| made.baths),
        ("kept, l", |made| made.reused),
        ("on the shelf, l", |made| made.from_stock),
    ];
    let extra: Vec<_> = extra.into_iter().filter(|(_, amount)| any(*amount)).collect();
    let [per_litre, price] = ["per litre", "price"].map(|what| in_currency(what, &project.settings.currency));
    let mut header = vec!["fluid", "lots", "in vessels, l"];
    header.extend(extra.iter().map(|(name, _)| *name));
    header.extend(["to make, l", per_litre.as_str(), price.as_str(), "flash °C", "class"]);
    // What only tanks without a price need is listed with them.
    let needed = |made: &&MakeUp| made.needed() != Millilitres::ZERO || made.rows > 0;
    let rows: Vec<Vec<String>> = plan
        .make_up
        .iter()
        .filter(needed)
        .map(|made| {
            let fluid = project.rules.fluid(made.fluid);
            let mut cells = vec![fluid.id.clone(), made.rows.to_string(), made.amount.litres()];
            cells.extend(extra.iter().map(|(_, amount)| beside(amount(made))));
            cells.extend([
                made.to_make.litres(),
                project.fluid_price(made.fluid).text(),
                made.cost.on_screen(),
                fluid.flash_c.map_or(String::new(), |flash| decimal(flash, 0)),
                class(fluid),
            ]);
            cells
        })
        .collect();
    let right: Vec<usize> = (1..7 + extra.len()).collect();
    let mut text = table("Fluid to make up", &header, &rows, &right, "");
    if rows.is_empty() {
        return text;
    }
    text.push_str(&hazards(project, plan));
    let to_make = |made: &&MakeUp| made.made_from.is_some() && made.to_make > Millilitres::ZERO;
    let made = plan.make_up.iter().filter(to_make);
    let rows: Vec<Vec<String>> = made
        .map(|made| vec![project.rules.fluid(made.fluid).id.clone(), made.to_make.litres(), recipe(made)])
        .collect();
    text.push_str(&table(
        "Made from, at 20 °C (`rehouse mix` prints the bench cards)",
        &["fluid", "litres", "from"],
        &rows,
        &[1],
        "",
    ));
    text
}

fn orders(project: &Project, plan: &Plan) -> String {
    let rows: Vec<Vec<String>> = plan
        .fluid_orders
        .iter()
        .map(|order| {
            vec![
                order.fluid.clone(),
                order.needed.litres(),
                order.from_stock.litres(),
                (order.needed - order.from_stock).litres(),
                if order.cost.is_some() { containers(order) } else { "sizes not stated".to_owned() },
                order.cost.map_or(String::new(), Money::on_screen),
            ]
        })
        .collect();
    let price = in_currency("price", &project.settings.currency);
    let header = ["fluid", "needed, l", "on the shelf, l", "to buy, l", "containers", &price];
    table("Fluid to buy (counted in the amount to pay, not in the cost)", &header, &rows, &[1, 2, 3, 5], "")
}

fn spent(project: &Project, plan: &Plan) -> String {
    let price = |family: &str| disposal_price(project, family).map_or("not stated".to_owned(), Money::text);
    let rows: Vec<Vec<String>> = plan
        .spent
        .iter()
        .map(|spent| {
            let name = spent.family.name();
            vec![name.to_owned(), spent.amount.litres(), price(name), spent.cost.on_screen()]
        })
        .collect();
    let [per_litre, cost] = ["per litre", "price"].map(|what| in_currency(what, &project.settings.currency));
    let mut text = table("Spent fluid, by kind", &["kind", "litres", &per_litre, &cost], &rows, &[1, 2, 3], "");
    if plan.spent_not_stated > 0 && !rows.is_empty() {
        let more =
            format!("for {} placed lots the volume of present fluid is not stated: add it", plan.spent_not_stated);
        text.push_str(&wrapped(&more, 2));
    }
    if !rows.is_empty() {
        text.push_str(&wrapped(SPENT, 2));
    }
    text
}

/// What is said of spent fluid (R. McPhee and J. Carter, NHCOLL-L list, October 2001: formaldehyde is usual in spirit).
pub const SPENT: &str =
    "spent alcohol often holds formaldehyde: tell the waste contractor, and never pour it down a drain";

fn flammable(project: &Project, plan: &Plan) -> String {
    let row = |name: &str, [now, after, peak]: [Millilitres; 3]| {
        vec![name.to_owned(), now.litres(), after.litres(), peak.litres()]
    };
    let sum = |amount: fn(&Flammable) -> Millilitres| plan.flammable.iter().map(amount).sum::<Millilitres>();
    let name =
        |place: &Flammable| if place.location.is_empty() { "not stated".to_owned() } else { place.location.clone() };
    // Lots that only do not say how much they are in are counted below.
    let stated = |place: &&Flammable| [place.before, place.after, place.peak] != [Millilitres::ZERO; 3];
    let largest = plan
        .flammable
        .iter()
        .filter(stated)
        .sorted_by_key(|place| (Reverse(place.peak), &place.location))
        .take(MOST_PLACES);
    let mut rows: Vec<Vec<String>> =
        largest.map(|place| row(&name(place), [place.before, place.after, place.peak])).collect();
    if plan.flammable.len() > 1 && !rows.is_empty() {
        let all = format!("all {} places", plan.flammable.len());
        let peak = Moved::of(project, plan).peak(|held| held.burns());
        rows.push(row(&all, [sum(|place| place.before), sum(|place| place.after), peak]));
    }
    let header = ["place", "now, l", "after, l", "at the peak, at most, l"];
    let mut text = table("Flammable fluid, largest places first", &header, &rows, &[1, 2, 3], "");
    if plan.flammable.is_empty() {
        return text;
    }
    if rows.is_empty() {
        text.push_str("\nFlammable fluid\n");
    }
    let in_glass = LARGE_GLASS.into_iter().zip(in_glass_above(project, plan, LARGE_GLASS));
    let in_glass = in_glass.map(|((size, class), found)| {
        let size = decimal(size.0 as f64 / 1000.0, 2);
        format!("glass vessels above {size} l with class {class}: {}", in_glass_in_words(&found, Millilitres::litres))
    });
    let largest = largest_vessel(project, plan);
    let tray = Millilitres((largest.0 * 11 + 9) / 10);
    let vessels = format!(
        "{}; the largest vessel, whatever is in it, holds {} l and needs a tray of {} l; fire-sheet.html (with --out \
         DIR) sets these beside the quantities the fire authority usually asks about",
        in_glass.collect_vec().join("; "),
        largest.litres(),
        tray.litres()
    );
    text.push_str(&wrapped(&vessels, 2));
    Moved::of(project, plan).without_class().iter().for_each(|kind| text.push_str(&without_class(kind)));
    let not_stated: usize = plan.flammable.iter().map(|place| place.not_stated).sum();
    if not_stated > 0 {
        let lots = if not_stated == 1 { "1 lot" } else { &format!("{not_stated} lots") };
        let words = format!("present volume of {lots} not stated: add it to the figures for now and for the peak");
        text.push_str(&wrapped(&words, 2));
    }
    text
}

/// Large vessels of glass, now and after the work.
pub(super) fn in_glass_in_words(found: &InGlass, litres: impl Fn(Millilitres) -> String) -> String {
    let at_one_time = |found: &LargeGlass| {
        let vessels = match found.vessels {
            0 => return "none".to_owned(),
            1 => "1 vessel".to_owned(),
            vessels => format!("{vessels} vessels"),
        };
        let sizes = found.sizes.map_or(String::new(), |(least, most)| match (litres(least), litres(most)) {
            (least, most) if least == most => format!(" of {most} l"),
            (least, most) => format!(" of {least} to {most} l"),
        });
        format!("{vessels}{sizes}, holding {} l", litres(found.fluid))
    };
    let not_stated = match found.not_stated {
        0 => String::new(),
        1 => "; not stated for 1 lot".to_owned(),
        lots => format!("; not stated for {lots} lots"),
    };
    if found.now.vessels == 0 && found.after.vessels == 0 && found.not_stated == 0 {
        return "none".to_owned();
    }
    format!("now {}{not_stated}; after {}", at_one_time(&found.now), at_one_time(&found.after))
}

/// A line on what counts as flammable and has no class: how much of it, and where.
fn without_class((what, places): &(&str, Vec<Flammable>)) -> String {
    let now: Millilitres = places.iter().map(|place| place.before).sum();
    let not_stated: usize = places.iter().map(|place| place.not_stated).sum();
    let lots = if not_stated == 1 { "lot" } else { "lots" };
    let amounts = [
        (now > Millilitres::ZERO).then(|| format!("{} l now", now.litres())),
        (not_stated > 0).then(|| format!("{not_stated} {lots} of unstated volume")),
    ];
    let amounts = amounts.into_iter().flatten().join(" and ");
    let at =
        |place: &Flammable| if place.location.is_empty() { "a place not stated" } else { &place.location }.to_owned();
    let named = places.iter().take(MOST_PLACES).map(at).join(", ");
    let more = match places.len().saturating_sub(MOST_PLACES) {
        0 => String::new(),
        more => format!(" and {more} more places"),
    };
    let line = format!("{what}, {amounts} at {named}{more}: counted as flammable until it is tested, class not stated");
    wrapped(&line, 2)
}

/// Places that a terminal shows.
const MOST_PLACES: usize = 5;
