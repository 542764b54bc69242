//! What the plan rests on: cautions, what was proved level by level, settings, prices that are nobody's own, inputs.

use super::{Column, escaped, table};
use crate::decision::{Aim, Level};
use crate::plan::{Plan, saved};
use crate::project::Project;
use crate::settings::Settings;
use crate::units::{Millilitres, Money};

pub fn cautions(plan: &Plan) -> String {
    let said: String = plan.cautions.iter().map(|caution| format!("<li>{}</li>", escaped(caution))).collect();
    format!("<ul class=\"cautions\">{said}</ul>")
}

pub fn section(project: &Project, plan: &Plan, inputs: &[(String, String)]) -> String {
    [levels(plan), prices(plan), settings(project), files(inputs)].concat()
}

fn levels(plan: &Plan) -> String {
    let rows: Vec<Vec<String>> = plan
        .levels
        .iter()
        .map(|level: &Level| {
            let (value, bound) = saved::as_shown(level);
            let amount = |number: i64| match level.aim {
                Aim::Deferred(_) => number.to_string(),
                Aim::Money => Money::from_parts(number).on_screen(),
                Aim::Fluid => format!("{} l", Millilitres(number).litres()),
            };
            vec![level.aim.name().to_owned(), amount(value), amount(bound), level.proof.name().to_owned()]
        })
        .collect();
    let columns = [
        Column("aim, in order of rank", false),
        Column("this plan", true),
        Column("no plan below", true),
        Column("known", false),
    ];
    table("What was proved", &columns, &rows)
}

fn prices(plan: &Plan) -> String {
    let rows: String = plan.prices_not_yours.iter().map(|price| format!("<li>{}</li>", escaped(price))).collect();
    if rows.is_empty() { rows } else { format!("<h3>Prices still at their defaults: not yours</h3><ul>{rows}</ul>") }
}

/// Every setting, those that were changed first.
fn settings(project: &Project) -> String {
    let defaults = Settings::default().list();
    let mut rows: Vec<(bool, Vec<String>)> = project
        .settings
        .list()
        .into_iter()
        .zip(defaults)
        .map(|((key, value, meaning), (_, default, _))| {
            let own = value != default;
            let mark = if own { "<b>yours</b>" } else { "default" };
            (own, vec![escaped(key), escaped(&value), mark.to_owned(), escaped(meaning)])
        })
        .collect();
    rows.sort_by_key(|(own, _)| !own);
    let columns = [Column("setting", false), Column("value", false), Column("", false), Column("meaning", false)];
    table("Settings", &columns, &rows.into_iter().map(|(_, row)| row).collect::<Vec<_>>())
}

fn files(inputs: &[(String, String)]) -> String {
    let rows: Vec<Vec<String>> =
        inputs.iter().map(|(name, digest)| vec![escaped(name), format!("<code>{}</code>", escaped(digest))]).collect();
    table("Files that were read, with their SHA-256", &[Column("file", false), Column("digest", false)], &rows)
}
