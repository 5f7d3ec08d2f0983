//! What to look at next: first what the eye sees, then what leaves the fewest generations. Refuses to know what was seen.

use super::telling::band;
use crate::book::{Book, Characteristic, Generation, Id, Kind, Range, RangeKind, Telltale};
use crate::quantity::{Band, Number, Side, Value};
use std::cmp::Ordering;
use std::sync::Arc;

/// A characteristic that tells generations from each other.
#[derive(Clone, Debug)]
pub struct Question {
    /// What to look at.
    pub characteristic: Id<Characteristic>,
    /// The first telltale on it: why, and where it comes from.
    pub telltale: Arc<Telltale>,
    /// What may be found, and which generations have it so.
    pub answers: Vec<Answer>,
    /// The generations that nothing is said of: any answer leaves them.
    pub silent: Vec<Id<Generation>>,
    /// How many generations an answer leaves, on average, where each generation is as likely, and so is every answer it can
    /// give.
    pub leaves: Number,
    /// Whether the eye is enough: a name, or yes or no.
    pub by_eye: bool,
}

/// What may be found.
#[derive(Clone, Debug)]
pub struct Answer {
    /// As the book writes it.
    pub words: String,
    /// The generations that have it so.
    pub generations: Vec<Id<Generation>>,
}

/// What is worth asking to tell these generations from each other, what the eye sees first and then the best first; of those as good, in the order the
/// generations name them. Nothing `known` is asked.
pub(super) fn questions(
    book: &Book,
    left: &[Id<Generation>],
    known: impl Fn(Id<Characteristic>) -> bool,
) -> Vec<Question> {
    if left.len() < 2 {
        return Vec::new();
    }
    let all = Number::from_integer(i64::try_from(left.len()).unwrap_or(i64::MAX));
    let mut questions: Vec<Question> = super::telling_characteristics(book)
        .into_iter()
        .filter(|characteristic| !known(*characteristic))
        .filter_map(|characteristic| question(book, left, characteristic))
        .filter(|question| question.leaves < all)
        .collect();
    questions.sort_by(|one, other| other.by_eye.cmp(&one.by_eye).then_with(|| one.leaves.cmp(&other.leaves)));
    questions
}

fn question(book: &Book, left: &[Id<Generation>], id: Id<Characteristic>) -> Option<Question> {
    let telltales: Vec<Option<&Arc<Telltale>>> = left
        .iter()
        .map(|generation| {
            let mut telltales = book.generations.get(*generation).telltales.iter();
            telltales.find(|telltale| telltale.subject.characteristic == id)
        })
        .collect();
    let telltale = telltales.iter().flatten().next().copied()?.clone();
    let mut answers: Vec<Answer> = Vec::new();
    let mut silent = Vec::new();
    for (generation, telltale) in left.iter().zip(&telltales) {
        let Some(telltale) = telltale else {
            silent.push(*generation);
            continue;
        };
        let words = telltale.range.place.text().split_whitespace().collect::<Vec<_>>().join(" ");
        match answers.iter_mut().find(|answer| answer.words == words) {
            Some(answer) => answer.generations.push(*generation),
            None => answers.push(Answer { words, generations: vec![*generation] }),
        }
    }
    let leaves = leaves(&admissions(book, left, &telltales, id));
    let by_eye = book.characteristics.get(id).by_eye();
    Some(Question { characteristic: id, telltale, answers, silent, leaves, by_eye })
}

/// For each answer that can be told from the others, which of the generations may give it.
fn admissions(
    book: &Book,
    left: &[Id<Generation>],
    telltales: &[Option<&Arc<Telltale>>],
    id: Id<Characteristic>,
) -> Vec<Vec<bool>> {
    let ranges: Vec<Option<&Range>> =
        telltales.iter().map(|telltale| telltale.map(|telltale| &telltale.range)).collect();
    let may =
        |gives: &dyn Fn(&Range) -> bool| -> Vec<bool> { ranges.iter().map(|range| range.is_none_or(gives)).collect() };
    match book.characteristics.get(id).kind {
        Kind::Names(set) => {
            let count = u16::try_from(book.sets.get(set).names.len()).unwrap_or(u16::MAX);
            let names = (0..count).map(|name| {
                may(&|range: &Range| matches!(&range.kind, RangeKind::Names(names) if names.contains(&name)))
            });
            names.collect()
        }
        Kind::YesNo => [true, false]
            .map(|yes| may(&|range: &Range| matches!(range.kind, RangeKind::YesNo(wanted) if wanted == yes)))
            .into(),
        Kind::Quantity(_) => {
            // A range that depends on a record lets everything through here.
            let bands: Vec<Band> = left
                .iter()
                .zip(&ranges)
                .map(|(generation, range)| {
                    range.and_then(|range| band(book, book.generations.get(*generation), range)).unwrap_or_default()
                })
                .collect();
            let inside = |value: &Value| bands.iter().map(|band| band.locate(value) == Side::Inside).collect();
            cells(&bands).iter().map(inside).collect()
        }
        Kind::Text => Vec::new(),
    }
}

/// A value of each stretch between two neighbouring ends of some bands, of those outside them all, and each band that is
/// one value.
fn cells(bands: &[Band]) -> Vec<Value> {
    let mut ends: Vec<&Value> =
        bands.iter().flat_map(|band| [&band.low, &band.high]).flatten().map(|end| &end.value).collect();
    ends.sort_by(|one, other| one.compare(other).unwrap_or(Ordering::Equal));
    ends.dedup_by(|one, other| one.compare(other) == Some(Ordering::Equal));
    let one = Value::from(Number::ONE);
    let half = Value::from(Number::ratio(1, 2).unwrap_or_default());
    let mut cells: Vec<Value> = Vec::new();
    cells.extend(ends.first().map(|first| first.subtract(&one)));
    for (low, high) in ends.iter().zip(ends.iter().skip(1)) {
        cells.push(low.add(high).multiply(&half));
    }
    cells.extend(ends.last().map(|last| last.add(&one)));
    for band in bands {
        if let (Some(low), Some(high)) = (&band.low, &band.high)
            && low.value.compare(&high.value) == Some(Ordering::Equal)
        {
            cells.push(low.value.clone());
        }
    }
    cells
}

/// How many generations an answer leaves on average.
fn leaves(admissions: &[Vec<bool>]) -> Number {
    let width = admissions.first().map_or(0, Vec::len);
    let whole = |count: usize| Number::from_integer(i64::try_from(count).unwrap_or(i64::MAX));
    let mut sum = Number::default();
    for generation in 0..width {
        let mine = |answer: &&Vec<bool>| answer.get(generation).copied().unwrap_or(false);
        let (mut answers, mut left) = (0, 0);
        for answer in admissions.iter().filter(mine) {
            answers += 1;
            left += answer.iter().filter(|may| **may).count();
        }
        // A generation that can give no answer leaves all as they are.
        let mean = if answers == 0 { Some(whole(width)) } else { whole(left).checked_div(&whole(answers)) };
        sum = &sum + &mean.unwrap_or_default();
    }
    sum.checked_div(&whole(width)).unwrap_or_default()
}
