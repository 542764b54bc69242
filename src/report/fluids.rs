//! Fluid in figures: what to make up and from what, what to buy, spent fluid, and flammable fluid by place.

use std::cmp::Reverse;

use itertools::Itertools;

use super::columns::fluids::{Burning, ToBuy, ToDispose, ToMake};
use super::table::terminal::spared;
use super::table::{Kind, Table};
use super::wrapping::wrapped;
use crate::plan::flammable::FluidByPlace;
use crate::plan::large_glass::{InGlass, LARGE_GLASS, LargeGlass, in_glass_above, largest_vessel};
use crate::plan::{Flammable, FluidOrder, MadeFrom, MakeUp, Plan};
use crate::project::Project;
use crate::rules::Fluid;
use crate::units::{Millilitres, decimal};

/// The salts in grams: `NaH2PO4·H2O 4.476; Na2HPO4 7.274`.
pub fn salts(from: &MadeFrom) -> String {
    from.salts.iter().map(|(name, mg)| format!("{name} {}", decimal(*mg as f64 / 1000.0, 3))).join("; ")
}

/// The containers of an order: `2 × 25 l, 1 × 5 l`.
pub fn containers(order: &FluidOrder) -> String {
    order.containers.iter().rev().map(|(holds, _, count)| format!("{count} × {} l", holds.litres())).join(", ")
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

fn make_up(project: &Project, plan: &Plan) -> String {
    // These columns are left out if all their amounts are zero: baths, fluid kept, fluid on the shelf.
    let any = |amount: fn(&MakeUp) -> Millilitres| plan.make_up.iter().any(|made| amount(made) != Millilitres::ZERO);
    let extra = [
        (ToMake::IN_BATHS_IF_ANY.headed("in baths, l").spared(spared::IN_BATHS), any(|made| made.baths)),
        (ToMake::KEPT_IF_ANY.headed("kept, l").spared(spared::KEPT), any(|made| made.reused)),
        (ToMake::FROM_STOCK_IF_ANY.headed("on the shelf, l").spared(spared::ON_THE_SHELF), any(|made| made.from_stock)),
    ];
    let mut fields = vec![
        ToMake::FLUID,
        ToMake::ROWS.headed("lots").spared(spared::LOTS),
        ToMake::IN_VESSELS.headed("in vessels, l"),
    ];
    fields.extend(extra.into_iter().filter(|(_, says)| *says).map(|(field, _)| field));
    fields.extend([
        ToMake::TO_MAKE.headed("to make, l"),
        ToMake::PRICE.headed("per litre").spared(spared::PER_LITRE),
        ToMake::COST.headed("price"),
        ToMake::FLASH.headed("flash °C").kind(Kind::Decimal(0)).spared(spared::FLASH),
        ToMake::CLASS.spared(spared::CLASS),
    ]);
    let needed = ToMake::all(project, plan).filter(ToMake::is_needed);
    let table = Table::of("Fluid to make up", &fields, needed).in_currency(&project.settings.currency);
    if table.rows.is_empty() {
        return String::new();
    }
    let mut text = table.text("");
    text.push_str(&hazards(project, plan));
    let is_mixed = |row: &ToMake| row.made.made_from.is_some() && row.made.to_make > Millilitres::ZERO;
    let title = "Made from, at 20 °C (`rehouse mix` prints the bench cards)";
    let fields = [ToMake::FLUID, ToMake::TO_MAKE, ToMake::RECIPE];
    text + &Table::of(title, &fields, ToMake::all(project, plan).filter(is_mixed)).text("")
}

fn orders(project: &Project, plan: &Plan) -> String {
    let fields = [
        ToBuy::FLUID,
        ToBuy::NEEDED.headed("needed, l").spared(spared::NEEDED_LITRES),
        ToBuy::FROM_STOCK.headed("on the shelf, l").spared(spared::ON_THE_SHELF),
        ToBuy::TO_BUY.headed("to buy, l"),
        ToBuy::CONTAINERS_OR_NOT_STATED,
        ToBuy::COST.headed("price"),
    ];
    let title = "Fluid to buy (counted in the amount to pay, not in the cost)";
    Table::of(title, &fields, ToBuy::all(plan)).in_currency(&project.settings.currency).text("")
}

fn spent(project: &Project, plan: &Plan) -> String {
    let fields = [
        ToDispose::KIND,
        ToDispose::LITRES,
        ToDispose::PRICE_STATED.headed("per litre").spared(spared::PER_LITRE),
        ToDispose::COST.headed("price"),
    ];
    let table = Table::of("Spent fluid, by kind", &fields, ToDispose::all(project, plan));
    let mut text = table.in_currency(&project.settings.currency).text("");
    if plan.spent_not_stated > 0 {
        if plan.spent.is_empty() {
            text.push_str("\nSpent fluid\n");
        }
        let lots = if plan.spent_not_stated == 1 { "lot" } else { "lots" };
        let more =
            format!("for {} placed {lots} the volume of present fluid is not stated: add it", plan.spent_not_stated);
        text.push_str(&wrapped(&more, 2));
    }
    if !plan.spent.is_empty() || plan.spent_not_stated > 0 {
        text.push_str(&wrapped(SPENT, 2));
    }
    text
}

/// Note on spent fluid (R. McPhee and J. Carter, NHCOLL-L list, October 2001: formaldehyde is usual in spirit).
pub const SPENT: &str =
    "spent alcohol often holds formaldehyde: tell the waste contractor, and never pour it down a drain";

fn flammable(project: &Project, plan: &Plan) -> String {
    // Places without a stated volume are left out here. Their lots are counted below.
    let stated = |place: &&Flammable| [place.before, place.after, place.peak] != [Millilitres::ZERO; 3];
    let largest = plan
        .flammable
        .iter()
        .filter(stated)
        .sorted_by_key(|place| (Reverse(place.peak), &place.location))
        .take(MOST_PLACES);
    let mut places: Vec<Burning> = largest.map(|place| Burning::at(place, "not stated")).collect();
    let all = format!("all {} places", plan.flammable.len());
    if plan.flammable.len() > 1 && !places.is_empty() {
        let peak = FluidByPlace::of(project, plan).peak(|held| held.burns());
        places.push(Burning { peak, ..Burning::together(&all, &plan.flammable.iter().collect_vec()) });
    }
    let fields = [
        Burning::PLACE,
        Burning::NOW.headed("now, l"),
        Burning::AFTER.headed("after, l"),
        Burning::PEAK.headed("at the peak, at most, l"),
    ];
    let has_rows = !places.is_empty();
    let mut text = Table::of("Flammable fluid, largest places first", &fields, places).text("");
    if plan.flammable.is_empty() {
        return text;
    }
    if !has_rows {
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
    FluidByPlace::of(project, plan).without_class().iter().for_each(|kind| text.push_str(&without_class(kind)));
    let not_stated: usize = plan.flammable.iter().map(|place| place.not_stated).sum();
    if not_stated > 0 {
        let lots = if not_stated == 1 { "1 lot" } else { &format!("{not_stated} lots") };
        let words = format!("present volume of {lots} not stated: add it to the figures for now and for the peak");
        text.push_str(&wrapped(&words, 2));
    }
    text
}

/// Large glass vessels now and after the work, in words: number, sizes and fluid.
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

/// A line on a content that counts as flammable and has no class: its amount and its places.
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

/// Largest number of places shown on a terminal.
const MOST_PLACES: usize = 5;
