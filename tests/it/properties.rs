//! What must hold between a plan and the plan of a changed project, whatever the project: no optimum is needed to check it.
//!
//! Every plan made here is audited.

use std::collections::BTreeMap;

use rehouse::assign::{self, evaluate};
use rehouse::decision::Question;
use rehouse::options::judge::judge;
use rehouse::options::table::judge_all;
use rehouse::plan::{self, Plan};
use rehouse::project::Project;
use rehouse::{audit, intake};

const PROJECTS: u64 = 40;

/// Numbers that are the same on every run (Marsaglia 2003, xorshift).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, n: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % n
    }

    fn of<T: Copy>(&mut self, choices: &[T]) -> T {
        choices[self.below(choices.len() as u64) as usize]
    }
}

/// The files of a project as rows of cells, so that they can be changed.
#[derive(Clone)]
struct Files {
    survey: Vec<Vec<String>>,
    stock: Vec<Vec<String>>,
    suppliers: Vec<Vec<String>>,
    settings: String,
}

const SURVEY: &str =
    "catalogNumber,length_mm,width_mm,height_mm,outline,posture,tissue_ml,fluid,priority,max_vessels,individualCount";
const STOCK: &str = "vessel,form,inner_diameter_mm,inner_length_mm,inner_width_mm,inner_height_mm,material,closure,on_hand,supplier,unit_price,pack_size,reserve";
const SUPPLIERS: &str = "supplier,delivery_charge,free_delivery_over,minimum_order";

fn cells(cells: &[&dyn ToString]) -> Vec<String> {
    cells.iter().map(|cell| cell.to_string()).collect()
}

fn random_files(seed: u64) -> Files {
    let mut n = Numbers(seed * 7919 + 88_172_645_463_325_252);
    let survey = (0..14u64).map(|row| {
        let (length, width, height) = (20 + n.below(120), 10 + n.below(40), 8 + n.below(30));
        let individuals = n.of(&[1, 1, 1, 4]);
        let tissue =
            if n.below(3) == 0 { String::new() } else { (length * width * height * individuals / 3000).to_string() };
        let outline = n.of(&["box", "rounded"]);
        let posture = n.of(&["either", "any", "as-set", "upright"]);
        let fluid = n.of(&["ethanol-70", "formalin-10"]);
        cells(&[
            &format!("S{row:02}"),
            &length,
            &width,
            &height,
            &outline,
            &posture,
            &tissue,
            &fluid,
            &(1 + n.below(4)),
            &3,
            &individuals,
        ])
    });
    let survey = survey.collect();
    let stock = (0..9u64).map(|row| {
        let round = n.below(3) > 0;
        let (wide, deep, high) = (30 + n.below(90), 25 + n.below(60), 50 + n.below(160));
        let (bore, long, across) = if round {
            (wide.to_string(), String::new(), String::new())
        } else {
            (String::new(), wide.to_string(), deep.to_string())
        };
        let price = if n.below(5) == 0 { String::new() } else { format!("{}.{}", 1 + n.below(9), n.below(10)) };
        let closure = n.of(&["pp-cap-foamed-pe", "ground-glass-stopper"]);
        let supplier = n.of(&["Alder", "Birch", "Cedar"]);
        let form = if round { "cylinder" } else { "rectangular" };
        cells(&[
            &format!("V{row:02}"),
            &form,
            &bore,
            &long,
            &across,
            &high,
            &"soda-lime",
            &closure,
            &n.below(4),
            &supplier,
            &price,
            &n.of(&[1, 1, 3, 6]),
            &n.below(2),
        ])
    });
    let stock = stock.collect();
    let suppliers =
        vec![cells(&[&"Alder", &8, &40, &""]), cells(&[&"Birch", &5, &"", &15]), cells(&[&"Cedar", &"", &"", &""])];
    let budget = n.of(&["\"\"", "60", "35"]);
    Files { survey, stock, suppliers, settings: format!("budget = {budget}\n[tank]\nsmallest_side_mm = 10000\n") }
}

impl Files {
    fn read(&self) -> Project {
        let file = |header: &str, rows: &[Vec<String>]| {
            let rows = rows.iter().map(|row| row.join(",") + "\n").collect::<String>();
            format!("{header}\n{rows}").into_bytes()
        };
        let texts = BTreeMap::from([
            ("specimens.csv".to_owned(), file(SURVEY, &self.survey)),
            ("vessels.csv".to_owned(), file(STOCK, &self.stock)),
            ("suppliers.csv".to_owned(), file(SUPPLIERS, &self.suppliers)),
            ("settings.toml".to_owned(), self.settings.clone().into_bytes()),
        ]);
        let reading = intake::read_texts(&texts, &[], false);
        reading.project.unwrap_or_else(|| panic!("{:#?}", reading.diagnostics))
    }
}

struct Planned {
    project: Project,
    question: Question,
    plan: Plan,
    /// Rows deferred by priority, weighed money, fluid: the less the better, the first the most.
    levels: [i64; 6],
}

fn planned(files: &Files) -> Planned {
    let project = files.read();
    let rows = judge_all(&project);
    let question = assign::question::question(&project, &rows);
    let decision = assign::decide(&question);
    let values = evaluate::values(&question, &decision);
    let [one, two, three, four] = values.deferred;
    let levels = [one, two, three, four, values.weighed.parts(), values.fluid.0];
    let labour = assign::question::labour_per_row(&project);
    let plan = plan::plan(&project, &rows, &question, &decision, labour, Vec::new());
    assert_eq!(audit::audit(&project, &plan), Vec::new());
    Planned { project, question, plan, levels }
}

impl Planned {
    fn rows(&self) -> usize {
        self.question.classes.iter().map(|class| class.members.len()).sum()
    }

    /// What becomes of each specimen, by key.
    fn outcomes(&self) -> BTreeMap<String, (String, Option<String>)> {
        let of = |placement: &plan::Placement| {
            let vessel = placement.vessel.map(|id| self.project.stock.vessel(id).id.clone());
            let key = self.project.collection.specimens[placement.specimen].key.to_string();
            (key, (format!("{} {}", placement.outcome.name(), placement.pieces_on_hand), vessel))
        };
        self.plan.placements.iter().map(of).collect()
    }

    /// What is bought, by vessel and price.
    fn bought(&self) -> Vec<(String, String, i64, i64)> {
        let line = |purchase: &plan::Purchase| {
            let offer = &self.project.stock.offers[purchase.offer];
            let vessel = self.project.stock.vessel(offer.vessel).id.clone();
            (vessel, offer.pack_price.text(), purchase.packs, purchase.spare)
        };
        self.plan.purchases.iter().map(line).collect()
    }
}

/// Compares each random project's plan with that of a changed one; says how many were compared.
fn compare(change: impl Fn(&mut Files, &mut Numbers), holds: impl Fn(&Planned, &Planned) -> bool) -> usize {
    let mut compared = 0;
    for seed in 1..=PROJECTS {
        let files = random_files(seed);
        let mut changed = files.clone();
        change(&mut changed, &mut Numbers(seed + 1));
        let (before, after) = (planned(&files), planned(&changed));
        if before.rows() == after.rows() {
            compared += 1;
            assert!(holds(&before, &after), "project {seed}: {:?} then {:?}", before.levels, after.levels);
        }
    }
    compared
}

#[test]
fn the_order_of_rows_is_of_no_account() {
    let same = |a: &Planned, b: &Planned| {
        a.outcomes() == b.outcomes()
            && a.bought() == b.bought()
            && a.plan.levels == b.plan.levels
            && a.plan.totals == b.plan.totals
    };
    let reversed = |files: &mut Files, _: &mut Numbers| {
        files.survey.reverse();
        files.stock.reverse();
        files.suppliers.reverse();
    };
    let shuffled = |files: &mut Files, n: &mut Numbers| {
        for rows in [&mut files.survey, &mut files.stock] {
            for at in (1..rows.len()).rev() {
                rows.swap(at, n.below(at as u64 + 1) as usize);
            }
        }
    };
    assert_eq!(compare(reversed, same), PROJECTS as usize);
    assert_eq!(compare(shuffled, same), PROJECTS as usize);
}

#[test]
fn more_stock_never_worsens_a_plan() {
    let more = |files: &mut Files, n: &mut Numbers| {
        let row = n.below(files.stock.len() as u64) as usize;
        let pieces: u64 = files.stock[row][8].parse().unwrap();
        files.stock[row][8] = (pieces + 2).to_string();
    };
    assert!(compare(more, |before, after| after.levels <= before.levels) > 30);
}

#[test]
fn another_kind_of_vessel_never_worsens_a_plan() {
    let another = |files: &mut Files, _: &mut Numbers| {
        files.stock.push(cells(&[
            &"W",
            &"cylinder",
            &90,
            &"",
            &"",
            &180,
            &"soda-lime",
            &"ground-glass-stopper",
            &1,
            &"Cedar",
            &"2.5",
            &1,
            &0,
        ]));
    };
    assert!(compare(another, |before, after| after.levels <= before.levels) > 5);
}

#[test]
fn a_larger_budget_never_worsens_a_plan() {
    let larger = |files: &mut Files, _: &mut Numbers| {
        files.settings = files.settings.replace("budget = 35", "budget = 45").replace("budget = 60", "budget = 80");
    };
    assert_eq!(compare(larger, |before, after| after.levels <= before.levels), PROJECTS as usize);
}

#[test]
fn a_wider_clearance_never_makes_a_plan_better() {
    let wider =
        |files: &mut Files, _: &mut Numbers| files.settings.push_str("[clearance]\nwall_pct = 7\ncover_pct = 12\n");
    assert!(compare(wider, |before, after| after.levels >= before.levels) > 10);
}

#[test]
fn all_prices_three_times_as_high_make_three_times_the_money() {
    let dearer = |files: &mut Files, _: &mut Numbers| {
        let times = |cell: &mut String| {
            if let Ok(price) = cell.parse::<f64>() {
                *cell = format!("{:.1}", price * 3.0);
            }
        };
        files.stock.iter_mut().for_each(|row| times(&mut row[10]));
        files.suppliers.iter_mut().for_each(|row| row[1..].iter_mut().for_each(times));
        for (budget, then) in [("budget = 35", "budget = 105"), ("budget = 60", "budget = 180")] {
            files.settings = files.settings.replace(budget, then);
        }
        let price =
            |id: &str| 3.0 * files.read().rules.fluid(files.read().rules.fluid_named(id).unwrap()).price.approximate();
        let prices = ["ethanol-70", "formalin-10"].map(|id| format!("{id} = {:.2}\n", price(id)));
        files.settings.push_str(&format!("[fluid_price]\n{}", prices.concat()));
    };
    let three_times = |before: &Planned, after: &Planned| {
        before.levels[..4] == after.levels[..4]
            && before.levels[4] * 3 == after.levels[4]
            && before.levels[5] == after.levels[5]
    };
    assert_eq!(compare(dearer, three_times), PROJECTS as usize);
}

#[test]
fn a_second_copy_of_survey_and_shelf_costs_at_most_twice_as_much() {
    let doubled = |files: &mut Files, _: &mut Numbers| {
        let copies: Vec<Vec<String>> =
            files.survey.iter().map(|row| [vec![format!("{}b", row[0])], row[1..].to_vec()].concat()).collect();
        files.survey.extend(copies);
        for row in &mut files.stock {
            for column in [8, 12] {
                row[column] = (row[column].parse::<u64>().unwrap() * 2).to_string();
            }
        }
        files.settings = files.settings.replace("budget = 35", "budget = 70").replace("budget = 60", "budget = 120");
    };
    for seed in 1..=PROJECTS {
        let files = random_files(seed);
        let mut changed = files.clone();
        doubled(&mut changed, &mut Numbers(1));
        let (before, after) = (planned(&files), planned(&changed));
        assert!(
            after.levels <= before.levels.map(|level| level * 2),
            "project {seed}: {:?} {:?}",
            before.levels,
            after.levels
        );
    }
}

#[test]
fn twice_the_lengths_make_eight_times_the_litres() {
    let mut compared = 0;
    for seed in 1..=PROJECTS {
        let mut files = random_files(seed);
        // Limits in millimetres would not grow with the vessels: they grow here.
        let limits = |s: f64| {
            format!(
                "[clearance]\nwall_min_mm = {}\nwall_max_mm = {}\nmouth_min_mm = {}\nmouth_max_mm = {}\ncover_min_mm = {}\n\
                 cover_max_mm = {}\n[headspace]\nleast_mm = {}\n",
                0.5 * s,
                10.0 * s,
                s,
                10.0 * s,
                2.0 * s,
                10.0 * s,
                10.0 * s
            )
        };
        let mut larger = files.clone();
        files.settings.push_str(&limits(1.0));
        larger.settings.push_str(&limits(2.0));
        let twice = |cell: &mut String, times: f64| {
            if let Ok(number) = cell.parse::<f64>() {
                *cell = (number * times).to_string();
            }
        };
        for row in &mut larger.survey {
            row[1..=3].iter_mut().for_each(|cell| twice(cell, 2.0));
            twice(&mut row[6], 8.0);
        }
        larger.stock.iter_mut().for_each(|row| row[2..=5].iter_mut().for_each(|cell| twice(cell, 2.0)));
        let (small, large) = (files.read(), larger.read());
        for (specimen, bigger) in small.collection.specimens.iter().zip(&large.collection.specimens) {
            for (id, _) in small.stock.listed() {
                match (judge(&small, specimen, id), judge(&large, bigger, id)) {
                    (Ok(fit), Ok(grown)) => {
                        assert_eq!((fit.pieces, fit.stance), (grown.pieces, grown.stance), "project {seed}");
                        let off = grown.fluid().0 - 8 * fit.fluid().0;
                        // Half a millilitre of rounding for each vessel and the tissue, eight times over.
                        assert!(off.abs() <= 5 * (i64::from(fit.pieces) + 1), "project {seed}: {off} ml");
                        compared += 1;
                    }
                    (Err(one), Err(other)) => assert_eq!(one.rule, other.rule, "project {seed}"),
                    (one, other) => panic!("project {seed}, {}: {one:?} {other:?}", specimen.key),
                }
            }
        }
    }
    assert!(compared > 1000, "{compared}");
}
