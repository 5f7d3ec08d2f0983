//! Makes a shop's changes, a book's examples and its tables of what pest matched. Refuses to look anything up.

use pest::iterators::Pair;

use super::expression::{Lower, collector};
use super::grammar::Rule;
use super::tree::{
    DecisionRule, Expr, ExprKind, FitsDeclaration, FitsMember, ForDeclaration, HouseDeclaration, HouseMember,
    JudgeDeclaration, Overlay, OverlayKind, PlausibleGauges, RangeLine, RowWord, Scope, TableDeclaration, Texts,
    TryDeclaration, TryMember,
};
use super::wording;
use crate::finding::{Code, Finding};
use crate::quantity::Date;
use crate::text::Span;

impl Lower<'_> {
    /// `house "…" {`, still without members.
    pub(super) fn house_head(&self, pair: &Pair<'_, Rule>) -> Option<HouseDeclaration> {
        let name = self.words(&self.find(pair, Rule::words)?);
        Some(HouseDeclaration { name, members: Vec::new(), span: self.span(pair) })
    }

    /// `try "…" {`, still without members.
    pub(super) fn try_head(&self, pair: &Pair<'_, Rule>) -> Option<TryDeclaration> {
        let title = self.words(&self.find(pair, Rule::words)?);
        Some(TryDeclaration { title, members: Vec::new(), span: self.span(pair) })
    }

    /// `fits "…" {`, still without members.
    pub(super) fn fits_head(&self, pair: &Pair<'_, Rule>) -> Option<FitsDeclaration> {
        let title = self.words(&self.find(pair, Rule::words)?);
        Some(FitsDeclaration { title, members: Vec::new(), span: self.span(pair) })
    }

    /// `for … {`, still without overlays.
    pub(super) fn for_head(&mut self, pair: &Pair<'_, Rule>) -> Option<ForDeclaration> {
        let scope = self.scope(&self.find(pair, Rule::scope)?)?;
        Some(ForDeclaration { scope, overlays: Vec::new(), narrowed: Vec::new(), span: self.span(pair) })
    }

    /// A day; one that is no day of any year gets a finding.
    fn day(&mut self, pair: &Pair<'_, Rule>) -> Option<(Date, Span)> {
        let span = self.span(pair);
        let day = Date::parse(pair.as_str());
        if day.is_none() {
            let finding = Finding::new(Code::DateWrong, wording::date_wrong(pair.as_str()))
                .at(self.source.place(span), wording::LABEL_DATE)
                .help(wording::date_help());
            self.findings.push(finding);
        }
        Some((day?, span))
    }

    fn scope(&mut self, pair: &Pair<'_, Rule>) -> Option<Scope> {
        let mut scope = Scope { generations: Vec::new(), from: None, to: None, condition: None, span: self.span(pair) };
        let mut ends = false;
        for inner in pair.clone().into_inner() {
            match inner.as_rule() {
                Rule::name => scope.generations.push(self.name(&inner)),
                Rule::to_word => ends = true,
                Rule::date if ends => scope.to = Some(self.day(&inner)?),
                Rule::date => scope.from = Some(self.day(&inner)?),
                Rule::condition => scope.condition = Some(self.body(&inner)?),
                _ => {}
            }
        }
        Some(scope)
    }

    /// A line of a house that is no block.
    pub(super) fn house_line(&mut self, pair: &Pair<'_, Rule>) -> Option<HouseMember> {
        let span = self.span(pair);
        if pair.as_rule() == Rule::judge {
            let rule = match self.find(pair, Rule::guard_band) {
                None => DecisionRule::SimpleAcceptance,
                Some(_) => {
                    let factor = match self.find(pair, Rule::number) {
                        Some(number) => Some(self.number(&number)?),
                        None => None,
                    };
                    DecisionRule::GuardBand(factor)
                }
            };
            return Some(HouseMember::Judge(JudgeDeclaration { rule, span }));
        }
        if pair.as_rule() == Rule::gauges {
            let ratio = pair.clone().into_inner().last()?;
            return Some(HouseMember::Gauges { ratio: self.literal(&ratio)?, span });
        }
        let scope = self.scope(&self.find(pair, Rule::scope)?)?;
        let word = self.span(&self.find(pair, Rule::retire_word)?);
        let row = self.row(pair)?;
        let overlays = vec![Overlay { kind: OverlayKind::Retire, word, row }];
        Some(HouseMember::For(ForDeclaration { scope, overlays, narrowed: Vec::new(), span }))
    }

    /// A line inside a `for`.
    pub(super) fn overlay(&mut self, pair: &Pair<'_, Rule>) -> Option<Overlay> {
        let first = pair.clone().into_inner().next()?;
        let kind = match first.as_rule() {
            Rule::tighten_word => OverlayKind::Tighten,
            Rule::loosen_word => OverlayKind::Loosen,
            Rule::add_word => OverlayKind::Add,
            Rule::adopt_word => OverlayKind::Adopt,
            _ => OverlayKind::Retire,
        };
        Some(Overlay { kind, word: self.span(&first), row: self.row(pair)? })
    }

    /// A line of a try.
    pub(super) fn try_line(&mut self, pair: &Pair<'_, Rule>) -> Option<TryMember> {
        let span = self.span(pair);
        let mut inner = pair.clone().into_inner();
        match pair.as_rule() {
            Rule::try_generation => Some(TryMember::Generation(self.name(&self.find(pair, Rule::name)?))),
            Rule::try_finished => {
                let (date, _) = self.day(&self.find(pair, Rule::date)?)?;
                Some(TryMember::Finished(date, span))
            }
            Rule::expect => {
                let word = self
                    .find(pair, Rule::row_word)
                    .map(|word| (collector(word.as_str()).map_or(RowWord::Each, RowWord::Collect), self.span(&word)));
                let names = self.find(pair, Rule::names)?;
                Some(TryMember::Expect {
                    word,
                    path: self.path(&self.find(pair, Rule::path)?),
                    outer: self.find(pair, Rule::outer_limit).is_some(),
                    negated: self.find(pair, Rule::not_word).is_some(),
                    grades: self.names(&names),
                    span,
                })
            }
            _ => {
                let path = self.path(&inner.next()?);
                let values = inner.filter(|inner| inner.as_rule() == Rule::try_value);
                let values = values.map(|value| self.written(&value)).collect();
                Some(TryMember::Given { path, values, span })
            }
        }
    }

    /// What stands there, as it is written.
    fn written(&self, pair: &Pair<'_, Rule>) -> super::tree::Name {
        let span = self.span(pair);
        super::tree::Name { text: self.source.slice(span).into(), span }
    }

    /// A literal that may have a minus before it.
    pub(super) fn signed(&mut self, pair: &Pair<'_, Rule>) -> Option<Expr> {
        let literal = pair.clone().into_inner().find(|inner| inner.as_rule() != Rule::minus)?;
        let value = self.literal(&literal)?;
        let minus = self.find(pair, Rule::minus).is_some();
        let span = self.span(pair);
        Some(if minus { Expr { kind: ExprKind::Negate(Box::new(value)), span } } else { value })
    }

    fn figures(&mut self, pair: &Pair<'_, Rule>) -> Option<Vec<Expr>> {
        let mut figures = Vec::new();
        for inner in pair.clone().into_inner() {
            match inner.as_rule() {
                Rule::signed => figures.push(self.signed(&inner)?),
                Rule::number | Rule::quantity => figures.push(self.literal(&inner)?),
                _ => {}
            }
        }
        Some(figures)
    }

    /// A line of fits.
    pub(super) fn fits_line(&mut self, pair: &Pair<'_, Rule>) -> Option<FitsMember> {
        let span = self.span(pair);
        let figures = self.figures(pair)?;
        let mut numbers = Vec::new();
        for inner in pair.clone().into_inner().filter(|inner| inner.as_rule() == Rule::whole) {
            numbers.push((self.whole(&inner)?, self.span(&inner)));
        }
        match pair.as_rule() {
            Rule::sizes => Some(FitsMember::Sizes { figures, span }),
            Rule::grade => Some(FitsMember::Grade { grade: numbers.first().copied()?, figures, span }),
            _ => {
                let grades = match numbers.as_slice() {
                    [] => None,
                    [(one, _)] => Some((*one, *one)),
                    [(first, _), (last, _), ..] => Some((*first, *last)),
                };
                let letters = self.name(&self.find(pair, Rule::fit_letters)?);
                let hole = self.find(pair, Rule::hole_word).is_some();
                Some(FitsMember::Deviations { hole, letters, grades, figures, span })
            }
        }
    }

    /// `table`.
    pub(super) fn table(&mut self, pair: &Pair<'_, Rule>) -> Option<TableDeclaration> {
        let parameter = self.parameter(&self.find(pair, Rule::parameter)?)?;
        let mut points = Vec::new();
        for point in pair.clone().into_inner().filter(|inner| inner.as_rule() == Rule::point) {
            let mut ends = point.into_inner().filter(|inner| inner.as_rule() == Rule::signed);
            let (x, y) = (ends.next()?, ends.next()?);
            points.push((self.signed(&x)?, self.signed(&y)?));
        }
        Some(TableDeclaration {
            name: self.new_name(pair)?,
            parameter,
            result: self.type_name(pair)?,
            points,
            held: self.find(pair, Rule::held_word).map(|word| self.span(&word)),
            span: self.span(pair),
        })
    }

    /// `plausible gauges`, still without sentences.
    pub(super) fn plausible_gauges(&mut self, pair: &Pair<'_, Rule>) -> Option<PlausibleGauges> {
        let range = pair.clone().into_inner().last()?;
        Some(PlausibleGauges {
            kind: self.type_name(pair)?,
            range: self.range(&range)?,
            texts: Texts::default(),
            span: self.span(pair),
        })
    }

    /// `telltale`, `plausible` or `narrow`.
    pub(super) fn range_line(&mut self, pair: &Pair<'_, Rule>) -> Option<RangeLine> {
        let after = |rule: Rule| matches!(rule, Rule::or_zero | Rule::condition);
        let range = pair.clone().into_inner().filter(|inner| !after(inner.as_rule())).last()?;
        let condition = match self.find(pair, Rule::condition) {
            Some(condition) => Some(self.body(&condition)?),
            None => None,
        };
        Some(RangeLine {
            replace: self.find(pair, Rule::replace_word).map(|word| self.span(&word)),
            path: self.path(&self.find(pair, Rule::path)?),
            range: self.range(&range)?,
            or_zero: self.find(pair, Rule::or_zero).map(|word| self.span(&word)),
            condition,
            texts: Texts::default(),
            span: self.span(pair),
        })
    }
}
