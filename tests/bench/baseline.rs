//! The baseline of whole runs: reading the survey with the csv crate on one thread, with a warm cache. Every column that is
//! needed is parsed to f64 or String and kept; tissue is given in millilitres or as a mass.

use std::hint::black_box;
use std::path::Path;
use std::time::Instant;

use crate::Outcome;

/// Baseline of one survey.
pub struct Baseline {
    /// Seconds to read it: the median of several.
    pub seconds: f64,
    /// Number of rows of each priority, 1 to 4.
    pub rows_of: [u32; 4],
}

/// One row of the survey.
struct SurveyRow {
    texts: [String; 6],
    numbers: [f64; 6],
}

const TEXTS: [&str; 6] = ["catalogNumber", "scientificName", "outline", "posture", "fluid", "location"];
const NUMBERS: [&str; 6] = ["individualCount", "length_mm", "width_mm", "height_mm", "priority", TISSUE];
const TISSUE: &str = "tissue_ml";
const MASS: &str = "mass_g";

impl Baseline {
    /// Reads a survey several times.
    pub fn of(survey: &Path) -> Outcome<Self> {
        let mut seconds = Vec::new();
        let mut rows_of = [0; 4];
        for _ in 0..11 {
            let start = Instant::now();
            let rows = black_box(read(survey)?);
            seconds.push(start.elapsed().as_secs_f64());
            rows_of = [1.0, 2.0, 3.0, 4.0]
                .map(|priority| rows.iter().filter(|row| row.numbers[4] == priority).count() as u32);
        }
        seconds.sort_by(f64::total_cmp);
        Ok(Self { seconds: seconds[seconds.len() / 2], rows_of })
    }
}

fn read(survey: &Path) -> Outcome<Vec<SurveyRow>> {
    let mut reader = csv::Reader::from_path(survey)?;
    let header = reader.headers()?.clone();
    let place = |name: &str| header.iter().position(|column| column == name).ok_or(format!("no column {name}"));
    let texts = TEXTS.map(place).into_iter().collect::<Result<Vec<_>, _>>()?;
    let weighed = header.iter().any(|column| column == MASS);
    let numbers = NUMBERS
        .map(|name| place(if weighed && name == TISSUE { MASS } else { name }))
        .into_iter()
        .collect::<Result<Vec<_>, _>>()?;
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record?;
        let mut row = SurveyRow { texts: Default::default(), numbers: [0.0; 6] };
        for (text, &column) in row.texts.iter_mut().zip(&texts) {
            *text = record[column].to_owned();
        }
        for (number, &column) in row.numbers.iter_mut().zip(&numbers) {
            *number = record[column].parse()?;
        }
        rows.push(row);
    }
    Ok(rows)
}
