//! Finds vessels without a price in a list where others have one.

use std::collections::BTreeMap;

use crate::diagnostics::{Code, Diagnostic};
use crate::intake::columns::VesselColumn as Column;
use crate::intake::findings::Findings;
use crate::intake::table::{At, InputTable, TableRow};

/// Collects which vessels have a price. If some have one, a blank price may have been forgotten where somebody sells the vessel
/// or where there is no piece of it. Such a vessel is never ordered, and nothing in the plan would show why. Vessels on hand that
/// nobody sells need no price.
#[derive(Default)]
pub(super) struct Prices {
    kinds: BTreeMap<String, Priced>,
}

/// The price columns of one vessel's rows.
struct Priced {
    /// Where the price is, or would be.
    at: At,
    /// Whether no row has a price or an order limit of 0.
    blank: bool,
    /// Whether some row has pieces on hand or on order.
    pieces: bool,
    /// Whether some row names a supplier or an order code.
    sold: bool,
}

impl Prices {
    /// Adds a row.
    pub fn add(&mut self, row: &TableRow<Column>, name: &str) {
        let column = if row.has(Column::UnitPrice) { Column::UnitPrice } else { Column::PackPrice };
        let priced = row.stated(Column::UnitPrice).or(row.stated(Column::PackPrice)).is_some();
        let not_for_sale = row.stated(Column::OrderLimit) == Some("0");
        let none = Priced { at: row.at(column), blank: true, pieces: false, sold: false };
        let kind = self.kinds.entry(name.to_owned()).or_insert(none);
        kind.blank &= !priced && !not_for_sale;
        kind.pieces |= [Column::OnHand, Column::OnOrder]
            .iter()
            .any(|column| row.stated(*column).is_some_and(|pieces| pieces != "0"));
        kind.sold |= [Column::Supplier, Column::OrderCode].iter().any(|column| row.stated(*column).is_some());
    }

    /// Reports all vessels with a missing price in one warning.
    pub fn end(self, table: &InputTable<Column>, findings: &mut Findings) {
        if self.kinds.values().all(|kind| kind.blank) {
            return;
        }
        let forgotten = |kind: &Priced| kind.blank && (kind.sold || !kind.pieces);
        let blank: Vec<(&str, At)> = self
            .kinds
            .iter()
            .filter(|(_, kind)| forgotten(kind))
            .map(|(name, kind)| (name.as_str(), kind.at))
            .collect();
        let Some(first) = blank.iter().map(|(_, at)| *at).min_by_key(|at| at.line) else { return };
        const MOST: usize = 12;
        let names = blank.iter().take(MOST).map(|(name, _)| *name).collect::<Vec<_>>().join(", ");
        let more = match blank.len().saturating_sub(MOST) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        let kinds = if blank.len() == 1 { "1 vessel has" } else { &format!("{} vessels have", blank.len()) };
        let message = format!("{kinds} no price and will not be ordered, while others have one: {names}{more}");
        let warning = Diagnostic::warning(Code::BlankPrice, table.place(first), message);
        findings.report(warning.cure("write the price, or 0 under order_limit where it cannot be bought"));
    }
}
