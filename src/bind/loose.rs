//! Records of loose parts: what each says of itself, and its readings in the slots of one position. Refuses to know which
//! position a part will be put in, and what any value may be.

use super::walk::Binder;
use super::{Gauges, Readings, capitals, wording_loose as wording};
use crate::book::{Book, Generation, Id, Member, Part};
use crate::finding::{Finding, Said};
use crate::quantity::Date;
use crate::record::{MapNode, Node, ScalarNode, Sheet};
use crate::text::{Source, Span};

/// Keys of a part's record that are about the part as a whole and not readings.
pub(crate) const PART_HEADER: [&str; 8] =
    ["part", "tag", "measured", "generation", "gauges", "state", "serial", "notes"];

/// Keys at the top of a file of several parts; all but `parts` are for every part that does not say them itself.
pub(crate) const PARTS_HEADER: [&str; 6] = ["parts", "part", "measured", "generation", "gauges", "notes"];

/// One part of a file of loose parts, without its readings.
#[derive(Clone, Debug)]
pub struct LoosePart {
    /// Which part of the machine it is.
    pub part: Id<Part>,
    /// What is painted on it, and where the record says so.
    pub tag: Option<(String, Span)>,
    /// The day it was measured, whose rows judge it.
    pub measured: Option<Date>,
    /// Where the record says that day.
    pub measured_span: Option<Span>,
    /// The generations the record names; empty if it names none, so that every one is open.
    pub generations: Vec<Id<Generation>>,
    /// Whether the record names a generation that could not be used.
    pub generation_unusable: bool,
    /// Where the record says its generations.
    pub generation_span: Option<Span>,
    /// The serial number of the engine it came from or belongs to.
    pub serial: Option<String>,
    /// Where it is now.
    pub state: PartState,
    /// Where the record says so.
    pub state_span: Option<Span>,
    /// The parts within it that its record has, if only by an empty key: the others are not with it.
    pub with: Vec<Id<Part>>,
    /// Everything written about it.
    pub span: Span,
    /// Its number in a list of parts; `None` if the file is about this one part.
    pub number: Option<usize>,
}

/// Where a part is.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub enum PartState {
    /// On the shelf, free to be taken.
    #[default]
    InStock,
    /// Kept for a build.
    Reserved(String),
    /// In a build.
    Fitted(String),
    /// Never to be used again.
    Scrapped {
        /// Since when.
        on: Option<Date>,
        /// Why.
        because: Option<String>,
    },
}

impl PartState {
    /// The word for it.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            PartState::InStock => "in stock",
            PartState::Reserved(_) => "reserved",
            PartState::Fitted(_) => "fitted",
            PartState::Scrapped { .. } => "scrapped",
        }
    }
}

/// Whether a record is about loose parts: its top says `part`, or `parts` with a list of them.
#[must_use]
pub fn is_loose(book: &Book, sheet: &Sheet) -> bool {
    loose_span(book, sheet).is_some()
}

/// Where a record says that it is about loose parts; `None` if it is not.
#[must_use]
pub fn loose_span(book: &Book, sheet: &Sheet) -> Option<Span> {
    let Some(Node::Map(map)) = sheet.root() else { return None };
    let is_member = |name: &str| book.root().is_some_and(|root| book.parts.get(root).member_by_name.contains_key(name));
    let says = |(key, value): &(ScalarNode<'_>, Node<'_>)| {
        let is = |word: &str| key.text().eq_ignore_ascii_case(word) && !is_member(word);
        is("part") || (is("parts") && matches!(value, Node::List(_)))
    };
    map.entries().find(says).map(|(key, _)| key.span())
}

/// The parts of a file of loose parts, in the order written. A part that no book knows is left out, with a finding.
#[must_use]
pub fn loose_parts(book: &Book, sheet: &Sheet, source: &Source) -> (Vec<LoosePart>, Vec<Finding>) {
    let named = capitals::as_named(book, sheet);
    let sheet = named.as_ref().unwrap_or(sheet);
    let mut reader = Reader { book, source, said: Said::default() };
    let mut parts = Vec::new();
    if let Some(Node::Map(map)) = sheet.root() {
        let list = map.entries().find(|(key, _)| key.text() == "parts");
        match list {
            Some((_, Node::List(list))) => {
                reader.keys_at_the_top(map);
                for (number, item) in list.items().enumerate() {
                    match item {
                        Node::Map(item) => parts.extend(reader.part(item, Some((map, number)))),
                        unwritten if unwritten.is_unwritten() => {}
                        other => reader.said.add(wording::item_shape(source.place(other.span()))),
                    }
                }
            }
            _ => parts.extend(reader.part(map, None)),
        }
    }
    // What is wrong with the top of the file is said once, not for each part.
    let mut findings: Vec<Finding> = Vec::new();
    for finding in reader.said.into_findings() {
        if !findings.contains(&finding) {
            findings.push(finding);
        }
    }
    (parts, findings)
}

/// Reads the readings of a part as if it were at some positions of a generation. A gauge that the record lists itself is
/// the record's. `book` may have the part's positions without names, so that nothing said of it names one.
#[must_use]
pub fn bind_part(
    book: &Book,
    (sheet, source): (&Sheet, &Source),
    part: &LoosePart,
    (generation, positions): (Option<Id<Generation>>, &[u16]),
    shop: Option<&Gauges>,
) -> (Readings, Vec<Finding>) {
    let named = capitals::as_named(book, sheet);
    let sheet = named.as_ref().unwrap_or(sheet);
    let mut binder = Binder::new(book, source, book.slot_count, shop);
    binder.loose = Some(part.part);
    binder.readings.build = part.tag.as_ref().map(|(tag, _)| tag.clone());
    binder.readings.is_part = true;
    binder.readings.finished = part.measured;
    binder.readings.judged_on = part.measured;
    binder.readings.finished_span = part.measured_span;
    binder.readings.generation = generation;
    binder.readings.generation_span = part.generation_span;
    binder.positions = positions.to_vec();
    if let (Some(map), file) = map_of(sheet, part) {
        let gauges =
            |map: MapNode<'_>| map.entries().any(|(key, value)| key.text() == "gauges" && !value.is_unwritten());
        let from = if gauges(map) { Some(map) } else { file };
        if let Some((_, gauges)) = from.and_then(|map| map.entries().find(|(key, _)| key.text() == "gauges"))
            && !gauges.is_unwritten()
        {
            binder.own_gauges(gauges);
        }
        binder.members(part.part, book.instance(part.part, positions), map);
        binder.calibrations_held();
        binder.correlations_hold();
        binder.expansions_missing();
    }
    (binder.readings, binder.said.into_findings())
}

/// What is written about a part, and the top of the file if it stands in a list.
fn map_of<'a>(sheet: &'a Sheet, part: &LoosePart) -> (Option<MapNode<'a>>, Option<MapNode<'a>>) {
    let Some(Node::Map(map)) = sheet.root() else { return (None, None) };
    let Some(number) = part.number else { return (Some(map), None) };
    let list = map.entries().find_map(|(key, value)| match value {
        Node::List(list) if key.text() == "parts" => Some(list),
        _ => None,
    });
    let item = list.and_then(|list| list.items().nth(number)).and_then(|item| match item {
        Node::Map(item) => Some(item),
        _ => None,
    });
    (item, Some(map))
}

/// The work of reading the heads of parts.
struct Reader<'a> {
    book: &'a Book,
    source: &'a Source,
    said: Said,
}

impl<'a> Reader<'a> {
    fn keys_at_the_top(&mut self, map: MapNode<'a>) {
        for (key, _) in map.entries() {
            if !PARTS_HEADER.contains(&key.text()) {
                self.said.add(wording::key_beside_parts(key.text(), self.source.place(key.span())));
            }
        }
    }

    /// One part; `file` is the top of the file and the part's number, if it stands in a list.
    fn part(&mut self, map: MapNode<'a>, file: Option<(MapNode<'a>, usize)>) -> Option<LoosePart> {
        let own = |wanted: &str| map.entries().find(|(key, value)| key.text() == wanted && !value.is_unwritten());
        let said = |wanted: &str| {
            own(wanted).or_else(|| {
                let (top, _) = file?;
                top.entries().find(|(key, value)| key.text() == wanted && !value.is_unwritten())
            })
        };
        let Some((key, value)) = said("part") else {
            self.said.add(wording::part_missing(
                self.book,
                self.source.place(Span::new(map.span().start as usize, map.span().start as usize)),
            ));
            return None;
        };
        let (name, name_span) = self.word(key, value)?;
        let part = self.named_part(&name, name_span)?;
        let (generations, generation_span, generation_unusable) = self.generations(said("generation"));
        let measured = said("measured");
        let (state, state_span) = self.state(own("state"));
        if let Some((key, _)) = map.entries().find(|(key, _)| key.text() == "concessions") {
            self.said.add(wording::concession_on_part(self.source.place(key.span())));
        }
        Some(LoosePart {
            part,
            tag: own("tag").and_then(|(key, value)| self.word(key, value)),
            measured: measured.and_then(|(key, value)| self.date(key, value)),
            measured_span: measured.map(|(_, value)| value.span()),
            generations,
            generation_unusable,
            generation_span,
            serial: own("serial").and_then(|(key, value)| self.word(key, value)).map(|(serial, _)| serial),
            state,
            state_span,
            with: with_it(self.book, part, map),
            span: map.span(),
            number: file.map(|(_, number)| number),
        })
    }

    fn word(&mut self, key: ScalarNode<'a>, value: Node<'a>) -> Option<(String, Span)> {
        match value {
            Node::Scalar(scalar) => Some((scalar.text().trim().to_string(), scalar.span())),
            other => {
                self.said.add(super::wording::scalar_needed(key.text(), self.source.place(other.span())));
                None
            }
        }
    }

    fn date(&mut self, key: ScalarNode<'a>, value: Node<'a>) -> Option<Date> {
        let (text, span) = self.word(key, value)?;
        let date = Date::parse(&text);
        if date.is_none() {
            self.said.add(super::wording::date_unreadable(key.text(), &text, self.source.place(span)));
        }
        date
    }

    /// The part a name or a path means: `rotor`, `rotor.apex_seal`. Any part may be loose but the whole machine.
    fn named_part(&mut self, name: &str, span: Span) -> Option<Id<Part>> {
        match part_named(self.book, name) {
            Ok(part) => Some(part),
            Err(candidates) => {
                self.said.add(wording::part_unknown(self.book, name, &candidates, self.source.place(span)));
                None
            }
        }
    }

    fn generations(
        &mut self,
        written: Option<(ScalarNode<'a>, Node<'a>)>,
    ) -> (Vec<Id<Generation>>, Option<Span>, bool) {
        let Some((key, value)) = written else { return (Vec::new(), None, false) };
        let nodes: Vec<Node<'a>> = match value {
            Node::List(list) => list.items().collect(),
            one => vec![one],
        };
        let mut generations = Vec::new();
        let mut unusable = false;
        for node in nodes {
            let Some((name, span)) = self.word(key, node) else {
                unusable = true;
                continue;
            };
            match self.book.generation_typed(&name) {
                Some(id) if !self.book.generations.get(id).basis => {
                    if !generations.contains(&id) {
                        generations.push(id);
                    }
                }
                found => {
                    unusable = true;
                    self.said.add(super::wording::generation_unknown_in(
                        self.book,
                        &name,
                        found,
                        self.source.place(span),
                    ));
                }
            }
        }
        (generations, Some(value.span()), unusable)
    }

    fn state(&mut self, written: Option<(ScalarNode<'a>, Node<'a>)>) -> (PartState, Option<Span>) {
        let Some((_, value)) = written else { return (PartState::InStock, None) };
        let span = Some(value.span());
        let read = match value {
            Node::Scalar(scalar) => state_in_words(scalar.text()),
            Node::Map(map) => {
                let mut state = None;
                let mut because = None;
                for (key, value) in map.entries() {
                    match key.text() {
                        "scrapped" => state = Some(self.date(key, value)),
                        "because" => because = self.word(key, value).map(|(because, _)| because),
                        _ => return self.state_unreadable(value.span(), span),
                    }
                }
                state.map(|on| PartState::Scrapped { on, because })
            }
            Node::List(_) => None,
        };
        match read {
            Some(state) => (state, span),
            None => self.state_unreadable(value.span(), span),
        }
    }

    /// A state nobody can read may be `scrapped`: the part is not free to be taken.
    fn state_unreadable(&mut self, at: Span, span: Option<Span>) -> (PartState, Option<Span>) {
        self.said.add(wording::state_unreadable(self.source.place(at)));
        (PartState::Scrapped { on: None, because: None }, span)
    }
}

/// The parts within a part that a map has keys for, in the order of the book.
fn with_it(book: &Book, part: Id<Part>, map: MapNode<'_>) -> Vec<Id<Part>> {
    let mut with = Vec::new();
    // Parts nest no deeper than a rulebook's brackets, which are bounded.
    let mut open = vec![(part, map)];
    while let Some((part, map)) = open.pop() {
        let here = book.parts.get(part);
        for (key, value) in map.entries() {
            let Some(Member::Part(inner)) = here.member_by_name.get(key.text()) else { continue };
            if !with.contains(inner) {
                with.push(*inner);
            }
            let Node::Map(below) = value else { continue };
            if book.parts.get(*inner).positions.is_empty() {
                open.push((*inner, below));
            } else {
                open.extend(below.entries().filter_map(|(_, value)| match value {
                    Node::Map(at) => Some((*inner, at)),
                    _ => None,
                }));
            }
        }
    }
    with.sort_unstable_by_key(|part| part.index());
    with
}

fn state_in_words(text: &str) -> Option<PartState> {
    let words: Vec<&str> = text.split_whitespace().collect();
    match words.as_slice() {
        ["in", "stock"] => Some(PartState::InStock),
        ["scrapped"] => Some(PartState::Scrapped { on: None, because: None }),
        ["reserved", "for", build] => Some(PartState::Reserved((*build).to_owned())),
        ["fitted", "in", build] => Some(PartState::Fitted((*build).to_owned())),
        _ => None,
    }
}

/// The part a name or a path means.
///
/// # Errors
/// The paths it could mean where there are several; none where there is no such part.
pub fn part_named(book: &Book, name: &str) -> Result<Id<Part>, Vec<String>> {
    let steps: Vec<&str> = name.split('.').map(str::trim).collect();
    let Some(root) = book.root() else { return Err(Vec::new()) };
    // From the top, the name of the whole machine said or left out.
    let (first, rest) = match steps.split_first() {
        Some((first, rest)) if **first == *book.parts.get(root).name && !rest.is_empty() => {
            (rest.first().copied(), rest.get(1..))
        }
        Some((first, rest)) => (Some(*first), Some(rest)),
        None => (None, None),
    };
    let (Some(first), Some(rest)) = (first, rest) else { return Err(Vec::new()) };
    let starts = book.parts.entries().filter(|(id, part)| *id != root && *part.name == *first).map(|(id, _)| id);
    let mut found: Vec<Id<Part>> = starts
        .filter_map(|start| {
            rest.iter().try_fold(start, |part, step| match book.parts.get(part).member_by_name.get(*step) {
                Some(Member::Part(inner)) => Some(*inner),
                _ => None,
            })
        })
        .collect();
    match (found.pop(), found.is_empty()) {
        (Some(one), true) => Ok(one),
        (None, _) => Err(Vec::new()),
        (Some(last), false) => {
            found.push(last);
            Err(found.into_iter().map(|id| book.part_path(id, &[], ".")).collect())
        }
    }
}
