//! Fluids to make up, their hazards, spent fluid, flammable fluid by place, and the cautions that apply.

use itertools::Itertools;

use super::page::{Markup, element, list, paragraph, section};
use super::{Paper, rest};
use crate::fluid::flash;
use crate::plan::flammable as burning;
use crate::report::columns::fluids::{Burning, ToDispose, ToMake};
use crate::report::natural::natural;
use crate::report::table::html::PaperTable;
use crate::report::table::{Cell, Field, cells};
use crate::report::{fluids, summary};
use crate::rules::Fluid;
use crate::units::{Millilitres, decimal};
use crate::words::caution;

/// How much of each fluid to make up, and from what.
pub(super) fn to_make(paper: Paper) -> Markup {
    let plan = paper.plan;
    if plan.make_up.is_empty() {
        return Markup::new();
    }
    let mut content = element("h3", "", "Fluid to make up").with(amounts(paper));
    let outside: Millilitres = plan.make_up.iter().map(|made| made.amount_outside).sum();
    if outside > Millilitres::ZERO {
        let words = format!("Tanks of unknown price need {} l more, which is not in these sums.", outside.litres());
        content.push(paragraph("note", words));
    }
    content.push(made_from(paper));
    content.push(paragraph(
        "note",
        "The command rehouse mix prints a bench card for each fluid: what to measure out, and in what order.",
    ));
    content
}

/// Annex: hazards of each fluid, spent fluid by kind, and flammable fluid by place.
pub(super) fn fluid(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    let hazards = plan.make_up.iter().map(|made| project.rules.fluid(made.fluid));
    let flash = |fluid: &Fluid| {
        let category =
            |flash| flash::category(flash).map_or("no GHS category".to_owned(), |n| format!("GHS category {n}"));
        let words =
            |flash| format!("{} °C, {}, US class {}", decimal(flash, 0), category(flash), flash::us_class(flash));
        fluid.flash_c.map_or(String::new(), |flash| format!(" (flash point {})", words(flash)))
    };
    let hazards =
        hazards.map(|fluid| element("b", "", &fluid.name).with(format!(": {}{}", fluid.hazard, flash(fluid))));
    // Lots stand in flammable fluid whether or not any is made up.
    let mut content = if plan.make_up.is_empty() { paragraph("", "No fluid is needed.") } else { list("", hazards) };
    content.push(spent(paper));
    content.push(flammable(paper));
    section("fluid", "Annex: fluid", content)
}

/// The table of fluids with their litres and costs.
fn amounts(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    let fields = [
        ToMake::NAME,
        ToMake::ROWS.headed("lots"),
        ToMake::IN_VESSELS.headed("in vessels, l"),
        ToMake::IN_BATHS.headed("in baths, l"),
        ToMake::KEPT.headed("kept, l"),
        ToMake::FROM_STOCK.headed("on the shelf, l"),
        ToMake::TO_MAKE.headed("to make, l"),
        ToMake::PRICE_MARKED.headed("per litre"),
        ToMake::COST.headed("price"),
    ];
    let needed = ToMake::all(project, plan).filter(ToMake::is_needed);
    let mut table = paper.money(PaperTable::of("", &fields, needed));
    let sum =
        |amount: fn(&crate::plan::MakeUp) -> Millilitres| plan.make_up.iter().map(amount).sum::<Millilitres>().into();
    table.sum([
        "total".into(),
        Cell::Blank.into(),
        sum(|made| made.amount),
        sum(|made| made.baths),
        sum(|made| made.reused),
        sum(|made| made.from_stock),
        sum(|made| made.to_make),
        Cell::Blank.into(),
        plan.totals.fluid.into(),
    ]);
    table.markup()
}

/// The table of what each fluid is made from.
fn made_from(paper: Paper) -> Markup {
    let fields = [ToMake::NAME.headed("made from, at 20 °C"), ToMake::TO_MAKE, ToMake::RECIPE.headed("of")];
    let made = ToMake::all(paper.project, paper.plan).filter(|row| row.made.to_make > Millilitres::ZERO);
    PaperTable::of("", &fields, made).markup()
}

fn spent(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    let fields = [
        ToDispose::KIND,
        ToDispose::LITRES,
        ToDispose::PRICE_STATED.headed("per litre"),
        ToDispose::COST.headed("price"),
    ];
    let table = paper.money(PaperTable::of("", &fields, ToDispose::all(project, plan))).narrow().markup();
    if table.is_empty() && plan.spent_not_stated == 0 {
        return table;
    }
    let mut content = element("h3", "", "Spent fluid, by kind").with(table);
    if plan.spent_not_stated > 0 {
        let lots = super::page::counted(plan.spent_not_stated, "placed lot");
        content
            .push(paragraph("", format!("For {lots} the survey does not state the volume of present fluid: add it.")));
    }
    content.with(paragraph("", fluids::SPENT))
}

/// Cautions that apply.
pub(super) fn cautions(paper: Paper) -> Markup {
    let later = summary::later(paper.project, paper.plan).into_iter().map(|text| format!("Later: {text}."));
    let said = caution::sentences(&paper.project.rules, paper.plan);
    let said = said.into_iter().map(Markup::from).chain(later.map(Markup::from));
    section("cautions", "Cautions", list("columns", said))
}

/// Flammable fluid by place.
fn flammable(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    let fields: [Field<Burning>; 5] = [
        Burning::PLACE,
        Burning::NOW.headed("now, l"),
        Burning::NOT_STATED,
        Burning::PEAK.headed("at the peak, at most, l"),
        Burning::AFTER.headed("after, l"),
    ];
    let title = "Flammable fluid by place (fire-sheet.html is the page for the fire authority)";
    let shown = plan.flammable.len().min(MOST_PLACES);
    let places = plan.flammable.iter().sorted_by_cached_key(|place| natural(&place.location));
    let places = places.take(shown).map(|place| Burning::at(place, "not stated"));
    let mut table = PaperTable::of(title, &fields, places);
    let peak = burning::FluidByPlace::of(project, plan).peak(|held| held.burns());
    let all = Burning { peak, ..Burning::together("all places", &plan.flammable.iter().collect_vec()) };
    table.sum(cells(&fields, all).map(Into::into));
    table.markup().with(rest(shown, plan.flammable.len(), "plan.json"))
}

/// Largest number of places listed.
const MOST_PLACES: usize = 60;
