//! What a shop adds to the rows of the generations: for which, from when to when, on which builds. Each change is proved to
//! do what its word says; a changed row is written out as rows of their own, each with its days and its condition.

use super::compile::Draft;
use super::expression::{Expression, ExpressionKind};
use super::rows::filled;
use super::rows_on::RowsOn;
use super::{
    Change, ChangeKind, Generation, House, Id, Provenance, Row, overlay, satisfy, sources, wording, wording_house,
    wording_plausible,
};
use crate::quantity::{Date, Days};
use crate::syntax::tree::{ForDeclaration, HouseDeclaration, HouseMember, Item, Operator, Overlay, OverlayKind, Tree};
use crate::text::{Place, Source};
use std::sync::Arc;

/// A block of a house, with where it stands.
struct Block<'a> {
    declaration: &'a ForDeclaration,
    source: &'a Source,
    house: Box<str>,
    days: Days,
    generations: Vec<Id<Generation>>,
}

impl Block<'_> {
    /// Where its numbers come from: the shop, and from when.
    fn provenance(&self) -> Provenance {
        let days = if self.days == Days::ALWAYS { String::new() } else { format!(" {}", self.days) };
        Provenance::House(format!("{}, house tolerance{days}", self.house).into())
    }
}

/// All that one block does to one row of one generation.
struct Amendment {
    block: usize,
    days: Days,
    /// On which builds, as seen from the row's part.
    condition: Option<Arc<Expression>>,
    /// The row as it is then; none where it is retired.
    row: Option<Row>,
    kinds: Vec<OverlayKind>,
    place: Place,
}

impl Draft {
    /// Works the houses of the books into the rows of the generations.
    pub(super) fn houses(&mut self, trees: &[&Tree]) {
        let mut blocks = Vec::new();
        for tree in trees {
            for item in &tree.items {
                let Item::House(house) = item else { continue };
                if !self.named(house, &tree.source) {
                    continue;
                }
                for member in &house.members {
                    match member {
                        HouseMember::Judge(judge) => self.judged_by(judge, &tree.source),
                        HouseMember::Gauges { ratio, span } => self.gauges_by(ratio, *span, &tree.source),
                        HouseMember::For(block) => blocks.extend(self.block(house, block, &tree.source)),
                    }
                }
            }
        }
        if blocks.is_empty() {
            return;
        }
        for id in self.book.generations.ids() {
            let mine: Vec<(usize, &Block<'_>)> =
                blocks.iter().enumerate().filter(|(_, block)| block.generations.contains(&id)).collect();
            if !mine.is_empty() {
                self.amend(id, &mine);
            }
            for (_, block) in mine {
                self.narrow_for(id, block);
            }
        }
    }

    /// Narrows plausible ranges of one generation as a block says.
    fn narrow_for(&mut self, id: Id<Generation>, block: &Block<'_>) {
        let condition = block.declaration.scope.condition.as_ref();
        for line in &block.declaration.narrowed {
            match condition {
                Some(condition) => {
                    let (line, condition) = (block.source.place(line.span), block.source.place(condition.span));
                    self.findings.push(wording_plausible::narrow_where(line, condition));
                }
                None => self.narrow(id, line, (block.source, &block.house, block.days)),
            }
        }
    }

    /// Takes the house's name; the tolerances of two shops in one set of books are a mistake.
    fn named(&mut self, house: &HouseDeclaration, source: &Source) -> bool {
        let place = source.place(house.name.span);
        match &self.book.house {
            Some(first) if first.name != house.name.text => {
                self.findings.push(wording_house::house_two(&house.name.text, place, first));
                false
            }
            Some(_) => true,
            None => {
                self.book.house = Some(House { name: house.name.text.clone(), place });
                true
            }
        }
    }

    /// A block with its generations found and its days known.
    fn block<'a>(
        &mut self,
        house: &HouseDeclaration,
        declaration: &'a ForDeclaration,
        source: &'a Source,
    ) -> Option<Block<'a>> {
        let scope = &declaration.scope;
        let days = Days { from: scope.from.map(|(date, _)| date), to: scope.to.map(|(date, _)| date) };
        if let (true, Some((from, first)), Some((to, last))) = (days.is_empty(), scope.from, scope.to) {
            self.findings.push(wording_house::days_backwards(from, to, source.place(first.to(last))));
            return None;
        }
        let mut generations: Vec<Id<Generation>> = Vec::new();
        for name in &scope.generations {
            let Some(id) = self.book.generation(&name.text) else {
                let names: Vec<String> =
                    self.book.generations.iter().map(|generation| generation.name.to_string()).collect();
                self.findings.push(wording::generation_unknown(&names, &name.text, source.place(name.span)));
                continue;
            };
            let before = generations.len();
            generations.extend(self.meant(id));
            if generations.len() == before {
                let generation = self.book.generations.get(id);
                self.findings.push(wording_house::basis_alone(generation, source.place(name.span)));
            }
        }
        generations.sort_unstable();
        generations.dedup();
        let house = house.name.text.clone();
        (!generations.is_empty()).then_some(Block { declaration, source, house, days, generations })
    }

    /// The generations a name means: itself, or, for a basis, every one that follows it.
    fn meant(&self, named: Id<Generation>) -> Vec<Id<Generation>> {
        if !self.book.generations.get(named).basis {
            return vec![named];
        }
        let follows = |id: Id<Generation>| {
            let mut at = Some(id);
            while let Some(here) = at {
                if here == named {
                    return true;
                }
                at = self.book.generations.get(here).follows;
            }
            false
        };
        self.book
            .generations
            .entries()
            .filter(|(id, generation)| !generation.basis && follows(*id))
            .map(|(id, _)| id)
            .collect()
    }

    /// Works every block into the rows of one generation.
    fn amend(&mut self, id: Id<Generation>, blocks: &[(usize, &Block<'_>)]) {
        let generation = self.book.generations.get(id).clone();
        let mut changes: Vec<Vec<Amendment>> = generation.rows.iter().map(|_| Vec::new()).collect();
        let mut added: Vec<Arc<Row>> = Vec::new();
        // A large house over a large book: each change looks only among the rows on its own characteristic.
        let characteristics = self.book.characteristics.len();
        let rows_on = RowsOn::new(characteristics, generation.rows.iter().map(|row| row.subject.characteristic));
        for (number, block) in blocks {
            for overlay in &block.declaration.overlays {
                let ranged = matches!(overlay.kind, OverlayKind::Tighten | OverlayKind::Loosen | OverlayKind::Add);
                if self.word_missing(&generation, overlay, block.source) {
                    continue;
                }
                let Some(row) = self.checked_row(&block.house, &overlay.row, block.source, ranged) else { continue };
                let Ok(condition) = self.scope_condition(block, &row) else { continue };
                if !self.words_fit(overlay, &row, block.source) {
                    continue;
                }
                let near: Vec<usize> = rows_on.of(row.subject.characteristic).collect();
                if overlay.kind == OverlayKind::Add {
                    let row = added_row(row, block, condition);
                    let there = near.iter().filter_map(|at| generation.rows.get(*at)).chain(&added);
                    if self.may_be_added(&generation, there, &row, &block.source.place(overlay.word)) {
                        added.push(Arc::new(row));
                    }
                    continue;
                }
                let Some(target) = self.target((&generation, &near), overlay, &row, block.source) else { continue };
                let Some(old) = generation.rows.get(target) else { continue };
                let Some(amended) = changes.get_mut(target) else { continue };
                let place = block.source.place(overlay.row.span);
                let same = amended.iter().position(|other| other.block == *number);
                let earlier =
                    same.and_then(|at| amended.get_mut(at)).filter(|other| goes_together(other, overlay.kind));
                let before = match &earlier {
                    Some(Amendment { row: Some(row), .. }) => row.clone(),
                    _ => Row::clone(old),
                };
                let Some(row) = self.changed(&generation, before, row, overlay, block) else { continue };
                match earlier {
                    Some(earlier) => {
                        earlier.row = row;
                        earlier.kinds.push(overlay.kind);
                    }
                    None => amended.push(Amendment {
                        block: *number,
                        days: block.days,
                        condition,
                        row,
                        kinds: vec![overlay.kind],
                        place,
                    }),
                }
            }
        }
        let mut rows = Vec::with_capacity(generation.rows.len());
        let mut changed: Vec<Arc<Row>> = Vec::new();
        for (old, amendments) in generation.rows.iter().zip(changes) {
            if amendments.is_empty() {
                rows.push(old.clone());
                continue;
            }
            self.conflicts(&generation, old, &amendments);
            let before = rows.len();
            write_out(old, amendments, &mut rows);
            changed.extend(rows.iter().skip(before).cloned());
        }
        changed.extend(added.iter().cloned());
        rows.extend(added);
        self.book.generations.get_mut(id).rows = rows;
        // All others were checked when the generation was made.
        self.check_ranges(&generation, &changed);
    }

    /// The block's `where`, as seen from a row's part.
    fn scope_condition(&mut self, block: &Block<'_>, row: &Row) -> Result<Option<Arc<Expression>>, ()> {
        let Some(written) = &block.declaration.scope.condition else { return Ok(None) };
        let part = self.book.characteristics.get(row.subject.characteristic).part;
        let condition = self.checker(block.source, Some(part), &[]).condition(written);
        condition.map(|condition| Some(Arc::new(condition))).ok_or(())
    }

    /// Whether the change has the words it needs and none that say nothing here.
    fn words_fit(&mut self, overlay: &Overlay, row: &Row, source: &Source) -> bool {
        if let (Some(step), false) = (&overlay.row.rounded, overlay.kind == OverlayKind::Add) {
            self.findings.push(wording_house::rounded_here(overlay.kind, source.place(step.span)));
            return false;
        }
        let reasoned = matches!(overlay.kind, OverlayKind::Loosen | OverlayKind::Retire);
        if reasoned && overlay.row.texts.because.is_none() {
            let finding = wording_house::because_missing(overlay.kind, &row.path, source.place(overlay.word));
            self.findings.push(finding);
            return false;
        }
        true
    }

    /// Whether nothing judges yet what a shop adds.
    fn may_be_added<'r>(
        &mut self,
        generation: &Generation,
        mut there: impl Iterator<Item = &'r Arc<Row>>,
        row: &Row,
        word: &Place,
    ) -> bool {
        let there = there.find(|other| {
            other.is_on_same(row)
                && other.days.meets(row.days)
                && !satisfy::satisfiable_as(
                    &self.book,
                    Some(generation),
                    &conditions(&[&other.condition, &row.condition]),
                )
                .is_no()
        });
        if let Some(there) = there {
            let finding = wording_house::add_existing(row, there, word.clone());
            self.findings.push(finding);
            return false;
        }
        true
    }

    /// The row as a change leaves it: `Some(None)` where it is retired, `None` where the change is refused.
    #[allow(clippy::option_option, reason = "a row that is gone is not the same as a change that is refused")]
    fn changed(
        &mut self,
        generation: &Generation,
        old: Row,
        said: Row,
        overlay: &Overlay,
        block: &Block<'_>,
    ) -> Option<Option<Row>> {
        let word = block.source.place(overlay.word);
        let kind = match overlay.kind {
            OverlayKind::Retire => return Some(None),
            OverlayKind::Adopt => ChangeKind::Adopted,
            OverlayKind::Tighten => ChangeKind::Tightened,
            _ => ChangeKind::Loosened,
        };
        // A change of the same block may have made it binding already.
        let bound_here = old.history.last().is_some_and(|change| change.binds && change.kind != ChangeKind::Adopted);
        if overlay.kind == OverlayKind::Adopt && !old.advisory && !bound_here {
            self.findings.push(wording_house::adopt_binding(&old, word));
            return None;
        }
        if let (Some(advisory), false) = (overlay.row.advisory, old.advisory) {
            self.findings.push(wording_house::advice_of_binding(&old, block.source.place(advisory)));
            return None;
        }
        let place = block.source.place(overlay.row.span);
        let ranged = overlay.kind != OverlayKind::Adopt;
        let provenance = ranged.then(|| block.provenance());
        // What the shop does not say stays as it was, but its number is its own.
        let own = self.texts(&overlay.row.texts, block.source);
        let texts = sources::changed(own, provenance, &said, &old);
        let mut new = Row {
            standard: said.standard.or_else(|| old.standard.clone()),
            limit: said.limit.or_else(|| old.limit.clone()),
            advisory: old.advisory && said.advisory,
            never_excused: old.never_excused || said.never_excused,
            texts: filled(texts, &old.texts),
            place: place.clone(),
            ..old.clone()
        };
        let binds = old.advisory && !new.advisory;
        new.history.push(Change { kind, by: block.house.clone(), days: block.days, binds, excuses: false, place });
        if ranged && !self.proved(generation, overlay.kind, &old, &new, word) {
            return None;
        }
        Some(Some(new))
    }

    /// Proves tier by tier that a change does what its word says.
    fn proved(&mut self, generation: &Generation, kind: OverlayKind, old: &Row, new: &Row, word: Place) -> bool {
        let tiers = overlay::compare(&self.book, generation, old, new);
        let mut sound = true;
        let mut idle = true;
        for (tier, before, after, against) in &tiers {
            let wrong = if kind == OverlayKind::Tighten { &against.gained } else { &against.lost };
            if against.unknown {
                self.findings.push(wording_house::unproved(kind, old, tier, before, after));
                sound = false;
            } else if !wrong.is_empty() {
                let finding = wording_house::wrong_way(kind, old, generation, tier, (before, after), wrong);
                // Where the good and the passing range are one, their finding is one.
                if self.findings.last().is_none_or(|last| last.place != finding.place) {
                    self.findings.push(finding);
                }
                sound = false;
            }
            idle &= against.gained.is_empty() && against.lost.is_empty() && !against.unknown;
        }
        if idle && sound {
            self.findings.push(wording_house::idle(kind, old, generation, word));
        }
        sound
    }

    /// Two changes of one row that could both hold of one build.
    fn conflicts(&mut self, generation: &Generation, old: &Row, amendments: &[Amendment]) {
        for (at, one) in amendments.iter().enumerate() {
            for other in amendments.iter().skip(at + 1) {
                let apart = !one.days.meets(other.days)
                    || (one.block != other.block
                        && satisfy::satisfiable_as(
                            &self.book,
                            Some(generation),
                            &conditions(&[&old.condition, &one.condition, &other.condition]),
                        )
                        .is_no());
                if !apart {
                    self.findings.push(wording_house::conflict(old, &other.place, &one.place));
                }
            }
        }
    }
}

/// Whether a change may stand beside those its block already made of the row: `adopt` beside one that moves the range.
fn goes_together(amendment: &Amendment, kind: OverlayKind) -> bool {
    let moves = |kind: OverlayKind| matches!(kind, OverlayKind::Tighten | OverlayKind::Loosen);
    match amendment.kinds.as_slice() {
        [before] => (*before == OverlayKind::Adopt && moves(kind)) || (moves(*before) && kind == OverlayKind::Adopt),
        _ => false,
    }
}

fn conditions<'a>(all: &[&'a Option<Arc<Expression>>]) -> Vec<(&'a Expression, bool)> {
    all.iter().filter_map(|condition| condition.as_deref()).map(|condition| (condition, true)).collect()
}

fn added_row(mut row: Row, block: &Block<'_>, condition: Option<Arc<Expression>>) -> Row {
    row.condition = both(row.condition.take(), condition);
    row.days = block.days;
    row.texts.provenance.get_or_insert_with(|| block.provenance());
    for change in &mut row.history {
        change.kind = ChangeKind::Added;
        change.days = block.days;
    }
    row
}

fn both(one: Option<Arc<Expression>>, other: Option<Arc<Expression>>) -> Option<Arc<Expression>> {
    match (one, other) {
        (Some(one), Some(other)) => {
            let place = other.place.clone();
            let kind = ExpressionKind::Binary(
                Operator::And,
                Box::new(Expression::clone(&one)),
                Box::new(Expression::clone(&other)),
            );
            Some(Arc::new(Expression { kind, place }))
        }
        (one, other) => one.or(other),
    }
}

fn not(condition: &Arc<Expression>) -> Arc<Expression> {
    let kind = ExpressionKind::Not(Box::new(Expression::clone(condition)));
    Arc::new(Expression { kind, place: condition.place.clone() })
}

/// Writes a row and its changes out: the row itself on the days and builds that no change is for, then each change.
fn write_out(old: &Arc<Row>, amendments: Vec<Amendment>, rows: &mut Vec<Arc<Row>>) {
    // The days fall into runs in which the same changes are in force.
    let mut starts: Vec<Option<Date>> = vec![None];
    for amendment in &amendments {
        starts.extend(amendment.days.from.map(Some));
        starts.extend(amendment.days.to.and_then(Date::next).map(Some));
    }
    starts.sort_unstable();
    starts.dedup();
    let mut runs: Vec<(Days, Vec<usize>)> = Vec::new();
    for (at, start) in starts.iter().enumerate() {
        let to = starts.get(at + 1).copied().flatten().and_then(Date::previous);
        let days = Days { from: *start, to };
        let active: Vec<usize> = amendments
            .iter()
            .enumerate()
            .filter(|(_, amendment)| amendment.days.meets(days))
            .map(|(number, _)| number)
            .collect();
        match runs.last_mut() {
            Some((last, before)) if *before == active => last.to = to,
            _ => runs.push((days, active)),
        }
    }
    for (days, active) in runs {
        let mut condition = old.condition.clone();
        let mut stands = true;
        for number in active {
            match amendments.get(number).map(|amendment| &amendment.condition) {
                Some(Some(elsewhere)) => condition = both(condition, Some(not(elsewhere))),
                _ => stands = false,
            }
        }
        if stands {
            rows.push(Arc::new(Row { condition, days, ..Row::clone(old) }));
        }
    }
    for amendment in amendments {
        if let Some(row) = amendment.row {
            let condition = both(old.condition.clone(), amendment.condition);
            rows.push(Arc::new(Row { condition, days: amendment.days, ..row }));
        }
    }
}
