//! Annex: the proof of each aim, the settings (the project's own in bold), prices of fluids, and the digests of the
//! input files.

use itertools::Itertools;

use super::Paper;
use super::page::{Markup, element, grouped, paragraph, section};
use crate::decision::Aim;
use crate::plan::DefaultPrice;
use crate::report::columns::fluids::ToMake;
use crate::report::table::Column;
use crate::report::table::html::{PaperCell, PaperTable};
use crate::saved::as_shown;
use crate::settings::fluid::Containers;
use crate::units::{Millilitres, Money};
use crate::words::{counted_by_weight, warning};

/// Settings, prices and inputs.
pub(super) fn settings(paper: Paper, inputs: &[(String, String)]) -> Markup {
    let content = [
        paragraph("", "Your own settings are in bold. All others are defaults: a starting point, not a standard."),
        element("h3", "", "What was proved, aim by aim"),
        levels(paper),
        element("h3", "", "Settings"),
        keys(paper),
        by_name(paper),
        element("h3", "", "Prices of fluids"),
        prices(paper),
        element("h3", "", "What was read"),
        digests(inputs),
        paragraph(
            "note",
            concat!(
                "Made by rehouse ",
                env!("CARGO_PKG_VERSION"),
                ". plan.json has every figure and the digest of this paper."
            ),
        ),
    ];
    section("settings", "Annex: settings and inputs", content.into_iter().collect())
}

/// Table of the aims in order of rank: the value of this plan, the lower bound, and the kind of proof. The bound holds
/// for every plan that does as well in the aims above it.
fn levels(paper: Paper) -> Markup {
    // `figures`, because each aim has another unit.
    let columns = [
        Column::text("aim, in order of rank"),
        Column::figures("this plan"),
        Column::figures("no plan below"),
        Column::text("known"),
    ];
    let mut table = PaperTable::new("", columns).narrow();
    for level in &paper.plan.levels {
        let (value, bound) = as_shown(level);
        let amount = |number: i64| match level.aim {
            Aim::WeightedDeferred | Aim::Deferred(_) => grouped(number),
            Aim::Money => Money::from_parts(number).on_screen(),
            Aim::Fluid => format!("{} l", Millilitres(number).litres()),
        };
        let aim = match level.aim {
            Aim::WeightedDeferred => format!("lots deferred, {}", counted_by_weight(&paper.project.settings)),
            Aim::Deferred(priority) => format!("lots of priority {priority} deferred"),
            Aim::Money => "cost, litre_weight included".to_owned(),
            Aim::Fluid => "fluid in vessels and tanks".to_owned(),
        };
        table.row([aim.into(), amount(value).into(), amount(bound).into(), level.proof.name().into()]);
    }
    let note = "No plan that does as well in the aims above it goes below the bound. Recomputed: the bound equals the \
        value of this plan, and an audit recomputes it from the certificate in plan.json. None: the bound is below the \
        value of this plan.";
    table.markup().with(paragraph("note", note))
}

fn keys(paper: Paper) -> Markup {
    let columns = ["setting", "value", "whose", "meaning"].map(Column::text);
    let mut table = PaperTable::new("", columns);
    for setting in paper.project.settings.list() {
        // Spaces around `|` allow a line break between the items of a list, and nowhere else.
        let value = setting.value.map_or("none".to_owned(), |value| value.replace('|', " | "));
        table.row([
            code("", setting.key),
            if setting.is_default { value.into() } else { bold(value) },
            if setting.is_default { "default" } else { "your own" }.into(),
            setting.meaning.into(),
        ]);
    }
    table.markup()
}

fn code(class: &'static str, text: &str) -> PaperCell<'static> {
    PaperCell::Markup(element("code", class, text))
}

fn bold(text: String) -> PaperCell<'static> {
    PaperCell::Markup(element("b", "", text))
}

/// Settings that are given by name: of a column, a fluid or a family.
fn by_name(paper: Paper) -> Markup {
    let settings = &paper.project.settings;
    let columns = ["setting", "of", "value"].map(Column::text);
    let mut table = PaperTable::new("By name; all of these are your own", columns);
    let mut line = |key: &str, name: &str, value: String| {
        table.row([code("", key), name.to_owned().into(), bold(value)]);
    };
    settings.defaults.iter().for_each(|(column, cell)| line("defaults", column, cell.clone()));
    settings.fluid_price.iter().for_each(|(fluid, price)| line("fluid_price", fluid, price.text()));
    settings.disposal_price.iter().for_each(|(family, price)| line("disposal_price", family, price.text()));
    settings.containers.iter().for_each(|(fluid, sold)| line("containers", fluid, contents(sold)));
    table.markup()
}

/// Containers with their prices: `1 l 8.40, 5 l 32.00`.
fn contents(sold: &Containers) -> String {
    sold.0.iter().map(|(holds, price)| format!("{} l {}", holds.litres(), price.text())).join(", ")
}

fn prices(paper: Paper) -> Markup {
    let Paper { project, plan, .. } = paper;
    let columns =
        [ToMake::NAME.column, Column::price("per litre"), Column::text("whose"), Column::text("source of its figures")];
    let mut table = paper.money(PaperTable::new("", columns));
    for made in &plan.make_up {
        let fluid = project.rules.fluid(made.fluid);
        let whose = if fluid.price_is_default {
            PaperCell::Markup(element("span", "mark short", "not your own"))
        } else {
            "your own".into()
        };
        table.row([(&fluid.name).into(), fluid.price.into(), whose, (&fluid.source).into()]);
    }
    let tanks = plan.prices_not_yours.iter().filter(|price| matches!(price, DefaultPrice::Tank(_)));
    let tanks = tanks.map(|price| warning::default_price(project, price));
    let tanks = tanks.map(|price| paragraph("", element("span", "mark", format!("{price}: defaults, not your own"))));
    table.markup().with(tanks.collect::<Markup>())
}

fn digests(inputs: &[(String, String)]) -> Markup {
    let mut table = PaperTable::new("", ["file", "SHA-256"].map(Column::text));
    for (name, digest) in inputs {
        table.row([name.into(), code("long", digest)]);
    }
    table.markup()
}
