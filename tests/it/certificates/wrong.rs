//! Each of many single wrongs in a certificate is found, at its place.

use rehouse::audit::audit;
use rehouse::decision::Aim;
use rehouse::decision::certificate::{Certificate, Group, LotChoice, MOST, Node, Numbers};
use rehouse::plan::Plan;
use rehouse::project::Project;
use rehouse::stock::{SupplierId, VesselId};
use rehouse::units::Money;

use super::hand::{NO_FLUID, counted, ordered};
use crate::audit_mutations::Wrong;

pub fn each_is_found((project, plan): (Project, Plan), wrongs: &[Wrong]) {
    assert_eq!(audit(&project, &plan), Vec::new(), "the plan is correct to begin with");
    let missed: Vec<String> = wrongs
        .iter()
        .filter_map(|(what, claim, make)| {
            let (mut project, mut plan) = (project.clone(), plan.clone());
            make(&mut project, &mut plan);
            let findings = audit(&project, &plan);
            let found = findings.iter().any(|finding| finding.path().starts_with(claim));
            (!found).then(|| format!("{what}: no finding on {claim} in {findings:#?}"))
        })
        .collect();
    assert!(missed.is_empty(), "{} of {} missed:\n{}", missed.len(), wrongs.len(), missed.join("\n"));
}

pub fn money(plan: &mut Plan) -> &mut Certificate {
    &mut plan.levels[4].certificate
}

pub fn numbers(plan: &mut Plan, number: usize) -> &mut Numbers {
    &mut money(plan).numbers[number]
}

const CENT: i64 = Money::PER_UNIT / 100;

const ORDERED: &[Wrong] = &[
    ("a bound of 1.00 too much", "levels[4].bound", |_, p| p.levels[4].bound += 100 * CENT),
    ("a bound of fluid a millilitre too high", "levels[5].bound", |_, p| p.levels[5].bound += 1),
    ("a bound of a count one too high", "levels[2].bound", |_, p| p.levels[2].bound += 1),
    ("proved without reaching", "levels[4].bound", |_, p| p.levels[4].bound -= CENT),
    ("no certificate of money", "levels[4].certificate.tree[0]", |_, p| *money(p) = Certificate::default()),
    ("no certificate of a count", "levels[0].certificate.tree[0]", |_, p| {
        p.levels[0].certificate = Certificate::default();
    }),
    ("that of money for fluid, which it does not weigh", "levels[5].bound", |_, p| {
        p.levels[5].certificate = Certificate::default();
    }),
    ("that of a count for fluid", "levels[5].bound", |_, p| p.levels[5].certificate = Certificate::trivial(Aim::Money)),
    ("the last leaf missing", "levels[4].certificate.tree[5]", |_, p| {
        money(p).nodes.pop();
    }),
    ("the first leaf missing", "levels[4].certificate.tree[5]", |_, p| {
        money(p).nodes.remove(1);
    }),
    ("the split missing", "levels[4].certificate.tree[1]", |_, p| {
        money(p).nodes.remove(0);
    }),
    ("a leaf too many", "levels[4].certificate.tree[6]", |_, p| money(p).nodes.push(Node::Leaf { numbers: 0 })),
    ("a leaf of a count too many", "levels[1].certificate.tree[1]", |_, p| {
        p.levels[1].certificate.nodes.push(Node::Leaf { numbers: 0 });
    }),
    ("the children of a supplier swapped", "levels[4].bound", |_, p| {
        money(p).nodes.swap(1, 5);
    }),
    ("a leaf with the numbers of another", "levels[4].bound", |_, p| {
        money(p).nodes[1] = Node::Leaf { numbers: 1 };
        numbers(p, 0).prices[0].1 -= CENT;
        money(p).nodes[3] = Node::Leaf { numbers: 0 };
    }),
    ("numbers that are not there", "levels[4].certificate.tree[1]", |_, p| {
        money(p).nodes[1] = Node::Leaf { numbers: 3 };
    }),
    ("numbers of no leaf", "levels[4].certificate.numbers[2]", |_, p| money(p).nodes[5] = Node::Leaf { numbers: 1 }),
    ("numbers twice", "levels[4].certificate.numbers[3]", |_, p| {
        let again = numbers(p, 1).clone();
        money(p).numbers.push(again);
        money(p).nodes[4] = Node::Leaf { numbers: 3 };
    }),
    ("a supplier that is not there", "levels[4].certificate.tree[0]", |_, p| {
        money(p).nodes[0] = Node::Supplier(SupplierId(1));
    }),
    ("a supplier decided twice", "levels[4].certificate.tree[2]", |_, p| {
        money(p).nodes[2] = Node::Supplier(SupplierId(0));
        money(p).nodes.push(Node::Leaf { numbers: 2 });
    }),
    ("an offer that is not there", "levels[4].certificate.tree[2]", |_, p| {
        money(p).nodes[2] = Node::Packs { offer: 1, at_most: 1 };
    }),
    ("packs below 0", "levels[4].certificate.tree[2]", |_, p| {
        money(p).nodes[2] = Node::Packs { offer: 0, at_most: -1 }
    }),
    ("packs divided beyond what is left", "levels[4].certificate.tree[3]", |_, p| {
        money(p).nodes.insert(3, Node::Packs { offer: 0, at_most: 1 });
        money(p).nodes.insert(4, Node::Leaf { numbers: 1 });
    }),
    ("packs divided beyond all counting", "levels[4].certificate.tree[2]", |_, p| {
        money(p).nodes[2] = Node::Packs { offer: 0, at_most: i64::MAX };
    }),
    ("a price too low", "levels[4].bound", |_, p| numbers(p, 1).prices[0].1 -= 60 * CENT),
    ("a price too high", "levels[4].bound", |_, p| numbers(p, 1).prices[0].1 += 60 * CENT),
    ("a price below 0", "levels[4].certificate.numbers[1]", |_, p| numbers(p, 1).prices[0].1 = -1),
    ("a price of 0", "levels[4].certificate.numbers[1]", |_, p| numbers(p, 1).prices[0].1 = 0),
    ("a price beyond measure", "levels[4].certificate.numbers[1]", |_, p| numbers(p, 1).prices[0].1 = MOST + 1),
    ("a price twice", "levels[4].certificate.numbers[1]", |_, p| {
        let again = numbers(p, 1).prices[0];
        numbers(p, 1).prices.push(again);
    }),
    ("a price of a vessel that is not there", "levels[4].certificate.numbers[1]", |_, p| {
        numbers(p, 1).prices.push((VesselId(1), 1));
    }),
    ("goods that weigh less than nothing", "levels[4].certificate.numbers[2]", |_, p| numbers(p, 2).goods[0].1 = -1),
    ("goods of a supplier that is not there", "levels[4].certificate.numbers[2]", |_, p| {
        numbers(p, 2).goods[0].0 = SupplierId(1);
    }),
    ("a weight below 0", "levels[4].certificate.numbers[0]", |_, p| numbers(p, 0).weights.deferred[0] = -1),
    ("a weight beyond measure", "levels[4].certificate.numbers[0]", |_, p| {
        numbers(p, 0).weights.deferred[0] = i64::MAX;
    }),
    ("a weight of money that is no power of two", "levels[4].certificate.numbers[0]", |_, p| {
        numbers(p, 0).weights.money = 3;
    }),
    ("a weight of fluid that is no power of two", "levels[5].certificate.numbers[0]", |_, p| {
        p.levels[5].certificate.numbers[0].weights.fluid = 6;
    }),
    ("deferring that costs too little", "levels[4].bound", |_, p| numbers(p, 1).weights.deferred[2] = 100 * CENT),
    ("nothing weighed", "levels[4].bound", |_, p| numbers(p, 0).weights = Default::default()),
    ("a budget that is not set", "levels[4].certificate.numbers[0]", |_, p| numbers(p, 0).weights.budget = 1),
    ("a limit on suppliers that is not set", "levels[4].certificate.numbers[0]", |_, p| numbers(p, 0).per_supplier = 1),
    ("a price of kinds without a limit", "levels[4].certificate.numbers[0]", |_, p| numbers(p, 0).kinds = 1),
    ("a group that no split counts", "levels[4].certificate.groups[0]", |_, p| {
        money(p).groups.push(Group { rows: vec![0], within: None });
    }),
    ("a lower charge", "levels[4].bound", |project, _| project.stock.suppliers[0].delivery_charge = Money::whole(2)),
    ("a lower threshold", "levels[4].bound", |project, _| {
        project.stock.suppliers[0].free_delivery_over = Some(Money::whole(5));
    }),
    ("no threshold", "levels[4].certificate.tree[5]", |project, _| {
        project.stock.suppliers[0].free_delivery_over = None
    }),
    ("a lower price", "levels[4].bound", |project, _| project.stock.offers[0].pack_price = Money::whole(3)),
    ("another jar that is there", "levels[4].bound", |project, _| project.stock.vessels[0].on_hand = 2),
];

const COUNTED: &[Wrong] = &[
    ("a lot that is not alike", "levels[4].certificate.groups[0]", |_, p| money(p).groups[0].rows.push(4)),
    ("a lot in another fluid", "levels[4].certificate.groups[0]", |project, _| {
        project.collection.specimens[3].fluid = project.collection.specimens[4].fluid;
    }),
    ("a lot of another priority", "levels[4].certificate.groups[0]", |project, _| {
        project.collection.specimens[3].priority = 2;
    }),
    ("a lot that is not to be decided", "levels[4].certificate.groups[0]", |project, _| {
        project.collection.specimens[3].fluid = project.rules.fluid_named("unknown").expect("a fluid of the rules");
    }),
    ("lots of two constants", "levels[4].certificate.groups[1]", |_, p| money(p).groups[1].rows.push(2)),
    ("lots that the larger group does not have", "levels[4].certificate.groups[1]", |_, p| {
        money(p).groups[1].rows.push(4);
    }),
    ("a lot of two groups", "levels[4].certificate.groups[2]", |_, p| {
        money(p).groups.push(Group { rows: vec![0], within: None });
    }),
    ("a lot twice within a group", "levels[4].certificate.groups[2]", |_, p| {
        money(p).groups.push(Group { rows: vec![0], within: Some(0) });
    }),
    ("a group that no split counts", "levels[4].certificate.groups[2]", |_, p| {
        money(p).groups.push(Group { rows: vec![4], within: None });
    }),
    ("a group of no lot", "levels[4].certificate.groups[1]", |_, p| money(p).groups[1].rows.clear()),
    ("a row that is not there", "levels[4].certificate.groups[0]", |_, p| money(p).groups[0].rows.push(5)),
    ("a row twice", "levels[4].certificate.groups[0]", |_, p| money(p).groups[0].rows.push(3)),
    ("rows out of order", "levels[4].certificate.groups[0]", |_, p| money(p).groups[0].rows.swap(0, 1)),
    ("a group within itself", "levels[4].certificate.groups[1]", |_, p| money(p).groups[1].within = Some(1)),
    ("a group within none", "levels[4].certificate.groups[1]", |_, p| money(p).groups[1].within = Some(2)),
    ("a group of its own in part of another", "levels[4].certificate.groups[1]", |_, p| {
        money(p).groups[1].within = None;
    }),
    ("a group that is not there", "levels[4].certificate.tree[0]", |_, p| count(p, 0, (2, SMALL, 1))),
    ("a vessel that is not there", "levels[4].certificate.tree[0]", |_, p| {
        count(p, 0, (0, LotChoice::Vessel(VesselId(2)), 1));
    }),
    ("a place that no lot may have", "levels[4].certificate.groups[0]", |_, p| count(p, 0, (0, LotChoice::Tank, 1))),
    ("lots of several constants that wait", "levels[4].certificate.tree[0]", |_, p| {
        count(p, 0, (0, LotChoice::Waiting, 1))
    }),
    ("lots of one constant in a place", "levels[4].certificate.tree[2]", |_, p| count(p, 2, (1, SMALL, 0))),
    ("lots below 0", "levels[4].certificate.tree[0]", |_, p| count(p, 0, (0, SMALL, -1))),
    ("more lots than there are", "levels[4].certificate.tree[0]", |_, p| count(p, 0, (0, SMALL, 4))),
    ("lots divided beyond what is left", "levels[4].certificate.tree[2]", |_, p| count(p, 2, (0, SMALL, 1))),
    ("a restriction that another leaf does not have", "levels[4].bound", |_, p| count(p, 0, (0, SMALL, 2))),
    ("the children of lots swapped", "levels[4].bound", |_, p| {
        let nodes = &mut money(p).nodes;
        let first = nodes.remove(1);
        nodes.push(first);
    }),
    ("a split of lots without its second child", "levels[4].certificate.tree[4]", |_, p| {
        money(p).nodes.pop();
    }),
    ("a price too low", "levels[4].bound", |_, p| numbers(p, 1).prices[0].1 -= 5 * CENT),
    ("prices out of order", "levels[4].certificate.numbers[1]", |_, p| numbers(p, 1).prices.swap(0, 1)),
    ("owned fluid above its price", "levels[4].certificate.numbers[0]", |_, p| numbers(p, 0).owned[0].1 += 1),
    ("owned fluid below its price", "levels[4].bound", |_, p| numbers(p, 1).owned[0].1 -= 5_000),
    ("owned fluid at nothing", "levels[4].bound", |_, p| numbers(p, 1).owned.clear()),
    ("owned fluid at less than nothing", "levels[4].certificate.numbers[0]", |_, p| numbers(p, 0).owned[0].1 = -1),
    ("a fluid that is not owned", "levels[4].certificate.numbers[0]", |project, p| {
        numbers(p, 0).owned[0].0 = project.collection.specimens[0].fluid;
    }),
    ("a fluid that is not there", "levels[4].certificate.numbers[0]", |_, p| numbers(p, 0).owned[0].0 = NO_FLUID),
    ("a fluid twice", "levels[4].certificate.numbers[0]", |_, p| {
        let again = numbers(p, 0).owned[0];
        numbers(p, 0).owned.push(again);
    }),
    ("a fluid of which nothing is left", "levels[4].certificate.numbers[0]", |project, _| {
        project.stock.fluids[0].amount.0 = 0;
    }),
    ("more of a fluid than was counted", "levels[4].bound", |project, _| project.stock.fluids[0].amount.0 += 20),
];

const SMALL: LotChoice = LotChoice::Vessel(VesselId(0));

fn count(plan: &mut Plan, node: usize, (group, place, at_most): (usize, LotChoice, i64)) {
    money(plan).nodes[node] = Node::Lots { group, place, at_most };
}

#[test]
fn every_wrong_in_suppliers_packs_and_multipliers_is_found() {
    each_is_found(ordered(), ORDERED);
}

#[test]
fn every_wrong_in_groups_and_lots_is_found() {
    each_is_found(counted(), COUNTED);
}

#[test]
fn a_tree_of_300_000_splits_does_not_overflow_the_stack() {
    let (project, mut plan) = ordered();
    let certificate = money(&mut plan);
    // A chain of splits, each at one more pack.
    let (depth, last) = (300_000, certificate.nodes.split_off(2));
    for at_most in 0..depth {
        certificate.nodes.extend([Node::Packs { offer: 0, at_most }, Node::Leaf { numbers: 1 }]);
    }
    certificate.nodes.extend([Node::Leaf { numbers: 1 }, last[last.len() - 1]]);
    assert_eq!(audit(&project, &plan), Vec::new());
    money(&mut plan).nodes.truncate(depth as usize);
    assert!(audit(&project, &plan).iter().any(|found| found.path().starts_with("levels[4].certificate.tree[")));
}
