//! Each leaf has its own prices of owned fluid: no prices give a bound that is false, and different ones prove what none does
//! for all leaves.

use std::collections::BTreeSet;

use rehouse::audit::audit;
use rehouse::decision::leaf::{Leaf, Leaves, Terms};
use rehouse::decision::{Aim, Proof, Status};
use rehouse::options::table::Row;
use rehouse::plan::Plan;
use rehouse::plan::saved::{from_json, nearest_place, to_json};
use rehouse::project::Project;
use rehouse::rules::FluidId;
use rehouse::units::{Millilitres, Money};

use super::drawn::{Random, Rank, STOCK, SURVEY, best_of_all, best_where};
use super::{of_rank, planned};

const MONEY: usize = 4;

/// How many sets of prices of owned fluid leaves have.
pub fn sets_of_prices(leaves: &Leaves) -> usize {
    leaves.numbers.iter().map(|numbers| &numbers.fluid_prices).collect::<BTreeSet<_>>().len()
}

/// Reckons owned fluid in each leaf of a plan at prices of its own, drawn, and holds what the audit says that the leaves
/// then give against the best of all plans, level by level; how many of these bounds say anything.
pub fn bounds_at_any_prices(project: &Project, plan: &Plan, best: Rank, seed: u64) -> u32 {
    let mut random = Random(seed ^ 0x5eed);
    let owned: BTreeSet<FluidId> =
        project.stock.fluids.iter().filter(|owned| owned.amount > Millilitres::ZERO).map(|owned| owned.fluid).collect();
    let mut given = 0;
    for _ in 0..4 {
        let mut claim = plan.clone();
        for level in &mut claim.levels {
            // More than anything gives, so that the audit says what they do.
            level.bound = i64::MAX;
            for numbers in &mut level.leaves.numbers {
                numbers.fluid_prices.clear();
                for &fluid in &owned {
                    let full = project.fluid_price(fluid).parts() / 1000;
                    let places = match random.below(4) {
                        0 => 0,
                        1 => full,
                        2 => continue,
                        _ => random.below(full as u64 + 1) as i64,
                    };
                    numbers.fluid_prices.push((fluid, Money::from_parts(places * 1000)));
                }
            }
        }
        let findings = audit(project, &claim);
        for (rank, (aim, least)) in of_rank(best).enumerate() {
            let named = format!("levels[{rank}].bound");
            let most = |derived: &str| derived.strip_prefix("at most ").and_then(|most| most.parse::<i64>().ok());
            // First at most the value, then at most what is derived.
            let found: Vec<i64> =
                findings.iter().filter(|found| found.claim == named).filter_map(|found| most(&found.derived)).collect();
            let [_, derived] = found[..] else { panic!("{seed} {aim:?}: {findings:#?}") };
            let least = if aim == Aim::Money { nearest_place(least) } else { least };
            assert!(derived <= least, "{seed} {aim:?}: {derived} above {least}: {claim:#?}");
            given += u32::from(derived > 0);
        }
    }
    given
}

/// Two rows in large jars that are there need 0.488 l of fluid, in small ones that one may order 0.134 l, and 0.3 l are owned: where
/// nothing is ordered it does not suffice, and is worth all it costs; where something is, some may be left, worth nothing.
fn flipping() -> (Project, Vec<Row>, Plan) {
    let survey = format!("{SURVEY}A,50,20,20,10,ethanol-70,3,,\nB,50,20,20,10,ethanol-70,3,,\n");
    let stock = format!(
        "{STOCK}LARGE,cylinder,60,100,borosilicate,pp-cap-ptfe,2,,,\nSMALL,cylinder,40,75,borosilicate,pp-cap-ptfe,,0.05,2,Alder Glass\n"
    );
    let files = [
        ("specimens.csv", survey.as_str()),
        ("vessels.csv", stock.as_str()),
        ("suppliers.csv", "supplier,delivery_charge\nAlder Glass,0.80\n"),
        ("settings.toml", "[fluid_price]\nethanol-70 = 4\n"),
        ("fluid-stock.csv", "fluid,litres,location\nethanol-70,0.3,\n"),
    ];
    let (project, rows, plan, _) = planned(&files);
    (project, rows, plan)
}

fn orders_nothing(leaf: &Leaf) -> bool {
    leaf.suppliers.iter().any(|(_, terms)| *terms == Terms::Closed)
        || leaf.packs.iter().any(|packs| packs.most == Some(0))
}

#[test]
fn leaves_at_different_prices_prove_what_no_one_price_for_all_does() {
    let (project, rows, plan) = flipping();
    let money = &plan.levels[MONEY];
    // 188 ml at 4 a litre are 0.752, less than the 0.80 of delivery.
    assert_eq!(money.value, Money::parse("0.752").expect("money").parts());
    assert_eq!(best_of_all(&project, &rows), ([0; 4], money.value, 488));
    assert_eq!(plan.status, Status::ProvedBest);
    assert!(plan.levels.iter().all(|level| level.proof == Proof::Recomputed && level.bound == level.value));
    assert_eq!(sets_of_prices(&money.leaves), 2, "{money:#?}");
    let price = |leaf: &Leaf| money.leaves.numbers[leaf.numbers].fluid_prices[0].1;
    assert!(
        money.leaves.parts.iter().all(|leaf| orders_nothing(leaf) == (price(leaf) == Money::whole(4))),
        "{money:#?}"
    );
    // At any one price no numbers of leaves give more than the cheapest plan comes to at it, less what is owned at it.
    let fluid = project.stock.fluids[0].fluid;
    for places in 0..=40_000 {
        let price = Money::from_parts(places * 1000);
        let at_price = |of: FluidId, need: Millilitres| {
            assert_eq!(of, fluid);
            price.per_litre(need - project.stock.fluids[0].amount)
        };
        let (_, most, _) = best_where(&project, &rows, &at_price).expect("leaving all rows out is an assignment");
        assert!(most < money.value * 2 / 3, "at {}: {most}", price.text());
    }
}

#[test]
fn a_price_that_is_another_leafs_is_found_to_give_less() {
    let (project, _, plan) = flipping();
    let prices: BTreeSet<_> =
        plan.levels[MONEY].leaves.numbers.iter().map(|numbers| numbers.fluid_prices.clone()).collect();
    for prices in prices {
        let mut other = plan.clone();
        other.levels[MONEY].leaves.numbers.iter_mut().for_each(|numbers| numbers.fluid_prices = prices.clone());
        let findings = audit(&project, &other);
        assert!(findings.iter().any(|finding| finding.claim == "levels[4].bound"), "{findings:#?}");
    }
    // Where none is named it costs what it costs.
    let closed = plan.levels[MONEY].leaves.parts.iter().find(|leaf| orders_nothing(leaf));
    let closed = closed.expect("a leaf without orders").numbers;
    let mut other = plan.clone();
    other.levels[MONEY].leaves.numbers[closed].fluid_prices.clear();
    assert_eq!(audit(&project, &other), Vec::new());
    for nudged in 1..40 {
        let mut other = plan.clone();
        other.levels[MONEY].leaves.numbers[closed].fluid_prices[0].1 -= Money::from_parts(1000 * nudged);
        let findings = audit(&project, &other);
        assert!(findings.iter().any(|finding| finding.claim == "levels[4].bound"), "{nudged}: {findings:#?}");
    }
}

#[test]
fn leaves_read_back_with_their_own_prices() {
    let (project, _, plan) = flipping();
    let written = to_json(&project, &plan, &[]);
    let read = from_json(&project, &written).expect("it was just written");
    assert_eq!(read.levels, plan.levels);
    assert_eq!(audit(&project, &read), Vec::new());
    assert_eq!(String::from_utf8(to_json(&project, &read, &[])), String::from_utf8(written.clone()));
    let text = String::from_utf8(written).expect("text");
    assert!(text.contains(r#""fluids":["ethanol-70"]"#), "{text}");
    for (from, to, wrong) in [
        (r#""fluids":["ethanol-70"]"#, r#""fluids":["ethanol-7"]"#, "fluids[0]: no fluid of the rules"),
        (r#""fluids":["ethanol-70"],"#, "", "fluids: missing"),
        (r#"|4.00""#, r#"|4""#, "not four fields of numbers"),
        (r#"|4.00""#, r#"|4.00,""#, "not four fields of numbers"),
        (r#"|4.00""#, r#"""#, "not four fields of numbers"),
        (r#"|4.00""#, r#"|4.00|""#, "not four fields of numbers"),
    ] {
        assert!(text.contains(from), "{from} in {text}");
        let findings = from_json(&project, text.replacen(from, to, 1).as_bytes()).expect_err(to);
        assert!(format!("{findings:?}").contains(wrong), "{to}: {findings:?}");
    }
    // What no plan of ours writes reads as it stands, and is for the audit to find.
    for (from, to) in [
        (r#"|4.00""#, r#"|-0.01""#),
        (r#"|4.00""#, r#"|4.0001""#),
        (r#""fluids":["ethanol-70"]"#, r#""fluids":["ethanol-80"]"#),
    ] {
        let read = from_json(&project, text.replacen(from, to, 1).as_bytes()).expect("it is a plan");
        let findings = audit(&project, &read);
        assert!(findings.iter().any(|finding| finding.claim.contains(".leaves.numbers[")), "{to}: {findings:#?}");
    }
}
