//! Wrong rows. Rows of the first scene by index: 0–3 small jars (0 and 1 free, 2 and 3 to be ordered), 4 has a `must_use` vessel,
//! 5 a large jar to be ordered, 6 and 7 tanks of known and unknown price, 8 needs a vessel, 9 unknown fluid, 10 and 11 held,
//! 12 on hand, 13 deferred. Rows of the second scene: 0 and 1 divided lots, 2 an undivided one.

use rehouse::collection::{Hold, VesselChoice};
use rehouse::fit::Stance;
use rehouse::options::table::Unknown;
use rehouse::options::{Cause, Fit, Marks, Refusal, Rule};
use rehouse::plan::{Outcome, Plan, Reason, Wait, WaitCause};
use rehouse::stock::VesselId;
use rehouse::units::{Length, Millilitres, Money};

use super::{Wrong, particulars};

/// How a placed row fits.
fn fit(plan: &mut Plan, row: usize) -> &mut Fit {
    plan.placements[row].fit.as_mut().expect("the row is in a vessel")
}

/// Why the deferred row 13 waits.
fn wait(plan: &mut Plan) -> &mut Wait {
    match &mut plan.placements[13].reason {
        Reason::Waits(wait) => wait,
        other => panic!("the row waits: {other:?}"),
    }
}

/// The length and 0.05 mm more.
fn more(length: Option<Length>) -> Option<Length> {
    length.map(|length| Length::at_least_zero(length.mm() + 0.05))
}

pub const EVERY_OUTCOME: &[Wrong] = &[
    ("a placement dropped", "placements", |_, p| drop(p.placements.remove(3))),
    ("a placement twice", "placements", |_, p| p.placements.push(p.placements[0].clone())),
    ("one row placed twice, another not", "placements[1].specimen", |_, p| p.placements[1] = p.placements[0].clone()),
    ("two placements out of order", "placements[1].specimen", |_, p| p.placements.swap(1, 2)),
    ("a row that does not exist", "placements[2].specimen", |_, p| p.placements[2].specimen = usize::MAX),
    ("a vessel that does not exist", "placements[0].vessel", |_, p| p.placements[0].vessel = Some(VesselId(99))),
    ("two vessels exchanged", "placements[5].vessel", |_, p| {
        (p.placements[0].vessel, p.placements[5].vessel) = (p.placements[5].vessel, p.placements[0].vessel);
    }),
    ("a vessel whose closure does not last long enough", "placements[0].vessel", |_, p| {
        p.placements[0].vessel = Some(VesselId(0));
    }),
    ("another vessel that fits, with the old fit", "placements[12].filled_ml", |_, p| {
        p.placements[0].vessel = Some(VesselId(4));
        (p.placements[12].vessel, p.placements[12].fit) = (Some(VesselId(4)), p.placements[0].fit);
    }),
    ("no vessel", "placements[0].vessel", |_, p| p.placements[0].vessel = None),
    ("no fit", "placements[0].vessels_used", |_, p| p.placements[0].fit = None),
    ("a pin not kept", "placements[4].vessel", |project, _| {
        particulars(project, 4).must_use = vec![VesselChoice::Listed(VesselId(3))];
    }),
    ("a vessel the row must not have", "placements[4].vessel", |project, _| {
        particulars(project, 4).must_not_use = vec![VesselChoice::Listed(VesselId(2))];
    }),
    ("pieces on hand one too few", "placements[0].pieces_on_hand", |_, p| p.placements[0].pieces_on_hand = 0),
    ("pieces on hand one too many", "placements[2].pieces_on_hand", |_, p| p.placements[2].pieces_on_hand = 1),
    ("free pieces to the less urgent", "placements[0].pieces_on_hand", |_, p| {
        (p.placements[0].pieces_on_hand, p.placements[0].outcome) = (0, Outcome::Order);
        (p.placements[2].pieces_on_hand, p.placements[2].outcome) = (1, Outcome::OnHand);
    }),
    ("more pieces than there are", "placements[0].pieces_on_hand", |project, _| project.stock.vessels[1].on_hand = 1),
    ("the reserve taken", "placements[4].pieces_on_hand", |project, _| project.stock.vessels[2].reserve = 3),
    ("one vessel too many", "placements[0].vessels_used", |_, p| fit(p, 0).pieces += 1),
    ("another posture", "placements[0].posture", |_, p| fit(p, 0).stance = Some(Stance::Height)),
    ("no posture", "placements[0].posture", |_, p| fit(p, 0).stance = None),
    ("said to lean", "placements[0].leaning", |_, p| fit(p, 0).leaning = true),
    ("the gap at the wall", "placements[0].wall_gap_mm", |_, p| fit(p, 0).wall_gap = more(fit(p, 0).wall_gap)),
    ("the cover", "placements[0].cover_mm", |_, p| fit(p, 0).cover = more(fit(p, 0).cover)),
    ("the gap in the mouth", "placements[0].mouth_gap_mm", |_, p| fit(p, 0).mouth_gap = more(fit(p, 0).mouth_gap)),
    ("the gap in the mouth left out", "placements[0].mouth_gap_mm", |_, p| fit(p, 0).mouth_gap = None),
    ("the tissue share", "placements[0].tissue_share_pct", |_, p| fit(p, 0).tissue_share = Some(0.091)),
    ("the life", "placements[0].life_years", |_, p| fit(p, 0).life_years = Some(24.0)),
    ("no end to the life", "placements[0].life_years", |_, p| fit(p, 0).life_years = None),
    ("the charges", "placements[0].charges", |_, p| fit(p, 0).charges += 1),
    ("the filled volume", "placements[0].filled_ml", |_, p| fit(p, 0).filled += Millilitres(1)),
    ("the tissue", "placements[0].tissue_ml", |_, p| fit(p, 0).tissue += Millilitres(1)),
    ("a mark hidden", "placements[0].marks", |_, p| fit(p, 0).marks.tissue_estimated = false),
    ("a mark too many", "placements[0].marks", |_, p| fit(p, 0).marks.unproven = true),
    ("a review hidden", "placements[0].marks", |_, p| p.placements[0].marks = Marks::default()),
    ("the review of a tank hidden", "placements[7].marks", |_, p| p.placements[7].marks = Marks::default()),
    ("another number of vessels that serve", "placements[0].reason", |_, p| {
        p.placements[0].reason = Reason::Vessel { suitable: 9 };
    }),
    ("a vessel said to be required as a tank", "placements[2].reason", |_, p| {
        p.placements[2].reason = Reason::TankRequired;
    }),
    ("another reason for a tank", "placements[6].reason", |_, p| {
        p.placements[6].reason = Reason::TankCheapest { suitable: 1 };
    }),
    ("another reason for a decision", "placements[8].reason", |_, p| {
        p.placements[8].reason = p.placements[9].reason.clone();
    }),
    ("another unknown", "placements[9].reason", |_, p| {
        p.placements[9].reason = Reason::Unknown(Unknown::Size);
    }),
    ("another hold", "placements[10].reason", |_, p| {
        p.placements[10].reason = Reason::Held(Hold::Disposition);
    }),
    ("another reason to wait", "placements[13].reason", |_, p| {
        p.placements[13].reason = Reason::Waits(Box::new(Wait { cause: WaitCause::Limits, suitable: 1 }));
    }),
    ("money to wait for", "placements[13].reason", |_, p| {
        wait(p).cause = WaitCause::Money { by_itself: Money::whole(9), left: Money::whole(1), unspent: None };
    }),
    ("another number of vessels to wait for", "placements[13].reason", |_, p| wait(p).suitable += 1),
    ("a review nobody asked for", "placements[8].marks", |_, p| p.placements[8].marks.unproven = true),
    ("no option", "placements[0].reason", |_, p| p.placements[0].reason = Reason::NoOption(None)),
    ("a millilitre of fluid", "placements[0].fluid_ml", |_, p| p.placements[0].fluid = Some(Millilitres(153))),
    ("no fluid", "placements[0].fluid_ml", |_, p| p.placements[0].fluid = None),
    ("the cost of the fluid", "placements[0].fluid_cost", |_, p| {
        p.placements[0].fluid_cost = p.placements[0].fluid_cost.map(|cost| cost + Money::from_parts(1000));
    }),
    ("the fluid of a tank", "placements[6].fluid_ml", |_, p| p.placements[6].fluid = Some(Millilitres(5320))),
    ("a tank that its lot does not leave room for fluid in", "placements[6].outcome", |project, p| {
        project.collection.specimens[6].individuals = 30;
        p.placements[6].fluid = Some(Millilitres(-13_473));
    }),
    ("the fluid cost of a tank", "placements[7].fluid_cost", |_, p| p.placements[7].fluid_cost = Some(Money::ZERO)),
    ("on hand said to be ordered", "placements[0].outcome", |_, p| p.placements[0].outcome = Outcome::Order),
    ("ordered said to be on hand", "placements[2].outcome", |_, p| p.placements[2].outcome = Outcome::OnHand),
    ("a leftover said to wait for money", "placements[7].outcome", |_, p| p.placements[7].outcome = Outcome::Deferred),
    ("deferred said to need a decision", "placements[13].outcome", |_, p| {
        p.placements[13].outcome = Outcome::NeedsDecision;
    }),
    ("needs a decision said to be deferred", "placements[8].outcome", |_, p| {
        p.placements[8].outcome = Outcome::Deferred;
    }),
    ("a tank for what is too small for one", "placements[8].outcome", |_, p| {
        p.placements[8].outcome = Outcome::CustomTank;
    }),
    ("a tank where a vessel serves", "placements[0].outcome", |_, p| p.placements[0].outcome = Outcome::CustomTank),
    ("a tank said to need a decision", "placements[6].outcome", |_, p| {
        p.placements[6].outcome = Outcome::NeedsDecision;
    }),
    ("an unknown fluid said to be deferred", "placements[9].outcome", |_, p| {
        p.placements[9].outcome = Outcome::Deferred;
    }),
    ("a held row moved", "placements[10].outcome", |_, p| {
        p.placements[10] = rehouse::plan::Placement { specimen: 10, ..p.placements[0].clone() };
    }),
    ("a held row with fluid", "placements[11].fluid_ml", |_, p| p.placements[11].fluid = Some(Millilitres(10))),
    ("a free row said to be held", "placements[12].outcome", |_, p| p.placements[12].outcome = Outcome::Held),
    ("a hold that was lifted", "placements[10].outcome", |project, _| particulars(project, 10).hold = None),
    ("a deferred row in a vessel", "placements[13].vessel", |_, p| p.placements[13].vessel = Some(VesselId(4))),
    ("a deferred row with money", "placements[13].fluid_cost", |_, p| {
        p.placements[13].fluid_cost = Some(Money::ZERO);
    }),
    ("another near miss", "placements[8].near_miss", |_, p| {
        if let Some(miss) = &mut p.placements[8].near_miss {
            miss.0 = VesselId(2);
        }
    }),
    ("a shortfall too small", "placements[8].near_miss", |_, p| {
        p.placements[8].near_miss =
            Some(Box::new((VesselId(3), Refusal::by(Rule::Mouth, Cause::MouthTooNarrow, 320.4))));
    }),
    ("another reason to miss", "placements[8].near_miss", |_, p| {
        p.placements[8].near_miss = Some(Box::new((VesselId(3), Refusal::by(Rule::Room, Cause::TooLow, 320.5))));
    }),
    ("a near miss left out", "placements[6].near_miss", |_, p| p.placements[6].near_miss = None),
    ("a near miss where a vessel serves", "placements[0].near_miss", |_, p| {
        p.placements[0].near_miss = p.placements[8].near_miss.clone();
    }),
    ("a near miss that does not exist", "placements[8].near_miss", |_, p| {
        if let Some(miss) = &mut p.placements[8].near_miss {
            miss.0 = VesselId(u32::MAX);
        }
    }),
];

pub const DIVIDED_LOT: &[Wrong] = &[
    ("a lot in one vessel less", "placements[0].vessels_used", |_, p| fit(p, 0).pieces = 5),
    ("a lot that may not be divided so far", "placements[0].vessel", |project, _| {
        project.collection.specimens[0].max_vessels = 5;
    }),
    ("free pieces by row instead of priority", "placements[1].pieces_on_hand", |_, p| {
        (p.placements[0].pieces_on_hand, p.placements[1].pieces_on_hand) = (4, 0);
        p.placements[1].outcome = Outcome::Order;
    }),
    ("partly free said to be on hand", "placements[0].outcome", |_, p| p.placements[0].outcome = Outcome::OnHand),
    ("the share of the whole instead of the fullest", "placements[1].tissue_share_pct", |_, p| {
        fit(p, 1).tissue_share = fit(p, 1).tissue_share.map(|share| share * 3.0);
    }),
    ("a priority raised", "placements[0].pieces_on_hand", |project, _| {
        project.collection.specimens[0].priority = 1;
        project.collection.specimens[1].priority = 3;
    }),
    ("pieces beyond all counting", "placements[0].vessels_used", |_, p| fit(p, 0).pieces = u32::MAX),
];
