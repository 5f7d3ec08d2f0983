//! What one check judges and where that lies in its ranges, worked out from the rulebook's own text. Refuses to know
//! which lines come before and after.

use super::figure::figure;
use super::wording::folded;
use super::working::{Answer, Stand, Term, Working};
use super::{Block, find};
use crate::book::{Datum, Kind, Range, RangeKind};
use crate::judge::Grade;
use crate::plan::{Check, Subject};
use crate::quantity::{Band, Side, Unit, Value};
use crate::syntax::tree::RowWord;

/// Where a value lies in one range.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Lies {
    Inside,
    Outside,
    Undecided,
    Missing,
}

impl Working<'_> {
    /// What a check judges, its last steps written down.
    pub(super) fn subject(&mut self, check: &Check, reading: usize) -> Term {
        match &check.subject {
            Subject::Slot { slot, .. } => self.terms_of(*slot).into_iter().next(),
            Subject::Each { slot, .. } => self.terms_of(*slot).into_iter().nth(reading),
            Subject::Made(program) => {
                let terms: Vec<Term> =
                    crate::plan::slots_of(program).into_iter().flat_map(|slot| self.terms_of(slot)).collect();
                match check.row.word {
                    Some(RowWord::Collect(collector)) => Some(self.collect(collector, &terms)),
                    _ => None,
                }
            }
            Subject::Group(_) => None,
        }
        .unwrap_or_else(|| self.lacking(Answer::Impossible))
    }

    /// A comparison of positions: its grade, none where there is nothing to compare.
    pub(super) fn compare(&mut self, check: &Check) -> Option<Grade> {
        let Subject::Group(slots) = &check.subject else { return None };
        let mut known: Vec<Term> = Vec::new();
        let mut missing = false;
        for (slot, _) in slots {
            for term in self.terms_of(*slot) {
                match &term.answer {
                    Answer::Known(_) => known.push(term),
                    Answer::Skipped => {}
                    _ => missing = true,
                }
            }
        }
        let first = known.first()?.clone();
        let same = known.iter().all(|term| term.answer == first.answer);
        let texts: Vec<&str> = known.iter().map(|term| term.text.as_str()).collect();
        let verdict = match (same, missing) {
            (false, _) => "not all the same",
            (true, true) => "the same so far, but some are not measured",
            (true, false) => "all the same",
        };
        self.say(format!("{}: {verdict}", texts.join(", ")), None);
        Some(match (same, missing) {
            (false, _) => Grade::Out,
            (true, true) => Grade::Unmeasured,
            (true, false) => Grade::Good,
        })
    }

    /// The unit what a check judges is shown in.
    pub(super) fn unit_of(&self, check: &Check) -> Unit {
        let characteristic = self.book.characteristics.get(check.row.subject.characteristic);
        characteristic.unit.clone().unwrap_or_else(Unit::number)
    }

    /// A block for each tier of a check's row, and the grade they come to.
    pub(super) fn tiers(&mut self, check: &Check, term: &Term) -> (Vec<Block>, Grade) {
        let mut blocks = Vec::new();
        let rounded = self.rounded(check, term, &mut blocks);
        let term = rounded.as_ref().unwrap_or(term);
        let word = check.row.limit_word();
        let limit = check.row.limit.as_ref().map(|range| self.tier(word, range, check, term, &mut blocks));
        let standard = check.row.standard.as_ref().map(|range| self.tier("standard", range, check, term, &mut blocks));
        let beyond = if limit.is_some() { Grade::Worn } else { Grade::Out };
        let grade = match (limit, standard) {
            (Some(Lies::Outside), _) => Grade::Out,
            (Some(Lies::Undecided), _) => Grade::Unsettled,
            (Some(Lies::Missing), _) => Grade::Unmeasured,
            (_, Some(Lies::Outside)) => beyond,
            (_, Some(Lies::Undecided)) => Grade::Unsettled,
            (_, Some(Lies::Missing)) => Grade::Unmeasured,
            _ => Grade::Good,
        };
        (blocks, grade)
    }

    fn tier(&mut self, word: &str, range: &Range, check: &Check, term: &Term, blocks: &mut Vec<Block>) -> Lies {
        let mut block = Block::new(format!("{word} {}", folded(range.place.text())), Some(range.place.clone()));
        self.lines.clear();
        let lies = match (&range.kind, &term.answer) {
            (RangeKind::Band { .. }, Answer::Known(Datum::Quantity(value))) => {
                match self.band(range, Stand::new(&check.positions, &term.unit)) {
                    Ok(band) => self.margins(&band, value, &term.unit),
                    Err(Answer::Missing | Answer::Skipped) => {
                        self.say("a bound cannot be calculated: something it needs was not measured", None);
                        Lies::Missing
                    }
                    Err(_) => {
                        self.say("a bound has no answer", None);
                        Lies::Undecided
                    }
                }
            }
            (RangeKind::Names(names), Answer::Known(Datum::Name(name))) => {
                let inside = names.binary_search(name).is_ok();
                let listed = match self.book.characteristics.get(check.row.subject.characteristic).kind {
                    Kind::Names(set) => {
                        let set = self.book.sets.get(set);
                        names.iter().map(|name| set.name_of(*name)).collect::<Vec<_>>().join(", ")
                    }
                    _ => String::new(),
                };
                self.say(format!("{} is {}of {listed}", term.text, if inside { "one " } else { "none " }), None);
                if inside { Lies::Inside } else { Lies::Outside }
            }
            (RangeKind::YesNo(wanted), Answer::Known(Datum::YesNo(yes))) => {
                let asked = if *wanted { "yes" } else { "no" };
                self.say(format!("{} where {asked} is asked for", term.text), None);
                if wanted == yes { Lies::Inside } else { Lies::Outside }
            }
            _ => Lies::Undecided,
        };
        block.lines = std::mem::take(&mut self.given);
        block.lines.append(&mut self.lines);
        blocks.push(block);
        lies
    }

    /// How far a value is from each end, as subtractions.
    fn margins(&mut self, band: &Band, value: &Value, unit: &Unit) -> Lies {
        let side = band.locate(value);
        let difference = unit.difference();
        let shown = figure(value, unit).operand();
        for (end, low) in [(&band.low, true), (&band.high, false)] {
            let Some(end) = end else { continue };
            let bound = figure(&end.value, unit).operand();
            let outside = if low { side == Side::Below } else { side == Side::Above };
            let (larger, smaller, distance) = if low != outside {
                (&shown, &bound, value.subtract(&end.value))
            } else {
                (&bound, &shown, end.value.subtract(value))
            };
            let open = if end.closed { "" } else { ", which itself does not count" };
            let words = if outside {
                format!(
                    "{} its {} bound{open}",
                    if low { "under" } else { "over" },
                    if low { "lower" } else { "upper" }
                )
            } else if side == Side::Undecided {
                "from a bound: these digits do not decide it".into()
            } else {
                format!("inside its {} bound{open}", if low { "lower" } else { "upper" })
            };
            self.say(format!("{larger} - {smaller} {}: {words}", figure(&distance, &difference).result()), None);
        }
        match side {
            Side::Inside => Lies::Inside,
            Side::Below | Side::Above => Lies::Outside,
            Side::Undecided => Lies::Undecided,
        }
    }

    /// The way to what a check judges.
    pub(super) fn path_of(&self, check: &Check) -> String {
        let positions: &[u16] = match (&check.subject, check.row.limit.as_ref().map(|limit| &limit.kind)) {
            (Subject::Group(_), Some(RangeKind::AllTheSame { across })) => {
                let part = self.book.characteristics.get(check.row.subject.characteristic).part;
                let chain = &self.book.parts.get(part).positioned;
                let before = chain.iter().position(|id| id == across).unwrap_or(0);
                check.positions.get(..before).unwrap_or(&[])
            }
            _ => &check.positions,
        };
        self.book.path(check.row.subject.characteristic, positions, find::station(check))
    }
}
