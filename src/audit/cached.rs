//! A build that moved, packed for a cache and taken out of it again. Refuses what has more to it than its moves.

use super::signed_ruling::grade_word;
use super::{Audited, Move, MoveKind, SignedRuling};
use crate::book::Book;
use crate::judge::Grade;
use crate::quantity::Date;
use crate::text::{Place, Span};
use serde::{Deserialize, Serialize};

/// The most rulings that one build can have: more would run over when they are added up.
pub const MOST_SAME: usize = 1 << 24;

/// A build as it is kept.
#[derive(Serialize, Deserialize)]
struct Packed {
    build: String,
    finished: Option<String>,
    generation: Option<String>,
    #[serde(with = "grade_word")]
    before: Grade,
    #[serde(with = "grade_word")]
    after: Grade,
    same: usize,
    moves: Vec<PackedMove>,
}

#[derive(Serialize, Deserialize)]
struct PackedMove {
    key: String,
    /// Its number among all kinds.
    kind: usize,
    before: Option<PackedStand>,
    after: Option<PackedStand>,
}

/// A ruling with what a verdict sheet leaves out.
#[derive(Serialize, Deserialize)]
struct PackedStand {
    stand: SignedRuling,
    /// The book, and where in it.
    place: Option<(String, usize, usize)>,
    because: Option<String>,
    remedy: Option<String>,
    caution: Option<String>,
}

impl Audited {
    /// The build for a cache; none where something is wrong with its record, where one set of rules cannot judge it, and where
    /// more was asked for than its moves.
    #[must_use]
    pub fn packed(&self) -> Option<Vec<u8>> {
        if !self.findings.is_empty() || self.changed.is_some() || self.sheets.is_some() {
            return None;
        }
        let moves: Option<Vec<PackedMove>> = self.moves.iter().map(PackedMove::new).collect();
        let packed = Packed {
            build: self.build.clone(),
            finished: self.finished.map(|day| day.to_string()),
            generation: self.generation.clone(),
            before: self.before?,
            after: self.after?,
            same: self.same,
            moves: moves?,
        };
        serde_json::to_vec(&packed).ok()
    }

    /// The build that was packed so, of a file, by the same rules before and after; none where it was not.
    #[must_use]
    pub fn unpacked(bytes: &[u8], file: String, (before, after): (&Book, &Book)) -> Option<Audited> {
        let packed: Packed = serde_json::from_slice(bytes).ok()?;
        if packed.same > MOST_SAME {
            return None;
        }
        let moves: Option<Vec<Move>> = packed.moves.into_iter().map(|one| one.unpacked(before, after)).collect();
        let finished = match packed.finished {
            Some(day) => Some(Date::parse(&day)?),
            None => None,
        };
        Some(Audited {
            build: packed.build,
            finished,
            generation: packed.generation,
            before: Some(packed.before),
            after: Some(packed.after),
            same: packed.same,
            moves: moves?,
            ..Audited::nothing(file, Vec::new())
        })
    }
}

impl PackedMove {
    fn new(one: &Move) -> Option<PackedMove> {
        let stand = |stand: &Option<SignedRuling>| stand.as_ref().map(PackedStand::new);
        let kind = MoveKind::ALL.iter().position(|kind| *kind == one.kind)?;
        Some(PackedMove { key: one.key.clone(), kind, before: stand(&one.before), after: stand(&one.after) })
    }

    fn unpacked(self, before: &Book, after: &Book) -> Option<Move> {
        let stand = |stand: Option<PackedStand>, book: &Book| match stand {
            Some(stand) => stand.unpacked(book).map(Some),
            None => Some(None),
        };
        Some(Move {
            key: self.key,
            kind: *MoveKind::ALL.get(self.kind)?,
            before: stand(self.before, before)?,
            after: stand(self.after, after)?,
        })
    }
}

impl PackedStand {
    fn new(stand: &SignedRuling) -> PackedStand {
        let place = stand.place.as_ref();
        PackedStand {
            place: place.map(|at| (at.source.name().to_owned(), at.span.range().start, at.span.range().end)),
            because: stand.because.clone(),
            remedy: stand.remedy.clone(),
            caution: stand.caution.clone(),
            stand: stand.clone(),
        }
    }

    fn unpacked(self, book: &Book) -> Option<SignedRuling> {
        let place = match self.place {
            Some((name, begin, end)) => {
                let title = book.titles.iter().find(|title| title.source.name() == name)?;
                title.source.text().get(begin..end)?;
                Some(Place { source: title.source.clone(), span: Span::new(begin, end) })
            }
            None => None,
        };
        Some(SignedRuling { place, because: self.because, remedy: self.remedy, caution: self.caution, ..self.stand })
    }
}
