//! Fluid on the shelf is used first: every decision of small projects against all there are, and cases by hand.

use std::collections::BTreeMap;

use rehouse::assign::{Answered, decide_rows};
use rehouse::audit::audit;
use rehouse::decision::{Aim, Decision};
use rehouse::options::table::{Row, judge_all};
use rehouse::options::{Filling, Treatment};
use rehouse::plan::Plan;
use rehouse::project::Project;
use rehouse::units::{Millilitres, Money};
use rehouse::{assign, plan};

use crate::audit_mutations::scenes;

/// Reads, decides, plans and audits a project.
fn planned(files: &[(&str, &str)]) -> (Project, Vec<Row>, Plan, Decision) {
    let project = scenes::project(files);
    let rows = judge_all(&project);
    let Answered { question, decision } = decide_rows(&project, &rows, &mut |_| {}, &|| false);
    let labour = assign::question::labour_per_row(&project);
    let plan = plan::plan(&project, &rows, &question, &decision, labour, Vec::new());
    assert_eq!(audit(&project, &plan), Vec::new());
    (project, rows, plan, decision)
}

/// The same numbers from the same seed (SplitMix64: Steele, Lea and Flood 2014, Fast splittable pseudorandom number
/// generators, OOPSLA).
struct Random(u64);

impl Random {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (mixed ^ (mixed >> 31)) % limit
    }
}

const SURVEY: &str =
    "catalogNumber,length_mm,width_mm,height_mm,tissue_ml,fluid,priority,current_fluid,current_strength_pct\n";
const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,unit_price,order_limit\n";

/// Up to five rows in two fluids, three sizes of jar, and about as much fluid as is needed.
fn drawn(seed: u64) -> [(&'static str, String); 4] {
    let mut random = Random(seed);
    let mut survey = SURVEY.to_owned();
    let fluids = ["ethanol-70", "ethanol-70", "ethanol-50", "formalin-10"];
    for row in 0..2 + random.below(4) {
        let fluid = fluids[random.below(4) as usize];
        let weak = if fluid == "ethanol-70" && random.below(4) == 0 { "ethanol-70,35" } else { "," };
        let steps = if fluid == "ethanol-70" && random.below(4) == 0 { "ethanol-50," } else { weak };
        let high = 30 + random.below(40);
        survey += &format!("R-{row},{high},20,20,{},{fluid},{},{steps}\n", 3 + random.below(8), 2 + random.below(2));
    }
    let mut stock = STOCK.to_owned();
    for (vessel, (bore, height)) in [(45, 80), (55, 100), (70, 120)].into_iter().enumerate() {
        let (free, cents, limit) = (random.below(3), 10 + random.below(120), random.below(4));
        stock += &format!("J-{vessel},cylinder,{bore},{height},borosilicate,pp-cap-ptfe,{free},0.{cents:03},{limit}\n");
    }
    let shelf = format!(
        "fluid,litres,location\nethanol-70,0.{:03},here\nethanol-50,0.{:03},there\nethanol-70,0.05,there\n",
        random.below(900),
        random.below(400)
    );
    let budget = if random.below(3) == 0 {
        format!("budget = {}.{}\n", random.below(3), random.below(100))
    } else {
        String::new()
    };
    let settings = format!(
        "{budget}litre_weight = 0.{}\n[fluid_price]\nethanol-70 = {}.5\nethanol-50 = 2.25\nformalin-10 = 0.75\n",
        random.below(3),
        1 + random.below(4)
    );
    [("specimens.csv", survey), ("vessels.csv", stock), ("fluid-stock.csv", shelf), ("settings.toml", settings)]
}

/// What a whole assignment comes to, by rank: rows of each priority deferred, weighed money, litres.
type Rank = ([i64; 4], i64, i64);

/// The best of all assignments, each counted from its options.
fn best_of_all(project: &Project, rows: &[Row]) -> Rank {
    let mut best: Option<Rank> = None;
    let mut chosen = vec![0; rows.len()];
    let options = |row: &Row| if let Row::Judged(judged) = row { judged.fits.len() } else { 0 };
    loop {
        if let Some(rank) = rank(project, rows, &chosen) {
            best = Some(best.map_or(rank, |least| least.min(rank)));
        }
        // The next assignment, like the next number of an odometer; 0 is deferred.
        let Some(place) = (0..rows.len()).find(|&row| chosen[row] < options(&rows[row])) else { break };
        chosen[place] += 1;
        chosen[..place].fill(0);
    }
    best.expect("leaving all rows out is an assignment")
}

fn rank(project: &Project, rows: &[Row], chosen: &[usize]) -> Option<Rank> {
    let specimens = &project.collection.specimens;
    let mut deferred = [0; 4];
    let mut used: BTreeMap<usize, i64> = BTreeMap::new();
    let mut needs: BTreeMap<_, Millilitres> = BTreeMap::new();
    let mut litres = 0;
    for (index, (row, &choice)) in rows.iter().zip(chosen).enumerate() {
        let Row::Judged(judged) = row else { continue };
        if choice == 0 {
            if !judged.fits.is_empty() {
                deferred[usize::from(specimens[index].priority) - 1] += 1;
            }
            continue;
        }
        let (vessel, fit) = &judged.fits[choice - 1];
        *used.entry(vessel.0 as usize).or_default() += i64::from(fit.pieces);
        let treatment = Treatment::of(project, &specimens[index]);
        let filling = Filling::of(project, &specimens[index], &treatment, fit.charges, judged.fluid(fit));
        litres += filling.filled().0;
        for (fluid, amount) in filling.needed(specimens[index].fluid) {
            *needs.entry(fluid).or_default() += amount;
        }
    }
    let mut money = Money::ZERO;
    for (vessel, pieces) in used {
        let bought = (pieces - project.stock.vessels[vessel].free_pieces()).max(0);
        if bought > 0 {
            let offer = project.stock.offers.iter().find(|offer| offer.vessel.0 as usize == vessel)?;
            if offer.order_limit.is_some_and(|limit| bought > i64::from(limit)) {
                return None;
            }
            money += offer.pack_price * bought;
        }
    }
    for (fluid, need) in needs {
        let owned = project.stock.fluids.iter().filter(|owned| owned.fluid == fluid);
        let owned: Millilitres = owned.map(|owned| owned.amount).sum();
        money += project.rules.fluid(fluid).price.per_litre((need - owned).max(Millilitres::ZERO));
    }
    if project.settings.budget.is_some_and(|budget| money > budget) {
        return None;
    }
    let weighed = money + project.settings.litre_weight.per_litre(Millilitres(litres));
    Some((deferred, weighed.parts(), litres))
}

#[test]
fn no_decision_is_better_and_no_bound_is_above_it() {
    let (mut proved, mut with_shelf, mut all) = (0, 0, 0);
    for seed in 0..400 {
        let files = drawn(seed);
        let (project, rows, plan, decision) = planned(&files.each_ref().map(|(name, text)| (*name, text.as_str())));
        let best = best_of_all(&project, &rows);
        let value = |aim| decision.levels.iter().find(|level| level.aim == aim).expect("every level is told");
        let mut same = true;
        for (aim, least) in Aim::ALL.into_iter().zip(best.0.into_iter().chain([best.1, best.2])) {
            let level = value(aim);
            // A bound is for plans that do no worse before.
            assert!(!same || level.bound <= least, "{seed} {aim:?}: bound {} above {least}\n{files:#?}", level.bound);
            if same && level.proved() {
                assert_eq!(level.value, least, "{seed} {aim:?}\n{files:#?}");
            }
            same &= level.value == least;
        }
        all += 1;
        proved += u32::from(decision.levels.iter().all(|level| level.proved()));
        with_shelf += u32::from(plan.make_up.iter().any(|made| made.from_stock > Millilitres::ZERO));
    }
    assert!(with_shelf > all / 2, "{with_shelf} of {all} use the shelf");
    assert_eq!(proved, all, "proved best");
}

#[test]
fn what_is_owned_is_taken_off_once_and_only_of_the_same_fluid() {
    let survey = format!("{SURVEY}A,60,20,20,10,ethanol-70,3,,\nB,60,20,20,10,ethanol-70,3,,\n");
    let stock = format!("{STOCK}J,cylinder,60,100,borosilicate,pp-cap-ptfe,2,,\n");
    let settings = "[fluid_price]\nethanol-70 = 4\n";
    // π / 4 × 60² × 100 mm = 282.743 ml brimful; an uncontrolled store keeps 10 mm of 100 free, so 254.469 are filled,
    // 254 less 10 ml of tissue; two of them.
    for (shelf, from_stock, money) in [
        ("", 0, "1.952"),
        ("ethanol-70,0.1,\n", 100, "1.552"),
        ("ethanol-70,0.1,a\nethanol-70,0.2,b\n", 300, "0.752"),
        ("ethanol-70,9,\n", 488, "0.00"),
        ("ethanol-96,9,\n", 0, "1.952"),
    ] {
        let shelf = format!("fluid,litres,location\n{shelf}");
        let files = [
            ("specimens.csv", survey.as_str()),
            ("vessels.csv", stock.as_str()),
            ("settings.toml", settings),
            ("fluid-stock.csv", shelf.as_str()),
        ];
        let (_, _, plan, _) = planned(&files);
        assert_eq!(plan.make_up[0].from_stock, Millilitres(from_stock), "{shelf}");
        assert_eq!(plan.totals.fluid.text(), money, "{shelf}");
        assert_eq!(plan.totals.litres, Millilitres(488));
    }
}

#[test]
fn fluid_on_the_shelf_lets_a_row_in_that_the_budget_kept_out() {
    let survey = format!("{SURVEY}A,60,20,20,10,ethanol-70,3,,\n");
    let stock = format!("{STOCK}J,cylinder,60,100,borosilicate,pp-cap-ptfe,,1,\n");
    let files = |shelf| {
        [
            ("specimens.csv", survey.clone()),
            ("vessels.csv", stock.clone()),
            ("settings.toml", "budget = 1.5\n[fluid_price]\nethanol-70 = 4\n".to_owned()),
            ("fluid-stock.csv", format!("fluid,litres,location\n{shelf}")),
        ]
    };
    // 244 ml at 4 a litre are 0.976, and the jar is 1.
    for (shelf, placed) in [("", 0), ("ethanol-70,0.118,\n", 0), ("ethanol-70,0.119,\n", 1), ("ethanol-70,5,\n", 1)] {
        let files = files(shelf);
        let (_, _, plan, _) = planned(&files.each_ref().map(|(name, text)| (*name, text.as_str())));
        assert_eq!(plan.totals.placed, placed, "{shelf}");
    }
}
