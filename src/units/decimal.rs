//! Numbers as decimals with few places.

use super::whole::truncated;

/// A number with at most `places` decimals and no trailing zeros, never `-0`.
pub fn decimal(number: f64, places: usize) -> String {
    if let Some(text) = thousandths(number, places) {
        return text;
    }
    let text = format!("{number:.places$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// The number that [`decimal`] writes.
pub fn rounded(number: f64, places: usize) -> f64 {
    match last_places(number, places) {
        // The quotient of these whole numbers is the floating-point number nearest to the decimal.
        Some((counted, per_unit)) if counted > 0 => (f64::from(counted) / f64::from(per_unit)).copysign(number),
        Some(_) => 0.0,
        // Formatting rounds exactly; only ties and very large numbers need it.
        None => decimal(number, places).parse().unwrap_or(number),
    }
}

/// A number rounded to units of its last place, and how many such units make 1. `None` for more than three places, for large
/// numbers, and for numbers so near a tie that rounding is in doubt.
fn last_places(number: f64, places: usize) -> Option<(u32, u32)> {
    let per_unit = *[1_u32, 10, 100, 1000].get(places)?;
    let scaled = number.abs() * f64::from(per_unit);
    // Below this limit scaling errs by less than 1e-7. What may be a tie is left to exact formatting.
    if scaled.is_nan() || scaled >= 1e9 || (scaled.fract() - 0.5).abs() < 1e-6 {
        return None;
    }
    Some((u32::try_from(truncated(scaled.round())).ok()?, per_unit))
}

/// The same text as [`decimal`], in a tenth of the time, where [`last_places`] gives a number.
fn thousandths(number: f64, places: usize) -> Option<String> {
    let (counted, per_unit) = last_places(number, places)?;
    let (mut whole, mut rest, mut places) = (counted / per_unit, counted % per_unit, places);
    while places > 0 && rest.is_multiple_of(10) {
        rest /= 10;
        places -= 1;
    }
    // Written from the last digit to the first: at most ten digits, three decimals, a point and a sign.
    let mut text = [0; 16];
    let mut start = text.len();
    let mut put = |byte: u8| {
        start -= 1;
        text[start] = byte;
    };
    for last in (0..places).rev() {
        put(b'0' + (rest % 10) as u8);
        rest /= 10;
        if last == 0 {
            put(b'.');
        }
    }
    loop {
        put(b'0' + (whole % 10) as u8);
        whole /= 10;
        if whole == 0 {
            break;
        }
    }
    if number < 0.0 && counted > 0 {
        put(b'-');
    }
    Some(String::from_utf8_lossy(&text[start..]).into_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_decimal_is_the_exact_number_rounded_to_its_places() {
        let exact = |number: f64, places: usize| {
            let text = format!("{number:.places$}");
            let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
            if text == "-0" { "0".to_owned() } else { text.to_owned() }
        };
        let ties =
            [0.0, -0.0, 0.5, 1.5, 2.5, 0.125, 0.25, 0.0625, 1.0005, 2.675, 1.005, 8.345, 0.05, 0.95, 0.9995, -0.0004];
        let large = [999_999.999_5, 1e6 - 1e-4, 123_456_789.012_5, 1e9, 4.3e9, 1e17, f64::MAX, f64::INFINITY];
        let many = (0..20_000).map(|i| f64::from(i) * 0.000_5 + f64::from(i % 7) * 1e-9);
        for number in ties.into_iter().chain(large).chain(many) {
            for places in 0..=4 {
                assert_eq!(decimal(number, places), exact(number, places), "{number:?} to {places}");
                assert_eq!(decimal(-number, places), exact(-number, places), "-{number:?} to {places}");
            }
        }
    }
}
