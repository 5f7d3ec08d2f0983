//! Turns trees into a book: vocabulary first, then formulas and derivations, then generations and their rows.

use super::check::Checker;
use super::expression::Kind;
use super::{Book, Constant, Formula, Id, NameSet, Origin, Part, Title, circles, wording};
use crate::finding::{Code, Finding};
use crate::quantity::{Dimension, Unit, Value};
use crate::syntax::tree::{self, Item, Name, Tree, TypeName, TypeNameKind};
use crate::text::{Place, Source};
use std::borrow::Borrow;
use std::collections::BTreeMap;
use std::sync::Arc;

/// More slots than this for one record's values and the book is refused: no machine a shop measures comes near it.
const MOST_SLOTS: usize = 100_000;

/// Compiles the trees of one set of rulebooks. A tree must come after those it uses.
///
/// The book is always given, holding what is sound; while any finding is an error it must not be judged by.
#[must_use]
pub fn compile<T: Borrow<Tree>>(trees: &[T]) -> (Book, Vec<Finding>) {
    let trees: &[&Tree] = &trees.iter().map(Borrow::borrow).collect::<Vec<_>>();
    let mut draft = Draft::default();
    for tree in trees {
        draft.title(tree);
        draft.sources_and_sets(tree, trees);
    }
    for tree in trees {
        draft.units(tree);
    }
    for tree in trees {
        draft.fits(tree);
    }
    for tree in trees {
        draft.declared_constants(tree);
    }
    // Constants and formulas may ask tables; tables ask nothing but units.
    draft.tables(trees);
    draft.plausible_gauges(trees);
    draft.parts(trees);
    draft.constants_of_generations(trees);
    draft.formulas(trees);
    draft.derivations();
    draft.lay_out_slots(trees);
    draft.generations(trees);
    draft.houses(trees);
    draft.trials(trees);
    draft.expansions();
    let spoilt = draft.spoilt;
    let mut findings = said_once(draft.findings);
    // Nothing is said of a name that is unknown only since its own declaration has a mistake.
    findings.retain(|finding| {
        let place = finding.place.as_ref();
        !place.is_some_and(|(place, _)| spoilt.contains(&(finding.code, place.text().to_string())))
    });
    (draft.book, findings)
}

/// Rows are checked in every generation that inherits them; what is wrong with one is said once.
fn said_once(findings: Vec<Finding>) -> Vec<Finding> {
    let mut seen = std::collections::BTreeSet::new();
    findings
        .into_iter()
        .filter(|finding| match &finding.place {
            Some((place, _)) => {
                seen.insert((finding.code, place.source.name().to_string(), place.span, finding.message.clone()))
            }
            None => true,
        })
        .collect()
}

/// Top-level names may repeat between these spaces, not within one.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Space {
    Unit,
    Type,
    Constant,
    Formula,
    Citation,
    Generation,
}

/// A book being made.
#[derive(Default)]
pub(super) struct Draft {
    pub(super) book: Book,
    pub(super) findings: Vec<Finding>,
    names: BTreeMap<(Space, Box<str>), Place>,
    /// Names whose declaration has a mistake, so that they are not known.
    pub(super) spoilt: std::collections::BTreeSet<(Code, String)>,
    /// Derivations still to be checked: the characteristic, its declaration and its file.
    pub(super) derivations: Vec<(Id<super::Characteristic>, tree::DeriveDeclaration, Source)>,
    /// Expansions still to be checked.
    pub(super) expansions: Vec<(Id<super::Part>, tree::ExpansionDeclaration, Source)>,
}

impl Draft {
    pub(super) fn say(&mut self, finding: Finding) {
        self.findings.push(finding);
    }

    /// A checker for expressions written in a part, or outside any.
    pub(super) fn checker<'a>(
        &'a mut self,
        source: &'a Source,
        part: Option<Id<Part>>,
        parameters: &'a [(Box<str>, Kind)],
    ) -> Checker<'a> {
        Checker { book: &self.book, source, part, parameters, findings: &mut self.findings }
    }

    /// Takes a name, or says that it is taken.
    pub(super) fn take(&mut self, space: Space, name: &Name, source: &Source) -> bool {
        let place = source.place(name.span);
        if let Some(first) = self.names.get(&(space, name.text.clone())) {
            let finding = wording::name_taken(&name.text, place, first);
            self.say(finding);
            return false;
        }
        self.names.insert((space, name.text.clone()), place);
        true
    }

    fn title(&mut self, tree: &Tree) {
        let header = tree.header.as_ref();
        self.book.titles.push(Title {
            title: header.map_or_else(String::new, |header| header.title.text.to_string()),
            edition: header.map(|header| header.edition),
            file: tree.source.name().to_string(),
            source: tree.source.clone(),
        });
    }

    fn sources_and_sets(&mut self, tree: &Tree, trees: &[&Tree]) {
        for item in &tree.items {
            match item {
                Item::Source(source) if self.take(Space::Citation, &source.name, &tree.source) => {
                    self.source(source, trees, &tree.source);
                }
                Item::Caution(caution) => self.book.cautions.push(caution.words.text.clone()),
                Item::Set(set) if self.take(Space::Type, &set.name, &tree.source) => {
                    let place = tree.source.place(set.span);
                    self.name_set(Some(set.name.text.clone()), set.ordered, &set.members, place, &tree.source);
                }
                _ => {}
            }
        }
    }

    pub(super) fn name_set(
        &mut self,
        name: Option<Box<str>>,
        ordered: bool,
        members: &[Name],
        place: Place,
        source: &Source,
    ) -> Id<NameSet> {
        let mut names: Vec<Box<str>> = Vec::with_capacity(members.len());
        for (at, member) in members.iter().enumerate() {
            if let Some(first) = members.iter().take(at).find(|other| other.text == member.text) {
                let finding = wording::name_taken(&member.text, source.place(member.span), &source.place(first.span));
                self.say(finding);
            } else {
                names.push(member.text.clone());
            }
        }
        self.book.sets.push(NameSet { name, ordered, names, place })
    }

    fn units(&mut self, tree: &Tree) {
        for item in &tree.items {
            let Item::Unit(unit) = item else { continue };
            let mut checker = self.checker(&tree.source, None, &[]);
            let size = checker.quantity(&unit.size);
            let zero = unit.zero.as_ref().map(|zero| (checker.quantity(zero), zero.span));
            let Some((size, dimension)) = size else { continue };
            let size_place = tree.source.place(unit.size.span);
            let Some(value) = self.constant_value(None, &size) else { continue };
            if value.compare(&Value::default()) != Some(std::cmp::Ordering::Greater) || dimension.is_point() {
                let finding = wording::unit_size(size_place);
                self.spoilt.extend(unit.names.iter().map(|name| (Code::UnitUnknown, name.text.to_string())));
                self.say(finding);
                continue;
            }
            let (zero, dimension) = match zero {
                None => (None, dimension),
                Some((Some((zero, of)), _)) if of == dimension => match self.constant_value(None, &zero) {
                    Some(zero) => (Some(zero), dimension.point()),
                    None => continue,
                },
                Some((Some(_), span)) => {
                    let finding = wording::unit_zero(dimension, tree.source.place(span));
                    self.spoilt.extend(unit.names.iter().map(|name| (Code::UnitUnknown, name.text.to_string())));
                    self.say(finding);
                    continue;
                }
                Some((None, _)) => continue,
            };
            let Some(first) = unit.names.first() else { continue };
            let declared = Unit { symbol: first.text.clone(), dimension, size: value, zero };
            // Books of several hands may all say what a millimetre is, if they mean the same.
            let agreed = |draft: &Draft, name: &Name| {
                let elsewhere = draft.names.get(&(Space::Unit, name.text.clone()));
                elsewhere.is_some_and(|place| place.source.name() != tree.source.name())
                    && draft.book.units.find(&name.text).is_some_and(|known| known.measures_as(&declared))
            };
            let names: Vec<&Name> = unit
                .names
                .iter()
                .filter(|name| !agreed(self, name) && self.take(Space::Unit, name, &tree.source))
                .collect();
            if names.is_empty() {
                continue;
            }
            let texts: Vec<&str> = names.iter().map(|name| &*name.text).collect();
            if let Err(taken) = self.book.units.declare(&texts, declared)
                && let Some(name) = names.get(taken)
            {
                let finding = wording::unit_built_in(&name.text, tree.source.place(name.span));
                self.say(finding);
            }
        }
    }

    /// A value known when the book is read; what has no answer is said.
    pub(super) fn constant_value(
        &mut self,
        generation: Option<&super::Generation>,
        expression: &super::Expression,
    ) -> Option<Value> {
        use super::evaluate::{Impossible, evaluate};
        match evaluate(&self.book, generation, expression) {
            Ok(value) => Some(value),
            Err(Impossible::Arithmetic(place)) => {
                let finding = wording::arithmetic_impossible(place);
                self.say(finding);
                None
            }
            Err(Impossible::OutsideTable(outside)) => {
                let finding = wording::outside_table_known(&outside.table, &outside.value, outside.place);
                self.say(finding);
                None
            }
            Err(Impossible::NoConstant(id)) => {
                let finding = wording::constant_missing(
                    &self.book,
                    id,
                    generation.map(|generation| &*generation.name),
                    expression.place.clone(),
                );
                self.say(finding);
                None
            }
            Err(Impossible::NeedsRecord) => {
                let finding = wording::needs_record(expression.place.clone());
                self.say(finding);
                None
            }
        }
    }

    /// A type as written: its kind, and the unit for quantities.
    pub(super) fn kind(&mut self, kind: &TypeName, source: &Source) -> Option<(Kind, Option<Unit>)> {
        match &kind.kind {
            TypeNameKind::YesNo => Some((Kind::YesNo, None)),
            TypeNameKind::Choice(names) => {
                let set = self.name_set(None, false, names, source.place(kind.span), source);
                Some((Kind::Names(set), None))
            }
            TypeNameKind::Named(name) => match &**name {
                "number" => Some((Kind::Quantity(Dimension::NUMBER), None)),
                "text" => Some((Kind::Text, None)),
                name => {
                    let set = self.book.sets.entries().find(|(_, set)| set.name.as_deref() == Some(name));
                    if let Some((id, _)) = set {
                        return Some((Kind::Names(id), None));
                    }
                    match self.book.units.resolve(name) {
                        Ok(unit) => {
                            let unit = unit.into_owned();
                            Some((Kind::Quantity(unit.dimension), Some(unit)))
                        }
                        Err(error) => {
                            let finding = wording::type_unknown(&self.book, name, &error, source, kind.span);
                            self.say(finding);
                            None
                        }
                    }
                }
            },
        }
    }

    /// A type that must be a quantity.
    pub(super) fn quantity_kind(&mut self, kind: &TypeName, source: &Source) -> Option<(Dimension, Option<Unit>)> {
        match self.kind(kind, source)? {
            (Kind::Quantity(dimension), unit) => Some((dimension, unit)),
            _ => {
                let finding = wording::type_not_quantity(source.place(kind.span));
                self.say(finding);
                None
            }
        }
    }

    fn declared_constants(&mut self, tree: &Tree) {
        for item in &tree.items {
            let Item::Constant(constant) = item else { continue };
            if !self.take(Space::Constant, &constant.name, &tree.source) {
                continue;
            }
            if let Some((dimension, unit)) = self.quantity_kind(&constant.kind, &tree.source) {
                let (name, place) = (constant.name.text.clone(), tree.source.place(constant.name.span));
                self.book.constants.push(Constant { name, dimension, unit, place });
            } else {
                self.spoilt.insert((Code::NameUnknown, constant.name.text.to_string()));
            }
        }
    }

    /// Constants that no book declares take their dimension from the first generation that gives them.
    fn constants_of_generations(&mut self, trees: &[&Tree]) {
        for tree in trees {
            for item in &tree.items {
                let Item::Generation(generation) = item else { continue };
                for member in &generation.members {
                    let tree::GenerationMember::Constant { name, value, .. } = member else { continue };
                    if self.book.constants.iter().any(|constant| constant.name == name.text) {
                        continue;
                    }
                    // What is wrong with the value is said where the generation is checked; here only its dimension counts.
                    let mut unsaid = Vec::new();
                    let mut checker = Checker {
                        book: &self.book,
                        source: &tree.source,
                        part: None,
                        parameters: &[],
                        findings: &mut unsaid,
                    };
                    if let Some((_, dimension)) = checker.quantity(value) {
                        let unit = written_unit(&self.book, value);
                        let place = tree.source.place(name.span);
                        self.book.constants.push(Constant { name: name.text.clone(), dimension, unit, place });
                    }
                }
            }
        }
        let clashes: Vec<Finding> = self
            .book
            .constants
            .iter()
            .filter_map(|constant| {
                let other =
                    self.book.characteristics.iter().find(|characteristic| characteristic.name == constant.name)?;
                Some(wording::name_taken(&constant.name, constant.place.clone(), &other.place))
            })
            .collect();
        self.findings.extend(clashes);
    }

    fn formulas(&mut self, trees: &[&Tree]) {
        let declared: Vec<(&tree::FormulaDeclaration, &Source)> = trees
            .iter()
            .flat_map(|tree| {
                tree.items.iter().filter_map(move |item| match item {
                    Item::Formula(formula) => Some((formula, &tree.source)),
                    _ => None,
                })
            })
            .collect();
        // Signatures first, so that formulas may stand in any order; a body that does not check never becomes a formula
        // anything can reach, because any error stops the book from being used.
        let mut bodies = Vec::new();
        for (formula, source) in declared {
            if !self.take(Space::Formula, &formula.name, source) {
                continue;
            }
            let result = self.quantity_kind(&formula.result, source);
            let mut parameters = Vec::new();
            for parameter in &formula.parameters {
                if let Some((dimension, _)) = self.quantity_kind(&parameter.kind, source) {
                    parameters.push((parameter.name.text.clone(), Kind::Quantity(dimension)));
                }
            }
            let Some((result, unit)) = result else { continue };
            if parameters.len() != formula.parameters.len() {
                continue;
            }
            let place = source.place(formula.name.span);
            let unfinished = super::Expression {
                kind: super::ExpressionKind::Quantity(Value::default()),
                place: source.place(formula.body.span),
            };
            let id = self.book.formulas.push(Formula {
                name: formula.name.text.clone(),
                parameters: parameters.clone(),
                result: Kind::Quantity(result),
                body: unfinished,
                place,
            });
            bodies.push((id, formula, source, parameters, result, unit));
        }
        for (id, formula, source, parameters, result, unit) in bodies {
            let body = self.checker(source, None, &parameters).quantity(&formula.body);
            if let Some((body, found)) = body {
                if found == result {
                    self.book.formulas.get_mut(id).body = body;
                } else {
                    let finding = wording::result_dimension(
                        &formula.name.text,
                        (result, unit.as_ref()),
                        found,
                        source.place(formula.result.span),
                        source.place(formula.body.span),
                    );
                    self.say(finding);
                }
            }
        }
        let circles = circles::formulas(&mut self.book);
        self.findings.extend(circles);
    }

    fn derivations(&mut self) {
        for (id, declaration, source) in std::mem::take(&mut self.derivations) {
            let (part, kind, unit) = {
                let characteristic = self.book.characteristics.get(id);
                (characteristic.part, characteristic.kind, characteristic.unit.clone())
            };
            let mut checker = self.checker(&source, Some(part), &[]);
            let Some(body) = checker.one(&declaration.body) else { continue };
            if body.kind != kind {
                let finding = match (kind, body.kind) {
                    (Kind::Quantity(result), Kind::Quantity(found)) => wording::result_dimension(
                        &declaration.name.text,
                        (result, unit.as_ref()),
                        found,
                        source.place(declaration.kind.span),
                        source.place(declaration.body.span),
                    ),
                    (declared, found) => wording::result_kind(
                        &self.book,
                        &declaration.name.text,
                        declared,
                        found,
                        source.place(declaration.kind.span),
                        source.place(declaration.body.span),
                    ),
                };
                self.say(finding);
                continue;
            }
            self.book.characteristics.get_mut(id).origin = Origin::Derived(Some(Arc::new(body.expression)));
        }
        let circles = circles::derivations(&mut self.book);
        self.findings.extend(circles);
    }

    fn lay_out_slots(&mut self, trees: &[&Tree]) {
        let mut next: usize = 0;
        for id in self.book.characteristics.ids() {
            let characteristic = self.book.characteristics.get(id);
            let instances = self.book.parts.get(characteristic.part).instances;
            let slots = instances.saturating_mul(characteristic.slots_each());
            self.book.characteristics.get_mut(id).first_slot = next;
            next = next.saturating_add(slots);
            if next > MOST_SLOTS {
                let place = self.book.characteristics.get(id).place.clone();
                let finding = wording::too_many_slots(MOST_SLOTS, place);
                self.say(finding);
                return;
            }
        }
        self.book.slot_count = next;
        if self.book.root().is_none()
            && let Some(tree) =
                trees.iter().find(|tree| tree.items.iter().any(|item| matches!(item, Item::Generation(_))))
        {
            let finding = wording::no_root(tree.source.place(crate::text::Span::default()));
            self.say(finding);
        }
    }
}

/// The unit a literal is written in, to show a constant in.
fn written_unit(book: &Book, expr: &tree::Expr) -> Option<Unit> {
    match &expr.kind {
        tree::ExprKind::Quantity(_, unit) => book.units.resolve(&unit.text).ok().map(std::borrow::Cow::into_owned),
        _ => None,
    }
}
