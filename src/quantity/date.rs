//! Calendar days and runs of them, written one way only; refuses to know what day it is today.

use std::fmt;

/// A day of the Gregorian calendar from 1900 to 2999.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Date {
    year: u16,
    month: u8,
    day: u8,
}

impl Date {
    /// A day that exists; `None` for any other.
    #[must_use]
    pub fn new(year: u16, month: u8, day: u8) -> Option<Date> {
        let leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
        let days = match month {
            1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
            4 | 6 | 9 | 11 => 30,
            2 => 28 + u8::from(leap),
            _ => return None,
        };
        ((1900..=2999).contains(&year) && (1..=days).contains(&day)).then_some(Date { year, month, day })
    }

    /// A day written as ISO 8601 has it, `YYYY-MM-DD`; `None` for anything else, and for a day that does not exist.
    #[must_use]
    pub fn parse(text: &str) -> Option<Date> {
        let digits = |place: std::ops::Range<usize>| {
            let part = text.get(place)?;
            part.bytes().all(|byte| byte.is_ascii_digit()).then(|| part.parse::<u16>().ok()).flatten()
        };
        if text.len() != 10 || text.get(4..5) != Some("-") || text.get(7..8) != Some("-") {
            return None;
        }
        Date::new(digits(0..4)?, u8::try_from(digits(5..7)?).ok()?, u8::try_from(digits(8..10)?).ok()?)
    }

    /// The year.
    #[must_use]
    pub fn year(self) -> u16 {
        self.year
    }

    /// The month, from 1.
    #[must_use]
    pub fn month(self) -> u8 {
        self.month
    }

    /// The day of the month, from 1.
    #[must_use]
    pub fn day(self) -> u8 {
        self.day
    }
}

impl Date {
    /// The day after; none after the last one.
    #[must_use]
    pub fn next(self) -> Option<Date> {
        Date::new(self.year, self.month, self.day + 1)
            .or_else(|| Date::new(self.year, self.month + 1, 1))
            .or_else(|| Date::new(self.year + 1, 1, 1))
    }

    /// The day before; none before the first one.
    #[must_use]
    pub fn previous(self) -> Option<Date> {
        if self.day > 1 {
            return Date::new(self.year, self.month, self.day - 1);
        }
        let (year, month) = if self.month > 1 { (self.year, self.month - 1) } else { (self.year - 1, 12) };
        (28..=31).rev().find_map(|day| Date::new(year, month, day))
    }
}

impl Date {
    /// How many days after another day this one is; below nothing where it comes before.
    #[must_use]
    pub fn days_since(self, earlier: Date) -> i64 {
        self.number() - earlier.number()
    }

    /// The day counted on from the last day of the year before 1 March of year 0: leap days fall at the ends of years then.
    fn number(self) -> i64 {
        let (year, month) = (i64::from(self.year), i64::from(self.month));
        let (year, month) = if month > 2 { (year, month - 3) } else { (year - 1, month + 9) };
        // Months of 31 and 30 days in turn, 153 days in five: no month but February, the last, is out of step.
        365 * year + year / 4 - year / 100 + year / 400 + (153 * month + 2) / 5 + i64::from(self.day)
    }
}

/// A run of days, both ends counted in; an end left out is no end.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct Days {
    /// The first day.
    pub from: Option<Date>,
    /// The last day.
    pub to: Option<Date>,
}

impl Days {
    /// Every day there is.
    pub const ALWAYS: Days = Days { from: None, to: None };

    /// Whether a day is in the run. A day nobody knows is taken to be after every day that is written down.
    #[must_use]
    pub fn holds(self, day: Option<Date>) -> bool {
        match day {
            Some(day) => self.from.is_none_or(|from| from <= day) && self.to.is_none_or(|to| day <= to),
            None => self.to.is_none(),
        }
    }

    /// Whether two runs have a day in common.
    #[must_use]
    pub fn meets(self, other: Days) -> bool {
        let before = |to: Option<Date>, from: Option<Date>| matches!((to, from), (Some(to), Some(from)) if to < from);
        !before(self.to, other.from) && !before(other.to, self.from)
    }

    /// Whether the first day comes after the last.
    #[must_use]
    pub fn is_empty(self) -> bool {
        matches!((self.from, self.to), (Some(from), Some(to)) if to < from)
    }
}

impl fmt::Display for Days {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.from, self.to) {
            (Some(from), Some(to)) => write!(formatter, "from {from} to {to}"),
            (Some(from), None) => write!(formatter, "from {from}"),
            (None, Some(to)) => write!(formatter, "to {to}"),
            (None, None) => formatter.write_str("always"),
        }
    }
}

impl fmt::Display for Date {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]
    use super::{Date, Days};

    #[test]
    fn only_days_of_the_calendar_are_read() {
        for text in ["2024-02-29", "2000-02-29", "1900-01-01", "2999-12-31"] {
            assert_eq!(Date::parse(text).unwrap().to_string(), text);
        }
        // 1900 and 2100 are no leap years (the Gregorian rule, ISO 8601-1:2019, 4.2.1).
        for text in ["1900-02-29", "2100-02-29", "2023-02-29", "2024-04-31", "2024-13-01", "2024-00-10", "2024-01-00"] {
            assert_eq!(Date::parse(text), None, "{text}");
        }
        for text in
            ["", "2024-1-01", "24-01-01", "2024/01/01", "2024-01-01 ", "+024-01-01", "2024-01-0１", "1899-12-31"]
        {
            assert_eq!(Date::parse(text), None, "{text}");
        }
    }

    #[test]
    fn the_day_after_and_the_day_before_lead_back() {
        for (day, next) in [
            ("2024-02-28", "2024-02-29"),
            ("2024-02-29", "2024-03-01"),
            ("2023-02-28", "2023-03-01"),
            ("2026-12-31", "2027-01-01"),
            ("2026-06-30", "2026-07-01"),
        ] {
            let (day, next) = (Date::parse(day).unwrap(), Date::parse(next).unwrap());
            assert_eq!((day.next(), next.previous()), (Some(next), Some(day)));
        }
        assert_eq!(Date::parse("2999-12-31").unwrap().next(), None);
        assert_eq!(Date::parse("1900-01-01").unwrap().previous(), None);
    }

    #[test]
    fn a_run_of_days_holds_both_its_ends() {
        let day = |text| Date::parse(text);
        let june = Days { from: day("2026-06-01"), to: day("2026-06-30") };
        let inside = ["2026-05-31", "2026-06-01", "2026-06-30", "2026-07-01"].map(|text| june.holds(day(text)));
        assert_eq!(inside, [false, true, true, false]);
        assert!(!june.holds(None) && Days { to: None, ..june }.holds(None));
        assert!(june.meets(Days { from: day("2026-06-30"), to: None }));
        assert!(!june.meets(Days { from: day("2026-07-01"), to: None }) && june.meets(Days::ALWAYS));
    }

    #[test]
    fn days_are_counted_one_by_one() {
        // Against the calendar itself, day after day.
        let first = Date::new(1900, 1, 1).unwrap();
        let mut day = first;
        for count in 0_i64.. {
            assert_eq!(day.days_since(first), count, "{day}");
            let Some(next) = day.next() else { break };
            day = next;
        }
        assert_eq!(first.days_since(Date::new(1900, 1, 31).unwrap()), -30);
        // 1,100 years: 400 have 146,097 days (ISO 8601:2004, 3.2.1: 97 leap years in 400).
        assert_eq!(day.days_since(Date::new(2599, 12, 31).unwrap()), 146_097);
    }

    #[test]
    fn days_are_in_calendar_order() {
        let days: Vec<_> = ["1999-12-31", "2000-01-01", "2000-01-02", "2000-02-01", "2001-01-01"]
            .map(|text| Date::parse(text).unwrap())
            .into();
        assert!(days.is_sorted_by(|left, right| left < right));
    }
}
