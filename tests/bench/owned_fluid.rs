//! Synthetic collections with some fluid on the shelf, at budgets from 3 to 80 % of the money that the whole plan costs. Each run
//! must be proved within a second.

use crate::asked::{self, Asked};
use crate::baseline::Baseline;
use crate::program::Project;
use crate::synthetic_collection::{self, Packs, Recipe, Sizes};
use crate::{Findings, Outcome, second_solver};

const ASKED: Asked = Asked::proved_in(1.0);

/// Numbers of specimens and vessels.
const COLLECTIONS: [(u32, u32); 2] = [(300, 30), (2_000, 60)];

const SEEDS: std::ops::RangeInclusive<u64> = 1..=5;

/// Less fluid than either collection needs, so that both fluids are also bought.
const FLUID_STOCK: &str = "fluid,litres\nethanol-70,40\nformalin-10,15\n";

/// Budgets in per cent of the money spent without one.
const BUDGETS_PCT: [u32; 5] = [3, 10, 25, 50, 80];

/// Prints a line for each collection, seed and budget, and the number of runs that are proved in time.
pub fn print(findings: &mut Findings) -> Outcome<()> {
    asked::print_head();
    let (mut in_time, mut runs) = (0, 0);
    for (specimens, vessels) in COLLECTIONS {
        for seed in SEEDS {
            let mut project = Project::new()?;
            let (packs, sizes) = (Packs::Small, Sizes::Whole);
            synthetic_collection::write(
                &project.path(),
                &Recipe { specimens, vessels, seed, packs, sizes, budget: None },
            )?;
            project.write("fluid-stock.csv", FLUID_STOCK)?;
            let baseline = Baseline::of(&project.path().join("specimens.csv"))?;
            let mut whole_money = None;
            for pct in std::iter::once(None).chain(BUDGETS_PCT.map(Some)) {
                let budget = pct.zip(whole_money).map(|(pct, whole)| f64::from(pct) / 100.0 * whole);
                let settings: Vec<_> = budget.iter().map(|amount| ("budget", format!("{amount:.2}"))).collect();
                let share = pct.map_or("no budget".to_owned(), |pct| format!("{pct} %"));
                let name = format!("{specimens}x{vessels} fluid, seed {seed}, {share}");
                runs += 1;
                let measured = project.measure(&settings);
                let Some(run) = findings.unless_failed(&name, measured) else { continue };
                println!("{}", ASKED.line(&name, &run, Some(&baseline)));
                second_solver::print(&name, &project, &settings, &run, findings)?;
                whole_money = whole_money.or(Some(run.plan.totals.money()));
                in_time += usize::from(ASKED.kept(&run, Some(&baseline)));
            }
        }
    }
    println!("{in_time} of {runs} as asked");
    Ok(())
}
