//! What is written at one reading of a record, as it is written. Refuses to know what a value means.

use crate::record::Node;
use crate::record::edit::{Step, Written};
use crate::text::Span;

/// What may be written beside a value, in the order it is written.
pub const SAYS: [&str; 10] =
    ["gauge", "at", "gauge_at", "uncertainty", "k", "coverage", "degrees_of_freedom", "confirmed", "note", "photo"];

/// What is written at one reading.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Held {
    /// Its values, in the order written.
    pub items: Vec<Item>,
    /// What is written beside it while it has no value yet.
    pub beside: Vec<(String, String)>,
    /// Where it stands; `None` if it is not there.
    pub span: Option<Span>,
    pub(super) form: Form,
}

/// One value.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Item {
    /// The value as it is written.
    pub text: String,
    /// What is written beside it, what it shares with others of its list included.
    pub says: Vec<(String, String)>,
    /// The way to its text from the reading.
    pub(super) way: Vec<Step>,
}

/// In which of its forms a reading is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) enum Form {
    /// Not there, or nothing behind the colon.
    #[default]
    Nothing,
    /// A value.
    One,
    /// A list of values.
    List,
    /// A map with a value or a list of them.
    Map,
    /// Something else: it is not changed here.
    Other,
}

impl Held {
    /// What is written at the end of a way.
    pub(super) fn at(root: Option<Node<'_>>, path: &[Step]) -> Held {
        let mut node = root;
        for step in path {
            node = node.and_then(|node| match step {
                Step::Key(key) => node.as_map()?.get(key),
                Step::Item(number) => node.as_list()?.items().nth(*number),
            });
        }
        node.map_or_else(Held::default, Held::of)
    }

    fn of(node: Node<'_>) -> Held {
        let mut held = Held { span: Some(node.span()), ..Held::default() };
        if node.is_unwritten() {
            return held;
        }
        let mut values = Vec::new();
        held.form = match node {
            Node::Scalar(_) => Form::One,
            Node::List(_) => Form::List,
            Node::Map(_) => Form::Map,
        };
        if gather(node, &[], Vec::new(), &mut values, &mut held.beside).is_none() {
            held.form = Form::Other;
        }
        held.items = values;
        held
    }

    /// Whether a value is written.
    #[must_use]
    pub fn is_written(&self) -> bool {
        !self.items.is_empty() || self.form == Form::Other
    }

    /// Whether it is one value with nothing beside it, or none.
    pub(super) fn is_plain(&self) -> bool {
        matches!(self.form, Form::Nothing | Form::One)
    }

    /// Whether it is written in a way that is not changed here.
    #[must_use]
    pub fn is_unusual(&self) -> bool {
        self.form == Form::Other
    }
}

/// The values of a node; `None` if it is written in a way that is not changed here.
fn gather(
    node: Node<'_>,
    way: &[Step],
    says: Vec<(String, String)>,
    values: &mut Vec<Item>,
    beside: &mut Vec<(String, String)>,
) -> Option<()> {
    match node {
        Node::Scalar(scalar) => {
            let text = scalar.text().to_owned();
            values.push(Item { text, says, way: way.to_vec() });
        }
        Node::List(list) => {
            for (number, item) in list.items().enumerate() {
                if matches!(item, Node::List(_)) {
                    return None;
                }
                let way: Vec<Step> = way.iter().cloned().chain([Step::Item(number)]).collect();
                gather(item, &way, says.clone(), values, beside)?;
            }
        }
        Node::Map(map) => {
            let mut own = says;
            for (key, value) in map.entries().filter(|(key, _)| key.text() != "value") {
                let text = value.as_scalar()?.text().to_owned();
                own.retain(|(name, _)| name != key.text());
                own.push((key.text().to_owned(), text));
            }
            let Some(value) = map.get("value").filter(|value| !value.is_unwritten()) else {
                if values.is_empty() && way.is_empty() {
                    *beside = own;
                    return Some(());
                }
                return None;
            };
            if matches!(value, Node::Map(_)) || value.as_list().is_some_and(|_| !way.is_empty()) {
                return None;
            }
            let way: Vec<Step> = way.iter().cloned().chain([Step::from("value")]).collect();
            gather(value, &way, own, values, beside)?;
        }
    }
    Some(())
}

/// How values with what is written beside them are written together.
pub(super) fn written(items: &[Item]) -> Written {
    let text = |item: &Item| Written::from(item.text.as_str());
    let with = |value: Written, says: &[(String, String)]| {
        let says = says.iter().map(|(name, text)| (name.clone(), Written::from(text.as_str())));
        Written::Map(std::iter::once(("value".to_owned(), value)).chain(says).collect())
    };
    match items {
        [] => Written::Nothing,
        [one] if one.says.is_empty() => text(one),
        [one] => with(text(one), &one.says),
        [first, rest @ ..] if rest.iter().all(|item| item.says == first.says) => {
            let list = Written::List(items.iter().map(text).collect());
            if first.says.is_empty() { list } else { with(list, &first.says) }
        }
        several => {
            let one = |item: &Item| if item.says.is_empty() { text(item) } else { with(text(item), &item.says) };
            Written::List(several.iter().map(one).collect())
        }
    }
}
