//! Small differences that decide: a day, a position, an end that does not count in, a tie, a guard that is just met. Each stands
//! where a slip of one sign in the program once went unseen.

use trochoid::judge::{Grade, GradeSet};
use trochoid::quantity::Number;
use trochoid::shop::{Ask, Checked, Shop};
use trochoid::text::Source;

/// Only what is not good, and nothing in words: the quickest way through, which most records take.
const QUICK: Ask = Ask { tell: GradeSet::NONE, rulings: false, as_of: None };
const WHOLE: Ask = Ask { tell: GradeSet::NOT_GOOD, rulings: true, as_of: None };

fn shop(members: &str, rows: &str) -> Shop {
    let book = format!(
        "rulebook \"Small\" edition 2026-03-01\nunit mm = 0.001 m\nunit um = 0.001 mm\npart pump {{\n{members}\n}}\n\
         generation small \"an invented pump\" {{\n{rows}\n}}\n"
    );
    let shop = Shop::of_sources(&[Source::new("small.rulebook", book)]);
    assert!(shop.is_sound(), "{:?}", shop.findings());
    shop
}

fn checked(shop: &Shop, record: &str, ask: &Ask) -> Checked {
    shop.check_source(&Source::new("P-1.yaml", format!("generation: small\n{record}")), ask)
}

/// The grade, which is the same however much is asked for.
fn grade(shop: &Shop, record: &str) -> Grade {
    let (quick, whole) = (checked(shop, record, &QUICK), checked(shop, record, &WHOLE));
    assert_eq!(quick.grade, whole.grade, "{record}");
    whole.grade.unwrap()
}

#[test]
fn of_two_ends_at_one_place_the_open_one_counts() {
    for (standard, limit) in [("below 1 mm", "at most 1 mm"), ("above 1 mm", "at least 1 mm")] {
        let shop = shop("a : mm", &format!("pump.a standard {standard} limit {limit} {{ from memory }}"));
        assert_eq!(grade(&shop, "a: 1 mm"), Grade::Worn, "standard {standard}, limit {limit}");
    }
}

#[test]
fn long_numbers_round_a_tie_to_the_even_one() {
    let number = |text: &str| Number::parse(text).unwrap();
    for (text, whole) in [
        ("123456789012345678901234567890.5", "123456789012345678901234567890"),
        ("123456789012345678901234567891.5", "123456789012345678901234567892"),
        ("-123456789012345678901234567890.5", "-123456789012345678901234567890"),
        ("-123456789012345678901234567891.5", "-123456789012345678901234567892"),
        ("123456789012345678901234567890.50000000000000000000000000001", "123456789012345678901234567891"),
    ] {
        assert_eq!(number(text).round(), number(whole), "{text}");
        assert_eq!(number(text).to_decimal(0), whole, "{text}");
        assert_eq!(number(text).round_to(&Number::ONE), Some(number(whole)), "{text}");
    }
}

#[test]
fn a_fraction_has_as_many_places_as_it_takes_to_write_it() {
    let ratio = |above: i64, below: i64| Number::ratio(above, below).unwrap();
    // By hand: 1/2^n has n places, 1/5^n has n, 1/(2^m 5^n) the larger of the two, whatever else is below none.
    let mut five = 1_i64;
    for places in 0..=26_u32 {
        assert_eq!(ratio(1, five).decimal_places(), Some(places), "1/5^{places}");
        assert_eq!(ratio(1, 1 << places).decimal_places(), Some(places), "1/2^{places}");
        five = five.saturating_mul(5);
    }
    assert_eq!(ratio(1, 1 << 40).decimal_places(), Some(40));
    assert_eq!(ratio(3, (1 << 30) * 125).decimal_places(), Some(30));
    assert_eq!(ratio(1, 8 * 6_103_515_625).decimal_places(), Some(14));
    assert_eq!(ratio(1, 8).checked_div(&ratio(6_103_515_625_000, 1)).unwrap().decimal_places(), Some(17));
    for below in [3, 7, 6, 15, 3 << 40, 7 * 1_220_703_125] {
        assert_eq!(ratio(1, below).decimal_places(), None, "1/{below}");
    }
    assert_eq!(ratio(1, 1 << 40).to_text(50), "0.0000000000009094947017729282379150390625");
}

fn conceded(shop: &Shop, readings: &str, row: &str, more: &str) -> Checked {
    let signed = format!("concessions:\n  - {{ row: {row}, because: agreed, by: shop foreman{more} }}\n");
    checked(shop, &format!("finished: 2026-06-10\n{readings}{signed}"), &WHOLE)
}

#[test]
fn a_concession_holds_to_the_end_of_its_last_day() {
    let shop = shop("a : mm", "pump.a limit at most 1 mm { from memory }");
    for (until, grade) in [("2026-06-11", Grade::Excused), ("2026-06-10", Grade::Excused), ("2026-06-09", Grade::Out)] {
        assert_eq!(conceded(&shop, "a: 2 mm\n", "a", &format!(", until: {until}")).grade, Some(grade), "until {until}");
    }
}

#[test]
fn a_concession_is_for_the_position_and_the_station_it_names() {
    let shop = shop(
        "part gear at drive, idle {\n width : mm\n height at one, two : mm\n derive gap : mm = width - 1 mm\n }",
        "gear.width limit at most 1 mm { from memory }\neach of gear.height limit at most 1 mm { from memory }\n\
         gear.gap limit at most 0 mm { from memory }\nlargest of gear.height limit at most 1 mm { from memory }",
    );
    let one = |at: &str| format!("  {at}:\n    width: 2 mm\n    height: {{ one: 2 mm, two: 2 mm }}\n");
    let readings = format!("gear:\n{}{}", one("drive"), one("idle"));
    // Rulings that are out: of each gear a width, two heights, a gap and a largest height.
    for (row, excused) in [
        ("gear.drive.width", vec!["gear.drive.width"]),
        ("gear.idle.gap", vec!["gear.idle.gap"]),
        ("gear.drive.height.one", vec!["gear.drive.height.one"]),
        ("gear.idle.height.two", vec!["gear.idle.height.two"]),
        ("gear.idle.height", vec!["gear.idle.height", "gear.idle.height.one", "gear.idle.height.two"]),
    ] {
        let checked = conceded(&shop, &readings, row, "");
        let of = |grade: Grade| checked.rulings.iter().filter(move |told| told.grade == grade);
        let mut found: Vec<String> = of(Grade::Excused).map(|told| told.path.clone()).collect();
        found.sort_unstable();
        assert_eq!(found, excused, "{row}");
        assert_eq!(of(Grade::Out).count(), 10 - excused.len(), "{row}");
        assert_eq!(checked.grade, Some(Grade::Out), "{row}");
    }
}

#[test]
fn rows_that_round_are_not_passed_at_a_first_look() {
    // 0.15 lies in both ranges as it is; rounded to the even tenth it is 0.2, which does not.
    let rows = |more: &str| format!("pump.a standard at most 0.16 mm limit at most 0.17 mm {more} {{ from memory }}");
    assert_eq!(grade(&shop("a : mm", &rows("")), "a: 0.15 mm"), Grade::Good);
    let rounded = shop("a : mm", &rows("rounded to 0.1 mm"));
    assert_eq!(grade(&rounded, "a: 0.15 mm"), Grade::Out);
    assert_eq!(grade(&rounded, "a: 0.149 mm"), Grade::Good);
}

#[test]
fn what_is_missing_outweighs_what_was_left_out() {
    let both = |derivation: &str| {
        shop(
            &format!("may : mm, optional\nmust : mm\nyes_may : yes/no, optional\nyes_must : yes/no\n{derivation}"),
            "pump.both limit at most 1 mm { from memory }",
        )
    };
    for derivation in ["may - must", "must - may", "must + may", "largest of (may, must + may)"] {
        let shop = both(&format!("derive both : mm = {derivation}"));
        let found = checked(&shop, "yes_must: yes\n", &WHOLE);
        assert_eq!(found.grade, Some(Grade::Unmeasured), "{derivation}");
        // With what must be there the row waits only for what may be left out, and is skipped.
        let found = checked(&shop, "yes_must: yes\nmust: 1 mm\n", &WHOLE);
        assert_eq!((found.grade, found.skipped), (Some(Grade::Good), 1), "{derivation}");
    }
}

#[test]
fn one_side_of_and_and_or_settles_it_and_else_the_missing_side_is_missed() {
    let members = "a : mm\nyes_one : yes/no\nyes_two : yes/no\nyes_may : yes/no, optional";
    let row =
        |condition: &str| shop(members, &format!("pump.a limit at most 1 mm where {condition} {{ from memory }}"));
    let (applies, not, unknown) = (Grade::Out, Grade::Good, Grade::Unmeasured);
    for (word, said, expected) in
        [("and", "no", not), ("and", "yes", unknown), ("or", "yes", applies), ("or", "no", unknown)]
    {
        for condition in [format!("yes_one {word} yes_two"), format!("yes_two {word} yes_one")] {
            let found = grade(&row(&condition), &format!("a: 2 mm\nyes_one: {said}\n"));
            assert_eq!(found, expected, "{condition}, yes_one is {said}");
        }
        // The same with a side that may be left out: what is not settled is skipped.
        for condition in [format!("yes_one {word} yes_may"), format!("yes_may {word} yes_one")] {
            let found = checked(&row(&condition), &format!("a: 2 mm\nyes_one: {said}\nyes_two: no\n"), &WHOLE);
            let skipped = usize::from(expected == unknown);
            let grade = if expected == applies { Grade::Out } else { Grade::Good };
            assert_eq!((found.grade, found.skipped), (Some(grade), skipped), "{condition}, yes_one is {said}");
        }
    }
}

#[test]
fn a_value_just_as_far_from_an_end_as_its_guard_is_inside_or_not_yet_outside() {
    let rows = "pump.a limit 0.10 to 0.20 mm { from memory }\n}\nhouse \"Lapwing Pumps\" { judge by guard band";
    let shop = shop("a : mm", rows);
    // Expanded uncertainty 4 µm, k = 2, guard band of as much: 0.104 to 0.196 is inside, up to 0.096 and from 0.204 near.
    for (value, expected) in [
        ("0.1040", Grade::Good),
        ("0.1039", Grade::Unsettled),
        ("0.1000", Grade::Unsettled),
        ("0.0960", Grade::Unsettled),
        ("0.0959", Grade::Out),
        ("0.1960", Grade::Good),
        ("0.1961", Grade::Unsettled),
        ("0.2040", Grade::Unsettled),
        ("0.2041", Grade::Out),
    ] {
        let record = format!("gauges:\n  mic: {{ uncertainty: 4 um }}\na: {{ value: {value} mm, gauge: mic }}\n");
        assert_eq!(grade(&shop, &record), expected, "{value} mm");
    }
}
