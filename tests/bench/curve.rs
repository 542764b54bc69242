//! Seconds and memory by size of a collection, as numbers and as a text chart with logarithmic scales.

use crate::Outcome;
use crate::baseline::Baseline;
use crate::program::Project;
use crate::synthetic_collection::{self, Packs, Recipe, Sizes};

/// Numbers of specimens and vessels.
const SIZES: [(u32, u32); 7] =
    [(1_000, 50), (3_000, 70), (10_000, 100), (30_000, 140), (100_000, 200), (300_000, 240), (1_000_000, 300)];

/// Gap that is accepted for all sizes, in per cent.
const GAP_PCT: f64 = 0.002;

/// Columns of the chart for a factor of ten.
const COLUMNS: f64 = 12.0;

struct Point {
    specimens: u32,
    vessels: u32,
    seconds: f64,
    peak_mb: f64,
    baselines: f64,
}

/// Runs all sizes and prints the table and the charts.
pub fn print() -> Outcome<()> {
    println!("solver.gap_pct={GAP_PCT}, no budget\n");
    println!(
        "specimens × vessels    seconds   baselines   peak MB   growth of seconds and MB, as powers of the specimens"
    );
    let mut points: Vec<Point> = Vec::new();
    for (specimens, vessels) in SIZES {
        let mut project = Project::new()?;
        let (packs, sizes) = (Packs::Small, Sizes::Whole);
        synthetic_collection::write(
            &project.path(),
            &Recipe { specimens, vessels, seed: 1, packs, sizes, budget: None },
        )?;
        let baseline = Baseline::of(&project.path().join("specimens.csv"))?;
        let run = project.measure(&[("solver.gap_pct", GAP_PCT.to_string())])?;
        let peak_mb = run.peak_mb.unwrap_or(f64::NAN);
        let point =
            Point { specimens, vessels, seconds: run.seconds, peak_mb, baselines: run.seconds / baseline.seconds };
        let growth = points.last().map_or(String::new(), |before| {
            let power =
                |one: f64, other: f64| (one / other).ln() / (f64::from(specimens) / f64::from(before.specimens)).ln();
            format!("{:.2}   {:.2}", power(point.seconds, before.seconds), power(point.peak_mb, before.peak_mb))
        });
        let size = format!("{specimens} × {vessels}");
        let Point { seconds, baselines, .. } = point;
        println!("{size:<19} {seconds:>10.3} {baselines:>11.0} {peak_mb:>9.0}   {growth}");
        points.push(point);
    }
    println!("\n{}", chart("seconds", &points, |point| point.seconds, 0.01));
    println!("{}", chart("peak MB", &points, |point| point.peak_mb, 10.0));
    Ok(())
}

/// A chart with one bar for each size; a bar starts at `least`.
fn chart(name: &str, points: &[Point], amount: impl Fn(&Point) -> f64, least: f64) -> String {
    let place = |amount: f64| ((amount / least).log10() * COLUMNS).round().max(0.0) as usize;
    let decades = 0..=(points.iter().map(|point| (amount(point) / least).log10().ceil()).fold(1.0, f64::max) as i32);
    let scale: String = decades.map(|decade| format!("{:<12}", format!("|{}", least * 10_f64.powi(decade)))).collect();
    let bars = points.iter().map(|point| {
        let size = format!("{} × {}", point.specimens, point.vessels);
        format!("{size:>17}  {}*\n", "-".repeat(place(amount(point))))
    });
    format!("{name:>17}  {}\n{}", scale.trim_end(), bars.collect::<String>())
}
