//! The best sizes that are not listed.

use serde_json::{Value, json};

use super::{offer, plan_value};
use crate::decision::Status;
use crate::inquiry::PlanValue;
use crate::inquiry::break_even::BreakEven;
use crate::inquiry::new_sizes::families::VesselFamily;
use crate::inquiry::new_sizes::prices::{FittedLine, PriceSource};
use crate::inquiry::new_sizes::{NewSize, NewSizes};
use crate::project::Project;
use crate::report::columns::new_sizes::NewSizeLine;
use crate::report::curve::{EndedBy, said};
use crate::report::table::csv::file;
use crate::report::table::{Table, cells};
use crate::report::wrapping::{hanging, wrapped};
use crate::stock::Section;
use crate::units::{Money, decimal, index};
use crate::words::counted;

/// For a terminal. `ended`: why sizes are missing.
pub fn text(found: &NewSizes, ended: Option<EndedBy>) -> String {
    let fields = [
        NewSizeLine::SIZE,
        NewSizeLine::CAPACITY.headed("ml"),
        NewSizeLine::LOTS,
        NewSizeLine::PRICE.headed("price"),
        NewSizeLine::WORTH,
        NewSizeLine::COST_WITHOUT,
    ];
    let sizes = counted(index(found.most), "size that is not listed", "sizes that are not listed");
    let title = if found.most == 1 { format!("The best {}", &sizes[2..]) } else { format!("The best {sizes}") };
    let mut table = Table::of(title, &fields, lines(found));
    table.currency = &found.project.settings.currency;
    let mut text = table.text("").trim_start().to_owned();
    lines(found).for_each(|line| text.push_str(&hanging(&format!("  {}", described(line)), 4)));
    notes(found, ended).iter().for_each(|note| text.push_str(&wrapped(note, 2)));
    text
}

/// A size in words: what to ask a supplier for, and the lots it is for.
fn described(line: NewSizeLine) -> String {
    let vessel = line.vessel();
    let mouth = match vessel.mouth {
        Section::Round(bore) => format!("{} mm", decimal(bore.mm(), 1)),
        Section::Rectangular(length, width) => format!("{} × {} mm", decimal(length.mm(), 1), decimal(width.mm(), 1)),
    };
    let size = crate::inquiry::new_sizes::candidates::inner_sizes(vessel);
    format!("{size}: {}, mouth {mouth}, {}, {}; for {}", line.form(), line.material(), line.closure(), line.few_lots())
}

/// What is to be said below the table.
fn notes(found: &NewSizes, ended: Option<EndedBy>) -> Vec<String> {
    let mut notes = Vec::new();
    notes.push(match found.sizes.len() {
        0 => format!("No size that is not listed makes the plan better. It costs {}.", cost(&found.now)),
        _ => format!("The plan costs {} without these sizes, and {} with them.", cost(&found.now), cost(&found.plan)),
    });
    if !found.sizes.is_empty() {
        notes.push(
            "Price and worth are of a piece. Worth up to: the price below which the plan buys it, and above which it buys \
             none, beside the other sizes. Without it: what the plan costs more, or less where lots wait that are placed \
             with it."
                .to_owned(),
        );
        notes.extend(prices(found));
        if found.sizes.len() < index(found.most) {
            notes.push("No further size makes the plan better.".to_owned());
        }
    }
    let charge = found.project.settings.size_charge;
    if charge > Money::ZERO {
        notes.push(format!("Each kind costs {} beside its pieces (sizes.kind_charge).", charge.on_screen()));
    }
    let round = decimal(found.project.settings.size_round.0.mm(), 3);
    let of = match found.candidates - found.considered {
        0 => String::new(),
        _ => format!(", the most promising of {}", found.candidates),
    };
    notes.push(format!(
        "Chosen from {}{of}: multiples of {round} mm (sizes.round_mm) in the proportions of listed vessels.",
        counted(found.considered, "size", "sizes"),
    ));
    notes.extend(ended.map(said));
    let plans = [found.now.status, found.plan.status];
    let is_proved = found.sizes.iter().all(|size| size.threshold.as_ref().is_some_and(BreakEven::is_proved));
    notes.push(match is_proved && plans.iter().all(|status| *status == Status::ProvedBest) {
        true => "Proved: no others of these sizes do better.".to_owned(),
        false => {
            let limit = found.project.settings.time_limit.0;
            format!(
                "Not proved: others may do better. Each search has {limit} s (--set solver.time_limit_s={:.0} allows more).",
                limit * 4.0
            )
        }
    });
    if !found.sizes.is_empty() {
        notes.push(
            "Next: ask a supplier for a quote of these sizes. --out FILE writes them as a list; with the prices of the quote in \
             it, `rehouse sizes DIR --offer FILE` says what it is worth."
                .to_owned(),
        );
    }
    notes
}

/// What a plan costs, and how many lots have no place in it.
fn cost(plan: &PlanValue) -> String {
    let money = plan.values.money.on_screen();
    match plan.without_place.iter().sum::<i64>() {
        0 => money,
        lots => {
            let lots = usize::try_from(lots).unwrap_or(usize::MAX);
            format!("{money} with {} without a place", counted(lots, "lot", "lots"))
        }
    }
}

/// Where the prices of the proposed sizes come from, each family once.
fn prices(found: &NewSizes) -> Vec<String> {
    let mut families: Vec<usize> = found.sizes.iter().map(|size| size.family).collect();
    families.sort_unstable();
    families.dedup();
    let mut said: Vec<String> = families.into_iter().map(|at| priced(found, at)).collect();
    said.dedup();
    said
}

fn priced(found: &NewSizes, at: usize) -> String {
    let (family, source) = &found.families[at];
    let named = named(&found.project, family);
    match source {
        PriceSource::Family(line) => format!("Prices ({named}): {}.", said_of(line)),
        PriceSource::AllFamilies(line) => format!(
            "Prices ({named}): {}, of all kinds, because these have fewer than two capacities with a price, or prices that fall \
             with size.",
            said_of(line)
        ),
        PriceSource::Settings(_) => "Prices are those of sizes.price.".to_owned(),
    }
}

fn named(project: &Project, family: &VesselFamily) -> String {
    let kind = family.kind;
    let material = &project.rules.materials[kind.material.index()].id;
    format!("{}, {material}, {}", kind.form.name(), project.rules.closures[kind.closure.index()].id)
}

/// A line in words.
fn said_of(line: &FittedLine) -> String {
    let spread = match line.spread {
        Some(spread) => format!("; most lie within a factor of {:.2} of it", spread.exp()),
        None => "; two prices show no spread".to_owned(),
    };
    format!(
        "{:.2} × litres to the power of {}, fitted to {}{spread}",
        line.intercept.exp(),
        decimal(line.slope, 3),
        counted(line.prices, "listed price", "listed prices"),
    )
}

fn lines(found: &NewSizes) -> impl Iterator<Item = NewSizeLine<'_>> {
    found.sizes.iter().map(move |size| NewSizeLine { found, size })
}

/// As `sizes.csv`; `left_out` are rows that could not be read.
pub fn csv(found: &NewSizes, left_out: &[String]) -> Vec<u8> {
    let columns = NewSizeLine::FILE.map(|field| field.column);
    file(&columns, left_out, lines(found).map(|line| cells(&NewSizeLine::FILE, line)))
}

/// For a program, with the levels of each plan.
pub fn json(found: &NewSizes, left_out: &[String]) -> String {
    let settings = &found.project.settings;
    let object = json!({
        "of": "sizes that are not listed",
        "currency": settings.currency,
        "skipped_rows": left_out,
        "whole": found.is_whole(),
        "at_most": found.most,
        "candidates": found.candidates,
        "considered": found.considered,
        "round_mm": settings.size_round.0.mm(),
        "kind_charge": settings.size_charge.text(),
        "plan": plan_value(&found.now),
        "with_these_sizes": plan_value(&found.plan),
        "prices": found.families.iter().map(|of| family(&found.project, of)).collect::<Vec<_>>(),
        "sizes": found.sizes.iter().map(|size| self::size(found, size)).collect::<Vec<_>>(),
    });
    serde_json::to_string_pretty(&object).expect("numbers and text") + "\n"
}

fn family(project: &Project, (family, source): &(VesselFamily, PriceSource)) -> Value {
    let line = |line: &FittedLine| {
        json!({
            "price_of_a_litre": line.intercept.exp(),
            "power_of_litres": line.slope,
            "spread_of_log_price": line.spread,
            "listed_prices": line.prices,
        })
    };
    let (from, line) = match source {
        PriceSource::Family(own) => ("family", line(own)),
        PriceSource::AllFamilies(all) => ("all families", line(all)),
        PriceSource::Settings(_) => ("settings", Value::Null),
    };
    json!({
        "form": family.kind.form.name(),
        "material": project.rules.materials[family.kind.material.index()].id,
        "closure": project.rules.closures[family.kind.closure.index()].id,
        "from": from,
        "line": line,
    })
}

fn size(found: &NewSizes, size: &NewSize) -> Value {
    let (project, vessel) = (&found.project, found.project.stock.vessel(size.vessel));
    let key = |row: &u32| project.collection.specimens[index(*row)].key.to_string();
    let section = |section: Section| match section {
        Section::Round(bore) => json!([bore.mm()]),
        Section::Rectangular(length, width) => json!([length.mm(), width.mm()]),
    };
    let mut object = size.threshold.as_ref().map_or_else(|| json!({}), |threshold| offer(project, threshold));
    object["pack_price"] = json!(project.stock.offers[size.offer].pack_price.text());
    object["pieces"] = json!(size.pieces.0);
    object["vessel"] = json!(vessel.id);
    object["form"] = json!(found.families[size.family].0.kind.form.name());
    object["section_mm"] = section(vessel.section);
    object["inner_height_mm"] = json!(vessel.inner_height.mm());
    object["body_height_mm"] = json!(vessel.body_height.mm());
    object["mouth_mm"] = section(vessel.mouth);
    object["capacity_ml"] = json!(vessel.brimful.ml());
    object["material"] = json!(project.rules.materials[vessel.material.index()].id);
    object["closure"] = json!(project.rules.closures[vessel.closure.index()].id);
    object["lots"] = json!(size.lots.iter().map(key).collect::<Vec<_>>());
    object
}
