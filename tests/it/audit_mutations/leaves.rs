//! Leaves: what is wrong with any number or limit of them is found, and no numbers whatever give a bound that is false.

use rehouse::audit::audit;
use rehouse::decision::leaf::{Leaves, MOST, MOST_LEAVES, Numbers, PackLimits, Terms};
use rehouse::decision::{Aim, Proof, Status};
use rehouse::plan::Plan;
use rehouse::project::Project;
use rehouse::stock::SupplierId;
use rehouse::units::Money;

use super::{Wrong, each_is_found, planned, scenes};

/// Two suppliers with charges, one with a threshold, one with a minimum; packs and single pieces; a budget that leaves
/// some rows of priority 3 deferred.
fn scene() -> Project {
    scene_of(STOCK, TERMS)
}

const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,pack_price,pack_size,supplier\n\
    JAR-30,cylinder,30,100,borosilicate,pp-cap-ptfe,2,5.10,6,Alder Glass\n\
    JAR-40,cylinder,40,110,borosilicate,pp-cap-ptfe,,2.20,1,Birch Works\n\
    JAR-40,cylinder,,,,,,9.90,6,Alder Glass\n\
    JAR-55,cylinder,55,120,borosilicate,pp-cap-ptfe,3,3.35,1,Birch Works\n";

const TERMS: &str =
    "supplier,delivery_charge,free_delivery_over,minimum_order\nAlder Glass,6.50,24,\nBirch Works,4,,9\n";

fn scene_of(stock: &str, terms: &str) -> Project {
    let mut specimens = "catalogNumber,length_mm,width_mm,height_mm,fluid,priority\n".to_owned();
    for row in 0..24 {
        let (length, width) = (40 + row % 5 * 9, 14 + row % 3 * 7);
        let fluid = if row % 4 == 0 { "formalin-5" } else { "ethanol-70" };
        specimens += &format!("K-{row:02},{length},{width},{width},{fluid},{}\n", 1 + row % 3);
    }
    scenes::project(&[
        ("specimens.csv", &specimens),
        ("vessels.csv", stock),
        ("suppliers.csv", terms),
        ("settings.toml", "budget = 31.5\n[fluid_price]\nethanol-70 = 4.10\nformalin-5 = 1.20\n"),
    ])
}

/// The first level that leaves are sought for, and the level of money.
const COUNT: usize = 2;
const MONEY: usize = 4;

#[test]
fn every_level_of_the_scene_is_proved_by_its_leaves() {
    let (project, plan) = planned(scene());
    assert_eq!(audit(&project, &plan), Vec::new());
    assert_eq!(plan.status, Status::ProvedBest);
    assert!(plan.levels.iter().all(|level| level.proof == Proof::Recomputed && level.bound == level.value));
    assert!(plan.levels[COUNT].value > 0 && plan.levels[COUNT].leaves.parts.len() >= 3, "{:#?}", plan.levels[COUNT]);
    assert!(plan.levels[MONEY].leaves.numbers.len() >= 3, "{:#?}", plan.levels[MONEY]);
    assert!(plan.levels[MONEY].leaves.parts.iter().any(|leaf| !leaf.packs.is_empty()), "{:#?}", plan.levels[MONEY]);
}

#[test]
fn every_leaf_decides_every_supplier_and_the_weight_of_its_level_is_a_power_of_two() {
    let (project, plan) = planned(scene());
    for level in &plan.levels {
        let Leaves { parts, numbers } = &level.leaves;
        for leaf in parts {
            let named: Vec<SupplierId> = leaf.suppliers.iter().map(|(supplier, _)| *supplier).collect();
            assert_eq!(named, (0..project.stock.suppliers.len() as u32).map(SupplierId).collect::<Vec<_>>());
            assert!(leaf.suppliers.iter().all(|(_, terms)| *terms != Terms::Undecided), "{leaf:#?}");
        }
        // What shows that a part holds no plan weighs nothing.
        assert!(numbers.iter().any(|numbers| numbers.weights.of(level.aim) > 0) || parts.is_empty(), "{numbers:#?}");
        // Fluid's are those of money.
        assert_eq!(parts.is_empty(), level.aim == Aim::Fluid);
        for weights in numbers.iter().map(|numbers| numbers.weights) {
            let fluid = if level.aim == Aim::Money { weights.fluid } else { 0 };
            for own in [weights.of(level.aim), fluid] {
                assert!(own == 0 || own.count_ones() == 1, "{} has {own}", level.aim.name());
            }
        }
    }
    // Parts that differ in suppliers alone share their numbers.
    let money = &plan.levels[MONEY].leaves;
    assert!(money.numbers.len() < money.parts.len(), "{money:#?}");
}

#[test]
fn a_supplier_that_asks_for_nothing_is_never_closed_unless_suppliers_are_counted() {
    let terms = TERMS.replace("Birch Works,4,,9", "Birch Works,0,,0");
    let (mut project, plan) = planned(scene_of(STOCK, &terms));
    assert_eq!(audit(&project, &plan), Vec::new());
    let birch = SupplierId(1);
    let money = &plan.levels[MONEY].leaves;
    let of_birch = money.parts.iter().flat_map(|leaf| &leaf.suppliers).filter(|(supplier, _)| *supplier == birch);
    let of_birch: Vec<Terms> = of_birch.map(|(_, terms)| *terms).collect();
    assert_eq!(of_birch, vec![Terms::Paying; money.parts.len()], "{money:#?}");
    assert!(!of_birch.is_empty());
    // Where they are counted a plan without it is another one, and no leaf holds that.
    project.settings.max_suppliers = Some(2);
    let findings = audit(&project, &plan);
    assert!(findings.iter().any(|finding| finding.claim == "levels[4].leaves"), "{findings:#?}");
}

#[test]
fn where_leaves_would_be_too_many_they_leave_suppliers_undecided_and_still_hold_every_plan() {
    let mut stock = STOCK.to_owned();
    let mut terms = TERMS.to_owned();
    for number in 0..14 {
        stock += &format!("JAR-40,cylinder,,,,,,9.{},6,Supplier {number}\n", 95 - number);
        terms += &format!("Supplier {number},{},,\n", 3 + number);
    }
    let project = scene_of(&stock, &terms);
    let (project, plan) = planned(project);
    assert_eq!(audit(&project, &plan), Vec::new());
    let leaves = &plan.levels[MONEY].leaves;
    assert!(!leaves.is_empty() && leaves.parts.len() <= MOST_LEAVES);
    assert!(leaves.parts.iter().any(|leaf| leaf.suppliers.len() < project.stock.suppliers.len()), "{leaves:#?}");
}

#[test]
fn any_leaf_that_is_missing_is_missed() {
    let (project, plan) = planned(scene());
    for level in [COUNT, MONEY] {
        for missing in 0..plan.levels[level].leaves.parts.len() {
            let mut plan = plan.clone();
            plan.levels[level].leaves.parts.remove(missing);
            let claimed = format!("levels[{level}].leaves");
            let findings = audit(&project, &plan);
            assert!(findings.iter().any(|finding| finding.claim.starts_with(&claimed)), "{missing}: {findings:#?}");
        }
    }
}

/// Numbers of which leaves of money are bounded: changed, they must be missed.
fn numbers(plan: &mut Plan) -> &mut Numbers {
    let all = &mut plan.levels[MONEY].leaves.numbers;
    all.iter_mut().find(|numbers| numbers.weights.money > 0 && numbers.prices.len() > 1).expect("numbers with prices")
}

const CENT: i64 = Money::PER_UNIT / 100;

const LEAVES: &[Wrong] = &[
    ("a bound a hundredth too high", "levels[4].bound", |_, p| {
        // The value too, so that it alone does not give it away.
        p.levels[MONEY].bound += CENT;
    }),
    ("a bound of a count one too high", "levels[2].bound", |_, p| p.levels[COUNT].bound += 1),
    ("a bound of fluid a millilitre too high", "levels[5].bound", |_, p| p.levels[5].bound += 1),
    ("the first leaf missing", "levels[4].leaves", |_, p| drop(p.levels[MONEY].leaves.parts.remove(0))),
    ("the last leaf missing", "levels[4].leaves", |_, p| drop(p.levels[MONEY].leaves.parts.pop())),
    ("a leaf of a count missing", "levels[2].leaves", |_, p| drop(p.levels[COUNT].leaves.parts.pop())),
    ("all leaves missing", "levels[4].leaves", |_, p| p.levels[MONEY].leaves = Leaves::default()),
    ("all leaves of a level that is met without", "levels[0].leaves", |_, p| p.levels[0].leaves = Leaves::default()),
    ("a leaf twice", "levels[4].leaves", |_, p| {
        let again = p.levels[MONEY].leaves.parts[0].clone();
        p.levels[MONEY].leaves.parts.push(again);
    }),
    ("a price below nothing", "levels[4].leaves.numbers[", |_, p| numbers(p).prices[0].1 = -1),
    ("a price beyond measure", "levels[4].leaves.numbers[", |_, p| numbers(p).prices[0].1 = MOST + 1),
    ("a weight below nothing", "levels[4].leaves.numbers[", |_, p| numbers(p).weights.deferred[0] = -1),
    ("a multiplier of the budget below nothing", "levels[4].leaves.numbers[", |_, p| numbers(p).weights.budget = -1),
    ("goods that weigh less than nothing", "levels[4].leaves.numbers[", |_, p| {
        numbers(p).goods = vec![(SupplierId(0), -1)];
    }),
    ("a weight of money that is no power of two", "levels[4].leaves.numbers[", |_, p| numbers(p).weights.money -= 1),
    ("a weight of fluid that is no power of two", "levels[4].leaves.numbers[", |_, p| numbers(p).weights.fluid = 3),
    ("a weight of a count that is no power of two", "levels[2].leaves.numbers[", |_, p| {
        let all = p.levels[COUNT].leaves.numbers.iter_mut().map(|numbers| &mut numbers.weights.deferred[2]);
        *all.into_iter().find(|weight| **weight > 4).expect("a weight of the level") += 1;
    }),
    ("numbers of no leaf", "levels[4].leaves.numbers[", |_, p| {
        let again = numbers(p).clone();
        p.levels[MONEY].leaves.numbers.push(again);
    }),
    ("numbers that are not there", "levels[4].leaves[0]", |_, p| {
        p.levels[MONEY].leaves.parts[0].numbers = p.levels[MONEY].leaves.numbers.len();
    }),
    ("a leaf with the numbers of others", "levels[4].", |_, p| {
        let leaves = &mut p.levels[MONEY].leaves;
        let (last, others) = leaves.parts.split_last_mut().expect("leaves");
        last.numbers = others.iter().map(|leaf| leaf.numbers).find(|of| *of != last.numbers).expect("other numbers");
    }),
    ("a supplier left undecided", "levels[4].leaves", |_, p| {
        p.levels[MONEY].leaves.parts[0].suppliers.pop();
    }),
    ("packs below nothing", "levels[4].leaves[0]", |_, p| {
        p.levels[MONEY].leaves.parts[0].packs = vec![PackLimits { offer: 0, least: -1, most: None }];
    }),
    ("a price twice", "levels[4].leaves.numbers[", |_, p| {
        let first = numbers(p).prices[0];
        numbers(p).prices.insert(0, first);
    }),
    ("an offer that does not exist", "levels[4].leaves[0]", |_, p| {
        p.levels[MONEY].leaves.parts[0].packs.push(PackLimits { offer: 99, least: 0, most: None });
    }),
    ("a supplier that does not exist", "levels[4].leaves[0]", |_, p| {
        p.levels[MONEY].leaves.parts[0].suppliers.push((SupplierId(99), Terms::Closed));
    }),
    ("a limit narrowed", "levels[4].leaves", |_, p| {
        let limits = p.levels[MONEY].leaves.parts.iter_mut().flat_map(|leaf| &mut leaf.packs);
        limits.into_iter().find(|limits| limits.least > 0).expect("a limit").least += 1;
    }),
    ("a limit widened", "levels[4].leaves", |_, p| {
        let limits = p.levels[MONEY].leaves.parts.iter_mut().flat_map(|leaf| &mut leaf.packs);
        limits.into_iter().find(|limits| limits.least > 0).expect("a limit").least -= 1;
    }),
    ("a limit dropped", "levels[4].leaves", |_, p| {
        let leaf = p.levels[MONEY].leaves.parts.iter_mut().find(|leaf| !leaf.packs.is_empty());
        leaf.expect("a limit").packs.pop();
    }),
    ("a leaf for another supplier's state", "levels[4].leaves", |_, p| {
        let terms = &mut p.levels[MONEY].leaves.parts[0].suppliers[0].1;
        *terms = if *terms == Terms::Closed { Terms::Paying } else { Terms::Closed };
    }),
    ("leaves of fluid that weigh none", "levels[5].bound", |_, p| p.levels[5].leaves = p.levels[0].leaves.clone()),
    ("leaves of money that weigh no fluid", "levels[5].bound", |_, p| {
        p.levels[MONEY].leaves.numbers.iter_mut().for_each(|numbers| numbers.weights.fluid = 0);
    }),
    ("nothing weighed", "levels[4].bound", |_, p| {
        p.levels[MONEY].leaves.numbers.iter_mut().for_each(|numbers| numbers.weights = Default::default());
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

/// Numbers of which some are others, from a seed; those that must be powers of two stay so.
fn shaken(mut numbers: Numbers, aim: Aim, seed: u64) -> Numbers {
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
    let weights = &mut numbers.weights;
    weights.deferred.iter_mut().for_each(&mut shake);
    [&mut weights.money, &mut weights.fluid, &mut weights.budget].into_iter().for_each(&mut shake);
    let to_power = |weight: &mut i64| *weight = weight.checked_ilog2().map_or(0, |places| 1 << places);
    match aim {
        Aim::Deferred(priority) => to_power(&mut weights.deferred[usize::from(priority) - 1]),
        Aim::Money | Aim::Fluid => [&mut weights.money, &mut weights.fluid].into_iter().for_each(to_power),
    }
    numbers.prices.iter_mut().for_each(|(_, price)| shake(price));
    numbers.goods.iter_mut().for_each(|(_, weight)| shake(weight));
    numbers
}

#[test]
fn whatever_the_numbers_no_bound_above_the_best_is_let_pass() {
    let (project, plan) = planned(scene());
    let mut given = 0;
    for seed in 0..300 {
        let mut other = plan.clone();
        for level in &mut other.levels {
            let (aim, all) = (level.aim, std::mem::take(&mut level.leaves.numbers).into_iter().zip(0..));
            level.leaves.numbers = all.map(|(numbers, number)| shaken(numbers, aim, seed * 1_000 + number)).collect();
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
