//! How a build stands today beside how it was signed off. Refuses to judge it anew.

use super::compare::kind;
use super::{Audited, Move, Signed, SignedRuling};
use crate::quantity::Date;
use std::collections::BTreeMap;

/// What is judged: its key, and which of several readings.
type Thing<'a> = (&'a str, Option<usize>);

/// How today's verdict of a record differs from the one signed off. `file` is the record's name.
#[must_use]
pub fn since(signed: &Signed, today: &Signed, file: &str) -> Audited {
    let mut audited = Audited::nothing(file.to_owned(), Vec::new());
    audited.build.clone_from(&today.build);
    audited.finished = today.finished.as_deref().and_then(Date::parse);
    audited.generation = Some(today.generation.clone());
    (audited.before, audited.after) = (Some(signed.grade), Some(today.grade));
    audited.changed = Some(today.changed_since(signed));
    let (before, after) = (worst(signed), worst(today));
    let mut things: Vec<Thing<'_>> = today.rulings.iter().chain(&signed.rulings).map(thing).collect();
    let mut told: Vec<Thing<'_>> = Vec::new();
    // In the books' order of today, then what is not asked for any more.
    things.retain(|one| {
        let new = !told.contains(one);
        if new {
            told.push(*one);
        }
        new
    });
    for one in things {
        let (old, new) = (before.get(&one), after.get(&one));
        let ranges = |stand: Option<&&SignedRuling>| stand.map(|stand| (stand.standard.clone(), stand.limit.clone()));
        let moved =
            kind(old.map(|stand| stand.weight()), new.map(|stand| stand.weight()), || ranges(old) != ranges(new));
        match moved {
            Some(kind) => audited.moves.push(Move {
                key: one.0.to_owned(),
                kind,
                before: old.map(|stand| (*stand).clone()),
                after: new.map(|stand| (*stand).clone()),
            }),
            None => audited.same += usize::from(old.is_some() && new.is_some()),
        }
    }
    audited.moves.sort_by_key(|one| one.kind);
    audited
}

fn thing(stand: &SignedRuling) -> Thing<'_> {
    (&stand.key, stand.reading)
}

/// The worst ruling on each thing, the first of those as bad.
fn worst(signed: &Signed) -> BTreeMap<Thing<'_>, &SignedRuling> {
    let mut worst: BTreeMap<Thing<'_>, &SignedRuling> = BTreeMap::new();
    for stand in &signed.rulings {
        let kept = worst.entry(thing(stand)).or_insert(stand);
        if stand.weight() > kept.weight() {
            *kept = stand;
        }
    }
    worst
}
