//! One reading in its three forms: a value, a list of values, or a map that says with which gauge and how warm.

use super::walk::Binder;
use super::{Detail, Reading, Slot, Temperature, wording};
use crate::book::{Characteristic, Count, Datum, Kind, Origin};
use crate::quantity::Value;
use crate::record::{Node, ScalarNode};
use crate::text::Span;

/// The keys a reading's map may have.
pub(super) const KEYS: [&str; 5] = ["value", "gauge", "at", "uncertainty", "note"];

/// Where a value stands, without quotes: messages repeat it, and slips are looked for in it.
fn as_written(scalar: ScalarNode<'_>) -> Span {
    scalar.text_span().unwrap_or_else(|| scalar.span())
}

impl Detail {
    /// What it does not say itself, from another.
    fn or(self, other: &Detail) -> Detail {
        Detail {
            uncertainty: self.uncertainty.or_else(|| other.uncertainty.clone()),
            degrees_of_freedom: self.degrees_of_freedom.or_else(|| other.degrees_of_freedom.clone()),
            warmth: self.warmth.or_else(|| other.warmth.clone()),
            temperature: self.temperature.or_else(|| other.temperature.clone()),
            note: self.note.or_else(|| other.note.clone()),
        }
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

/// What a value of any form turned out to hold.
#[derive(Default)]
struct Gathered {
    readings: Vec<Reading>,
    /// Whether something in it has a finding.
    unusable: bool,
    /// Whether it says `unknown`.
    unknown: bool,
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
        // The common form first: one value, nothing else said, no list to make.
        if let Node::Scalar(scalar) = value {
            match self.value(characteristic, station, scalar, key) {
                Got::Value(datum) => {
                    let reading = Reading { datum, span: as_written(scalar), gauge: None, detail: None };
                    self.count(characteristic, station, 1, scalar.span());
                    self.keep(slot, [reading]);
                }
                Got::Unknown => self.put(slot, Slot::Unknown(scalar.span())),
                Got::Unusable => self.put(slot, Slot::Unusable(scalar.span())),
            }
            return;
        }
        let mut gathered = Gathered::default();
        self.gather(characteristic, station, value, key, &mut gathered);
        let Gathered { readings, unusable, unknown } = gathered;
        let span = value.span();
        if unusable || (readings.is_empty() && !unknown) {
            self.put(slot, Slot::Unusable(span));
            if !unusable {
                let finding = wording::no_readings(self, characteristic, self.place(span));
                self.say(finding);
            }
        } else if readings.is_empty() {
            self.put(slot, Slot::Unknown(span));
        } else {
            let once = self.count(characteristic, station, readings.len(), span);
            if once { self.keep(slot, readings) } else { self.put(slot, Slot::Unusable(span)) }
        }
    }

    fn gather(
        &mut self,
        characteristic: &'a Characteristic,
        station: Option<usize>,
        value: Node<'a>,
        key: ScalarNode<'a>,
        gathered: &mut Gathered,
    ) {
        match value {
            Node::Scalar(scalar) => match self.value(characteristic, station, scalar, key) {
                Got::Value(datum) => {
                    gathered.readings.push(Reading { datum, span: as_written(scalar), gauge: None, detail: None });
                }
                Got::Unknown => gathered.unknown = true,
                Got::Unusable => gathered.unusable = true,
            },
            Node::List(list) => {
                for item in list.items() {
                    if matches!(item, Node::List(_)) {
                        let finding = wording::list_in_list(self, characteristic, self.place(item.span()));
                        self.say(finding);
                        gathered.unusable = true;
                    } else {
                        self.gather(characteristic, station, item, key, gathered);
                    }
                }
            }
            Node::Map(map) => {
                let mut gauge = None;
                let mut detail = Detail::default();
                let mut value = None;
                for (name, inner) in map.entries() {
                    match (name.text(), inner) {
                        ("value", inner) => value = Some(inner),
                        ("gauge", Node::Scalar(scalar)) => {
                            gauge = self.readings.gauges.iter().position(|gauge| gauge.name == scalar.text());
                            if gauge.is_none() {
                                let finding = wording::gauge_unknown(self, scalar.text(), self.place(scalar.span()));
                                self.say(finding);
                            }
                        }
                        ("at", Node::Scalar(scalar)) => {
                            detail.temperature = self.temperature(scalar).map(|value| Temperature {
                                value,
                                half_width: Value::ZERO,
                                span: scalar.span(),
                            });
                        }
                        ("uncertainty", Node::Scalar(scalar)) => {
                            detail.uncertainty = self.like(characteristic, scalar);
                        }
                        ("note", Node::Scalar(scalar)) => detail.note = Some(scalar.text().to_string()),
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
                let Some(value) = value.filter(|value| !matches!(value, Node::Map(_))) else {
                    let finding = wording::no_value(self, characteristic, self.place(map.span()));
                    self.say(finding);
                    gathered.unusable = true;
                    return;
                };
                let before = gathered.readings.len();
                self.gather(characteristic, station, value, key, gathered);
                let gauge = gauge.and_then(|gauge| u16::try_from(gauge).ok());
                let says = detail.uncertainty.is_some() || detail.temperature.is_some() || detail.note.is_some();
                // What one reading of a list says for itself goes before what is said of them all.
                for reading in gathered.readings.iter_mut().skip(before) {
                    reading.gauge = reading.gauge.or(gauge);
                    if says {
                        let own = reading.detail.take().map(|own| *own).unwrap_or_default();
                        reading.detail = Some(Box::new(own.or(&detail)));
                    }
                }
            }
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
        let text = scalar.text().trim_ascii();
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
                if text == "unknown" {
                    return Got::Unknown;
                }
                match self.quantity(dimension, characteristic.unit.as_ref(), scalar) {
                    Ok(value) => return Got::Value(Datum::Quantity(value)),
                    Err(trouble) => wording::number_trouble(self, characteristic, station, trouble, scalar),
                }
            }
            Kind::Names(set) => match self.book.sets.get(set).number(text) {
                Some(number) => return Got::Value(Datum::Name(number)),
                None if text == "unknown" => return Got::Unknown,
                None => wording::word_unknown(self, characteristic, set, text, self.place(scalar.span())),
            },
            Kind::YesNo => match text {
                "yes" => return Got::Value(Datum::YesNo(true)),
                "no" => return Got::Value(Datum::YesNo(false)),
                "unknown" => return Got::Unknown,
                other => wording::yes_no_unknown(self, characteristic, other, self.place(scalar.span())),
            },
            Kind::Text => return if text == "unknown" { Got::Unknown } else { Got::Value(Datum::Words) },
        };
        self.say(finding);
        Got::Unusable
    }
}
