//! What differs between the inputs of two projects beside their surveys and rules: settings, prices, stock.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::project::Project;
use crate::rules::{Fluid, FluidId};
use crate::settings::fluid::Containers;
use crate::stock::{Offer, Section, Stock, Supplier, Vessel};
use crate::units::{Length, Millilitres, Money};

/// A value of an input.
#[derive(Clone, Debug, PartialEq)]
pub enum InputValue {
    /// The entry is not there.
    Absent,
    /// The entry is there.
    Present,
    /// The cell is blank.
    Blank,
    /// Words, or a setting as it is written.
    Text(String),
    /// A whole number.
    Whole(i64),
    /// A number.
    Number(f64),
    /// An amount.
    Money(Money),
    /// A length.
    Length(Length),
    /// A volume of fluid.
    Volume(Millilitres),
    /// The row of the rules differs, in what it does and not only in its words.
    OtherRow,
}

impl<T: Into<InputValue>> From<Option<T>> for InputValue {
    fn from(value: Option<T>) -> Self {
        value.map_or(InputValue::Blank, Into::into)
    }
}

macro_rules! value_of {
    ($($type:ty: $value:ident => $made:expr),+ $(,)?) => {
        $(impl From<$type> for InputValue {
            fn from($value: $type) -> Self {
                $made
            }
        })+
    };
}

value_of! {
    &str: text => if text.is_empty() { InputValue::Blank } else { InputValue::Text(text.to_owned()) },
    String: text => if text.is_empty() { InputValue::Blank } else { InputValue::Text(text) },
    u32: number => InputValue::Whole(number.into()),
    u8: number => InputValue::Whole(number.into()),
    f64: number => InputValue::Number(number),
    Money: amount => InputValue::Money(amount),
    Length: length => InputValue::Length(length),
    Millilitres: volume => InputValue::Volume(volume),
}

/// An entry of an input that differs.
#[derive(Clone, Debug, PartialEq)]
pub struct InputChange<'a> {
    /// The file.
    pub file: InputOf,
    /// The entry: the id of a vessel, the name of a supplier, a fluid; empty for a setting.
    pub entry: Cow<'a, str>,
    /// The column or the key; empty where the whole entry came or went.
    pub column: Cow<'a, str>,
    /// In the old project.
    pub old: InputValue,
    /// In the new one.
    pub new: InputValue,
}

/// The input that an entry is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum InputOf {
    /// The settings.
    Settings,
    /// Prices of fluids, as plans count them.
    FluidPrices,
    /// The stock list: vessels and offers.
    Stock,
    /// Suppliers' terms.
    Suppliers,
    /// Fluid on the shelf.
    FluidStock,
    /// A table of the rules.
    Rules(&'static str),
}

impl InputOf {
    /// The name of its file.
    pub fn file(self) -> &'static str {
        match self {
            InputOf::Settings => "settings.toml",
            InputOf::FluidPrices => "fluid prices",
            InputOf::Stock => "vessels.csv",
            InputOf::Suppliers => "suppliers.csv",
            InputOf::FluidStock => "fluid-stock.csv",
            InputOf::Rules(table) => table,
        }
    }

    /// Whether a change of it may change which vessels suit a lot, and how it is filled; offers and prices do not.
    pub fn is_of_rules(self) -> bool {
        matches!(self, InputOf::Settings | InputOf::Rules(_))
    }
}

/// The value of a column of an entry.
type Entry<'a> = ((Cow<'a, str>, Cow<'a, str>), InputValue);

/// The entries of an input, each with the values of its columns.
type Entries<'a> = BTreeMap<(Cow<'a, str>, Cow<'a, str>), InputValue>;

/// Every entry that differs, by file, entry and column.
pub(super) fn changes<'a>(old: &'a Project, new: &'a Project) -> Vec<InputChange<'a>> {
    let suppliers = |project: &'a Project| project.stock.suppliers.iter().flat_map(supplier).collect();
    let mut found = differing(InputOf::Settings, settings(old), settings(new));
    found.extend(differing(InputOf::FluidPrices, fluid_prices(old), fluid_prices(new)));
    found.extend(differing(InputOf::Stock, stock(old), stock(new)));
    found.extend(differing(InputOf::Suppliers, suppliers(old), suppliers(new)));
    found.extend(differing(InputOf::FluidStock, fluid_stock(old), fluid_stock(new)));
    found
}

/// The entries that differ. Where an entry has no value in one project, its columns are not told one by one.
fn differing<'a>(file: InputOf, old: Entries<'a>, new: Entries<'a>) -> Vec<InputChange<'a>> {
    let has = |entries: &Entries<'a>, entry: &Cow<'a, str>| {
        entries.range((entry.clone(), Cow::Borrowed(""))..).next().is_some_and(|((first, _), _)| first == entry)
    };
    let mut keys: Vec<(Cow<str>, Cow<str>)> = old.keys().chain(new.keys()).cloned().collect();
    keys.sort();
    keys.dedup();
    let mut found: Vec<InputChange> = Vec::new();
    for key in keys {
        let (entry, column) = key.clone();
        let is_named = !entry.is_empty();
        if is_named && !(has(&old, &entry) && has(&new, &entry)) {
            let presence = |there| if there { InputValue::Present } else { InputValue::Absent };
            let whole = InputChange {
                file,
                old: presence(has(&old, &entry)),
                new: presence(has(&new, &entry)),
                entry,
                column: "".into(),
            };
            if found.last() != Some(&whole) {
                found.push(whole);
            }
            continue;
        }
        let value = |entries: &Entries<'a>| entries.get(&key).cloned().unwrap_or(InputValue::Blank);
        let (old, new) = (value(&old), value(&new));
        if old != new {
            found.push(InputChange { file, entry, column, old, new });
        }
    }
    found
}

fn settings(project: &Project) -> Entries<'_> {
    let settings = &project.settings;
    let mut entries: Entries = settings
        .list()
        .into_iter()
        .map(|stated| (("".into(), stated.key.into()), InputValue::from(stated.value)))
        .collect();
    let mut add = |section: &str, name: &str, value: InputValue| {
        entries.insert(("".into(), format!("{section}.{name}").into()), value);
    };
    settings.defaults.iter().for_each(|(column, cell)| add("defaults", column, cell.as_str().into()));
    settings.fluid_price.iter().for_each(|(fluid, price)| add("fluid_price", fluid, (*price).into()));
    settings.disposal_price.iter().for_each(|(family, price)| add("disposal_price", family, (*price).into()));
    settings.containers.iter().for_each(|(fluid, sizes)| add("containers", fluid, sold_in(sizes).into()));
    entries
}

/// Containers as they are written in the settings: `1=7.50|5=30.00`.
fn sold_in(sizes: &Containers) -> String {
    let one = |(holds, price): &(Millilitres, Money)| format!("{}={}", holds.litres(), price.text());
    sizes.0.iter().map(one).collect::<Vec<_>>().join("|")
}

/// What a litre costs, with losses and tax.
fn fluid_prices(project: &Project) -> Entries<'_> {
    let kept = project.rules.fluids.iter().enumerate().filter(|(_, fluid)| !fluid.present_only);
    let price = |(at, fluid): (usize, &'_ Fluid)| {
        let price = project.fluid_price(FluidId::at(at));
        ((Cow::Owned(fluid.id.clone()), "price_per_litre".into()), price.into())
    };
    kept.map(price).collect()
}

fn fluid_stock(project: &Project) -> Entries<'_> {
    let mut entries: BTreeMap<(Cow<str>, Cow<str>), Millilitres> = BTreeMap::new();
    for owned in &project.stock.fluids {
        let fluid = project.rules.fluid(owned.fluid).id.as_str();
        *entries.entry((fluid.into(), "litres".into())).or_default() += owned.amount;
    }
    entries.into_iter().map(|(key, volume)| (key, volume.into())).collect()
}

fn stock(project: &Project) -> Entries<'_> {
    let vessels = project.stock.vessels.iter().flat_map(|vessel| {
        vessel_facts(project, vessel)
            .into_iter()
            .map(|(column, value)| ((vessel.id.as_str().into(), column.into()), value))
    });
    let mut entries: Entries = vessels.collect();
    for offer in &project.stock.offers {
        let named = offer_name(&project.stock, offer);
        let name = (1..).map(|nth| if nth == 1 { named.clone() } else { format!("{named} ({nth})") });
        let free = name.into_iter().find(|name| !entries.contains_key(&(name.as_str().into(), "pack_price".into())));
        let entry: Cow<str> = free.unwrap_or(named).into();
        let columns: [(&str, InputValue); 2] =
            [("pack_price", offer.pack_price.into()), ("order_limit", offer.order_limit.into())];
        entries.extend(columns.map(|(column, value)| ((entry.clone(), column.into()), value)));
    }
    entries
}

/// What identifies an offer: `jar-250, Foss Glass F-250, packs of 6, at least 2`.
fn offer_name(stock: &Stock, offer: &Offer) -> String {
    let supplier = offer.supplier.map_or("", |id| stock.supplier(id).name.as_str());
    let seller = format!("{supplier} {}", offer.order_code);
    let parts = [stock.vessel(offer.vessel).id.as_str(), seller.trim()];
    let named = parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ");
    match offer.min_packs {
        0 | 1 => format!("{named} × {}", offer.pack_size),
        least => format!("{named} × {} × {least}", offer.pack_size),
    }
}

/// The measures and counts of a vessel, by column.
fn vessel_facts(project: &Project, vessel: &Vessel) -> Vec<(&'static str, InputValue)> {
    let mut facts = measures(project, vessel);
    facts.extend([
        ("on_hand", vessel.on_hand.into()),
        ("on_order", vessel.on_order.into()),
        ("reserve", vessel.reserve.into()),
    ]);
    facts
}

/// What decides whether a vessel suits a lot, by column.
pub(super) fn measures(project: &Project, vessel: &Vessel) -> Vec<(&'static str, InputValue)> {
    let Vessel { section, inner_height, body_height, mouth, brimful, material, closure, outer_height, .. } = vessel;
    let mut facts = match section {
        Section::Round(bore) => vec![("inner_diameter_mm", (*bore).into())],
        Section::Rectangular(length, width) => {
            vec![("inner_length_mm", (*length).into()), ("inner_width_mm", (*width).into())]
        }
    };
    facts.push(("inner_height_mm", (*inner_height).into()));
    facts.push(("body_height_mm", (*body_height).into()));
    match mouth {
        Section::Round(bore) => facts.push(("mouth_diameter_mm", (*bore).into())),
        Section::Rectangular(length, width) => {
            facts.extend([("mouth_length_mm", (*length).into()), ("mouth_width_mm", (*width).into())]);
        }
    }
    facts.extend([
        ("capacity_ml", brimful.ml().into()),
        ("material", project.rules.material(*material).id.as_str().into()),
        ("closure", project.rules.closure(*closure).id.as_str().into()),
        ("outer_height_mm", (*outer_height).into()),
    ]);
    facts
}

fn supplier(supplier: &Supplier) -> Vec<Entry<'_>> {
    let Supplier { name, delivery_charge, free_delivery_over, minimum_order, lead_days } = supplier;
    let columns: [(&str, InputValue); 4] = [
        ("delivery_charge", (*delivery_charge).into()),
        ("free_delivery_over", (*free_delivery_over).into()),
        ("minimum_order", (*minimum_order).into()),
        ("lead_days", (*lead_days).into()),
    ];
    columns.map(|(column, value)| ((Cow::Borrowed(name.as_str()), Cow::Borrowed(column)), value)).into()
}
