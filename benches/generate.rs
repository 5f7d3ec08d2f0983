//! Records for the benchmarks, seeded: engines as a shop would note them, and engines with hardly a part in order.

use trochoid::book::{Book, Characteristic, Count, Generation, Id, Kind, Origin, Part};
use trochoid::quantity::{Number, Value};

/// A generator of numbers that gives the same ones every time: xorshift, which is all a bench needs.
pub struct Dice(u64);

impl Dice {
    /// Dice that fall the same way for the same seed.
    pub fn new(seed: u64) -> Dice {
        Dice(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    /// A number below `most`.
    pub fn below(&mut self, most: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % most as u64) as usize
    }
}

/// An invented record of the example shop, of an engine that is worn here and there.
const ENGINE: &str = include_str!("../examples/kestrel/builds/K-0142.yaml");

/// One reading in so many is worn or out.
const WORN: usize = 60;

/// The example without a word on how anything was measured.
fn plain() -> String {
    let begins = ENGINE.find("gauges:").unwrap_or(0);
    let ends = ENGINE.find("notes:").unwrap_or(begins);
    let mut rest = format!("{}{}", &ENGINE[..begins], &ENGINE[ends..]);
    let mut text = String::with_capacity(rest.len());
    while let Some(at) = rest.find("{ value: ") {
        let behind = &rest[at + "{ value: ".len()..];
        let value = behind.split([',', '}']).next().unwrap_or("");
        text.push_str(&rest[..at]);
        text.push_str(value.trim_end());
        rest = behind[behind.find('}').map_or(0, |end| end + 1)..].to_string();
    }
    text + &rest
}

/// The record of an engine mostly in order: the example's readings, each moved by at most one in its last place, and one
/// in sixty by some in the place before.
pub fn engine(seed: u64) -> String {
    let mut dice = Dice::new(seed);
    let text = plain().replace("build: K-0142", &format!("build: B-{seed}"));
    let mut moved = String::with_capacity(text.len());
    let mut rest = text.as_str();
    while let Some((before, behind)) = rest.split_once(" mm") {
        let digits = before.rfind(|letter: char| letter != '.' && !letter.is_ascii_digit()).map_or(0, |at| at + 1);
        let (words, number) = before.split_at(digits);
        moved.push_str(words);
        moved.push_str(&nudged(number, &mut dice));
        moved.push_str(" mm");
        rest = behind;
    }
    moved + rest
}

/// The same record with a gauge at every length, of three that differ.
pub fn gauged(engine: &str) -> String {
    let mut text = String::with_capacity(2 * engine.len());
    let mut gauges = ["mic", "depth", "bore"].into_iter().cycle();
    let mut rest = engine;
    while let Some(at) = rest.find(": ") {
        let (before, behind) = rest.split_at(at + 2);
        text.push_str(before);
        let value = if behind.starts_with('[') {
            behind.find(']').map_or("", |end| &behind[..=end])
        } else {
            behind.find([',', '}', '\n']).map_or("", |end| behind[..end].trim_end())
        };
        let length = value.trim_end_matches(']').ends_with(" mm");
        if length && !value.starts_with('{') {
            let gauge = gauges.next().unwrap_or_default();
            text.push_str(&format!("{{ value: {value}, gauge: {gauge} }}"));
            rest = &behind[value.len()..];
        } else {
            rest = behind;
        }
    }
    text.push_str(rest);
    let gauges = "gauges:\n  mic: { uncertainty: 2 um, resolution: 1 um }\n  depth: { uncertainty: 2 um, resolution: 1 um }\n  \
                  bore: { uncertainty: 3 um, resolution: 1 um }\nend_play";
    text.replacen("\nend_play", &format!("\n{gauges}"), 1)
}

/// A number with its last digit one up, one down or as it was; seldom with the digit before it three up.
fn nudged(number: &str, dice: &mut Dice) -> String {
    let mut bytes = number.as_bytes().to_vec();
    let places: Vec<usize> = (0..bytes.len()).filter(|at| bytes[*at].is_ascii_digit()).collect();
    if let Some(last) = places.last() {
        bytes[*last] = (bytes[*last] + dice.below(3) as u8).saturating_sub(1).clamp(b'0', b'9');
    }
    if let [.., before, _] = places.as_slice()
        && dice.below(WORN) == 0
    {
        bytes[*before] = (bytes[*before] + 3).min(b'9');
    }
    String::from_utf8(bytes).unwrap_or_default()
}

/// A record of a generation with hardly a part in order: every required reading, within 1.5 % of the middle of the row that
/// judges it where one does, whatever its neighbours are. A quarter of its rows are not good.
pub fn wreck(book: &Book, generation: &Generation, seed: u64) -> String {
    let mut dice = Dice::new(seed);
    let mut text = format!("build: B-{seed}\nfinished: 2026-05-01\ngeneration: {}\n", generation.name);
    if let Some(root) = book.root() {
        part(book, generation, root, 0, &mut dice, &mut text);
    }
    text
}

fn part(book: &Book, generation: &Generation, id: Id<Part>, depth: usize, dice: &mut Dice, text: &mut String) {
    let indent = "  ".repeat(depth);
    for (name, member) in &book.parts.get(id).members {
        match member {
            trochoid::book::Member::Characteristic(id) => {
                let characteristic = book.characteristics.get(*id);
                if let Some(value) = reading(book, generation, *id, characteristic, dice) {
                    text.push_str(&format!("{indent}{name}: {value}\n"));
                }
            }
            trochoid::book::Member::Part(inner) => {
                let positions = &book.parts.get(*inner).positions;
                let mut inside = String::new();
                if positions.is_empty() {
                    part(book, generation, *inner, depth + 1, dice, &mut inside);
                } else {
                    for position in generation.positions(*inner, positions.len()) {
                        let mut below = String::new();
                        part(book, generation, *inner, depth + 2, dice, &mut below);
                        if !below.is_empty() {
                            inside.push_str(&format!("{indent}  {}:\n{below}", positions[usize::from(position)]));
                        }
                    }
                }
                if !inside.is_empty() {
                    text.push_str(&format!("{indent}{name}:\n{inside}"));
                }
            }
        }
    }
}

fn reading(
    book: &Book,
    generation: &Generation,
    id: Id<Characteristic>,
    characteristic: &Characteristic,
    dice: &mut Dice,
) -> Option<String> {
    let Origin::Reading { stations, optional, count, .. } = &characteristic.origin else { return None };
    if *optional {
        return None;
    }
    let mut one = || value(book, generation, id, characteristic, dice);
    let mut each = || match count {
        Count { least: 1, .. } => one(),
        Count { least, .. } => {
            let all: Vec<String> = (0..*least).map(|_| one()).collect();
            format!("[{}]", all.join(", "))
        }
    };
    if stations.is_empty() {
        return Some(each());
    }
    let all: Vec<String> = stations.iter().map(|station| format!("{station}: {}", each())).collect();
    Some(format!("{{ {} }}", all.join(", ")))
}

fn value(
    book: &Book,
    generation: &Generation,
    id: Id<Characteristic>,
    characteristic: &Characteristic,
    dice: &mut Dice,
) -> String {
    match characteristic.kind {
        Kind::Names(set) => {
            let names = &book.sets.get(set).names;
            names[dice.below(names.len().min(2))].to_string()
        }
        Kind::YesNo => if dice.below(40) == 0 { "yes" } else { "no" }.into(),
        Kind::Text => format!("lot {}", dice.below(900)),
        Kind::Quantity(_) => {
            let unit = characteristic.unit.as_ref();
            let symbol = unit.map_or("", |unit| &unit.symbol);
            let middle = generation.rows.iter().filter(|row| row.subject.characteristic == id).find_map(|row| {
                let range = row.standard.as_ref().or(row.limit.as_ref())?;
                let trochoid::book::RangeKind::Band { low, high } = &range.kind else { return None };
                let end = |bound: &Option<trochoid::book::Bound>| {
                    bound
                        .as_ref()
                        .and_then(|bound| trochoid::book::evaluate::evaluate(book, Some(generation), &bound.value).ok())
                };
                let (low, high) = (end(low), end(high));
                let base = match (low, high) {
                    (Some(low), Some(high)) => low.add(&high).divide(&Value::from(Number::from_integer(2)))?,
                    (Some(one), None) | (None, Some(one)) => one,
                    (None, None) => return None,
                };
                Some(unit.map_or_else(|| base.clone(), |unit| unit.from_base(&base)).midpoint().to_f64())
            });
            let middle = middle.unwrap_or(if symbol == "mm" { 79.9 } else { 4.3 });
            let moved = middle * (1.0 + (dice.below(61) as f64 - 30.0) / 2000.0);
            format!("{moved:.3} {symbol}").trim().to_string()
        }
    }
}
