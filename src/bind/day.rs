//! Which day was meant by one that is written another way than year, month and day. Refuses to choose between two.

use crate::quantity::Date;

const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

/// How to write the day: the one that was meant, or the two it may be.
pub(super) fn help(text: &str) -> String {
    match meant(text).as_slice() {
        [day] => format!("write the day as {day}"),
        [one, other] => format!("write the day as {one} or {other}, whichever is meant"),
        _ => "write the day as year, month and day, such as 2026-04-18".to_owned(),
    }
}

/// The days a text may mean: none, one or two.
fn meant(text: &str) -> Vec<Date> {
    let pieces: Vec<&str> = text.split([' ', '-', '/', '.', ',']).filter(|piece| !piece.is_empty()).collect();
    let [first, second, third] = pieces.as_slice() else { return Vec::new() };
    let number = |piece: &str| piece.parse::<u16>().ok().filter(|_| piece.len() <= 4);
    let short = |piece: &str| number(piece).and_then(|number| u8::try_from(number).ok()).filter(|_| piece.len() <= 2);
    let year = |piece: &str| number(piece).filter(|_| piece.len() == 4);
    let days = match (month(first), month(second)) {
        (None, Some(month)) => match (year(first), year(third)) {
            (Some(year), None) => vec![(year, Some(month), short(third))],
            (None, Some(year)) => vec![(year, Some(month), short(first))],
            _ => Vec::new(),
        },
        (Some(month), None) => year(third).map(|year| (year, Some(month), short(second))).into_iter().collect(),
        (Some(_), Some(_)) => Vec::new(),
        (None, None) => match (year(first), year(third)) {
            (Some(year), None) => vec![(year, short(second), short(third))],
            (None, Some(year)) => vec![(year, short(second), short(first)), (year, short(first), short(second))],
            _ => Vec::new(),
        },
    };
    let mut days: Vec<Date> = days.into_iter().filter_map(|(year, month, day)| Date::new(year, month?, day?)).collect();
    days.dedup();
    days
}

/// The number of a month by its English name, whole or cut short.
fn month(word: &str) -> Option<u8> {
    const WHOLE: [&str; 12] = [
        "january",
        "february",
        "march",
        "april",
        "may",
        "june",
        "july",
        "august",
        "september",
        "october",
        "november",
        "december",
    ];
    let word = word.to_lowercase();
    let at = MONTHS.iter().position(|month| word.starts_with(month))?;
    WHOLE.get(at).filter(|whole| whole.starts_with(&word)).and_then(|_| u8::try_from(at + 1).ok())
}

#[cfg(test)]
mod tests {
    use super::help;

    #[test]
    fn the_day_that_was_meant_is_said_as_it_is_written() {
        for (text, day) in [
            ("12 Jan 2026", "2026-01-12"),
            ("12-January-2026", "2026-01-12"),
            ("Jan 12, 2026", "2026-01-12"),
            ("2026/1/2", "2026-01-02"),
            ("2026.01.02", "2026-01-02"),
            ("31.1.2026", "2026-01-31"),
            ("1/31/2026", "2026-01-31"),
            ("2/2/2026", "2026-02-02"),
        ] {
            assert_eq!(help(text), format!("write the day as {day}"), "{text}");
        }
        assert_eq!(help("3/4/2026"), "write the day as 2026-04-03 or 2026-03-04, whichever is meant");
        for text in ["soon", "2026-02-30", "12 Foo 2026", "1/3/26", "12 Jane 2026", "2026-13-40", "1 2 3 4"] {
            assert_eq!(help(text), "write the day as year, month and day, such as 2026-04-18", "{text}");
        }
    }
}
