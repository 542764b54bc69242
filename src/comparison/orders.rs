//! Compares the orders of two plans. An order line is either the packs bought of one offer, or the delivery charge of one supplier.

use std::collections::BTreeMap;

use super::ProjectPlan;
use crate::units::Money;

/// What happens to an order line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum OrderChangeKind {
    /// Only the new plan has it.
    Added,
    /// Only the old plan has it.
    Dropped,
    /// More packs.
    More,
    /// Fewer packs.
    Fewer,
    /// As many packs, for another amount.
    OtherAmount,
    /// Nothing.
    Same,
}

impl OrderChangeKind {
    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            OrderChangeKind::Added => "added",
            OrderChangeKind::Dropped => "dropped",
            OrderChangeKind::More => "more",
            OrderChangeKind::Fewer => "fewer",
            OrderChangeKind::OtherAmount => "other amount",
            OrderChangeKind::Same => "same",
        }
    }
}

/// What identifies an order line in both plans. Lines of a supplier sort by vessel, the delivery last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct OrderLine<'a> {
    /// The supplier; empty if none is named.
    pub supplier: &'a str,
    /// What is ordered.
    pub ordered: OrderedItem<'a>,
}

/// What an order line is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum OrderedItem<'a> {
    /// Packs of a vessel.
    Packs {
        /// The vessel.
        vessel: &'a str,
        /// The supplier's code.
        order_code: &'a str,
        /// Pieces in a pack.
        pack_size: u32,
        /// Fewest packs of the offer.
        min_packs: u32,
        /// Which of several equal offers: they differ in price or limit alone.
        nth: usize,
    },
    /// Delivery.
    Delivery,
}

/// Packs, pieces and money of a line in one plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct OrderSums {
    /// Packs; 0 for a delivery.
    pub packs: i64,
    /// Pieces; 0 for a delivery.
    pub pieces: i64,
    /// What it costs.
    pub money: Money,
}

/// An order line in both plans.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OrderChange<'a> {
    /// Which line.
    pub line: OrderLine<'a>,
    /// What happens to it.
    pub kind: OrderChangeKind,
    /// In the old plan, if it is there.
    pub old: Option<OrderSums>,
    /// In the new plan, if it is there.
    pub new: Option<OrderSums>,
}

impl OrderChange<'_> {
    /// The new money less the old.
    pub fn money(&self) -> Money {
        self.new.unwrap_or_default().money - self.old.unwrap_or_default().money
    }

    /// The new pieces less the old.
    pub fn pieces(&self) -> i64 {
        self.new.unwrap_or_default().pieces - self.old.unwrap_or_default().pieces
    }
}

/// Every line of either plan.
pub(super) fn changes<'a>(old: ProjectPlan<'a>, new: ProjectPlan<'a>) -> Vec<OrderChange<'a>> {
    let [before, now] = [old, new].map(lines);
    let mut both: BTreeMap<OrderLine, [Option<OrderSums>; 2]> = BTreeMap::new();
    for (at, lines) in [before, now].into_iter().enumerate() {
        for (line, sums) in lines {
            both.entry(line).or_default()[at] = Some(sums);
        }
    }
    let change = |(line, [old, new]): (OrderLine<'a>, [Option<OrderSums>; 2])| {
        let kind = match (old, new) {
            (None, _) => OrderChangeKind::Added,
            (_, None) => OrderChangeKind::Dropped,
            (Some(old), Some(new)) if new.packs > old.packs => OrderChangeKind::More,
            (Some(old), Some(new)) if new.packs < old.packs => OrderChangeKind::Fewer,
            (Some(old), Some(new)) if new.money != old.money => OrderChangeKind::OtherAmount,
            _ => OrderChangeKind::Same,
        };
        OrderChange { line, kind, old, new }
    };
    both.into_iter().map(change).collect()
}

/// The lines of one plan.
fn lines(side: ProjectPlan) -> BTreeMap<OrderLine, OrderSums> {
    let stock = &side.project.stock;
    let mut lines = BTreeMap::new();
    for purchase in &side.plan.purchases {
        let offer = &stock.offers[purchase.offer];
        let vessel = stock.vessel(offer.vessel).id.as_str();
        let line = |nth| OrderLine {
            supplier: offer.supplier.map_or("", |id| &stock.supplier(id).name),
            ordered: OrderedItem::Packs {
                vessel,
                order_code: &offer.order_code,
                pack_size: offer.pack_size,
                min_packs: offer.min_packs,
                nth,
            },
        };
        let sums = OrderSums { packs: purchase.packs, pieces: purchase.pieces, money: purchase.line_total };
        let free = (0..).find(|nth| !lines.contains_key(&line(*nth))).unwrap_or(0);
        lines.insert(line(free), sums);
    }
    for delivery in &side.plan.deliveries {
        let line = OrderLine { supplier: &stock.supplier(delivery.supplier).name, ordered: OrderedItem::Delivery };
        lines.insert(line, OrderSums { packs: 0, pieces: 0, money: delivery.charge });
    }
    lines
}
