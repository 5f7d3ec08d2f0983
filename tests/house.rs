//! A shop's own tolerances as they judge: by day, by build, for each generation; and who says what.

use trochoid::judge::GradeSet;
use trochoid::quantity::Date;
use trochoid::shop::{Ask, Checked, Shop};
use trochoid::text::Source;

const BASE: &str = r#"rulebook "Pump" edition 2026-03-01
unit mm = 0.001 m
constant ratio : number
choice place_of_use = shop, field
part pump {
    duty : place_of_use
    gap  : mm
    lift : number, optional
    wear : mm, optional
    part vane at 1 to 2 {
        width : mm, optional
        age   : choice early, late
    }
}
basis ground "what the pumps share" {
    pump.gap   standard 0.12 to 0.21 mm limit at least 0.10 mm
    pump.lift  limit at least ratio - 0.3
    vane.width limit 20 to 21 mm where age is early
    vane.width limit 20 to 22 mm advisory where age is late
}
generation small "an invented pump" follows ground {
    constant ratio = 9
}
generation large "another invented pump" follows ground {
    constant ratio = 8
}
generation alone "follows nobody" {
    pump.gap limit at least 0.05 mm
}
"#;

const HOUSE: &str = r#"rulebook "House" edition 2026-06-01
house "Lapwing Pumps" {
    judge by simple acceptance
    for ground from 2026-06-01 to 2026-12-31 where duty is field {
        tighten pump.gap standard 0.15 to 0.20 mm { because "Two pumps leaked." }
        tighten pump.lift limit at least ratio - 0.2
        adopt vane.width where age is late
        loosen vane.width limit 19 to 21 mm where age is early { because "Soft seals." }
        add pump.wear limit at most 0.3 mm
    }
    for small from 2027-01-01 {
        adopt vane.width where age is late
        tighten vane.width limit 20 to 21.5 mm where age is late
    }
    retire pump.gap for large from 2027-01-01 { because "Measured by the next man." }
}
"#;

fn shop(house: &str) -> Shop {
    let shop = Shop::of_sources(&[Source::new("base.rulebook", BASE), Source::new("house.rulebook", house)]);
    assert!(shop.findings().is_empty(), "{:#?}", shop.findings());
    shop
}

fn check(shop: &Shop, record: &str, as_of: Option<&str>) -> Checked {
    let as_of = as_of.map(|day| Date::parse(day).unwrap());
    let ask = Ask { tell: GradeSet::NOT_GOOD, rulings: true, as_of };
    shop.check_source(&Source::new("pump.yaml", record), &ask)
}

fn record(generation: &str, finished: &str, duty: &str, rest: &str) -> String {
    let finished = if finished.is_empty() { String::new() } else { format!("finished: {finished}\n") };
    format!("generation: {generation}\n{finished}duty: {duty}\n{rest}\n")
}

/// The grades of one characteristic, with the standard or limit that judged it.
fn told(checked: &Checked, path: &str) -> Vec<String> {
    checked
        .rulings
        .iter()
        .filter(|told| told.path == path)
        .map(|told| format!("{} {}", told.grade.word(), told.standard.as_ref().or(told.limit.as_ref()).unwrap()))
        .collect()
}

#[test]
fn a_change_holds_from_its_first_day_to_its_last_and_on_its_builds_only() {
    let shop = shop(HOUSE);
    let was = "good 0.12 to 0.21 mm";
    let is = "worn 0.15 to 0.20 mm";
    for (generation, finished, duty, expected) in [
        ("small", "2026-05-31", "field", was),
        ("small", "2026-06-01", "field", is),
        ("small", "2026-12-31", "field", is),
        ("small", "2027-01-01", "field", was),
        ("small", "2026-06-01", "shop", was),
        ("large", "2026-06-01", "field", is),
        ("large", "2026-12-31", "shop", was),
        ("alone", "2026-06-01", "field", "good at least 0.05 mm"),
    ] {
        let checked = check(&shop, &record(generation, finished, duty, "gap: 0.14 mm"), None);
        assert_eq!(told(&checked, "gap"), [expected], "{generation} {finished} {duty}");
        // The same day asked for by hand, whatever day the record says.
        let checked = check(&shop, &record(generation, "2025-01-01", duty, "gap: 0.14 mm"), Some(finished));
        assert_eq!(told(&checked, "gap"), [expected], "as of {finished}");
    }
}

#[test]
fn a_retired_row_judges_no_more() {
    let shop = shop(HOUSE);
    let gap = |finished| told(&check(&shop, &record("large", finished, "shop", "gap: 0.01 mm"), None), "gap");
    assert_eq!(gap("2026-12-31"), ["out 0.12 to 0.21 mm"]);
    assert!(gap("2027-01-01").is_empty());
}

#[test]
fn an_added_row_judges_and_a_loosened_one_lets_through() {
    let shop = shop(HOUSE);
    let readings =
        "gap: 0.16 mm\nwear: 0.4 mm\nvane: { 1: { width: 19.5 mm, age: early }, 2: { width: 23 mm, age: late } }";
    let checked = check(&shop, &record("small", "2026-07-01", "field", readings), None);
    assert_eq!(told(&checked, "wear"), ["out at most 0.3 mm"]);
    assert_eq!(told(&checked, "vane.1.width"), ["good 19 to 21 mm"]);
    let late = checked.rulings.iter().find(|told| told.path == "vane.2.width").unwrap();
    assert!(!late.advisory && late.grade.word() == "out");
    let checked = check(&shop, &record("small", "2026-05-01", "field", readings), None);
    assert!(told(&checked, "wear").is_empty());
    assert_eq!(told(&checked, "vane.1.width"), ["out 20 to 21 mm"]);
    assert!(checked.rulings.iter().find(|told| told.path == "vane.2.width").unwrap().advisory);
    // Adopted and tightened at once, in one block.
    let checked = check(&shop, &record("small", "2027-03-01", "shop", readings.replace("23", "21.8").as_str()), None);
    let late = checked.rulings.iter().find(|told| told.path == "vane.2.width").unwrap();
    assert_eq!((late.advisory, late.limit.as_deref()), (false, Some("20 to 21.5 mm")));
    let steps: Vec<&str> = late.history.iter().map(|(words, _)| words.as_str()).collect();
    assert_eq!(
        steps,
        [
            "declared by ground",
            "adopted by Lapwing Pumps from 2027-01-01",
            "tightened by Lapwing Pumps from 2027-01-01"
        ]
    );
    assert_eq!(late.history[2].1.text(), "tighten vane.width limit 20 to 21.5 mm where age is late");
    assert_eq!(late.source.as_deref(), Some("Lapwing Pumps, house tolerance from 2027-01-01"));
}

#[test]
fn bounds_over_constants_are_proved_for_each_generation() {
    let shop = shop(HOUSE);
    for (generation, lift, grade) in [("small", "8.75", "out"), ("small", "8.80", "good"), ("large", "7.75", "out")] {
        let checked =
            check(&shop, &record(generation, "2026-07-01", "field", &format!("gap: 0.16 mm\nlift: {lift}")), None);
        assert!(told(&checked, "lift")[0].starts_with(grade), "{generation} {lift}");
    }
    // In one of the two it widens: the message names that one.
    let wrong = HOUSE.replace("at least ratio - 0.2", "at least 8.5");
    let shop = Shop::of_sources(&[Source::new("base.rulebook", BASE), Source::new("house.rulebook", wrong)]);
    let said: Vec<&str> = shop.findings().iter().map(|finding| finding.message.as_str()).collect();
    assert_eq!(
        said,
        [
            "pump.lift: `tighten` would widen the limit of small: it was at least ratio - 0.3, and at least 8.5 would allow 8.5 to 8.7 as well"
        ]
    );
}

#[test]
fn a_record_without_a_day_is_judged_by_the_newest_rows_and_told_so() {
    let shop = shop(HOUSE);
    let checked = check(&shop, &record("small", "", "field", "gap: 0.14 mm"), None);
    assert_eq!(told(&checked, "gap"), ["good 0.12 to 0.21 mm"]);
    assert!(checked.findings.iter().any(|finding| finding.code.name() == "finished-missing"));
    let checked = check(&shop, &record("small", "", "field", "gap: 0.14 mm"), Some("2026-07-01"));
    assert_eq!(told(&checked, "gap"), ["worn 0.15 to 0.20 mm"]);
    assert!(checked.findings.iter().all(|finding| finding.code.name() != "finished-missing"));
    let checked = check(&shop, &record("alone", "", "field", "gap: 0.14 mm"), None);
    assert!(checked.findings.is_empty(), "{:?}", checked.findings);
}

/// Two changes of one row are let stand only where no build meets both; here every day and duty is asked, by a model that
/// knows nothing of how the rows are written out.
#[test]
fn every_day_and_build_is_judged_by_exactly_one_row() {
    let house = r#"rulebook "House" edition 2026-06-01
house "Lapwing Pumps" {
    for small from 2026-02-01 to 2026-02-28 where duty is field { tighten pump.gap limit at least 0.11 mm }
    for small from 2026-02-10 where duty is shop { tighten pump.gap limit at least 0.12 mm }
    for small from 2026-03-05 to 2026-03-05 where duty is field { tighten pump.gap limit at least 0.105 mm }
    for small to 2026-01-05 { tighten pump.gap limit at least 0.115 mm }
}
"#;
    let shop = shop(house);
    let mut day = Date::parse("2026-01-01").unwrap();
    let last = Date::parse("2026-04-01").unwrap();
    let mut seen = std::collections::BTreeSet::new();
    while day < last {
        let text = day.to_string();
        for duty in ["field", "shop"] {
            let expected = match (duty, text.as_str()) {
                (_, day) if day <= "2026-01-05" => "at least 0.115 mm",
                ("field", day) if ("2026-02-01"..="2026-02-28").contains(&day) => "at least 0.11 mm",
                ("shop", day) if day >= "2026-02-10" => "at least 0.12 mm",
                ("field", "2026-03-05") => "at least 0.105 mm",
                _ => "at least 0.10 mm",
            };
            let checked = check(&shop, &record("small", &text, duty, "gap: 0.15 mm"), None);
            let limits: Vec<&str> = checked
                .rulings
                .iter()
                .filter(|told| told.path == "gap")
                .map(|told| told.limit.as_deref().unwrap())
                .collect();
            assert_eq!(limits, [expected], "{text} {duty}");
            seen.insert(expected);
        }
        day = day.next().unwrap();
    }
    assert_eq!(seen.len(), 5);
}

#[test]
fn a_condition_nobody_measured_leaves_both_rows_unmeasured() {
    let shop = shop(HOUSE);
    let checked = check(&shop, "generation: small\nfinished: 2026-07-01\ngap: 0.14 mm\n", None);
    let grades: Vec<&str> =
        checked.rulings.iter().filter(|told| told.path == "gap").map(|told| told.grade.word()).collect();
    assert_eq!(grades, ["unmeasured", "unmeasured"]);
}

#[test]
fn an_example_may_expect_every_grade_there_is() {
    for grade in trochoid::judge::Grade::ALL {
        let word = grade.word();
        let example = format!(
            "rulebook \"House\" edition 2026-06-01\ntry \"x\" {{\n generation small\n gap = 0.14 mm\n expect pump.gap is {word}\n}}\n"
        );
        let shop = shop(&example);
        let (proof, findings) = trochoid::prove::prove(&shop.book, None);
        let fails = findings.iter().filter(|finding| finding.code.name() == "try-fails").count();
        // The gap is good: every other grade is another.
        assert_eq!(
            (proof.trials.len(), proof.trials[0].holds, fails),
            (1, word == "good", usize::from(word != "good"))
        );
    }
}

/// The step of a row is its own: it stays when a shop changes the range, a `replace` says it anew or not at all, and `add`
/// brings its own. By hand: 0.145 mm rounds to 0.14 mm, 0.145 mm itself is under 0.15 mm.
#[test]
fn a_row_keeps_its_step_where_its_range_is_changed() {
    let base = BASE.replace("limit at least 0.10 mm\n", "limit at least 0.10 mm rounded to 0.1 mm\n")
        + "generation finer \"with another step\" follows small { replace pump.gap limit at least 0.10 mm rounded to 0.01 mm }\n\
           generation exact \"with none\" follows small { replace pump.gap limit at least 0.10 mm }\n";
    let house = "rulebook \"House\" edition 2026-06-01
        house \"Lapwing Pumps\" {
            for small where duty is field { tighten pump.gap standard 0.15 to 0.21 mm limit at least 0.15 mm { because \"b\" } }
            for finer { add pump.wear limit at most 0.3 mm rounded to 0.1 mm }
            for exact { add pump.wear limit at most 0.3 mm }
        }";
    let shop = Shop::of_sources(&[Source::new("base.rulebook", base), Source::new("house.rulebook", house)]);
    let errors: Vec<_> = shop.findings().iter().filter(|finding| finding.is_error()).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    let grades = |generation: &str, duty: &str, gap: &str, wear: &str| {
        let record = format!(
            "generation: {generation}\nfinished: 2026-07-01\nduty: {duty}\ngap: {gap} mm\nwear: {wear} mm\nvane: {{ 1: {{ age: late }}, 2: {{ age: late }} }}\n"
        );
        let ask = Ask { tell: GradeSet::NONE, rulings: true, as_of: None };
        let checked = shop.check_source(&Source::new("r.yaml", record), &ask);
        let grade = |path: &str| {
            checked.rulings.iter().find(|told| told.path == path).map(|told| (told.grade.word(), told.rounded.clone()))
        };
        (grade("gap"), grade("wear"))
    };
    let said =
        |grade: &'static str, rounded: &str| Some((grade, (!rounded.is_empty()).then(|| format!("{rounded} mm"))));
    // Tenths: 0.16 mm goes to 0.2 mm and is good, before and after the change; 0.14 mm goes to 0.1 mm, which the changed limit
    // no longer lets pass.
    assert_eq!(grades("small", "shop", "0.16", "0.3").0, said("good", "0.2"));
    assert_eq!(grades("small", "field", "0.16", "0.3").0, said("good", "0.2"));
    assert_eq!(grades("small", "shop", "0.14", "0.3").0, said("worn", "0.1"));
    assert_eq!(grades("small", "field", "0.14", "0.3").0, said("out", "0.1"));
    assert_eq!(grades("finer", "shop", "0.096", "0.34"), (said("good", "0.10"), said("good", "0.3")));
    assert_eq!(grades("exact", "shop", "0.096", "0.34"), (said("out", ""), said("out", "")));
}

/// Each tier says where it comes from; a shop that changes one leaves the other its source.
#[test]
fn the_tier_that_decided_says_where_it_comes_from() {
    let base = r#"rulebook "Pump" edition 2026-03-01
unit mm = 0.001 m
source handbook "Invented for this test, 2026" maker
part pump {
    gap  : mm
    lift : mm
    wear : mm
}
generation small "an invented pump" {
    pump.gap  standard 0.12 to 0.21 mm limit at least 0.10 mm { standard from memory "a guess" limit from handbook "page 2" }
    pump.lift standard 2 to 5 mm       limit 1 to 6 mm        { from handbook "page 3" }
    pump.wear standard 0 to 1 mm       limit at most 2 mm     { standard from memory limit from handbook }
}
"#;
    let house = r#"rulebook "House" edition 2026-06-01
house "Lapwing Pumps" {
    for small from 2026-06-01 {
        tighten pump.gap standard 0.15 to 0.20 mm
        tighten pump.lift limit 1.5 to 5.5 mm { limit from handbook "page 9" }
        tighten pump.wear standard 0 to 0.5 mm limit at most 1 mm
    }
}
"#;
    let shop = Shop::of_sources(&[Source::new("base.rulebook", base), Source::new("house.rulebook", house)]);
    assert!(shop.findings().is_empty(), "{:#?}", shop.findings());
    let source = |day: &str, path: &str, values: &str| {
        let checked = check(&shop, &format!("generation: small\nfinished: {day}\n{values}\n"), None);
        let found: Vec<String> =
            checked.rulings.iter().filter(|told| told.path == path).filter_map(|told| told.source.clone()).collect();
        assert_eq!(found.len(), 1, "{path} on {day}");
        found[0].clone()
    };
    let (before, after) = ("2026-05-31", "2026-06-01");
    let values = |gap: &str, lift: &str| format!("gap: {gap} mm\nlift: {lift} mm\nwear: 0.1 mm");
    let (manual, memory) = ("Invented for this test, 2026, page 2", "from memory, unverified, a guess");
    let house = "Lapwing Pumps, house tolerance from 2026-06-01";
    assert_eq!(source(before, "gap", &values("0.09", "3")), manual);
    assert_eq!(source(before, "gap", &values("0.11", "3")), memory);
    assert_eq!(source(before, "gap", &values("0.15", "3")), format!("standard from: {memory}; limit from: {manual}"));
    assert_eq!(source(before, "lift", &values("0.15", "0.5")), "Invented for this test, 2026, page 3");
    assert_eq!(source(after, "gap", &values("0.09", "3")), manual, "the shop changed the standard alone");
    assert_eq!(source(after, "gap", &values("0.14", "3")), house);
    assert_eq!(source(after, "lift", &values("0.15", "1.2")), "Invented for this test, 2026, page 9");
    assert_eq!(source(after, "lift", &values("0.15", "1.7")), "Invented for this test, 2026, page 3");
    assert_eq!(
        source(after, "wear", &values("0.15", "3").replace("0.1 mm", "3 mm")),
        house,
        "both tiers are the shop's"
    );
}
