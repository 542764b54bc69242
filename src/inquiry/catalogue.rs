//! What a supplier's list is worth to the plan: which of its rows would be bought, and at what price the others would be.
//!
//! # Method
//!
//! The vessels of the list become vessels of the project, its rows become offers, and the project is decided again. A vessel that
//! is listed already must have the same sizes, material and closure; then its rows are further offers of it. Pieces on the shelf
//! are those of the stock list alone. Each row gets the price up to which it is bought ([`super::break_even`]), beside all the
//! others.
//!
//! The plan with the list costs no more than the plan as it is, with the exception that [`super::listed`] names: with tanks for leftovers
//! only, a lot that the list suits may have no tank.

use super::break_even::{BreakEven, break_even};
use super::listed::lots;
use super::{Inquiry, PlanValue, Watch};
use crate::project::Project;
use crate::stock::{Offer, Stock, SupplierId, Vessel, VesselId};
use crate::units::Position;

/// A project with the vessels and offers of a supplier's list.
#[derive(Clone, Debug)]
pub struct WithCatalogue {
    /// The project. The new vessels stand after those of the stock list.
    pub project: Project,
    /// The offers of the list, as positions among those of the stock.
    pub offers: Vec<usize>,
}

/// What a supplier's list is worth.
#[derive(Clone, Debug)]
pub struct CatalogueWorth {
    /// The plan without it.
    pub now: PlanValue,
    /// The plan with it.
    pub plan: PlanValue,
    /// Its rows in the order of vessels; the search may end before the last.
    pub rows: Vec<CatalogueRow>,
    /// How many rows it has.
    pub in_all: usize,
}

/// A row of a supplier's list.
#[derive(Clone, Debug)]
pub struct CatalogueRow {
    /// The price up to which it is bought.
    pub threshold: BreakEven,
    /// Rows of the lots that its vessel holds in the plan with the list.
    pub lots: Vec<u32>,
}

impl CatalogueWorth {
    /// Whether no row is missing.
    pub fn is_whole(&self) -> bool {
        self.rows.len() == self.in_all
    }
}

/// Adds the vessels and offers of a supplier's list to a project.
///
/// # Errors
/// Ids of vessels that stand in both lists, but differ in size, material or closure.
pub fn with_catalogue(project: &Project, catalogue: &Stock) -> Result<WithCatalogue, Vec<String>> {
    let mut project = project.clone();
    let stock = &mut project.stock;
    let listed = stock.vessels.len();
    let mut other = Vec::new();
    let mut place = |vessel: &Vessel, stock: &mut Stock| {
        let named = stock.vessels[..listed].iter().position(|own| own.id == vessel.id);
        match named {
            Some(at) if alike(&stock.vessels[at], vessel) => at,
            Some(at) => {
                other.push(vessel.id.clone());
                at
            }
            None => {
                stock.vessels.push(Vessel { on_hand: 0, on_order: 0, reserve: 0, ..vessel.clone() });
                stock.vessels.len() - 1
            }
        }
    };
    let places: Vec<usize> = catalogue.vessels.iter().map(|vessel| place(vessel, stock)).collect();
    if !other.is_empty() {
        return Err(other);
    }
    let suppliers: Vec<SupplierId> = catalogue
        .suppliers
        .iter()
        .map(|supplier| {
            let known = stock.suppliers.iter().position(|own| own.name == supplier.name);
            SupplierId::at(known.unwrap_or_else(|| {
                stock.suppliers.push(supplier.clone());
                stock.suppliers.len() - 1
            }))
        })
        .collect();
    let own = std::mem::take(&mut stock.offers).into_iter().map(|offer| (offer, false));
    let offered = catalogue.offers.iter().map(|offer| {
        let vessel = VesselId::at(places[offer.vessel.index()]);
        (Offer { vessel, supplier: offer.supplier.map(|id| suppliers[id.index()]), ..offer.clone() }, true)
    });
    let mut all: Vec<(Offer, bool)> = own.chain(offered).collect();
    all.sort_by_key(|(offer, _)| offer.vessel);
    let offers = (0..all.len()).filter(|at| all[*at].1).collect();
    stock.offers = all.into_iter().map(|(offer, _)| offer).collect();
    Ok(WithCatalogue { project, offers })
}

/// Whether two vessels are the same kind.
fn alike(own: &Vessel, other: &Vessel) -> bool {
    let facts = |vessel: &Vessel| {
        let Vessel { section, inner_height, body_height, mouth, brimful, material, closure, .. } = *vessel;
        (section, inner_height, body_height, mouth, brimful, material, closure)
    };
    facts(own) == facts(other)
}

/// What the list is worth: an inquiry about the project with it, beside the plan without it.
pub fn catalogue_worth(now: PlanValue, with: &Inquiry, offers: &[usize], watch: &mut Watch) -> CatalogueWorth {
    let plan = with.decide(watch);
    let mut rows = Vec::new();
    for &offer in offers {
        let Some(threshold) = break_even(with, &plan, offer, watch) else { break };
        let vessel = with.project().stock.offers[offer].vessel;
        let lots = lots(with, &plan, vessel).into_iter().map(|(row, _)| row).collect();
        rows.push(CatalogueRow { threshold, lots });
    }
    CatalogueWorth { now, plan: with.plan_value(&plan), rows, in_all: offers.len() }
}
