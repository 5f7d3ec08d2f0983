//! What changed rules mean for a build that was judged before: which of its rulings move, from where to where. Refuses to
//! read files, and to know why the rules changed.

#[cfg(feature = "cache")]
mod cached;
mod compare;
mod comparison;
mod signed;
mod signed_ruling;
mod since;

#[cfg(feature = "cache")]
pub use cached::MOST_SAME;
pub use comparison::Comparison;
pub use signed::{Changed, Digested, SheetFault, Signed, digest};
pub use signed_ruling::SignedRuling;
pub use since::since;

use crate::finding::Finding;
use crate::judge::Grade;
use crate::quantity::Date;
use crate::text::Source;
use std::cmp::Reverse;

/// One build under two sets of rules.
#[derive(Clone, Debug)]
pub struct Audited {
    /// The record's file, as the user named it.
    pub file: String,
    /// The build's name.
    pub build: String,
    /// The day it was finished.
    pub finished: Option<Date>,
    /// Its generation, as the rules after have it, or those before where only they know it.
    pub generation: Option<String>,
    /// Its grade by the rules before; none where they cannot judge it.
    pub before: Option<Grade>,
    /// Its grade by the rules after; none where they cannot judge it.
    pub after: Option<Grade>,
    /// The rulings that moved, the gravest first, in the books' order.
    pub moves: Vec<Move>,
    /// How many rulings are as they were.
    pub same: usize,
    /// What is wrong with the record itself.
    pub findings: Vec<Finding>,
    /// What the verdict rests on that is not as it was signed off; none where it is held to no sheet.
    pub changed: Option<Vec<Changed>>,
    /// Every ruling by the rules before and by those after, if asked for.
    pub sheets: Option<(Vec<SignedRuling>, Vec<SignedRuling>)>,
}

/// One thing judged that moved.
#[derive(Clone, Debug)]
pub struct Move {
    /// What is judged: `smallest of rotor.front.apex_seal.1.height`.
    pub key: String,
    /// How it moved.
    pub kind: MoveKind,
    /// What the rules before come to; none where they do not ask.
    pub before: Option<SignedRuling>,
    /// What the rules after come to; none where they do not ask.
    pub after: Option<SignedRuling>,
}

/// How a ruling moves, the gravest first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum MoveKind {
    /// It passed and fails.
    NewlyFails,
    /// It was not asked for, and fails: it is out, or was never measured.
    NewlyAsked,
    /// It failed, and fails under another range or by another grade.
    StillFails,
    /// It was good, and is worn, or let through by a concession.
    Worse,
    /// It was worn, or let through, and is good.
    Better,
    /// It failed and passes.
    NewlyPasses,
    /// It is not asked for any more.
    NoLongerAsked,
}

impl MoveKind {
    /// Every kind, the gravest first.
    pub const ALL: [MoveKind; 7] = [
        MoveKind::NewlyFails,
        MoveKind::NewlyAsked,
        MoveKind::StillFails,
        MoveKind::Worse,
        MoveKind::Better,
        MoveKind::NewlyPasses,
        MoveKind::NoLongerAsked,
    ];
}

/// What becomes of a build, the most urgent first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Fate {
    /// It passed, and fails now.
    FailsNow,
    /// One of the two sets of rules cannot judge it.
    NotJudged,
    /// It failed, and fails now for more or for other reasons.
    FailsOtherwise,
    /// It passes, with another grade or by other rulings.
    PassesOtherwise,
    /// It failed, and passes now.
    PassesNow,
    /// It failed and fails, by the same rulings.
    FailsStill,
    /// Nothing moved, and it passes.
    Unmoved,
}

impl Fate {
    /// Every fate, the most urgent first.
    pub const ALL: [Fate; 7] = [
        Fate::FailsNow,
        Fate::NotJudged,
        Fate::FailsOtherwise,
        Fate::PassesOtherwise,
        Fate::PassesNow,
        Fate::FailsStill,
        Fate::Unmoved,
    ];
}

impl Audited {
    /// A record that could not be judged by both, and why.
    #[must_use]
    pub fn nothing(file: String, findings: Vec<Finding>) -> Audited {
        Audited {
            build: name_of(&file).to_owned(),
            file,
            finished: None,
            generation: None,
            before: None,
            after: None,
            moves: Vec::new(),
            same: 0,
            findings,
            changed: None,
            sheets: None,
        }
    }

    /// Calls the books before by other names: they may lie where nobody would look for them.
    pub fn name_before(&mut self, name: impl Fn(&str) -> String) {
        let moves = self.moves.iter_mut().filter_map(|one| one.before.as_mut());
        let sheet = self.sheets.iter_mut().flat_map(|(before, _)| before);
        for stand in moves.chain(sheet) {
            stand.row = name(&stand.row);
            if let Some(place) = &mut stand.place {
                place.source = Source::new(name(place.source.name()), place.source.text());
            }
        }
    }

    /// What becomes of it.
    #[must_use]
    pub fn fate(&self) -> Fate {
        let (Some(before), Some(after)) = (self.before, self.after) else { return Fate::NotJudged };
        let moved = before != after || !self.moves.is_empty();
        match (before.passes(), after.passes()) {
            (true, false) => Fate::FailsNow,
            (false, true) => Fate::PassesNow,
            (true, true) if moved => Fate::PassesOtherwise,
            (true, true) => Fate::Unmoved,
            (false, false) if moved => Fate::FailsOtherwise,
            (false, false) => Fate::FailsStill,
        }
    }

    /// How many moves of a kind.
    #[must_use]
    pub fn count(&self, kind: MoveKind) -> usize {
        self.moves.iter().filter(|one| one.kind == kind).count()
    }

    /// What to sort by: what becomes of it, then the worst grade first, then more that fails, then the build's name.
    #[must_use]
    pub fn urgency(&self) -> (Fate, Reverse<Option<Grade>>, Reverse<usize>, &str, &str) {
        let failing = self.count(MoveKind::NewlyFails) + self.count(MoveKind::NewlyAsked);
        (self.fate(), Reverse(self.after), Reverse(failing), &self.build, &self.file)
    }
}

/// What a record is called that does not say its build's name.
fn name_of(file: &str) -> &str {
    let name = file.rsplit('/').next().unwrap_or(file);
    name.rsplit_once('.').map_or(name, |(stem, _)| stem)
}

#[cfg(test)]
mod tests;
