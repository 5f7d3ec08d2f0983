//! The days on which the same rows are in force. Refuses to know what the rows say.

use crate::book::Row;
use crate::quantity::{Date, Days};

/// The days within `within`, cut wherever one of the rows comes into force or goes out of it.
pub(super) fn runs<'a>(rows: impl Iterator<Item = &'a Row>, within: Days) -> Vec<Days> {
    let mut starts: Vec<Option<Date>> = vec![within.from];
    for row in rows.filter(|row| row.days.meets(within)) {
        let cuts = [row.days.from, row.days.to.and_then(Date::next)];
        starts.extend(cuts.into_iter().flatten().map(Some).filter(|cut| within.meets(Days { from: *cut, to: *cut })));
    }
    starts.sort_unstable();
    starts.dedup();
    let until = |at: usize| starts.get(at + 1).copied().flatten().and_then(Date::previous);
    starts.iter().enumerate().map(|(at, from)| Days { from: *from, to: until(at).or(within.to) }).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::panic, clippy::indexing_slicing, reason = "a test may stop at the first surprise")]

    use super::*;
    use crate::book::Book;

    #[test]
    fn days_are_cut_where_rows_change() {
        let day = |text: &str| Date::parse(text);
        let rows: Vec<Row> =
            rows(&[Days { from: None, to: day("2026-06-30") }, Days { from: day("2026-07-01"), to: None }]);
        let all = runs(rows.iter(), Days::ALWAYS);
        assert_eq!(all, [rows[0].days, rows[1].days]);
        assert_eq!(runs(rows.iter(), rows[1].days), [rows[1].days]);
        let half = Days { from: day("2026-06-10"), to: day("2026-07-10") };
        let cut = [Days { from: half.from, to: day("2026-06-30") }, Days { from: day("2026-07-01"), to: half.to }];
        assert_eq!(runs(rows.iter(), half), cut);
        assert_eq!(runs(std::iter::empty(), half), [half]);
    }

    fn rows(days: &[Days]) -> Vec<Row> {
        let text = "rulebook \"b\" edition 2026-01-01\npart plant { play : number }\n\
                    generation g \"g\" { plant.play limit at most 1 { from memory } }\n";
        let (tree, _) = crate::syntax::parse(&crate::text::Source::new("b", text));
        let book: Book = crate::book::compile(&[tree]).0;
        let Some(row) = book.generations.iter().next().and_then(|generation| generation.rows.first()) else {
            panic!("the book has a row");
        };
        days.iter().map(|days| Row { days: *days, ..Row::clone(row) }).collect()
    }
}
