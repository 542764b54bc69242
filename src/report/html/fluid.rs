//! Make-up of fluids, what to beware of, what is spent, and the cautions that apply.

use itertools::Itertools;

use super::page::{Markup, element, list, paragraph, section};
use super::table::{Figures, Table, Words};
use super::{Paper, rest};
use crate::fluid::flash;
use crate::plan::flammable as burning;
use crate::report::natural::natural;
use crate::report::{fluids, summary};
use crate::rules::Fluid;
use crate::units::{Millilitres, decimal};
use crate::words::caution;

/// How much of each fluid to make up, and of what.
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

/// What to beware of in each fluid, what is spent, and where what burns stands.
pub(super) fn fluid(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    if plan.make_up.is_empty() {
        return section("fluid", "Annex: fluid", paragraph("", "No fluid is needed."));
    }
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
    let mut content = list("", hazards);
    content.push(spent(paper));
    content.push(flammable(paper));
    section("fluid", "Annex: fluid", content)
}

/// The table of fluids with their litres and what they cost.
fn amounts(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    let columns = [
        ("fluid", Words),
        ("lots", Figures),
        ("in vessels, l", Figures),
        ("in baths, l", Figures),
        ("kept, l", Figures),
        ("on the shelf, l", Figures),
        ("to make, l", Figures),
        (&paper.in_currency("per litre"), Figures),
        (&paper.in_currency("price"), Figures),
    ];
    let mut table = Table::new("", &columns);
    let needed = |made: &&crate::plan::MakeUp| made.needed() != Millilitres::ZERO || made.rows > 0;
    for made in plan.make_up.iter().filter(needed) {
        let fluid = project.rules.fluid(made.fluid);
        let default = if fluid.price_is_default { " (default)" } else { "" };
        table.row([
            Markup::from(&fluid.name),
            made.rows.into(),
            made.amount.litres().into(),
            made.baths.litres().into(),
            made.reused.litres().into(),
            made.from_stock.litres().into(),
            made.to_make.litres().into(),
            format!("{}{default}", project.fluid_price(made.fluid).text()).into(),
            made.cost.on_screen().into(),
        ]);
    }
    let sum = |amount: fn(&crate::plan::MakeUp) -> Millilitres| {
        Markup::from(plan.make_up.iter().map(amount).sum::<Millilitres>().litres())
    };
    table.sum([
        "total".into(),
        Markup::new(),
        sum(|made| made.amount),
        sum(|made| made.baths),
        sum(|made| made.reused),
        sum(|made| made.from_stock),
        sum(|made| made.to_make),
        Markup::new(),
        plan.totals.fluid.on_screen().into(),
    ]);
    table.markup()
}

/// What each fluid is made from.
fn made_from(paper: Paper) -> Markup {
    let columns = [("made from, at 20 °C", Words), ("litres", Figures), ("of", Words)];
    let mut table = Table::new("", &columns);
    for made in paper.plan.make_up.iter().filter(|made| made.to_make > Millilitres::ZERO) {
        let name = &paper.project.rules.fluid(made.fluid).name;
        table.row([Markup::from(name), made.to_make.litres().into(), fluids::recipe(made).into()]);
    }
    table.markup()
}

fn spent(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    let columns = [
        ("kind", Words),
        ("litres", Figures),
        (&paper.in_currency("per litre"), Figures),
        (&paper.in_currency("price"), Figures),
    ];
    let mut table = Table::new("", &columns).narrow();
    for spent in &plan.spent {
        let name = spent.family.name();
        let price = project.settings.disposal_price.get(name).map_or("not stated".to_owned(), |price| price.text());
        table.row([name.into(), spent.amount.litres().into(), price.into(), spent.cost.on_screen().into()]);
    }
    let table = table.markup();
    if table.is_empty() {
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
    let columns = [
        ("place", Words),
        ("now, l", Figures),
        ("lots not stated", Figures),
        ("at the peak, at most, l", Figures),
        ("after, l", Figures),
    ];
    let mut table =
        Table::new("Flammable fluid by place (fire-sheet.html is the page for the fire authority)", &columns);
    let shown = plan.flammable.len().min(MOST_PLACES);
    let places = plan.flammable.iter().sorted_by_cached_key(|place| natural(&place.location));
    for place in places.take(shown) {
        let name = if place.location.is_empty() { "not stated" } else { &place.location };
        table.row([
            name.into(),
            place.before.litres().into(),
            place.not_stated.into(),
            place.peak.litres().into(),
            place.after.litres().into(),
        ]);
    }
    let sum = |amount: fn(&crate::plan::Flammable) -> Millilitres| {
        Markup::from(plan.flammable.iter().map(amount).sum::<Millilitres>().litres())
    };
    let not_stated: usize = plan.flammable.iter().map(|place| place.not_stated).sum();
    let peak = burning::Moved::of(project, plan).peak(|held| held.burns()).litres();
    table.sum(["all places".into(), sum(|p| p.before), not_stated.into(), peak.into(), sum(|p| p.after)]);
    table.markup().with(rest(shown, plan.flammable.len(), "plan.json"))
}

/// Places that are listed.
const MOST_PLACES: usize = 60;
