//! Two small projects with certificates worked out by hand, and the form of certificates in a file.

use rehouse::audit::{Least, audit, leaf_bounds};
use rehouse::decision::certificate::{Certificate, Group, LotChoice, Node, Numbers, Weights};
use rehouse::decision::{Aim, Level, Proof, Status};
use rehouse::plan::Plan;
use rehouse::project::Project;
use rehouse::rules::FluidId;
use rehouse::saved::{from_json, to_json};
use rehouse::stock::{SupplierId, VesselId};
use rehouse::units::Money;

use crate::audit_mutations::{planned, scenes};

pub const MONEY: usize = 4;
pub const FLUID: usize = 5;

/// Weights of the money or the fluid level, with a weight for a deferred lot of priority 3.
pub fn weighing(aim: Aim, deferred: i64) -> Weights {
    Weights { deferred: [0, 0, deferred, 0], ..Weights::alone(aim) }
}

pub fn leaf(numbers: usize) -> Node {
    Node::Leaf { numbers }
}

/// A plan with all levels proved, by these certificates of money and fluid.
pub fn proved(mut plan: Plan, money: Certificate, fluid: Certificate) -> Plan {
    for level in &mut plan.levels {
        assert!(level.value == 0 || level.aim >= Aim::Money, "all lots are placed");
        let certificate = Certificate::trivial(level.aim);
        *level = Level { bound: level.value, proof: Proof::Recomputed, certificate, ..level.clone() };
    }
    plan.levels[MONEY].certificate = money;
    plan.levels[FLUID].certificate = fluid;
    plan.status = Status::ProvedBest;
    plan
}

/// Three lots in jars of one kind: one is on hand, others come in packs of two at 5.00 from a supplier who charges 4.00 and delivers
/// free from 12.00. The fluid costs nothing. Best is one pack at 9.00.
///
/// * Closed: two jars are missing. π = d(3) = 4.50, so each lot comes to 4.50, less 4.50 for the jar on hand: 9.00.
/// * Paying: π = 2.50, the price of a piece; 3 × 2.50 - 2.50 + 4.00 = 9.00.
/// * Free: g = 1, the weight of money: 12.00 of goods, and packs at (1 - 1) × 5.00. Whole packs that reach 12.00 come to 15.00.
pub fn ordered() -> (Project, Plan) {
    let row = |row: u32| format!("L-{row},40,18,18,5,ethanol-70\n");
    let survey = format!("catalogNumber,length_mm,width_mm,height_mm,tissue_ml,fluid\n{}{}{}", row(0), row(1), row(2));
    let (project, plan) = planned(scenes::project(&[
        ("specimens.csv", &survey),
        (
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,pack_price,pack_size,supplier\n\
             JAR,cylinder,45,80,borosilicate,pp-cap-ptfe,1,5.00,2,Alder Glass\n",
        ),
        ("suppliers.csv", "supplier,delivery_charge,free_delivery_over\nAlder Glass,4,12\n"),
        ("settings.toml", "[fluid_price]\nethanol-70 = 0\n"),
    ]));
    let cents = |cents: i64| Money::PER_UNIT / 100 * cents;
    assert_eq!(plan.levels[MONEY].value, cents(900));
    let jar = |price: i64| vec![(VesselId(0), price)];
    let closed = Numbers { weights: weighing(Aim::Money, cents(450)), prices: jar(cents(450)), ..Numbers::default() };
    let paying = Numbers { weights: weighing(Aim::Money, cents(400)), prices: jar(cents(250)), ..Numbers::default() };
    let free = Numbers { weights: Weights::alone(Aim::Money), goods: vec![(SupplierId(0), 1)], ..Numbers::default() };
    let money = Certificate {
        nodes: vec![
            Node::Supplier(SupplierId(0)),
            leaf(0),
            Node::Packs { offer: 0, at_most: 1 },
            leaf(1),
            leaf(1),
            leaf(2),
        ],
        numbers: vec![closed, paying, free],
        groups: Vec::new(),
        cuts: Vec::new(),
    };
    let fluid = Certificate {
        nodes: vec![leaf(0)],
        numbers: vec![Numbers { weights: weighing(Aim::Fluid, 1_000_000), ..Numbers::default() }],
        groups: Vec::new(),
        cuts: Vec::new(),
    };
    let plan = proved(plan, money, fluid);
    (project, plan)
}

/// Millilitres of fluid in each of the two jars.
fn fills(plan: &Plan) -> [i64; 2] {
    [0, 1].map(|vessel| {
        let in_it = plan.placements.iter().find(|row| row.vessel == Some(VesselId(vessel)));
        let fit = in_it.and_then(|row| row.fit.as_ref()).expect("one stands in each");
        fit.filled.0
    })
}

/// Four equal lots, two with 5 ml of tissue and two with 9, and one in another fluid, of which 50 ml are owned. Two small jars are on
/// hand; large ones cost 0.40. Best is two of the four in the small ones.
///
/// Let c be the price of the fluid of a jar, and p = c(large) + 0.40 - c(small). First leaf: at most one of the four is in a small jar,
/// whose multiplier is 0. The four come to c(small) + 3 × (c(large) + 0.40), and the other lot takes a small jar. Second leaf: two or
/// more are, and the multiplier of a small jar is p. Each of the four then comes to c(large) + 0.40 in any jar, less 2 p in all.
pub fn counted() -> (Project, Plan) {
    let row = |row: u32, tissue: u32, fluid: &str| format!("L-{row},40,18,18,{tissue},{fluid}\n");
    let lots = [row(0, 5, "ethanol-70"), row(1, 5, "ethanol-70"), row(2, 9, "ethanol-70"), row(3, 9, "ethanol-70")];
    let survey = format!(
        "catalogNumber,length_mm,width_mm,height_mm,tissue_ml,fluid\n{}{}",
        lots.concat(),
        row(4, 5, "ethanol-50")
    );
    let (project, plan) = planned(scenes::project(&[
        ("specimens.csv", &survey),
        (
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,pack_price,pack_size\n\
             SMALL,cylinder,45,80,borosilicate,pp-cap-ptfe,2,,\n\
             TALL,cylinder,55,100,borosilicate,pp-cap-ptfe,,0.40,1\n",
        ),
        ("fluid-stock.csv", "fluid,litres,location\nethanol-50,0.05,\n"),
        ("settings.toml", "[fluid_price]\nethanol-70 = 2.50\nethanol-50 = 2.20\n"),
    ]));
    let ethanol_50 = project.rules.fluid_named("ethanol-50").expect("a fluid of the rules");
    let [small, large] = fills(&plan);
    // Price of a millilitre, in ten-millionths; jars.
    let (dear, cheap, jar) = (25_000, 22_000, Money::PER_UNIT / 100 * 40);
    let by_hand = dear * (2 * small + 2 * large - 28) + cheap * (large - 5 - 50) + 3 * jar;
    assert_eq!(plan.levels[MONEY].value, by_hand);
    let numbers = |price: i64| Numbers {
        weights: weighing(Aim::Money, 10 * Money::PER_UNIT),
        prices: [(VesselId(0), price), (VesselId(1), jar)].into_iter().filter(|(_, price)| *price > 0).collect(),
        owned: vec![(ethanol_50, cheap)],
        ..Numbers::default()
    };
    let money = Certificate {
        nodes: vec![
            Node::Lots { group: 0, place: LotChoice::Vessel(VesselId(0)), at_most: 1 },
            leaf(0),
            Node::Lots { group: 1, place: LotChoice::Waiting, at_most: 0 },
            leaf(1),
            leaf(1),
        ],
        numbers: vec![numbers(0), numbers(dear * (large - small) + jar)],
        groups: vec![Group { rows: vec![0, 1, 2, 3], within: None }, Group { rows: vec![0, 1], within: Some(0) }],
        cuts: Vec::new(),
    };
    let of_fluid = Numbers {
        weights: weighing(Aim::Fluid, 1_000_000),
        prices: vec![(VesselId(0), large - small)],
        ..Numbers::default()
    };
    let fluid = Certificate { nodes: vec![leaf(0)], numbers: vec![of_fluid], groups: Vec::new(), cuts: Vec::new() };
    let plan = proved(plan, money, fluid);
    (project, plan)
}

#[test]
fn certificates_by_hand_prove_their_plans() {
    for (project, plan) in [ordered(), counted()] {
        assert_eq!(audit(&project, &plan), Vec::new());
        let read = from_json(&project, &to_json(&project, &plan, &[])).expect("it was just written");
        assert_eq!(read.levels, plan.levels);
        assert_eq!(audit(&project, &read), Vec::new());
    }
}

#[test]
fn leaves_have_the_bounds_worked_out_by_hand() {
    let (project, plan) = ordered();
    let of = |cents: i64| Least::Of(i128::from(Money::PER_UNIT / 100 * cents));
    // Second leaf: two packs or more, priced at their cost, lower nothing: the same 9.00.
    let leaves = leaf_bounds(&project, &plan).expect("certificates");
    assert_eq!(leaves[MONEY], [of(900), of(900), of(900), of(1500)]);
    let (project, plan) = counted();
    let [small, large] = fills(&plan);
    let jar = Money::PER_UNIT / 100 * 40;
    let leaves = leaf_bounds(&project, &plan).expect("certificates");
    let one = 25_000 * (small + 3 * large - 28) + 3 * jar + 22_000 * (small - 5 - 50);
    // One of the first two waits at 10.00, which replaces c(large) + 0.40 less the price of its tissue's volume.
    let waits = plan.levels[MONEY].value + 10 * Money::PER_UNIT - 25_000 * (large - 5) - jar;
    let all = [one, plan.levels[MONEY].value, waits].map(|bound| Least::Of(i128::from(bound)));
    assert_eq!(leaves[MONEY], all);
}

#[test]
fn a_bound_is_rounded_up_to_a_value_that_a_plan_can_have() {
    let (project, mut plan) = ordered();
    // Packs at 5.00 and a charge of 4.00: all money is a multiple of 1.00, so 8.10 is rounded up to 9.00, and 8.00 is not.
    let price = |plan: &mut Plan, cents: i64| plan.levels[MONEY].certificate.numbers[0].prices[0].1 = cents * 100_000;
    price(&mut plan, 405);
    assert_eq!(audit(&project, &plan), Vec::new());
    price(&mut plan, 400);
    assert!(audit(&project, &plan).iter().any(|found| found.path() == "levels[4].bound"));
}

/// The text of the money level's certificate in the file.
fn written(project: &Project, plan: &Plan) -> String {
    let text = String::from_utf8(to_json(project, plan, &[])).expect("text");
    let line = text.lines().find(|line| line.contains("\"level\":\"money\"")).expect("a level of money");
    let start = line.find("\"certificate\":").expect("a certificate");
    line[start..].trim_end_matches(',').to_owned()
}

#[test]
fn a_certificate_in_a_file_names_suppliers_vessels_and_rows() {
    let (project, plan) = ordered();
    insta::assert_snapshot!(written(&project, &plan), @r#""certificate":{"suppliers":["Alder Glass"],"offers":[{"vessel":"JAR","line":2}],"vessels":["JAR"],"fluids":[],"groups":[],"cuts":[],"numbers":["0,0,45000000,0,1,0,0|0,0||45000000|||","0,0,40000000,0,1,0,0|0,0||25000000|||","0,0,0,0,1,0,0|0,0|0:1|0|||"],"tree":["s0","0","p0<=1","1","1","2"]}}"#);
    let (project, plan) = counted();
    insta::assert_snapshot!(written(&project, &plan), @r#""certificate":{"suppliers":[],"offers":[],"vessels":["SMALL","TALL"],"fluids":["ethanol-50"],"groups":["0-3","0-1 of 0"],"cuts":[],"numbers":["0,0,100000000,0,1,0,0|0,0||,4000000|0:22000||","0,0,100000000,0,1,0,0|0,0||6550000,|0:22000||"],"tree":["l0@v0<=1","0","l1@wait<=0","1","1"]}}"#);
}

#[test]
fn a_certificate_has_one_spelling() {
    for ((project, plan), spellings) in [
        (
            ordered(),
            &[
                (r#""tree":["s0""#, r#""tree":["s1""#),
                (r#""tree":["s0""#, r#""tree":["s00""#),
                (r#""tree":["s0""#, r#""tree":["x0""#),
                (r#""p0<=1""#, r#""p0<=+1""#),
                (r#""p0<=1""#, r#""p0<1""#),
                (r#""p0<=1""#, r#""p1<=1""#),
                (r#"|0:1|"#, r#"|0:01|"#),
                (r#"|0:1|"#, r#"|1:1|"#),
                (r#""suppliers":["Alder Glass"]"#, r#""suppliers":["Birch Works"]"#),
                (r#""suppliers":["Alder Glass"]"#, r#""suppliers":["Alder Glass","Alder Glass"]"#),
                (r#""fluids":[]"#, r#""fluids":["ethanol-70"]"#),
                (r#""offers":[{"vessel":"JAR","line":2}]"#, r#""offers":[{"vessel":"JAR","line":3}]"#),
                (r#""groups":[]"#, r#""groups":["0,"]"#),
                (r#""groups":[],"#, ""),
            ][..],
        ),
        (
            counted(),
            &[
                (r#""0-3""#, r#""0,1,2,3""#),
                (r#""0-3""#, r#""0-1,2-3""#),
                (r#""0-3""#, r#""3-0""#),
                (r#""0-3""#, r#""0-9""#),
                (r#""0-3""#, r#""0-3,0-3""#),
                (r#""0-1 of 0""#, r#""0-1 of 00""#),
                (r#""0-1 of 0""#, r#""0-1 of""#),
                (r#""l0@v0<=1""#, r#""l0@v2<=1""#),
                (r#""l0@v0<=1""#, r#""l0@jar<=1""#),
                (r#""l1@wait<=0""#, r#""l1@waiting<=0""#),
                (r#""l1@wait<=0""#, r#""l1@wait""#),
            ],
        ),
    ] {
        spellings_are_refused(&project, &plan, spellings);
    }
}

/// Replaces each text by another spelling in the money level's certificate, and expects that the file is refused.
pub fn spellings_are_refused(project: &Project, plan: &Plan, spellings: &[(&str, &str)]) {
    let text = String::from_utf8(to_json(project, plan, &[])).expect("text");
    for (from, to) in spellings {
        let at = text.find("\"level\":\"money\"").expect("a level of money");
        let (before, after) = text.split_at(at);
        assert!(after.contains(from), "{from} in {after}");
        let other = before.to_owned() + &after.replacen(from, to, 1);
        let found = from_json(project, other.as_bytes()).expect_err(to);
        assert!(found.iter().all(|found| found.starts_with("levels[4].certificate")), "{to}: {found:?}");
    }
}

#[test]
fn groups_stand_in_a_file_in_order_of_their_keys() {
    let (mut project, mut plan) = counted();
    // The same survey in reverse order.
    project.collection.specimens.reverse();
    let n = project.collection.specimens.len();
    plan.placements.iter_mut().for_each(|row| row.specimen = n - 1 - row.specimen);
    for group in &mut plan.levels[MONEY].certificate.groups {
        group.rows = group.rows.iter().rev().map(|row| n as u32 - 1 - row).collect();
    }
    let (as_is, as_was) = (written(&project, &plan), counted());
    assert_eq!(as_is, written(&as_was.0, &as_was.1));
    let read = from_json(&project, &to_json(&project, &plan, &[])).expect("it was just written");
    assert_eq!(read.levels[MONEY], plan.levels[MONEY]);
    assert!(leaf_bounds(&project, &plan) == leaf_bounds(&as_was.0, &as_was.1));
}

/// A fluid that is not in the rules.
pub const NO_FLUID: FluidId = FluidId(u16::MAX);
