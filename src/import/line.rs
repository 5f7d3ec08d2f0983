//! Brings the lines of a table together into builds, and each build into a record that its rulebooks can read. Refuses to write
//! half of one.

use super::about::About;
use super::cells::{Mangled, Typed, typed};
use super::columns::{Column, Columns, OF_A_READING};
use super::leaves::{Leaf, Leaves};
use super::table::{Cell, Table};
use super::write::{Head, Value, Written};
use super::{Ask, Import, Imported, wording};
use crate::finding::Finding;
use crate::record::Record;
use crate::shop::Shop;
use crate::text::{Place, Source, Span};
use std::collections::BTreeMap;

/// A build, or a loose part, as its lines say it.
struct Building {
    name: String,
    cell: Span,
    finished: Option<(String, Span)>,
    generation: (String, Span),
    values: BTreeMap<usize, Vec<Value>>,
    lines: Vec<usize>,
    /// Whether something of it was refused.
    refused: bool,
}

struct Reader<'a> {
    shop: &'a Shop,
    table: &'a Table,
    ask: &'a Ask<'a>,
    about: About,
    columns: Vec<Column>,
    /// Whether a line is a reading, and not a build.
    long: bool,
    leaves: BTreeMap<String, Leaves<'a>>,
    buildings: Vec<Building>,
    /// The number of each build by its name in small letters: files of names that differ by more are never one file.
    by_name: BTreeMap<String, usize>,
    /// Lines that cannot be told to be about any build.
    nameless: usize,
    findings: Vec<Finding>,
}

/// Makes the records of a table.
pub(super) fn records(shop: &Shop, table: &Table, ask: &Ask<'_>, import: &mut Import) {
    import.findings.extend(table.findings.iter().cloned());
    let (columns, findings) = Columns::of(ask.columns, &table.source, &table.headings);
    import.findings.extend(findings);
    let has = |word: &str| columns.iter().any(|column| column.is_word(word));
    let long = has("path") && has("value");
    let mut reader = Reader {
        shop,
        table,
        ask,
        about: if ask.part.is_some() { About::PART } else { About::BUILD },
        long,
        leaves: BTreeMap::new(),
        buildings: Vec::new(),
        by_name: BTreeMap::new(),
        nameless: 0,
        findings: Vec::new(),
        columns,
    };
    if !reader.has_build() {
        import.findings.append(&mut reader.findings);
        return;
    }
    reader.learn_generations();
    reader.know_columns();
    // A column nobody knows may hold what every record lacks then; and a line that is no line, a reading of any build.
    let uneven = table.findings.len();
    if !reader.findings.is_empty() || import.findings.len() > uneven || (long && uneven > 0) {
        import.findings.append(&mut reader.findings);
        import.refused = reader.count_builds();
        return;
    }
    for line in &table.lines {
        reader.line(line);
    }
    import.refused = uneven + reader.nameless;
    reader.finish(import);
}

impl<'a> Reader<'a> {
    fn place(&self, span: Span) -> Place {
        self.table.source.place(span)
    }

    /// The cell of a word about builds in a line.
    fn word<'b>(&self, line: &'b [Cell], word: &str) -> Option<&'b Cell> {
        let at = self.columns.iter().position(|column| column.is_word(word))?;
        line.get(at).filter(|cell| !cell.text.trim().is_empty())
    }

    fn is_about_builds(&self, column: &Column) -> bool {
        let of_a_reading = OF_A_READING.iter().filter(|_| self.long);
        self.about.columns().iter().chain(of_a_reading).any(|word| column.is_word(word))
    }

    /// Whether there is one column for the build, and none of the others twice.
    fn has_build(&mut self) -> bool {
        let mut seen: Vec<&str> = Vec::new();
        let mut findings = Vec::new();
        for column in self.columns.iter().filter(|column| self.is_about_builds(column)) {
            let Some(what) = column.what.as_deref() else { continue };
            if seen.contains(&what) {
                findings.push(wording::column_twice(column.place.clone(), what));
            }
            seen.push(what);
        }
        if !seen.contains(&self.about.name) {
            let heads = self.table.headings.first().map_or(Span::default(), |first| first.span);
            findings.push(wording::no_name_column(self.about, self.place(heads)));
        }
        let sound = findings.is_empty();
        self.findings.extend(findings);
        sound
    }

    /// What a record of each generation may hold, of those the table or its asker names.
    fn learn_generations(&mut self) {
        // A loose part may be of a generation that nobody knows yet.
        if self.ask.part.is_some() {
            self.leaves.extend(Leaves::of(self.shop, self.ask.part, None).map(|leaves| (String::new(), leaves)));
        }
        let mut names: Vec<&str> = self.ask.generation.into_iter().collect();
        let table = self.table;
        names
            .extend(table.lines.iter().filter_map(|line| self.word(line, "generation")).map(|cell| cell.text.as_str()));
        for name in names {
            let id = self.shop.book.generation_typed(name).filter(|id| self.shop.plan(*id).is_some());
            let Some(id) = id.filter(|_| !self.leaves.contains_key(name)) else { continue };
            let leaves = Leaves::of(self.shop, self.ask.part, Some(id));
            self.leaves.extend(leaves.map(|leaves| (name.to_string(), leaves)));
        }
    }

    /// Whether every column is known to a generation of the table.
    fn know_columns(&mut self) {
        let mut findings = Vec::new();
        for (at, column) in self.columns.iter().enumerate().filter(|(_, column)| !self.is_about_builds(column)) {
            let Some(what) = &column.what else { continue };
            let says = |line: &Vec<Cell>| line.get(at).is_some_and(|cell| !cell.text.trim().is_empty());
            if what.is_empty() && !self.table.lines.iter().any(says) {
                continue;
            }
            let known = !self.long && self.leaves.values().any(|leaves| leaves.find(what).is_some());
            // Without a generation there is nothing to know it by; each line says that.
            if !known && (self.long || !self.leaves.is_empty()) {
                let paths = self.leaves.values().flat_map(Leaves::paths).filter(|_| !self.long);
                findings.push(wording::column_unknown(column.place.clone(), what, paths, self.long));
            }
        }
        self.findings.extend(findings);
    }

    fn count_builds(&self) -> usize {
        let lines = self.table.lines.iter();
        let names: std::collections::BTreeSet<&str> =
            lines.filter_map(|line| self.word(line, self.about.name)).map(|cell| cell.text.as_str()).collect();
        names.len()
    }

    fn line(&mut self, line: &[Cell]) {
        let Some(number) = self.building(line) else { return };
        if self.long {
            self.one_reading(line, number);
            return;
        }
        for at in 0..self.columns.len() {
            let (Some(column), Some(cell)) = (self.columns.get(at).cloned(), line.get(at)) else { continue };
            if self.is_about_builds(&column) || cell.text.trim().is_empty() {
                continue;
            }
            let Some(what) = &column.what else { continue };
            self.value(number, what, cell, cell.span, column.unit.as_deref(), column.gauge.clone());
        }
    }

    /// The build a line is about; none where it cannot be told.
    fn building(&mut self, line: &[Cell]) -> Option<usize> {
        let first = line.first().map_or(Span::default(), |cell| cell.span);
        let Some(cell) = self.word(line, self.about.name) else {
            self.nameless += 1;
            self.findings.push(wording::no_name(self.about, self.place(first)));
            return None;
        };
        let (place, cell_span) = (self.place(cell.span), cell.span);
        let name = match typed(&cell.text, Typed::Words, false) {
            Ok(name) if wording::is_file_name(&name) => name,
            Ok(name) => {
                self.nameless += 1;
                self.findings.push(wording::no_file_name(self.about, place, &name));
                return None;
            }
            Err(mangled) => {
                self.nameless += 1;
                self.findings.push(wording::mangled(place, &cell.text, mangled));
                return None;
            }
        };
        let here = place.line_column().line;
        let known = self.by_name.get(&name.to_lowercase()).copied();
        if let Some((number, building)) = known.and_then(|number| Some((number, self.buildings.get_mut(number)?))) {
            let before = self.table.source.place(building.cell);
            if !self.long || building.name != name {
                building.refused = true;
                self.findings.push(wording::name_twice(self.about, place, &name, before));
                return None;
            }
            building.lines.push(here);
            self.same_head(number, line);
            return Some(number);
        }
        let number = self.buildings.len();
        self.by_name.insert(name.to_lowercase(), number);
        self.buildings.push(Building {
            name,
            cell: cell_span,
            finished: None,
            generation: (String::new(), cell_span),
            values: BTreeMap::new(),
            lines: vec![here],
            refused: false,
        });
        self.head(number, line);
        Some(number)
    }

    fn refuse(&mut self, number: usize, finding: Finding) {
        self.findings.push(finding);
        if let Some(building) = self.buildings.get_mut(number) {
            building.refused = true;
        }
    }

    /// The day and the generation of a build.
    fn head(&mut self, number: usize, line: &[Cell]) {
        if let Some(cell) = self.word(line, self.about.day) {
            match typed(&cell.text, Typed::Day, false) {
                Ok(day) => {
                    if let Some(building) = self.buildings.get_mut(number) {
                        building.finished = Some((day, cell.span));
                    }
                }
                Err(mangled) => self.refuse(number, wording::mangled(self.place(cell.span), &cell.text, mangled)),
            }
        }
        let cell = self.word(line, "generation");
        let said = cell.map(|cell| (cell.text.as_str(), cell.span));
        let build = self.buildings.get(number).map_or(Span::default(), |building| building.cell);
        match said.or_else(|| self.ask.generation.map(|name| (name, build))) {
            Some((name, span)) if self.leaves.contains_key(name) => {
                if let Some(building) = self.buildings.get_mut(number) {
                    building.generation = (name.to_string(), span);
                }
            }
            Some((name, span)) => {
                let known = self.shop.book.generations.iter().filter(|one| !one.basis).map(|one| &*one.name);
                let finding = wording::no_generation(self.place(span), name, known);
                self.refuse(number, finding);
            }
            None if self.ask.part.is_some() => {}
            None => self.refuse(number, wording::generation_missing(self.place(build))),
        }
    }

    /// Whether another line of a build says the same day and generation, or nothing.
    fn same_head(&mut self, number: usize, line: &[Cell]) {
        let Some(building) = self.buildings.get(number) else { return };
        let day = building.finished.as_ref().map(|(day, _)| day.clone());
        let generation = building.generation.0.clone();
        for (word, before) in [(self.about.day, day), ("generation", Some(generation))] {
            let Some(cell) = self.word(line, word) else { continue };
            if before.as_deref() != Some(cell.text.as_str()) && before.as_deref() != Some("") {
                self.refuse(
                    number,
                    wording::says_otherwise(self.about, self.place(cell.span), word, before.as_deref()),
                );
            }
        }
    }

    fn one_reading(&mut self, line: &[Cell], number: usize) {
        let first = line.first().map_or(Span::default(), |cell| cell.span);
        let Some(path) = self.word(line, "path") else {
            self.refuse(number, wording::no_path(self.place(first)));
            return;
        };
        // A line without a value is one that is still to be measured.
        let Some(value) = self.word(line, "value") else { return };
        let unit = self.word(line, "unit").map(|cell| cell.text.trim().to_string());
        // A unit in the cell, and another beside it: one of them is wrong.
        let own =
            value.text.trim_start_matches(|letter: char| !letter.is_alphabetic() && !matches!(letter, 'µ' | '°' | '%'));
        let starts =
            value.text.starts_with(|letter: char| letter.is_ascii_digit() || matches!(letter, '.' | '-' | '+'));
        if let Some(unit) = unit.as_deref().filter(|unit| starts && !own.is_empty() && own.trim() != *unit) {
            self.refuse(number, wording::two_units(self.place(value.span), &value.text, unit));
            return;
        }
        let gauge = self.word(line, "gauge").map(|cell| cell.text.trim().to_string());
        self.value(number, path.text.trim(), value, path.span, unit.as_deref(), gauge);
    }

    /// Takes in one value; `path_span` is where its path stands.
    fn value(
        &mut self,
        number: usize,
        path: &str,
        cell: &Cell,
        path_span: Span,
        unit: Option<&str>,
        gauge: Option<String>,
    ) {
        let Some(building) = self.buildings.get(number) else { return };
        // What is wrong with the generation was said.
        let Some(leaves) = self.leaves.get(&building.generation.0) else { return };
        let Some(at) = leaves.find(path) else {
            let finding =
                wording::path_unknown(self.about, self.place(path_span), path, &building.generation.0, leaves.paths());
            self.refuse(number, finding);
            return;
        };
        let Some(leaf) = leaves.leaves.get(at) else { return };
        match written(leaf, cell, unit, self.ask.decimal_comma) {
            Ok(text) => {
                if let Some(building) = self.buildings.get_mut(number) {
                    building.values.entry(at).or_default().push(Value { text, gauge, cell: cell.span });
                }
            }
            Err(mangled) => self.refuse(number, wording::mangled(self.place(cell.span), &cell.text, mangled)),
        }
    }

    /// Writes each build, and has its rulebooks read it.
    fn finish(mut self, import: &mut Import) {
        let part = self.ask.part.map(|part| self.shop.book.part_path(part, &[], "."));
        for building in std::mem::take(&mut self.buildings) {
            let Some(leaves) = self.leaves.get(&building.generation.0) else {
                import.refused += 1;
                continue;
            };
            if building.values.is_empty() {
                if !building.refused {
                    self.findings.push(wording::nothing_measured(
                        self.about,
                        self.place(building.cell),
                        &building.name,
                    ));
                }
                import.refused += 1;
                continue;
            }
            let origin = wording::origin(self.table.source.name(), &building.lines);
            let head = Head {
                origin: &origin,
                about: self.about,
                part: part.as_deref(),
                name: (&building.name, building.cell),
                day: building.finished.as_ref(),
                generation: (&building.generation.0, building.generation.1),
            };
            let written = Written::of(&head, leaves, &building.values);
            // What else is wrong with a build that is refused already is said in the same run.
            let wrong = self.wrong(&building, &written);
            if wrong.is_empty() && !building.refused {
                let values = building.values.values().map(Vec::len).sum();
                let Building { name, lines, .. } = building;
                import.records.push(Imported { build: name, text: written.text, values, lines });
            } else {
                self.findings.extend(wrong);
                import.refused += 1;
            }
        }
        let line = |finding: &Finding| finding.place.as_ref().map(|(place, _)| place.span.start);
        import.findings.append(&mut self.findings);
        import.findings.sort_by_key(line);
    }

    /// The errors of a record as read by its rulebooks, each at the cell it comes from.
    fn wrong(&self, building: &Building, written: &Written) -> Vec<Finding> {
        let source = Source::new(format!("{}.yaml", building.name), written.text.clone());
        let record = Record::of(source.clone());
        let mut findings = record.findings.clone();
        match &record.sheet {
            Some(_) if self.ask.part.is_some() => findings.extend(self.shop.mistakes_of_parts(&record)),
            Some(sheet) => findings.extend(self.shop.bind(sheet, &source).1),
            None => {}
        }
        findings.retain(Finding::is_error);
        for finding in &mut findings {
            let moved = |(place, label): (Place, String)| {
                if !place.source.is_same(&source) {
                    return Some((place, label));
                }
                Some((self.place(written.cell(place.span)?), label))
            };
            let label = finding.place.as_ref().map_or_else(String::new, |(_, label)| label.clone());
            let at = finding.place.take().and_then(moved);
            finding.place = Some(at.unwrap_or_else(|| (self.place(building.cell), label)));
            finding.because = std::mem::take(&mut finding.because).into_iter().filter_map(moved).collect();
        }
        findings
    }
}

/// A cell as its value is written in a record: a bare number with the unit of its column.
fn written(leaf: &Leaf<'_>, cell: &Cell, unit: Option<&str>, decimal_comma: bool) -> Result<String, Mangled> {
    let kind = if leaf.is_quantity() { Typed::Number } else { Typed::Words };
    let text = typed(&cell.text, kind, decimal_comma)?;
    let bare = kind == Typed::Number && text.ends_with(|letter: char| letter.is_ascii_digit() || letter == '.');
    Ok(match unit.filter(|_| bare) {
        Some(unit) if !unit.is_empty() => format!("{text} {unit}"),
        _ => text,
    })
}
