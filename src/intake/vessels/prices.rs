//! Which vessels have no price while others have one.

use std::collections::BTreeMap;

use crate::diagnostics::{Code, Diagnostic};
use crate::intake::columns::VesselColumn as Column;
use crate::intake::findings::Findings;
use crate::intake::table::{At, InputTable, TableRow};

/// Which kinds of vessel have a price. A blank one among others may be a cell that was forgotten where the vessel is of no
/// use without it (there is no piece of it) or somebody sells it: such a vessel is never ordered, and nothing in the plan
/// would show why. Empties on the shelf that nobody sells need none.
#[derive(Default)]
pub(super) struct Prices {
    kinds: BTreeMap<String, Priced>,
}

/// What the rows of a kind say of its price.
struct Priced {
    /// Where it stands, or where it would.
    at: At,
    /// No row has a price, or says that it is not for sale.
    blank: bool,
    /// Some row has pieces.
    pieces: bool,
    /// Some row names who sells it.
    sold: bool,
}

impl Prices {
    /// Takes what a row says.
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

    /// Reports the vessels whose price is missing, once for all of them.
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
        findings.report(warning.help("write the price, or 0 under order_limit where it cannot be bought"));
    }
}
