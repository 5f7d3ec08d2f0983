//! Generations: what each inherits, which positions it has, its constants and its rows.

use super::compile::{Draft, Space};
use super::rows_on::RowsOn;
use super::{Change, ChangeKind, Generation, GivenConstant, Id, Row, circles, plausible, rework, telltale, wording};
use crate::quantity::Days;
use crate::syntax::tree::{self, GenerationDeclaration, GenerationMember, Item, PositionName, Tree};
use crate::text::{Place, Source};
use std::sync::Arc;

/// A row of a generation being made, with what it takes to find it again.
struct DraftRow {
    row: Arc<Row>,
    /// The condition as written, blanks folded: rows that differ in it are different rows.
    condition: String,
    inherited: bool,
}

impl DraftRow {
    fn inherited(&self) -> DraftRow {
        DraftRow { row: self.row.clone(), condition: self.condition.clone(), inherited: true }
    }
}

impl Draft {
    pub(super) fn generations(&mut self, trees: &[&Tree]) {
        let mut declared: Vec<(&GenerationDeclaration, &Source)> = Vec::new();
        for tree in trees {
            for item in &tree.items {
                if let Item::Generation(generation) = item
                    && self.take(Space::Generation, &generation.name, &tree.source)
                {
                    declared.push((generation, &tree.source));
                }
            }
        }
        let names: Vec<String> = declared.iter().map(|(generation, _)| generation.name.text.to_string()).collect();
        let mut edges: Vec<Vec<(usize, Place)>> = Vec::with_capacity(declared.len());
        for (generation, source) in &declared {
            let mut edge = Vec::new();
            if let Some(follows) = &generation.follows {
                match names.iter().position(|name| **name == *follows.text) {
                    Some(found) => edge.push((found, source.place(follows.span))),
                    None => {
                        let finding = wording::generation_unknown(&names, &follows.text, source.place(follows.span));
                        self.say(finding);
                    }
                }
            }
            edges.push(edge);
        }
        let (found, order) = circles::find(&edges, &names);
        if !found.is_empty() {
            self.findings.extend(found.iter().map(|circle| wording::generation_circle(circle)));
            return;
        }
        let mut made: Vec<Option<Id<Generation>>> = vec![None; declared.len()];
        let mut rows_of: Vec<Vec<DraftRow>> = Vec::new();
        // A generation comes after the one it follows, so everything it inherits is already there.
        for number in order {
            let Some((declaration, source)) = declared.get(number).copied() else { continue };
            let parent =
                edges.get(number).and_then(|edge| edge.first()).and_then(|(to, _)| made.get(*to).copied().flatten());
            let (fitted, constants) = match parent {
                Some(id) => {
                    let parent = self.book.generations.get(id);
                    (parent.fitted.clone(), parent.constants.clone())
                }
                None => (vec![None; self.book.parts.len()], vec![None; self.book.constants.len()]),
            };
            let inherited: Vec<DraftRow> = parent
                .and_then(|id| rows_of.get(id.index()))
                .map(|rows| rows.iter().map(DraftRow::inherited).collect())
                .unwrap_or_default();
            let blank = Generation {
                name: declaration.name.text.clone(),
                description: declaration.description.text.clone(),
                basis: declaration.basis,
                follows: parent,
                fitted,
                constants,
                rows: Vec::new(),
                telltales: Vec::new(),
                value_telltales: Vec::new(),
                plausible: Vec::new(),
                reworks: Vec::new(),
                place: source.place(declaration.name.span),
            };
            let (mut generation, rows) = self.generation(blank, inherited, declaration, source);
            generation.rows = rows.iter().map(|row| row.row.clone()).collect();
            let mut telltales = telltale::inherited(parent.map(|id| self.book.generations.get(id)));
            let mut ranges = plausible::inherited(parent.map(|id| self.book.generations.get(id)));
            let mut operations = rework::inherited(parent.map(|id| self.book.generations.get(id)));
            for member in &declaration.members {
                match member {
                    GenerationMember::Rework(line) => self.rework(&generation, &mut operations, line, source),
                    GenerationMember::Telltale(line) => self.telltale(&generation, &mut telltales, line, source),
                    GenerationMember::Plausible(line) => self.plausible(&generation, &mut ranges, line, source),
                    _ => {}
                }
            }
            generation.reworks = operations.into_iter().map(|(operation, _)| operation).collect();
            generation.plausible = ranges.into_iter().map(|(range, _)| range).collect();
            let telltales = telltales.into_iter().map(|(telltale, _)| telltale);
            (generation.value_telltales, generation.telltales) =
                telltales.partition(|telltale| telltale.tells.is_some());
            self.check_ranges(&generation, &generation.rows);
            self.check_telltales(&generation);
            self.check_plausible(&generation);
            self.check_reworks(&generation);
            rows_of.push(rows);
            let id = self.book.generations.push(generation);
            if let Some(entry) = made.get_mut(number) {
                *entry = Some(id);
            }
        }
    }

    fn generation(
        &mut self,
        mut generation: Generation,
        mut rows: Vec<DraftRow>,
        declaration: &GenerationDeclaration,
        source: &Source,
    ) -> (Generation, Vec<DraftRow>) {
        let mut given: Vec<(Box<str>, Place)> = Vec::new();
        for member in &declaration.members {
            match member {
                GenerationMember::Constant { name, value, texts, .. } => {
                    let place = source.place(name.span);
                    if let Some((_, first)) = given.iter().find(|(other, _)| *other == name.text) {
                        let finding = wording::name_taken(&name.text, place, first);
                        self.say(finding);
                        continue;
                    }
                    given.push((name.text.clone(), place));
                    self.constant(&mut generation, name, value, texts, source);
                }
                GenerationMember::Fitted { part, positions, .. } => {
                    self.fitted(&mut generation, part, positions, source);
                }
                GenerationMember::Row(_)
                | GenerationMember::Telltale(_)
                | GenerationMember::Plausible(_)
                | GenerationMember::Rework(_) => {}
            }
        }
        let characteristics = self.book.characteristics.len();
        let mut rows_on = RowsOn::new(characteristics, rows.iter().map(|draft| draft.row.subject.characteristic));
        for member in &declaration.members {
            if let GenerationMember::Row(row) = member {
                self.row(&generation, (&mut rows, &mut rows_on), row, source);
            }
        }
        (generation, rows)
    }

    fn constant(
        &mut self,
        generation: &mut Generation,
        name: &tree::Name,
        value: &tree::Expr,
        texts: &tree::Texts,
        source: &Source,
    ) {
        let Some((expression, dimension)) = self.checker(source, None, &[]).quantity(value) else { return };
        let found = self.book.constants.entries().find(|(_, constant)| constant.name == name.text);
        let Some((id, constant)) = found.map(|(id, constant)| (id, constant.clone())) else {
            // What a value worked out by a formula is, is not known before the formulas are.
            let finding = wording::constant_undeclared(&name.text, source.place(name.span));
            self.say(finding);
            return;
        };
        if constant.dimension != dimension {
            let finding = wording::constant_dimension(&constant, dimension, source.place(value.span));
            self.say(finding);
            return;
        }
        let Some(value) = self.constant_value(Some(generation), &expression) else { return };
        let texts = self.texts(texts, source);
        if let Some(entry) = generation.constants.get_mut(id.index()) {
            *entry = Some(GivenConstant { value, place: expression.place, texts });
        }
    }

    fn fitted(&mut self, generation: &mut Generation, path: &tree::Path, positions: &[PositionName], source: &Source) {
        let root = self.book.root();
        if root.is_none() {
            return;
        }
        let Some(id) = self.checker(source, root, &[]).part_named(path) else { return };
        let part = self.book.parts.get(id);
        let mut numbers = Vec::new();
        let mut findings = Vec::new();
        for position in positions {
            let (names, span) = match position {
                PositionName::One(name) => (vec![name.text.to_string()], name.span),
                // A run longer than the part has positions is wrong at its first missing one; no need to unfold it all.
                PositionName::Run { first, last, span } => {
                    let most = part.positions.len() + 1;
                    ((*first..=*last).take(most).map(|number| number.to_string()).collect(), *span)
                }
            };
            for name in names {
                match part.position_by_name.get(&*name) {
                    Some(number) => numbers.push(*number),
                    None => findings.push(wording::position_unknown(&self.book, id, &name, source.place(span))),
                }
            }
        }
        numbers.sort_unstable();
        numbers.dedup();
        self.findings.extend(findings);
        if let Some(entry) = generation.fitted.get_mut(id.index()) {
            *entry = Some(numbers);
        }
    }

    fn row(
        &mut self,
        generation: &Generation,
        (rows, rows_on): (&mut Vec<DraftRow>, &mut RowsOn),
        row: &tree::Row,
        source: &Source,
    ) {
        let condition = row.condition.as_ref().map_or_else(String::new, |condition| {
            source.slice(condition.span).split_whitespace().collect::<Vec<_>>().join(" ")
        });
        let Some(checked) = self.checked_row(&generation.name, row, source, true) else { return };
        let same = |other: &DraftRow| other.row.is_on_same(&checked) && other.condition == condition;
        let existing = rows_on.of(checked.subject.characteristic).find(|at| rows.get(*at).is_some_and(same));
        let place = checked.place.clone();
        match (row.replace, existing.and_then(|at| rows.get_mut(at))) {
            (Some(_), Some(old)) => {
                let mut replaced = checked;
                let mut history = old.row.history.clone();
                history.push(Change {
                    kind: ChangeKind::Replaced,
                    by: generation.name.clone(),
                    days: Days::ALWAYS,
                    binds: false,
                    excuses: old.row.never_excused && !replaced.never_excused,
                    place,
                });
                replaced.history = history;
                old.row = Arc::new(replaced);
                old.inherited = false;
            }
            (Some(word), None) => {
                let others: Vec<&Row> = rows
                    .iter()
                    .filter(|other| other.row.subject.characteristic == checked.subject.characteristic)
                    .map(|other| &*other.row)
                    .collect();
                let finding = wording::replace_nothing(&checked.path, &others, source.place(word), place);
                self.say(finding);
            }
            (None, Some(old)) if old.inherited => {
                let finding = wording::override_silent(&checked.path, &generation.name, &old.row, place);
                self.say(finding);
            }
            (None, Some(old)) => {
                let finding = wording::row_twice(&checked.path, place, &old.row.place);
                self.say(finding);
            }
            (None, None) => {
                rows_on.push(checked.subject.characteristic);
                rows.push(DraftRow { row: Arc::new(checked), condition, inherited: false });
            }
        }
    }
}
