//! Where the cursor is in a record: the keys that lead there, and what the books say they mean.

use crate::book::{Book, Characteristic, Id, Member, Part};
use crate::record::{Node, Sheet};
use crate::text::Span;

/// The keys from the top of a record to the cursor.
#[derive(Clone, Debug, Default)]
pub(super) struct Keys {
    /// Each key with where it stands.
    pub(super) steps: Vec<(String, Span)>,
    /// Whether the cursor is on the last key itself, not on its value.
    pub(super) on_key: bool,
    /// The scalar the cursor is on, as written.
    pub(super) scalar: Option<Span>,
}

impl Keys {
    /// The keys that lead to a byte.
    pub(super) fn at(sheet: &Sheet, offset: usize) -> Keys {
        let mut keys = Keys::default();
        let at = u32::try_from(offset).unwrap_or(u32::MAX);
        let touches = |span: Span| span.start <= at && at <= span.end;
        let mut node = sheet.root();
        while let Some(here) = node.take() {
            match here {
                Node::Map(map) => {
                    for (key, value) in map.entries() {
                        if touches(key.span()) || touches(value.span()) {
                            keys.steps.push((key.text().to_string(), key.span()));
                            keys.on_key = touches(key.span());
                            node = Some(value).filter(|_| !keys.on_key);
                            break;
                        }
                    }
                }
                Node::List(list) => node = list.items().find(|item| touches(item.span())),
                Node::Scalar(scalar) => keys.scalar = Some(scalar.span()),
            }
        }
        keys
    }

    /// The keys as a path: `rotor.front.width`.
    pub(super) fn path(&self) -> String {
        self.steps.iter().map(|(key, _)| key.as_str()).collect::<Vec<_>>().join(".")
    }
}

/// What keys of a record lead to.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Led {
    /// To a part; whether its position is still to be said.
    Part(Id<Part>, bool),
    /// To a reading; whether its station is still to be said.
    Reading(Id<Characteristic>, bool),
    /// To something said of a reading, such as its gauge.
    Said(Id<Characteristic>),
}

/// Where keys lead in the vocabulary of a book; none where they lead nowhere.
pub(super) fn lead<'k>(book: &Book, keys: impl IntoIterator<Item = &'k str>) -> Option<Led> {
    lead_from(book, Led::Part(book.root()?, false), keys)
}

/// Where keys lead that stand below something.
pub(super) fn lead_from<'k>(book: &Book, start: Led, keys: impl IntoIterator<Item = &'k str>) -> Option<Led> {
    let mut at = start;
    for key in keys {
        at = match at {
            Led::Part(id, true) => {
                book.parts.get(id).position_typed(key)?;
                Led::Part(id, false)
            }
            Led::Part(id, false) => match book.parts.get(id).member_typed(key)? {
                Member::Part(inner) => Led::Part(inner, !book.parts.get(inner).positions.is_empty()),
                Member::Characteristic(inner) => {
                    Led::Reading(inner, !book.characteristics.get(inner).stations().is_empty())
                }
            },
            Led::Reading(id, true) if book.characteristics.get(id).station_typed(key).is_some() => {
                Led::Reading(id, false)
            }
            Led::Reading(id, _) | Led::Said(id) => Led::Said(id),
        };
    }
    Some(at)
}
