//! Wrong purchases, deliveries, tanks, sums, levels and words. In the first scene purchase 0 is a pack of four small jars, purchase 1 is
//! two large jars, each with a delivery; tank 0 has a price and tank 1 has none. The second scene has one purchase of seven jars; one
//! of them is spare and makes delivery free.

use rehouse::decision::{Certificate, Level, Proof, Status};
use rehouse::fit::Stance;
use rehouse::fluid::cautions::FluidCaution;
use rehouse::plan::tanks::TankDesign;
use rehouse::plan::wants::SparedTank;
use rehouse::plan::{Caution, DefaultPrice, Plan, Want, Wanted, Warning};
use rehouse::project::Project;
use rehouse::rules::{FluidId, HazardId};
use rehouse::settings::{Percent, Settings};
use rehouse::stock::{SupplierId, VesselId};
use rehouse::tank::design::RimSupport;
use rehouse::tank::glass::StressPlace;
use rehouse::tank::order::WorkStep;
use rehouse::tank::panes::{EdgeFinish, PaneKind};
use rehouse::tank::remarks::TankWarning;
use rehouse::tank::seams::SeamClass;
use rehouse::tank::ways_out::{LargeVessel, WayOut};
use rehouse::units::{Length, Millilitres, Money, Pressure, Volume};

use super::{Wrong, particulars};

/// The smallest amount of money that a file shows.
const PLACE: Money = Money::from_parts(Money::PER_UNIT / 10_000);

fn mm(length: f64) -> Length {
    Length::at_least_zero(length)
}

/// The design of the first tank.
fn design(plan: &mut Plan) -> &mut TankDesign {
    plan.tanks[0].design.as_mut().expect("it is of silicone-bonded glass")
}

/// Money is not proved, so fluid cannot be proved either.
fn open_at_money(plan: &mut Plan) {
    let money = &mut plan.levels[4];
    (money.bound, money.proof) = (money.value / 2, Proof::None);
    plan.levels[5].proof = Proof::None;
    plan.status = Status::BestFound;
}

fn drop_caution(plan: &mut Plan, caution: Caution) {
    assert!(plan.cautions.contains(&caution), "it was due: {caution:?}");
    plan.cautions.retain(|one| *one != caution);
}

fn of_hazard(project: &Project, id: &str) -> Caution {
    let found = project.rules.hazards.all().find(|(_, hazard)| hazard.id == id);
    Caution::Hazard(found.expect("a hazard of the table").0)
}

pub const EVERY_OUTCOME: &[Wrong] = &[
    ("a pack too many", "purchases[0].pieces", |_, p| p.purchases[0].packs += 1),
    ("a pack too few", "purchases[1].packs", |_, p| p.purchases[1].packs -= 1),
    ("no packs", "purchases[0].packs", |_, p| p.purchases[0].packs = 0),
    ("packs below nothing", "purchases[0].packs", |_, p| p.purchases[0].packs = i64::MIN),
    ("packs beyond all counting", "purchases[0].pieces", |_, p| p.purchases[0].packs = i64::MAX),
    ("a purchase left out", "purchases: pieces of JAR-50", |_, p| p.purchases = p.purchases.split_off(1)),
    ("a purchase twice", "purchases[1]", |_, p| p.purchases.insert(0, p.purchases[0].clone())),
    ("purchases out of order", "purchases[1]", |_, p| p.purchases.swap(0, 1)),
    ("an offer that does not exist", "purchases[0].offer", |_, p| p.purchases[0].offer = 9),
    ("an order limit exceeded", "purchases[1].pieces", |project, _| project.stock.offers[1].order_limit = Some(1)),
    ("fewer packs than the least", "purchases[1].packs", |project, _| project.stock.offers[1].min_packs = 3),
    ("the total of a line", "purchases[0].line_total", |_, p| p.purchases[0].line_total += PLACE),
    ("a price that rose", "purchases[0].line_total", |project, _| project.stock.offers[0].pack_price += PLACE),
    ("pieces of a line", "purchases[0].pieces", |_, p| p.purchases[0].pieces += 1),
    ("pieces used from a line", "purchases: pieces_used of JAR-50", |_, p| {
        (p.purchases[0].pieces_used, p.purchases[0].spare) = (1, 3);
    }),
    ("spare pieces of a line", "purchases[0].spare", |_, p| p.purchases[0].spare += 1),
    ("fewer spare pieces than asked for", "purchases: pieces of JAR-50", |project, _| {
        project.settings.spare_pct = Percent(101.0);
    }),
    ("a delivery waived", "deliveries[0].charge", |_, p| p.deliveries[0].charge = Money::ZERO),
    ("a delivery charged twice", "deliveries: suppliers", |_, p| p.deliveries.insert(0, p.deliveries[0].clone())),
    ("a delivery left out", "deliveries: suppliers", |_, p| p.deliveries.truncate(1)),
    ("a supplier that does not exist", "deliveries[0].supplier", |_, p| p.deliveries[0].supplier = SupplierId(7)),
    ("the goods of a delivery", "deliveries[1].goods", |_, p| p.deliveries[1].goods += PLACE),
    ("a supplier's minimum not reached", "deliveries[1].goods", |project, _| {
        project.stock.suppliers[1].minimum_order = Money::whole(15);
    }),
    ("more kinds than the cap", "purchases: kinds", |project, _| project.settings.max_vessel_types = Some(1)),
    ("more suppliers than the cap", "purchases: suppliers", |project, _| project.settings.max_suppliers = Some(1)),
    ("the budget exceeded by labour", "totals: what counts", |project, p| {
        project.settings.budget = Some(p.totals.money + p.totals.labour_counted - PLACE);
    }),
    ("the budget exceeded without labour", "totals: what counts", |project, p| {
        project.settings.budget = Some(p.totals.money - PLACE);
        project.settings.labour_in_budget = false;
    }),
    ("a tank left out", "tanks: rows", |_, p| p.tanks.truncate(1)),
    ("a tank twice", "tanks: rows", |_, p| p.tanks.push(p.tanks[1].clone())),
    ("a tank for a row that does not exist", "tanks[0].specimen", |_, p| p.tanks[0].specimen = 14),
    ("a tank for a row in a jar", "tanks[0]", |_, p| p.tanks[0].specimen = 0),
    ("the length of a tank", "tanks[0].length_mm", |_, p| p.tanks[0].length = mm(330.0)),
    ("the width of a tank", "tanks[0].width_mm", |_, p| p.tanks[0].width = mm(131.0)),
    ("the height of a tank", "tanks[1].height_mm", |_, p| p.tanks[1].height = mm(170.0)),
    ("the posture in a tank", "tanks[0].posture", |_, p| p.tanks[0].stance = Stance::Height),
    ("a posture no row allows", "tanks[0].posture", |_, p| p.tanks[0].stance = Stance::Coil),
    ("the fluid of a tank", "tanks[0].fluid_ml", |_, p| p.tanks[0].fluid += Millilitres(1)),
    ("the cost of a tank", "tanks[0].cost", |_, p| p.tanks[0].cost = Some(Money::whole(95))),
    ("a cost nobody knows", "tanks[1].cost", |_, p| p.tanks[1].cost = p.tanks[0].cost),
    ("a quote not taken", "tanks[0].cost", |project, _| {
        particulars(project, 6).tank_quote = Some(Money::whole(80));
    }),
    ("thinner glass", "tanks[0].design", |_, p| design(p).wall = mm(3.0)),
    ("glass said to bear more", "tanks[0].design", |_, p| design(p).allowable = design(p).allowable * 1.2),
    ("a stress passed over", "tanks[0].design.stress_mpa", |_, p| design(p).stress = design(p).allowable * 1.01),
    ("a pane left out of the cut list", "tanks[0].design.empty_kg", |_, p| {
        design(p).panes.pop();
    }),
    ("a wider tank outside", "tanks[0].design.outer_width_mm", |_, p| design(p).outer[1] = mm(500.0)),
    ("a warning kept back", "tanks[0].design", |_, p| {
        design(p).warnings.pop();
    }),
    ("more gas than it takes", "tanks[0].design", |_, p| {
        let place = design(p).stressed;
        *design(p).warnings.last_mut().expect("a warning") = TankWarning::MustBreathe { gas: Pressure::ZERO, place };
    }),
    ("a step left out", "tanks[0].design", |_, p| drop(design(p).order_of_work.remove(3))),
    ("a level that was not proved", "tanks[0].design", |_, p| {
        for step in &mut design(p).order_of_work {
            if let WorkStep::TopUp { freeboard } | WorkStep::MarkProvedLevel { freeboard, .. } = step {
                *freeboard = mm(1.0);
            }
        }
    }),
    ("another place of the stress", "tanks[0].design", |_, p| design(p).stressed = StressPlace::LidJoint),
    ("another construction", "tanks[0].design", |_, p| design(p).construction.rim = RimSupport::BondedLid),
    ("a joint that works less", "tanks[0].design", |_, p| design(p).seam_class = SeamClass::Low),
    ("edges otherwise finished", "tanks[0].design", |_, p| {
        design(p).panes.iter_mut().for_each(|pane| pane.edges = EdgeFinish::Arrissed);
    }),
    ("a pane called another", "sheets: C-01", |_, p| design(p).panes[0].kind = PaneKind::EndStrip),
    ("a tank without its design", "tanks[0].design", |_, p| p.tanks[0].design = None),
    ("a pane that no sheet gives", "sheets: C-01", |_, p| {
        p.sheets[0].panes.pop();
    }),
    ("a pane cut twice", "sheets: C-01", |_, p| {
        let again = p.sheets[0].panes[0].clone();
        p.sheets[0].panes.push(again);
    }),
    ("two panes from one piece of glass", "sheets[0].panes", |_, p| {
        let first = (p.sheets[0].panes[0].x, p.sheets[0].panes[0].y);
        (p.sheets[0].panes[1].x, p.sheets[0].panes[1].y) = first;
    }),
    ("a pane over the edge of its sheet", "sheets[0].panes", |_, p| p.sheets[0].panes[0].x = mm(3200.0)),
    ("a sheet that nobody stocks", "sheets[0].length_mm", |_, p| p.sheets[0].length = mm(6000.0)),
    ("what the price of a tank is", "tanks[1].price_basis", |_, p| p.tanks[1].price_basis = p.tanks[0].price_basis),
    ("a way out that the fluid does not allow", "tanks[1].ways_out", |_, p| {
        p.tanks[1].ways_out.push(WayOut::Vessel { vessel: LargeVessel::SodaLimeVessel, years: None });
    }),
    ("a way out passed over", "tanks[1].ways_out", |_, p| {
        p.tanks[1].ways_out.pop();
    }),
    ("a fluid that does not exist", "make_up[0].fluid", |_, p| p.make_up[0].fluid = FluidId(u16::MAX)),
    ("a fluid not made up", "make_up: fluids", |_, p| p.make_up.truncate(1)),
    ("fluids out of order", "make_up: fluids", |_, p| p.make_up.swap(0, 1)),
    ("rows of a fluid", "make_up[0].rows", |_, p| p.make_up[0].rows += 1),
    ("a millilitre to make up", "make_up[0].litres", |_, p| p.make_up[0].amount += Millilitres(1)),
    ("the cost of making up", "make_up[0].cost", |_, p| p.make_up[0].cost += PLACE),
    ("fluid outside the totals", "make_up[0].litres_outside", |_, p| p.make_up[0].amount_outside += Millilitres(1)),
    ("its cost", "make_up[0].cost_outside", |_, p| p.make_up[0].cost_outside += PLACE),
    ("rows placed", "totals.placed", |_, p| p.totals.placed += 1),
    ("rows on hand", "totals.on_hand", |_, p| p.totals.on_hand -= 1),
    ("rows to be ordered", "totals.order", |_, p| p.totals.order += 1),
    ("rows in tanks", "totals.custom_tank", |_, p| p.totals.custom_tank += 1),
    ("rows whose tank has no price", "totals.unpriced_tanks", |_, p| p.totals.unpriced_tanks += 1),
    ("rows deferred", "totals.deferred", |_, p| p.totals.deferred -= 1),
    ("rows that need a decision", "totals.needs_decision", |_, p| p.totals.needs_decision += 1),
    ("rows held", "totals.held", |_, p| p.totals.held -= 1),
    ("purchase in all", "totals.purchase", |_, p| p.totals.purchase += PLACE),
    ("delivery in all", "totals.delivery", |_, p| p.totals.delivery -= PLACE),
    ("fluid in all", "totals.fluid", |_, p| p.totals.fluid += PLACE),
    ("tanks in all", "totals.tanks", |_, p| p.totals.tanks += PLACE),
    ("money in all", "totals.money", |_, p| p.totals.money -= PLACE),
    ("labour in all", "totals.labour", |_, p| p.totals.labour += PLACE),
    ("labour in the budget", "totals.labour_counted", |_, p| p.totals.labour_counted += PLACE),
    ("minutes in all", "totals.minutes", |_, p| p.totals.minutes += 1),
    ("what is to be paid", "totals.to_pay", |_, p| p.totals.to_pay -= PLACE),
    ("litres in all", "totals.litres", |_, p| p.totals.litres -= Millilitres(1)),
    ("a sum beyond all counting", "totals.money", |_, p| p.totals.money = Money::from_parts(i64::MAX)),
    ("a level left out", "levels", |_, p| p.levels.truncate(5)),
    ("no levels", "levels", |_, p| p.levels.clear()),
    ("levels out of order", "levels", |_, p| p.levels.swap(4, 5)),
    ("a level twice", "levels", |_, p| p.levels[0] = p.levels[1].clone()),
    ("rows deferred, as a level", "levels[3].value", |_, p| p.levels[3].value = 2),
    ("money, as a level", "levels[4].value", |_, p| p.levels[4].value += PLACE.parts()),
    ("money without the weight of the litres", "levels[4].value", |_, p| p.levels[4].value = p.totals.money.parts()),
    ("fluid, as a level", "levels[5].value", |_, p| p.levels[5].value += 1),
    ("a bound above its value", "levels[4].bound", |_, p| p.levels[4].bound = p.levels[4].value + PLACE.parts()),
    ("a bound of money that no longer follows", "levels[4].bound", |project, _| {
        project.stock.vessels[4].brimful = Volume::at_least_zero(150.0);
    }),
    ("a bound of money from nowhere", "levels[4].certificate", |_, p| {
        p.levels[4].certificate = Certificate::default();
    }),
    ("a bound said to reach its value", "levels[4].bound", |_, p| p.levels[4].bound -= 2 * PLACE.parts()),
    ("a status too good", "status", |_, p| {
        open_at_money(p);
        p.status = Status::ProvedBest;
    }),
    ("within a gap nobody asked for", "status", |_, p| {
        open_at_money(p);
        p.status = Status::WithinGap;
    }),
    ("within a smaller gap than asked for", "status", |project, p| {
        open_at_money(p);
        p.status = Status::WithinGap;
        project.settings.gap_pct = Percent(49.0);
    }),
    ("a proved plan called the best found", "status", |_, p| p.status = Status::BestFound),
    ("a proved plan called not optimised", "status", |_, p| p.status = Status::NotOptimised),
    ("a proof not claimed under the best status", "status", |_, p| p.levels[4].proof = Proof::None),
    ("levels beyond all counting", "levels[4].value", |_, p| {
        p.levels[4] = Level { value: i64::MIN, bound: i64::MIN, proof: Proof::None, ..p.levels[4].clone() };
    }),
    ("a want left out", "wants", |_, p| p.wants.clear()),
    ("a want for a row that waits", "wants[0].rows", |_, p| p.wants[0].specimens.push(13)),
    ("a want for a row that is not known", "wants[0].rows", |_, p| p.wants[0].specimens.push(9)),
    ("a want twice", "wants[3]", |_, p| p.wants.push(p.wants[0].clone())),
    ("a want of nothing", "wants[3]", |_, p| {
        p.wants.push(Want { specimens: Vec::new(), wanted: Wanted::Nothing, instead_of: None })
    }),
    ("nothing to look for", "wants[0].wanted", |_, p| p.wants[0].wanted = Wanted::Nothing),
    ("a want instead of a tank", "wants[0].", |_, p| p.wants[0].instead_of = Some(SparedTank { cost: None })),
    ("a want that does not exist", "wants[0].specimens", |_, p| p.wants[0].specimens.push(usize::MAX)),
    ("no word on formaldehyde", "cautions", |_, p| drop_caution(p, Caution::Fluid(FluidCaution::Formaldehyde))),
    ("no word on what formaldehyde must not meet", "cautions", |_, p| {
        drop_caution(p, Caution::Fluid(FluidCaution::FormaldehydeNeverWith));
    }),
    ("no word on alcohol", "cautions", |_, p| drop_caution(p, Caution::Fluid(FluidCaution::Alcohol))),
    ("no word on pouring alcohol", "cautions", |_, p| drop_caution(p, Caution::Fluid(FluidCaution::PouringAlcohol))),
    ("no word on unknown fluids", "cautions", |_, p| drop_caution(p, Caution::UnknownFluid)),
    ("no word on picric acid", "cautions", |project, p| drop_caution(p, of_hazard(project, "picric"))),
    ("no word on human tissue", "cautions", |project, p| drop_caution(p, of_hazard(project, "human"))),
    ("no word on tanks", "cautions", |_, p| drop_caution(p, Caution::Tanks)),
    ("no word on glass", "cautions", |_, p| drop_caution(p, Caution::Glass)),
    ("no word on the safety data sheet", "cautions", |_, p| drop_caution(p, Caution::WhoDecides)),
    ("another hazard in place of picric acid", "cautions", |project, p| {
        p.cautions[5] = of_hazard(project, "asbestos");
    }),
    ("a hazard that nobody named", "cautions", |project, p| p.cautions.push(of_hazard(project, "asbestos"))),
    ("a caution that belongs to no fluid here", "cautions[", |_, p| {
        p.cautions.push(Caution::Fluid(FluidCaution::Hydrosulphite));
    }),
    ("a caution twice", "cautions[", |_, p| p.cautions.push(Caution::WhoDecides)),
    ("a hazard that does not exist", "cautions[0].hazard", |_, p| p.cautions[0] = Caution::Hazard(HazardId(999))),
    ("cautions out of order", "cautions[0]", |_, p| p.cautions.swap(0, 1)),
    ("another number in a warning", "warnings", |_, p| match &mut p.warnings[0] {
        Warning::UnpricedTanks { tanks, .. } => *tanks += 1,
        other => panic!("{other:?}"),
    }),
    ("less fluid for tanks without a price", "warnings", |_, p| match &mut p.warnings[0] {
        Warning::UnpricedTanks { fluid, .. } => *fluid -= Millilitres(1),
        other => panic!("{other:?}"),
    }),
    ("a cost for it that the screen rounds away", "warnings", |_, p| match &mut p.warnings[0] {
        Warning::UnpricedTanks { cost, .. } => *cost += PLACE,
        other => panic!("{other:?}"),
    }),
    ("a doubt nobody has", "warnings", |_, p| p.warnings.push(Warning::DoubtfulPair { lots: 1 })),
    ("a doubt about a vessel that does not exist", "warnings[0].vessels", |_, p| {
        p.warnings[0] = Warning::LabelTooLarge { vessels: vec![VesselId(999)] };
    }),
    ("a doubt twice", "warnings[", |_, p| p.warnings.push(p.warnings[0].clone())),
    ("a smaller vessel wanted", "wants[0].wanted", |_, p| {
        let Wanted::Vessel(vessel) = &mut p.wants[0].wanted else { panic!("a vessel is wanted") };
        vessel.height = Length::at_least_zero(vessel.height.mm() - 1.0);
    }),
    ("another default price", "prices_not_yours", |project, p| {
        p.prices_not_yours[0] = DefaultPrice::Fluid(project.rules.fluid_named("nbf-10").expect("a fluid"));
    }),
    ("a price of the user's own called a default", "prices_not_yours", |project, p| {
        let own = project.rules.fluid_named("ethanol-70").expect("a fluid");
        p.prices_not_yours.push(DefaultPrice::Fluid(own));
    }),
    ("a default price of a fluid that does not exist", "prices_not_yours[0].fluid", |_, p| {
        p.prices_not_yours[0] = DefaultPrice::Fluid(FluidId(u16::MAX));
    }),
    ("no word on prices nobody knows", "warnings", |_, p| p.warnings.clear()),
    ("a default price passed over", "prices_not_yours", |project, p| {
        let formalin = DefaultPrice::Fluid(project.rules.fluid_named("formalin-5").expect("a fluid"));
        assert!(p.prices_not_yours.contains(&formalin));
        p.prices_not_yours.retain(|price| *price != formalin);
    }),
    ("the prices of tanks passed over", "prices_not_yours", |_, p| {
        p.prices_not_yours.retain(|price| !matches!(price, DefaultPrice::Tank(_)));
    }),
    ("one of the prices of tanks passed over", "prices_not_yours", |_, p| {
        for price in &mut p.prices_not_yours {
            if let DefaultPrice::Tank(prices) = price {
                prices.pop();
            }
        }
    }),
    ("other settings", "placements[0]", |project, _| {
        project.settings = Settings { wall_min: mm(16.0), wall_max: mm(16.0), ..project.settings.clone() };
    }),
];

pub const DIVIDED_LOT: &[Wrong] = &[
    ("delivery charged though free", "deliveries[0].charge", |_, p| p.deliveries[0].charge = Money::whole(9)),
    ("a threshold just missed", "deliveries[0].charge", |project, p| {
        project.stock.suppliers[0].free_delivery_over = Some(p.deliveries[0].goods + PLACE);
    }),
    ("the spare pack left out", "deliveries[0].charge", |_, p| {
        let line = &mut p.purchases[0];
        (line.packs, line.pieces, line.spare) = (line.packs - 1, line.pieces - 1, line.spare - 1);
        line.line_total = Money::whole(24);
        p.deliveries[0].goods = Money::whole(24);
    }),
    ("a delivery from nobody", "deliveries: suppliers", |project, _| project.stock.offers[0].supplier = None),
    ("more pieces used than bought", "purchases[0].pieces_used", |_, p| {
        (p.purchases[0].pieces_used, p.purchases[0].spare) = (8, -1);
    }),
    ("pieces used below nothing", "purchases[0].pieces_used", |_, p| p.purchases[0].pieces_used = i64::MIN),
];
