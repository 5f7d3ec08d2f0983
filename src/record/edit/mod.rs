//! Changes the text of a record in place: the bytes of one value, or its line, and nothing else. Refuses to know what a key
//! means, and to give out a text that does not read as the old one with that change.
//!
//! Comments, order, blank lines, line ends and quotation marks of everything else stay as they are. What is changed is
//! planned on the places of the old text and then read again; where that is not the old record with the one
//! change, nothing is changed.

mod block;
mod flow;
mod layout;
mod lines;
mod over;
mod plan;
mod style;
#[cfg(test)]
mod tests;
mod tree;
mod wording;

use super::{MOST_DEEP, read};
use crate::finding::{Code, Finding};
use crate::text::{Place, Source, Span, named_alike};
use layout::{Layout, layout};
use plan::{Manner, Plan, Sketch};
use tree::{Stroke, Tree, strokes};

/// One step of the way to a value.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub enum Step {
    /// Into a map, by a key.
    Key(String),
    /// Into a list, by the number of an item, from 0. The number past the last one is a new item.
    Item(usize),
}

impl From<&str> for Step {
    fn from(key: &str) -> Step {
        Step::Key(key.to_owned())
    }
}

impl From<usize> for Step {
    fn from(item: usize) -> Step {
        Step::Item(item)
    }
}

/// What is to be written.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Written {
    /// Nothing behind the colon: not measured yet. In JSON an empty text.
    Nothing,
    /// A text as somebody typed it. Quotation marks are set where YAML needs them.
    Text(String),
    /// Several values.
    List(Vec<Written>),
    /// Keys and values in this order, such as `value`, `gauge` and `note`.
    Map(Vec<(String, Written)>),
}

impl From<&str> for Written {
    fn from(text: &str) -> Written {
        Written::Text(text.to_owned())
    }
}

/// A change of one value.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Change {
    /// Writes a value, over the one that is there or with all the keys that are not there yet.
    Set {
        /// The way to it.
        path: Vec<Step>,
        /// What is written.
        value: Written,
    },
    /// Takes a key or an item away. A map or list that loses its last value is left without a value.
    Remove {
        /// The way to it.
        path: Vec<Step>,
    },
}

impl Change {
    /// The way to the value that is changed.
    #[must_use]
    pub fn path(&self) -> &[Step] {
        match self {
            Change::Set { path, .. } | Change::Remove { path } => path,
        }
    }
}

/// Before which key of a map a new key comes: the way to the map, its keys as they are, the new key. As many as there are
/// keys is behind them all.
pub type Order<'o> = &'o dyn Fn(&[Step], &[&str], &str) -> usize;

/// Behind all keys of its map.
#[must_use]
pub fn at_the_end(_map: &[Step], keys: &[&str], _new: &str) -> usize {
    keys.len()
}

/// Behind the last key that comes before it in a list of keys; at the end if the list does not have it.
#[must_use]
pub fn by_list(list: &[&str], keys: &[&str], new: &str) -> usize {
    let rank = |key: &str| list.iter().position(|listed| *listed == key);
    let Some(own) = rank(new) else { return keys.len() };
    keys.iter().rposition(|key| rank(key).is_some_and(|other| other < own)).map_or(0, |at| at + 1)
}

/// A record after a change.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Edited {
    /// The whole text.
    pub text: String,
    /// Where the value now stands in it; nothing for one that was taken away.
    pub span: Option<Span>,
}

/// Why a change was not made.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Why {
    /// The record has mistakes of YAML, several documents or keys said twice; what was said of the first.
    Unreadable(String),
    /// The value, or one on the way to it, is an alias.
    Alias,
    /// The value, or one on the way to it or within it, has an anchor.
    Anchor,
    /// The value, or one on the way to it or within it, has a tag.
    Tag,
    /// Written as `? key`, with a mark before a key, or as a key and its value in a list without braces.
    Unusual,
    /// The way leads through a text.
    ThroughText,
    /// The way leads through a list as if it were a map.
    ThroughList,
    /// The way leads through a map as if it were a list.
    NotAList,
    /// There is no such key or item.
    NotThere,
    /// The way is empty.
    NoPath,
    /// The value nests deeper than a record may.
    TooDeep,
    /// What would be written does not read as the old record with the change; what would be said of it, if anything.
    NotSafe(Option<String>),
}

/// A change that was not made.
#[derive(Clone, PartialEq, Debug)]
pub struct EditFault {
    /// The reason.
    pub why: Why,
    /// What stands in the way, in the text as it is.
    pub place: Place,
}

impl std::fmt::Display for EditFault {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.write_str(&wording::why(&self.why))
    }
}

impl std::error::Error for EditFault {}

/// Makes a change. A new key goes where `order` says; a line of its own in which it stands behind a `#` becomes it.
///
/// # Errors
///
/// Says what stands in the way, and where. The text then stays as it is.
pub fn edit(source: &Source, change: &Change, order: Order<'_>) -> Result<Edited, EditFault> {
    let at = |at: usize| source.place(Span::new(at, at));
    let fault = |why: Why, place: Place| EditFault { why, place };
    let path = change.path();
    if path.is_empty() {
        return Err(fault(Why::NoPath, at(0)));
    }
    let nested = if let Change::Set { value, .. } = change { depth_of(value) } else { 0 };
    if path.len() + nested > MOST_DEEP {
        return Err(fault(Why::TooDeep, at(0)));
    }
    let (tree, findings) = held(source).map_err(|finding| {
        let place = finding.place.as_ref().map_or_else(|| at(0), |(place, _)| place.clone());
        fault(Why::Unreadable(finding.message.to_string()), place)
    })?;
    let Some(laid_out) = layout(source.text()) else {
        return Err(fault(Why::Unusual, at(0)));
    };
    let list = strokes_of(&tree, change);
    let mut last = fault(Why::NotSafe(None), at(0));
    for manner in MANNERS {
        let mut drawn: Option<Drawn> = None;
        let result = list.iter().try_for_each(|stroke| {
            let before = drawn.as_ref().map_or((source.text(), &tree, &laid_out), Drawn::parts);
            drawn = Some(draw(before, stroke, order, manner)?);
            Ok(())
        });
        match result {
            Err((why @ Why::NotSafe(_), place)) => {
                last = fault(why, at(place));
                continue;
            }
            Err((why, place)) => return Err(fault(why, at(place))),
            Ok(()) => {}
        }
        // Without a stroke it says what it is to say already.
        let Drawn { text, tree: expected, layout } = drawn.unwrap_or_else(|| Drawn {
            text: source.text().to_owned(),
            tree: tree.clone(),
            layout: laid_out.clone(),
        });
        match right(source, text, &expected, &findings) {
            Ok(text) => {
                let span = if matches!(change, Change::Set { .. }) { written_at(&layout, path) } else { None };
                return Ok(Edited { text, span });
            }
            Err(said) => last = fault(Why::NotSafe(said), at(0)),
        }
    }
    let place = nearest(&laid_out, path);
    last.place = source.place(place.unwrap_or_default());
    Err(last)
}

/// What a record holds, and what else is said of it; the first mistake where it cannot be read whole.
fn held(source: &Source) -> Result<(Tree, Vec<Finding>), Finding> {
    let (sheet, findings) = read(source);
    let harmless =
        |finding: &&Finding| matches!(finding.code, Code::CommentCuts | Code::YamlUnsupported | Code::RecordEmpty);
    if let Some(finding) = findings.iter().find(|finding| !harmless(finding)) {
        return Err(finding.clone());
    }
    match &sheet {
        Some(sheet) if !sheet.is_whole() => {
            let unknown = || {
                Finding::new(Code::YamlUnreadable, wording::why(&Why::Unusual)).at(source.place(Span::default()), "")
            };
            Err(findings.first().cloned().unwrap_or_else(unknown))
        }
        _ => {
            let tree = sheet.as_ref().and_then(|sheet| sheet.root()).map_or(Tree::Empty, Tree::of);
            Ok((tree, findings))
        }
    }
}

fn strokes_of(tree: &Tree, change: &Change) -> Vec<Stroke> {
    let mut list = Vec::new();
    match change {
        Change::Remove { path } => list.push(Stroke::Take { path: path.clone() }),
        Change::Set { path, value } => match tree.at(path) {
            Some(old) => strokes(old, path, value, &mut list),
            None => list.push(Stroke::Put { path: path.clone(), value: value.clone(), at: None }),
        },
    }
    list
}

/// What is tried in turn until it comes out right: a key in a comment becomes one; it does not; a text is quoted that would be
/// cut short without; comments that are left move to the column of what was taken away, where they would become text.
const MANNERS: [Manner; 4] = [
    Manner { uncomments: true, quoted: false, close: false },
    Manner { uncomments: false, quoted: false, close: false },
    Manner { uncomments: false, quoted: true, close: false },
    Manner { uncomments: false, quoted: true, close: true },
];

/// A text, what it must hold, and where everything stands in it.
struct Drawn {
    text: String,
    tree: Tree,
    layout: Layout,
}

impl Drawn {
    fn parts(&self) -> (&str, &Tree, &Layout) {
        (&self.text, &self.tree, &self.layout)
    }
}

/// A text after one stroke.
fn draw(
    (text, tree, before): (&str, &Tree, &Layout),
    stroke: &Stroke,
    order: Order<'_>,
    manner: Manner,
) -> Result<Drawn, plan::Fault> {
    let sketch = Sketch::new(text, before, order, manner);
    let mut tree = tree.clone();
    let (plan, fits) = match stroke {
        Stroke::Put { path, value, at } => {
            let plan = sketch.put(path, value, *at)?;
            let fits = tree.put(path, Tree::written(value), plan.new_at);
            (plan, fits)
        }
        Stroke::Take { path } => (sketch.take(path)?, tree.take(path)),
    };
    let after = plan.applied(text).filter(|_| fits).ok_or((Why::NotSafe(None), 0))?;
    let layout = layout(&after).ok_or((Why::NotSafe(None), 0))?;
    if !keeps_comments((text, before), (&after, &layout), &plan) {
        return Err((Why::NotSafe(None), 0));
    }
    Ok(Drawn { text: after, tree, layout })
}

/// Whether every comment is still there, in order, but for the key that stood in one.
fn keeps_comments((text, before): (&str, &Layout), (after, laid_out): (&str, &Layout), plan: &Plan) -> bool {
    let expected = before.comments.iter().enumerate().filter_map(|(number, comment)| {
        let cut = plan.uncommented.filter(|(cut, _)| *cut == number).map_or(0, |(_, length)| length);
        Some(lines::piece(text, comment.start + cut..comment.end)).filter(|comment| !comment.is_empty())
    });
    expected.eq(laid_out.comments.iter().map(|comment| lines::piece(after, comment.clone())))
}

/// The text, if it reads as what is expected, with nothing to say that was not said before.
fn right(source: &Source, text: String, expected: &Tree, said: &[Finding]) -> Result<String, Option<String>> {
    let changed = Source::new(source.name(), text);
    let (found, findings) = held(&changed).map_err(|finding| Some(finding.message.to_string()))?;
    let mut before: Vec<_> = said.iter().map(|finding| (finding.code, finding.message.to_string())).collect();
    for finding in findings.iter().filter(|finding| finding.code != Code::RecordEmpty) {
        let message = finding.message.to_string();
        let known = before.iter().position(|(code, text)| *code == finding.code && *text == message);
        match known {
            Some(known) => drop(before.swap_remove(known)),
            None => return Err(Some(message)),
        }
    }
    if expected.agrees(&found) { Ok(changed.text().to_owned()) } else { Err(None) }
}

/// Where the value at a path stands.
fn written_at(laid_out: &Layout, path: &[Step]) -> Option<Span> {
    let mut node = laid_out.root.as_ref()?;
    for step in path {
        node = &entry_of(node, step)?.value;
    }
    Some(Span::new(node.span.start, node.span.end))
}

/// The last key or item on the way to a value that is there.
fn nearest(layout: &Layout, path: &[Step]) -> Option<Span> {
    let mut node = layout.root.as_ref()?;
    let mut found = None;
    for step in path {
        let Some(entry) = entry_of(node, step) else { break };
        found = Some(Span::new(entry.begin, entry.end()));
        node = &entry.value;
    }
    found
}

fn entry_of<'n>(node: &'n layout::Node, step: &Step) -> Option<&'n layout::Entry> {
    match (&node.kind, step) {
        (layout::Kind::Map(entries), Step::Key(key)) => {
            alike(entries.iter().map(|entry| entry.key.as_str()), key).and_then(|at| entries.get(at))
        }
        (layout::Kind::List(entries), Step::Item(at)) => entries.get(*at),
        _ => None,
    }
}

/// Which of a map's keys a step leads to: the one written so, or the only one in other capitals.
fn alike<'k>(keys: impl Iterator<Item = &'k str> + Clone, key: &str) -> Option<usize> {
    named_alike(keys.enumerate(), key, |(_, written)| written).map(|(at, _)| at)
}

/// How many maps and lists a value nests, or one more than a record may.
fn depth_of(value: &Written) -> usize {
    let mut level = vec![value];
    let mut depth = 0;
    while !level.is_empty() && depth <= MOST_DEEP {
        level = level
            .into_iter()
            .flat_map(|value| -> Box<dyn Iterator<Item = &Written>> {
                match value {
                    Written::Nothing | Written::Text(_) => Box::new(std::iter::empty()),
                    Written::List(items) => Box::new(items.iter()),
                    Written::Map(entries) => Box::new(entries.iter().map(|(_, value)| value)),
                }
            })
            .collect();
        depth += 1;
    }
    depth
}
