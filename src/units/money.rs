//! Exact amounts of money.

use super::Millilitres;
use super::whole::truncated;

/// An exact amount of the project's currency.
///
/// Held as ten-millionths, so that a price per litre with four decimals times whole millilitres stays exact.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Money(pub(super) i64);

impl Money {
    /// Zero.
    pub const ZERO: Self = Self(0);
    /// Ten-millionths in one unit of currency.
    pub const PER_UNIT: i64 = 10_000_000;

    /// A hundredth of a unit of currency.
    pub const HUNDREDTH: Self = Self(Self::PER_UNIT / 100);

    /// From ten-millionths of the currency.
    pub const fn from_parts(parts: i64) -> Self {
        Self(parts)
    }

    /// The number of ten-millionths.
    pub const fn parts(self) -> i64 {
        self.0
    }

    /// From whole units of the currency.
    pub const fn whole(units: i64) -> Self {
        Self(units * Self::PER_UNIT)
    }

    /// Reads `12`, `12.5` or `0.0325`: digits with at most four decimals and a decimal point, at most 11 digits before it.
    pub fn parse(text: &str) -> Option<Self> {
        let (whole, part) = text.split_once('.').unwrap_or((text, ""));
        let digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
        let dangling = text.ends_with('.') || (whole.is_empty() && part.is_empty());
        if dangling || !digits(whole) || !digits(part) || part.len() > 4 || whole.len() > 11 {
            return None;
        }
        let whole: i64 = if whole.is_empty() { 0 } else { whole.parse().ok()? };
        let part: i64 = format!("{part:0<7}").parse().ok()?;
        whole.checked_mul(Self::PER_UNIT)?.checked_add(part).map(Self)
    }

    /// Reads what [`Money::text`] wrote, of any size, with a sign where it is below zero.
    pub fn read_back(text: &str) -> Option<Self> {
        if let Some(amount) = text.strip_prefix('-') {
            return Self::read_back(amount).filter(|amount| amount.0 >= 0).map(|amount| -amount);
        }
        // A sum may have one digit more than can be typed, and `MOST` was written rounded up.
        let most = || (text == Self::MOST.text()).then_some(Self::MOST);
        let (whole, rest) = text.split_at_checked(text.find('.')?)?;
        let last = whole.len().checked_sub(11).filter(|more| *more <= 1 && whole.is_ascii());
        match last {
            Some(1) => {
                let low = Self::parse(&format!("{}{rest}", &whole[1..]))?;
                let high = whole[..1].parse::<i64>().ok()?.checked_mul(100_000_000_000 * Self::PER_UNIT);
                high.and_then(|high| high.checked_add(low.0)).map(Self).or_else(most)
            }
            _ => Self::parse(text),
        }
    }

    /// The largest amount. Larger results are replaced by it.
    pub const MOST: Self = Self(i64::MAX);

    /// The nearest amount with four decimals to a number that was computed, not typed (an estimate); `None` if it is
    /// negative, not finite or too large to hold.
    pub fn estimate(units: f64) -> Option<Self> {
        let ten_thousandths = (units * 1e4).round();
        (0.0..9e14).contains(&ten_thousandths).then(|| Self(truncated(ten_thousandths) * 1000))
    }

    /// The same, but [`Money::MOST`] where it is too large, and zero where it is negative or not a number.
    pub fn estimate_or_most(units: f64) -> Self {
        Self::estimate(units).unwrap_or(if units > 0.0 { Self::MOST } else { Self::ZERO })
    }

    /// Cost of a whole number of millilitres at this price a litre. Exact for prices of at most four decimals.
    pub fn per_litre(self, fluid: Millilitres) -> Self {
        // The parts of such a price are a multiple of 1000.
        Self((self.0 / 1000).saturating_mul(fluid.0))
    }

    /// The number of steps of a size that reach this amount.
    pub fn in_steps_of(self, step: Money) -> i64 {
        self.0.div_euclid(step.0) + i64::from(self.0.rem_euclid(step.0) > 0)
    }

    /// As a floating-point number of currency units, for ratios and solvers only.
    pub fn approximate(self) -> f64 {
        self.0 as f64 / Self::PER_UNIT as f64
    }

    /// The number of currency units that [`Money::text`] writes: for spreadsheets, not for calculation.
    pub fn units(self) -> f64 {
        // The sum with 0 makes no negative zero.
        self.in_nearest(1000) as f64 / 10_000.0 + 0.0
    }

    /// The nearest number of steps of this many parts; half a step is rounded away from zero, so that an amount and its
    /// negative are rounded alike. Every rounding of money is this one.
    fn in_nearest(self, step: i64) -> i128 {
        let (parts, step) = (i128::from(self.0), i128::from(step));
        (parts.abs() + step / 2) / step * parts.signum()
    }

    /// Rounded to a whole number of steps, within what an amount can hold.
    fn to_nearest(self, step: i64) -> Self {
        let least = i128::from(i64::MIN);
        let parts = (self.in_nearest(step) * i128::from(step)).clamp(least, i128::from(i64::MAX));
        Self(i64::try_from(parts).unwrap_or(i64::MAX))
    }

    /// Rounded to four decimals: the amount that [`Money::text`] writes.
    pub fn rounded(self) -> Self {
        self.to_nearest(1000)
    }

    /// For a screen: two decimals, and four where two would hide the amount.
    pub fn on_screen(self) -> String {
        let rounded = self.rounded();
        let hundredths = rounded.to_nearest(100_000);
        if hundredths == Self::ZERO { rounded.text() } else { hundredths.text() }
    }

    /// Rounded once to four decimals and written with at least two: `12.50`, `0.0325`.
    pub fn text(self) -> String {
        let nearest = self.in_nearest(1000);
        let (ten_thousandths, sign) = (nearest.abs(), if nearest < 0 { "-" } else { "" });
        let text = format!("{sign}{}.{:04}", ten_thousandths / 10_000, ten_thousandths % 10_000);
        match text.strip_suffix("00") {
            Some(short) => short.to_owned(),
            None => text.strip_suffix('0').unwrap_or(&text).to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn money_is_read_and_written_exactly() {
        for (typed, written) in
            [("12", "12.00"), ("12.5", "12.50"), ("0.0325", "0.0325"), (".5", "0.50"), ("3.125", "3.125")]
        {
            assert_eq!(Money::parse(typed).map(Money::text).as_deref(), Some(written), "{typed}");
        }
        for refused in ["", ".", "1.", "1.23456", "-1", "1e3", "12,5", "NaN", "123456789012"] {
            assert_eq!(Money::parse(refused), None, "{refused}");
        }
    }

    #[test]
    fn what_was_written_reads_back_whatever_it_comes_to() {
        for amount in ["0.00", "99999999999.9999", "100000000000.00", "123456789012.5001", "922337203685.4775"] {
            assert_eq!(Money::read_back(amount).map(Money::text).as_deref(), Some(amount));
            let owed = format!("-{amount}");
            let written = if amount == "0.00" { amount } else { &owed };
            assert_eq!(Money::read_back(&owed).map(Money::text).as_deref(), Some(written));
        }
        assert_eq!(Money::read_back(&Money::MOST.text()), Some(Money::MOST));
        for refused in
            ["922337203685.48", "1000000000000.00", "x00000000000.00", "--1.00", "", "-", ".", "é0000000000.00"]
        {
            assert_eq!(Money::read_back(refused), None, "{refused}");
        }
        assert_eq!(Money::estimate_or_most(1e30), Money::MOST);
        assert_eq!(Money::estimate_or_most(12.5), Money::parse("12.5").unwrap());
    }

    #[test]
    fn half_a_step_is_rounded_away_from_zero_by_every_rounding() {
        for (parts, text, on_screen) in [
            (12_345_500, "1.2346", "1.23"),
            (-12_345_500, "-1.2346", "-1.23"),
            (1_250_000, "0.125", "0.13"),
            (-1_250_000, "-0.125", "-0.13"),
            (499, "0.00", "0.00"),
            (-499, "0.00", "0.00"),
            (-500, "-0.0001", "-0.0001"),
            (500, "0.0001", "0.0001"),
            // An amount at the limit cannot be rounded further away from zero.
            (i64::MAX, "922337203685.4776", "922337203685.4776"),
            (i64::MIN, "-922337203685.4776", "-922337203685.4776"),
        ] {
            let amount = Money::from_parts(parts);
            assert_eq!((amount.text().as_str(), amount.rounded().text().as_str()), (text, text), "{parts}");
            assert_eq!(
                (amount.on_screen().as_str(), amount.units().to_string()),
                (on_screen, {
                    let typed: f64 = text.parse().expect("a number");
                    typed.to_string()
                })
            );
        }
    }

    #[test]
    fn a_price_a_litre_times_millilitres_is_exact() {
        let price = Money::parse("3.1234").unwrap();
        assert_eq!(price.per_litre(Millilitres(1)).parts(), 31_234);
        assert_eq!(price.per_litre(Millilitres(1000)), price);
    }
}
