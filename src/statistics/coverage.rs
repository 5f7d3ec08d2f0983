//! Coverage factors and effective degrees of freedom of JCGM 100:2008, Annex G; refuses a factor below one degree of freedom.

use crate::quantity::{Number, Value};

/// JCGM 100:2008, Table G.2, the column of p = 95.45 %: degrees of freedom, factor in thousandths. The probability is
/// that of two standard deviations of a normal distribution. Every entry was recomputed; none is a misprint.
const TABLE_G_2: [(i64, i64); 27] = [
    (1, 13_970),
    (2, 4_530),
    (3, 3_310),
    (4, 2_870),
    (5, 2_650),
    (6, 2_520),
    (7, 2_430),
    (8, 2_370),
    (9, 2_320),
    (10, 2_280),
    (11, 2_250),
    (12, 2_230),
    (13, 2_210),
    (14, 2_200),
    (15, 2_180),
    (16, 2_170),
    (17, 2_160),
    (18, 2_150),
    (19, 2_140),
    (20, 2_130),
    (25, 2_110),
    (30, 2_090),
    (35, 2_070),
    (40, 2_060),
    (45, 2_060),
    (50, 2_050),
    (100, 2_025),
];

/// The same column for infinitely many degrees of freedom.
const INFINITE: i64 = 2;

/// The coverage factor for 95.45 %: the entry of Table G.2 for the next lower degrees of freedom it has (G.4.1 truncates);
/// `freedom` is `None` where it is infinite. `None` below one degree of freedom, where there is no factor.
#[must_use]
pub fn factor(freedom: Option<&Number>) -> Option<Number> {
    let Some(freedom) = freedom else { return Some(Number::from_integer(INFINITE)) };
    Number::ratio(entry(freedom)?.1, 1_000)
}

/// The degrees of freedom that the factor for `freedom` belongs to: the next lower ones Table G.2 has. `None` below one.
#[must_use]
pub fn freedom_of_factor(freedom: &Number) -> Option<i64> {
    entry(freedom).map(|(entry, _)| *entry)
}

fn entry(freedom: &Number) -> Option<&'static (i64, i64)> {
    TABLE_G_2.iter().rev().find(|(entry, _)| Number::from_integer(*entry) <= *freedom)
}

/// The effective degrees of freedom of a combined standard uncertainty, by the Welch-Satterthwaite formula (JCGM 100:2008,
/// G.2b): the square of the sum of the parts over the sum of their squares, each divided by its degrees of freedom.
///
/// Each part is a contribution to the variance, c²u², with its degrees of freedom, `None` where they are infinite. The answer
/// is `None` where it is infinite, exact where the parts are, and else the lower end of what is known, since fewer degrees of
/// freedom are the safe side. A part with none at all leaves none.
#[must_use]
pub fn effective_freedom(contributions: &[(Value, Option<Number>)]) -> Option<Number> {
    let mut total = Value::ZERO;
    let mut below = Value::ZERO;
    for (part, freedom) in contributions {
        total = total.add(part);
        let Some(freedom) = freedom else { continue };
        if part == &Value::ZERO {
            continue;
        }
        if freedom.signum() <= 0 {
            return Some(Number::ZERO);
        }
        below = below.add(&part.multiply(part).divide(&Value::from(freedom.clone()))?);
    }
    if below == Value::ZERO {
        return None;
    }
    Some(total.multiply(&total).divide(&below)?.enclosure().low)
}
