//! The first screen: what needs a person, what happens to the rest, the money, the litres, what was proved.

use itertools::Itertools;

use super::{counted, escaped, money};
use crate::plan::{Outcome, Plan, cautions};
use crate::project::Project;
use crate::report::drawing::charts;
use crate::report::summary::proof;
use crate::units::Money;

/// Rows that need a decision shown on the first screen.
const MOST_DECISIONS: usize = 8;

pub fn section(project: &Project, plan: &Plan) -> String {
    [
        "<header><h1>Rehousing plan</h1></header>".to_owned(),
        skipped(plan),
        decisions(project, plan),
        counts(plan),
        spending(project, plan),
        litres(project, plan),
        format!("<p class=\"proof\"><b>Proof.</b> {}</p>", escaped(&proof(project, plan))),
        notes(plan),
    ]
    .concat()
}

fn skipped(plan: &Plan) -> String {
    if plan.skipped_rows.is_empty() {
        return String::new();
    }
    let rows: String = plan.skipped_rows.iter().map(|row| format!("<li>{}</li>", escaped(row))).collect();
    let n = counted(plan.skipped_rows.len(), "row", "rows");
    format!("<div class=\"first\"><h2>Left out: {n} that could not be read</h2><ul>{rows}</ul></div>")
}

/// What a person must settle before the plan can be carried out whole.
fn decisions(project: &Project, plan: &Plan) -> String {
    let rows = cautions::rows_of(plan, Outcome::NeedsDecision).collect_vec();
    if rows.is_empty() {
        return "<div class=\"none\"><h2>Nothing needs a person first</h2></div>".to_owned();
    }
    let line = |row: &&crate::plan::Placement| {
        let specimen = &project.collection.specimens[row.specimen];
        format!(
            "<li><b>{}</b> <i>{}</i> {}</li>",
            escaped(&specimen.key.to_string()),
            escaped(&specimen.name),
            escaped(&row.reason)
        )
    };
    let shown: String = rows.iter().take(MOST_DECISIONS).map(line).collect();
    let rest = match rows.len().saturating_sub(MOST_DECISIONS) {
        0 => String::new(),
        more => format!("<p class=\"note\">and {more} more, under <a href=\"#not-placed\">Not placed</a></p>"),
    };
    let n = counted(rows.len(), "row needs", "rows need");
    format!("<div class=\"first\"><h2>{n} a person first</h2><ul>{shown}</ul>{rest}</div>")
}

fn counts(plan: &Plan) -> String {
    let t = &plan.totals;
    let figures = [
        (t.placed, "placed"),
        (t.on_hand, "into vessels on hand"),
        (t.order, "into vessels to order"),
        (t.custom_tank, "into custom tanks"),
        (t.deferred, "deferred"),
        (t.needs_decision, "need a decision"),
        (t.held, "held, not to be moved"),
    ];
    let figure = |(n, what): &(usize, &str)| format!("<div><dt>{what}</dt><dd>{n}</dd></div>");
    let all = plan.placements.len();
    format!(
        "<dl class=\"figures\" aria-label=\"Rows\">{}</dl><p class=\"note\">of {}</p>",
        figures.iter().map(figure).collect::<String>(),
        counted(all, "row of the survey", "rows of the survey")
    )
}

fn spending(project: &Project, plan: &Plan) -> String {
    let t = &plan.totals;
    let parts = [(t.purchase, "vessels"), (t.delivery, "delivery"), (t.fluid, "fluid"), (t.tanks, "tanks")].into_iter();
    let parts = parts.filter(|(amount, _)| *amount > Money::ZERO);
    let parts: Vec<(String, f64, String)> =
        parts.map(|(amount, name)| (name.to_owned(), amount.approximate(), amount.on_screen())).collect();
    let budget = project.settings.budget;
    let whole = budget.unwrap_or(t.money).approximate();
    let of = budget.map_or(String::new(), |budget| format!(" of a budget of {}", money(project, budget)));
    let mut text = format!("<h2>Money: {}{of}</h2>", money(project, t.money));
    text.push_str(&charts::bar("Where the money goes", &parts, whole));
    let said: Vec<String> = parts.iter().map(|(name, _, amount)| format!("{name} {amount}")).collect();
    text.push_str(&format!("<p class=\"note\">{}</p>", said.join(", ")));
    let mut beside = Vec::new();
    if t.to_pay != t.money {
        beside.push(format!(
            "To pay {}: disposal of spent fluid is {} more, fluid in whole containers {} {}.",
            money(project, t.to_pay),
            t.disposal.on_screen(),
            if t.containers < Money::ZERO { -t.containers } else { t.containers }.on_screen(),
            if t.containers < Money::ZERO { "less than counted" } else { "more than counted" }
        ));
    }
    if t.labour > Money::ZERO {
        let counts = if project.settings.labour_in_budget { "counts against" } else { "stands beside" };
        beside.push(format!("Labour {} {counts} the budget.", money(project, t.labour)));
    }
    if t.saved_by_sharing > Money::ZERO {
        beside.push(format!("Shared tank sizes save {}.", money(project, t.saved_by_sharing)));
    }
    text.push_str(&beside.iter().map(|line| format!("<p class=\"note\">{line}</p>")).collect::<String>());
    text
}

fn litres(project: &Project, plan: &Plan) -> String {
    let made = plan.make_up.iter().filter(|made| made.amount.0 > 0);
    let fluids: String = made
        .map(|made| {
            let fluid = project.rules.fluid(made.fluid);
            format!("<div><dt>{}</dt><dd>{} l</dd></div>", escaped(&fluid.id), made.amount.litres())
        })
        .collect();
    format!(
        "<h2>Fluid in vessels: {} l</h2><dl class=\"figures small\" aria-label=\"Fluid\">{fluids}</dl>",
        plan.totals.litres.litres()
    )
}

fn notes(plan: &Plan) -> String {
    let notes: String = plan.warnings.iter().map(|warning| format!("<li>{}</li>", escaped(warning))).collect();
    if notes.is_empty() { notes } else { format!("<ul class=\"notes\" aria-label=\"Notes\">{notes}</ul>") }
}
