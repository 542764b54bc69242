//! Reads one cell into one value. A number may carry its unit and, where the separator is not a comma, a decimal comma.
//! Nothing is guessed: a cell that can be read in two ways is refused.

use crate::diagnostics::Code;
use crate::units::Money;

/// Why a cell cannot be read: the text that follows the quoted cell in the message, and the cure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CellFault {
    /// Code of the diagnostic.
    pub code: Code,
    /// The fault, such as `no unit "cmm" is known`.
    pub says: String,
    /// What to type instead.
    pub cure: String,
}

impl CellFault {
    /// A fault with its cure.
    pub fn new(code: Code, says: impl Into<String>, cure: impl Into<String>) -> Self {
        Self { code, says: says.into(), cure: cure.into() }
    }
}

/// A physical quantity that has units.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// Read to millimetres.
    Length,
    /// Read to millilitres.
    Volume,
    /// Read to grams.
    Mass,
}

/// A unit, and how its values are converted to the usual unit (mm, ml, g).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellUnit {
    /// The symbol as in a header: `mm`.
    pub name: &'static str,
    /// What it measures.
    pub measure: Measure,
    /// Power of ten of the conversion. It is applied by shifting the decimal mark, which is exact; a product is not.
    power_of_ten: u8,
    /// Further factor of the conversion, exact by definition.
    factor: f64,
}

/// All units that are accepted. The inch is 25.4 mm and the pound 453.592 37 g exactly. Source: NIST Special Publication
/// 811 (2008), appendix B.8.
const UNITS: [CellUnit; 9] = [
    CellUnit { name: "mm", measure: Measure::Length, power_of_ten: 0, factor: 1.0 },
    CellUnit { name: "cm", measure: Measure::Length, power_of_ten: 1, factor: 1.0 },
    CellUnit { name: "m", measure: Measure::Length, power_of_ten: 3, factor: 1.0 },
    CellUnit { name: "in", measure: Measure::Length, power_of_ten: 0, factor: 25.4 },
    CellUnit { name: "ml", measure: Measure::Volume, power_of_ten: 0, factor: 1.0 },
    CellUnit { name: "l", measure: Measure::Volume, power_of_ten: 3, factor: 1.0 },
    CellUnit { name: "g", measure: Measure::Mass, power_of_ten: 0, factor: 1.0 },
    CellUnit { name: "kg", measure: Measure::Mass, power_of_ten: 3, factor: 1.0 },
    CellUnit { name: "lb", measure: Measure::Mass, power_of_ten: 0, factor: 453.592_37 },
];

impl CellUnit {
    /// The unit with this name or a common spelling of it, in any case.
    pub fn named(typed: &str) -> Option<CellUnit> {
        let lower = typed.to_lowercase();
        let name = match lower.as_str() {
            "\"" | "″" | "inch" | "inches" => "in",
            "litre" | "litres" | "liter" | "liters" => "l",
            "lbs" => "lb",
            name => name,
        };
        UNITS.into_iter().find(|unit| unit.name == name)
    }
}

impl Measure {
    /// The unit that values are held in.
    pub fn usual(self) -> CellUnit {
        UNITS[match self {
            Measure::Length => 0,
            Measure::Volume => 4,
            Measure::Mass => 6,
        }]
    }

    /// The unit that a column of this name implies: `litres` is itself the name of a unit; other columns use the usual
    /// unit.
    pub(super) fn usual_of(self, column: &str) -> CellUnit {
        CellUnit::named(column).unwrap_or_else(|| self.usual())
    }

    /// Examples for messages.
    fn example(self) -> &'static str {
        match self {
            Measure::Length => "120 mm, 12 cm, 0.12 m or 4.7 in",
            Measure::Volume => "250 ml or 0.25 l",
            Measure::Mass => "450 g, 0.45 kg or 1 lb",
        }
    }

    /// Largest accepted value, in the usual unit: 100 m, 1000 m³, 1000 t.
    fn largest(self) -> f64 {
        match self {
            Measure::Length => 1e5,
            Measure::Volume | Measure::Mass => 1e9,
        }
    }
}

/// A number as typed, split into parts but not yet converted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CellFigure<'t> {
    /// Digits with at most one decimal mark, without a sign.
    digits: &'t str,
    /// Whether a minus sign stands before the digits.
    negative: bool,
    /// Decimal mark, `,` or `.`, if there is one.
    pub mark: Option<u8>,
    /// The text after the number.
    unit: &'t str,
}

impl CellFigure<'_> {
    /// Whether the mark could also separate thousands: one to three digits, not starting with 0, before it and exactly
    /// three after it.
    pub fn could_be_thousands(&self) -> bool {
        let Some((whole, part)) = self.mark.and_then(|mark| self.digits.split_once(char::from(mark))) else {
            return false;
        };
        part.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0')
    }

    /// The digits as a number, multiplied by this power of ten.
    fn value(&self, power_of_ten: u8) -> f64 {
        if power_of_ten == 0 && self.mark != Some(b',') {
            return self.digits.parse().unwrap_or(f64::INFINITY);
        }
        format!("{}e{power_of_ten}", self.digits.replace(',', ".")).parse().unwrap_or(f64::INFINITY)
    }

    fn no_unit(&self) -> Result<(), CellFault> {
        if self.unit.is_empty() {
            return Ok(());
        }
        Err(CellFault::new(
            Code::UnknownUnit,
            format!("{} after a plain number", quoted(self.unit)),
            "write the number alone",
        ))
    }

    fn not_negative(&self) -> Result<(), CellFault> {
        if !self.negative {
            return Ok(());
        }
        Err(CellFault::new(Code::Negative, "below zero", "write a number without a sign, or leave the cell blank"))
    }
}

/// Splits a typed number. `decimal_comma` is false where the comma separates the cells.
pub fn figure(text: &str, decimal_comma: bool) -> Result<CellFigure<'_>, CellFault> {
    let (negative, unsigned) = match text.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest.trim_start()),
        None => (false, text),
    };
    let end = unsigned.find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',').unwrap_or(unsigned.len());
    let (digits, unit) = (&unsigned[..end], unsigned[end..].trim_start());
    let count = |mark: u8| digits.bytes().filter(|b| *b == mark).count();
    let mark = match (count(b'.'), count(b',')) {
        (0, 0) => None,
        (1, 0) => Some(b'.'),
        (0, 1) if decimal_comma => Some(b','),
        _ => return Err(ambiguous(digits, decimal_comma)),
    };
    // More digits follow, as in `1e3`, `1_000` and `1 000`: the rest is not a unit.
    let goes_on = unit.bytes().any(|b| b.is_ascii_digit() || b == b'_');
    if digits.ends_with(['.', ',']) || digits.is_empty() || goes_on {
        return Err(no_number(unsigned));
    }
    Ok(CellFigure { digits, negative, mark, unit })
}

fn no_number(unsigned: &str) -> CellFault {
    let word = unsigned.to_lowercase();
    if ["nan", "inf", "infinity", "∞"].contains(&word.as_str()) {
        return CellFault::new(Code::NotFinite, "not a finite number", "write the number, or leave the cell blank");
    }
    CellFault::new(Code::NotANumber, "not a number", "write digits with at most one decimal mark, such as 120 or 12.5")
}

fn ambiguous(digits: &str, decimal_comma: bool) -> CellFault {
    let says = match (digits.contains('.'), decimal_comma) {
        (false, false) => "the comma may be a decimal mark or a thousands separator",
        _ => "it is not clear which mark is the decimal mark",
    };
    let cure = match decimal_comma {
        false => "write thousands without a mark and decimals with a point: 1234.5",
        true => "write thousands without a mark: 1234,5",
    };
    CellFault::new(Code::AmbiguousNumber, says, cure)
}

/// Converts a quantity to its usual unit (mm, ml, g). The unit in the cell takes precedence over the unit in the header.
pub fn measured(figure: &CellFigure, measure: Measure, header: Option<CellUnit>) -> Result<f64, CellFault> {
    let unit = match (figure.unit, header) {
        ("", Some(unit)) => unit,
        ("", None) => {
            let cure = format!(
                "name the unit in the header (such as _{}) or write {}",
                measure.usual().name,
                measure.example()
            );
            return Err(CellFault::new(Code::UnitMissing, "no unit in the cell or in the column header", cure));
        }
        (typed, _) => match CellUnit::named(typed) {
            Some(unit) if unit.measure == measure => unit,
            _ => return Err(unknown_unit(typed, measure)),
        },
    };
    figure.not_negative()?;
    let value = figure.value(unit.power_of_ten) * unit.factor;
    if value > measure.largest() {
        let most = format!("values above {} {} are not accepted", measure.largest(), measure.usual().name);
        return Err(CellFault::new(Code::TooLarge, most, format!("check the unit: {}", measure.example())));
    }
    Ok(value)
}

/// The fault for a unit that is not accepted.
pub fn unknown_unit(typed: &str, measure: Measure) -> CellFault {
    let cure = format!("write {}", measure.example());
    let says = match typed.to_lowercase().as_str() {
        "oz" => "oz may be a mass or one of two fluid ounces".to_owned(),
        _ => format!("{} is not a unit used here", quoted(typed)),
    };
    CellFault::new(Code::UnknownUnit, says, cure)
}

/// A plain number that is not negative; a `%` after it is allowed.
pub fn number(figure: &CellFigure) -> Result<f64, CellFault> {
    figure.not_negative()?;
    signed(figure)
}

/// A plain number of either sign.
pub fn signed(figure: &CellFigure) -> Result<f64, CellFault> {
    if figure.unit != "%" {
        figure.no_unit()?;
    }
    let value = figure.value(0);
    if value > 1e9 {
        return Err(CellFault::new(Code::TooLarge, "larger than anything expected here", "check the number"));
    }
    Ok(if figure.negative { -value } else { value })
}

/// A whole number up to a hundred million.
pub fn whole(figure: &CellFigure) -> Result<u32, CellFault> {
    figure.not_negative()?;
    figure.no_unit()?;
    if figure.mark.is_some() {
        return Err(CellFault::new(
            Code::NotWhole,
            "not a whole number",
            "write a whole number, without a decimal mark",
        ));
    }
    match figure.digits.parse() {
        Ok(whole) if whole <= 100_000_000 => Ok(whole),
        _ => Err(CellFault::new(Code::TooLarge, "larger than anything expected here", "check the number")),
    }
}

/// An exact amount of money up to a thousand million.
pub fn money(figure: &CellFigure) -> Result<Money, CellFault> {
    figure.not_negative()?;
    if !figure.unit.is_empty() {
        let says = format!("{} after the amount", quoted(figure.unit));
        return Err(CellFault::new(Code::UnknownUnit, says, "write the amount alone; the currency is a setting"));
    }
    let decimals =
        figure.mark.and_then(|mark| figure.digits.split_once(char::from(mark))).map_or(0, |(_, part)| part.len());
    if decimals > 4 {
        return Err(CellFault::new(Code::TooPrecise, "more than 4 decimals", "round it to 4 decimals"));
    }
    match Money::parse(&figure.digits.replace(',', ".")) {
        Some(amount) if amount <= Money::whole(1_000_000_000) => Ok(amount),
        _ => Err(CellFault::new(Code::TooLarge, "larger than any amount that can be used", "check the amount")),
    }
}

/// The cell in quotation marks, on one line, cut after 60 characters.
pub fn quoted(cell: &str) -> String {
    const MOST: usize = 60;
    let mut text: String = cell.chars().take(MOST).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if cell.chars().nth(MOST).is_some() {
        text.push('…');
    }
    format!("\"{text}\"")
}
