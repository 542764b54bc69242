//! Reads the offer of one row of the stock list: whole packs, at a price, from a supplier.

use super::cells::CellFault;
use super::columns::VesselColumn as Column;
use super::suppliers::SupplierNames;
use super::table::TableRow;
use crate::diagnostics::Code;
use crate::stock::{Offer, SupplierId, VesselId};
use crate::units::Money;

/// The offer of a row; `None` if it has no price or cannot be ordered.
pub(super) fn offer(row: &mut TableRow<Column>, suppliers: &mut SupplierNames) -> Option<Offer> {
    let unit_price = row.money(Column::UnitPrice);
    let stated_pack_price = row.money(Column::PackPrice);
    let pack_size = row.whole(Column::PackSize).unwrap_or(1);
    let min_packs = row.whole(Column::MinPacks).unwrap_or(1);
    let order_limit = row.whole(Column::OrderLimit);
    let supplier = supplier(row, suppliers);
    let computed = match unit_price {
        Some(price) => Some(times(price, pack_size).or_else(|| {
            let says = format!("{pack_size} pieces at this price exceed the largest amount allowed");
            row.fault(Column::UnitPrice, CellFault::new(Code::TooLarge, says, "check the price and pack_size"));
            None
        })?),
        None => None,
    };
    if let (Some(computed), Some(stated)) = (computed, stated_pack_price)
        && computed != stated
    {
        let says = format!("{pack_size} × unit_price is {}", computed.text());
        row.fault(
            Column::PackPrice,
            CellFault::new(Code::ContradictoryPrice, says, "give either unit_price or pack_price, or make them agree"),
        );
    }
    let pack_price = stated_pack_price.or(computed)?;
    match order_limit {
        Some(0) => return None,
        Some(limit) if u64::from(limit) < u64::from(pack_size) * u64::from(min_packs) => {
            let least = u64::from(pack_size) * u64::from(min_packs);
            let message =
                row.says(Column::OrderLimit, &format!("the smallest order is {least} pieces, so none can be placed"));
            row.warning(
                Column::OrderLimit,
                Code::OrderLimitBelowPack,
                message,
                "raise the limit, or write 0 if it cannot be ordered",
            );
            return None;
        }
        _ => {}
    }
    Some(Offer {
        vessel: VesselId(0),
        line: row.line,
        supplier,
        order_code: row.text(Column::OrderCode).to_owned(),
        pack_size,
        pack_price,
        min_packs,
        order_limit,
    })
}

/// Price of this many pieces; `None` above a thousand million.
fn times(price: Money, pieces: u32) -> Option<Money> {
    let product = price.parts().checked_mul(i64::from(pieces)).map(Money::from_parts)?;
    (product <= Money::whole(1_000_000_000)).then_some(product)
}

fn supplier(row: &mut TableRow<Column>, suppliers: &mut SupplierNames) -> Option<SupplierId> {
    let name = row.stated(Column::Supplier)?;
    suppliers.find(name).map_err(|fault| row.fault(Column::Supplier, fault)).ok()
}
