//! The kinds of vessel to keep.

use serde_json::{Value, json};

use super::plan_value;
use crate::decision::Status;
use crate::inquiry::kept::{KeptKind, KeptKinds};
use crate::project::Project;
use crate::report::columns::sizes::KeptLine;
use crate::report::curve::{EndedBy, said};
use crate::report::table::csv::file;
use crate::report::table::terminal::SHOWN_ROWS;
use crate::report::table::{Table, cells};
use crate::report::wrapping::wrapped;
use crate::units::{Money, index};

/// The answer to `sizes --keep` for a terminal. `ended` says why the search stopped before it was complete; `None` if it was not stopped.
pub fn text(project: &Project, kept: &KeptKinds, ended: Option<EndedBy>) -> String {
    let fields = [
        KeptLine::VESSEL,
        KeptLine::LOTS,
        KeptLine::USED.headed("pieces"),
        KeptLine::FROM_SHELF.headed("from the shelf"),
        KeptLine::BOUGHT.headed("to buy"),
        KeptLine::FEW_KEYS,
    ];
    let title = format!("The best plan with at most {} of vessel", kinds(kept.most.into()));
    let mut table = Table::of_first(SHOWN_ROWS, title, &fields, lines(project, kept));
    table.currency = &project.settings.currency;
    let mut text = table.text("`--out FILE` writes all of them").trim_start().to_owned();
    notes(project, kept, ended).iter().for_each(|note| text.push_str(&wrapped(note, 2)));
    text
}

fn kinds(kinds: u64) -> String {
    if kinds == 1 { "1 kind".to_owned() } else { format!("{kinds} kinds") }
}

/// What is to be said below the table.
fn notes(project: &Project, kept: &KeptKinds, ended: Option<EndedBy>) -> Vec<String> {
    let waiting = |lots: [i64; 4]| match lots.iter().sum::<i64>() {
        0 => String::new(),
        1 => "; 1 lot has no place".to_owned(),
        lots => format!("; {lots} lots have no place"),
    };
    let (now, plan) = (&kept.now, &kept.plan);
    let mut notes = vec![format!(
        "It costs {}{}. The plan as it is uses {} and costs {}{}.",
        plan.values.money.on_screen(),
        waiting(plan.without_place),
        kinds(kept.kinds_now as u64),
        now.values.money.on_screen(),
        waiting(now.without_place)
    )];
    let price = plan.values.money - now.values.money;
    let more = plan.without_place.iter().zip(now.without_place).map(|(then, now)| then - now);
    let of = |(at, more): (usize, i64)| (more != 0).then(|| format!("{more:+} of priority {}", at + 1));
    let more: Vec<String> = more.enumerate().filter_map(of).collect();
    notes.push(match (more.is_empty(), price == Money::ZERO) {
        (true, true) => "So few kinds cost no more.".to_owned(),
        (true, false) => format!("So few kinds cost {} more.", price.on_screen()),
        (false, _) => format!("With so few kinds the number of lots without a place changes: {}.", more.join(", ")),
    });
    if kept.in_tanks > 0 {
        notes.push(format!("Tanks are not counted as a kind: {} in this plan.", kept.in_tanks));
    }
    notes.extend(crate::words::not_audited(project));
    notes.extend(ended.map(said));
    match kept.plan.status {
        Status::ProvedBest => notes.push("Proved best: no other kinds do better.".to_owned()),
        _ => {
            let limit = project.settings.time_limit.0;
            let more = limit * 4.0;
            notes.push(format!(
                "Not proved: other kinds may do better. The search has {limit} s (--set solver.time_limit_s={more:.0} allows more)."
            ));
        }
    }
    notes
}

fn lines<'a>(project: &'a Project, kept: &'a KeptKinds) -> impl Iterator<Item = KeptLine<'a>> {
    kept.kinds.iter().map(move |kind| KeptLine { project, kept, kind })
}

/// As `sizes.csv`; `left_out` are rows that could not be read.
pub fn csv(project: &Project, kept: &KeptKinds, left_out: &[String]) -> Vec<u8> {
    let columns = KeptLine::FILE.map(|field| field.column);
    file(&columns, left_out, lines(project, kept).map(|line| cells(&KeptLine::FILE, line)))
}

/// For a program, with the levels of both plans.
pub fn json(project: &Project, kept: &KeptKinds, left_out: &[String]) -> String {
    let object = json!({
        "of": "kinds to keep",
        "currency": project.settings.currency,
        "skipped_rows": left_out,
        "at_most": kept.most,
        "plan": plan_value(&kept.now),
        "kinds_in_plan": kept.kinds_now,
        "with_these_kinds": plan_value(&kept.plan),
        "in_tanks": kept.in_tanks,
        "kinds": kept.kinds.iter().map(|kind| self::kind(project, kind)).collect::<Vec<_>>(),
    });
    serde_json::to_string_pretty(&object).expect("numbers and text") + "\n"
}

fn kind(project: &Project, kind: &KeptKind) -> Value {
    let key = |row: &u32| project.collection.specimens[index(*row)].key.to_string();
    json!({
        "vessel": project.stock.vessel(kind.vessel).id,
        "lots": kind.lots.iter().map(key).collect::<Vec<_>>(),
        "pieces_used": kind.used.0,
        "from_shelf": kind.from_shelf.0,
        "bought": kind.bought.0,
    })
}
