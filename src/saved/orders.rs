//! What is bought of vessels, and deliveries, in plan.json, both ways.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::names::PlanReading;
use super::object::{Object, count, text};
use super::{quantities, typed};
use crate::plan::{Delivery, Purchase};
use crate::project::Project;
use crate::stock::{Offer, SupplierId};
use crate::units::{Money, Position};

/// A purchase, as it stands in the file after its vessel and the line of its offer, and among what the stock list says of the
/// offer.
#[derive(PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PurchaseFile {
    #[serde(deserialize_with = "typed::nullable")]
    supplier: Option<String>,
    order_code: String,
    #[serde(with = "quantities::whole")]
    packs: i64,
    pack_size: u32,
    #[serde(with = "quantities::whole")]
    pieces: i64,
    #[serde(with = "quantities::money")]
    pack_price: Money,
    #[serde(with = "quantities::money")]
    line_total: Money,
    #[serde(with = "quantities::whole")]
    pieces_used: i64,
    #[serde(with = "quantities::whole")]
    spare: i64,
}

impl PurchaseFile {
    fn of(project: &Project, line: &Purchase) -> Self {
        let offer = &project.stock.offers[line.offer];
        PurchaseFile {
            supplier: offer.supplier.map(|supplier| project.stock.supplier(supplier).name.clone()),
            order_code: offer.order_code.clone(),
            packs: line.packs,
            pack_size: offer.pack_size,
            pieces: line.pieces,
            pack_price: offer.pack_price,
            line_total: line.line_total,
            pieces_used: line.pieces_used,
            spare: line.spare,
        }
    }

    fn purchase(self, offer: usize) -> Purchase {
        let PurchaseFile { packs, pieces, line_total, pieces_used, spare, .. } = self;
        Purchase { offer, packs, pieces, line_total, pieces_used, spare }
    }
}

pub(super) fn purchase(project: &Project, line: &Purchase) -> Value {
    typed::followed(offer_named(project, line.offer), &PurchaseFile::of(project, line))
}

/// The fields that name an offer: its vessel and line.
pub(super) fn offer_named(project: &Project, offer: usize) -> Value {
    let offer = &project.stock.offers[offer];
    json!({VESSEL: project.stock.vessel(offer.vessel).id, LINE: offer.line})
}

/// A delivery, as it stands in the file after its supplier.
#[derive(Serialize, Deserialize)]
#[serde(remote = "Delivery", deny_unknown_fields)]
struct DeliveryFile {
    #[serde(skip, default = "no_supplier")]
    supplier: SupplierId,
    #[serde(with = "quantities::money")]
    goods: Money,
    #[serde(with = "quantities::money")]
    charge: Money,
}

/// In place of the supplier until the name is looked up.
fn no_supplier() -> SupplierId {
    SupplierId::at(0)
}

#[derive(Serialize, Deserialize)]
#[serde(transparent)]
struct DeliveryLine(#[serde(with = "DeliveryFile")] Delivery);

pub(super) fn delivery(project: &Project, line: &Delivery) -> Value {
    typed::followed(json!({SUPPLIER: project.stock.supplier(line.supplier).name}), &DeliveryLine(line.clone()))
}

const VESSEL: &str = "vessel";
const LINE: &str = "line";
const SUPPLIER: &str = "supplier";

impl PlanReading<'_> {
    /// A purchase: the offer is named by its vessel and line; what the stock list says of it must be so.
    pub(super) fn purchase(&self, line: &Object) -> Option<Purchase> {
        let offer = self.offer(line);
        let file = typed::rest::<PurchaseFile>(line, typed::value);
        let offer = offer?;
        let purchase = file?.purchase(offer);
        line.agrees(&typed::value(&PurchaseFile::of(self.project, &purchase)));
        Some(purchase)
    }

    /// The offer that the vessel and the line of an object name.
    pub(super) fn offer(&self, line: &Object) -> Option<usize> {
        let vessel = line.read(VESSEL, "a vessel of the stock list", |value| self.vessel(value));
        let at_line = line.read(LINE, "a line of the stock list", count::<usize>);
        let is_named = |(vessel, at_line)| move |offer: &Offer| offer.vessel == vessel && offer.line == at_line;
        let offers = &self.project.stock.offers;
        let found = vessel.zip(at_line).map(|named| offers.iter().position(is_named(named)));
        if found == Some(None) {
            line.wrong(LINE, "this line holds no offer of this vessel");
        }
        found.flatten()
    }

    pub(super) fn delivery(&self, line: &Object) -> Option<Delivery> {
        let suppliers = &self.project.stock.suppliers;
        let supplier = line.read(SUPPLIER, "a supplier of the project", |value| {
            let name = text(value)?;
            suppliers.iter().position(|supplier| supplier.name == name).map(SupplierId::at)
        });
        let read = typed::rest::<DeliveryLine>(line, typed::value);
        Some(Delivery { supplier: supplier?, ..read?.0 })
    }
}
