//! Sizes that are not listed. The columns of a vessel have the names that they have in `vessels.csv`, so that the file, with the
//! prices of a quote in it, can be read as a supplier's list.

use itertools::Itertools;

use super::sizes::{bought_up_to, break_even, difference, keys, more, told, worst};
use crate::decision::Status;
use crate::inquiry::break_even::BreakEven;
use crate::inquiry::new_sizes::candidates::inner_sizes;
use crate::inquiry::new_sizes::prices::PriceSource;
use crate::inquiry::new_sizes::{NewSize, NewSizes};
use crate::report::table::{Cell, Column, Field, Unit};
use crate::stock::{Section, Vessel};
use crate::units::{Money, index};

/// A proposed size.
#[derive(Clone, Copy)]
pub struct NewSizeLine<'a> {
    pub found: &'a NewSizes,
    pub size: &'a NewSize,
}

/// The bore of a round section; blank for a rectangular one.
fn bore(section: Section) -> Cell<'static> {
    if let Section::Round(bore) = section { bore.into() } else { Cell::Blank }
}

/// The length of a rectangular section; blank for a round one.
fn length(section: Section) -> Cell<'static> {
    if let Section::Rectangular(length, _) = section { length.into() } else { Cell::Blank }
}

/// The width of a rectangular section; blank for a round one.
fn width(section: Section) -> Cell<'static> {
    if let Section::Rectangular(_, width) = section { width.into() } else { Cell::Blank }
}

type NewSizeField<'a> = Field<'a, NewSizeLine<'a>>;

impl<'a> NewSizeLine<'a> {
    pub const VESSEL: NewSizeField<'a> = Field::new(Column::text("vessel"), |line| line.vessel().id.as_str().into());
    pub const FORM: NewSizeField<'a> = Field::new(Column::text("form"), |line| line.form().into());
    pub const DIAMETER: NewSizeField<'a> =
        Field::new(Column::length("inner_diameter_mm"), |line| bore(line.vessel().section));
    pub const LENGTH: NewSizeField<'a> =
        Field::new(Column::length("inner_length_mm"), |line| length(line.vessel().section));
    pub const WIDTH: NewSizeField<'a> =
        Field::new(Column::length("inner_width_mm"), |line| width(line.vessel().section));
    pub const HEIGHT: NewSizeField<'a> =
        Field::new(Column::length("inner_height_mm"), |line| line.vessel().inner_height.into());
    pub const BODY_HEIGHT: NewSizeField<'a> =
        Field::new(Column::length("body_height_mm"), |line| line.vessel().body_height.into());
    pub const MOUTH: NewSizeField<'a> =
        Field::new(Column::length("mouth_diameter_mm"), |line| bore(line.vessel().mouth));
    pub const MOUTH_LENGTH: NewSizeField<'a> =
        Field::new(Column::length("mouth_length_mm"), |line| length(line.vessel().mouth));
    pub const MOUTH_WIDTH: NewSizeField<'a> =
        Field::new(Column::length("mouth_width_mm"), |line| width(line.vessel().mouth));
    pub const CAPACITY: NewSizeField<'a> =
        Field::new(Column::decimal("capacity_ml", 1, Unit::Millilitres), |line| line.vessel().brimful.ml().into());
    pub const MATERIAL: NewSizeField<'a> = Field::new(Column::text("material"), |line| line.material().into());
    pub const CLOSURE: NewSizeField<'a> = Field::new(Column::text("closure"), |line| line.closure().into());
    pub const PRICE: NewSizeField<'a> = Field::new(Column::price("unit_price"), |line| line.price().into());
    pub const PRICE_FROM: NewSizeField<'a> = Field::new(Column::text("price_from"), |line| line.price_from().into());
    pub const LOTS: NewSizeField<'a> = Field::new(Column::whole("lots"), |line| line.size.lots.len().into());
    pub const KEYS: NewSizeField<'a> =
        Field::new(Column::text("lot_keys"), |line| keys(&line.found.project, &line.size.lots).into());
    pub const PIECES: NewSizeField<'a> = Field::new(Column::whole("pieces"), |line| line.size.pieces.0.into());
    pub const WITHOUT: [NewSizeField<'a>; 6] = [
        Field::new(Column::money("without_money_more"), |line| line.without().map(|more| more.0).into()),
        Field::new(Column::money("without_weighed_more"), |line| line.without().map(|more| more.1).into()),
        Field::new(Column::whole("without_no_place_more_1"), |line| line.without().map(|more| more.2[0]).into()),
        Field::new(Column::whole("without_no_place_more_2"), |line| line.without().map(|more| more.2[1]).into()),
        Field::new(Column::whole("without_no_place_more_3"), |line| line.without().map(|more| more.2[2]).into()),
        Field::new(Column::whole("without_no_place_more_4"), |line| line.without().map(|more| more.2[3]).into()),
    ];
    pub const UP_TO: NewSizeField<'a> =
        Field::new(Column::text("bought_up_to"), |line| line.threshold().map(bought_up_to).into());
    pub const BREAK_EVEN: NewSizeField<'a> =
        Field::new(Column::price("break_even_price"), |line| line.threshold().and_then(break_even).into());
    pub const STATUS: NewSizeField<'a> = Field::new(Column::text("status"), |line| line.status().name().into());

    /// Columns of the file.
    pub const FILE: [NewSizeField<'a>; 27] = [
        Self::VESSEL,
        Self::FORM,
        Self::DIAMETER,
        Self::LENGTH,
        Self::WIDTH,
        Self::HEIGHT,
        Self::BODY_HEIGHT,
        Self::MOUTH,
        Self::MOUTH_LENGTH,
        Self::MOUTH_WIDTH,
        Self::CAPACITY,
        Self::MATERIAL,
        Self::CLOSURE,
        Self::PRICE,
        Self::PRICE_FROM,
        Self::LOTS,
        Self::KEYS,
        Self::PIECES,
        Self::WITHOUT[0],
        Self::WITHOUT[1],
        Self::WITHOUT[2],
        Self::WITHOUT[3],
        Self::WITHOUT[4],
        Self::WITHOUT[5],
        Self::UP_TO,
        Self::BREAK_EVEN,
        Self::STATUS,
    ];

    /// Inner sizes.
    pub const SIZE: NewSizeField<'a> =
        Field::new(Column::figures("inside, mm").on_one_line(), |line| inner_sizes(line.vessel()).into());
    /// Up to which price a piece is bought.
    pub const WORTH: NewSizeField<'a> =
        Field::new(Column::figures("worth up to"), |line| line.threshold().map(told).into());
    /// What the plan without it costs more, and which lots have no place then.
    pub const COST_WITHOUT: NewSizeField<'a> = Field::new(Column::text("without it"), |line| {
        line.threshold().map(|threshold| difference(&line.found.plan, &threshold.without)).into()
    });

    /// The vessel.
    pub fn vessel(self) -> &'a Vessel {
        self.found.project.stock.vessel(self.size.vessel)
    }

    /// Its form, as a stock list names it.
    pub fn form(self) -> &'static str {
        self.found.families[self.size.family].0.kind.form.name()
    }

    /// Id of its material.
    pub fn material(self) -> &'a str {
        &self.found.project.rules.materials[self.vessel().material.index()].id
    }

    /// Id of its closure.
    pub fn closure(self) -> &'a str {
        &self.found.project.rules.closures[self.vessel().closure.index()].id
    }

    /// Catalogue numbers of its first lots, and how many more there are.
    pub fn few_lots(self) -> String {
        let number = |row: &u32| self.found.project.collection.specimens[index(*row)].key.catalog_number.clone();
        let more = self.size.lots.len().saturating_sub(SHOWN_LOTS);
        let more = (more > 0).then(|| format!("{more} more"));
        self.size.lots.iter().take(SHOWN_LOTS).map(number).chain(more).join(", ")
    }

    fn price(self) -> Money {
        self.found.project.stock.offers[self.size.offer].pack_price
    }

    fn price_from(self) -> &'static str {
        match self.found.families[self.size.family].1 {
            PriceSource::Family(_) => "family",
            PriceSource::AllFamilies(_) => "all families",
            PriceSource::Settings(_) => "settings",
        }
    }

    fn threshold(self) -> Option<&'a BreakEven> {
        self.size.threshold.as_ref()
    }

    fn without(self) -> Option<(Money, Money, [i64; 4])> {
        self.threshold().map(|threshold| more(&self.found.plan, &threshold.without))
    }

    fn status(self) -> Status {
        let thresholds = self.threshold().map(|threshold| [threshold.without.status, threshold.above.status]);
        worst(thresholds.into_iter().flatten().chain([self.found.plan.status]))
    }
}

/// Lots of a size that a screen names.
const SHOWN_LOTS: usize = 8;
