//! A record of one generation that states another is caught by `check` wherever `identify` would rule the stated one out, and
//! nowhere else.

use std::collections::BTreeMap;
use trochoid::bind::bind;
use trochoid::book::{Book, Generation, Id, Kind, Telltale};
use trochoid::finding::Code;
use trochoid::identify::{evidence, identify};
use trochoid::judge::GradeSet;
use trochoid::plan::{CheckRange, known_range};
use trochoid::quantity::{Date, Unit, Value, shown};
use trochoid::record;
use trochoid::shop::{Ask, Checked, Shop};
use trochoid::text::Source;

const ASK: Ask = Ask { tell: GradeSet::NONE, rulings: false, as_of: None };

/// A value inside a telltale's range, as a record writes it.
fn inside(book: &Book, generation: &Generation, telltale: &Telltale) -> String {
    let characteristic = book.characteristics.get(telltale.subject.characteristic);
    match known_range(book, generation, &telltale.range).unwrap() {
        CheckRange::YesNo(yes) => if yes { "yes" } else { "no" }.to_string(),
        CheckRange::Names(names) => match characteristic.kind {
            Kind::Names(set) => book.sets.get(set).name_of(names[0]).to_string(),
            _ => unreachable!(),
        },
        CheckRange::Known(band) => {
            let half = |value: &Value, by: &str| value.multiply(&Value::from(by.parse_number()));
            let value = match (&band.low, &band.high) {
                (Some(low), Some(high)) => half(&low.value.add(&high.value), "0.5"),
                (Some(low), None) => half(&low.value, "1.01"),
                (None, Some(high)) => half(&high.value, "0.95"),
                (None, None) => unreachable!(),
            };
            let unit = characteristic.unit.clone().unwrap_or_else(Unit::number);
            let whole = unit.symbol.is_empty();
            shown(&value, &unit, if whole { 0 } else { 3 })
        }
        _ => unreachable!(),
    }
}

trait ParseNumber {
    fn parse_number(&self) -> trochoid::quantity::Number;
}

impl ParseNumber for str {
    fn parse_number(&self) -> trochoid::quantity::Number {
        trochoid::quantity::Number::parse_prefix(self).unwrap().0
    }
}

#[derive(Default)]
struct Node {
    value: Option<String>,
    inner: BTreeMap<String, Node>,
}

impl Node {
    fn put(&mut self, path: &str, value: &str) {
        let node = path.split('.').fold(self, |node, step| node.inner.entry(step.to_string()).or_default());
        node.value = Some(value.to_string());
    }

    fn write(&self, depth: usize, out: &mut String) {
        for (key, node) in &self.inner {
            out.push_str(&format!("{}\"{key}\":", "  ".repeat(depth)));
            match &node.value {
                Some(value) => out.push_str(&format!(" \"{value}\"\n")),
                None => {
                    out.push('\n');
                    node.write(depth + 1, out);
                }
            }
        }
    }
}

/// A record with everything that tells a generation, or with one thing of it.
fn told_by(book: &Book, generation: &Generation, telltales: &[&Telltale]) -> String {
    let mut root = Node::default();
    for telltale in telltales {
        let id = telltale.subject.characteristic;
        let characteristic = book.characteristics.get(id);
        let positions = book.instances(characteristic.part, generation)[0].clone();
        let station = (!characteristic.stations().is_empty()).then_some(0);
        root.put(&book.path(id, &positions, station), &inside(book, generation, telltale));
    }
    let mut out = String::new();
    root.write(0, &mut out);
    out
}

/// What `check` says of a record, and whether `identify` rules the stated generation out.
fn both(shop: &Shop, stated: Id<Generation>, readings: &str) -> (Checked, bool) {
    let name = &shop.book.generations.get(stated).name;
    let source = Source::new("k.yaml", format!("build: K\nfinished: 2026-03-01\ngeneration: {name}\n{readings}"));
    let (sheet, said) = record::read(&source);
    assert!(said.is_empty(), "{said:?}\n{}", source.text());
    let (bound, _) = bind(&shop.book, &sheet.unwrap(), &source);
    let found = identify(&shop.book, evidence(&shop.book, &bound), bound.generation, &[]);
    let ruled_out = !found.left().contains(&stated);
    (shop.check_source(&source, &ASK), ruled_out)
}

#[test]
fn a_generation_stated_wrongly_is_caught_wherever_identify_rules_it_out() {
    let shop = Shop::shipped();
    let book = &shop.book;
    let named: Vec<(Id<Generation>, &Generation)> =
        book.generations.entries().filter(|(_, generation)| !generation.basis).collect();
    let (mut caught, mut alike) = (0, Vec::new());
    for (own, generation) in &named {
        let telltales: Vec<&Telltale> = generation.telltales.iter().map(|telltale| &**telltale).collect();
        let all = told_by(book, generation, &telltales);
        for (stated, other) in &named {
            let (checked, ruled_out) = both(&shop, *stated, &all);
            let says = checked.findings.iter().any(|finding| finding.code == Code::GenerationContradicted);
            assert_eq!((says, checked.contradicted), (ruled_out, ruled_out), "{} as {}", generation.name, other.name);
            assert!(!ruled_out || (!checked.passes() && checked.record_errors > 0));
            assert!(!ruled_out || checked.findings[0].code == Code::GenerationContradicted);
            if own == stated {
                assert!(!ruled_out, "{} rules itself out:\n{all}", generation.name);
            } else if ruled_out {
                caught += 1;
            } else {
                alike.push(format!("{} as {}", generation.name, other.name));
            }
            // One thing alone says the same in both.
            for telltale in &telltales {
                let one = told_by(book, generation, &[telltale]);
                let (checked, ruled_out) = both(&shop, *stated, &one);
                assert_eq!(checked.contradicted, ruled_out, "{} as {}: {one}", generation.name, other.name);
            }
        }
    }
    assert!(alike.is_empty(), "not told apart: {}", alike.join(", "));
    assert_eq!(caught, named.len() * (named.len() - 1));
}

#[test]
fn a_narrow_rotor_is_not_of_the_wide_family() {
    let shop = Shop::shipped();
    for (stated, width, contradicts) in [
        ("boosted_2mm", "69.85 mm", true),
        ("boosted_2mm", "79.86 mm", false),
        ("narrow_3mm", "69.85 mm", false),
        ("narrow_3mm", "2.75 in", false),
        ("narrow_3mm", "79.86 mm", true),
        ("carbon_6mm", "59.86 mm", false),
        ("side_exhaust", "59.86 mm", true),
        // Worn or cut as far as any rotor is, it is still of its family.
        ("boosted_2mm", "79.30 mm", false),
    ] {
        let stated_id = shop.book.generation(stated).unwrap();
        let readings = format!("rotor:\n  front:\n    width: [{width}, {width}]\n");
        let (checked, ruled_out) = both(&shop, stated_id, &readings);
        assert_eq!((checked.contradicted, ruled_out), (contradicts, contradicts), "{stated} {width}");
    }
}

#[test]
fn a_day_still_to_come_is_an_error_of_the_record() {
    let shop = Shop::shipped();
    let stated = shop.book.generation("boosted_2mm").unwrap();
    let (checked, _) = both(&shop, stated, "");
    for (today, future) in [("2026-02-28", true), ("2026-03-01", false), ("2026-03-02", false)] {
        let mut checked = checked.clone();
        let before = checked.record_errors;
        checked.hold_against(Date::parse(today));
        let says = checked.findings.iter().any(|finding| finding.code == Code::FinishedFuture);
        assert_eq!((says, checked.record_errors - before), (future, usize::from(future)), "{today}");
    }
    let mut unknown = checked.clone();
    unknown.hold_against(None);
    assert_eq!(unknown.findings, checked.findings);
}
