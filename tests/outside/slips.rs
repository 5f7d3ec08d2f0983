//! Slips of the pen behind values that are worked out: the expected readings are what was misread, put right by hand.

use trochoid::judge::{Grade, GradeSet};
use trochoid::shop::{Ask, Shop};
use trochoid::text::Source;

/// A gap made of two readings, half of it made of the gap, and one that has nothing to do with either.
const BOOK: &str = "rulebook \"Slips\" edition 2026-03-01
unit mm = 0.001 m
part fit {
    bore : mm
    journal : mm
    other : mm
    derive gap : mm = bore - journal
    derive half : mm = gap / 2
    derive twice : mm = 2 * other
}
generation g \"slips\" {
    fit.gap limit 0.04 to 0.08 mm
    fit.half limit 0.02 to 0.04 mm
    fit.twice limit 9 to 11 mm
}
";

/// The grade of each row, and what is said of a slip in it.
fn rows(bore: &str, journal: &str, other: &str) -> Vec<(String, Grade, Option<String>)> {
    let shop = Shop::of_sources(&[Source::new("slips.rulebook", BOOK)]);
    assert!(shop.is_sound(), "{:?}", shop.findings());
    let record = format!("generation: g\nbore: {bore}\njournal: {journal}\nother: {other}\n");
    let ask = Ask { tell: GradeSet::NONE, rulings: true, as_of: None };
    let checked = shop.check_source(&Source::new("r.yaml", record), &ask);
    assert_eq!(checked.record_errors, 0, "{:?}", checked.findings);
    checked.rulings.into_iter().map(|told| (told.path, told.grade, told.slip)).collect()
}

#[test]
fn a_slip_is_found_behind_a_value_and_behind_a_value_made_of_it() {
    for (bore, journal, right) in [
        // The point one place to the left; inches for millimetres, 2.915 in being 74.041 mm.
        ("7.404 mm", "73.98 mm", "74.04"),
        ("74.04 mm", "739.8 mm", "73.98"),
        ("2.915 mm", "73.98 mm", "74.041"),
    ] {
        let rows = rows(bore, journal, "5 mm");
        assert_eq!(rows.len(), 3);
        for (path, grade, slip) in &rows[..2] {
            assert_eq!(*grade, Grade::Out, "{path}: a slip that is named changes no grade");
            let slip = slip.as_deref().unwrap_or_else(|| panic!("{path}: no slip in {bore} and {journal}"));
            assert!(slip.contains(right), "{path}: {slip}");
        }
        assert_eq!((rows[2].1, &rows[2].2), (Grade::Good, &None));
    }
}

#[test]
fn no_slip_is_named_where_no_one_reading_put_right_would_do() {
    // Out by a plain 0.9 mm: no point, inch or swapped digits in either reading give 0.04 to 0.08 mm.
    for (path, grade, slip) in &rows("74.88 mm", "73.92 mm", "5 mm")[..2] {
        assert_eq!((grade, slip), (&Grade::Out, &None), "{path}");
    }
    // A slip in one value leaves the others as they are.
    let rows = rows("74.04 mm", "73.98 mm", "50 mm");
    assert_eq!([rows[0].1, rows[1].1, rows[2].1], [Grade::Good, Grade::Good, Grade::Out]);
    assert!(rows[2].2.as_deref().is_some_and(|slip| slip.contains('5')), "{:?}", rows[2].2);
}

#[test]
fn no_slip_is_named_where_either_of_two_readings_could_be_it() {
    let book = "rulebook \"Slips\" edition 2026-03-01
unit mm = 0.001 m
part fit {
    a : mm
    b : mm
    derive middle : mm = sqrt(a * b)
}
generation g \"slips\" {
    fit.middle limit 150 to 165 mm
}
";
    let shop = Shop::of_sources(&[Source::new("slips.rulebook", book)]);
    let ask = Ask { tell: GradeSet::NONE, rulings: true, as_of: None };
    let slip = |a: &str, b: &str| {
        let record = format!("generation: g\na: {a}\nb: {b}\n");
        shop.check_source(&Source::new("r.yaml", record), &ask).rulings[0].slip.clone()
    };
    // Ten times either 50 mm gives 158 mm: which of the two was misread, nobody can tell.
    assert_eq!(slip("50 mm", "50 mm"), None);
}
