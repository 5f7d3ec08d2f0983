//! Whether two states of one record say the same of a reading, wherever it stands in the text. Refuses to call the same what it is
//! not sure of.

use super::{Concession, Detail, Gauge, Reading, Readings, State, Temperature};
use crate::text::Span;

/// Where a text was changed: places before the change stay, places after it move.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Moved {
    /// As many bytes are the same at the beginning.
    first: u32,
    /// The end of what was changed, in the text before.
    end: u32,
    /// How far what follows moved.
    by: i64,
}

impl Moved {
    /// From one text to the next.
    #[must_use]
    pub fn new(before: &str, after: &str) -> Moved {
        let (before, after) = (before.as_bytes(), after.as_bytes());
        let first = before.iter().zip(after).take_while(|(one, other)| one == other).count();
        let most = before.len().min(after.len()) - first;
        let last =
            before.iter().rev().zip(after.iter().rev()).take(most).take_while(|(one, other)| one == other).count();
        let number = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
        let by = i64::from(number(after.len())) - i64::from(number(before.len()));
        Moved { first: number(first), end: number(before.len() - last), by }
    }

    /// Where a place of the text before is now; `None` if it was changed.
    #[must_use]
    pub fn of(&self, span: Span) -> Option<Span> {
        if span.end <= self.first && span.end < self.end.max(1) {
            return Some(span);
        }
        let at = |byte: u32| u32::try_from(i64::from(byte) + self.by).ok();
        (span.start >= self.end).then_some(())?;
        Some(Span { start: at(span.start)?, end: at(span.end)? })
    }

    fn temperature(&self, temperature: &Temperature) -> Option<Temperature> {
        Some(Temperature { span: self.of(temperature.span)?, ..temperature.clone() })
    }

    fn detail(&self, detail: &Detail) -> Option<Detail> {
        let mut moved = detail.clone();
        if let Some(temperature) = &mut moved.temperature {
            *temperature = self.temperature(temperature)?;
        }
        if let Some(warmth) = &mut moved.warmth {
            warmth.part_temperature = self.temperature(&warmth.part_temperature)?;
            warmth.gauge_temperature = self.temperature(&warmth.gauge_temperature)?;
        }
        if let Some(confirmed) = &mut moved.confirmed {
            confirmed.span = self.of(confirmed.span)?;
        }
        Some(moved)
    }

    fn reading(&self, reading: &Reading) -> Option<Reading> {
        let detail = match &reading.detail {
            Some(detail) => Some(Box::new(self.detail(detail)?)),
            None => None,
        };
        Some(Reading { datum: reading.datum.clone(), span: self.of(reading.span)?, gauge: reading.gauge, detail })
    }
}

impl Readings {
    /// Whether what the record says of a reading is the same in its next state.
    #[must_use]
    pub fn says_still(&self, next: &Readings, moved: &Moved, slot: usize) -> bool {
        let state = match (self.state(slot), next.state(slot)) {
            (State::Absent, State::Absent) => return true,
            (State::Unknown(one), State::Unknown(other))
            | (State::Unusable(one), State::Unusable(other))
            | (State::SetAside(one), State::SetAside(other)) => moved.of(one) == Some(other),
            (State::Taken, State::Taken) => true,
            _ => false,
        };
        let same = |one: &Reading, other: &Reading| {
            moved.reading(one).as_ref() == Some(other) && self.slice(one.span) == next.slice(other.span)
        };
        let all_same = |one: &[Reading], other: &[Reading]| {
            one.len() == other.len() && one.iter().zip(other).all(|(one, other)| same(one, other))
        };
        state
            && all_same(self.taken(slot), next.taken(slot))
            && all_same(self.aside(slot), next.aside(slot))
            && self.unknown_because(slot) == next.unknown_because(slot)
    }

    /// Whether everything that is said of no single reading, and that rows are judged by, is the same in the next state.
    #[must_use]
    pub fn is_judged_alike(&self, next: &Readings) -> bool {
        (self.finished, self.judged_on, self.generation, self.is_part)
            == (next.finished, next.judged_on, next.generation, next.is_part)
            && self.slots.len() == next.slots.len()
            && self.gauges.len() == next.gauges.len()
            && self.gauges.iter().zip(&next.gauges).all(|(one, other)| is_same_gauge(one, other))
            && self.concessions.len() == next.concessions.len()
            && self.concessions.iter().zip(&next.concessions).all(|(one, other)| is_same_concession(one, other))
    }

    /// How many slots there are.
    #[must_use]
    pub fn slot_count(&self) -> usize {
        self.slots.len()
    }
}

/// All of a gauge but where it is listed. A new field asks here.
fn is_same_gauge(gauge: &Gauge, other: &Gauge) -> bool {
    let Gauge {
        name,
        dimension,
        uncertainty,
        error,
        degrees_of_freedom,
        correlated,
        expansion,
        resolution,
        range,
        implausible,
        calibrated,
        due,
        place: _,
    } = gauge;
    (name, dimension, uncertainty, degrees_of_freedom)
        == (&other.name, &other.dimension, &other.uncertainty, &other.degrees_of_freedom)
        && (expansion, resolution, range) == (&other.expansion, &other.resolution, &other.range)
        && *error == other.error
        && correlated.len() == other.correlated.len()
        && correlated
            .iter()
            .zip(&other.correlated)
            .all(|(one, other)| (&one.gauge, &one.coefficient) == (&other.gauge, &other.coefficient))
        && (implausible, calibrated, due) == (&other.implausible, &other.calibrated, &other.due)
}

/// All of a concession but where it is written. A new field asks here.
fn is_same_concession(concession: &Concession, other: &Concession) -> bool {
    let Concession { row, because, by, until, span: _, row_span: _ } = concession;
    (row, because, by, until) == (&other.row, &other.because, &other.by, &other.until)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_move_with_what_is_before_them() {
        let (before, after) = ("width: 79.8 mm\nmass: 4 kg\n", "width: 79.81 mm\nmass: 4 kg\n");
        let moved = Moved::new(before, after);
        let at = |text: &str, word: &str| {
            let start = text.find(word).unwrap_or_default();
            Span::new(start, start + word.len())
        };
        for word in ["width", "mass", "4 kg"] {
            assert_eq!(moved.of(at(before, word)), Some(at(after, word)), "{word}");
        }
        // A value that grew is another one, as is one that a longer one begins with.
        assert_eq!(moved.of(at(before, "79.8 mm")), None);
        assert_eq!(Moved::new("a: 1\n", "a: 12\n").of(Span::new(3, 4)), None);
        assert_eq!(Moved::new("a: 1", "a: 12").of(Span::new(3, 4)), None);
        let same = Moved::new(before, before);
        assert_eq!(same.of(at(before, "79.8 mm")), Some(at(before, "79.8 mm")));
    }
}
