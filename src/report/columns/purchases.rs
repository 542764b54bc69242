//! Columns about orders: vessels bought, and delivery.

use crate::plan::{Delivery, Plan, Purchase};
use crate::project::Project;
use crate::report::table::{Cell, Column, Field};
use crate::stock::{Offer, SupplierId, Vessel};
use crate::units::Money;

/// A line of an order.
#[derive(Clone, Copy)]
pub struct Ordered<'a> {
    pub project: &'a Project,
    pub line: PurchaseLine<'a>,
}

/// Packs of one offer, or the delivery charge of a supplier.
#[derive(Clone, Copy)]
pub enum PurchaseLine<'a> {
    Packs(&'a Purchase),
    Delivery(&'a Delivery),
}

type PurchaseField<'a> = Field<'a, Ordered<'a>>;

impl<'a> Ordered<'a> {
    pub fn packs(project: &'a Project, purchase: &'a Purchase) -> Self {
        Ordered { project, line: PurchaseLine::Packs(purchase) }
    }

    /// Every purchase of a plan, then every delivery.
    pub fn all(project: &'a Project, plan: &'a Plan) -> impl Iterator<Item = Self> {
        let deliveries = plan.deliveries.iter().map(PurchaseLine::Delivery);
        plan.purchases.iter().map(PurchaseLine::Packs).chain(deliveries).map(move |line| Ordered { project, line })
    }

    /// All lines, with each delivery after its supplier's purchases.
    pub fn by_supplier(project: &'a Project, plan: &'a Plan) -> Vec<Self> {
        let mut lines: Vec<Self> = Ordered::all(project, plan).collect();
        // The sort is stable: purchases of a supplier keep their order.
        lines.sort_by_key(|line| line.supplier());
        lines
    }

    pub const SUPPLIER: PurchaseField<'a> =
        Field::new(Column::text("supplier").wide(26.0), |row| row.supplier_name().unwrap_or("").into());
    /// The supplier, or "no supplier named".
    pub const SUPPLIER_OR_NOBODY: PurchaseField<'a> = Field::new(Column::text("supplier").wide(26.0), |row| {
        Ordered::name_or_nobody(row.project, row.supplier()).into()
    });
    pub const SUPPLIER_OR_NOT_STATED: PurchaseField<'a> = Field::new(Column::text("supplier"), |row| {
        Ordered::named_or(row.project, row.supplier(), "supplier not stated").into()
    });
    pub const KIND: PurchaseField<'a> = Field::new(Column::text("kind").wide(10.0), |row| match row.line {
        PurchaseLine::Packs(_) => "vessels".into(),
        PurchaseLine::Delivery(_) => DELIVERY.into(),
    });
    pub const ORDER_CODE: PurchaseField<'a> =
        Field::new(Column::text("order_code").wide(16.0), |row| row.offer().map(|offer| &offer.order_code).into());
    pub const VESSEL: PurchaseField<'a> =
        Field::new(Column::text("vessel").wide(20.0), |row| row.vessel().map(|vessel| &vessel.id).into());
    pub const DESCRIPTION: PurchaseField<'a> =
        Field::new(Column::text("description").wide(36.0), |row| row.vessel().map(|vessel| &vessel.description).into());
    pub const PACKS: PurchaseField<'a> =
        Field::new(Column::count("packs"), |row| row.bought(|purchase| purchase.packs));
    pub const PACK_SIZE: PurchaseField<'a> =
        Field::new(Column::whole("pack_size"), |row| row.offer().map(|offer| offer.pack_size).into());
    pub const PIECES: PurchaseField<'a> =
        Field::new(Column::count("pieces"), |row| row.bought(|purchase| purchase.pieces));
    pub const PACK_PRICE: PurchaseField<'a> =
        Field::new(Column::money("pack_price"), |row| row.offer().map(|offer| offer.pack_price).into());
    pub const LINE_TOTAL: PurchaseField<'a> = Field::new(Column::money("line_total"), |row| match row.line {
        PurchaseLine::Packs(purchase) => purchase.line_total.into(),
        PurchaseLine::Delivery(delivery) => delivery.charge.into(),
    });
    pub const PIECES_USED: PurchaseField<'a> =
        Field::new(Column::count("pieces_used"), |row| row.bought(|purchase| purchase.pieces_used));
    pub const SPARE: PurchaseField<'a> =
        Field::new(Column::count("spare"), |row| row.bought(|purchase| purchase.spare));

    /// The description of the vessel, or "delivery": the file has no other column that tells a delivery line.
    const DESCRIPTION_OR_DELIVERY: PurchaseField<'a> = Field::new(Column::text("description"), |row| match row.line {
        PurchaseLine::Packs(_) => (Self::DESCRIPTION.cell)(row),
        PurchaseLine::Delivery(_) => DELIVERY.into(),
    });

    /// Columns of `purchases.csv`.
    pub const FILE: [PurchaseField<'a>; 11] = [
        Self::SUPPLIER,
        Self::ORDER_CODE,
        Self::VESSEL,
        Self::DESCRIPTION_OR_DELIVERY,
        Self::PACKS,
        Self::PACK_SIZE,
        Self::PIECES,
        Self::PACK_PRICE,
        Self::LINE_TOTAL,
        Self::PIECES_USED,
        Self::SPARE,
    ];

    /// Columns of the order sheet of the workbook.
    pub const SHEET: [PurchaseField<'a>; 12] = [
        Self::SUPPLIER_OR_NOBODY,
        Self::KIND,
        Self::ORDER_CODE,
        Self::VESSEL,
        Self::DESCRIPTION,
        Self::PACKS,
        Self::PACK_SIZE,
        Self::PIECES,
        Self::PACK_PRICE,
        Self::LINE_TOTAL,
        Self::PIECES_USED,
        Self::SPARE,
    ];

    /// The vessel, or "delivery".
    pub const WHAT: PurchaseField<'a> = Field::new(Column::text("vessel"), |row| match row.line {
        PurchaseLine::Packs(_) => (Self::VESSEL.cell)(row),
        PurchaseLine::Delivery(delivery) if delivery.charge == Money::ZERO => "delivery (free)".into(),
        PurchaseLine::Delivery(_) => DELIVERY.into(),
    });
    /// The vessel with its description.
    pub const VESSEL_DESCRIBED: PurchaseField<'a> = Field::new(Column::text("what"), |row| {
        let named = |vessel: &'a Vessel| match vessel.description.as_str() {
            "" => Cell::from(&vessel.id),
            description => format!("{}: {description}", vessel.id).into(),
        };
        row.vessel().map(named).into()
    });
    /// Packs and pieces in each: `2 × 12`.
    pub const PACKS_OF: PurchaseField<'a> = Field::new(Column::figures("packs × pieces"), |row| {
        row.offer().zip(row.purchase()).map(|(offer, bought)| format!("{} × {}", bought.packs, offer.pack_size)).into()
    });

    pub fn supplier(self) -> Option<SupplierId> {
        match self.line {
            PurchaseLine::Packs(_) => self.offer().and_then(|offer| offer.supplier),
            PurchaseLine::Delivery(delivery) => Some(delivery.supplier),
        }
    }

    /// The name of a supplier, or "no supplier named".
    pub fn name_or_nobody(project: &'a Project, supplier: Option<SupplierId>) -> &'a str {
        Ordered::named_or(project, supplier, "no supplier named")
    }

    /// The name of a supplier, or `unnamed` if there is none.
    pub fn named_or(project: &'a Project, supplier: Option<SupplierId>, unnamed: &'a str) -> &'a str {
        supplier.map_or(unnamed, |id| &project.stock.supplier(id).name)
    }

    fn supplier_name(self) -> Option<&'a str> {
        self.supplier().map(|id| self.project.stock.supplier(id).name.as_str())
    }

    fn purchase(self) -> Option<&'a Purchase> {
        match self.line {
            PurchaseLine::Packs(purchase) => Some(purchase),
            PurchaseLine::Delivery(_) => None,
        }
    }

    fn offer(self) -> Option<&'a Offer> {
        self.purchase().map(|purchase| &self.project.stock.offers[purchase.offer])
    }

    fn vessel(self) -> Option<&'a Vessel> {
        self.offer().map(|offer| self.project.stock.vessel(offer.vessel))
    }

    fn bought(self, of: fn(&Purchase) -> i64) -> Cell<'a> {
        self.purchase().map(of).into()
    }
}

const DELIVERY: &str = "delivery";
