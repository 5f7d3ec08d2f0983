//! Whether rounding in a conversion would have decided a verdict: the record judged again as if its readings had been converted
//! on paper. Refuses to change the verdict by it.

use super::teller::Teller;
use super::{Grade, Verdict, judge};
use crate::bind::Readings;
use crate::book::{Book, Row};
use crate::plan::Plan;
use crate::text::Place;

/// More decimals than this nobody writes on paper.
const MOST_DECIMALS: u8 = 6;

/// A ruling that rounding in a conversion would have changed.
#[derive(Clone, Debug)]
pub struct Conversion {
    /// What is judged, as a record's keys say it.
    pub path: String,
    /// The value judged, exactly converted.
    pub value: String,
    /// Its grade.
    pub grade: Grade,
    /// What the value would have been on paper.
    pub on_paper: String,
    /// The grade that would have had.
    pub grade_on_paper: Grade,
    /// To how many decimals of the book's unit the readings were rounded: as many as the row's range is written with.
    pub decimals: u8,
    /// The first reading it comes from.
    pub place: Option<Place>,
}

/// The rulings of a record that would be others if each of its readings in another unit than the book's had been rounded, when
/// converted, to as many decimals as the row's range is written with.
#[must_use]
pub fn conversions(book: &Book, plan: &Plan, readings: &Readings, verdict: &Verdict) -> Vec<Conversion> {
    let mut found = Vec::new();
    let written: Vec<Option<u8>> = plan.checks.iter().map(|check| decimals(&check.row)).collect();
    for places in 0..=MOST_DECIMALS {
        if !written.contains(&Some(places)) {
            continue;
        }
        let Some(paper) = readings.converted(book, places) else { continue };
        let other = judge(book, plan, &paper);
        let (teller, paper_teller) = (Teller::new(book, plan, readings), Teller::new(book, plan, &paper));
        for ruling in verdict.rulings.iter().filter(|one| written.get(one.check) == Some(&Some(places))) {
            let same = |one: &&super::Ruling| one.check == ruling.check && one.reading == ruling.reading;
            let Some(on_paper) = other.rulings.iter().find(same) else { continue };
            if on_paper.grade == ruling.grade {
                continue;
            }
            let (Some(told), Some(told_on_paper)) = (teller.tell(ruling), paper_teller.tell(on_paper)) else {
                continue;
            };
            found.push(Conversion {
                path: told.path,
                value: told.value.unwrap_or_default(),
                grade: ruling.grade,
                on_paper: paper_teller.plain_value(on_paper).unwrap_or_else(|| told_on_paper.value.unwrap_or_default()),
                grade_on_paper: on_paper.grade,
                decimals: places,
                place: told.place,
            });
        }
    }
    found
}

/// How many decimals a row's range is written with, at the most; none where it has no number.
fn decimals(row: &Row) -> Option<u8> {
    [&row.standard, &row.limit].into_iter().flatten().filter_map(|range| most_decimals(range.place.text())).max()
}

/// The most digits behind a point of the numbers in a text.
fn most_decimals(text: &str) -> Option<u8> {
    let numbers = text.split(|letter: char| !letter.is_ascii_digit() && letter != '.');
    let places = numbers
        .filter(|number| number.starts_with(|letter: char| letter.is_ascii_digit()))
        .map(|number| number.split_once('.').map_or(0, |(_, behind)| u8::try_from(behind.len()).unwrap_or(u8::MAX)));
    places.max()
}

#[cfg(test)]
mod tests {
    use super::most_decimals;

    #[test]
    fn digits_behind_the_point_are_counted_as_written() {
        for (text, most) in [
            ("at least 0.10 mm", Some(2)),
            ("0.05 to 0.125 mm", Some(3)),
            ("at most 10", Some(0)),
            ("yes", None),
            ("5 thou ± 1 thou", Some(0)),
        ] {
            assert_eq!(most_decimals(text), most, "{text}");
        }
    }
}
