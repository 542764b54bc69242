//! The stock list as values: vessels, offers and suppliers. No I/O, no decision.

use crate::rules::{ClosureId, MaterialId};
use crate::units::{Length, Mass, Millilitres, Money, Position, Volume, is_position};

/// Index into [`Stock::vessels`], which are sorted by id.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct VesselId(pub u32);
is_position!(VesselId);

/// Index into [`Stock::suppliers`], which are sorted by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SupplierId(pub u32);
is_position!(SupplierId);

/// All vessels, offers, suppliers and fluid on the shelf.
#[derive(Clone, Debug, Default)]
pub struct Stock {
    /// Vessels, sorted by id.
    pub vessels: Vec<Vessel>,
    /// Offers that may be ordered, sorted by vessel, then in file order.
    pub offers: Vec<Offer>,
    /// Suppliers in the suppliers' file or named by an offer, sorted by name.
    pub suppliers: Vec<Supplier>,
    /// Fluid on the shelf.
    pub fluids: Vec<OwnedFluid>,
    /// Vessels from this one on are sizes that nobody lists yet. Only their kinds count under `max_vessel_types`, and a lot that only
    /// they hold may still have the tank of a leftover. `None` in the project of a plan.
    pub proposed_from: Option<VesselId>,
}

impl Stock {
    /// The vessel at an index.
    pub fn vessel(&self, id: VesselId) -> &Vessel {
        &self.vessels[id.index()]
    }

    /// The supplier at an index.
    pub fn supplier(&self, id: SupplierId) -> &Supplier {
        &self.suppliers[id.index()]
    }

    /// The vessel with this id, compared as typed.
    pub fn vessel_named(&self, name: &str) -> Option<VesselId> {
        self.vessels.binary_search_by(|vessel| vessel.id.as_str().cmp(name)).ok().map(VesselId::at)
    }

    /// Turns the free pieces of each vessel into its last offer: single pieces at no price, without a supplier.
    pub fn offer_free_pieces(&mut self) {
        let free: Vec<(VesselId, u32, usize)> = (self.listed())
            .map(|(id, vessel)| (id, u32::try_from(vessel.free_pieces()).unwrap_or(u32::MAX), vessel.line))
            .filter(|(_, free, _)| *free > 0)
            .collect();
        for (vessel, free, line) in free {
            self.vessels[vessel.index()].set_free_pieces(0);
            self.offers.push(Offer {
                vessel,
                line,
                supplier: None,
                order_code: String::new(),
                pack_size: 1,
                pack_price: Money::ZERO,
                min_packs: 1,
                order_limit: Some(free),
            });
        }
        self.offers.sort_by_key(|offer| offer.vessel);
    }

    /// Whether a vessel is a size that nobody lists yet.
    pub fn is_proposed(&self, id: VesselId) -> bool {
        self.proposed_from.is_some_and(|first| id >= first)
    }

    /// Whether a vessel counts as a kind under `max_vessel_types`.
    pub fn counts_as_kind(&self, id: VesselId) -> bool {
        self.proposed_from.is_none_or(|first| id >= first)
    }

    /// Whether any piece of a vessel is free or for sale.
    pub fn is_to_be_had(&self, id: VesselId) -> bool {
        self.vessel(id).free_pieces() > 0 || self.offers_of(id).any(|(_, offer)| offer.order_limit != Some(0))
    }

    /// All vessels with their indices.
    pub fn listed(&self) -> impl Iterator<Item = (VesselId, &Vessel)> {
        self.vessels.iter().enumerate().map(|(i, vessel)| (VesselId::at(i), vessel))
    }

    /// The offers of one vessel with their indices into [`Stock::offers`].
    pub fn offers_of(&self, id: VesselId) -> impl Iterator<Item = (usize, &Offer)> {
        let start = self.offers.partition_point(|offer| offer.vessel < id);
        self.offers.iter().enumerate().skip(start).take_while(move |(_, offer)| offer.vessel == id)
    }
}

/// One kind of vessel, of which there may be any number of pieces.
#[derive(Clone, Debug, PartialEq)]
pub struct Vessel {
    /// Its name in the stock list.
    pub id: String,
    /// Line of its first row, from 1, for messages.
    pub line: usize,
    /// Free text; may be empty.
    pub description: String,
    /// Inner shape of the body seen from above.
    pub section: Section,
    /// Floor to the underside of the closure.
    pub inner_height: Length,
    /// Floor to the shoulder; the inner height if there is no shoulder.
    pub body_height: Length,
    /// Opening; the section of the body if none is stated.
    pub mouth: Section,
    /// Whether no mouth was stated, so that it is taken as wide as the body.
    pub mouth_assumed: bool,
    /// Brimful volume: as stated, else computed from the inner dimensions.
    pub brimful: Volume,
    /// Material of the body.
    pub material: MaterialId,
    /// Its closure.
    pub closure: ClosureId,
    /// Pieces on the shelf.
    pub on_hand: u32,
    /// Pieces paid for and arriving.
    pub on_order: u32,
    /// Pieces to be kept back.
    pub reserve: u32,
    /// Outer height with its closure, if known.
    pub outer_height: Option<Length>,
    /// Outer diameter, or the outer length of a rectangular vessel, if known.
    pub outer_width: Option<Length>,
    /// Empty mass, if known.
    pub empty_mass: Option<Mass>,
    /// Header and cell of each carried column.
    pub carried: Vec<(String, String)>,
}

/// A horizontal section: round or rectangular.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Section {
    /// A circle of this diameter.
    Round(Length),
    /// A rectangle of these sides.
    Rectangular(Length, Length),
}

impl Section {
    /// The diameter, or the smaller side.
    pub fn smaller(&self) -> Length {
        match *self {
            Section::Round(diameter) => diameter,
            Section::Rectangular(length, width) => length.min(width),
        }
    }

    /// The diameter, or the larger side.
    pub fn larger(&self) -> Length {
        match *self {
            Section::Round(diameter) => diameter,
            Section::Rectangular(length, width) => length.max(width),
        }
    }

    /// Area in square millimetres.
    pub fn area_mm2(&self) -> f64 {
        match *self {
            Section::Round(diameter) => std::f64::consts::PI / 4.0 * diameter.mm() * diameter.mm(),
            Section::Rectangular(length, width) => length.mm() * width.mm(),
        }
    }

    /// The section with each dimension smaller by `amount`, at least zero.
    pub fn less(&self, amount: Length) -> Section {
        match *self {
            Section::Round(diameter) => Section::Round(diameter.less(amount)),
            Section::Rectangular(length, width) => Section::Rectangular(length.less(amount), width.less(amount)),
        }
    }
}

impl Vessel {
    /// Pieces that may be used without buying any: on hand and on order, less the reserve.
    pub fn free_pieces(&self) -> i64 {
        (i64::from(self.on_hand) + i64::from(self.on_order) - i64::from(self.reserve)).max(0)
    }

    /// Sets the pieces that may be used without buying any: more are on the shelf, or more are kept back.
    pub fn set_free_pieces(&mut self, free: i64) {
        let more = free - (i64::from(self.on_hand) + i64::from(self.on_order) - i64::from(self.reserve));
        let added = |to: u32, more: i64| u32::try_from(i64::from(to) + more).unwrap_or(u32::MAX);
        if more >= 0 {
            self.on_hand = added(self.on_hand, more);
        } else {
            self.reserve = added(self.reserve, -more);
        }
    }

    /// Whether a label of this size can stand in it, upright or on its side.
    pub fn label_stands(&self, width: Length, height: Length) -> bool {
        let (wide, high) = (self.section.larger(), self.inner_height);
        (width.fits(wide) && height.fits(high)) || (height.fits(wide) && width.fits(high))
    }

    /// Brimful volume computed from the inner dimensions: body section up to the shoulder, mouth section above it.
    pub fn geometric_volume(section: Section, body_height: Length, mouth: Section, inner_height: Length) -> Volume {
        let body = section.area_mm2() * body_height.mm();
        let neck = mouth.area_mm2() * inner_height.less(body_height).mm();
        Volume::at_least_zero((body + neck) / 1000.0)
    }
}

/// An offer to buy a vessel: whole packs at a price.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// The vessel that is sold.
    pub vessel: VesselId,
    /// Line in the stock list, from 1, for messages.
    pub line: usize,
    /// The supplier; `None` if the cell is blank (no delivery charge, no minimum order).
    pub supplier: Option<SupplierId>,
    /// The supplier's code; may be empty.
    pub order_code: String,
    /// Pieces in a pack, at least 1.
    pub pack_size: u32,
    /// Price of a pack.
    pub pack_price: Money,
    /// Fewest packs in an order, at least 1.
    pub min_packs: u32,
    /// Most pieces in an order, if limited.
    pub order_limit: Option<u32>,
}

/// A supplier's terms. The value of goods counts vessels only.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Supplier {
    /// Name as typed.
    pub name: String,
    /// Charge for an order below the threshold.
    pub delivery_charge: Money,
    /// Value of goods from which delivery is free; `None` means never.
    pub free_delivery_over: Option<Money>,
    /// Smallest value of goods of an order.
    pub minimum_order: Money,
    /// Delivery time in days, if known.
    pub lead_days: Option<u32>,
}

/// Fluid on the shelf.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnedFluid {
    /// The fluid.
    pub fluid: crate::rules::FluidId,
    /// Volume on the shelf.
    pub amount: Millilitres,
    /// Its location; may be empty.
    pub location: String,
}
