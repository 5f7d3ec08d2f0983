//! Readings drawn anywhere inside the limits of a generation, up to their very ends, are never said to be ones that cannot be.
//!
//! `TROCHOID_CASES=100000 cargo test --test main worn_to_the_very_end` draws as many records as that.

use super::inside::{Dice, Inside};
use super::{asked_for, filled, generations, printed, shops, with_optional_keys};
use std::collections::BTreeMap;
use std::ops::Range;
use trochoid::bind::Readings;
use trochoid::book::{Datum, Generation, Id};
use trochoid::finding::Code;
use trochoid::judge::{Grade, Verdict, judge};
use trochoid::plan::{CheckRange, Plan, Subject, slots_of};
use trochoid::quantity::Band;
use trochoid::record;
use trochoid::shop::Shop;
use trochoid::text::Source;

/// Where a number is written, what it is, and between which numbers it may lie by the rows it is judged by.
struct Number {
    range: Range<usize>,
    written: f64,
    /// The first slot of what it is a reading of: stations and repeats of one thing lie near one another, however worn it is.
    thing: usize,
    low: f64,
    high: f64,
}

/// A value made of others, and where its limit lets one number alone go.
struct Far {
    number: usize,
    to: f64,
    /// The value that comes to its end there.
    of: String,
}

/// How many records a long run draws; `None` for the usual one.
fn long_run() -> Option<usize> {
    std::env::var("TROCHOID_CASES").ok().and_then(|cases| cases.parse().ok())
}

fn path(shop: &Shop, slot: usize) -> String {
    let (id, positions, station) = shop.book.slot_owner(slot).unwrap();
    shop.book.path(id, &positions, station)
}

fn read(shop: &Shop, plan: &Plan, text: &str) -> (Readings, Verdict) {
    let source = Source::new("worst.yaml", text);
    let (sheet, said) = record::read(&source);
    assert!(said.is_empty(), "{}", said[0].message);
    let (readings, said) = shop.bind(&sheet.unwrap(), &source);
    assert!(said.is_empty(), "{}", said[0].message);
    let verdict = judge(&shop.book, plan, &readings);
    (readings, verdict)
}

/// The ends of the wider tier of a check, in base units; where there is only one end, from there to what stands in the record:
/// nothing says how good a part may be, only how worn.
fn ends(band: &Band, written: f64) -> Option<(f64, f64)> {
    let end = |end: &Option<trochoid::quantity::End>| end.as_ref().map(|end| end.value.midpoint().to_f64());
    match (end(&band.low), end(&band.high)) {
        (Some(low), Some(high)) => Some((low, high)),
        (Some(low), None) => Some((low, low.max(written))),
        (None, Some(high)) => Some((high.min(written), high)),
        (None, None) => None,
    }
}

/// Every number of a record with what its own rows leave it, and how far some of the rows on what is made of it let it go.
fn numbers(shop: &Shop, plan: &Plan, text: &str, dice: &mut Dice) -> (Vec<Number>, Vec<Far>) {
    let (readings, verdict) = read(shop, plan, text);
    let mut numbers: Vec<Number> = Vec::new();
    let mut of_slot: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    let mut scale: Vec<f64> = Vec::new();
    for slot in 0..shop.book.slot_count {
        for reading in readings.taken(slot) {
            let Datum::Quantity(value) = &reading.datum else { continue };
            let start = reading.span.range().start;
            let length = text[start..].bytes().take_while(|byte| byte.is_ascii_digit() || *byte == b'.').count();
            let written: f64 = text[start..start + length].parse().unwrap();
            // The blank is filled in the units of the book, which all begin at nothing but the temperatures.
            scale.push(if written == 0.0 { 1.0 } else { value.midpoint().to_f64() / written });
            of_slot.entry(slot).or_default().push(numbers.len());
            let station = shop.book.slot_owner(slot).unwrap().2.map_or(0, usize::from);
            let range = start..start + length;
            numbers.push(Number { range, written, thing: slot - station, low: written, high: written });
        }
    }
    let mut far = Vec::new();
    for ruling in &verdict.rulings {
        let check = &plan.checks[ruling.check];
        let Some(CheckRange::Known(band)) = check.limit.as_ref().or(check.standard.as_ref()) else { continue };
        let slots = match &check.subject {
            Subject::Slot { slot, .. } if plan.step_of[*slot].is_none() => vec![*slot],
            Subject::Each { slot, .. } => vec![*slot],
            Subject::Made(program) => slots_of(program),
            Subject::Slot { slot, .. } => {
                let Some(Datum::Quantity(value)) = &ruling.value else { continue };
                let value = value.midpoint().to_f64();
                let Some((low, high)) = ends(band, value) else { continue };
                let behind = behind(plan, *slot);
                let all: Vec<usize> = behind.iter().filter_map(|slot| of_slot.get(slot)).flatten().copied().collect();
                // Another one of them in every generation and at every position.
                let one_in = if long_run().is_some() { 4 } else { 16 };
                for number in all.get(dice.below(all.len().max(1))).into_iter().filter(|_| dice.below(one_in) == 0) {
                    let at = |by: f64| {
                        let thing = numbers[*number].thing;
                        let moved = |it: &Number| if it.thing == thing { it.written + by } else { it.written };
                        let (_, verdict) = read(shop, plan, &with(text, &numbers, moved));
                        let same = verdict.rulings.iter().find(|other| other.check == ruling.check).cloned();
                        match same.and_then(|ruling| ruling.value) {
                            Some(Datum::Quantity(value)) => value.midpoint().to_f64(),
                            _ => value,
                        }
                    };
                    let step = numbers[*number].written.abs().max(0.01) * 1e-5;
                    let slope = (at(step) - value) / step;
                    for end in [low, high] {
                        let to = numbers[*number].written + (end - value) / slope;
                        // A number that only counts beside much larger ones would have to leap; and where the smallest of
                        // several counts, another may take over on the way.
                        if to.is_finite()
                            && (to - numbers[*number].written).abs() < 0.1 * numbers[*number].written.abs()
                            && (at(to - numbers[*number].written) - end).abs() <= 0.02 * (end - value).abs() + 1e-12
                        {
                            far.push(Far { number: *number, to, of: path(shop, *slot) });
                        }
                    }
                }
                continue;
            }
            Subject::Group(_) => continue,
        };
        for number in slots.iter().flat_map(|slot| of_slot.get(slot).into_iter().flatten()) {
            let scale = scale[*number];
            let number = &mut numbers[*number];
            let Some((low, high)) = ends(band, number.written * scale) else { continue };
            let (low, high) = (low / scale, high / scale);
            if number.low < number.high {
                (number.low, number.high) = (number.low.max(low), number.high.min(high));
            } else {
                (number.low, number.high) = (low, high);
            }
        }
    }
    // Where it goes, every other row on it must let it go too.
    far.retain(|far| {
        let Number { low, high, thing, written, .. } = numbers[far.number];
        let moved = |it: &Number| if it.thing == thing { it.written + far.to - written } else { it.written };
        let (_, verdict) = read(shop, plan, &with(text, &numbers, moved));
        (low >= high || (low..=high).contains(&far.to))
            && verdict.rulings.iter().all(|ruling| ruling.grade < Grade::Out)
    });
    (numbers, far)
}

/// The readings a derived value rests on.
fn behind(plan: &Plan, slot: usize) -> Vec<usize> {
    let (mut open, mut seen) = (vec![slot], std::collections::BTreeSet::new());
    while let Some(slot) = open.pop() {
        if seen.insert(slot)
            && let Some(step) = plan.step_of[slot]
        {
            open.extend(slots_of(&plan.steps[step as usize].program));
        }
    }
    seen.into_iter().filter(|slot| plan.step_of[*slot].is_none()).collect()
}

/// A record in which half of the numbers lie anywhere their rows let them, one in ten of these at an end, and one number as far
/// as what is made of it may go.
fn drawn(text: &str, numbers: &[Number], far: Option<&Far>, dice: &mut Dice) -> String {
    let mut written: Vec<f64> = numbers.iter().map(|number| number.written).collect();
    let mut shares: BTreeMap<usize, Option<f64>> = BTreeMap::new();
    for (value, number) in written.iter_mut().zip(numbers) {
        let share = *shares.entry(number.thing).or_insert_with(|| match dice.below(20) {
            0 => Some(0.0),
            1 => Some(1.0),
            2..10 => Some(dice.share()),
            _ => None,
        });
        if let Some(share) = share.filter(|_| number.low < number.high) {
            *value = number.low + share * (number.high - number.low);
        }
    }
    if let Some(&Far { number, to, .. }) = far {
        let Number { thing, written: from, .. } = numbers[number];
        for (value, number) in written.iter_mut().zip(numbers).filter(|(_, number)| number.thing == thing) {
            // Its other stations go along and lie near it, as those of one thing do. Moved by the full distance as well, one of
            // them would lie where no part reaches: the whole at its end, and that station further still.
            *value = if number.written == 0.0 { *value } else { to + (number.written - from) / 4.0 };
        }
    }
    let written: BTreeMap<usize, f64> =
        numbers.iter().zip(written).map(|(number, value)| (number.range.start, value)).collect();
    with(text, numbers, |number| written[&number.range.start])
}

/// The record with these numbers in it.
fn with(text: &str, numbers: &[Number], value: impl Fn(&Number) -> f64) -> String {
    let mut record = String::with_capacity(text.len() + 200);
    let mut from = 0;
    let mut in_order: Vec<&Number> = numbers.iter().collect();
    in_order.sort_by_key(|number| number.range.start);
    for number in in_order {
        record.push_str(&text[from..number.range.start]);
        let exact = format!("{:.9}", value(number));
        record.push_str(exact.trim_end_matches('0').trim_end_matches('.'));
        from = number.range.end;
    }
    record + &text[from..]
}

fn try_generation(name: &str, shop: &Shop, id: Id<Generation>, records: usize) -> usize {
    let plan = shop.plan(id).unwrap();
    let text = with_optional_keys(&printed(shop, id));
    let wanted = asked_for(&shop.book, id, true);
    let mut dice = Dice::new(id.index() as u64 + 7);
    let inside = Inside::new(shop, id, &wanted, &text, &mut dice);
    let text = filled(&text, |path| inside.written(path));
    let (numbers, far) = numbers(shop, plan, &text, &mut dice);
    assert!(numbers.len() > 20, "{name}: {} numbers", numbers.len());
    for _ in 0..records {
        let far = (!far.is_empty()).then(|| &far[dice.below(far.len())]);
        let record = drawn(&text, &numbers, far, &mut dice);
        let source = Source::new("worst.yaml", record.clone());
        let (_, findings) = shop.readings(&record::read(&source).0.unwrap(), &source, None);
        for finding in findings {
            let alarm = matches!(finding.code, Code::ReadingImplausible | Code::ReadingsDisagree);
            let of = far.map_or("", |far| &far.of);
            let generation = &shop.book.generations.get(id).name;
            assert!(!alarm, "{name} {generation}, {of} at its end: {}\n{record}", finding.message);
        }
    }
    far.len()
}

#[test]
fn nothing_worn_to_the_very_end_of_its_limits_is_said_to_be_impossible() {
    let long = long_run();
    let records = long.unwrap_or(100);
    let shops = shops();
    let shipped = &shops[0].1.book;
    // A shop's own rules narrow the shipped ranges: what it takes over is drawn from once, and again in a long run.
    let again = |shop: &Shop, id: Id<Generation>| {
        let name = &shop.book.generations.get(id).name;
        !std::ptr::eq(&shop.book, shipped) && shipped.generations.iter().any(|generation| generation.name == *name)
    };
    let all: Vec<_> = shops
        .iter()
        .flat_map(|(name, shop)| generations(&shop.book).into_iter().map(move |id| (name, shop, id)))
        .filter(|(_, shop, id)| long.is_some() || !again(shop, *id))
        .collect();
    let each = records.div_ceil(all.len());
    let far: usize = std::thread::scope(|scope| {
        let half = |half: usize| {
            let all = &all;
            scope.spawn(move || {
                let mine = all.iter().skip(half).step_by(2);
                mine.map(|(name, shop, id)| try_generation(name, shop, *id, each)).sum::<usize>()
            })
        };
        [half(0), half(1)].into_iter().map(|thread| thread.join().unwrap()).sum()
    });
    assert!(
        far > if long.is_some() { 100 } else { 20 },
        "only {far} numbers reach the end of a limit on what is made of them"
    );
}
