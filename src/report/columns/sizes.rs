//! What vessels are worth to the plan.

use itertools::Itertools;

use super::instead::signed;
use crate::decision::Status;
use crate::inquiry::PlanValue;
use crate::inquiry::break_even::{BoughtUpTo, BreakEven};
use crate::inquiry::catalogue::{CatalogueRow, CatalogueWorth};
use crate::inquiry::kept::{KeptKind, KeptKinds};
use crate::inquiry::listed::ListedVessel;
use crate::project::Project;
use crate::report::table::{Column, Field};
use crate::stock::{Offer, Vessel};
use crate::units::{Money, index};

/// A listed vessel, and one of its offers where it has any.
#[derive(Clone, Copy)]
pub struct ListedLine<'a> {
    pub project: &'a Project,
    pub now: &'a PlanValue,
    pub listed: &'a ListedVessel,
    pub offer: Option<&'a BreakEven>,
}

type ListedField<'a> = Field<'a, ListedLine<'a>>;

/// Keys that a file names in a cell.
const MOST_KEYS: usize = 10;

impl<'a> ListedLine<'a> {
    pub const VESSEL: ListedField<'a> = Field::new(Column::text("vessel"), |line| line.vessel().id.as_str().into());
    pub const LOTS: ListedField<'a> = Field::new(Column::whole("lots"), |line| line.listed.lots.len().into());
    pub const KEYS: ListedField<'a> =
        Field::new(Column::text("lot_keys"), |line| keys(line.project, &line.listed.lots).into());
    pub const USED: ListedField<'a> = Field::new(Column::whole("pieces_used"), |line| line.listed.used.0.into());
    pub const FREE: ListedField<'a> =
        Field::new(Column::whole("free_pieces"), |line| line.vessel().free_pieces().into());
    pub const WITHOUT: [ListedField<'a>; 6] = [
        Field::new(Column::money("without_money_more"), |line| line.without().0.into()),
        Field::new(Column::money("without_weighed_more"), |line| line.without().1.into()),
        Field::new(Column::whole("without_no_place_more_1"), |line| line.without().2[0].into()),
        Field::new(Column::whole("without_no_place_more_2"), |line| line.without().2[1].into()),
        Field::new(Column::whole("without_no_place_more_3"), |line| line.without().2[2].into()),
        Field::new(Column::whole("without_no_place_more_4"), |line| line.without().2[3].into()),
    ];
    pub const PIECE: [ListedField<'a>; 6] = [
        Field::new(Column::money("free_piece_money_more"), |line| line.one_more().map(|more| more.0).into()),
        Field::new(Column::money("free_piece_weighed_more"), |line| line.one_more().map(|more| more.1).into()),
        Field::new(Column::whole("free_piece_no_place_more_1"), |line| line.one_more().map(|more| more.2[0]).into()),
        Field::new(Column::whole("free_piece_no_place_more_2"), |line| line.one_more().map(|more| more.2[1]).into()),
        Field::new(Column::whole("free_piece_no_place_more_3"), |line| line.one_more().map(|more| more.2[2]).into()),
        Field::new(Column::whole("free_piece_no_place_more_4"), |line| line.one_more().map(|more| more.2[3]).into()),
    ];
    pub const SUPPLIER: ListedField<'a> = Field::new(Column::text("supplier"), |line| {
        let stock = &line.project.stock;
        line.terms().and_then(|offer| Some(stock.supplier(offer.supplier?).name.as_str())).into()
    });
    pub const ORDER_CODE: ListedField<'a> =
        Field::new(Column::text("order_code"), |line| line.terms().map(|offer| offer.order_code.as_str()).into());
    pub const PACK_SIZE: ListedField<'a> =
        Field::new(Column::whole("pack_size"), |line| line.terms().map(|offer| offer.pack_size).into());
    pub const PACK_PRICE: ListedField<'a> =
        Field::new(Column::price("pack_price"), |line| line.terms().map(|offer| offer.pack_price).into());
    pub const PACKS: ListedField<'a> =
        Field::new(Column::whole("packs"), |line| line.offer.map(|offer| offer.packs.0).into());
    pub const UP_TO: ListedField<'a> =
        Field::new(Column::text("bought_up_to"), |line| line.offer.map(bought_up_to).into());
    pub const FROM: ListedField<'a> =
        Field::new(Column::price("bought_from_pack_price"), |line| line.offer.and_then(BreakEven::bought_from).into());
    pub const BREAK_EVEN: ListedField<'a> =
        Field::new(Column::price("break_even_pack_price"), |line| line.offer.and_then(break_even).into());
    pub const STATUS: ListedField<'a> = Field::new(Column::text("status"), |line| line.status().name().into());

    /// Columns of the file.
    pub const FILE: [ListedField<'a>; 26] = [
        Self::VESSEL,
        Self::LOTS,
        Self::KEYS,
        Self::USED,
        Self::FREE,
        Self::WITHOUT[0],
        Self::WITHOUT[1],
        Self::WITHOUT[2],
        Self::WITHOUT[3],
        Self::WITHOUT[4],
        Self::WITHOUT[5],
        Self::PIECE[0],
        Self::PIECE[1],
        Self::PIECE[2],
        Self::PIECE[3],
        Self::PIECE[4],
        Self::PIECE[5],
        Self::SUPPLIER,
        Self::ORDER_CODE,
        Self::PACK_SIZE,
        Self::PACK_PRICE,
        Self::PACKS,
        Self::UP_TO,
        Self::FROM,
        Self::BREAK_EVEN,
        Self::STATUS,
    ];

    /// What the plan without it costs more, and which lots have no place then.
    pub const COST_WITHOUT: ListedField<'a> =
        Field::new(Column::text("without it"), |line| difference(line.now, &line.listed.without).into());
    /// The same with one more piece.
    pub const COST_WITH_PIECE: ListedField<'a> = Field::new(Column::text("a free piece more"), |line| {
        line.listed.one_more.as_ref().map(|plan| difference(line.now, plan)).into()
    });
    /// Up to which price a pack is bought.
    pub const BOUGHT: ListedField<'a> = Field::new(Column::figures("bought up to"), |line| line.offer.map(told).into());
    /// Whether all plans are proved best.
    pub const PROVED: ListedField<'a> = Field::new(Column::text("proved"), |line| {
        if line.status() == Status::ProvedBest { "yes" } else { "no" }.into()
    });

    fn vessel(self) -> &'a Vessel {
        self.project.stock.vessel(self.listed.vessel)
    }

    fn terms(self) -> Option<&'a Offer> {
        self.offer.map(|offer| &self.project.stock.offers[offer.offer])
    }

    fn without(self) -> (Money, Money, [i64; 4]) {
        more(self.now, &self.listed.without)
    }

    fn one_more(self) -> Option<(Money, Money, [i64; 4])> {
        self.listed.one_more.as_ref().map(|plan| more(self.now, plan))
    }

    /// The status of the plan that is known worst.
    fn status(self) -> Status {
        let offers = self.offer.iter().flat_map(|offer| [offer.without.status, offer.above.status]);
        let piece = self.listed.one_more.as_ref().map(|plan| plan.status);
        worst([self.now.status, self.listed.without.status].into_iter().chain(piece).chain(offers))
    }
}

/// A row of a supplier's list.
#[derive(Clone, Copy)]
pub struct OfferedLine<'a> {
    pub project: &'a Project,
    pub worth: &'a CatalogueWorth,
    pub row: &'a CatalogueRow,
}

type OfferedField<'a> = Field<'a, OfferedLine<'a>>;

impl<'a> OfferedLine<'a> {
    pub const ROW: OfferedField<'a> = Field::new(Column::whole("row"), |line| line.terms().line.into());
    pub const VESSEL: OfferedField<'a> =
        Field::new(Column::text("vessel"), |line| line.project.stock.vessel(line.terms().vessel).id.as_str().into());
    pub const LOTS: OfferedField<'a> = Field::new(Column::whole("lots"), |line| line.row.lots.len().into());
    pub const KEYS: OfferedField<'a> =
        Field::new(Column::text("lot_keys"), |line| keys(line.project, &line.row.lots).into());
    pub const SUPPLIER: OfferedField<'a> = Field::new(Column::text("supplier"), |line| {
        let stock = &line.project.stock;
        line.terms().supplier.map(|supplier| stock.supplier(supplier).name.as_str()).into()
    });
    pub const ORDER_CODE: OfferedField<'a> =
        Field::new(Column::text("order_code"), |line| line.terms().order_code.as_str().into());
    pub const PACK_SIZE: OfferedField<'a> =
        Field::new(Column::whole("pack_size"), |line| line.terms().pack_size.into());
    pub const PACK_PRICE: OfferedField<'a> =
        Field::new(Column::price("pack_price"), |line| line.terms().pack_price.into());
    pub const PACKS: OfferedField<'a> = Field::new(Column::whole("packs"), |line| line.row.threshold.packs.0.into());
    pub const UP_TO: OfferedField<'a> =
        Field::new(Column::text("bought_up_to"), |line| bought_up_to(&line.row.threshold).into());
    pub const FROM: OfferedField<'a> =
        Field::new(Column::price("bought_from_pack_price"), |line| line.row.threshold.bought_from().into());
    pub const BREAK_EVEN: OfferedField<'a> =
        Field::new(Column::price("break_even_pack_price"), |line| break_even(&line.row.threshold).into());
    pub const STATUS: OfferedField<'a> = Field::new(Column::text("status"), |line| line.status().name().into());

    /// Columns of the file.
    pub const FILE: [OfferedField<'a>; 13] = [
        Self::ROW,
        Self::VESSEL,
        Self::LOTS,
        Self::KEYS,
        Self::SUPPLIER,
        Self::ORDER_CODE,
        Self::PACK_SIZE,
        Self::PACK_PRICE,
        Self::PACKS,
        Self::UP_TO,
        Self::FROM,
        Self::BREAK_EVEN,
        Self::STATUS,
    ];

    /// Up to which price a pack is bought.
    pub const BOUGHT: OfferedField<'a> =
        Field::new(Column::figures("bought up to"), |line| told(&line.row.threshold).into());
    /// Whether all plans are proved best.
    pub const PROVED: OfferedField<'a> = Field::new(Column::text("proved"), |line| {
        if line.status() == Status::ProvedBest { "yes" } else { "no" }.into()
    });

    fn terms(self) -> &'a Offer {
        &self.project.stock.offers[self.row.threshold.offer]
    }

    fn status(self) -> Status {
        let BreakEven { without, above, .. } = &self.row.threshold;
        worst([self.worth.plan.status, without.status, above.status])
    }
}

/// A kind of vessel to keep.
#[derive(Clone, Copy)]
pub struct KeptLine<'a> {
    pub project: &'a Project,
    pub kept: &'a KeptKinds,
    pub kind: &'a KeptKind,
}

type KeptField<'a> = Field<'a, KeptLine<'a>>;

impl<'a> KeptLine<'a> {
    pub const VESSEL: KeptField<'a> =
        Field::new(Column::text("vessel"), |line| line.project.stock.vessel(line.kind.vessel).id.as_str().into());
    pub const LOTS: KeptField<'a> = Field::new(Column::whole("lots"), |line| line.kind.lots.len().into());
    pub const KEYS: KeptField<'a> =
        Field::new(Column::text("lot_keys"), |line| keys(line.project, &line.kind.lots).into());
    pub const USED: KeptField<'a> = Field::new(Column::whole("pieces_used"), |line| line.kind.used.0.into());
    pub const FROM_SHELF: KeptField<'a> = Field::new(Column::whole("from_shelf"), |line| line.kind.from_shelf.0.into());
    pub const BOUGHT: KeptField<'a> = Field::new(Column::whole("pieces_bought"), |line| line.kind.bought.0.into());
    pub const STATUS: KeptField<'a> = Field::new(Column::text("status"), |line| line.kept.plan.status.name().into());

    /// Columns of the file.
    pub const FILE: [KeptField<'a>; 7] =
        [Self::VESSEL, Self::LOTS, Self::KEYS, Self::USED, Self::FROM_SHELF, Self::BOUGHT, Self::STATUS];

    /// Catalogue numbers of a few lots, for a screen.
    pub const FEW_KEYS: KeptField<'a> = Field::new(Column::text("among them"), |line| {
        let number = |row: &u32| line.project.collection.specimens[index(*row)].key.catalog_number.as_str();
        line.kind.lots.iter().take(SHOWN_LOTS).map(number).join(", ").into()
    });
}

/// Lots that a cell of a screen names.
const SHOWN_LOTS: usize = 3;

/// The status that is known worst.
pub(super) fn worst(all: impl IntoIterator<Item = Status>) -> Status {
    let place = |status: &Status| Status::ALL.iter().position(|other| other == status);
    all.into_iter().max_by_key(place).unwrap_or_default()
}

/// The price up to which an offer is bought, where there is one.
pub(super) fn break_even(threshold: &BreakEven) -> Option<Money> {
    match threshold.bought {
        BoughtUpTo::Price(price) => Some(price),
        BoughtUpTo::NoPrice | BoughtUpTo::AnyPrice => None,
    }
}

/// The same for a screen.
pub(super) fn told(threshold: &BreakEven) -> String {
    let end = break_even(threshold).map_or_else(|| bought_up_to(threshold).to_owned(), Money::text);
    match threshold.bought_from() {
        Some(from) => format!("{} to {end}", from.text()),
        None => end,
    }
}

pub(super) fn bought_up_to(threshold: &BreakEven) -> &'static str {
    match (threshold.bought, threshold.from) {
        (BoughtUpTo::NoPrice, None) => "no price",
        (BoughtUpTo::NoPrice, Some(_)) => "not found",
        (BoughtUpTo::Price(_), _) => "price",
        (BoughtUpTo::AnyPrice, _) => "any price",
    }
}

/// What a plan costs more than the plan as it is, the same with the weight of litres, and lots without a place beyond those.
pub(super) fn more(now: &PlanValue, other: &PlanValue) -> (Money, Money, [i64; 4]) {
    (
        other.values.money - now.values.money,
        other.values.weighed - now.values.weighed,
        std::array::from_fn(|at| other.without_place[at] - now.without_place[at]),
    )
}

/// The same in words.
pub(super) fn difference(now: &PlanValue, other: &PlanValue) -> String {
    let (money, _, lots) = more(now, other);
    let wait: i64 = lots.iter().filter(|lots| **lots > 0).sum();
    let placed: i64 = lots.iter().filter(|lots| **lots < 0).map(|lots| -lots).sum();
    let placed = (placed > 0).then(|| format!("{placed} placed"));
    let wait = (wait > 0).then(|| if wait == 1 { "1 waits".to_owned() } else { format!("{wait} wait") });
    placed.into_iter().chain(wait).chain([signed(money)]).join(", ")
}

/// Keys of lots, and how many more there are.
pub(super) fn keys(project: &Project, rows: &[u32]) -> String {
    let key = |row: &u32| project.collection.specimens[index(*row)].key.to_string();
    let more = rows.len().saturating_sub(MOST_KEYS);
    let more = (more > 0).then(|| format!("{more} more"));
    rows.iter().take(MOST_KEYS).map(key).chain(more).join("|")
}
