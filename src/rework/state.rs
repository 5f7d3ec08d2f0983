//! What some checks come to for some readings, small enough to be compared. Refuses to know which operations there are.

use crate::bind::Readings;
use crate::book::Book;
use crate::judge::{self, Found, Grade, Side};
use crate::plan::Plan;

/// What one check comes to: the worst of its rulings and on which side it lies; `None` if it is not judged.
pub(super) type Standing = Option<(Grade, bool, Option<Side>)>;

/// Judges a part of a plan: one entry for every check in it.
pub(super) fn standings(book: &Book, part: &Plan, readings: &Readings) -> Vec<Standing> {
    let mut standings: Vec<Standing> = vec![None; part.checks.len()];
    for ruling in judge::judge(book, part, readings).rulings {
        let side = match ruling.found {
            Found::Outside { side, .. } | Found::Guarded { side, .. } => Some(side),
            _ => None,
        };
        if let Some(entry) = standings.get_mut(ruling.check)
            && entry.is_none_or(|(grade, ..)| ruling.grade > grade)
        {
            *entry = Some((ruling.grade, ruling.advisory, side));
        }
    }
    standings
}

/// The grade of a standing; what is not judged is good.
pub(super) fn grade(standing: Standing) -> Grade {
    standing.map_or(Grade::Good, |(grade, ..)| grade)
}

/// The grade that a standing gives its build.
pub(super) fn weight(standing: Standing) -> Grade {
    standing.map_or(Grade::Good, |(grade, advisory, _)| if advisory { grade.min(Grade::Worn) } else { grade })
}

/// The numbers from 1 to `most` at which something changes, each with the number before it, and `most` itself if it is
/// bounded. It looks at 1, 2, 4 and so on, and halves the way between two that differ; what changes and changes back
/// between two looks is not seen.
pub(super) fn turns<T: PartialEq>(most: u64, mut look: impl FnMut(u64) -> Option<T>) -> Vec<u64> {
    let mut found = Vec::new();
    let Some(mut before) = look(0) else { return found };
    let mut at = 0;
    while at < most {
        let next = if at == 0 { 1 } else { at.saturating_mul(2).min(most) };
        let Some(seen) = look(next) else {
            // There is nothing to look at from somewhere on: up to there is looked at still.
            let (mut last, mut gone) = (at, next);
            while last + 1 < gone {
                let middle = last + (gone - last) / 2;
                if look(middle).is_some() { last = middle } else { gone = middle }
            }
            if let Some(seen) = look(last) {
                between((at, &before), (last, &seen), &mut look, &mut found);
            }
            break;
        };
        between((at, &before), (next, &seen), &mut look, &mut found);
        (at, before) = (next, seen);
    }
    found.sort_unstable();
    found.dedup();
    found
}

/// Halves the way between two numbers that look different. It goes no deeper than a number has bits.
fn between<T: PartialEq>(
    low: (u64, &T),
    high: (u64, &T),
    look: &mut impl FnMut(u64) -> Option<T>,
    found: &mut Vec<u64>,
) {
    if low.1 == high.1 {
        return;
    }
    if low.0 + 1 >= high.0 {
        found.extend([low.0, high.0].into_iter().filter(|number| *number > 0));
        return;
    }
    let middle = low.0 + (high.0 - low.0) / 2;
    let Some(seen) = look(middle) else { return };
    between(low, (middle, &seen), look, found);
    between((middle, &seen), high, look, found);
}

#[cfg(test)]
mod tests {
    use super::turns;

    #[test]
    fn every_turn_between_two_looks_that_differ_is_found() {
        let look = |number: u64| {
            Some(if number < 13 {
                'a'
            } else if number < 29 {
                'b'
            } else {
                'c'
            })
        };
        assert_eq!(turns(100, look), [12, 13, 28, 29]);
        assert!(turns(12, look).is_empty());
        // It ends where there is nothing to look at.
        assert_eq!(turns(100, |number| (number < 20).then_some(number < 13)), [12, 13]);
    }
}
