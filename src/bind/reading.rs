//! One reading in its three forms: a value, a list of values, or a map that says with which gauge and how warm.

use super::own::Own;
use super::walk::Binder;
use super::{Confirmed, Detail, Reading, Slot, Temperature, wording, wording_gauge};
use crate::book::{Characteristic, Count, Datum, Kind, Origin};
use crate::record::{MapNode, Node, ScalarNode};
use crate::text::Span;

/// The keys a reading's map may have.
pub(crate) const KEYS: [&str; 11] = [
    "value",
    "gauge",
    "at",
    "gauge_at",
    "uncertainty",
    "k",
    "coverage",
    "degrees_of_freedom",
    "confirmed",
    "note",
    "photo",
];

/// Where a value stands, without quotes: messages repeat it, and slips are looked for in it.
#[inline]
pub(super) fn as_written(scalar: ScalarNode<'_>) -> Span {
    scalar.text_span().unwrap_or_else(|| scalar.span())
}

/// Whether a text is a word of the language, in capitals or small letters.
fn is(text: &str, word: &str) -> bool {
    text.eq_ignore_ascii_case(word)
}

impl Reading {
    /// A value of which nothing else is said.
    #[inline]
    fn plain(datum: Datum, scalar: ScalarNode<'_>) -> Reading {
        Reading { datum, span: as_written(scalar), gauge: None, detail: None }
    }
}

/// One thing a reading may say besides its value.
#[derive(Clone, Default)]
pub(super) enum Word<T> {
    #[default]
    Unsaid,
    /// It has a finding: what is said of all readings of a list does not stand in its place.
    Unread,
    Read(T),
}

impl<T: Clone> Word<T> {
    pub(super) fn new(read: Option<T>) -> Word<T> {
        read.map_or(Word::Unread, Word::Read)
    }

    /// This, or what is said of all readings of a list.
    pub(super) fn or(self, of_all: &Word<T>) -> Word<T> {
        if let Word::Unsaid = self { of_all.clone() } else { self }
    }

    pub(super) fn read(&self) -> Option<&T> {
        if let Word::Read(value) = self { Some(value) } else { None }
    }
}

/// What a reading says besides its value.
#[derive(Clone, Default)]
pub(super) struct Says {
    gauge: Word<u16>,
    at: Word<Temperature>,
    gauge_at: Word<Temperature>,
    pub(super) own: Own,
    confirmed: Word<Confirmed>,
    note: Word<String>,
}

impl Says {
    /// What it does not say itself, from what is said of all readings of a list.
    fn or(self, of_all: &Says) -> Says {
        Says {
            gauge: self.gauge.or(&of_all.gauge),
            at: self.at.or(&of_all.at),
            gauge_at: self.gauge_at.or(&of_all.gauge_at),
            own: self.own.or(&of_all.own),
            confirmed: self.confirmed.or(&of_all.confirmed),
            note: self.note.or(&of_all.note),
        }
    }

    /// What is kept of it with each reading; most readings have nothing.
    fn detail(&self) -> Option<Box<Detail>> {
        let detail = Detail {
            uncertainty: self.own.certified(),
            implausible: false,
            degrees_of_freedom: self.own.freedom().cloned(),
            temperature: self.at.read().cloned(),
            warmth: None,
            confirmed: self.confirmed.read().cloned(),
            note: self.note.read().cloned(),
        };
        let says = detail.uncertainty.is_some()
            || detail.degrees_of_freedom.is_some()
            || detail.temperature.is_some()
            || detail.confirmed.is_some()
            || detail.note.is_some();
        says.then(|| Box::new(detail))
    }
}

/// What one written value turned out to be.
pub(super) enum Got {
    Value(Datum),
    /// `unknown`.
    Unknown,
    /// It has a finding.
    Unusable,
}

/// What readings of one list may share, and what is to be said of it once.
#[derive(Default)]
pub(super) struct Shared {
    /// Where a gauge's temperature is that was said to stand alone.
    alone: Option<Span>,
    /// Where something said of their own uncertainty is that has its finding.
    pub(super) own: Vec<Span>,
}

/// What a value of any form turned out to hold.
#[derive(Default)]
struct Gathered {
    readings: Vec<Reading>,
    /// What was said already of something that several readings share.
    shared: Shared,
    /// Whether something in it has a finding.
    unusable: bool,
    /// Whether it says `unknown`.
    unknown: bool,
    /// The note beside that.
    unknown_because: Option<String>,
}

impl<'a> Binder<'a> {
    /// Everything written for one slot.
    pub(super) fn reading(
        &mut self,
        characteristic: &'a Characteristic,
        slot: usize,
        station: Option<usize>,
        value: Node<'a>,
        key: ScalarNode<'a>,
    ) {
        // A value still to be written: the row that needs it is unmeasured, as if the key were not there.
        if value.is_unwritten() {
            return;
        }
        // The common form first: one value, nothing else said, no list to make.
        if let Node::Scalar(scalar) = value {
            if let Some(reading) = self.usual(characteristic, scalar) {
                self.count(characteristic, station, 1, scalar.span());
                self.keep_one(slot, reading);
                return;
            }
            match self.value(characteristic, station, scalar, key) {
                Got::Value(datum) => {
                    self.count(characteristic, station, 1, scalar.span());
                    self.keep_one(slot, Reading::plain(datum, scalar));
                }
                Got::Unknown => self.put(slot, Slot::Unknown(scalar.span())),
                Got::Unusable => self.put(slot, Slot::Unusable(scalar.span())),
            }
            return;
        }
        // The gauge is said already, the value is still to be written.
        if let Node::Map(map) = value
            && map.entries().any(|(name, inner)| name.text() == "value" && inner.is_unwritten())
        {
            self.map(characteristic, map);
            return;
        }
        let mut gathered = Gathered::default();
        self.gather((characteristic, station), value, key, None, &mut gathered);
        let Gathered { readings, unusable, unknown, unknown_because, .. } = gathered;
        let span = value.span();
        if unusable || (readings.is_empty() && !unknown) {
            self.put(slot, Slot::Unusable(span));
            if !unusable {
                let finding = wording::no_readings(self, characteristic, self.place(span));
                self.say(finding);
            }
        } else if readings.is_empty() {
            self.put(slot, Slot::Unknown(span));
            self.readings.unknown_because.extend(unknown_because.map(|note| (slot, note)));
        } else {
            let once = self.count(characteristic, station, readings.len(), span);
            if once { self.keep(slot, readings) } else { self.put(slot, Slot::Unusable(span)) }
        }
    }

    /// The usual reading: a quantity in the unit of the one before it. It is made where it is kept and moved nowhere, which
    /// would take longer than all the rest.
    #[inline]
    fn usual(&self, characteristic: &Characteristic, scalar: ScalarNode<'_>) -> Option<Reading> {
        let Kind::Quantity(dimension) = characteristic.kind else { return None };
        let value = self.usual_quantity(dimension, scalar.text())?;
        Some(Reading::plain(Datum::Quantity(value), scalar))
    }

    /// Takes in what is written, with what is said of all of it.
    fn gather(
        &mut self,
        (characteristic, station): (&'a Characteristic, Option<usize>),
        value: Node<'a>,
        key: ScalarNode<'a>,
        says: Option<&Says>,
        gathered: &mut Gathered,
    ) {
        if says.is_none()
            && let Node::Scalar(scalar) = value
            && let Some(reading) = self.usual(characteristic, scalar)
        {
            gathered.readings.push(reading);
            return;
        }
        match value {
            Node::Scalar(scalar) => match self.value(characteristic, station, scalar, key) {
                Got::Value(datum) => {
                    let mut reading = Reading::plain(datum, scalar);
                    if let Some(says) = says {
                        self.said_of((characteristic, station), &mut reading, says, &mut gathered.shared);
                    }
                    gathered.readings.push(reading);
                }
                Got::Unknown => {
                    gathered.unknown = true;
                    if let Some(Word::Read(note)) = says.map(|says| &says.note) {
                        gathered.unknown_because = Some(note.clone());
                    }
                }
                Got::Unusable => gathered.unusable = true,
            },
            Node::List(list) => {
                for item in list.items() {
                    if matches!(item, Node::List(_)) {
                        let finding = wording::list_in_list(self, characteristic, self.place(item.span()));
                        self.say(finding);
                        gathered.unusable = true;
                    } else {
                        self.gather((characteristic, station), item, key, says, gathered);
                    }
                }
            }
            Node::Map(map) => {
                let (value, own) = self.map(characteristic, map);
                let Some(value) = value.filter(|value| !matches!(value, Node::Map(_))) else {
                    let finding = wording::no_value(self, characteristic, self.place(map.span()));
                    self.say(finding);
                    gathered.unusable = true;
                    return;
                };
                let own = match says {
                    Some(of_all) => own.or(of_all),
                    None => own,
                };
                self.gather((characteristic, station), value, key, Some(&own), gathered);
            }
        }
    }

    /// What a reading's map holds: its value, and what it says besides.
    fn map(&mut self, characteristic: &'a Characteristic, map: MapNode<'a>) -> (Option<Node<'a>>, Says) {
        let (mut value, mut says) = (None, Says::default());
        for (name, inner) in map.entries() {
            match (name.text(), inner) {
                ("value", inner) => value = Some(inner),
                ("gauge", Node::Scalar(scalar)) => says.gauge = Word::new(self.gauge_named(characteristic, scalar)),
                ("at", Node::Scalar(scalar)) => says.at = Word::new(self.temperature("the temperature", scalar)),
                ("gauge_at", Node::Scalar(scalar)) => {
                    says.gauge_at = Word::new(self.temperature("the gauge's temperature", scalar));
                }
                (key @ ("uncertainty" | "k" | "coverage" | "degrees_of_freedom"), Node::Scalar(scalar)) => {
                    self.own_says(characteristic, &mut says.own, key, scalar);
                }
                ("confirmed", Node::Scalar(scalar)) if !scalar.text().trim().is_empty() => {
                    let (by, span) = (scalar.text().to_string(), as_written(scalar));
                    says.confirmed = Word::Read(Confirmed { by, span });
                }
                ("note", Node::Scalar(scalar)) => says.note = Word::Read(scalar.text().to_string()),
                // A file beside the record, for people: nothing is read from it.
                ("photo", Node::Scalar(_)) => {}
                (known, inner) if KEYS.contains(&known) => {
                    let finding = wording::scalar_needed(known, self.place(inner.span()));
                    self.say(finding);
                }
                (unknown, _) => {
                    let finding = wording::reading_key(self, characteristic, unknown, self.place(name.span()));
                    self.say(finding);
                }
            }
        }
        (value, says)
    }

    /// Keeps with a reading what is said of it, and brings it to 20 °C.
    fn said_of(
        &mut self,
        (characteristic, station): (&'a Characteristic, Option<usize>),
        reading: &mut Reading,
        says: &Says,
        shared: &mut Shared,
    ) {
        reading.gauge = says.gauge.read().copied();
        reading.detail = says.detail();
        self.own_uncertainty((characteristic, station), reading, says, shared);
        if let Some(gauge) = reading.gauge {
            self.taken_with(gauge, (characteristic, station), reading);
        }
        match (&says.at, &says.gauge_at) {
            (Word::Read(_), Word::Unsaid) => self.bring_to_reference((characteristic, station), reading, None),
            (Word::Read(_), Word::Read(at)) => self.bring_to_reference((characteristic, station), reading, Some(at)),
            (Word::Unsaid, Word::Read(at)) if shared.alone != Some(at.span) => {
                shared.alone = Some(at.span);
                let finding = wording_gauge::gauge_at_alone(self, characteristic, station, self.place(at.span));
                self.say(finding);
            }
            _ => {}
        }
    }

    /// Says when readings are too few or too many; `false` where a reading taken once was given several.
    fn count(&mut self, characteristic: &Characteristic, station: Option<usize>, given: usize, span: Span) -> bool {
        let Origin::Reading { count, .. } = &characteristic.origin else { return true };
        let too_few = given < usize::from(count.least);
        let too_many = count.most.is_some_and(|most| given > usize::from(most));
        if too_few || too_many {
            let finding = wording::readings_count(self, characteristic, station, given, *count, self.place(span));
            self.say(finding);
        }
        !(too_many && *count == Count::ONE)
    }

    /// One written value, by the kind its book declares.
    fn value(
        &mut self,
        characteristic: &'a Characteristic,
        station: Option<usize>,
        scalar: ScalarNode<'a>,
        key: ScalarNode<'a>,
    ) -> Got {
        let written = scalar.text();
        let text = written.trim_ascii();
        if text.is_empty() || text == "~" {
            let finding = wording::nothing_written(
                self,
                characteristic,
                station,
                self.place(if scalar.span().is_empty() { key.span() } else { scalar.span() }),
            );
            self.say(finding);
            return Got::Unusable;
        }
        let finding = match characteristic.kind {
            Kind::Quantity(dimension) => {
                if is(text, "unknown") {
                    return Got::Unknown;
                }
                match self.quantity(dimension, characteristic.unit.as_ref(), written) {
                    Ok(value) => return Got::Value(Datum::Quantity(value)),
                    Err(trouble) => wording::number_trouble(self, characteristic, station, trouble, scalar),
                }
            }
            Kind::Names(set) => match self.book.sets.get(set).number_typed(text) {
                Some(number) => return Got::Value(Datum::Name(number)),
                None if is(text, "unknown") => return Got::Unknown,
                None => wording::word_unknown(self, characteristic, set, text, self.place(scalar.span())),
            },
            Kind::YesNo if is(text, "yes") => return Got::Value(Datum::YesNo(true)),
            Kind::YesNo if is(text, "no") => return Got::Value(Datum::YesNo(false)),
            Kind::YesNo if is(text, "unknown") => return Got::Unknown,
            Kind::YesNo => wording::yes_no_unknown(self, characteristic, text, self.place(scalar.span())),
            Kind::Text => return if is(text, "unknown") { Got::Unknown } else { Got::Value(Datum::Words) },
        };
        self.say(finding);
        Got::Unusable
    }
}
