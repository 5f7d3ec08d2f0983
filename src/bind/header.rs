//! The head of a record: which build, which generation, which gauges, which concessions.

use super::walk::Binder;
use super::{Concession, ConcessionRow, wording};
use crate::book::{Book, Characteristic, Id, Member, Part, RangeKind};
use crate::quantity::Date;
use crate::record::{MapNode, Node, ScalarNode};
use crate::text::Span;

/// The keys of a concession.
pub(crate) const CONCESSION_KEYS: [&str; 4] = ["row", "because", "by", "until"];

impl<'a> Binder<'a> {
    pub(super) fn header(&mut self, map: MapNode<'a>) {
        let mut generation = None;
        let mut gauges = None;
        for (key, value) in map.entries() {
            match (key.text(), value) {
                // Not said yet. A record without a generation cannot be judged, which is said where it is looked up.
                ("gauges" | "build" | "finished", value) if value.is_unwritten() => {}
                ("gauges", value) => gauges = Some(value),
                ("generation", value) => generation = Some((key, value)),
                ("build", value) => {
                    if let Some(scalar) = self.one_value(key, value) {
                        self.readings.build = Some(scalar.text().to_string());
                    }
                }
                ("finished", value) => {
                    self.readings.finished = self.date(key, value);
                    self.readings.finished_span = Some(value.span());
                    self.readings.judged_on = self.readings.finished;
                }
                _ => {}
            }
        }
        self.generation_named(map, generation);
        if let Some(gauges) = gauges {
            self.own_gauges(gauges);
        }
    }

    fn generation_named(&mut self, map: MapNode<'a>, written: Option<(ScalarNode<'a>, Node<'a>)>) {
        match written {
            Some((_, Node::Scalar(scalar))) if !scalar.text().trim().is_empty() => {
                let name = scalar.text().trim();
                self.readings.generation_span = Some(scalar.span());
                let found = self.book.generation_typed(name);
                match found {
                    Some(id) if !self.book.generations.get(id).basis => self.readings.generation = Some(id),
                    _ => {
                        let finding = wording::generation_unknown(self, name, found, self.place(scalar.span()));
                        self.say(finding);
                    }
                }
            }
            Some((_, value @ (Node::Map(_) | Node::List(_)))) => {
                let finding = wording::generation_shape(self, self.place(value.span()));
                self.say(finding);
            }
            written => {
                let top = Span::new(map.span().start as usize, map.span().start as usize);
                let span = written.map_or(top, |(key, _)| key.span());
                let finding = wording::generation_missing(self, self.place(span));
                self.say(finding);
            }
        }
    }

    /// The one value a key must have; none, with a finding, where it has none or several.
    pub(super) fn one_value(&mut self, key: ScalarNode<'a>, value: Node<'a>) -> Option<ScalarNode<'a>> {
        match value {
            Node::Scalar(scalar) if scalar.text().trim().is_empty() => {
                let finding = wording::nothing_after(key.text(), self.place(key.span()));
                self.say(finding);
                None
            }
            Node::Scalar(scalar) => Some(scalar),
            other => {
                let finding = wording::scalar_needed(key.text(), self.place(other.span()));
                self.say(finding);
                None
            }
        }
    }

    pub(super) fn date(&mut self, key: ScalarNode<'a>, value: Node<'a>) -> Option<Date> {
        let what = key.text();
        let scalar = self.one_value(key, value)?;
        let date = Date::parse(scalar.text().trim());
        if date.is_none() {
            let finding = wording::date_unreadable(what, scalar.text(), self.place(scalar.span()));
            self.say(finding);
        }
        date
    }

    pub(super) fn concessions(&mut self, map: MapNode<'a>) {
        let Some((_, node)) = map.entries().find(|(key, _)| key.text() == "concessions") else { return };
        if node.is_unwritten() {
            return;
        }
        let Node::List(list) = node else {
            let finding = wording::concessions_shape(self.place(node.span()));
            self.say(finding);
            return;
        };
        for item in list.items() {
            match item {
                Node::Map(map) => self.concession(map),
                other => {
                    let finding = wording::concessions_shape(self.place(other.span()));
                    self.say(finding);
                }
            }
        }
    }

    fn concession(&mut self, map: MapNode<'a>) {
        let (mut row, mut because, mut by, mut until) = (None, None, None, None);
        // A date nobody can read must not make a concession last for ever, nor a value of another form count as none.
        let mut readable = true;
        for (key, value) in map.entries() {
            match key.text() {
                "row" | "because" | "by" if value.as_scalar().is_none() => {
                    let finding = wording::scalar_needed(key.text(), self.place(value.span()));
                    self.say(finding);
                    readable = false;
                }
                "row" => row = value.as_scalar().filter(|scalar| !scalar.text().trim().is_empty()),
                "because" => because = value.as_scalar().map(|scalar| scalar.text().trim().to_string()),
                "by" => by = value.as_scalar().map(|scalar| scalar.text().trim().to_string()),
                "until" => {
                    until = self.date(key, value);
                    readable &= until.is_some();
                }
                other => {
                    let finding = wording::concession_key(other, self.place(key.span()));
                    self.say(finding);
                }
            }
        }
        if !readable {
            return;
        }
        let (because, by) = (because.filter(|text| !text.is_empty()), by.filter(|text| !text.is_empty()));
        let (Some(because), Some(by), Some(row)) = (&because, &by, row) else {
            let finding =
                wording::concession_unsigned(row.is_none(), because.is_none(), by.is_none(), self.place(map.span()));
            self.say(finding);
            return;
        };
        match self.concession_row(row.text().trim()) {
            Some(found) => self.readings.concessions.push(Concession {
                row: found,
                because: because.clone(),
                by: by.clone(),
                until,
                span: map.span(),
                row_span: row.span(),
            }),
            None => {
                let finding = wording::concession_unknown(self, row.text().trim(), self.place(row.span()));
                self.say(finding);
            }
        }
    }

    /// What a concession's `row` leads to: the keys of a record from the top, positions named.
    fn concession_row(&self, path: &str) -> Option<ConcessionRow> {
        let book = self.book;
        let mut part = book.root()?;
        let mut steps = path.split('.').peekable();
        if steps.peek() == Some(&&*book.parts.get(part).name) {
            steps.next();
        }
        let mut instance = 0_usize;
        // A row that compares the positions of a part is named without them.
        let mut unpinned = false;
        while let Some(step) = steps.next() {
            match book.parts.get(part).member_typed(step)? {
                Member::Part(inner) => {
                    part = inner;
                    let inside = book.parts.get(part);
                    if !inside.positions.is_empty() {
                        match steps.peek().and_then(|step| inside.position_typed(step)) {
                            Some(position) => {
                                steps.next();
                                instance = instance * inside.positions.len() + usize::from(position);
                            }
                            None => unpinned = true,
                        }
                    }
                }
                Member::Characteristic(id) => {
                    let station = match steps.next() {
                        None => None,
                        Some(name) => Some(book.characteristics.get(id).station_typed(name)?),
                    };
                    if steps.next().is_some() || (unpinned && !self.compares(id)) {
                        return None;
                    }
                    return Some(ConcessionRow {
                        characteristic: id,
                        instance: (!unpinned).then_some(instance),
                        station,
                    });
                }
            }
        }
        None
    }

    /// Whether the generation compares a characteristic's positions with each other.
    fn compares(&self, id: Id<Characteristic>) -> bool {
        self.generation().is_some_and(|generation| {
            generation.rows.iter().any(|row| {
                row.subject.characteristic == id
                    && row.limit.as_ref().is_some_and(|limit| matches!(limit.kind, RangeKind::AllTheSame { .. }))
            })
        })
    }
}

/// The names of a book's generations that a record may give.
pub(super) fn generation_names(book: &Book) -> Vec<String> {
    book.generations
        .iter()
        .filter(|generation| !generation.basis)
        .map(|generation| generation.name.to_string())
        .collect()
}

/// Every path a record of a book can have: what did-you-mean chooses from.
pub(super) fn all_paths(binder: &Binder<'_>) -> Vec<(String, Id<Characteristic>)> {
    let book = binder.book;
    let mut paths = Vec::new();
    for (id, characteristic) in book.characteristics.entries() {
        let part: Id<Part> = characteristic.part;
        if let Some(generation) = binder.generation() {
            paths.extend(book.instances(part, generation).iter().map(|positions| (book.path(id, positions, None), id)));
        }
    }
    paths
}
