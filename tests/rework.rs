//! What `trochoid rework` plans, held to judging the record again by the usual way, to trying every plan there is on small
//! machines drawn at random, and to the published sets of spacers.

use proptest::prelude::*;
use std::collections::BTreeMap;
use std::fmt::Write;
use trochoid::judge::{Grade, GradeSet};
use trochoid::record;
use trochoid::rework::{Action, Reworked, orders, rework};
use trochoid::shop::{Ask, Shop};
use trochoid::text::Source;

/// Readings of every machine drawn, in hundredths of a millimetre.
const READINGS: [&str; 4] = ["a", "b", "c", "d"];

/// A row: one reading, or one less another, between two ends.
#[derive(Clone, Debug)]
struct Row {
    one: usize,
    less: Option<usize>,
    low: i64,
    high: i64,
}

/// An operation: a reading changed by at most so much, or one of a set of sizes that another reading follows.
#[derive(Clone, Debug)]
enum Operation {
    Change { reading: usize, more: bool, most: i64 },
    Sizes { reading: usize, first: i64, step: i64, count: i64, follower: usize, by: i64 },
}

#[derive(Clone, Debug)]
struct Machine {
    values: Vec<i64>,
    rows: Vec<Row>,
    operations: Vec<Operation>,
}

fn row() -> impl Strategy<Value = Row> {
    (0..4_usize, proptest::option::of(0..4_usize), -3..12_i64, 0..8_i64).prop_map(|(one, less, low, width)| {
        let less = less.filter(|other| *other != one);
        let low = if less.is_some() { low - 4 } else { low + 98 };
        Row { one, less, low, high: low + width }
    })
}

fn operation() -> impl Strategy<Value = Operation> {
    prop_oneof![
        3 => (0..4_usize, any::<bool>(), 1..7_i64)
            .prop_map(|(reading, more, most)| Operation::Change { reading, more, most }),
        1 => (0..3_usize, 96..104_i64, 1..4_i64, 1..5_i64, any::<bool>()).prop_map(
            |(reading, first, step, count, grows)| Operation::Sizes {
                reading,
                first,
                step,
                count,
                // Never one of a set itself, so that the order of operations makes no difference.
                follower: 3,
                by: if grows { 1 } else { -1 },
            }
        ),
    ]
}

fn machine() -> impl Strategy<Value = Machine> {
    let values = proptest::collection::vec(95..110_i64, 4);
    (values, proptest::collection::vec(row(), 1..4), proptest::collection::vec(operation(), 1..5))
        .prop_map(|(values, rows, operations)| Machine { values, rows, operations })
}

fn hundredths(value: i64) -> String {
    let sign = if value < 0 { "-" } else { "" };
    format!("{sign}{}.{:02}", value.abs() / 100, value.abs() % 100)
}

fn book(machine: &Machine) -> String {
    let mut book = String::from("rulebook \"Pump\" edition 2026-01-01\nunit mm = 0.001 m\npart pump {\n");
    READINGS.iter().for_each(|name| writeln!(book, "    {name} : mm").unwrap());
    for (number, row) in machine.rows.iter().enumerate() {
        if let Some(less) = row.less {
            writeln!(book, "    derive r{number} : mm = {} - {}", READINGS[row.one], READINGS[less]).unwrap();
        }
    }
    book.push_str("}\ngeneration small \"an invented pump\" {\n");
    for (number, row) in machine.rows.iter().enumerate() {
        let path = row.less.map_or_else(|| READINGS[row.one].to_string(), |_| format!("r{number}"));
        let (low, high) = (hundredths(row.low), hundredths(row.high));
        // Two rows on one reading must differ in when they apply.
        let when = format!("where a above -{} mm", 100 + number);
        writeln!(book, "    pump.{path} limit {low} mm to {high} mm {when} {{ from common practice }}").unwrap();
    }
    for (number, operation) in machine.operations.iter().enumerate() {
        match operation {
            Operation::Change { reading, more, most } => {
                let word = if *more { "more" } else { "less" };
                let path = READINGS[*reading];
                writeln!(book, "    rework o{number} : pump.{path} {word} by at most {} mm {{ from common practice }}", hundredths(*most))
            }
            Operation::Sizes { reading, first, step, count, follower, by } => {
                let last = first + step * count;
                let (first, last, step) = (hundredths(*first), hundredths(last), hundredths(*step));
                let (path, follower) = (READINGS[*reading], READINGS[*follower]);
                writeln!(book, "    rework o{number} : pump.{path} from {first} mm to {last} mm, step {step} mm, pump.{follower} follows by {by} {{ from common practice }}")
            }
        }
        .unwrap();
    }
    book.push_str("}\n");
    book
}

fn record_of(values: &[i64]) -> String {
    let mut text = String::from("build: P-1\ngeneration: small\n");
    for (name, value) in READINGS.iter().zip(values) {
        writeln!(text, "{name}: {} mm", hundredths(*value)).unwrap();
    }
    text
}

fn planned(shop: &Shop, text: &str) -> Reworked {
    let source = Source::new("P-1.yaml", text);
    let (sheet, _) = record::read(&source);
    let (readings, findings) = shop.readings(&sheet.unwrap(), &source, None);
    assert!(!findings.iter().any(trochoid::finding::Finding::is_error), "{findings:?}\n{text}");
    rework(&shop.book, shop.plan(readings.generation.unwrap()).unwrap(), &readings)
}

fn judged(shop: &Shop, text: &str) -> Grade {
    let ask = Ask { tell: GradeSet::NOT_GOOD, rulings: false, as_of: None };
    shop.check_source(&Source::new("P-1.yaml", text), &ask).grade.unwrap()
}

fn is_good(machine: &Machine, values: &[i64]) -> bool {
    machine.rows.iter().all(|row| row.is_good(values))
}

impl Row {
    fn is_good(&self, values: &[i64]) -> bool {
        let value = values[self.one] - self.less.map_or(0, |less| values[less]);
        (self.low..=self.high).contains(&value)
    }
}

/// A plan that was tried: the values, how many operations, how much metal, and what it touches.
type Tried = (Vec<i64>, usize, i64, [bool; 4], [bool; 4]);

/// Every way to do each operation or leave it.
fn every_plan(machine: &Machine) -> Vec<Tried> {
    // What each reading was changed by so far: nothing else is done to what another size replaces.
    let mut all: Vec<Tried> = vec![(machine.values.clone(), 0, 0, [false; 4], [false; 4])];
    for operation in &machine.operations {
        let mut next = all.clone();
        for (values, count, metal, cut, sized) in &all {
            match operation {
                Operation::Change { reading, more, most } if !sized[*reading] => next.extend((1..=*most).map(|by| {
                    let (mut values, mut cut) = (values.clone(), *cut);
                    values[*reading] += if *more { by } else { -by };
                    cut[*reading] = true;
                    (values, count + 1, metal + by, cut, *sized)
                })),
                Operation::Sizes { reading, first, step, count: sizes, follower, by }
                    if !cut[*reading] && !sized[*reading] =>
                {
                    next.extend((0..=*sizes).map(|number| {
                        let (mut values, mut sized) = (values.clone(), *sized);
                        let size = first + step * number;
                        values[*follower] += by * (size - values[*reading]);
                        values[*reading] = size;
                        sized[*reading] = true;
                        (values, count + 1, *metal, *cut, sized)
                    }));
                }
                _ => {}
            }
        }
        all = next;
    }
    all
}

/// How much a plan takes off or builds up, in hundredths of a millimetre.
fn metal(found: &Reworked) -> i64 {
    let of = |step: &trochoid::rework::Step| match &step.action {
        Action::Change { by, .. } => (by.strip_suffix(" mm").unwrap().parse::<f64>().unwrap() * 100.0).round() as i64,
        _ => 0,
    };
    found.steps.iter().map(of).sum()
}

/// The record as it would be, written anew from what the plan says of it.
fn applied(values: &[i64], found: &Reworked) -> Vec<i64> {
    let mut now: BTreeMap<String, i64> =
        READINGS.iter().zip(values).map(|(name, value)| ((*name).to_string(), *value)).collect();
    let number = |text: &str| {
        let text = text.strip_suffix(" mm").unwrap();
        (text.parse::<f64>().unwrap() * 100.0).round() as i64
    };
    for step in &found.steps {
        match &step.action {
            Action::Change { to, .. } => {
                now.insert(step.path.clone(), number(&to[0]));
            }
            Action::Size { size, follows, .. } => {
                now.insert(step.path.clone(), number(size));
                for (path, value) in follows {
                    now.insert(path.clone(), number(value));
                }
            }
            Action::New => panic!("no part is replaced here"),
        }
    }
    READINGS.iter().map(|name| now[*name]).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn a_plan_gives_the_grade_it_promised_and_no_smaller_one_exists(machine in machine()) {
        let shop = Shop::of_sources(&[Source::new("pump.rulebook", book(&machine))]);
        prop_assert!(shop.is_sound(), "{:?}\n{}", shop.findings(), book(&machine));
        let text = record_of(&machine.values);
        let found = planned(&shop, &text);
        prop_assert_eq!(found.grade, judged(&shop, &text));
        let after = applied(&machine.values, &found);
        prop_assert_eq!(judged(&shop, &record_of(&after)), found.would_be, "{}\n{:?}", book(&machine), found.steps);
        prop_assert_eq!(is_good(&machine, &after), found.would_be == Grade::Good);
        // Of the plans after which every row is good, those with the fewest operations, and of these the least metal.
        let all = every_plan(&machine);
        let good = all.iter().filter(|(values, ..)| is_good(&machine, values));
        let best = good.map(|(_, count, metal, ..)| (*count, *metal)).min();
        if is_good(&machine, &machine.values) {
            prop_assert!(found.steps.is_empty() && found.is_good());
        } else if let Some((count, least)) = best {
            prop_assert_eq!(found.would_be, Grade::Good, "{}\n{:?}", book(&machine), best);
            prop_assert_eq!(found.steps.len(), count, "{}\n{}\n{:?}", book(&machine), text, found.steps);
            prop_assert_eq!(metal(&found), least, "{}\n{}\n{:?}", book(&machine), text, found.steps);
            prop_assert!(found.is_fewest && found.is_least, "{}\n{}", book(&machine), text);
        } else {
            prop_assert_ne!(found.would_be, Grade::Good);
        }
        // What is said to be proved: nothing smaller leaves as many rows good, whatever else it does.
        let as_planned: Vec<&Row> = machine.rows.iter().filter(|row| row.is_good(&after)).collect();
        if found.is_fewest && !found.steps.is_empty() {
            let (most, metal) = (found.steps.len(), metal(&found));
            for (values, count, least, ..) in &all {
                let is_smaller = *count < most || found.is_least && *count == most && *least < metal;
                let does_as_much = is_smaller && as_planned.iter().all(|row| row.is_good(values));
                prop_assert!(!does_as_much, "{}\n{}\n{:?}\n{:?}", book(&machine), text, found.steps, values);
            }
        }
    }

    /// Each least change, made to its reading alone, puts the row right, and one hundredth less does not.
    #[test]
    fn a_least_change_is_enough_and_a_hundredth_less_is_not(machine in machine()) {
        let shop = Shop::of_sources(&[Source::new("pump.rulebook", book(&machine))]);
        let found = planned(&shop, &record_of(&machine.values));
        for fault in &found.faults {
            let number = shop_row(&machine, fault.row.place.text());
            for least in &fault.least {
                let by = least.to_good.as_deref().unwrap().strip_suffix(" mm").unwrap();
                let by = (by.parse::<f64>().unwrap() * 100.0).round() as i64;
                let reading = READINGS.iter().position(|name| *name == least.path).unwrap();
                let alone = Machine { rows: vec![machine.rows[number].clone()], ..machine.clone() };
                let with = |by: i64| {
                    let mut values = machine.values.clone();
                    values[reading] += if least.more { by } else { -by };
                    is_good(&alone, &values)
                };
                prop_assert!(with(by) && !with(by - 1), "{least:?} {machine:?}");
            }
            let row = &machine.rows[number];
            prop_assert!(!fault.least.is_empty(), "{row:?} can be put right by either reading alone");
        }
    }
}

/// Of plans with as many operations the one that replaces no part comes first, however much it takes off.
#[test]
fn a_part_is_replaced_only_where_nothing_else_is_as_short() {
    let book = |most: &str| {
        format!(
            "rulebook \"Pump\" edition 2026-01-01\nunit mm = 0.001 m
part pump {{ part ring {{ gap : mm }} }}
generation small \"an invented pump\" {{
    ring.gap limit at least 0.50 mm {{ from common practice }}
    rework new_ring : ring replaced {{ from common practice }}
    rework file_ring : ring.gap more by at most {most} mm {{ from common practice }}
}}
"
        )
    };
    for (most, name) in [("0.40", "file_ring"), ("0.20", "new_ring")] {
        let shop = Shop::of_sources(&[Source::new("pump.rulebook", book(most))]);
        assert!(shop.is_sound(), "{:?}", shop.findings());
        let found = planned(&shop, "build: P-1\ngeneration: small\nring: { gap: 0.20 mm }\n");
        let [step] = &found.steps[..] else { panic!("{:?}", found.steps) };
        assert_eq!(&*step.operation.name, name);
        assert!(found.is_fewest && found.is_least);
    }
}

/// What an operation changes by an amount nobody knows is not put right by it.
#[test]
fn a_reading_that_only_becomes_unknown_is_not_put_right() {
    let book = "rulebook \"Press\" edition 2026-01-01\nunit mm = 0.001 m
part press { part ram at left, right { width : mm   mass : kg }   derive apart : kg = spread of ram.mass }
generation small \"an invented press\" {
    ram.width limit at most 20.00 mm { from common practice }
    press.apart limit at most 0.010 kg { from common practice }
    rework cut : ram.width less by at most 0.20 mm, ram.mass follows { from common practice }
}
";
    let shop = Shop::of_sources(&[Source::new("press.rulebook", book)]);
    assert!(shop.is_sound(), "{:?}", shop.findings());
    let rams = |width: &str, mass: &str| {
        format!(
            "build: P-7\ngeneration: small\nram: {{ left: {{ width: {width} mm, mass: {mass} kg }}, right: {{ width: 19.95 mm, mass: 1.000 kg }} }}\n"
        )
    };
    let found = planned(&shop, &rams("19.95", "1.030"));
    assert!(found.steps.is_empty() && !found.puts_right(), "{:?}", found.steps);
    // Where it is cut for its width, the masses are changed, and that is said.
    let found = planned(&shop, &rams("20.05", "1.030"));
    let [step] = &found.steps[..] else { panic!("{:?}", found.steps) };
    assert_eq!((&*step.operation.name, step.path.as_str()), ("cut", "ram.left.width"));
    let apart = found.faults.iter().find(|fault| fault.path == "apart").unwrap();
    assert!(apart.changes && !apart.open && !apart.is_helped());
}

/// Two sizes that one reading follows: after the last step it has the value it has in the end.
#[test]
fn what_follows_two_operations_has_its_last_value_last() {
    let sizes = |reading, first, count, by| Operation::Sizes { reading, first, step: 1, count, follower: 3, by };
    let machine = Machine {
        values: vec![106, 98, 108, 108],
        rows: vec![Row { one: 0, less: Some(3), low: 3, high: 3 }],
        operations: vec![sizes(2, 99, 3, 1), sizes(1, 96, 1, -1)],
    };
    let shop = Shop::of_sources(&[Source::new("pump.rulebook", book(&machine))]);
    let found = planned(&shop, &record_of(&machine.values));
    assert_eq!((found.steps.len(), found.would_be), (2, Grade::Good));
    assert!(is_good(&machine, &applied(&machine.values, &found)), "{:?}", found.steps);
}

/// Which row of the machine a row of its book is.
fn shop_row(machine: &Machine, text: &str) -> usize {
    (0..machine.rows.len()).find(|number| text.contains(&format!("above -{} mm", 100 + number))).unwrap()
}

/// A generation, its spacers in hundredths of a millimetre with their marks, and two ends of its end play.
type Published = (&'static str, [(i64, &'static str); 5], (i64, i64));

/// The published sets, in thousandths of a millimetre, with their marks and the band of the end play.
const SETS: [Published; 2] = [
    ("boosted_2mm", [(8000, "K"), (8020, "Z"), (8040, "V"), (8060, "Y"), (8080, "X")], (40, 70)),
    ("side_exhaust", [(7985, "A"), (8005, "B"), (8025, "C"), (8045, "D"), (8065, "E")], (40, 90)),
];

#[test]
fn the_spacer_is_the_member_of_its_set_that_comes_nearest_the_middle_of_the_band() {
    let shop = Shop::shipped();
    let mut planned_for = 0;
    for (generation, set, (low, high)) in SETS {
        for (has, _) in set {
            for play in [15, 30, 100, 120] {
                let record = format!(
                    "build: K-1\ngeneration: {generation}\nend_play: 0.{play:03} mm\nspacer_thickness: {}.{:03} mm\n",
                    has / 1000,
                    has % 1000
                );
                let after = |size: i64| play + size - has;
                let twice_off = |size: i64| (2 * after(size) - low - high).abs();
                let Some((size, mark)) = set
                    .into_iter()
                    .filter(|(size, _)| (low..=high).contains(&after(*size)))
                    .min_by_key(|(size, _)| twice_off(*size))
                else {
                    continue;
                };
                let found = planned(&shop, &record);
                let [step] = &found.steps[..] else { panic!("{record}{:?}", found.steps) };
                let Action::Size { size: fitted, mark: named, follows } = &step.action else { panic!("{step:?}") };
                let thousandths =
                    |text: &str| (text.strip_suffix(" mm").unwrap().parse::<f64>().unwrap() * 1000.0).round() as i64;
                assert_eq!((thousandths(fitted), named.as_deref()), (size, Some(mark)), "{record}");
                // Too little end play takes a thicker spacer, too much a thinner one.
                assert_eq!(size > has, play < low, "{record}");
                assert_eq!(follows.len(), 1, "{record}");
                assert_eq!(thousandths(&follows[0].1), after(size), "{record}");
                let ordered = orders(&shop.book, &found);
                assert_eq!(ordered[0].mark.as_deref(), Some(mark));
                assert!(step.measure_again.iter().any(|path| path == "end_play"), "{:?}", step.measure_again);
                planned_for += 1;
            }
        }
    }
    assert!(planned_for > 10, "{planned_for}");
}

/// A machine of which one part can be cut and another only replaced.
const PRESS: &str = "rulebook \"Press\" edition 2026-01-01
unit mm = 0.001 m
unit kg = 1 kg
part press {
    part ram at left, right { width : mm   mass : kg }
    part bush at left, right { bore : mm   depth : mm }
    derive gap : mm = largest of ram.width - smallest of ram.width
    derive apart : kg = spread of ram.mass
}
generation small \"an invented press\" {
    ram.width limit at most 20.00 mm { from common practice }
    press.apart limit at most 0.010 kg { from common practice }
    bush.bore limit at most 10.05 mm { from common practice }
    bush.depth limit at most 5 mm { from common practice }
    rework cut : ram.width less by at most 0.20 mm, ram.mass follows { caution \"Balance again.\" from common practice }
    rework new_bush : bush replaced { from common practice }
}
";

#[test]
fn a_replaced_part_is_to_be_measured_and_never_counts_as_good() {
    let shop = Shop::of_sources(&[Source::new("press.rulebook", PRESS.replace("unit kg = 1 kg\n", ""))]);
    assert!(shop.is_sound(), "{:?}", shop.findings());
    let record = "build: P-7\ngeneration: small\nram: { left: { width: 20.05 mm, mass: 1.000 kg }, right: { width: 19.95 mm, mass: 1.004 kg } }\n\
                  bush: { left: { bore: 10.00 mm, depth: 4 mm }, right: { bore: 10.09 mm, depth: 4 mm } }\n";
    let found = planned(&shop, record);
    assert_eq!(found.steps.len(), 2, "{:?}", found.steps);
    let cut = found.steps.iter().find(|step| &*step.operation.name == "cut").unwrap();
    let Action::Change { by, more: false, to } = &cut.action else { panic!("{cut:?}") };
    assert_eq!((by.as_str(), to[0].as_str()), ("0.05 mm", "20.00 mm"));
    assert_eq!(cut.measure_again, ["ram.left.width", "ram.left.mass"]);
    let new = found.steps.iter().find(|step| &*step.operation.name == "new_bush").unwrap();
    assert_eq!((new.path.as_str(), &new.action), ("bush.right", &Action::New));
    assert_eq!(new.measure_again, ["bush.right.bore", "bush.right.depth"]);
    // Every row on the new bush waits, that on its depth too; so does the difference of the masses.
    assert_eq!(found.open.iter().filter(|path| path.starts_with("bush.right")).count(), 2, "{:?}", found.open);
    assert!(found.open.iter().any(|path| path == "apart"), "{:?}", found.open);
    let bore = found.faults.iter().find(|fault| fault.path == "bush.right.bore").unwrap();
    assert!(bore.open && bore.would_be.is_none() && bore.least.iter().all(|least| !least.more));
    let ordered = orders(&shop.book, &found);
    assert_eq!(ordered.len(), 1);
    assert_eq!((ordered[0].part.as_str(), ordered[0].count, ordered[0].build.as_deref()), ("bush", 1, Some("P-7")));
}

#[test]
fn an_operation_that_puts_another_row_out_is_named_and_not_planned() {
    let book = "rulebook \"Pump\" edition 2026-01-01\nunit mm = 0.001 m
part pump { a : mm   b : mm   derive both : mm = a + b   derive apart : mm = a - b }
generation small \"an invented pump\" {
    pump.apart limit at most 0.10 mm { from common practice }
    pump.a limit at least 1.00 mm { from common practice }
    rework cut_a : pump.a less by at most 1 mm { from common practice }
    rework build_b : pump.b more by at most 1 mm { from common practice }
}
";
    let shop = Shop::of_sources(&[Source::new("pump.rulebook", book)]);
    assert!(shop.is_sound(), "{:?}", shop.findings());
    let found = planned(&shop, "build: P-1\ngeneration: small\na: 1.02 mm\nb: 0.80 mm\n");
    let [fault] = &found.faults[..] else { panic!("{:?}", found.faults) };
    let [refused] = &fault.refused[..] else { panic!("{:?}", fault.refused) };
    assert_eq!((&*refused.operation, refused.row.as_str()), ("cut_a", "a"));
    let [step] = &found.steps[..] else { panic!("{:?}", found.steps) };
    assert_eq!(&*step.operation.name, "build_b");
    assert_eq!(found.would_be, Grade::Good);
    assert!(found.is_fewest && found.tried > 0);
}
