//! Wrong fluids. Rows of the scene by index: 0 goes through baths, 1 is filled more than once, 2 keeps its fluid, 4 is in a fluid
//! without known steps, 8 goes through baths into a tank.

use rehouse::plan::{Plan, Warning};
use rehouse::rules::FluidId;
use rehouse::units::{Millilitres, Money};

use super::Wrong;

/// The smallest amount of money that a file shows.
const PLACE: Money = Money::from_parts(Money::PER_UNIT / 10_000);

fn drop_a_bath(plan: &mut Plan, row: usize) {
    plan.placements[row].baths.remove(0);
}

pub const TREATED: &[Wrong] = &[
    ("a bath left out", "placements[0].baths", |_, p| drop_a_bath(p, 0)),
    ("a bath of another fluid", "placements[0].baths", |_, p| p.placements[0].baths[0].0 = FluidId(0)),
    ("a bath too small", "placements[0].baths", |_, p| p.placements[0].baths[1].1 -= Millilitres(1)),
    ("baths in another order", "placements[0].baths", |_, p| p.placements[0].baths.swap(1, 2)),
    ("a bath for a row that needs none", "placements[1].baths", |_, p| {
        p.placements[1].baths = p.placements[0].baths.clone();
    }),
    ("days saved", "placements[0].bath_days", |_, p| p.placements[0].bath_days = 1.0),
    ("a filling left out", "placements[1].charges", |_, p| p.placements[1].charges -= 1),
    ("a filling too many", "placements[0].charges", |_, p| p.placements[0].charges += 1),
    ("more kept than is there", "placements[2].reused_ml", |_, p| p.placements[2].reused += Millilitres(1)),
    ("fluid kept that is another", "placements[0].reused_ml", |_, p| p.placements[0].reused = Millilitres(10)),
    ("a tank filled once more", "tanks[0].charges", |_, p| p.tanks[0].charges += 1),
    ("no word that the steps are not known", "placements[4].marks", |_, p| {
        p.placements[4].fit.as_mut().expect("it is in a jar").marks.steps_unknown = false;
    }),
    ("fluid from the shelf that is not there", "make_up[", |_, p| {
        p.make_up.iter_mut().for_each(|made| made.from_stock += Millilitres(1));
    }),
    ("a bound that counts the shelf for nothing", "levels[4].bound", |_, p| {
        // The owned fluid at full price had been subtracted.
        p.levels[4].bound += Money::PER_UNIT;
        p.levels[4].value += Money::PER_UNIT;
    }),
    ("the shelf emptied", "make_up[", |project, _| project.stock.fluids[0].amount = Millilitres::ZERO),
    ("no loss", "make_up[", |_, p| p.make_up.iter_mut().for_each(|made| made.to_make -= Millilitres(1))),
    ("a tax that rose", "placements[0].fluid_cost", |project, _| project.settings.fluid_tax_pct.0 = 13.0),
    ("weaker stock", "make_up[", |_, p| {
        let from = p.make_up.iter_mut().find_map(|made| made.made_from.as_mut()).expect("something is made up");
        from.amount -= Millilitres(1);
    }),
    ("water left out", "make_up[", |_, p| {
        let from = p.make_up.iter_mut().find_map(|made| made.made_from.as_mut()).expect("something is made up");
        from.water = None;
    }),
    ("a container too few", "fluid_orders[0].containers", |_, p| p.fluid_orders[0].containers[0].2 -= 1),
    ("a container nobody sells", "fluid_orders[0].containers", |_, p| {
        p.fluid_orders[0].containers[0].0 += Millilitres(1);
    }),
    ("a container at another price", "fluid_orders[0].containers", |_, p| p.fluid_orders[0].containers[0].1 += PLACE),
    ("a dearer cover", "fluid_orders[0].cost", |_, p| {
        let dear = (Millilitres(500), Money::from_parts(Money::PER_UNIT * 25 / 4), 9);
        p.fluid_orders[0].containers = vec![dear];
        p.fluid_orders[0].cost = Some(dear.1 * 9);
    }),
    ("an order left out", "fluid_orders: fluids", |_, p| drop(p.fluid_orders.remove(0))),
    ("spent fluid left out", "spent: families", |_, p| p.spent.truncate(1)),
    ("less spent fluid", "spent[0].litres", |_, p| p.spent[0].amount -= Millilitres(1)),
    ("cheaper disposal", "spent[0].cost", |_, p| p.spent[0].cost -= PLACE),
    ("rows said to state their fluid", "spent_not_stated", |_, p| p.spent_not_stated -= 1),
    ("a place left out", "flammable: locations", |_, p| drop(p.flammable.remove(0))),
    ("less at the peak", "flammable[0].litres_peak", |_, p| p.flammable[0].peak -= Millilitres(1)),
    ("less afterwards", "flammable[0].litres_after", |_, p| p.flammable[0].after -= Millilitres(1)),
    ("disposal left out", "totals.disposal", |_, p| p.totals.disposal = Money::ZERO),
    ("containers left out", "totals.containers", |_, p| p.totals.containers = Money::ZERO),
    ("less to pay", "totals.to_pay", |_, p| p.totals.to_pay = p.totals.money),
    ("no word of rows without known steps", "warnings", |_, p| {
        p.warnings.retain(|warning| !matches!(warning, Warning::StepsUnknown { .. }));
    }),
    ("no word of rows that state no fluid", "warnings", |project, p| {
        project.collection.specimens[0].current_fluid = None;
        p.warnings.retain(|warning| !matches!(warning, Warning::FluidNotStated { .. }));
    }),
];
