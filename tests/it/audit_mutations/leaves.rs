//! Leaves: what is wrong with any number or limit of them is found, and no numbers whatever give a bound that is false.

use rehouse::audit::audit;
use rehouse::decision::leaf::{Leaf, MOST, PackLimits, Terms};
use rehouse::decision::{Aim, Proof, Status};
use rehouse::plan::Plan;
use rehouse::project::Project;
use rehouse::stock::SupplierId;
use rehouse::units::Money;

use super::{Wrong, each_is_found, planned, scenes};

/// Two suppliers with charges, one with a threshold, one with a minimum; packs and single pieces; a budget that leaves
/// some rows of priority 3 deferred.
fn scene() -> Project {
    let mut specimens = "catalogNumber,length_mm,width_mm,height_mm,fluid,priority\n".to_owned();
    for row in 0..24 {
        let (length, width) = (40 + row % 5 * 9, 14 + row % 3 * 7);
        let fluid = if row % 4 == 0 { "formalin-5" } else { "ethanol-70" };
        specimens += &format!("K-{row:02},{length},{width},{width},{fluid},{}\n", 1 + row % 3);
    }
    scenes::project(&[
        ("specimens.csv", &specimens),
        (
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,pack_price,pack_size,supplier\n\
             JAR-30,cylinder,30,100,borosilicate,pp-cap-ptfe,2,5.10,6,Alder Glass\n\
             JAR-40,cylinder,40,110,borosilicate,pp-cap-ptfe,,2.20,1,Birch Works\n\
             JAR-40,cylinder,,,,,,9.90,6,Alder Glass\n\
             JAR-55,cylinder,55,120,borosilicate,pp-cap-ptfe,3,3.35,1,Birch Works\n",
        ),
        (
            "suppliers.csv",
            "supplier,delivery_charge,free_delivery_over,minimum_order\nAlder Glass,6.50,24,\nBirch Works,4,,9\n",
        ),
        ("settings.toml", "budget = 31.5\n[fluid_price]\nethanol-70 = 4.10\nformalin-5 = 1.20\n"),
    ])
}

/// The first level with leaves, and the level of money.
const COUNT: usize = 2;
const MONEY: usize = 4;

#[test]
fn every_level_of_the_scene_is_proved_by_its_leaves() {
    let (project, plan) = planned(scene());
    assert_eq!(audit(&project, &plan), Vec::new());
    assert_eq!(plan.status, Status::ProvedBest);
    assert!(plan.levels.iter().all(|level| level.proof == Proof::Recomputed && level.bound == level.value));
    assert!(plan.levels[COUNT].value > 0 && plan.levels[COUNT].leaves.len() >= 3, "{:#?}", plan.levels[COUNT]);
    assert!(plan.levels[MONEY].leaves.len() >= 3, "{:#?}", plan.levels[MONEY]);
    assert!(plan.levels[MONEY].leaves.iter().any(|leaf| !leaf.packs.is_empty()), "{:#?}", plan.levels[MONEY]);
}

/// The leaf whose bound is the level's: changed, it must be missed.
fn prices(plan: &mut Plan) -> &mut Vec<(rehouse::stock::VesselId, i64)> {
    let leaf = plan.levels[MONEY].leaves.iter_mut().find(|leaf| leaf.weights.money > 0 && leaf.prices.len() > 1);
    &mut leaf.expect("a leaf with prices").prices
}

const CENT: i64 = Money::PER_UNIT / 100;

const LEAVES: &[Wrong] = &[
    ("a bound a hundredth too high", "levels[4].bound", |_, p| {
        // The value too, so that it alone does not give it away.
        p.levels[MONEY].bound += CENT;
    }),
    ("a bound of a count one too high", "levels[2].bound", |_, p| p.levels[COUNT].bound += 1),
    ("a bound of fluid a millilitre too high", "levels[5].bound", |_, p| p.levels[5].bound += 1),
    ("the first leaf missing", "levels[4].leaves", |_, p| drop(p.levels[MONEY].leaves.remove(0))),
    ("the last leaf missing", "levels[4].leaves", |_, p| drop(p.levels[MONEY].leaves.pop())),
    ("a leaf of a count missing", "levels[2].leaves", |_, p| drop(p.levels[COUNT].leaves.pop())),
    ("all leaves missing", "levels[4].bound", |_, p| p.levels[MONEY].leaves.clear()),
    ("a leaf twice", "levels[4].leaves", |_, p| {
        let again = p.levels[MONEY].leaves[0].clone();
        p.levels[MONEY].leaves.push(again);
    }),
    ("a price below nothing", "levels[4].leaves[", |_, p| prices(p)[0].1 = -1),
    ("a price beyond measure", "levels[4].leaves[", |_, p| prices(p)[0].1 = MOST + 1),
    ("a weight below nothing", "levels[4].leaves[0]", |_, p| p.levels[MONEY].leaves[0].weights.deferred[0] = -1),
    ("goods that weigh less than nothing", "levels[4].leaves[0]", |_, p| {
        p.levels[MONEY].leaves[0].goods = vec![(SupplierId(0), -1)];
    }),
    ("packs below nothing", "levels[4].leaves[0]", |_, p| {
        p.levels[MONEY].leaves[0].packs = vec![PackLimits { offer: 0, least: -1, most: None }];
    }),
    ("a price twice", "levels[4].leaves[", |_, p| {
        let first = prices(p)[0];
        prices(p).insert(0, first);
    }),
    ("an offer that does not exist", "levels[4].leaves[0]", |_, p| {
        p.levels[MONEY].leaves[0].packs.push(PackLimits { offer: 99, least: 0, most: None });
    }),
    ("a supplier that does not exist", "levels[4].leaves[0]", |_, p| {
        p.levels[MONEY].leaves[0].suppliers.push((SupplierId(99), Terms::Closed));
    }),
    ("a limit narrowed", "levels[4].leaves", |_, p| {
        let limits = p.levels[MONEY].leaves.iter_mut().flat_map(|leaf| &mut leaf.packs);
        limits.into_iter().find(|limits| limits.least > 0).expect("a limit").least += 1;
    }),
    ("a limit widened", "levels[4].leaves", |_, p| {
        let limits = p.levels[MONEY].leaves.iter_mut().flat_map(|leaf| &mut leaf.packs);
        limits.into_iter().find(|limits| limits.least > 0).expect("a limit").least -= 1;
    }),
    ("a limit dropped", "levels[4].leaves", |_, p| {
        let leaf = p.levels[MONEY].leaves.iter_mut().find(|leaf| !leaf.packs.is_empty());
        leaf.expect("a limit").packs.pop();
    }),
    ("a leaf for another supplier's state", "levels[4].leaves", |_, p| {
        let terms = &mut p.levels[MONEY].leaves[0].suppliers[0].1;
        *terms = if *terms == Terms::Closed { Terms::Paying } else { Terms::Closed };
    }),
    ("leaves of fluid", "levels[5].leaves", |_, p| p.levels[5].leaves = p.levels[MONEY].leaves.clone()),
    ("nothing weighed", "levels[4].bound", |_, p| {
        p.levels[MONEY].leaves.iter_mut().for_each(|leaf| leaf.weights = Default::default());
    }),
    ("a dearer stock list", "levels[4].", |project, _| project.stock.offers[0].pack_price = Money::ZERO),
    ("another supplier's terms", "levels[4].bound", |project, _| {
        project.stock.suppliers.iter_mut().for_each(|supplier| supplier.delivery_charge = Money::ZERO);
    }),
    ("a larger budget", "levels[2].bound", |project, _| project.settings.budget = Some(Money::whole(40))),
    ("proved without reaching", "levels[4].bound", |_, p| {
        p.levels[MONEY].bound -= CENT;
    }),
];

#[test]
fn every_wrong_leaf_is_found() {
    each_is_found(scene(), LEAVES);
}

/// A leaf in which something is given another number or limit, from a seed.
fn shaken(mut leaf: Leaf, seed: u64) -> Leaf {
    let mut state = seed;
    let mut below = |most: u64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % most
    };
    let mut shake = |number: &mut i64| {
        if below(12) == 0 {
            *number = match below(4) {
                0 => 0,
                1 => *number / 2,
                2 => (*number).saturating_mul(2).min(MOST),
                _ => (*number + below(1 << 40) as i64).min(MOST),
            };
        }
    };
    leaf.weights.deferred.iter_mut().for_each(&mut shake);
    let weights = &mut leaf.weights;
    [&mut weights.money, &mut weights.fluid, &mut weights.budget].into_iter().for_each(&mut shake);
    leaf.prices.iter_mut().for_each(|(_, price)| shake(price));
    leaf.goods.iter_mut().for_each(|(_, weight)| shake(weight));
    leaf
}

#[test]
fn whatever_the_numbers_no_bound_above_the_best_is_let_pass() {
    let (project, plan) = planned(scene());
    let mut given = 0;
    for seed in 0..300 {
        let mut other = plan.clone();
        for level in &mut other.levels {
            let leaves = std::mem::take(&mut level.leaves).into_iter().zip(0..);
            level.leaves = leaves.map(|(leaf, number)| shaken(leaf, seed * 1_000 + number)).collect();
        }
        for (rank, level) in plan.levels.iter().enumerate() {
            // One more than the best, on every level by itself: the value has to be raised with it to be believed.
            let mut claim = other.clone();
            claim.levels[rank].bound = level.value + 1;
            let claimed = format!("levels[{rank}].bound");
            let findings = audit(&project, &claim);
            assert!(findings.iter().any(|finding| finding.claim == claimed), "seed {seed}, {}", level.aim.name());
            // What the leaves do give is said in the finding of a bound that nothing gives.
            claim.levels[rank].bound = i64::MAX;
            let derived =
                audit(&project, &claim).into_iter().filter(|finding| finding.claim == claimed).find_map(|f| {
                    f.derived
                        .strip_prefix("at most ")
                        .and_then(|most| most.parse::<i64>().ok())
                        .filter(|_| f.stated == i64::MAX.to_string())
                });
            if level.aim != Aim::Money {
                assert!(
                    derived.is_some_and(|most| most <= level.value),
                    "seed {seed}, {}: {derived:?}",
                    level.aim.name()
                );
            }
            given += usize::from(derived.is_some_and(|most| 0 < most && most < level.value));
        }
    }
    assert!(given > 50, "only {given} bounds of shaken leaves were any and fell short");
}
