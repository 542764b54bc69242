//! What differs between two plans.

use itertools::Itertools;

use crate::comparison::orders::{OrderSums, OrderedItem};
use crate::comparison::{
    ChangeKind, Comparison, End, FluidChange, InputChange, LotChange, MoneyChange, OrderChange, OrderChangeKind,
};
use crate::report::table::{Cell, Column, Field};
use crate::units::{Millilitres, Money};
use crate::words;

/// A figure with its sign, for people: `+12.30`, `-4`, `0`.
fn signed(is_above: bool, text: String) -> String {
    if is_above { format!("+{text}") } else { text }
}

fn signed_money(amount: Money) -> String {
    if amount == Money::ZERO { "0".to_owned() } else { signed(amount > Money::ZERO, amount.on_screen()) }
}

fn signed_litres(volume: Millilitres) -> String {
    signed(volume > Millilitres::ZERO, volume.litres())
}

/// Which way an arrow between two values goes: `old → new`, or the one value that both have.
fn both(old: String, new: String) -> String {
    if old == new { old } else { format!("{old} → {new}") }
}

/// A line of money.
#[derive(Clone, Copy)]
pub struct MoneyRow<'a> {
    pub change: &'a MoneyChange,
}

type MoneyField<'a> = Field<'a, MoneyRow<'a>>;

impl<'a> MoneyRow<'a> {
    pub const LINE: MoneyField<'a> =
        Field::new(Column::text("line"), |row| words::comparison::money_line(row.change.line).into());
    pub const OLD: MoneyField<'a> = Field::new(Column::money("old"), |row| amount(row.change.old));
    pub const NEW: MoneyField<'a> = Field::new(Column::money("new"), |row| amount(row.change.new));
    pub const DIFFERENCE: MoneyField<'a> =
        Field::new(Column::figures("difference"), |row| row.change.difference().map(signed_money).into());
}

/// An amount; only a budget and what is left of it may be absent.
fn amount<'a>(amount: Option<Money>) -> Cell<'a> {
    amount.map_or("no limit".into(), Cell::from)
}

/// Lots of one kind.
#[derive(Clone, Copy)]
pub struct KindRow {
    pub kind: ChangeKind,
    pub lots: usize,
}

type KindField<'a> = Field<'a, KindRow>;

impl KindRow {
    pub const KIND: KindField<'static> =
        Field::new(Column::text("change"), |row| words::comparison::kind(row.kind).into());
    pub const LOTS: KindField<'static> = Field::new(Column::count("lots"), |row| row.lots.into());
}

/// An order line.
#[derive(Clone, Copy)]
pub struct OrderRow<'a> {
    pub change: &'a OrderChange<'a>,
}

type OrderField<'a> = Field<'a, OrderRow<'a>>;

impl<'a> OrderRow<'a> {
    pub const SUPPLIER: OrderField<'a> = Field::new(Column::text("supplier"), |row| match row.change.line.supplier {
        "" => "no supplier named".into(),
        supplier => supplier.into(),
    });
    /// The vessel; of an offer from several packs on, with their number.
    pub const WHAT: OrderField<'a> = Field::new(Column::text("vessel"), |row| match row.change.line.ordered {
        OrderedItem::Packs { vessel, min_packs, .. } if min_packs > 1 => {
            format!("{vessel} (from {min_packs} packs)").into()
        }
        OrderedItem::Packs { vessel, .. } => vessel.into(),
        OrderedItem::Delivery => "delivery".into(),
    });
    pub const CODE: OrderField<'a> = Field::new(Column::text("order code"), |row| match row.change.line.ordered {
        OrderedItem::Packs { order_code, .. } => order_code.into(),
        OrderedItem::Delivery => Cell::Blank,
    });
    pub const CHANGE: OrderField<'a> = Field::new(Column::text("change"), |row| row.change.kind.name().into());
    pub const PACKS: OrderField<'a> = Field::new(Column::figures("packs × pieces").on_one_line(), |row| {
        let OrderedItem::Packs { pack_size, .. } = row.change.line.ordered else { return Cell::Blank };
        let packs = |sums: Option<OrderSums>| sums.map_or(0, |sums| sums.packs).to_string();
        format!("{} × {pack_size}", both(packs(row.change.old), packs(row.change.new))).into()
    });
    pub const MONEY: OrderField<'a> =
        Field::new(Column::figures("difference"), |row| signed_money(row.change.money()).into());
}

/// A fluid and its use.
#[derive(Clone, Copy)]
pub struct FluidRow<'a> {
    pub change: &'a FluidChange<'a>,
}

type FluidChangeField<'a> = Field<'a, FluidRow<'a>>;

impl<'a> FluidRow<'a> {
    pub const FLUID: FluidChangeField<'a> = Field::new(Column::text("fluid"), |row| row.change.fluid.into());
    pub const USE: FluidChangeField<'a> = Field::new(Column::text("use"), |row| row.change.use_.name().into());
    pub const OLD: FluidChangeField<'a> = Field::new(Column::litres("litres_old"), |row| row.change.old.into());
    pub const NEW: FluidChangeField<'a> = Field::new(Column::litres("litres_new"), |row| row.change.new.into());
    pub const DIFFERENCE: FluidChangeField<'a> =
        Field::new(Column::figures("difference"), |row| signed_litres(row.change.difference()).into());
}

/// An entry of an input.
#[derive(Clone, Copy)]
pub struct InputRow<'a> {
    pub change: &'a InputChange<'a>,
}

type EntryField<'a> = Field<'a, InputRow<'a>>;

impl<'a> InputRow<'a> {
    pub const FILE: EntryField<'a> = Field::new(Column::text("input"), |row| row.change.file.file().into());
    pub const ENTRY: EntryField<'a> = Field::new(Column::text("entry"), |row| row.named().into());
    pub const OLD: EntryField<'a> =
        Field::new(Column::text("old"), |row| words::comparison::value(&row.change.old).into());
    pub const NEW: EntryField<'a> =
        Field::new(Column::text("new"), |row| words::comparison::value(&row.change.new).into());

    /// The entry and its column: `jar-250: pack_price`.
    fn named(self) -> String {
        [&self.change.entry, &self.change.column]
            .into_iter()
            .filter(|part| !part.is_empty())
            .map(|part| &**part)
            .collect::<Vec<_>>()
            .join(": ")
    }
}

/// A lot.
#[derive(Clone, Copy)]
pub struct LotRow<'a> {
    pub comparison: &'a Comparison<'a>,
    pub lot: &'a LotChange,
}

type LotField<'a> = Field<'a, LotRow<'a>>;

impl<'a> LotRow<'a> {
    pub const LOT: LotField<'a> = Field::new(Column::text("lot"), |row| row.key().into());
    /// Where it is in both plans, or in the one that has it.
    pub const PLACES: LotField<'a> = Field::new(Column::text("old → new"), |row| {
        let [old, new] = [End::Old, End::New].map(|end| row.place(end));
        let places = [old, new].into_iter().filter(|place| !place.is_empty());
        places.dedup().join(" → ").into()
    });
    pub const WHY: LotField<'a> =
        Field::new(Column::text("why"), |row| words::comparison::why(row.comparison, row.lot).into());

    /// Its key.
    pub fn key(self) -> String {
        words::comparison::key(self.comparison, self.lot)
    }

    pub fn place(self, end: End) -> String {
        words::comparison::place(self.comparison, self.lot, end)
    }
}

/// A line of the comparison as one file. The parts follow one another: money, kinds of change, order lines, fluid, inputs, lots.
#[derive(Clone, Copy)]
pub enum ComparedLine<'a> {
    Money(MoneyRow<'a>),
    Kind(KindRow),
    Order(OrderRow<'a>, OrderFigure),
    Fluid(FluidRow<'a>, FluidFigure),
    Input(InputRow<'a>),
    Lot(LotRow<'a>),
}

/// Which figure of an order line.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum OrderFigure {
    Packs,
    Pieces,
    Money,
}

/// Which figure of a fluid.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum FluidFigure {
    Litres,
    Money,
}

type ComparedField<'a> = Field<'a, ComparedLine<'a>>;

impl<'a> ComparedLine<'a> {
    const PART: ComparedField<'a> = Field::new(Column::text("part"), |line| match line {
        ComparedLine::Money(_) => "money".into(),
        ComparedLine::Kind(_) => "lots".into(),
        ComparedLine::Order(row, _) => match row.change.line.ordered {
            OrderedItem::Packs { .. } => "order".into(),
            OrderedItem::Delivery => "delivery".into(),
        },
        ComparedLine::Fluid(..) => "fluid".into(),
        ComparedLine::Input(_) => "input".into(),
        ComparedLine::Lot(_) => "lot".into(),
    });
    const CHANGE: ComparedField<'a> = Field::new(Column::text("change"), |line| match line {
        ComparedLine::Kind(row) => row.kind.name().into(),
        ComparedLine::Order(row, _) => row.change.kind.name().into(),
        ComparedLine::Lot(row) => row.lot.kind.name().into(),
        ComparedLine::Money(_) | ComparedLine::Fluid(..) | ComparedLine::Input(_) => Cell::Blank,
    });
    /// The supplier, or the input file.
    const OF: ComparedField<'a> = Field::new(Column::text("of"), |line| match line {
        ComparedLine::Order(row, _) => row.change.line.supplier.into(),
        ComparedLine::Fluid(row, _) => row.change.use_.name().into(),
        ComparedLine::Input(row) => row.change.file.file().into(),
        ComparedLine::Money(_) | ComparedLine::Kind(_) | ComparedLine::Lot(_) => Cell::Blank,
    });
    const ITEM: ComparedField<'a> = Field::new(Column::text("item"), |line| match line {
        ComparedLine::Money(row) => row.change.line.name().into(),
        ComparedLine::Kind(_) => Cell::Blank,
        ComparedLine::Order(row, _) => match row.change.line.ordered {
            OrderedItem::Packs { vessel, .. } => vessel.into(),
            OrderedItem::Delivery => "delivery".into(),
        },
        ComparedLine::Fluid(row, _) => row.change.fluid.into(),
        ComparedLine::Input(row) => (&*row.change.entry).into(),
        ComparedLine::Lot(row) => row.key().into(),
    });
    const CODE: ComparedField<'a> = Field::new(Column::text("order_code"), |line| match line {
        ComparedLine::Order(row, _) => (OrderRow::CODE.cell)(row),
        _ => Cell::Blank,
    });
    const FIGURE: ComparedField<'a> = Field::new(Column::text("figure"), |line| match line {
        ComparedLine::Money(_)
        | ComparedLine::Order(_, OrderFigure::Money)
        | ComparedLine::Fluid(_, FluidFigure::Money) => "money".into(),
        ComparedLine::Kind(_) => "lots".into(),
        ComparedLine::Order(_, OrderFigure::Packs) => "packs".into(),
        ComparedLine::Order(_, OrderFigure::Pieces) => "pieces".into(),
        ComparedLine::Fluid(_, FluidFigure::Litres) => "litres".into(),
        ComparedLine::Input(row) => (&*row.change.column).into(),
        ComparedLine::Lot(_) => "place".into(),
    });
    const OLD: ComparedField<'a> = Field::new(Column::figures("old"), |line| line.at(End::Old));
    const NEW: ComparedField<'a> = Field::new(Column::figures("new"), |line| line.at(End::New));
    const DIFFERENCE: ComparedField<'a> = Field::new(Column::figures("difference"), |line| line.difference());
    const REASON: ComparedField<'a> = Field::new(Column::text("reason"), |line| match line {
        ComparedLine::Lot(row) => (LotRow::WHY.cell)(row),
        _ => Cell::Blank,
    });

    /// Columns of the file.
    pub const FILE: [ComparedField<'a>; 10] = [
        Self::PART,
        Self::CHANGE,
        Self::OF,
        Self::ITEM,
        Self::CODE,
        Self::FIGURE,
        Self::OLD,
        Self::NEW,
        Self::DIFFERENCE,
        Self::REASON,
    ];

    fn at(self, end: End) -> Cell<'a> {
        fn of<T>(end: End, old: T, new: T) -> T {
            if end == End::Old { old } else { new }
        }
        match self {
            ComparedLine::Money(row) => of(end, row.change.old, row.change.new).into(),
            ComparedLine::Kind(_) => Cell::Blank,
            ComparedLine::Order(row, figure) => match of(end, row.change.old, row.change.new) {
                Some(sums) => order_figure(sums, figure),
                None => Cell::Blank,
            },
            ComparedLine::Fluid(row, FluidFigure::Litres) => of(end, row.change.old, row.change.new).litres().into(),
            ComparedLine::Fluid(row, FluidFigure::Money) => {
                let [old, new] = row.change.money;
                of(end, old, new).into()
            }
            ComparedLine::Input(row) => match end {
                End::Old => words::comparison::value(&row.change.old).into(),
                End::New => words::comparison::value(&row.change.new).into(),
            },
            ComparedLine::Lot(row) => row.place(end).into(),
        }
    }

    fn difference(self) -> Cell<'a> {
        match self {
            ComparedLine::Money(row) => row.change.difference().into(),
            ComparedLine::Kind(row) => row.lots.into(),
            ComparedLine::Order(row, figure) => {
                let [old, new] = [row.change.old, row.change.new].map(Option::unwrap_or_default);
                let change = OrderSums {
                    packs: new.packs - old.packs,
                    pieces: new.pieces - old.pieces,
                    money: new.money - old.money,
                };
                order_figure(change, figure)
            }
            ComparedLine::Fluid(row, FluidFigure::Litres) => row.change.difference().litres().into(),
            ComparedLine::Fluid(row, FluidFigure::Money) => {
                let [old, new] = row.change.money.map(Option::unwrap_or_default);
                (new - old).into()
            }
            ComparedLine::Input(_) | ComparedLine::Lot(_) => Cell::Blank,
        }
    }

    /// Every line of a comparison.
    pub fn all(comparison: &'a Comparison<'a>) -> impl Iterator<Item = ComparedLine<'a>> {
        let money = comparison.money.iter().map(|change| ComparedLine::Money(MoneyRow { change }));
        let kinds = kinds(comparison).into_iter().map(ComparedLine::Kind);
        let orders = comparison.orders.iter().flat_map(|change| {
            let figures: &[OrderFigure] = match change.line.ordered {
                OrderedItem::Packs { .. } => &[OrderFigure::Packs, OrderFigure::Pieces, OrderFigure::Money],
                OrderedItem::Delivery => &[OrderFigure::Money],
            };
            figures.iter().map(move |figure| ComparedLine::Order(OrderRow { change }, *figure))
        });
        let fluids = comparison.fluids.iter().flat_map(|change| {
            let has_price = change.money.iter().any(Option::is_some);
            let money = has_price.then_some(FluidFigure::Money);
            let figures = std::iter::once(FluidFigure::Litres).chain(money);
            figures.map(move |figure| ComparedLine::Fluid(FluidRow { change }, figure))
        });
        let inputs = comparison.inputs.iter().map(|change| ComparedLine::Input(InputRow { change }));
        let lots = comparison.lots.iter().map(move |lot| ComparedLine::Lot(LotRow { comparison, lot }));
        money.chain(kinds).chain(orders).chain(fluids).chain(inputs).chain(lots)
    }
}

fn order_figure<'a>(sums: OrderSums, figure: OrderFigure) -> Cell<'a> {
    match figure {
        OrderFigure::Packs => sums.packs.into(),
        OrderFigure::Pieces => sums.pieces.into(),
        OrderFigure::Money => sums.money.into(),
    }
}

/// Every kind with the number of its lots, zero included.
pub fn kinds(comparison: &Comparison) -> Vec<KindRow> {
    let count = |kind| comparison.lots_of(kind).count();
    ChangeKind::ALL.into_iter().map(|kind| KindRow { kind, lots: count(kind) }).collect()
}

/// The order lines that differ.
pub fn orders<'a>(comparison: &'a Comparison<'a>) -> impl Iterator<Item = OrderRow<'a>> {
    let differing = comparison.orders.iter().filter(|change| change.kind != OrderChangeKind::Same);
    differing.map(|change| OrderRow { change })
}

/// The fluids and uses that differ.
pub fn fluids<'a>(comparison: &'a Comparison<'a>) -> impl Iterator<Item = FluidRow<'a>> {
    comparison.fluids.iter().filter(|change| change.differs()).map(|change| FluidRow { change })
}

/// The inputs that differ.
pub fn inputs<'a>(comparison: &'a Comparison<'a>) -> impl Iterator<Item = InputRow<'a>> {
    comparison.inputs.iter().map(|change| InputRow { change })
}

/// The lots of a kind.
pub fn lots<'a>(comparison: &'a Comparison<'a>, kind: ChangeKind) -> impl Iterator<Item = LotRow<'a>> {
    comparison.lots_of(kind).map(move |lot| LotRow { comparison, lot })
}
