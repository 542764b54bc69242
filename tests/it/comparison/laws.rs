//! Laws of every comparison, on random projects and changed copies of them.

use std::collections::{BTreeMap, BTreeSet};

use rehouse::comparison::lots::LotInPlan;
use rehouse::comparison::{
    ChangeCause, ChangeKind, Comparison, FluidUse, InputChange, MoneyLine, Obstacle, ProjectPlan, compare,
};
use rehouse::options::judge::judge;
use rehouse::plan::{Outcome, Plan};
use rehouse::project::Project;
use rehouse::units::{Millilitres, Money};
use serde_json::Value;

use super::{planned, shown, side};
use crate::properties::files::{ProjectTables, XorShift, random_files};
use crate::support::{rows, sampled, tries_all};

/// A copy of a project with one to three changes.
fn changed(files: &ProjectTables, n: &mut XorShift) -> ProjectTables {
    let mut files = files.clone();
    for _ in 0..n.between(1, 3) {
        let at = n.below(files.survey.len() as u64) as usize;
        let shelf = n.below(files.stock.len() as u64) as usize;
        match n.below(11) {
            0 => drop(files.survey.remove(at)),
            1 => {
                let mut lot = files.survey[at].clone();
                lot.insert("catalogNumber".to_owned(), format!("N{at:02}"));
                files.survey.push(lot);
            }
            2 => drop(files.survey[at].insert("height_mm".to_owned(), n.between(15, 90).to_string())),
            3 => drop(files.survey[at].insert("priority".to_owned(), n.between(1, 4).to_string())),
            4 => drop(files.survey[at].insert("hold".to_owned(), "on show".to_owned())),
            5 => drop(files.survey[at].insert("shelfmark".to_owned(), "case 99".to_owned())),
            6 => drop(files.settings.insert("budget".to_owned(), n.between(10, 90).to_string())),
            7 => drop(files.settings.insert("clearance.wall_pct".to_owned(), n.between(2, 9).to_string())),
            8 => drop(files.settings.insert("fluid_price.ethanol-70".to_owned(), n.between(2, 9).to_string())),
            9 => drop(files.stock[shelf].insert("unit_price".to_owned(), n.between(1, 20).to_string())),
            _ => {
                let first = files.stock.iter().position(|row| !row["on_hand"].is_empty()).expect("a vessel");
                files.stock[first].insert("on_hand".to_owned(), n.between(0, 4).to_string());
            }
        }
        // A row of the survey has a size, or a present vessel of which it is taken.
        if files.survey.is_empty() {
            return changed(&files.clone(), n);
        }
    }
    let mut price_twice = files.stock.iter_mut().filter(|row| !row["pack_price"].is_empty());
    price_twice.by_ref().for_each(|row| drop(row.insert("unit_price".to_owned(), String::new())));
    files
}

type MadePlan = (Project, Plan);

fn both(seed: u64) -> Option<(MadePlan, MadePlan)> {
    let files = random_files(seed);
    let other = changed(&files, &mut XorShift::from(seed + 5_000));
    let readable = |files: &ProjectTables| rehouse::intake::read_texts(&files.texts(), &[], false).project.is_some();
    (readable(&files) && readable(&other)).then(|| (planned(&files.texts()), planned(&other.texts())))
}

#[test]
fn a_plan_compared_with_itself_differs_in_nothing() {
    for seed in 0..sampled(20) {
        let one = planned(&random_files(seed).texts());
        let comparison = compare(side(&one), side(&one)).expect("one currency");
        assert!(comparison.is_empty(), "{seed}: {:?} {:?}", comparison.inputs, comparison.lots);
        assert_eq!(comparison.lots.len(), one.1.placements.len());
        assert!(shown(&comparison).text().contains("Nothing differs"), "{}", shown(&comparison).text());
    }
}

#[test]
fn kinds_add_up_to_the_lots_amounts_to_the_totals_and_the_other_way_round_is_the_mirror() {
    let (mut seen, mut causes): (BTreeMap<ChangeKind, usize>, BTreeMap<String, usize>) = Default::default();
    for seed in 0..sampled(80) {
        let Some((old, new)) = both(seed) else { continue };
        let comparison = compare(side(&old), side(&new)).expect("one currency");
        lots_add_up(seed, &comparison, [&old, &new]);
        money_adds_up(seed, &comparison);
        causes_are_true(seed, &comparison, &mut causes);
        comparison.lots.iter().for_each(|lot| *seen.entry(lot.kind).or_default() += 1);
        files_agree(seed, &comparison);
        mirrored(seed, &comparison, &compare(side(&new), side(&old)).expect("one currency"));
    }
    if tries_all() {
        let missing: Vec<_> = ChangeKind::ALL.into_iter().filter(|kind| !seen.contains_key(kind)).collect();
        // These are rare in the random projects, and tested by hand.
        let rare = [ChangeKind::OtherPieces, ChangeKind::OtherTank, ChangeKind::OtherOutcome];
        assert!(missing.iter().all(|kind| rare.contains(kind)), "{missing:?} of {seen:?}");
        assert!(causes.len() >= 8, "{causes:?}");
    }
}

/// Each lot of either survey once, of the kind that its placements say.
fn lots_add_up(seed: u64, comparison: &Comparison, sides: [&MadePlan; 2]) {
    let keys = |(project, _): &MadePlan| -> BTreeSet<String> {
        project.collection.specimens.iter().map(|specimen| specimen.key.to_string()).collect()
    };
    let [old, new] = sides.map(keys);
    let all: BTreeSet<String> = old.union(&new).cloned().collect();
    let counted: usize = ChangeKind::ALL.into_iter().map(|kind| comparison.lots_of(kind).count()).sum();
    assert_eq!(counted, all.len(), "{seed}");
    let listed: BTreeSet<String> =
        comparison.lots.iter().map(|lot| rehouse::words::comparison::key(comparison, lot)).collect();
    assert_eq!(listed, all, "{seed}");
    let place = |(project, plan): &MadePlan, row: u32| {
        let placement = &plan.placements[row as usize];
        let tank = plan.tanks.iter().find(|tank| tank.specimen == placement.specimen);
        let vessel = placement.vessel.map(|id| project.stock.vessel(id).id.clone());
        let placed = match placement.outcome {
            Outcome::OnHand | Outcome::Order => true,
            Outcome::CustomTank => tank.is_some_and(|tank| tank.cost.is_some()),
            _ => false,
        };
        (placed, vessel, placement.fit.map(|fit| fit.pieces), placement.outcome)
    };
    for lot in &comparison.lots {
        let (Some(was), Some(is)) = (lot.old, lot.new) else {
            let kind = if lot.old.is_none() { ChangeKind::NewInSurvey } else { ChangeKind::GoneFromSurvey };
            assert_eq!(lot.kind, kind, "{seed}");
            continue;
        };
        let (was, is) = (place(sides[0], was), place(sides[1], is));
        let moves = [ChangeKind::MovedWithRow, ChangeKind::OtherVessel, ChangeKind::OtherPieces, ChangeKind::OtherTank];
        match (was.0, is.0) {
            (false, true) => assert_eq!(lot.kind, ChangeKind::NowPlaced, "{seed}"),
            (true, false) => assert_eq!(lot.kind, ChangeKind::NoLongerPlaced, "{seed}"),
            _ if (&was.1, was.2) != (&is.1, is.2) => {
                assert!(moves.contains(&lot.kind), "{seed}: {was:?} {is:?} {lot:?}")
            }
            _ => {}
        }
        let stays = [ChangeKind::Unchanged, ChangeKind::RowOnly];
        assert!(!stays.contains(&lot.kind) || was == is, "{seed}: {was:?} {is:?} {lot:?}");
    }
}

/// The parts of the money, the order lines and the fluid add up to the differences of the totals.
fn money_adds_up(seed: u64, comparison: &Comparison) {
    let [old, new] = [comparison.old, comparison.new].map(|side| side.plan.totals);
    let line = |line: MoneyLine| {
        let found = comparison.money.iter().find(|change| change.line == line).expect("every line");
        found.difference().expect("both amounts")
    };
    let cost = [MoneyLine::Vessels, MoneyLine::Delivery, MoneyLine::Fluid, MoneyLine::Tanks].map(line);
    assert_eq!(cost.into_iter().sum::<Money>(), new.money - old.money, "{seed}");
    assert_eq!(line(MoneyLine::Cost), new.money - old.money, "{seed}");
    let pay = line(MoneyLine::Cost) + line(MoneyLine::Disposal) + line(MoneyLine::Containers);
    assert_eq!(pay, new.to_pay - old.to_pay, "{seed}");
    let orders: Money = comparison.orders.iter().map(|change| change.money()).sum();
    assert_eq!(orders, (new.purchase + new.delivery) - (old.purchase + old.delivery), "{seed}");
    let pieces = |side: ProjectPlan| side.plan.purchases.iter().map(|purchase| purchase.pieces).sum::<i64>();
    let differing: i64 = comparison.orders.iter().map(|change| change.pieces()).sum();
    assert_eq!(differing, pieces(comparison.new) - pieces(comparison.old), "{seed}");
    let litres: Millilitres = (comparison.fluids.iter())
        .filter(|change| change.use_ == FluidUse::InVessels)
        .map(|change| change.difference())
        .sum();
    assert_eq!(litres, new.litres - old.litres, "{seed}");
    let fluid: Money = (comparison.fluids.iter())
        .filter(|change| change.use_ == FluidUse::ToMakeUp)
        .map(|change| change.money[1].unwrap_or_default() - change.money[0].unwrap_or_default())
        .sum();
    assert_eq!(fluid, new.fluid - old.fluid, "{seed}");
}

/// What is said to stand in the way does.
fn causes_are_true(seed: u64, comparison: &Comparison, seen: &mut BTreeMap<String, usize>) {
    for lot in &comparison.lots {
        for cause in &lot.causes {
            let name = format!("{cause:?}");
            let ChangeCause::InTheWay(end, obstacle) = cause else {
                *seen.entry(name.split(['(', ' ']).next().expect("a name").to_owned()).or_default() += 1;
                continue;
            };
            let obstacle_name = format!("{obstacle:?}");
            *seen.entry(obstacle_name.split(['(', ' ', '{']).next().expect("a name").to_owned()).or_default() += 1;
            let (here, there) = (comparison.at(*end), comparison.at(end.other()));
            let at = |side, row: Option<u32>| LotInPlan { side, row: row.expect("a lot in both surveys") };
            let rows = if *end == rehouse::comparison::End::Old { (lot.old, lot.new) } else { (lot.new, lot.old) };
            let (lot_here, lot_there) = (at(here, rows.0), at(there, rows.1));
            let Some(id_there) = lot_there.placement().vessel else { continue };
            let name = &there.project.stock.vessel(id_there).id;
            let id = here.project.stock.vessel_named(name);
            let used = |side: ProjectPlan, id| -> i64 {
                let inside = side.plan.placements.iter().filter(|placement| placement.vessel == Some(id));
                inside.filter_map(|placement| placement.fit).map(|fit| i64::from(fit.pieces)).sum()
            };
            match obstacle {
                Obstacle::NotListed => assert_eq!(id, None, "{seed}"),
                Obstacle::Refused(refusal) => {
                    assert_eq!(judge(here.project, lot_here.specimen(), id.expect("listed")), Err(*refusal), "{seed}");
                }
                Obstacle::AllUsed(_) => {
                    let id = id.expect("listed");
                    let vessel = here.project.stock.vessel(id);
                    let free = used(here, id) < vessel.free_pieces();
                    assert!(!free, "{seed}: {name} has free pieces");
                    let unlimited = here.project.stock.offers_of(id).any(|(_, offer)| offer.order_limit.is_none());
                    assert!(!unlimited, "{seed}: {name} can be ordered");
                }
                Obstacle::FewerFree { here: fewer, there: more } => {
                    let pieces = [(here, id.expect("listed")), (there, id_there)];
                    let pieces = pieces.map(|(side, id)| side.project.stock.vessel(id).free_pieces());
                    assert_eq!(pieces, [*fewer, *more], "{seed}");
                    assert!(fewer < more, "{seed}");
                }
                Obstacle::Dearer { here, there } => assert!(here > there, "{seed}"),
                Obstacle::SmallerBudget { here: less, there: more } => {
                    assert_eq!(here.project.settings.budget, Some(*less), "{seed}");
                    assert_eq!(there.project.settings.budget, *more, "{seed}");
                    assert!(more.is_none_or(|more| more > *less), "{seed}");
                }
                _ => {}
            }
        }
    }
}

/// CSV and JSON hold every lot once, with the same kinds.
fn files_agree(seed: u64, comparison: &Comparison) {
    let compared = shown(comparison);
    let csv = rows(&compared.csv());
    let json: Value = serde_json::from_str(&compared.json()).expect("JSON");
    let of_csv: Vec<(&str, &str)> = csv
        .iter()
        .filter(|row| row["part"] == "lot")
        .map(|row| (row["item"].as_str(), row["change"].as_str()))
        .collect();
    let lots = json["lots"].as_array().expect("lots");
    let text = |value: &'_ Value| value.as_str().expect("text").to_owned();
    let of_json: Vec<(String, String)> = lots.iter().map(|lot| (text(&lot["key"]), text(&lot["change"]))).collect();
    let of_json: Vec<(&str, &str)> = of_json.iter().map(|(key, kind)| (key.as_str(), kind.as_str())).collect();
    assert_eq!(of_csv, of_json, "{seed}");
    assert_eq!(of_csv.len(), comparison.lots.len(), "{seed}");
    let kinds = json["kinds"].as_object().expect("kinds").values().map(|lots| lots.as_u64().expect("a number"));
    assert_eq!(kinds.sum::<u64>(), comparison.lots.len() as u64, "{seed}");
    let difference = |row: &&crate::support::CsvRow| Money::read_back(&row["difference"]).expect("an amount");
    let money =
        |part: &str| csv.iter().filter(|row| row["part"] == part && row["figure"] == "money").collect::<Vec<_>>();
    let ordered: Money = money("order").iter().chain(&money("delivery")).map(difference).sum();
    let of_plan = |side: ProjectPlan| side.plan.totals.purchase + side.plan.totals.delivery;
    assert_eq!(ordered.rounded(), (of_plan(comparison.new) - of_plan(comparison.old)).rounded(), "{seed}");
}

/// The comparison the other way round: each difference with the other sign, each kind its mirror, each obstacle at the other end.
fn mirrored(seed: u64, there: &Comparison, back: &Comparison) {
    let money = |comparison: &Comparison| {
        comparison.money.iter().map(|change| (change.line, change.difference())).collect::<Vec<_>>()
    };
    for ((line, one), (_, other)) in money(there).into_iter().zip(money(back)) {
        assert_eq!(one.map(|one| -one), other, "{seed}: {line:?}");
    }
    assert_eq!((there.orders.len(), there.fluids.len()), (back.orders.len(), back.fluids.len()), "{seed}");
    for (one, other) in there.orders.iter().zip(&back.orders) {
        assert_eq!((one.line, one.old, one.new), (other.line, other.new, other.old), "{seed}");
    }
    for (one, other) in there.fluids.iter().zip(&back.fluids) {
        assert_eq!((one.fluid, one.use_, one.difference()), (other.fluid, other.use_, -other.difference()), "{seed}");
    }
    let swapped = |change: &InputChange| (change.file, change.entry.to_string(), change.column.to_string());
    assert_eq!(
        there.inputs.iter().map(swapped).collect::<Vec<_>>(),
        back.inputs.iter().map(swapped).collect::<Vec<_>>()
    );
    for (one, other) in there.inputs.iter().zip(&back.inputs) {
        let rules = matches!(one.file, rehouse::comparison::InputOf::Rules(_));
        assert!(rules || (&one.old, &one.new) == (&other.new, &other.old), "{seed}: {one:?} {other:?}");
    }
    assert_eq!(there.lots.len(), back.lots.len(), "{seed}");
    for (one, other) in there.lots.iter().zip(&back.lots) {
        assert_eq!((one.old, one.new), (other.new, other.old), "{seed}");
        assert_eq!(one.kind.mirror(), other.kind, "{seed}");
        // What stands in the way of a place stands in its way from either end.
        let obstacles = |lot: &rehouse::comparison::LotChange, turned: bool| -> BTreeSet<String> {
            let ways = lot.causes.iter().filter_map(|cause| match cause {
                ChangeCause::InTheWay(end, obstacle) => {
                    Some(format!("{:?} {obstacle:?}", if turned { end.other() } else { *end }))
                }
                _ => None,
            });
            ways.collect()
        };
        if one.kind != ChangeKind::OtherSupply {
            assert_eq!(obstacles(one, false), obstacles(other, true), "{seed}");
        }
    }
}
