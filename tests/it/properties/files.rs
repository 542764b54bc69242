//! Small random projects as rows of cells, so that a change to one cell, row or setting is one line.

use std::collections::BTreeMap;

use crate::support::{CsvRow, CsvTable};

/// The files of a project. Every row has every column of its file; a column without a value is blank.
#[derive(Clone)]
pub struct ProjectTables {
    pub survey: CsvTable,
    pub stock: CsvTable,
    pub suppliers: CsvTable,
    /// TOML by dotted key.
    pub settings: BTreeMap<String, String>,
}

/// Pseudorandom numbers, the same in every run (Marsaglia 2003, xorshift).
pub struct XorShift(u64);

impl XorShift {
    pub fn from(seed: u64) -> Self {
        let mut numbers = Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
        for _ in 0..8 {
            numbers.below(2);
        }
        numbers
    }

    pub fn below(&mut self, n: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) % n
    }

    pub fn between(&mut self, least: u64, most: u64) -> u64 {
        least + self.below(most - least + 1)
    }

    pub fn of<T: Copy>(&mut self, choices: &[T]) -> T {
        choices[self.below(choices.len() as u64) as usize]
    }

    /// True with probability 1 / n.
    pub fn once_in(&mut self, n: u64) -> bool {
        self.below(n) == 0
    }

    pub fn shuffle<T>(&mut self, rows: &mut [T]) {
        for at in (1..rows.len()).rev() {
            rows.swap(at, self.below(at as u64 + 1) as usize);
        }
    }
}

const SURVEY: &str = "catalogNumber part scientificName individualCount length_mm width_mm height_mm outline posture \
    tissue_ml mass_g fluid keep_years display priority must_use must_not_use max_vessels clearance_mm \
    section_give_pct max_outer_height_mm tank_quote hold current_vessel shelfmark";
const STOCK: &str = "vessel form inner_diameter_mm inner_length_mm inner_width_mm inner_height_mm body_height_mm \
    mouth_diameter_mm capacity_ml material closure on_hand on_order reserve supplier order_code unit_price pack_price \
    pack_size min_packs order_limit outer_height_mm";
const SUPPLIERS: &str = "supplier delivery_charge free_delivery_over minimum_order";

fn row(columns: &str, cells: &[(&str, String)]) -> CsvRow {
    let mut row: CsvRow = columns.split_whitespace().map(|column| (column.to_owned(), String::new())).collect();
    for (column, cell) in cells {
        assert!(row.insert((*column).to_owned(), cell.clone()).is_some(), "no column {column}");
    }
    row
}

pub fn random_files(seed: u64) -> ProjectTables {
    let mut n = XorShift::from(seed);
    let kinds = n.between(8, 12) as usize;
    let mut stock = CsvTable::new();
    for kind in 0..kinds {
        vessel(&mut n, kind, &mut stock);
    }
    let mut survey = CsvTable::new();
    for number in 0..n.between(15, 25) {
        let specimen = match survey.last() {
            // Another specimen like the last: equal rows form one class of the decision.
            Some(last) if n.once_in(4) && last["must_use"].is_empty() => CsvRow::clone(last),
            _ => specimen(&mut n, kinds),
        };
        let name = format!("S{:02}", number / 2 * 2);
        let part = if number % 2 == 0 { "" } else { "b" };
        let mut specimen = specimen;
        specimen.insert("catalogNumber".to_owned(), name);
        specimen.insert("part".to_owned(), part.to_owned());
        specimen.insert("shelfmark".to_owned(), format!("case {number}"));
        survey.push(specimen);
    }
    let terms = [("Alder", "8", "40", ""), ("Birch", "5", "", "15"), ("Cedar", "", "", "")];
    let suppliers = terms.map(|(supplier, charge, free_over, minimum)| {
        let cells = [
            ("supplier", supplier),
            ("delivery_charge", charge),
            ("free_delivery_over", free_over),
            ("minimum_order", minimum),
        ];
        row(SUPPLIERS, &cells.map(|(column, cell)| (column, cell.to_owned())))
    });
    ProjectTables { survey, stock, suppliers: suppliers.into(), settings: settings(&mut n) }
}

/// One kind of vessel, with one to three offers.
fn vessel(n: &mut XorShift, kind: usize, stock: &mut CsvTable) {
    let round = !n.once_in(3);
    let (wide, deep, high) = (n.between(28, 150), n.between(28, 110), n.between(50, 230));
    let mut cells = vec![
        ("vessel", format!("V{kind:02}")),
        ("form", if round { "cylinder" } else { "rectangular" }.to_owned()),
        ("inner_height_mm", high.to_string()),
        ("material", n.of(&["soda-lime", "borosilicate", "polypropylene", "stoneware"]).to_owned()),
        ("closure", n.of(&["pp-cap-foamed-pe", "ground-glass-stopper", "pp-cap-ptfe", "clip-silicone"]).to_owned()),
    ];
    if round {
        cells.push(("inner_diameter_mm", wide.to_string()));
        if n.once_in(3) {
            cells.push(("mouth_diameter_mm", (wide * 4 / 5).to_string()));
            cells.push(("body_height_mm", (high * 7 / 8).to_string()));
        }
    } else {
        cells.extend([("inner_length_mm", wide.to_string()), ("inner_width_mm", deep.to_string())]);
        if n.once_in(3) {
            cells.push(("capacity_ml", (wide * deep * high * 21 / 20_000).to_string()));
        }
    }
    if n.once_in(2) {
        cells.push(("outer_height_mm", (high + 12).to_string()));
    }
    let mut owned = vec![("on_hand", n.of(&[0, 0, 0, 1, 2, 3]).to_string())];
    if n.once_in(4) {
        owned.push(("on_order", n.between(1, 2).to_string()));
    }
    if n.once_in(3) {
        owned.push(("reserve", n.between(1, 2).to_string()));
    }
    for offer in 0..n.of(&[1, 1, 1, 2, 2, 3]) {
        let mut line = cells.clone();
        if offer == 0 {
            line.extend(owned.clone());
        }
        line.push(("order_code", format!("{kind}-{offer}")));
        line.push(("supplier", n.of(&["Alder", "Alder", "Birch", "Birch", "Cedar", "Cedar", ""]).to_owned()));
        let size = n.of(&[1, 1, 1, 3, 6]);
        line.push(("pack_size", size.to_string()));
        let price = format!("{}.{}", n.between(1, 9 - 2 * offer), n.of(&["0", "25", "5", "99"]));
        if offer == 0 && n.once_in(7) {
            // This offer has no price and cannot be ordered.
        } else if size > 1 && n.once_in(2) {
            line.push(("pack_price", format!("{}.4", size * n.between(1, 8))));
        } else {
            line.push(("unit_price", price));
        }
        if n.once_in(4) {
            line.push(("min_packs", "2".to_owned()));
        }
        if n.once_in(3) {
            line.push(("order_limit", n.between(2, 12).to_string()));
        }
        stock.push(row(STOCK, &line));
    }
}

/// One row of the survey, without its key.
fn specimen(n: &mut XorShift, kinds: usize) -> CsvRow {
    let (length, width, height) = (n.between(20, 130), n.between(10, 70), n.between(10, 70));
    let mut cells = vec![
        ("scientificName", n.of(&["Anguis fragilis", "Natrix natrix", "Carcinus maenas"]).to_owned()),
        ("outline", n.of(&["box", "rounded", "rounded", ""]).to_owned()),
        ("fluid", n.of(&["ethanol-70", "ethanol-70", "formalin-10", "nbf-10"]).to_owned()),
        ("priority", n.between(1, 4).to_string()),
    ];
    let mut sized = |sides: [u64; 3]| {
        let columns = ["length_mm", "width_mm", "height_mm"];
        cells.extend(columns.into_iter().zip(sides.map(|side| side.to_string())));
    };
    match n.below(12) {
        0 => {
            let thick = n.between(4, 9);
            sized([n.between(100, 400), thick, thick]);
            cells.push(("posture", "coil".to_owned()));
        }
        1 => {
            let present = n.below(kinds as u64);
            cells.push(("current_vessel", format!("V{present:02}")));
        }
        2 | 3 => {
            let lot = n.between(3, 12);
            sized([length / 2, width / 2, height / 2]);
            cells.push(("individualCount", lot.to_string()));
            cells.push(("max_vessels", n.between(2, 4).to_string()));
            cells.push(("tissue_ml", (1 + length * width * height / 8 * lot / 2000).to_string()));
        }
        _ => {
            sized([length, width, height]);
            cells.push(("posture", n.of(&["as-set", "upright", "either", "any", ""]).to_owned()));
            match n.below(4) {
                0 => cells.push(("tissue_ml", (1 + length * width * height / 4000).to_string())),
                1 => cells.push(("mass_g", (1 + length * width * height / 3000).to_string())),
                _ => {}
            }
        }
    }
    let now_and_then = [
        (9, "keep_years", n.of(&["15", "20"]).to_owned()),
        (9, "display", n.of(&["clear", "flat"]).to_owned()),
        (12, "must_not_use", format!("V{:02}|@tank", n.below(kinds as u64))),
        (9, "clearance_mm", n.between(1, 4).to_string()),
        (9, "section_give_pct", "10".to_owned()),
        (9, "max_outer_height_mm", n.between(90, 260).to_string()),
        (12, "tank_quote", n.between(20, 60).to_string()),
        (20, "hold", "being drawn".to_owned()),
    ];
    cells.extend(now_and_then.into_iter().filter(|(times, ..)| n.once_in(*times)).map(|(_, name, cell)| (name, cell)));
    if n.once_in(10) {
        cells.retain(|(column, _)| *column != "must_not_use");
        let mut pins = [n.below(kinds as u64), n.below(kinds as u64)].map(|kind| format!("V{kind:02}"));
        if n.once_in(3) {
            pins[1] = "@tank".to_owned();
        }
        cells.push(("must_use", pins.join("|")));
    }
    let mut row = row(SURVEY, &cells);
    if n.once_in(25) {
        row.insert("fluid".to_owned(), "unknown".to_owned());
    }
    row
}

fn settings(n: &mut XorShift) -> BTreeMap<String, String> {
    let chosen = [
        ("budget", n.of(&["\"\"", "\"\"", "25", "50", "90"])),
        ("max_vessel_types", n.of(&["\"\"", "1", "2", "3"])),
        ("max_suppliers", n.of(&["\"\"", "0", "1", "1"])),
        ("spare_pct", n.of(&["0", "0", "25"])),
        ("labour_in_budget", n.of(&["false", "false", "true"])),
        ("litre_weight", n.of(&["0", "0.8"])),
        ("tanks", n.of(&["\"leftovers\"", "\"when cheaper\""])),
        ("store", n.of(&["\"controlled\"", "\"uncontrolled\""])),
        ("accept_unproven", n.of(&["false", "true"])),
        ("labour.rate_per_hour", "12"),
        // The only part of a tank's price that depends on no measure and is not rounded.
        ("tank.delivery", n.of(&["2", "10"])),
        ("tank.rate_per_hour", "0"),
        ("tank.cartridge_price", "0"),
        ("glass.price_per_m2", "\"4=0|8=0|15=0|19=0|25=0\""),
        ("glass.edge_per_m", "0"),
        ("glass.ground_per_m", "0"),
        ("glass.opening_price", "0"),
        ("glass.set_up", "0"),
        ("glass.minimum_charge", "0"),
        // Joints and lids do not scale with the sides of a tank: these settings keep them from being decisive.
        ("tank.least_bite_mm", "4"),
        ("tank.seam_mpa", "0.14"),
        ("tank.hand_load_n", "0"),
        ("tank.smallest_side_mm", n.of(&["25", "40"])),
        ("fluid_price.ethanol-70", "4.0"),
        ("fluid_price.formalin-10", "1.6"),
        ("fluid_price.nbf-10", "2.4"),
        ("solver.time_limit_s", "300"),
    ];
    chosen.into_iter().map(|(key, value)| (key.to_owned(), value.to_owned())).collect()
}

impl ProjectTables {
    /// The files of the project folder by name.
    pub fn texts(&self) -> BTreeMap<String, Vec<u8>> {
        let settings: String = self.settings.iter().map(|(key, value)| format!("{key} = {value}\n")).collect();
        BTreeMap::from([
            ("specimens.csv".to_owned(), csv(&self.survey)),
            ("vessels.csv".to_owned(), csv(&self.stock)),
            ("suppliers.csv".to_owned(), csv(&self.suppliers)),
            ("settings.toml".to_owned(), settings.into_bytes()),
        ])
    }

    /// Multiplies a setting, if it has a numeric value.
    pub fn scale_setting(&mut self, key: &str, times: f64) {
        if let Some(value) = self.settings.get_mut(key) {
            scale(value, times);
        }
    }
}

/// Multiplies the number in a cell, to four decimals; a cell without a number stays.
fn scale(cell: &mut String, times: f64) {
    if let Ok(number) = cell.parse::<f64>() {
        *cell = format!("{:.4}", number * times).trim_end_matches('0').trim_end_matches('.').to_owned();
    }
}

/// Multiplies whole columns.
pub fn scale_columns(table: &mut CsvTable, columns: &[&str], times: f64) {
    for row in table {
        columns.iter().for_each(|column| scale(row.get_mut(*column).expect("a column of the file"), times));
    }
}

fn csv(table: &CsvTable) -> Vec<u8> {
    let line = |cells: Vec<&str>| cells.join(",") + "\n";
    let header = table.first().map(|row| line(row.keys().map(String::as_str).collect())).unwrap_or_default();
    let rows = table.iter().map(|row| line(row.values().map(String::as_str).collect()));
    std::iter::once(header).chain(rows).collect::<String>().into_bytes()
}
