//! Columns about fluid: made up, bought, spent, and flammable fluid by place.

use crate::fluid::flash;
use crate::plan::{Flammable, FluidOrder, MadeFrom, MakeUp, Plan, Spent};
use crate::project::Project;
use crate::report::fluids::{containers, recipe, salts};
use crate::report::table::{Cell, Column, Field, Kind, Unit};
use crate::rules::Fluid;
use crate::units::{Millilitres, Money};

/// A fluid that is made up.
#[derive(Clone, Copy)]
pub struct ToMake<'a> {
    pub project: &'a Project,
    pub made: &'a MakeUp,
    pub fluid: &'a Fluid,
}

/// A fluid or concentrate that is bought.
#[derive(Clone, Copy)]
pub struct ToBuy<'a> {
    pub order: &'a FluidOrder,
}

/// A kind of fluid that is to be disposed of.
#[derive(Clone, Copy)]
pub struct ToDispose<'a> {
    pub project: &'a Project,
    pub spent: &'a Spent,
}

type OfMade<'a> = Field<'a, ToMake<'a>>;
type OfBought<'a> = Field<'a, ToBuy<'a>>;
type OfSpent<'a> = Field<'a, ToDispose<'a>>;

impl<'a> ToMake<'a> {
    pub fn all(project: &'a Project, plan: &'a Plan) -> impl Iterator<Item = Self> {
        plan.make_up.iter().map(|made| ToMake { project, made, fluid: project.rules.fluid(made.fluid) })
    }

    /// True if lots in the totals need the fluid. False if only tanks without a price need it; these are listed apart.
    pub fn is_needed(&self) -> bool {
        self.made.needed() != Millilitres::ZERO || self.made.rows > 0
    }

    pub const FLUID: OfMade<'a> = Field::new(Column::text("fluid").wide(20.0), |row| (&row.fluid.id).into());
    pub const NAME: OfMade<'a> = Field::new(Column::text("fluid"), |row| (&row.fluid.name).into());
    pub const ROWS: OfMade<'a> = Field::new(Column::whole("rows"), |row| row.made.rows.into());
    pub const IN_VESSELS: OfMade<'a> = Field::new(Column::litres("litres_in_vessels"), |row| row.made.amount.into());
    pub const IN_BATHS: OfMade<'a> = Field::new(Column::litres("litres_in_baths"), |row| row.made.baths.into());
    pub const KEPT: OfMade<'a> = Field::new(Column::litres("litres_kept"), |row| row.made.reused.into());
    pub const FROM_STOCK: OfMade<'a> =
        Field::new(Column::litres("litres_from_stock"), |row| row.made.from_stock.into());
    pub const TO_MAKE: OfMade<'a> = Field::new(Column::litres("litres"), |row| row.made.to_make.into());
    pub const MADE_FROM: OfMade<'a> =
        Field::new(Column::text("made_from").wide(18.0), |row| row.from().map(|from| &from.concentrate).into());
    pub const CONCENTRATE: OfMade<'a> =
        Field::new(Column::litres("concentrate_l"), |row| row.from().map(|from| from.amount).into());
    pub const WATER: OfMade<'a> =
        Field::new(Column::litres("water_l"), |row| row.from().and_then(|from| from.water).into());
    pub const SALTS: OfMade<'a> = Field::new(Column::text("salts_g").wide(18.0), |row| row.from().map(salts).into());
    pub const PRICE: OfMade<'a> =
        Field::new(Column::price("price_per_litre"), |row| row.project.fluid_price(row.made.fluid).into());
    pub const COST: OfMade<'a> = Field::new(Column::money("cost"), |row| row.made.cost.into());
    pub const FLASH: OfMade<'a> =
        Field::new(Column::decimal("flash_c", 1, Unit::Celsius), |row| row.fluid.flash_c.into());
    pub const HAZARD_CATEGORY: OfMade<'a> =
        Field::new(Column::whole("hazard_category"), |row| row.fluid.flash_c.and_then(flash::category).into());
    pub const OUTSIDE: OfMade<'a> = Field::new(Column::litres("litres_outside"), |row| row.made.amount_outside.into());
    pub const HAZARD: OfMade<'a> = Field::new(Column::text("hazard").wide(60.0), |row| (&row.fluid.hazard).into());
    pub const RECIPE: OfMade<'a> = Field::new(Column::text("from"), |row| recipe(row.made).into());
    /// Class by flash point: `GHS 2, US IB`.
    pub const CLASS: OfMade<'a> = Field::new(Column::text("class"), |row| {
        let category = |flash| flash::category(flash).map_or("-".to_owned(), |category| category.to_string());
        row.fluid.flash_c.map(|flash| format!("GHS {}, US {}", category(flash), flash::us_class(flash))).into()
    });
    /// Price per litre, marked if it is a default.
    pub const PRICE_MARKED: OfMade<'a> = Field::new(Column::price("price_per_litre"), |row| {
        let price = row.project.fluid_price(row.made.fluid);
        if row.fluid.price_is_default { format!("{} (default)", price.text()).into() } else { price.into() }
    });

    pub const IN_BATHS_IF_ANY: OfMade<'a> = Field::new(Self::IN_BATHS.column, |row| if_any(row.made.baths));
    pub const KEPT_IF_ANY: OfMade<'a> = Field::new(Self::KEPT.column, |row| if_any(row.made.reused));
    pub const FROM_STOCK_IF_ANY: OfMade<'a> = Field::new(Self::FROM_STOCK.column, |row| if_any(row.made.from_stock));

    fn from(self) -> Option<&'a MadeFrom> {
        self.made.made_from.as_ref()
    }
}

/// An amount, or a blank cell if it is zero.
fn if_any<'a>(amount: Millilitres) -> Cell<'a> {
    if amount == Millilitres::ZERO { Cell::Blank } else { amount.into() }
}

impl<'a> ToBuy<'a> {
    pub fn all(plan: &'a Plan) -> impl Iterator<Item = Self> {
        plan.fluid_orders.iter().map(|order| ToBuy { order })
    }

    pub const FLUID: OfBought<'a> = Field::new(Column::text("fluid").wide(20.0), |row| (&row.order.fluid).into());
    pub const NEEDED: OfBought<'a> = Field::new(Column::litres("litres_needed"), |row| row.order.needed.into());
    pub const FROM_STOCK: OfBought<'a> =
        Field::new(Column::litres("litres_from_stock"), |row| row.order.from_stock.into());
    pub const TO_BUY: OfBought<'a> =
        Field::new(Column::litres("litres"), |row| (row.order.needed - row.order.from_stock).into());
    pub const CONTAINERS: OfBought<'a> =
        Field::new(Column::text("containers").wide(28.0), |row| containers(row.order).into());
    /// The containers, or words for the case that their sizes are not stated.
    pub const CONTAINERS_OR_NOT_STATED: OfBought<'a> =
        Field::new(Column::text("containers"), |row| row.containers_or("sizes not stated").into());
    pub const CONTAINERS_ON_PAPER: OfBought<'a> =
        Field::new(Column::text("containers"), |row| row.containers_or("container sizes not stated").into());
    pub const COST: OfBought<'a> = Field::new(Column::money("cost"), |row| row.order.cost.into());
    /// Its cost by the litre, as the plan counts it.
    pub const COUNTED: OfBought<'a> = Field::new(Column::money("counted by the litre"), |row| row.order.counted.into());

    fn containers_or(self, not_known: &'static str) -> String {
        if self.order.cost.is_some() { containers(self.order) } else { not_known.to_owned() }
    }
}

impl<'a> ToDispose<'a> {
    pub fn all(project: &'a Project, plan: &'a Plan) -> impl Iterator<Item = Self> {
        plan.spent.iter().map(move |spent| ToDispose { project, spent })
    }

    pub const KIND: OfSpent<'a> = Field::new(Column::text("kind").wide(20.0), |row| row.spent.family.name().into());
    pub const LITRES: OfSpent<'a> = Field::new(Column::litres("litres"), |row| row.spent.amount.into());
    pub const PRICE: OfSpent<'a> = Field::new(Column::price("price_per_litre"), |row| row.price().into());
    pub const PRICE_STATED: OfSpent<'a> = Field::new(Column::price("price_per_litre"), |row| match row.price() {
        Some(price) => price.into(),
        None => "not stated".into(),
    });
    pub const COST: OfSpent<'a> = Field::new(Column::money("cost"), |row| row.spent.cost.into());

    fn price(self) -> Option<Money> {
        self.project.settings.disposal_price.get(self.spent.family.name()).copied()
    }
}

/// A line of `make-up.csv`: first the fluids made up, then those bought, then those spent.
#[derive(Clone, Copy)]
pub enum Line<'a> {
    Make(ToMake<'a>),
    Buy(ToBuy<'a>),
    Spent(ToDispose<'a>),
}

type OfLine<'a> = Field<'a, Line<'a>>;

/// A column of the file: the column it shows of a fluid made up and, if given, of one bought and one spent.
macro_rules! line {
    ($made:ident $(, bought $bought:ident)? $(, spent $spent:ident)?) => {
        Field::new(ToMake::$made.column, |line| match line {
            Line::Make(made) => (ToMake::$made.cell)(made),
            $(Line::Buy(order) => (ToBuy::$bought.cell)(order),)?
            $(Line::Spent(spent) => (ToDispose::$spent.cell)(spent),)?
            #[allow(unreachable_patterns)]
            _ => Cell::Blank,
        })
    };
}

impl<'a> Line<'a> {
    pub fn all(project: &'a Project, plan: &'a Plan) -> impl Iterator<Item = Self> {
        let made = ToMake::all(project, plan).map(Line::Make);
        let bought = ToBuy::all(plan).map(Line::Buy);
        made.chain(bought).chain(ToDispose::all(project, plan).map(Line::Spent))
    }

    const LINE: OfLine<'a> = Field::new(Column::text("line"), |line| match line {
        Line::Make(_) => "make".into(),
        Line::Buy(_) => "buy".into(),
        Line::Spent(_) => "spent".into(),
    });
    const CONTAINERS: OfLine<'a> = Field::new(ToBuy::CONTAINERS.column, |line| match line {
        Line::Buy(order) => (ToBuy::CONTAINERS.cell)(order),
        Line::Make(_) | Line::Spent(_) => Cell::Blank,
    });

    /// Columns of `make-up.csv`.
    pub const FILE: [OfLine<'a>; 18] = [
        Self::LINE,
        line!(FLUID, bought FLUID, spent KIND),
        line!(ROWS),
        line!(IN_VESSELS),
        line!(IN_BATHS),
        line!(KEPT),
        line!(FROM_STOCK, bought FROM_STOCK),
        line!(TO_MAKE, bought TO_BUY, spent LITRES),
        line!(MADE_FROM),
        line!(CONCENTRATE),
        line!(WATER),
        line!(SALTS),
        Self::CONTAINERS,
        line!(PRICE, spent PRICE),
        line!(COST, bought COST, spent COST),
        line!(FLASH),
        line!(HAZARD_CATEGORY),
        line!(OUTSIDE),
    ];
}

/// Flammable fluid at a place, or at several together.
#[derive(Clone, Copy)]
pub struct Burning<'a> {
    pub name: &'a str,
    pub now: Millilitres,
    pub not_stated: usize,
    pub peak: Millilitres,
    pub after: Millilitres,
}

type OfPlace<'a> = Field<'a, Burning<'a>>;

impl<'a> Burning<'a> {
    /// Flammable fluid at one place. `unnamed` is its name if the survey states none.
    pub fn at(place: &'a Flammable, unnamed: &'a str) -> Self {
        let name = if place.location.is_empty() { unnamed } else { &place.location };
        Burning { name, ..Burning::together("", &[place]) }
    }

    /// Sums over several places. `peak` adds the peak of each place, even if they are at different times.
    pub fn together(name: &'a str, places: &[&Flammable]) -> Self {
        let sum = |of: fn(&Flammable) -> Millilitres| places.iter().map(|place| of(place)).sum();
        Burning {
            name,
            now: sum(|place| place.before),
            not_stated: places.iter().map(|place| place.not_stated).sum(),
            peak: sum(|place| place.peak),
            after: sum(|place| place.after),
        }
    }

    pub const PLACE: OfPlace<'a> = Field::new(Column::text("place"), |row| row.name.into());
    pub const NOW: OfPlace<'a> = Field::new(Column::litres("now"), |row| row.now.into());
    pub const NOT_STATED: OfPlace<'a> = Field::new(Column::whole("lots not stated"), |row| row.not_stated.into());
    pub const PEAK: OfPlace<'a> = Field::new(Column::litres("at the peak, at most"), |row| row.peak.into());
    pub const AFTER: OfPlace<'a> = Field::new(Column::litres("after"), |row| row.after.into());
}

/// The field with its litres rounded up to the next tenth; a field without litres is unchanged.
pub fn in_tenths<'a>(field: Field<'a, Burning<'a>>) -> Field<'a, Burning<'a>> {
    if field.column.kind == Kind::Volume { field.kind(Kind::Tenths) } else { field }
}
