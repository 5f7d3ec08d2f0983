//! Readings that cannot be: no false alarm inside every range, nothing outside it ever passes, and a value that somebody
//! confirms is judged as if no book held it implausible.

use proptest::prelude::*;
use trochoid::bind::Readings;
use trochoid::book::decision::Rule;
use trochoid::finding::{Code, Finding, NoteKind};
use trochoid::judge::{self, Grade, Verdict};
use trochoid::plan::Plan;
use trochoid::record::Record;
use trochoid::shop::Shop;
use trochoid::text::Source;

/// The lines that only `plausible` takes are marked `#p`, so that a book without them is the same book otherwise.
const BOOK: &str = "rulebook \"t\" edition 2026-03-01
unit mm = 0.001 m
unit um = 0.001 mm
unit in = 25.4 mm
constant bore : mm
plausible gauges mm : 0.5 um to 0.2 mm  #p
part pump {
    gap  : mm, optional
    lift : mm, may be negative
    part gear at drive, idle {
        width at a, b : mm, 2 readings or more AGREE
        derive play : mm = 20.5 mm - largest of width
    }
}
basis common \"c\" {
    plausible gear.width bore - 1 mm to bore + 0.5 mm  #p
    plausible pump.gap   at most 2 mm  #p
    gear.play            standard 0.3 to 0.6 mm limit at least 0.2 mm
    smallest of gear.width limit at least 19.5 mm
    each of gear.width   limit at most 20.4 mm
    pump.gap             limit at most 0.5 mm
    pump.lift            limit -1 to 1 mm advisory
}
generation small \"g\" follows common { constant bore = 20 mm }
";

fn shop(plausible: bool, house: &str) -> Shop {
    let lines = BOOK.lines().filter(|line| plausible || !line.ends_with("#p"));
    let text: String = lines.map(|line| format!("{line}\n")).collect();
    let text = text.replace("AGREE", if plausible { ", agree within 0.10 mm" } else { "" });
    let shop = Shop::of_sources(&[Source::new("t.rulebook", text + house)]);
    assert!(shop.is_sound(), "{:?}", shop.findings());
    shop
}

fn record(gap: &str, widths: &[[String; 2]; 4]) -> Record {
    let list = |values: &[String; 2]| format!("[{}]", values.join(", "));
    let [a, b, c, d] = widths;
    let text = format!(
        "build: K-1\ngeneration: small\ngap: {gap}\nlift: -0.5 mm\ngear:\n  drive:\n    width: {{ a: {}, b: {} }}\n  idle:\n    width: {{ a: {}, b: {} }}\n",
        list(a),
        list(b),
        list(c),
        list(d)
    );
    Record::of(Source::new("K-1.yaml", text))
}

struct Judged {
    verdict: Verdict,
    said: Vec<Finding>,
}

impl Judged {
    fn says(&self, code: Code) -> usize {
        self.said.iter().filter(|finding| finding.code == code).count()
    }

    /// Everything it comes to, without the findings of the record.
    fn written(&self) -> String {
        let Verdict { grade, rulings, counts, skipped, .. } = &self.verdict;
        format!("{grade:?} {counts:?} {skipped} {rulings:?}")
    }
}

fn plan<'a>(shop: &'a Shop, readings: &Readings) -> &'a Plan {
    shop.plan(readings.generation.unwrap()).unwrap()
}

fn judged(shop: &Shop, record: &Record) -> Judged {
    let (readings, said) = shop.readings(record.sheet.as_ref().unwrap(), &record.source, None);
    let plan = plan(shop, &readings);
    let verdict = judge::judge(&shop.book, plan, &readings);
    let faults = judge::judge_for_faults(&shop.book, plan, &readings);
    assert_eq!((faults.grade, faults.counts), (verdict.grade, verdict.counts));
    // The first look changes nothing.
    let mut slow = plan.clone();
    slow.plausible.bounds.iter_mut().for_each(|bounds| bounds.short = None);
    let (mut again, mut bound) = shop.bind(record.sheet.as_ref().unwrap(), &record.source);
    bound.extend(judge::screen(&shop.book, &slow, &mut again));
    assert_eq!(bound, said);
    Judged { verdict, said }
}

/// A length in hundredths of a millimetre, in one of two units, both exact.
fn written(hundredths: i64, inches: bool) -> String {
    // A hundredth of a millimetre is no short decimal in inches, but 254 of them are a tenth of an inch.
    if inches && hundredths % 254 == 0 {
        return format!("{}.{} in", hundredths / 2540, hundredths % 2540 / 254);
    }
    let sign = if hundredths < 0 { "-" } else { "" };
    format!("{sign}{}.{:02} mm", hundredths.abs() / 100, hundredths.abs() % 100)
}

/// Widths from 19.0 to 20.5 mm, those of one gear at most 0.10 mm apart.
fn widths() -> impl Strategy<Value = [[String; 2]; 4]> {
    let gear = || (1900_i64..=2040, prop::array::uniform4(0_i64..=10), any::<bool>());
    (gear(), gear()).prop_map(|((one, by, inches), (other, more, also))| {
        let [a, b, c, d] = by.map(|by| written(one + by, inches));
        let [e, f, g, h] = more.map(|by| written(other + by, also));
        [[a, b], [c, d], [e, f], [g, h]]
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn what_lies_inside_is_judged_as_if_no_book_said_so(gap in 0_i64..=200, widths in widths()) {
        let record = record(&written(gap, false), &widths);
        let (with, without) = (judged(&shop(true, ""), &record), judged(&shop(false, ""), &record));
        prop_assert_eq!(&with.said, &without.said);
        prop_assert_eq!(with.written(), without.written());
    }

    #[test]
    fn what_lies_outside_never_passes(
        gap in 0_i64..=200,
        mut widths in widths(),
        at in (0_usize..4, 0_usize..2),
        value in prop_oneof![-9999_i64..=1899, 2051_i64..=99_999],
    ) {
        widths[at.0][at.1] = written(value, false);
        let concession = "\nconcessions:\n  - { row: gear.drive.play, because: x, by: Y }\n  - { row: gear.idle.play, because: x, by: Y }\n  - { row: gear.drive.width, because: x, by: Y }\n  - { row: gear.idle.width, because: x, by: Y }\n";
        let plain = record(&written(gap, false), &widths);
        let excused = Record::of(Source::new("K-1.yaml", plain.source.text().to_owned() + concession));
        for record in [&plain, &excused] {
            let judged = judged(&shop(true, ""), record);
            prop_assert_eq!(judged.says(Code::ReadingImplausible), 1);
            prop_assert!(!judged.verdict.grade.passes(), "{:?}", judged.verdict.grade);
            prop_assert!(judged.verdict.grade >= Grade::Unmeasured);
        }
    }

    #[test]
    fn what_stands_apart_never_passes(gap in 0_i64..=200, mut widths in widths(), at in 0_usize..2, by in 21_i64..=60) {
        // A station of one gear, moved further than any other of it can lie, and still inside what a width can be.
        let middle = 2000 + by;
        widths[2] = [written(2000 - by / 2 - 11, false), written(2000 - by / 2 - 12, false)];
        widths[3] = [written(2000 - by / 2 - 10, false), written(2000 - by / 2 - 11, false)];
        widths[2 + at][0] = written(middle.min(2050), false);
        let judged = judged(&shop(true, ""), &record(&written(gap, false), &widths));
        prop_assert_eq!((judged.says(Code::ReadingImplausible), judged.says(Code::ReadingsDisagree)), (0, 1));
        prop_assert!(!judged.verdict.grade.passes());
        let finding = judged.said.iter().find(|finding| finding.code == Code::ReadingsDisagree).unwrap();
        prop_assert_eq!(finding.place.as_ref().unwrap().0.text(), &widths[2 + at][0]);
        prop_assert!(finding.because.len() >= 2, "both values and the declaration are shown");
    }

    #[test]
    fn what_somebody_confirms_is_judged_as_if_no_book_said_so(
        gap in -500_i64..=500,
        mut widths in widths(),
        at in (0_usize..4, 0_usize..2),
        value in -9999_i64..=99_999,
    ) {
        let confirmed = |text: String| format!("{{ value: {text}, confirmed: J. Doe }}");
        widths[at.0][at.1] = confirmed(written(value, false));
        let record = record(&confirmed(written(gap, false)), &widths);
        let (with, without) = (judged(&shop(true, ""), &record), judged(&shop(false, ""), &record));
        prop_assert_eq!(with.written(), without.written());
        prop_assert_eq!(with.says(Code::ReadingImplausible) + with.says(Code::ReadingsDisagree), 0);
        let outside = usize::from(!(0..=200).contains(&gap));
        prop_assert!(with.says(Code::ReadingConfirmed) >= outside);
        // Each of the two is either needed or idle; without a range both are idle, but for one below zero and a width that
        // would be among the others with two digits swapped.
        prop_assert_eq!(with.says(Code::ReadingConfirmed) + with.says(Code::ConfirmationIdle), 2);
        prop_assert_eq!(without.says(Code::ReadingConfirmed) + without.says(Code::ConfirmationIdle), 2);
        prop_assert!(with.said.iter().filter(|one| one.code == Code::ReadingConfirmed).all(|one| one.message.contains("J. Doe")));
    }
}

#[test]
fn a_value_confirmed_though_two_digits_seem_swapped_is_named() {
    let mut widths = fixed("{ value: 91.00 mm, confirmed: J. Doe }");
    widths[1..].iter_mut().for_each(|row| *row = ["19.00 mm".to_owned(), "19.01 mm".to_owned()]);
    widths[0][1] = "19.02 mm".to_owned();
    let judged = judged(&shop(false, ""), &record("0.1 mm", &widths));
    assert_eq!((judged.says(Code::DigitsSwapped), judged.says(Code::ConfirmationIdle)), (0, 0));
    let named = judged.said.iter().find(|finding| finding.code == Code::ReadingConfirmed).unwrap();
    assert!(named.message.contains("the others are nearer to 19.00 mm"), "{}", named.message);
}

fn fixed(width: &str) -> [[String; 2]; 4] {
    let row = || ["20.00 mm".to_owned(), "20.01 mm".to_owned()];
    [[width.to_owned(), "20.01 mm".to_owned()], row(), row(), row()]
}

#[test]
fn the_ends_count_in_and_just_past_them_does_not() {
    let shop = shop(true, "");
    for (gap, says) in
        [("2 mm", 0), ("2.000000000000000001 mm", 1), ("0 mm", 0), ("-0.000000000000000001 mm", 1), ("0.1 in", 1)]
    {
        assert_eq!(judged(&shop, &record(gap, &fixed("20.00 mm"))).says(Code::ReadingImplausible), says, "{gap}");
    }
}

#[test]
fn an_optional_reading_that_cannot_be_is_not_left_out() {
    let shop = shop(true, "");
    assert!(judged(&shop, &record("unknown", &fixed("20.00 mm"))).verdict.grade == Grade::Unmeasured);
    let left_out = record("", &fixed("20.00 mm"));
    assert!(judged(&shop, &left_out).verdict.grade.passes());
    assert_eq!(judged(&shop, &record("-0.1 mm", &fixed("20.00 mm"))).verdict.grade, Grade::Unmeasured);
}

#[test]
fn a_shop_narrows_from_a_day_on() {
    let shop = shop(true, "house \"H\" { for small from 2026-06-01 { narrow pump.gap at most 1 mm } }\n");
    let on = |day: &str| {
        let text = record("1.5 mm", &fixed("20.00 mm"))
            .source
            .text()
            .replace("build: K-1\n", &format!("build: K-1\nfinished: {day}\n"));
        judged(&shop, &Record::of(Source::new("K-1.yaml", text))).says(Code::ReadingImplausible)
    };
    assert_eq!((on("2026-05-31"), on("2026-06-01")), (0, 1));
}

#[test]
fn a_gauge_that_cannot_be_lets_nothing_pass_under_a_guard_band() {
    let guarded = shop(true, "house \"H\" { judge by guard band }\n");
    assert!(matches!(guarded.book.decision.rule, Rule::GuardBand(_)));
    let simple = shop(true, "");
    let with = |figures: &str, own: &str| {
        let reading = format!("{{ value: 20.00 mm, gauge: m{own} }}");
        let text =
            record("0.1 mm", &fixed(&reading)).source.text().to_owned() + &format!("gauges:\n  m: {{ {figures} }}\n");
        Record::of(Source::new("K-1.yaml", text))
    };
    for (figures, own, guarded_passes) in [
        ("uncertainty: 2 um", "", true),
        ("uncertainty: 0.2 um", "", false),
        ("uncertainty: 0.5 mm", "", false),
        ("uncertainty: 1 um, resolution: 0.011 mm", "", false),
        ("uncertainty: 1 um, resolution: 0.010 mm", "", true),
        ("uncertainty: 0.2 um, confirmed: J. Doe", "", true),
        ("uncertainty: 0.2 um", ", uncertainty: 2 um", true),
        ("uncertainty: 0.2 um", ", confirmed: J. Doe", true),
    ] {
        let record = with(figures, own);
        let judged_so = judged(&guarded, &record);
        assert_eq!(judged_so.verdict.grade != Grade::Unmeasured, guarded_passes, "{figures} {own}");
        assert!(judged(&simple, &record).verdict.grade.passes(), "{figures}");
        let finer = figures.contains("0.2 um") || figures.contains("0.5 mm") || figures.contains("0.011");
        let wrong = finer && !figures.contains("confirmed");
        assert_eq!(judged(&simple, &record).says(Code::GaugeImplausible), usize::from(wrong), "{figures}");
    }
}

#[test]
fn a_readings_own_uncertainty_that_cannot_be_lets_nothing_pass_under_a_guard_band() {
    let (guarded, simple) = (shop(true, "house \"H\" { judge by guard band }\n"), shop(true, ""));
    for (own, right) in [
        ("uncertainty: 0.5 um", true),
        ("uncertainty: 0.499 um", false),
        ("uncertainty: 0 um", false),
        ("uncertainty: 0.2 mm", true),
        ("uncertainty: 0.201 mm", false),
        ("uncertainty: 0.02 in", false),
    ] {
        for (also, counts) in [("", right), (", gauge: m", right), (", confirmed: J. Doe", true)] {
            let reading = format!("{{ value: 20.00 mm, {own}{also} }}");
            let text =
                record("0.1 mm", &fixed(&reading)).source.text().to_owned() + "gauges: { m: { uncertainty: 2 um } }\n";
            let record = Record::of(Source::new("K-1.yaml", text));
            let (strict, plain) = (judged(&guarded, &record), judged(&simple, &record));
            assert_eq!(strict.verdict.grade != Grade::Unmeasured, counts, "{own}{also}");
            assert_eq!(strict.says(Code::GaugeImplausible), if counts { 0 } else { 2 }, "{own}{also}");
            assert!(plain.verdict.grade.passes(), "{own}{also}");
            assert_eq!(plain.says(Code::GaugeImplausible), usize::from(!counts), "{own}{also}");
        }
    }
}

#[test]
fn a_gauges_figure_says_which_slip_it_reads_like_where_only_one_explains_it() {
    let shop = shop(true, "");
    for (figure, slip) in [
        ("0.002 um", Some("0.002 um reads like 0.002 mm with the wrong unit")),
        ("50 mm", Some("50 mm reads like 50 um with the wrong unit")),
        ("0.2 um", None),
        ("1000 mm", None),
        ("0.0001 um", None),
        ("0.0004 um", None),
        ("0.02 um", None),
    ] {
        let text = record("0.1 mm", &fixed("20.00 mm")).source.text().to_owned()
            + &format!("gauges: {{ m: {{ uncertainty: {figure} }} }}\n");
        let said = judged(&shop, &Record::of(Source::new("K-1.yaml", text))).said;
        let notes = said.iter().filter(|one| one.code == Code::GaugeImplausible).flat_map(|one| &one.notes);
        let slips: Vec<&str> = notes.filter(|note| note.kind == NoteKind::Slip).map(|note| &*note.text).collect();
        assert_eq!(slips, slip.into_iter().collect::<Vec<_>>(), "{figure}");
    }
}
