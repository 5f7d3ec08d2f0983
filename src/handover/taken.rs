//! A reading as it was taken: the words of the record, and what goes with them. Refuses to convert anything.

use super::Taken;
use crate::bind::{Detail, Reading, Readings, State};
use crate::book::Characteristic;
use crate::text::Span;

/// A name of a book in words.
pub(super) fn plain(name: &str) -> String {
    name.replace('_', " ")
}

/// A scalar as it stands in a record, without the marks around it.
fn written(readings: &Readings, span: Span) -> String {
    let text = readings.slice(span).trim();
    let bare = ['"', '\''].into_iter().find_map(|mark| text.strip_prefix(mark)?.strip_suffix(mark));
    bare.unwrap_or(text).split_whitespace().collect::<Vec<_>>().join(" ")
}

/// All that was taken of a characteristic at one instance of its part.
pub(super) fn taken(readings: &Readings, characteristic: &Characteristic, instance: usize) -> Vec<Taken> {
    let stations = characteristic.stations();
    let mut all = Vec::new();
    for number in 0..characteristic.slots_each() {
        let slot = characteristic.slot(instance, number);
        let station = stations.get(number).map(|name| plain(name));
        match readings.state(slot) {
            State::Absent => {}
            State::Unknown(span) | State::Unusable(span) => {
                all.push(Taken { station, written: written(readings, span), gauge: None, note: None });
            }
            State::Taken | State::SetAside(_) => {
                let aside = !readings.aside(slot).is_empty();
                let each = readings.taken(slot).iter().chain(readings.aside(slot));
                all.extend(each.map(|reading| Taken { station: station.clone(), ..one(readings, reading, aside) }));
            }
        }
    }
    all
}

fn one(readings: &Readings, reading: &Reading, aside: bool) -> Taken {
    let detail = reading.detail.as_deref();
    let at = detail.and_then(|detail| detail.temperature.as_ref()).map(|warm| written(readings, warm.span));
    let value = written(readings, reading.span);
    let gauge = reading.gauge.and_then(|number| readings.gauges.get(usize::from(number)));
    Taken {
        station: None,
        written: at.map_or_else(|| value.clone(), |at| format!("{value} at {at}")),
        gauge: gauge.map(|gauge| gauge.name.clone()),
        note: note(detail, aside),
    }
}

/// What is said beside a reading: that it does not count, who confirms it, and its own note.
fn note(detail: Option<&Detail>, aside: bool) -> Option<String> {
    let confirmed = detail.and_then(|detail| detail.confirmed.as_ref()).map(|who| format!("confirmed by {}", who.by));
    let own = detail.and_then(|detail| detail.note.clone());
    let words: Vec<String> = aside.then(|| "not counted".to_owned()).into_iter().chain(confirmed).chain(own).collect();
    (!words.is_empty()).then(|| words.join("; "))
}
