//! Which value a reading of names has at each position, from what is seen beside it. Refuses to weigh generations.

use super::{Against, Candidate, Seen, telling};
use crate::book::{Book, Characteristic, Datum, Generation, Id, Kind, RangeKind, Row, Tells, Telltale};
use std::sync::Arc;

/// What is known of one reading of names at one position.
#[derive(Clone, Debug)]
pub struct ValueEvidence {
    /// The reading.
    pub characteristic: Id<Characteristic>,
    /// Its path, such as `rotor.front.casting`.
    pub path: String,
    /// The value that the record or the words give it, and the number of that in [`super::Identification::seen`].
    pub stated: Option<(u16, usize)>,
    /// Each value that the reading can have.
    pub values: Vec<CandidateValue>,
}

/// One value that a reading can have, and what was seen for and against it.
#[derive(Clone, Debug)]
pub struct CandidateValue {
    /// The value, by its number among the names.
    pub value: u16,
    /// The things seen that are as it has them, by their numbers in [`super::Identification::seen`].
    pub agree: Vec<usize>,
    /// What it has otherwise.
    pub against: Vec<Against>,
}

/// Two positions of which one reading has two values.
#[derive(Clone, Debug)]
pub struct Unlike {
    /// The first position, by its number in [`super::Identification::told`].
    pub one: usize,
    /// The other.
    pub other: usize,
    /// The row that says that they must be the same; `None` if they may differ.
    pub row: Option<Arc<Row>>,
}

/// A reading that would tell the value of another.
#[derive(Clone, Debug)]
pub struct ValueQuestion {
    /// What to look at.
    pub characteristic: Id<Characteristic>,
    /// The reading that it tells.
    pub tells: Id<Characteristic>,
    /// What may be found, as the book writes it, and the values that have it so.
    pub answers: Vec<(String, Vec<u16>)>,
    /// Whether the eye is enough: a name, or yes or no.
    pub by_eye: bool,
}

impl ValueEvidence {
    /// The values that nothing speaks against.
    #[must_use]
    pub fn left(&self) -> Vec<u16> {
        self.values.iter().filter(|value| value.against.is_empty()).map(|value| value.value).collect()
    }

    /// The value it has: the stated one, or the only one left. `None` if it is not known, or contradicted.
    #[must_use]
    pub fn value(&self) -> Option<u16> {
        let left = self.left();
        match (self.stated, &left[..]) {
            (Some((stated, _)), _) => left.contains(&stated).then_some(stated),
            (None, [only]) => Some(*only),
            _ => None,
        }
    }

    /// Whether what was seen rules out the stated value, or every value.
    #[must_use]
    pub fn contradicts(&self) -> bool {
        let left = self.left();
        left.is_empty() || self.stated.is_some_and(|(stated, _)| !left.contains(&stated))
    }
}

/// The readings of names that some telltale tells a value of, in the order the generations name them.
pub(super) fn told_characteristics(book: &Book) -> Vec<Id<Characteristic>> {
    unique(value_telltales(book).map(|(_, tells)| tells.characteristic))
}

/// The characteristics that tell a value of some reading, in the order the generations name them.
pub(super) fn telling_values(book: &Book) -> Vec<Id<Characteristic>> {
    unique(value_telltales(book).map(|(telltale, _)| telltale.subject.characteristic))
}

fn unique(all: impl Iterator<Item = Id<Characteristic>>) -> Vec<Id<Characteristic>> {
    let mut found = Vec::new();
    for one in all {
        if !found.contains(&one) {
            found.push(one);
        }
    }
    found
}

fn value_telltales(book: &Book) -> impl Iterator<Item = (&Arc<Telltale>, Tells)> {
    let named = book.generations.iter().filter(|generation| !generation.basis);
    named.flat_map(|generation| &generation.value_telltales).filter_map(|one| Some((one, one.tells?)))
}

/// What is known of each reading that telltales tell, at each position where something was seen that tells it.
pub(super) fn told(book: &Book, seen: &[Seen], candidates: &[Candidate]) -> Vec<ValueEvidence> {
    let considered = considered(candidates);
    let telling = telling_values(book);
    let mut found = Vec::new();
    for characteristic in told_characteristics(book) {
        let Kind::Names(set) = book.characteristics.get(characteristic).kind else { continue };
        let count = u16::try_from(book.sets.get(set).names.len()).unwrap_or(u16::MAX);
        let depth = book.parts.get(book.characteristics.get(characteristic).part).positioned.len();
        let mut positions: Vec<&[u16]> = seen
            .iter()
            .filter(|one| one.characteristic == characteristic || telling.contains(&one.characteristic))
            .filter_map(|one| one.positions.get(..depth))
            .collect();
        positions.sort_unstable();
        positions.dedup();
        for here in positions {
            let mine: Vec<(usize, &Seen)> =
                seen.iter().enumerate().filter(|(_, one)| one.positions.starts_with(here)).collect();
            let values: Vec<CandidateValue> =
                (0..count).map(|value| weigh(book, &mine, &considered, Tells { characteristic, value })).collect();
            let stated =
                mine.iter().filter(|(_, one)| one.characteristic == characteristic).find_map(|(number, one)| match one
                    .read()
                {
                    Some(Datum::Name(name)) => Some((*name, *number)),
                    _ => None,
                });
            let told = values.iter().any(|value| !value.against.is_empty() || !value.agree.is_empty());
            if told || stated.is_some() {
                // Of a part that nobody gave a position, none is named.
                let names = book.parts.get(book.characteristics.get(characteristic).part).positioned.iter().zip(here);
                let mut names = names.filter_map(|(id, at)| book.parts.get(*id).positions.get(usize::from(*at)));
                let is_said = names.any(|name| {
                    !name.is_empty() && mine.iter().any(|(_, one)| one.path.split('.').any(|step| *step == **name))
                });
                let path = book.path(characteristic, if is_said { here } else { &[] }, None);
                found.push(ValueEvidence { characteristic, path, stated, values });
            }
        }
    }
    found
}

/// The generations that are left, or all where none is.
fn considered(candidates: &[Candidate]) -> Vec<Id<Generation>> {
    let none_fits = !candidates.iter().any(Candidate::fits);
    let considered = candidates.iter().filter(|candidate| none_fits || candidate.fits());
    considered.map(|candidate| candidate.generation).collect()
}

/// What was seen for and against one value: something speaks against it only where it does in every generation considered.
fn weigh(book: &Book, seen: &[(usize, &Seen)], considered: &[Id<Generation>], tells: Tells) -> CandidateValue {
    let mut found = CandidateValue { value: tells.value, agree: Vec::new(), against: Vec::new() };
    for (number, one) in seen {
        let mut against = None;
        let (mut refused, mut agreed) = (0, 0);
        for id in considered {
            let generation = book.generations.get(*id);
            let Some(datum) = one.datum(*id) else { continue };
            let mine = generation.value_telltales.iter().filter(|telltale| telltale.tells == Some(tells));
            for telltale in mine.filter(|telltale| one.is_meant(&telltale.subject)) {
                match telling::holds(book, generation, &telltale.range, datum) {
                    Some(false) => {
                        refused += 1;
                        against = Some(Against { seen: *number, telltale: telltale.clone() });
                        break;
                    }
                    Some(true) => agreed += 1,
                    None => {}
                }
            }
        }
        match against {
            Some(against) if refused == considered.len() => found.against.push(against),
            _ if agreed > 0 && agreed == considered.len() => found.agree.push(*number),
            _ => {}
        }
    }
    found
}

/// The pairs of positions whose values differ. Two that are both stated are left to what must be the same anyway.
pub(super) fn unlike(book: &Book, told: &[ValueEvidence], candidates: &[Candidate]) -> Vec<Unlike> {
    let considered = considered(candidates);
    let mut found = Vec::new();
    for (number, one) in told.iter().enumerate() {
        for (other_number, other) in told.iter().enumerate().skip(number + 1) {
            let both_stated = one.stated.is_some() && other.stated.is_some();
            let differ = matches!((one.value(), other.value()), (Some(value), Some(another)) if value != another);
            if one.characteristic == other.characteristic && differ && !both_stated {
                let mut rows = considered.iter().flat_map(|id| &book.generations.get(*id).rows);
                let row = rows.find(|row| {
                    let same = |row: &Row| {
                        row.limit.as_ref().is_some_and(|limit| matches!(limit.kind, RangeKind::AllTheSame { .. }))
                    };
                    row.subject.characteristic == one.characteristic && row.condition.is_none() && same(row)
                });
                found.push(Unlike { one: number, other: other_number, row: row.cloned() });
            }
        }
    }
    found
}

/// What to look at for the readings that are not known yet, what the eye sees first. Nothing `known` is asked.
pub(super) fn questions(
    book: &Book,
    told: &[ValueEvidence],
    candidates: &[Candidate],
    known: impl Fn(Id<Characteristic>) -> bool,
) -> Vec<ValueQuestion> {
    let considered = considered(candidates);
    let mut found: Vec<ValueQuestion> = Vec::new();
    for id in told_characteristics(book) {
        let open = told.iter().filter(|one| one.characteristic == id).all(|one| one.value().is_none());
        if !open || known(id) {
            continue;
        }
        for generation in considered.iter().map(|id| book.generations.get(*id)) {
            for telltale in &generation.value_telltales {
                let Some(tells) = telltale.tells.filter(|tells| tells.characteristic == id) else { continue };
                let asked = telltale.subject.characteristic;
                if known(asked) {
                    continue;
                }
                let by_eye = book.characteristics.get(asked).by_eye();
                let words = telltale.range.place.text().split_whitespace().collect::<Vec<_>>().join(" ");
                let at = found.iter().position(|one| one.characteristic == asked && one.tells == id);
                let at = at.unwrap_or_else(|| {
                    found.push(ValueQuestion { characteristic: asked, tells: id, answers: Vec::new(), by_eye });
                    found.len() - 1
                });
                let Some(question) = found.get_mut(at) else { continue };
                match question.answers.iter_mut().find(|(other, _)| *other == words) {
                    Some((_, values)) if values.contains(&tells.value) => {}
                    Some((_, values)) => values.push(tells.value),
                    None => question.answers.push((words, vec![tells.value])),
                }
            }
        }
    }
    found.sort_by_key(|question| !question.by_eye);
    found
}
