//! Exact numbers as decimal text, rounded half to even where the decimal must end; refuses exponents and separators.

use super::{Form, Number, arithmetic::half_even, ten};
use num_bigint::BigInt;
use num_traits::{Pow, Signed};

/// The most places ever printed, so that no request can fill the memory.
const MOST_PRINTED: u32 = 1_000;

/// Puts the point into a row of digits that stands for `digits / 10^places`, and the sign before it.
fn place_point(digits: &str, places: usize, negative: bool) -> String {
    let mut text = String::with_capacity(digits.len().max(places) + 3);
    // Nothing rounded away from below is still nothing: no minus before zeros.
    if negative && digits.bytes().any(|digit| digit != b'0') {
        text.push('-');
    }
    let whole = digits.len().saturating_sub(places);
    let (before, after) = digits.split_at(whole);
    text.push_str(if before.is_empty() { "0" } else { before });
    if places > 0 {
        text.push('.');
        text.extend(std::iter::repeat_n('0', places - after.len()));
        text.push_str(after);
    }
    text
}

impl Number {
    /// Exactly `places` digits after the point, rounded half to even; zero carries no minus. At most 1,000 places.
    #[must_use]
    pub fn to_decimal(&self, places: u32) -> String {
        let places = places.min(MOST_PRINTED);
        let after = places as usize;
        let negative = self.signum() < 0;
        if let Form::Decimal { units, places: held } = &self.0 {
            let held = u32::from(*held);
            if held <= places {
                let mut digits = units.unsigned_abs().to_string();
                if *units != 0 {
                    digits.extend(std::iter::repeat_n('0', (places - held) as usize));
                }
                return place_point(&digits, after, negative);
            }
            let step = ten(u8::try_from(held - places).unwrap_or(u8::MAX)).unsigned_abs();
            let whole = units.unsigned_abs() / step;
            let twice = 2 * (units.unsigned_abs() % step);
            let up = twice > step || (twice == step && whole % 2 == 1);
            return place_point(&(whole + u64::from(up)).to_string(), after, negative);
        }
        let (above, below) = self.big_parts();
        let units = half_even(&(above.abs() * BigInt::from(10).pow(places)), &below);
        place_point(&units.to_string(), after, negative)
    }

    /// The shortest exact decimal if it ends within `most_places`, else rounded to `most_places`.
    #[must_use]
    pub fn to_text(&self, most_places: u32) -> String {
        match self.decimal_places() {
            Some(places) if places <= most_places => self.to_decimal(places),
            _ => self.to_decimal(most_places),
        }
    }
}

impl std::fmt::Display for Number {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.pad(&self.to_text(30))
    }
}
