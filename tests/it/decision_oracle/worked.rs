//! Cases small enough to work out by hand; each says what the best plan is and why.

use super::evaluate::{LevelValues, evaluate};
use super::{exhaustive, reference};
use rehouse::decision::{
    Choice, ChoiceIndex, Class, ClassIndex, Decision, Limits, Member, OfferTerms, Question, SupplierIndex,
    SupplierTerms, Supply, SupplyIndex,
};
use rehouse::stock::{SupplierId, VesselId};
use rehouse::units::{IndexTable, Millilitres, Money, Packs, Pieces, Position};

const UNIT: i64 = Money::PER_UNIT;

/// A class of rows with these constants (money, millilitres).
fn class(priority: u8, constants: &[(i64, i64)], choices: Vec<Choice>) -> Class {
    let member = |(specimen, &(money, fluid)): (usize, &(i64, i64))| Member {
        money: Money::whole(money),
        fluid: Millilitres(fluid),
        specimen: specimen as u32,
    };
    Class { priority, members: constants.iter().enumerate().map(member).collect(), choices: choices.into() }
}

fn vessel(supply: u32, pieces: i64, money: i64, fluid: i64) -> Choice {
    Choice {
        supply: Some(SupplyIndex::new(supply)),
        pieces: Pieces(pieces),
        money: Money::whole(money),
        fluid: Millilitres(fluid),
    }
}

fn supply(free: i64, offers: Vec<OfferTerms>) -> Supply {
    Supply { vessel: VesselId(0), free: Pieces(free), offers, counts_as_kind: true }
}

/// Packs of a size at a price, from the first supplier.
fn packs(pack_size: i64, price: i64) -> OfferTerms {
    let pack_price = Money::whole(price);
    OfferTerms {
        offer: 0,
        supplier: Some(SupplierIndex::new(0)),
        pack_size: Pieces(pack_size),
        pack_price,
        min_packs: Packs::ZERO,
        max_packs: None,
    }
}

fn supplier(charge: i64, free_over: Option<i64>, minimum: i64) -> SupplierTerms {
    let free_over = free_over.map(Money::whole);
    SupplierTerms { supplier: SupplierId(0), charge: Money::whole(charge), free_over, minimum: Money::whole(minimum) }
}

/// Rows of one class in one kind of vessel, one piece each, without fluid.
fn alike(rows: usize, supplies: Supply, suppliers: SupplierTerms) -> Question {
    let classes = vec![class(3, &vec![(0, 0); rows], vec![vessel(0, 1, 0, 0)])];
    Question {
        classes: classes.into(),
        supplies: vec![supplies].into(),
        suppliers: vec![suppliers].into(),
        limits: Limits::default(),
        ..Question::default()
    }
}

/// The best levels, on which both enumerations must agree; money in whole units.
fn best(question: &Question) -> LevelValues {
    let [first, second, third, fourth, money, fluid] = reference::best(question);
    assert_eq!(money % (UNIT / 10), 0);
    let decision = reference::decide(question);
    assert_eq!(evaluate(question, &decision), Ok([first, second, third, fourth, money, fluid]));
    if let Some(again) = exhaustive::best(question, 20_000) {
        assert_eq!(again, [first, second, third, fourth, money, fluid]);
    }
    [first, second, third, fourth, money / UNIT, fluid]
}

#[test]
fn a_spare_pack_is_bought_where_free_delivery_saves_more_than_it_costs() {
    // One pack and its delivery against two packs: 6 + 5 < 12, but 6 + 7 > 12.
    let question = |charge| alike(1, supply(0, vec![packs(1, 6)]), supplier(charge, Some(12), 0));
    assert_eq!(best(&question(5)), [0, 0, 0, 0, 11, 0]);
    assert_eq!(best(&question(7)), [0, 0, 0, 0, 12, 0]);
    assert_eq!(reference::decide(&question(7)).packs.into_vec(), [[Packs(2)]]);
}

#[test]
fn a_minimum_order_is_filled_up_with_spare_or_not_placed_at_all() {
    // 4 a pack, minimum order 10: three packs, whether one or three are used. With two packs at most there is no order.
    let question = |rows, max_packs: Option<Packs>| {
        alike(rows, supply(0, vec![OfferTerms { max_packs, ..packs(1, 4) }]), supplier(0, None, 10))
    };
    assert_eq!(best(&question(1, None)), [0, 0, 0, 0, 12, 0]);
    assert_eq!(best(&question(3, None)), [0, 0, 0, 0, 12, 0]);
    assert_eq!(best(&question(1, Some(Packs(2)))), [0, 0, 1, 0, 0, 0]);
}

#[test]
fn spare_pieces_are_rounded_up_and_asked_only_of_pieces_bought() {
    // 10 % on 11 bought is 12.1: 13. With 4 on hand, 7 are bought: 7.7, so 8. With all on hand, none.
    let question = |free| {
        let mut question = alike(11, supply(free, vec![packs(1, 1)]), supplier(0, None, 0));
        question.limits.spare_per_10_000 = 1_000;
        question
    };
    assert_eq!(best(&question(0)), [0, 0, 0, 0, 13, 0]);
    assert_eq!(best(&question(4)), [0, 0, 0, 0, 8, 0]);
    assert_eq!(best(&question(11)), [0, 0, 0, 0, 0, 0]);
}

#[test]
fn a_price_break_is_taken_where_enough_is_needed() {
    // Single pieces at 9, or at least three packs of two at 5: one piece costs 9, two cost 15.
    let several = OfferTerms { min_packs: Packs(3), ..packs(2, 5) };
    let question = |rows| alike(rows, supply(0, vec![packs(1, 9), several.clone()]), supplier(0, None, 0));
    assert_eq!(best(&question(1)), [0, 0, 0, 0, 9, 0]);
    assert_eq!(best(&question(2)), [0, 0, 0, 0, 15, 0]);
}

#[test]
fn a_divided_lot_takes_several_pieces() {
    // Two lots of two pieces each, three pieces on hand: one piece is bought.
    let mut question = alike(2, supply(3, vec![packs(1, 8)]), supplier(0, None, 0));
    question.classes[ClassIndex::new(0)].choices[ChoiceIndex::new(0)].pieces = Pieces(2);
    assert_eq!(best(&question), [0, 0, 0, 0, 8, 0]);
}

#[test]
fn an_urgent_row_outranks_any_number_of_others_and_any_money() {
    // 10 to spend: one row of priority 1 at 10, or three of priority 2 at 1 each.
    let tank = |money| Choice { supply: None, ..vessel(0, 1, money, 0) };
    let classes = vec![class(2, &[(0, 0); 3], vec![tank(1)]), class(1, &[(0, 0)], vec![tank(10)])];
    let limits = Limits { budget: Some(Money::whole(10)), ..Limits::default() };
    let mut question = Question { classes: classes.into(), limits, ..Question::default() };
    assert_eq!(best(&question), [0, 3, 0, 0, 10, 0]);
    question.limits.budget = Some(Money::whole(12));
    assert_eq!(best(&question), [0, 1, 0, 0, 12, 0]);
    // Labour of 1 a row leaves 10 for the urgent row alone, and not a unit less.
    question.limits.labour_per_row = Money::whole(1);
    assert_eq!(best(&question), [0, 3, 0, 0, 10, 0]);
    question.limits.budget = Some(Money::from_parts(11 * UNIT - 1));
    assert_eq!(best(&question), [1, 0, 0, 0, 3, 0]);
}

#[test]
fn which_row_of_a_class_waits_depends_on_the_binding_limit() {
    // At 5 a litre, a row of 10 and a litre weighs 15, one of 12 and no fluid weighs 12. The budget counts money without weight.
    let tank = Choice { supply: None, ..vessel(0, 1, 0, 0) };
    let question = |budget| Question {
        classes: vec![class(3, &[(10, 1_000), (12, 0)], vec![tank])].into(),
        limits: Limits { budget: Some(Money::whole(budget)), litre_weight: Money::whole(5), ..Limits::default() },
        ..Question::default()
    };
    assert_eq!(best(&question(11)), [0, 0, 1, 0, 15, 1_000]);
    assert_eq!(best(&question(12)), [0, 0, 1, 0, 12, 0]);
    assert_eq!(best(&question(22)), [0, 0, 0, 0, 27, 1_000]);
}

#[test]
fn caps_count_kinds_bought_and_suppliers_named() {
    // Two rows, each in a kind of its own; one kind may be bought, and a kind on hand does not count.
    let blank = OfferTerms { supplier: None, ..packs(1, 3) };
    let question = |first: Supply, limits: Limits| Question {
        classes: vec![class(3, &[(0, 0)], vec![vessel(0, 1, 0, 0)]), class(4, &[(0, 0)], vec![vessel(1, 1, 0, 0)])]
            .into(),
        supplies: vec![first, supply(0, vec![packs(1, 2)])].into(),
        suppliers: vec![supplier(1, None, 0)].into(),
        limits,
        owned: Vec::new(),
    };
    let kinds = |most| Limits { max_vessel_types: Some(most), ..Limits::default() };
    let suppliers = |most| Limits { max_suppliers: Some(most), ..Limits::default() };
    let offered = || supply(0, vec![blank.clone()]);
    assert_eq!(best(&question(offered(), kinds(2))), [0, 0, 0, 0, 6, 0]);
    assert_eq!(best(&question(offered(), kinds(1))), [0, 0, 0, 1, 3, 0]);
    assert_eq!(best(&question(supply(1, Vec::new()), kinds(1))), [0, 0, 0, 0, 3, 0]);
    // An offer without a supplier counts as no supplier.
    assert_eq!(best(&question(offered(), suppliers(1))), [0, 0, 0, 0, 6, 0]);
    assert_eq!(best(&question(offered(), suppliers(0))), [0, 0, 0, 1, 3, 0]);
}

#[test]
fn litres_weigh_in_the_money_and_break_its_ties() {
    // 3 and two litres against 5 and a tenth of one: at 2 a litre 7 against 5.2, without weight 3 against 5.
    let question = |money, weight| Question {
        classes: vec![class(3, &[(0, 0)], vec![vessel(0, 1, 3, 2_000), vessel(0, 1, money, 100)])].into(),
        supplies: vec![supply(1, Vec::new())].into(),
        limits: Limits { litre_weight: Money::whole(weight), ..Limits::default() },
        ..Question::default()
    };
    assert_eq!(best(&question(5, 0)), [0, 0, 0, 0, 3, 2_000]);
    assert_eq!(reference::best(&question(5, 2)), [0, 0, 0, 0, 52 * UNIT / 10, 100]);
    assert_eq!(best(&question(3, 0)), [0, 0, 0, 0, 3, 100]);
}

#[test]
fn each_broken_rule_is_named() {
    let refused = |question: &Question, packs: i64, word: &str| {
        let chosen = question.classes.map(|class| vec![Some(ChoiceIndex::new(0)); class.members.len()]);
        let decision = Decision { chosen, packs: vec![vec![Packs(packs)]].into(), ..Decision::default() };
        let why = evaluate(question, &decision).expect_err(word);
        assert!(why.contains(word), "{why}");
    };
    let offer = OfferTerms { min_packs: Packs(2), max_packs: Some(Packs(4)), ..packs(1, 5) };
    let question = alike(2, supply(0, vec![offer]), supplier(1, None, 15));
    refused(&question, -1, "-1 packs");
    refused(&question, 0, "used from purchase");
    refused(&question, 1, "at least 2");
    refused(&question, 2, "minimum");
    refused(&question, 5, "at most 4");
    let with = |change: fn(&mut Limits)| {
        let mut question = question.clone();
        change(&mut question.limits);
        question
    };
    refused(&with(|limits| limits.budget = Some(Money::from_parts(16 * UNIT - 1))), 3, "budget");
    refused(&with(|limits| limits.max_vessel_types = Some(0)), 3, "kinds");
    refused(&with(|limits| limits.max_suppliers = Some(0)), 3, "suppliers");
    refused(&with(|limits| limits.spare_per_10_000 = 5_001), 3, "used from purchase");
    let first = ChoiceIndex::new(0);
    let fitting = Decision {
        chosen: vec![vec![Some(first); 2]].into(),
        packs: vec![vec![Packs(3)]].into(),
        ..Decision::default()
    };
    assert_eq!(evaluate(&question, &fitting), Ok([0, 0, 0, 0, 16 * UNIT, 0]));
    for misshapen in [
        Decision { chosen: IndexTable::new(), ..fitting.clone() },
        Decision { chosen: vec![vec![Some(first)]].into(), ..fitting.clone() },
        Decision { chosen: vec![vec![Some(ChoiceIndex::new(1)); 2]].into(), ..fitting.clone() },
        Decision { packs: IndexTable::new(), ..fitting.clone() },
        Decision { packs: vec![vec![Packs(3), Packs(0)]].into(), ..fitting.clone() },
    ] {
        assert!(evaluate(&question, &misshapen).is_err(), "{misshapen:?}");
    }
}
