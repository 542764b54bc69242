//! Make-up, fluid orders, spent and flammable fluid in plan.json, written and read.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::names::PlanReading;
use super::object::Object;
use super::{quantities, typed};
use crate::plan::{Flammable, FluidOrder, MadeFrom, MakeUp, Spent};
use crate::project::Project;
use crate::rules::{Family, FluidId};
use crate::units::{Millilitres, Money};

/// How much of one fluid is made up, as it stands in the file after the fluid's id.
#[derive(Serialize, Deserialize)]
#[serde(remote = "MakeUp", deny_unknown_fields)]
struct MakeUpFile {
    #[serde(skip, default = "no_fluid")]
    fluid: FluidId,
    #[serde(with = "quantities::count")]
    rows: usize,
    #[serde(rename = "litres", with = "quantities::litres")]
    amount: Millilitres,
    #[serde(rename = "litres_kept", with = "quantities::litres")]
    reused: Millilitres,
    #[serde(rename = "litres_in_baths", with = "quantities::litres")]
    baths: Millilitres,
    #[serde(rename = "litres_from_stock", with = "quantities::litres")]
    from_stock: Millilitres,
    #[serde(rename = "litres_to_make", with = "quantities::litres")]
    to_make: Millilitres,
    #[serde(with = "quantities::money")]
    cost: Money,
    #[serde(with = "some_made_from")]
    made_from: Option<MadeFrom>,
    #[serde(rename = "litres_outside", with = "quantities::litres")]
    amount_outside: Millilitres,
    #[serde(with = "quantities::money")]
    cost_outside: Money,
}

/// In place of the fluid until its id is looked up.
fn no_fluid() -> FluidId {
    FluidId(0)
}

/// What goes into a fluid, as it stands in the file.
#[derive(Serialize, Deserialize)]
#[serde(remote = "MadeFrom", deny_unknown_fields)]
struct MadeFromFile {
    concentrate: String,
    #[serde(rename = "litres", with = "quantities::litres")]
    amount: Millilitres,
    #[serde(rename = "water_litres", with = "quantities::some_litres")]
    water: Option<Millilitres>,
    #[serde(with = "salts")]
    salts: Vec<(String, i64)>,
}

/// What goes into a fluid, or `null`.
mod some_made_from {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    use super::MadeFromFile;
    use crate::plan::MadeFrom;

    #[derive(Serialize, Deserialize)]
    #[serde(transparent)]
    struct MadeFromField(#[serde(with = "MadeFromFile")] MadeFrom);

    pub(super) fn serialize<S: Serializer>(made: &Option<MadeFrom>, out: S) -> Result<S::Ok, S::Error> {
        made.clone().map(MadeFromField).serialize(out)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(text: D) -> Result<Option<MadeFrom>, D::Error> {
        Option::<MadeFromField>::deserialize(text).map(|made| made.map(|made| made.0))
    }
}

/// Salts with their milligrams, in grams in the file.
mod salts {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    use crate::saved::quantities::ratio;
    use crate::units::truncated;

    #[derive(Serialize, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct SaltFile {
        salt: String,
        #[serde(with = "ratio")]
        g: f64,
    }

    pub(super) fn serialize<S: Serializer>(all: &[(String, i64)], out: S) -> Result<S::Ok, S::Error> {
        out.collect_seq(all.iter().map(|(salt, mg)| SaltFile { salt: salt.clone(), g: *mg as f64 / 1000.0 }))
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(text: D) -> Result<Vec<(String, i64)>, D::Error> {
        let all = Vec::<SaltFile>::deserialize(text)?;
        Ok(all.into_iter().map(|SaltFile { salt, g }| (salt, truncated((g * 1000.0).round()))).collect())
    }
}

/// What is to be bought, as it stands in the file.
#[derive(Serialize, Deserialize)]
#[serde(remote = "FluidOrder", deny_unknown_fields)]
struct OrderFile {
    fluid: String,
    #[serde(rename = "litres", with = "quantities::litres")]
    needed: Millilitres,
    #[serde(rename = "litres_from_stock", with = "quantities::litres")]
    from_stock: Millilitres,
    #[serde(with = "containers")]
    containers: Vec<(Millilitres, Money, i64)>,
    #[serde(with = "quantities::some_money")]
    cost: Option<Money>,
    #[serde(with = "quantities::money")]
    counted: Money,
}

/// Containers to buy, as they stand in the file.
mod containers {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    use crate::saved::quantities;
    use crate::units::{Millilitres, Money};

    #[derive(Serialize, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct ContainersFile {
        #[serde(with = "quantities::litres")]
        litres: Millilitres,
        #[serde(with = "quantities::money")]
        price: Money,
        #[serde(with = "quantities::whole")]
        count: i64,
    }

    pub(super) fn serialize<S: Serializer>(all: &[(Millilitres, Money, i64)], out: S) -> Result<S::Ok, S::Error> {
        let file = |&(litres, price, count): &_| ContainersFile { litres, price, count };
        out.collect_seq(all.iter().map(file))
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(text: D) -> Result<Vec<(Millilitres, Money, i64)>, D::Error> {
        let all = Vec::<ContainersFile>::deserialize(text)?;
        Ok(all.into_iter().map(|ContainersFile { litres, price, count }| (litres, price, count)).collect())
    }
}

/// Fluid to be disposed of, as it stands in the file.
#[derive(Serialize, Deserialize)]
#[serde(remote = "Spent", deny_unknown_fields)]
struct SpentFile {
    #[serde(with = "quantities::family")]
    family: Family,
    #[serde(rename = "litres", with = "quantities::litres")]
    amount: Millilitres,
    #[serde(with = "quantities::money")]
    cost: Money,
}

/// Flammable fluid in one place, as it stands in the file.
#[derive(Serialize, Deserialize)]
#[serde(remote = "Flammable", deny_unknown_fields)]
struct FlammableFile {
    location: String,
    #[serde(rename = "litres_before", with = "quantities::litres")]
    before: Millilitres,
    #[serde(rename = "rows_not_stated", with = "quantities::count")]
    not_stated: usize,
    #[serde(rename = "litres_after", with = "quantities::litres")]
    after: Millilitres,
    #[serde(rename = "litres_peak", with = "quantities::litres")]
    peak: Millilitres,
}

/// A line of one of these lists.
macro_rules! lines {
    ($($line:ident: $of:ident by $file:literal, $written:ident, $read:ident;)*) => {$(
        #[derive(Serialize, Deserialize)]
        #[serde(transparent)]
        struct $line(#[serde(with = $file)] $of);

        pub(super) fn $written(line: &$of) -> Value {
            typed::value(&$line(line.clone()))
        }

        pub(super) fn $read(line: &Object) -> Option<$of> {
            typed::rest::<$line>(line, typed::value).map(|line| line.0)
        }
    )*};
}

lines! {
    OrderLine: FluidOrder by "OrderFile", order_written, order;
    SpentLine: Spent by "SpentFile", spent_written, spent;
    FlammableLine: Flammable by "FlammableFile", flammable_written, flammable;
}

#[derive(Serialize, Deserialize)]
#[serde(transparent)]
struct MakeUpLine(#[serde(with = "MakeUpFile")] MakeUp);

pub(super) fn make_up_written(project: &Project, line: &MakeUp) -> Value {
    typed::followed(json!({FLUID: project.rules.fluid(line.fluid).id}), &MakeUpLine(line.clone()))
}

const FLUID: &str = "fluid";

impl PlanReading<'_> {
    pub(super) fn make_up(&self, line: &Object) -> Option<MakeUp> {
        let fluid = line.read(FLUID, "a fluid of the rules", |value| self.fluid(value));
        let read = typed::rest::<MakeUpLine>(line, typed::value);
        Some(MakeUp { fluid: fluid?, ..read?.0 })
    }
}
