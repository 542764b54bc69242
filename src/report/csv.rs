//! The plan as CSV: RFC 4180, UTF-8 without a mark, comma, lines ended by LF.
//!
//! Cells that a spreadsheet would run are given one leading `'`, which the reader takes off again.

use std::borrow::Cow;
use std::collections::HashSet;
use std::io::{self, Write};

use crate::collection::{Key, Specimen};
use crate::plan::{Outcome, Placement, Plan, fluids};
use crate::project::Project;
use crate::rules::FluidId;
use crate::stock::VesselId;
use crate::system::threads::made_and_written;
use crate::tank::remarks::PLAINLY;
use crate::units::{Length, Millilitres, Money, decimal};
use crate::words;
use crate::words::tank::warnings::{remarks, warning};

/// Header of our own columns in `placements.csv`, after the key columns and before the carried ones.
const PLACEMENT_COLUMNS: [&str; 22] = [
    "outcome",
    "vessel",
    "vessels_used",
    "posture",
    "wall_gap_mm",
    "cover_mm",
    "gaps_of",
    "mouth_gap_mm",
    "tissue_share_pct",
    "life_years",
    "fluid",
    "charges",
    "fluid_ml",
    "fluid_cost",
    "kept_ml",
    "baths",
    "bath_days",
    "reason",
    "review",
    "nearest_vessel",
    "nearest_shortfall",
    "in_totals",
];

/// `placements.csv`, written as it is made: rows that were left out because they could not be read, then a line per row of
/// the survey, in its order.
///
/// # Errors
/// Where it cannot be written.
pub fn write_placements(project: &Project, plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    let carried = project.collection.carried_headers.iter().map(|header| {
        let ours = PLACEMENT_COLUMNS.contains(&header.to_lowercase().as_str());
        if ours { format!("input_{header}") } else { header.clone() }
    });
    let header: Vec<String> = key_headers(project).chain(PLACEMENT_COLUMNS.map(str::to_owned)).chain(carried).collect();
    out.write_all(&write(header, &plan.skipped_rows, std::iter::empty()))?;
    let keys = key_columns(project);
    let waits: HashSet<usize> = fluids::outside(&plan.tanks).into_iter().collect();
    // A tank without a price has its place and its fluid here, and neither in the totals.
    let in_totals = |placement: &Placement| match placement.outcome {
        Outcome::OnHand | Outcome::Order => "yes",
        Outcome::CustomTank if !waits.contains(&placement.specimen) => "yes",
        _ => "no",
    };
    let make = |share: &[Placement]| {
        lines(share.iter().map(|placement| {
            let specimen = &project.collection.specimens[placement.specimen];
            let key = keys.iter().map(|cell| Cow::from(cell(&specimen.key)));
            let carried = specimen.particulars.carried.iter().map(Cow::from);
            key.chain(placement_cells(project, specimen, placement, in_totals(placement))).chain(carried)
        }))
    };
    made_and_written(&plan.placements, ROWS_AT_A_TIME, make, |lines| out.write_all(lines))
}

/// The same as bytes.
pub fn placements(project: &Project, plan: &Plan) -> Vec<u8> {
    let mut bytes = Vec::new();
    write_placements(project, plan, &mut bytes).expect("memory takes all");
    bytes
}

/// Rows made before they are written.
const ROWS_AT_A_TIME: usize = 50_000;

fn placement_cells<'a>(
    project: &'a Project,
    specimen: &Specimen,
    placement: &'a Placement,
    in_totals: &'a str,
) -> [Cow<'a, str>; 22] {
    let fit = placement.fit;
    let nothing = || Cow::Borrowed("");
    let length = |length: Option<Length>| length.map_or(nothing(), |length| decimal(length.mm(), 1).into());
    let whole = |number: Option<i64>| number.map_or(nothing(), |number| number.to_string().into());
    let vessel = |id: Option<VesselId>| id.map_or(nothing(), |id| Cow::from(&project.stock.vessel(id).id));
    let posture = fit.and_then(|fit| fit.stance).map_or("", |stance| stance.name());
    let posture = if fit.is_some_and(|fit| fit.leaning) { format!("{posture} leaning").into() } else { posture.into() };
    let near = placement.near_miss.as_deref().filter(|_| placement.vessel.is_none());
    [
        placement.outcome.name().into(),
        vessel(placement.vessel),
        whole(fit.map(|fit| i64::from(fit.pieces))),
        posture,
        length(fit.and_then(|fit| fit.wall_gap)),
        length(fit.and_then(|fit| fit.cover)),
        gaps_of(specimen, placement).into(),
        length(fit.and_then(|fit| fit.mouth_gap)),
        fit.and_then(|fit| fit.tissue_share).map_or(nothing(), |share| decimal(share * 100.0, 1).into()),
        fit.and_then(|fit| fit.life_years).map_or(nothing(), |years| decimal(years, 1).into()),
        Cow::from(&project.rules.fluid(specimen.fluid).id),
        whole(placement.fluid.map(|_| i64::from(placement.charges))),
        whole(placement.fluid.map(|fluid| fluid.0)),
        placement.fluid_cost.map_or(nothing(), |cost| cost.text().into()),
        whole(placement.fluid.map(|_| placement.reused.0)),
        baths(project, placement).into(),
        placement.fluid.map_or(nothing(), |_| decimal(placement.bath_days, 1).into()),
        words::reason(project, placement),
        words::review(placement.marks),
        vessel(near.map(|(id, _)| *id)),
        near.map_or(nothing(), |(_, refusal)| words::refusal(refusal)),
        in_totals.into(),
    ]
}

/// What the free spaces of a row are measured round: of a lot only one individual, the largest.
fn gaps_of(specimen: &Specimen, placement: &Placement) -> &'static str {
    match placement.fit.and_then(|fit| fit.cover) {
        Some(_) if specimen.individuals > 1 => "one individual",
        _ => "",
    }
}

/// `ethanol-30 480 ml|ethanol-50 480 ml`.
fn baths(project: &Project, placement: &Placement) -> String {
    let bath = |(fluid, amount): &(FluidId, Millilitres)| format!("{} {} ml", project.rules.fluid(*fluid).id, amount.0);
    placement.baths.iter().map(bath).collect::<Vec<_>>().join("|")
}

/// `purchases.csv`: a line per offer bought, delivery as a line of its own after each supplier's.
pub fn purchases(project: &Project, plan: &Plan) -> Vec<u8> {
    let header = [
        "supplier",
        "order_code",
        "vessel",
        "description",
        "packs",
        "pack_size",
        "pieces",
        "pack_price",
        "line_total",
        "pieces_used",
        "spare",
    ];
    let stock = &project.stock;
    let mut rows = Vec::new();
    let mut deliveries = plan.deliveries.iter().peekable();
    let delivery_row = |delivery: &crate::plan::Delivery| {
        let mut cells = vec![String::new(); header.len()];
        cells[0] = stock.supplier(delivery.supplier).name.clone();
        cells[3] = "delivery".to_owned();
        cells[8] = delivery.charge.text();
        cells
    };
    for purchase in &plan.purchases {
        let offer = &stock.offers[purchase.offer];
        while let Some(delivery) = deliveries.next_if(|delivery| Some(delivery.supplier) < offer.supplier) {
            rows.push(delivery_row(delivery));
        }
        let vessel = stock.vessel(offer.vessel);
        rows.push(vec![
            offer.supplier.map_or(String::new(), |id| stock.supplier(id).name.clone()),
            offer.order_code.clone(),
            vessel.id.clone(),
            vessel.description.clone(),
            purchase.packs.to_string(),
            offer.pack_size.to_string(),
            purchase.pieces.to_string(),
            offer.pack_price.text(),
            purchase.line_total.text(),
            purchase.pieces_used.to_string(),
            purchase.spare.to_string(),
        ]);
    }
    rows.extend(deliveries.map(delivery_row));
    write(header.map(str::to_owned).to_vec(), &plan.skipped_rows, rows.into_iter())
}

/// Columns of `tanks.csv` after the key columns; those after `note` but the last are blank where there is no design.
const TANK_COLUMNS: [&str; 27] = [
    "length_mm",
    "width_mm",
    "height_mm",
    "posture",
    "fluid",
    "fluid_ml",
    "cost",
    "note",
    "outer_length_mm",
    "outer_width_mm",
    "outer_height_mm",
    "thickness_mm",
    "base_mm",
    "lid_mm",
    "construction",
    "stress_mpa",
    "allowable_mpa",
    "deflection_mm",
    "deflection_limit_mm",
    "seam_mpa",
    "seam_class",
    "sealant_ml",
    "cartridges",
    "empty_kg",
    "full_kg",
    "warnings",
    "limits",
];

/// `tanks.csv`: a line per custom tank, in survey order.
pub fn tanks(project: &Project, plan: &Plan) -> Vec<u8> {
    let header = key_headers(project).chain(TANK_COLUMNS.map(str::to_owned)).collect();
    let mm = |length: Length| decimal(length.mm(), 1);
    let rows = plan.tanks.iter().map(|tank| {
        let specimen = &project.collection.specimens[tank.specimen];
        let mut cells = vec![
            mm(tank.length),
            mm(tank.width),
            mm(tank.height),
            tank.stance.name().to_owned(),
            project.rules.fluid(specimen.fluid).id.clone(),
            tank.fluid.0.to_string(),
            tank.cost.map_or(String::new(), Money::text),
            words::tank::price_and_ways_out(tank.price_basis, &tank.ways_out).into_owned(),
        ];
        if let Some(design) = &tank.design {
            cells.extend(design.outer.map(mm));
            cells.extend([
                mm(design.wall),
                mm(design.base),
                mm(design.lid),
                words::tank::construction(&design.construction).into_owned(),
                decimal(design.stress.mpa(), 3),
                decimal(design.allowable.mpa(), 3),
                decimal(design.deflection.mm(), 3),
                decimal(design.deflection_limit.mm(), 3),
                decimal(design.seam.mpa(), 3),
                words::tank::seam_class(design.seam_class).into_owned(),
                decimal(design.sealant.ml(), 0),
                design.cartridges.to_string(),
                decimal(design.empty.kg(), 1),
                decimal(design.full.kg(), 1),
                design.warnings.iter().map(warning).collect::<Vec<_>>().join("; "),
            ]);
        }
        cells.resize(TANK_COLUMNS.len() - 1, String::new());
        cells.push(remarks(&PLAINLY));
        key_cells(project, &specimen.key).into_iter().chain(cells).collect()
    });
    write(header, &plan.skipped_rows, rows)
}

/// `panes.csv`: the cut lists of all tanks, in survey order.
pub fn panes(project: &Project, plan: &Plan) -> Vec<u8> {
    let ours = ["pane", "pieces", "length_mm", "width_mm", "thickness_mm", "edges"];
    let header = key_headers(project).chain(ours.map(str::to_owned)).collect();
    let rows = plan.tanks.iter().flat_map(|tank| {
        let key = key_cells(project, &project.collection.specimens[tank.specimen].key);
        let panes = tank.design.iter().flat_map(|design| &design.panes);
        panes.map(move |pane| {
            let cells = [
                words::tank::pane(pane.kind).into_owned(),
                pane.pieces.to_string(),
                decimal(pane.length.mm(), 1),
                decimal(pane.width.mm(), 1),
                decimal(pane.thickness.mm(), 1),
                words::tank::edges(pane.edges).into_owned(),
            ];
            key.clone().into_iter().chain(cells).collect()
        })
    });
    write(header, &plan.skipped_rows, rows)
}

/// `sheets.csv`: the stock sheets to order, a line for each thickness and size, and how much of them becomes panes.
pub fn sheets(plan: &Plan) -> Vec<u8> {
    let header = ["thickness_mm", "length_mm", "width_mm", "sheets", "panes", "used_pct"].map(str::to_owned).to_vec();
    let alike = plan.sheets.chunk_by(|a, b| (a.thickness, a.length, a.width) == (b.thickness, b.length, b.width));
    let rows = alike.map(|sheets| {
        let panes = || sheets.iter().flat_map(|sheet| &sheet.panes);
        let used: f64 = panes().map(|pane| pane.length.mm() * pane.width.mm()).sum();
        let whole = sheets[0].length.mm() * sheets[0].width.mm() * sheets.len() as f64;
        vec![
            decimal(sheets[0].thickness.mm(), 1),
            decimal(sheets[0].length.mm(), 1),
            decimal(sheets[0].width.mm(), 1),
            sheets.len().to_string(),
            panes().count().to_string(),
            decimal(100.0 * used / whole, 1),
        ]
    });
    write(header, &plan.skipped_rows, rows)
}

/// The key columns of the survey.
pub fn key_headers(project: &Project) -> impl Iterator<Item = String> {
    project.collection.key_headers.iter().cloned()
}

/// The key of a row, in the order of [`key_headers`].
pub fn key_cells(project: &Project, key: &Key) -> Vec<String> {
    key_columns(project).iter().map(|cell| cell(key).to_owned()).collect()
}

/// What each of the key columns shows of a key, in the order of [`key_headers`].
fn key_columns(project: &Project) -> Vec<fn(&Key) -> &str> {
    let column = |header: &String| -> fn(&Key) -> &str {
        match header.to_lowercase().as_str() {
            "institutioncode" => |key| &key.institution,
            "collectioncode" => |key| &key.collection,
            "part" => |key| &key.part,
            _ => |key| &key.catalog_number,
        }
    };
    project.collection.key_headers.iter().map(column).collect()
}

/// First characters of a cell that a spreadsheet may run, and the guard itself. Source: OWASP, CSV Injection (equals,
/// plus, minus, at, tab, carriage return, line feed, and the first four at full width).
const GUARDED: [char; 12] = ['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠', '\''];

/// A cell with one leading `'` where a spreadsheet would otherwise run it; a negative number is only a number.
pub fn guarded(cell: &str) -> Cow<'_, str> {
    // Nearly every cell, at the least expense.
    if cell.bytes().next().is_none_or(|first| first.is_ascii_alphanumeric()) {
        return cell.into();
    }
    let digits = |rest: &str| rest.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let is_number = cell.strip_prefix('-').is_some_and(digits);
    if cell.starts_with(GUARDED) && !is_number { format!("'{cell}").into() } else { cell.into() }
}

/// The cell without its guard: what [`guarded`] was given.
pub fn unguarded(cell: &str) -> &str {
    cell.strip_prefix('\'').filter(|rest| rest.starts_with(GUARDED)).unwrap_or(cell)
}

/// A table as bytes, every cell guarded: its header, then the rows of the inputs that were left out, each in the second cell, then its own.
pub fn write(header: Vec<String>, left_out: &[String], rows: impl Iterator<Item = Vec<String>>) -> Vec<u8> {
    let n_cells = header.len();
    let left_out = left_out.iter().map(|row| {
        let cells = ["left out".to_owned(), row.clone()].into_iter().chain(std::iter::repeat(String::new()));
        cells.take(n_cells).collect()
    });
    lines(std::iter::once(header).chain(left_out).chain(rows))
}

/// Lines of a table as bytes, every cell guarded; all have equally many cells.
fn lines<C: AsRef<str>>(rows: impl Iterator<Item = impl IntoIterator<Item = C>>) -> Vec<u8> {
    let mut writer = ::csv::WriterBuilder::new().from_writer(Vec::new());
    for row in rows {
        for cell in row {
            writer.write_field(guarded(cell.as_ref()).as_bytes()).expect("memory takes every cell");
        }
        writer.write_record(None::<&[u8]>).expect("memory takes every record");
    }
    writer.into_inner().expect("memory takes every record")
}
