//! Small projects with owned fluid, drawn from a seed, and the best of all assignments of each.

use std::collections::BTreeMap;

use rehouse::options::table::Row;
use rehouse::options::{Filling, Treatment};
use rehouse::project::Project;
use rehouse::rules::FluidId;
use rehouse::units::{Millilitres, Money};

use crate::random::Random;

pub const SURVEY: &str =
    "catalogNumber,length_mm,width_mm,height_mm,tissue_ml,fluid,priority,current_fluid,current_strength_pct\n";
pub const STOCK: &str =
    "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,unit_price,order_limit,supplier\n";

/// Up to five rows in two fluids, three sizes of jar, mostly of two suppliers with terms, and about as much owned fluid as is needed.
pub fn drawn(seed: u64) -> [(&'static str, String); 5] {
    let mut random = Random(seed);
    let mut survey = SURVEY.to_owned();
    let fluids = ["ethanol-70", "ethanol-70", "ethanol-50", "formalin-10"];
    for row in 0..2 + random.below(4) {
        let fluid = fluids[random.below(4) as usize];
        let weak = if fluid == "ethanol-70" && random.below(4) == 0 { "ethanol-70,35" } else { "," };
        let steps = if fluid == "ethanol-70" && random.below(4) == 0 { "ethanol-50," } else { weak };
        let high = 30 + random.below(40);
        survey += &format!("R-{row},{high},20,20,{},{fluid},{},{steps}\n", 3 + random.below(8), 2 + random.below(2));
    }
    let mut stock = STOCK.to_owned();
    for (vessel, (bore, height)) in [(45, 80), (55, 100), (70, 120)].into_iter().enumerate() {
        let (free, cents, limit) = (random.below(3), 10 + random.below(120), random.below(4));
        let supplier = ["", "Alder Glass", "Birch Works"][random.below(3) as usize];
        stock += &format!(
            "J-{vessel},cylinder,{bore},{height},borosilicate,pp-cap-ptfe,{free},0.{cents:03},{limit},{supplier}\n"
        );
    }
    let suppliers = format!(
        "supplier,delivery_charge,free_delivery_over,minimum_order\nAlder Glass,0.{:03},0.{:03},\nBirch Works,0.{:03},,0.{:02}\n",
        random.below(900),
        1 + random.below(400),
        random.below(500),
        random.below(30)
    );
    let shelf = format!(
        "fluid,litres,location\nethanol-70,0.{:03},here\nethanol-50,0.{:03},there\nethanol-70,0.05,there\n",
        random.below(900),
        random.below(400)
    );
    let budget = if random.below(3) == 0 {
        format!("budget = {}.{}\n", random.below(3), random.below(100))
    } else {
        String::new()
    };
    let settings = format!(
        "{budget}litre_weight = 0.{}\n[fluid_price]\nethanol-70 = {}.5\nethanol-50 = 2.25\nformalin-10 = 0.75\n",
        random.below(3),
        1 + random.below(4)
    );
    [
        ("specimens.csv", survey),
        ("vessels.csv", stock),
        ("suppliers.csv", suppliers),
        ("fluid-stock.csv", shelf),
        ("settings.toml", settings),
    ]
}

/// The levels of an assignment: deferred rows of each priority, weighed money, millilitres.
pub type Rank = ([i64; 4], i64, i64);

/// The money of an amount of a fluid.
pub type FluidMoney<'a> = &'a dyn Fn(FluidId, Millilitres) -> Money;

/// The best of all assignments, each computed from its options.
pub fn best_of_all(project: &Project, rows: &[Row]) -> Rank {
    let beyond_the_shelf = |fluid: FluidId, need: Millilitres| {
        let owned = project.stock.fluids.iter().filter(|owned| owned.fluid == fluid);
        let owned: Millilitres = owned.map(|owned| owned.amount).sum();
        project.rules.fluid(fluid).price.per_litre((need - owned).max(Millilitres::ZERO))
    };
    best_where(project, rows, &beyond_the_shelf).expect("leaving all rows out is an assignment")
}

/// The best of all assignments, with the money of fluids given; `None` where there is none.
pub fn best_where(project: &Project, rows: &[Row], fluid_money: FluidMoney) -> Option<Rank> {
    let mut best: Option<Rank> = None;
    let mut chosen = vec![0; rows.len()];
    let mut ordered = BTreeMap::new();
    let options = |row: &Row| if let Row::Judged(judged) = row { judged.fits.len() } else { 0 };
    loop {
        if let Some(rank) = rank(project, rows, &chosen, fluid_money, &mut ordered) {
            best = Some(best.map_or(rank, |least| least.min(rank)));
        }
        // The next assignment, in the manner of an odometer; 0 is deferred.
        let Some(place) = (0..rows.len()).find(|&row| chosen[row] < options(&rows[row])) else { return best };
        chosen[place] += 1;
        chosen[..place].fill(0);
    }
}

fn rank(
    project: &Project,
    rows: &[Row],
    chosen: &[usize],
    fluid_money: FluidMoney,
    ordered: &mut BTreeMap<Vec<i64>, Option<Money>>,
) -> Option<Rank> {
    let specimens = &project.collection.specimens;
    let mut deferred = [0; 4];
    let mut bought: Vec<i64> = project.stock.vessels.iter().map(|vessel| -vessel.free_pieces()).collect();
    let mut needs: BTreeMap<_, Millilitres> =
        project.stock.fluids.iter().map(|owned| (owned.fluid, Millilitres::ZERO)).collect();
    let mut litres = 0;
    for (index, (row, &choice)) in rows.iter().zip(chosen).enumerate() {
        let Row::Judged(judged) = row else { continue };
        if choice == 0 {
            if !judged.fits.is_empty() {
                deferred[usize::from(specimens[index].priority) - 1] += 1;
            }
            continue;
        }
        let (vessel, fit) = &judged.fits[choice - 1];
        bought[vessel.0 as usize] += i64::from(fit.pieces);
        let treatment = Treatment::of(project, &specimens[index]);
        let filling = Filling::of(project, &specimens[index], &treatment, fit.charges, judged.fluid(fit));
        litres += filling.filled().0;
        for (fluid, amount) in filling.needed(specimens[index].fluid) {
            *needs.entry(fluid).or_default() += amount;
        }
    }
    bought.iter_mut().for_each(|pieces| *pieces = (*pieces).max(0));
    let orders = *ordered.entry(bought).or_insert_with_key(|bought| cheapest_orders(project, bought));
    let money = orders? + needs.into_iter().map(|(fluid, need)| fluid_money(fluid, need)).sum();
    if project.settings.budget.is_some_and(|budget| money > budget) {
        return None;
    }
    let weighed = money + project.settings.litre_weight.per_litre(Millilitres(litres));
    Some((deferred, weighed.parts(), litres))
}

/// The cheapest way to buy at least this many pieces of each vessel, found by trying all: each vessel has one offer, of single pieces,
/// and at most three can be ordered.
fn cheapest_orders(project: &Project, bought: &[i64]) -> Option<Money> {
    let stock = &project.stock;
    let mut cheapest: Option<Money> = None;
    let most = |vessel: usize| {
        let offer = stock.offers.iter().find(|offer| offer.vessel.0 as usize == vessel);
        offer.map_or(0, |offer| i64::from(offer.order_limit.expect("every offer is limited")))
    };
    let mut pieces = bought.to_vec();
    if (0..pieces.len()).any(|vessel| pieces[vessel] > most(vessel)) {
        return None;
    }
    loop {
        let goods = |supplier: Option<usize>| -> (Money, bool) {
            let of = stock.offers.iter().filter(|offer| offer.supplier.map(|supplier| supplier.0 as usize) == supplier);
            of.map(|offer| (offer.pack_price * pieces[offer.vessel.0 as usize], pieces[offer.vessel.0 as usize] > 0))
                .fold((Money::ZERO, false), |(sum, any), (goods, some)| (sum + goods, any || some))
        };
        let order = |(index, terms): (usize, &rehouse::stock::Supplier)| match goods(Some(index)) {
            (_, false) => Some(Money::ZERO),
            (goods, true) if goods < terms.minimum_order => None,
            (goods, true) if terms.free_delivery_over.is_some_and(|over| goods >= over) => Some(goods),
            (goods, true) => Some(goods + terms.delivery_charge),
        };
        let orders: Option<Money> = stock.suppliers.iter().enumerate().map(order).sum();
        if let Some(money) = orders.map(|orders| orders + goods(None).0) {
            cheapest = Some(cheapest.map_or(money, |least| least.min(money)));
        }
        let Some(place) = (0..pieces.len()).find(|&vessel| pieces[vessel] < most(vessel)) else { return cheapest };
        pieces[place] += 1;
        pieces[..place].copy_from_slice(&bought[..place]);
    }
}
