//! Small projects with bounds worked out by hand: some need cuts, one needs whole packs.

use rehouse::audit::{Least, audit, leaf_bounds};
use rehouse::decision::Aim;
use rehouse::decision::certificate::{Certificate, Cut, CutForm, Group, LotChoice, MOST, Node, Numbers};
use rehouse::plan::Plan;
use rehouse::project::Project;
use rehouse::saved::{from_json, to_json};
use rehouse::stock::{SupplierId, VesselId};
use rehouse::units::Money;

use super::hand::{MONEY, leaf, proved, spellings_are_refused, weighing};
use super::wrong::{each_is_found, money, numbers};
use crate::audit_mutations::{Wrong, planned, scenes};

const CENT: i64 = Money::PER_UNIT / 100;
const UNIT: i64 = Money::PER_UNIT;

fn survey(lots: u32) -> String {
    let row = |row: u32| format!("L-{row},40,18,18,5,ethanol-70\n");
    let rows: String = (0..lots).map(row).collect();
    format!("catalogNumber,length_mm,width_mm,height_mm,tissue_ml,fluid\n{rows}")
}

/// A certificate of the fluid level that weighs a deferred lot.
fn of_fluid() -> Certificate {
    let numbers = Numbers { weights: weighing(Aim::Fluid, 1_000_000), ..Numbers::default() };
    Certificate { nodes: vec![leaf(0)], numbers: vec![numbers], ..Certificate::default() }
}

const STOCK: &str =
    "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,pack_price,pack_size,supplier\n";

/// Four lots in jars of one kind, none on hand, with 50 % spare pieces; a pack of eight costs 6.00, from a supplier who charges 2.00
/// for delivery. A dear jar of another size has an offer without a supplier. Best is one pack at 8.00.
///
/// * Cut 0: six pieces are needed, less one and a half (rounded up to two) for each lot that is elsewhere: 6 y + 2 Σ (1 - x) ≥ 6. At a
///   weight of 1.00 it adds 4 × 2.00 to the lots and (6 - 2 × 4) × 1.00 to N, and takes 6 × 1.00 off the pack at 6.00.
/// * Cut 1: no lot is in a jar without an order. It adds 0.50 to each lot and takes 4 × 0.50 off the order at 2.00.
/// * Cut 2, in the multipliers of another leaf, adds to the lots and takes the same off the kind, which nothing else limits.
pub fn packed() -> (Project, Plan) {
    let (project, plan) = planned(scenes::project(&[
        ("specimens.csv", &survey(4)),
        (
            "vessels.csv",
            &format!(
                "{STOCK}JAR,cylinder,45,80,borosilicate,pp-cap-ptfe,,6.00,8,Alder Glass\n\
                 TALL,cylinder,55,100,borosilicate,pp-cap-ptfe,,9.01,1,\n"
            ),
        ),
        ("suppliers.csv", "supplier,delivery_charge\nAlder Glass,2\n"),
        ("settings.toml", "spare_pct = 50\n[fluid_price]\nethanol-70 = 0\n"),
    ]));
    assert_eq!(plan.levels[MONEY].value, 8 * UNIT);
    let at = |cuts: Vec<(usize, i64)>| Numbers {
        weights: weighing(Aim::Money, 250 * CENT),
        prices: vec![(VesselId(1), 2 * UNIT)],
        cuts,
        ..Numbers::default()
    };
    let cut = |form| Cut { vessel: VesselId(0), form, rows: vec![0, 1, 2, 3] };
    let money = Certificate {
        nodes: vec![Node::Packs { offer: 1, at_most: 0 }, leaf(0), leaf(1)],
        numbers: vec![at(vec![(0, UNIT), (1, 50 * CENT)]), at(vec![(1, 50 * CENT), (2, 150 * CENT)])],
        cuts: vec![
            cut(CutForm::Packs { divisor: 8, spares: true }),
            cut(CutForm::Supplier(SupplierId(0))),
            cut(CutForm::Kind),
        ],
        ..Certificate::default()
    };
    let plan = proved(plan, money, of_fluid());
    (project, plan)
}

/// Two lots, jars in packs of four at 5.00 from a supplier with a minimum order of 12.00. Best is three packs at 15.00, the cheapest
/// order of whole packs. Without an order each lot comes to 7.50.
pub fn reached() -> (Project, Plan) {
    let (project, plan) = planned(scenes::project(&[
        ("specimens.csv", &survey(2)),
        (
            "vessels.csv",
            &format!(
                "{STOCK}JAR,cylinder,45,80,borosilicate,pp-cap-ptfe,,5.00,4,Alder Glass\n\
                 TALL,cylinder,55,100,borosilicate,pp-cap-ptfe,,9.01,1,\n"
            ),
        ),
        ("suppliers.csv", "supplier,delivery_charge,minimum_order\nAlder Glass,0,12\n"),
        ("settings.toml", "[fluid_price]\nethanol-70 = 0\n"),
    ]));
    assert_eq!(plan.levels[MONEY].value, 15 * UNIT);
    let closed = Numbers {
        weights: weighing(Aim::Money, 750 * CENT),
        prices: vec![(VesselId(0), 750 * CENT), (VesselId(1), 901 * CENT)],
        ..Numbers::default()
    };
    let paying = Numbers { weights: weighing(Aim::Money, 0), ..Numbers::default() };
    let money = Certificate {
        nodes: vec![Node::Supplier(SupplierId(0)), leaf(0), leaf(1)],
        numbers: vec![closed, paying],
        ..Certificate::default()
    };
    let plan = proved(plan, money, of_fluid());
    (project, plan)
}

/// Two lots in jars at 4.00 each; one spare piece must be bought too: three at 12.00. A dear jar costs 11.01.
///
/// * Cut 0: if any pieces are bought, one more is bought than used. At 4.00 a piece it adds 4.00 to each lot and to the kind, and takes
///   the whole price off the packs.
/// * Cut 1: no lot is in a jar of a kind that is not bought. It adds 2.00 to each lot and takes 2 × 2.00 off the kind.
pub fn spare_piece() -> (Project, Plan) {
    of_a_kind(("4.00,1,", "spare_pct = 10\n"), 12, (CutForm::SparePiece { divisor: 1 }, vec![0, 1], 400), 200)
}

/// Two lots in jars at 4.00 each, sold from five pieces on: 20.00. A dear jar costs 11.01.
///
/// * Cut 0: five pieces are bought if any are. At 4.00 a piece it adds 20.00 to the kind and takes the whole price off the packs.
/// * Cut 1: no lot is in a jar of a kind that is not bought. It adds 10.00 to each lot and takes 2 × 10.00 off the kind.
pub fn smallest_order() -> (Project, Plan) {
    of_a_kind(("4.00,1,5", ""), 20, (CutForm::LeastPurchase, Vec::new(), 400), 1000)
}

/// Two lots, jars of the given price, pack size and minimum, and a certificate of one leaf and two cuts.
fn of_a_kind(
    (jars, settings): (&str, &str),
    units: i64,
    (form, rows, cents): (CutForm, Vec<u32>, i64),
    of_kind: i64,
) -> (Project, Plan) {
    let header = STOCK.replace("supplier", "min_packs");
    let dear = 1101;
    let (project, plan) = planned(scenes::project(&[
        ("specimens.csv", &survey(2)),
        (
            "vessels.csv",
            &format!(
                "{header}JAR,cylinder,45,80,borosilicate,pp-cap-ptfe,,{jars}\n\
                 TALL,cylinder,55,100,borosilicate,pp-cap-ptfe,,11.01,1,\n"
            ),
        ),
        ("settings.toml", &format!("{settings}[fluid_price]\nethanol-70 = 0\n")),
    ]));
    assert_eq!(plan.levels[MONEY].value, units * UNIT);
    let numbers = Numbers {
        weights: weighing(Aim::Money, 1100 * CENT),
        prices: vec![(VesselId(1), dear * CENT)],
        cuts: vec![(0, cents * CENT), (1, of_kind * CENT)],
        ..Numbers::default()
    };
    let money = Certificate {
        nodes: vec![leaf(0)],
        numbers: vec![numbers],
        cuts: vec![
            Cut { vessel: VesselId(0), form, rows },
            Cut { vessel: VesselId(0), form: CutForm::Kind, rows: vec![0, 1] },
        ],
        ..Certificate::default()
    };
    let plan = proved(plan, money, of_fluid());
    (project, plan)
}

/// Two lots, with 100 % spare pieces: jars at 4.00, at most three, and plain ones at 5.51. Best is one lot in each: 8.00 + 11.02. Three
/// jars would hold one and a half lots.
///
/// In the first leaf at most one jar is in use: 4.00 a piece and 3.02 for using one, 2 × 11.02 - 3.02. In the second both lots use one:
/// 7.02 a piece and -3.02 for using one, 2 × 11.02 + 2 × 3.02 from the lots, 3 × (4.00 - 7.02) from the packs.
pub fn pieces_counted() -> (Project, Plan) {
    let header = STOCK.replace("supplier", "order_limit");
    let (project, plan) = planned(scenes::project(&[
        ("specimens.csv", &survey(2)),
        (
            "vessels.csv",
            &format!(
                "{header}JAR,cylinder,45,80,borosilicate,pp-cap-ptfe,,4.00,1,3\n\
                 PLAIN,cylinder,45,80,borosilicate,pp-cap-ptfe,,5.51,1,\n"
            ),
        ),
        ("settings.toml", "spare_pct = 100\n[fluid_price]\nethanol-70 = 0\n"),
    ]));
    assert_eq!(plan.levels[MONEY].value, 1902 * CENT);
    let at = |jar: i64, weight: i64| Numbers {
        weights: weighing(Aim::Money, 1200 * CENT),
        prices: vec![(VesselId(0), jar * CENT), (VesselId(1), 551 * CENT)],
        cuts: vec![(0, weight * CENT)],
        ..Numbers::default()
    };
    let money = Certificate {
        nodes: vec![Node::Pieces { cut: 0, at_most: 1 }, leaf(0), leaf(1)],
        numbers: vec![at(400, 302), at(702, -302)],
        cuts: vec![Cut { vessel: VesselId(0), form: CutForm::Count, rows: vec![0, 1] }],
        ..Certificate::default()
    };
    let plan = proved(plan, money, of_fluid());
    (project, plan)
}

#[test]
fn cuts_and_whole_packs_prove_their_plans() {
    for (project, plan) in [packed(), reached(), spare_piece(), smallest_order(), pieces_counted()] {
        assert_eq!(audit(&project, &plan), Vec::new());
        let read = from_json(&project, &to_json(&project, &plan, &[])).expect("it was just written");
        assert_eq!(read.levels, plan.levels);
        assert_eq!(audit(&project, &read), Vec::new());
    }
}

#[test]
fn leaves_with_cuts_have_the_bounds_worked_out_by_hand() {
    let of = |cents: i64| Least::Of(i128::from(CENT * cents));
    let (project, plan) = packed();
    // 4 × (0.50 + 1.50) from the lots, nothing from the order, -6.00 from the kind; and a dear jar at 9.01 - 2.00.
    assert_eq!(leaf_bounds(&project, &plan).expect("certificates")[MONEY], [of(800), of(901)]);
    let (project, mut plan) = reached();
    assert_eq!(leaf_bounds(&project, &plan).expect("certificates")[MONEY], [of(1500), of(1500)]);
    // Goods with the weight of money give 12.00; the covering cost of whole packs is still 15.00.
    numbers(&mut plan, 1).goods = vec![(SupplierId(0), 1)];
    assert_eq!(leaf_bounds(&project, &plan).expect("certificates")[MONEY], [of(1500), of(1500)]);
}

fn cut(plan: &mut Plan, cut: usize) -> &mut Cut {
    &mut money(plan).cuts[cut]
}

const BY_PACKS: fn(i64, bool) -> CutForm = |divisor, spares| CutForm::Packs { divisor, spares };

/// The bound of the second leaf is far above, so that the first leaf alone bounds the level.
const PACKED: &[Wrong] = &[
    ("another divisor", "levels[4].bound", |_, p| cut(p, 0).form = BY_PACKS(7, true)),
    ("half the divisor", "levels[4].bound", |_, p| cut(p, 0).form = BY_PACKS(4, true)),
    ("a divisor of 1", "levels[4].bound", |_, p| cut(p, 0).form = BY_PACKS(1, true)),
    ("packs of another size", "levels[4].bound", |project, p| {
        project.stock.offers[0].pack_size = 9;
        cut(p, 0).form = BY_PACKS(2, true);
    }),
    ("no divisor", "levels[4].certificate.cuts[0]", |_, p| cut(p, 0).form = BY_PACKS(0, true)),
    ("a divisor below 0", "levels[4].certificate.cuts[0]", |_, p| cut(p, 0).form = BY_PACKS(-8, true)),
    ("no spare pieces", "levels[4].bound", |_, p| cut(p, 0).form = BY_PACKS(8, false)),
    ("a purchase for packs", "levels[4].bound", |_, p| cut(p, 0).form = CutForm::Kind),
    ("an order for packs", "levels[4].bound", |_, p| cut(p, 0).form = CutForm::Supplier(SupplierId(0))),
    ("packs for an order", "levels[4].bound", |_, p| cut(p, 1).form = BY_PACKS(8, true)),
    ("a supplier that is not there", "levels[4].certificate.cuts[1]", |_, p| {
        cut(p, 1).form = CutForm::Supplier(SupplierId(1));
    }),
    ("a vessel that others sell", "levels[4].certificate.cuts[1]", |_, p| cut(p, 1).vessel = VesselId(1)),
    ("a vessel that others sell too", "levels[4].certificate.cuts[1]", |project, _| {
        let other = rehouse::stock::Offer { supplier: None, ..project.stock.offers[0].clone() };
        project.stock.offers.push(other);
    }),
    ("another vessel", "levels[4].bound", |_, p| cut(p, 0).vessel = VesselId(1)),
    ("a vessel that is not there", "levels[4].certificate.cuts[0]", |_, p| cut(p, 0).vessel = VesselId(2)),
    ("a row less", "levels[4].bound", |_, p| {
        let _ = cut(p, 0).rows.pop();
    }),
    ("a row less than an order needs", "levels[4].bound", |_, p| {
        let _ = cut(p, 1).rows.pop();
    }),
    ("a row that is not there", "levels[4].certificate.cuts[0]", |_, p| cut(p, 0).rows.push(4)),
    ("a row twice", "levels[4].certificate.cuts[0]", |_, p| cut(p, 0).rows.push(3)),
    ("rows out of order", "levels[4].certificate.cuts[0]", |_, p| cut(p, 0).rows.swap(1, 2)),
    ("no row", "levels[4].certificate.cuts[0]", |_, p| cut(p, 0).rows.clear()),
    ("a lot that no longer fits", "levels[4].certificate.cuts[0]", |project, _| {
        project.collection.specimens[2].size = rehouse::collection::Size::Unknown;
    }),
    ("as many free as are needed", "levels[4].certificate.cuts[0]", |project, _| project.stock.vessels[0].on_hand = 4),
    ("a weight too low", "levels[4].bound", |_, p| numbers(p, 0).cuts[0].1 -= CENT),
    ("a weight too high", "levels[4].bound", |_, p| numbers(p, 0).cuts[0].1 += CENT),
    ("no weight", "levels[4].certificate.numbers[0]", |_, p| numbers(p, 0).cuts[0].1 = 0),
    ("a weight below 0", "levels[4].certificate.numbers[0]", |_, p| numbers(p, 0).cuts[0].1 = -UNIT),
    ("a weight above the most", "levels[4].certificate.numbers[0]", |_, p| numbers(p, 0).cuts[0].1 = MOST + 1),
    ("the most weight", "levels[4].bound", |_, p| numbers(p, 0).cuts[0].1 = MOST),
    ("weights swapped", "levels[4].certificate.numbers[0]", |_, p| numbers(p, 0).cuts.swap(0, 1)),
    ("a weight twice", "levels[4].certificate.numbers[0]", |_, p| {
        let again = numbers(p, 0).cuts[1];
        numbers(p, 0).cuts.push(again);
    }),
    ("a cut that is not there", "levels[4].certificate.numbers[1]", |_, p| {
        let _ = money(p).cuts.pop();
    }),
    ("a cut that no numbers weigh", "levels[4].certificate.cuts[0]", |_, p| {
        let _ = numbers(p, 0).cuts.remove(0);
    }),
    ("a cut left out", "levels[4].bound", |_, p| {
        let _ = money(p).cuts.remove(0);
        numbers(p, 0).cuts = vec![(0, 50 * CENT)];
        numbers(p, 1).cuts = vec![(0, 50 * CENT), (1, 150 * CENT)];
    }),
    ("cuts in each other's place", "levels[4].bound", |_, p| money(p).cuts.swap(0, 1)),
    ("a group in part", "levels[4].certificate.cuts[0]", |_, p| {
        let _ = cut(p, 0).rows.pop();
        let place = LotChoice::Vessel(VesselId(1));
        let certificate = money(p);
        certificate.groups = vec![Group { rows: vec![2, 3], within: None }];
        certificate.nodes.splice(1..2, [Node::Lots { group: 0, place, at_most: 0 }, leaf(0), leaf(0)]);
    }),
    ("a larger pack", "levels[4].bound", |project, _| project.stock.offers[0].pack_size = 16),
    ("a lower charge", "levels[4].bound", |project, _| {
        project.stock.suppliers[0].delivery_charge = Money::from_parts(UNIT);
    }),
];

const REACHED: &[Wrong] = &[
    ("a lower minimum", "levels[4].bound", |project, _| {
        project.stock.suppliers[0].minimum_order = Money::from_parts(10 * UNIT);
    }),
    ("cheaper packs", "levels[4].bound", |project, _| {
        project.stock.offers[0].pack_price = Money::from_parts(450 * CENT);
    }),
    ("a closed supplier at too little", "levels[4].bound", |_, p| numbers(p, 0).prices[0].1 -= CENT),
    ("an undecided supplier", "levels[4].bound", |_, p| {
        let certificate = money(p);
        certificate.nodes = vec![leaf(0)];
        let _ = certificate.numbers.remove(0);
    }),
];

const SPARE_PIECE: &[Wrong] = &[
    ("no spare pieces asked for", "levels[4].certificate.cuts[0]", |project, _| project.settings.spare_pct.0 = 0.0),
    ("a larger divisor", "levels[4].bound", |_, p| cut(p, 0).form = CutForm::SparePiece { divisor: 2 }),
    ("no divisor", "levels[4].certificate.cuts[0]", |_, p| cut(p, 0).form = CutForm::SparePiece { divisor: 0 }),
    ("without the spare piece", "levels[4].bound", |_, p| cut(p, 0).form = BY_PACKS(1, false)),
    ("a smallest order for a spare piece", "levels[4].certificate.cuts[0]", |_, p| {
        cut(p, 0).form = CutForm::LeastPurchase;
    }),
    ("a row less", "levels[4].bound", |_, p| {
        let _ = cut(p, 0).rows.pop();
    }),
    ("a weight too low", "levels[4].bound", |_, p| numbers(p, 0).cuts[0].1 -= CENT),
    ("a weight too high", "levels[4].bound", |_, p| numbers(p, 0).cuts[0].1 += CENT),
    ("a purchase that weighs too little", "levels[4].bound", |_, p| numbers(p, 0).cuts[1].1 -= CENT),
    ("a free jar", "levels[4].bound", |project, _| project.stock.vessels[0].on_hand = 1),
];

const SMALLEST_ORDER: &[Wrong] = &[
    ("a smaller order", "levels[4].bound", |project, _| project.stock.offers[0].min_packs = 4),
    ("an order that nobody takes", "levels[4].certificate.cuts[0]", |project, _| {
        project.stock.offers[0].order_limit = Some(4);
    }),
    ("lots in it", "levels[4].certificate.cuts[0]", |_, p| cut(p, 0).rows = vec![0]),
    ("another vessel", "levels[4].bound", |_, p| cut(p, 0).vessel = VesselId(1)),
    ("a weight too low", "levels[4].bound", |_, p| numbers(p, 0).cuts[0].1 -= CENT),
    ("a weight too high", "levels[4].bound", |_, p| numbers(p, 0).cuts[0].1 += CENT),
    ("a purchase without lots", "levels[4].certificate.cuts[1]", |_, p| cut(p, 1).rows.clear()),
];

const PIECES_COUNTED: &[Wrong] = &[
    ("more pieces in the first leaf", "levels[4].bound", |_, p| pieces(p, 0, 2)),
    ("fewer pieces in the first leaf", "levels[4].bound", |_, p| pieces(p, 0, 0)),
    ("pieces below 0", "levels[4].certificate.tree[0]", |_, p| pieces(p, 0, -1)),
    ("pieces that are decided already", "levels[4].certificate.tree[1]", |_, p| {
        money(p).nodes.splice(1..2, [Node::Pieces { cut: 0, at_most: 1 }, leaf(0), leaf(0)]);
    }),
    ("pieces of a cut that is not there", "levels[4].certificate.tree[0]", |_, p| {
        money(p).nodes[0] = Node::Pieces { cut: 1, at_most: 1 };
    }),
    ("pieces of a cut that counts none", "levels[4].certificate.tree[0]", |_, p| {
        cut(p, 0).form = CutForm::Kind;
        numbers(p, 1).cuts[0].1 = CENT;
    }),
    ("a weight below 0 of another cut", "levels[4].certificate.numbers[1]", |_, p| {
        cut(p, 0).form = CutForm::Kind;
    }),
    ("the children swapped", "levels[4].bound", |_, p| money(p).nodes.swap(1, 2)),
    ("one leaf for both", "levels[4].bound", |_, p| {
        let _ = money(p).nodes.splice(0..2, []);
        let _ = money(p).numbers.remove(0);
        money(p).nodes[0] = leaf(0);
    }),
    ("a child that is missing", "levels[4].certificate.tree[2]", |_, p| {
        money(p).nodes.pop();
        money(p).numbers.pop();
    }),
    ("a lot that is not counted", "levels[4].bound", |_, p| {
        let _ = cut(p, 0).rows.pop();
    }),
    ("pieces of another vessel", "levels[4].bound", |_, p| cut(p, 0).vessel = VesselId(1)),
    ("a weight too low", "levels[4].bound", |_, p| numbers(p, 0).cuts[0].1 -= CENT),
    ("a weight too high", "levels[4].bound", |_, p| numbers(p, 1).cuts[0].1 += CENT),
    ("the other sign", "levels[4].bound", |_, p| numbers(p, 1).cuts[0].1 = 302 * CENT),
    ("the least weight that there is", "levels[4].certificate.numbers[1]", |_, p| numbers(p, 1).cuts[0].1 = i64::MIN),
    ("more jars available", "levels[4].bound", |project, _| project.stock.offers[0].order_limit = Some(4)),
    ("fewer spare jars", "levels[4].bound", |project, _| project.settings.spare_pct.0 = 50.0),
];

fn pieces(plan: &mut Plan, cut: usize, at_most: i64) {
    money(plan).nodes[0] = Node::Pieces { cut, at_most };
}

#[test]
fn every_wrong_in_cuts_is_found() {
    each_is_found(pieces_counted(), PIECES_COUNTED);
    each_is_found(packed(), PACKED);
    each_is_found(spare_piece(), SPARE_PIECE);
    each_is_found(smallest_order(), SMALLEST_ORDER);
}

#[test]
fn a_bound_too_low_by_less_than_the_last_decimal_of_a_file_is_no_proof() {
    let (project, plan) = planned(scenes::project(&[
        ("specimens.csv", &survey(1)),
        (
            "vessels.csv",
            &format!(
                "{STOCK}JAR,cylinder,45,80,borosilicate,pp-cap-ptfe,1,,,\n\
                 TALL,cylinder,55,100,borosilicate,pp-cap-ptfe,1,,,\n"
            ),
        ),
        ("settings.toml", "[fluid_price]\nethanol-70 = 0.0013\n"),
    ]));
    // A deferred lot that costs slightly less than its fluid, by less than the last decimal of a file.
    let least = plan.levels[MONEY].value;
    assert!(least % 1000 > 200, "{least}");
    let certificate = |deferred: i64| Certificate {
        nodes: vec![leaf(0)],
        numbers: vec![Numbers { weights: weighing(Aim::Money, deferred), ..Numbers::default() }],
        ..Certificate::default()
    };
    let of = |deferred: i64| proved(plan.clone(), certificate(deferred), of_fluid());
    let read = |plan: &Plan| from_json(&project, &to_json(&project, plan, &[])).expect("it was just written");
    assert_eq!(audit(&project, &read(&of(least))), Vec::new());
    let found = audit(&project, &read(&of(least - 100)));
    assert!(found.iter().any(|found| found.path().starts_with("levels[4].certificate: the bound")), "{found:#?}");
}

#[test]
fn every_wrong_in_whole_packs_is_found() {
    each_is_found(reached(), REACHED);
}

#[test]
fn a_group_wholly_in_a_cut_is_bounded_as_a_group() {
    let (project, mut plan) = packed();
    let certificate = money(&mut plan);
    let place = LotChoice::Vessel(VesselId(0));
    certificate.groups = vec![Group { rows: vec![1, 3], within: None }];
    certificate.nodes.splice(1..2, [Node::Lots { group: 0, place, at_most: 1 }, leaf(0), leaf(0)]);
    assert_eq!(audit(&project, &plan), Vec::new());
    // The lot of the group that waits costs 2.50, as much as its two pieces and its share of the order.
    let of = |cents: i64| Least::Of(i128::from(CENT * cents));
    assert_eq!(leaf_bounds(&project, &plan).expect("certificates")[MONEY], [of(800), of(800), of(901)]);
}

#[test]
fn the_largest_numbers_give_no_bound_and_no_panic() {
    let forms = [
        BY_PACKS(1, true),
        BY_PACKS(i64::MAX, true),
        BY_PACKS(i64::MAX - 5, false),
        CutForm::SparePiece { divisor: 1 },
        CutForm::SparePiece { divisor: i64::MAX },
        CutForm::Kind,
    ];
    for form in forms {
        let (mut project, mut plan) = packed();
        cut(&mut plan, 0).form = form;
        numbers(&mut plan, 0).cuts[0].1 = MOST;
        numbers(&mut plan, 0).prices = vec![(VesselId(0), MOST), (VesselId(1), MOST)];
        project.stock.offers[0].pack_size = u32::MAX;
        project.stock.offers[0].pack_price = Money::from_parts(i64::MAX);
        project.stock.suppliers[0].minimum_order = Money::from_parts(i64::MAX);
        project.stock.suppliers[0].free_delivery_over = Some(Money::from_parts(i64::MAX - 1));
        assert!(!audit(&project, &plan).is_empty(), "{form:?}");
    }
}

#[test]
fn a_cut_has_one_spelling() {
    let (project, plan) = packed();
    spellings_are_refused(
        &project,
        &plan,
        &[
            (r#""v0/8+spares:0-3""#, r#""v0/08+spares:0-3""#),
            (r#""v0/8+spares:0-3""#, r#""v0/8 +spares:0-3""#),
            (r#""v0/8+spares:0-3""#, r#""v0/8+spare:0-3""#),
            (r#""v0/8+spares:0-3""#, r#""v0/+spares:0-3""#),
            (r#""v0/8+spares:0-3""#, r#""v2/8+spares:0-3""#),
            (r#""v0/8+spares:0-3""#, r#""v00/8+spares:0-3""#),
            (r#""v0/8+spares:0-3""#, r#""0/8+spares:0-3""#),
            (r#""v0/8+spares:0-3""#, r#""v0/8+spares:0-1,2-3""#),
            (r#""v0/8+spares:0-3""#, r#""v0/8+spares:0-4""#),
            (r#""v0/8+spares:0-3""#, r#""v0/8+spares:=0""#),
            (r#""v0/8+spares:0-3""#, r#""v0/8+spares""#),
            (r#""v0/s0:=0""#, r#""v0/s0:0-3""#),
            (r#""v0/s0:=0""#, r#""v0/s1:=0""#),
            (r#""v0/s0:=0""#, r#""v0/s0:=1""#),
            (r#""v0/kind:=0""#, r#""v0/kind:=1""#),
            (r#""v0/kind:=0""#, r#""v0/kind:=00""#),
            (r#""v0/kind:=0""#, r#""v0/kinds:=0""#),
            (r#"|1:5000000,2:15000000""#, r#"|1:5000000,2:15000000,""#),
            (r#"|1:5000000,2:15000000""#, r#"|1:05000000,2:15000000""#),
            (r#"|1:5000000,2:15000000""#, r#"|2:15000000,1:5000000""#),
            (r#"|1:5000000,2:15000000""#, "\""),
        ],
    );
    let (project, plan) = spare_piece();
    let refused = [
        (r#""v0/1+one:0-1""#, r#""v0/01+one:0-1""#),
        (r#""v0/1+one:0-1""#, r#""v0/+one:0-1""#),
        (r#""v0/1+one:0-1""#, r#""v0/1+one:""#),
        (r#""v0/kind:=0""#, r#""v0/kind:0-1""#),
    ];
    spellings_are_refused(&project, &plan, &refused);
    let (project, plan) = pieces_counted();
    let refused = [
        (r#""v0/count:0-1""#, r#""v0/count:""#),
        (r#""v0/count:0-1""#, r#""v0/counts:0-1""#),
        (r#""c0<=1""#, r#""c0<=01""#),
        (r#""c0<=1""#, r#""c00<=1""#),
        (r#""c0<=1""#, r#""c0<1""#),
        (r#""c0<=1""#, r#""c<=1""#),
        ("|0:-30200000", "|0:-030200000"),
        ("|0:-30200000", "|0:- 30200000"),
    ];
    spellings_are_refused(&project, &plan, &refused);
    let (project, plan) = smallest_order();
    let refused = [
        (r#""v0/least:""#, r#""v0/least:0""#),
        (r#""v0/least:""#, r#""v0/least:=0""#),
        (r#""v0/least:""#, r#""v0/least""#),
    ];
    spellings_are_refused(&project, &plan, &refused);
}
