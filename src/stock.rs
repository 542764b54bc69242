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

/// Everything that can be had.
#[derive(Clone, Debug, Default)]
pub struct Stock {
    /// Kinds of vessel, sorted by id.
    pub vessels: Vec<Vessel>,
    /// Ways to get them by order, sorted by vessel, then as in the file. Only offers that may be ordered.
    pub offers: Vec<Offer>,
    /// Sorted by name. Suppliers named by an offer or in the suppliers' file.
    pub suppliers: Vec<Supplier>,
    /// Fluid that is owned.
    pub fluids: Vec<OwnedFluid>,
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

/// One kind of container; any number of pieces.
#[derive(Clone, Debug, PartialEq)]
pub struct Vessel {
    /// The user's own name for it.
    pub id: String,
    /// 1-based line of its first row, for messages.
    pub line: usize,
    /// Free text, may be empty.
    pub description: String,
    /// Inner plan of the body.
    pub section: Section,
    /// Floor to the underside of the closure.
    pub inner_height: Length,
    /// Floor to the shoulder; the inner height where there is none.
    pub body_height: Length,
    /// Opening; the whole section where nothing narrower is stated.
    pub mouth: Section,
    /// True where the mouth is the whole section because nothing else was stated.
    pub mouth_assumed: bool,
    /// Brimful volume: as stated, else from the geometry.
    pub brimful: Volume,
    /// What the body is made of.
    pub material: MaterialId,
    /// What shuts it.
    pub closure: ClosureId,
    /// Pieces on the shelf.
    pub on_hand: u32,
    /// Pieces paid for and arriving.
    pub on_order: u32,
    /// Pieces to be left untouched.
    pub reserve: u32,
    /// Outer height with its closure, if known.
    pub outer_height: Option<Length>,
    /// Outer diameter or length, if known.
    pub outer_width: Option<Length>,
    /// Empty mass, if known.
    pub empty_mass: Option<Mass>,
    /// Cells of the columns this program does not read, as (header, cell).
    pub carried: Vec<(String, String)>,
}

/// A plan shape: round or rectangular.
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

    /// Each measure less `amount` in all, never below zero.
    pub fn less(&self, amount: Length) -> Section {
        match *self {
            Section::Round(diameter) => Section::Round(diameter.less(amount)),
            Section::Rectangular(length, width) => Section::Rectangular(length.less(amount), width.less(amount)),
        }
    }
}

impl Vessel {
    /// Pieces that may be used without buying any.
    pub fn free_pieces(&self) -> i64 {
        (i64::from(self.on_hand) + i64::from(self.on_order) - i64::from(self.reserve)).max(0)
    }

    /// Whether a label of this size stands in it, either way up.
    pub fn label_stands(&self, width: Length, height: Length) -> bool {
        let (wide, high) = (self.section.larger(), self.inner_height);
        (width.fits(wide) && height.fits(high)) || (height.fits(wide) && width.fits(high))
    }

    /// Brimful volume that the inner measures give: body section to the shoulder, mouth section above it.
    pub fn geometric_volume(section: Section, body_height: Length, mouth: Section, inner_height: Length) -> Volume {
        let body = section.area_mm2() * body_height.mm();
        let neck = mouth.area_mm2() * inner_height.less(body_height).mm();
        Volume::at_least_zero((body + neck) / 1000.0)
    }
}

/// A way to buy a vessel: whole packs at a price.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// What is sold.
    pub vessel: VesselId,
    /// 1-based line in the stock list, for messages.
    pub line: usize,
    /// Who sells it; `None` where the cell is blank (no charge, no minimum).
    pub supplier: Option<SupplierId>,
    /// The supplier's code, may be empty.
    pub order_code: String,
    /// Pieces in a pack, at least 1.
    pub pack_size: u32,
    /// Price of a pack.
    pub pack_price: Money,
    /// Least packs if any are bought, at least 1.
    pub min_packs: u32,
    /// Most pieces, if limited.
    pub order_limit: Option<u32>,
}

/// A supplier's terms. Goods are vessels only.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Supplier {
    /// As typed.
    pub name: String,
    /// Charged when anything is ordered below the threshold.
    pub delivery_charge: Money,
    /// Goods value from which delivery is free; `None` = never.
    pub free_delivery_over: Option<Money>,
    /// Least goods value of an order.
    pub minimum_order: Money,
    /// Days to arrive, if known.
    pub lead_days: Option<u32>,
}

/// Fluid on the shelf.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnedFluid {
    /// Which.
    pub fluid: crate::rules::FluidId,
    /// How much.
    pub amount: Millilitres,
    /// Where, may be empty.
    pub location: String,
}
