//! Makes declarations, members and rows of what pest matched. Refuses to look anything up.

use pest::iterators::Pair;

use super::expression::{Lower, collector};
use super::grammar::Rule;
use super::tree::{
    ConstantDeclaration, DeriveDeclaration, ExpansionDeclaration, Expr, Extend, FormulaDeclaration, From, FromKind,
    GeneralCaution, GenerationDeclaration, GenerationMember, Header, MeasureDeclaration, Name, Parameter,
    PartDeclaration, PositionName, Range, RangeKind, ReadingCount, ReadingDeclaration, Row, RowWord, SetDeclaration,
    SourceDeclaration, SourceGrade, Texts, Tier, TypeName, TypeNameKind, UnitDeclaration, Use, Words,
};
use super::wording;
use crate::finding::{Code, Finding};
use crate::quantity::Date;
use crate::text::Span;

/// One sentence between the braces after a row.
pub(super) enum Text {
    /// `because "…"`.
    Because(Words),
    /// `remedy "…"`.
    Remedy(Words),
    /// `caution "…"`.
    Caution(Words),
    /// `measure "…"`.
    Measure(Words),
    /// `from …`.
    From(From),
    /// `standard from …`.
    StandardFrom(From),
    /// `limit from …`.
    LimitFrom(From),
}

impl Lower<'_> {
    /// Words between quotation marks, escapes resolved.
    pub(super) fn words(&self, pair: &Pair<'_, Rule>) -> Words {
        let written = pair.as_str();
        let within = written.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).unwrap_or(written);
        let mut text = String::with_capacity(within.len());
        let mut escaped = false;
        for letter in within.chars() {
            if letter == '\\' && !escaped {
                escaped = true;
            } else {
                escaped = false;
                text.push(letter);
            }
        }
        Words { text: text.into(), span: self.span(pair) }
    }

    pub(super) fn find<'p>(&self, pair: &Pair<'p, Rule>, rule: Rule) -> Option<Pair<'p, Rule>> {
        pair.clone().into_inner().find(|inner| inner.as_rule() == rule)
    }

    pub(super) fn new_name(&self, pair: &Pair<'_, Rule>) -> Option<Name> {
        self.find(pair, Rule::new_name).map(|name| self.name(&name))
    }

    fn new_names(&self, pair: &Pair<'_, Rule>) -> Vec<Name> {
        let inner = pair.clone().into_inner();
        inner.filter(|inner| inner.as_rule() == Rule::new_name).map(|name| self.name(&name)).collect()
    }

    pub(super) fn body(&mut self, pair: &Pair<'_, Rule>) -> Option<Expr> {
        let body = self.find(pair, Rule::expression)?;
        self.value(&body)
    }

    /// The header; a date that is no day gets a finding.
    pub(super) fn header(&mut self, pair: &Pair<'_, Rule>) -> Option<Header> {
        let title = self.words(&self.find(pair, Rule::words)?);
        let date = self.find(pair, Rule::date)?;
        let Some(edition) = Date::parse(date.as_str()) else {
            let finding = Finding::new(Code::DateWrong, wording::date_wrong(date.as_str()))
                .at(self.source.place(self.span(&date)), wording::LABEL_DATE)
                .help(wording::date_help());
            self.findings.push(finding);
            return None;
        };
        Some(Header { title, edition, span: self.span(pair) })
    }

    /// `use`.
    pub(super) fn use_file(&self, pair: &Pair<'_, Rule>) -> Option<Use> {
        let shipped = self.find(pair, Rule::shipped_word).is_some();
        Some(Use { shipped, file: self.words(&self.find(pair, Rule::words)?), span: self.span(pair) })
    }

    /// `unit`.
    pub(super) fn unit(&mut self, pair: &Pair<'_, Rule>) -> Option<UnitDeclaration> {
        let mut names = Vec::new();
        let mut values = Vec::new();
        for inner in pair.clone().into_inner() {
            match inner.as_rule() {
                Rule::new_name => names.push(self.name(&inner)),
                Rule::words => {
                    let words = self.words(&inner);
                    names.push(Name { text: words.text, span: words.span });
                }
                Rule::sum => values.push(self.value(&inner)?),
                _ => {}
            }
        }
        let mut values = values.into_iter();
        Some(UnitDeclaration { names, size: values.next()?, zero: values.next(), span: self.span(pair) })
    }

    /// `class` and `choice`.
    pub(super) fn set(&self, pair: &Pair<'_, Rule>) -> Option<SetDeclaration> {
        let ordered = self.find(pair, Rule::class_word).is_some();
        let mut names = self.new_names(pair).into_iter();
        Some(SetDeclaration { ordered, name: names.next()?, members: names.collect(), span: self.span(pair) })
    }

    pub(super) fn type_name(&self, pair: &Pair<'_, Rule>) -> Option<TypeName> {
        let named = self.find(pair, Rule::type_name)?;
        let inner = named.into_inner().next()?;
        let kind = match inner.as_rule() {
            Rule::choice_type => TypeNameKind::Choice(self.new_names(&inner)),
            Rule::yes_no_type => TypeNameKind::YesNo,
            _ => TypeNameKind::Named(inner.as_str().into()),
        };
        Some(TypeName { kind, span: self.span(&inner) })
    }

    /// `constant NAME : TYPE`.
    pub(super) fn constant(&self, pair: &Pair<'_, Rule>) -> Option<ConstantDeclaration> {
        Some(ConstantDeclaration { name: self.new_name(pair)?, kind: self.type_name(pair)?, span: self.span(pair) })
    }

    /// `formula`.
    pub(super) fn formula(&mut self, pair: &Pair<'_, Rule>) -> Option<FormulaDeclaration> {
        let inner = pair.clone().into_inner().filter(|inner| inner.as_rule() == Rule::parameter);
        let parameters = inner.filter_map(|one| self.parameter(&one)).collect();
        Some(FormulaDeclaration {
            name: self.new_name(pair)?,
            parameters,
            result: self.type_name(pair)?,
            body: self.body(pair)?,
            span: self.span(pair),
        })
    }

    /// A parameter and its type.
    pub(super) fn parameter(&self, pair: &Pair<'_, Rule>) -> Option<Parameter> {
        Some(Parameter { name: self.new_name(pair)?, kind: self.type_name(pair)? })
    }

    /// `source`.
    pub(super) fn source_named(&self, pair: &Pair<'_, Rule>) -> Option<SourceDeclaration> {
        let citation = self.words(&self.find(pair, Rule::words)?);
        let grade = self.find(pair, Rule::source_grade).map(|grade| match grade.as_str() {
            "maker" => SourceGrade::Maker,
            "trade" => SourceGrade::Trade,
            "forum" => SourceGrade::Forum,
            _ => SourceGrade::Reference,
        });
        Some(SourceDeclaration { name: self.new_name(pair)?, citation, grade, span: self.span(pair) })
    }

    fn positions(&mut self, pair: &Pair<'_, Rule>) -> Option<Vec<PositionName>> {
        let Some(list) = self.find(pair, Rule::positions) else { return Some(Vec::new()) };
        let mut positions = Vec::new();
        for inner in list.into_inner() {
            match inner.as_rule() {
                Rule::new_name => positions.push(PositionName::One(self.name(&inner))),
                Rule::whole => {
                    // Written as records write it: `1`, whatever noughts stand before it.
                    let number = self.whole(&inner)?;
                    positions
                        .push(PositionName::One(Name { text: number.to_string().into(), span: self.span(&inner) }));
                }
                Rule::run => {
                    let mut ends = inner.clone().into_inner().filter(|end| end.as_rule() == Rule::whole);
                    let (first, last) = (ends.next()?, ends.next()?);
                    let (first, last) = (self.whole(&first)?, self.whole(&last)?);
                    positions.push(PositionName::Run { first, last, span: self.span(&inner) });
                }
                _ => {}
            }
        }
        Some(positions)
    }

    /// `extend`.
    pub(super) fn extend(&mut self, pair: &Pair<'_, Rule>) -> Option<Extend> {
        let part = self.path(&self.find(pair, Rule::path)?);
        Some(Extend { part, positions: self.positions(pair)?, span: self.span(pair) })
    }

    /// `general caution "…"`.
    pub(super) fn general_caution(&self, pair: &Pair<'_, Rule>) -> Option<GeneralCaution> {
        Some(GeneralCaution { words: self.words(&self.find(pair, Rule::words)?), span: self.span(pair) })
    }

    /// `part NAME at … {`, still without members.
    pub(super) fn part_head(&mut self, pair: &Pair<'_, Rule>) -> Option<PartDeclaration> {
        Some(PartDeclaration {
            name: self.new_name(pair)?,
            positions: self.positions(pair)?,
            measure: None,
            members: Vec::new(),
            span: self.span(pair),
        })
    }

    /// `measure "…"` among the members of a part.
    pub(super) fn part_measure(&self, pair: &Pair<'_, Rule>) -> Option<MeasureDeclaration> {
        Some(MeasureDeclaration { words: self.words(&self.find(pair, Rule::words)?), span: self.span(pair) })
    }

    /// `generation NAME "…" follows NAME {`, still without members.
    pub(super) fn generation_head(&self, pair: &Pair<'_, Rule>) -> Option<GenerationDeclaration> {
        Some(GenerationDeclaration {
            basis: self.find(pair, Rule::basis_word).is_some(),
            name: self.new_name(pair)?,
            description: self.words(&self.find(pair, Rule::words)?),
            follows: self.find(pair, Rule::name).map(|name| self.name(&name)),
            members: Vec::new(),
            span: self.span(pair),
        })
    }

    /// `derive`.
    pub(super) fn derive(&mut self, pair: &Pair<'_, Rule>) -> Option<DeriveDeclaration> {
        Some(DeriveDeclaration {
            name: self.new_name(pair)?,
            kind: self.type_name(pair)?,
            body: self.body(pair)?,
            texts: Texts::default(),
            span: self.span(pair),
        })
    }

    /// `expansion`.
    pub(super) fn expansion(&mut self, pair: &Pair<'_, Rule>) -> Option<ExpansionDeclaration> {
        let mut figures = pair.clone().into_inner().filter(|it| matches!(it.as_rule(), Rule::quantity | Rule::number));
        let (coefficient, half_width) = (figures.next()?, figures.next()?);
        Some(ExpansionDeclaration {
            coefficient: self.literal(&coefficient)?,
            half_width: self.literal(&half_width)?,
            texts: Texts::default(),
            span: self.span(pair),
        })
    }

    /// A reading.
    pub(super) fn reading(&mut self, pair: &Pair<'_, Rule>) -> Option<ReadingDeclaration> {
        let stations = self.find(pair, Rule::stations).map(|list| self.new_names(&list)).unwrap_or_default();
        let mut optional = false;
        let mut negative: Option<Span> = None;
        let mut agree: Option<Expr> = None;
        let mut count: Option<ReadingCount> = None;
        for inner in pair.clone().into_inner() {
            let said = match inner.as_rule() {
                Rule::optional_word => std::mem::replace(&mut optional, true),
                Rule::may_be_negative => negative.replace(self.span(&inner)).is_some(),
                Rule::agree => {
                    let within = inner.clone().into_inner().last()?;
                    agree.replace(self.literal(&within)?).is_some()
                }
                Rule::count => {
                    let number = self.find(&inner, Rule::whole)?;
                    let readings = self.whole(&number)?;
                    let or_more = self.find(&inner, Rule::or_more).is_some();
                    count.replace(ReadingCount { readings, or_more, span: self.span(&inner) }).is_some()
                }
                _ => false,
            };
            if said {
                let span = self.span(&inner);
                let finding = Finding::new(Code::WordUnexpected, wording::said_twice(self.source.slice(span)))
                    .at(self.source.place(span), wording::LABEL_TWICE);
                self.findings.push(finding);
            }
        }
        Some(ReadingDeclaration {
            name: self.new_name(pair)?,
            stations,
            kind: self.type_name(pair)?,
            optional,
            negative,
            agree,
            count,
            texts: Texts::default(),
            span: self.span(pair),
        })
    }

    /// A member of a generation.
    pub(super) fn generation_member(&mut self, pair: &Pair<'_, Rule>) -> Option<GenerationMember> {
        match pair.as_rule() {
            Rule::given => Some(GenerationMember::Constant {
                name: self.new_name(pair)?,
                value: self.body(pair)?,
                texts: Texts::default(),
                span: self.span(pair),
            }),
            Rule::fitted => Some(GenerationMember::Fitted {
                part: self.path(&self.find(pair, Rule::path)?),
                positions: self.positions(pair)?,
                span: self.span(pair),
            }),
            Rule::telltale => self.range_line(pair).map(GenerationMember::Telltale),
            Rule::plausible => self.range_line(pair).map(GenerationMember::Plausible),
            Rule::rework => self.rework_line(pair).map(GenerationMember::Rework),
            _ => self.row(pair).map(GenerationMember::Row),
        }
    }

    pub(super) fn row(&mut self, pair: &Pair<'_, Rule>) -> Option<Row> {
        let mut row = Row {
            replace: None,
            word: None,
            path: self.path(&self.find(pair, Rule::path)?),
            standard: None,
            limit: None,
            rounded: None,
            outer: None,
            advisory: None,
            never_excused: None,
            condition: None,
            texts: Texts::default(),
            span: self.span(pair),
        };
        for inner in pair.clone().into_inner() {
            let span = self.span(&inner);
            match inner.as_rule() {
                Rule::replace_word => row.replace = Some(span),
                Rule::row_word => {
                    let word = collector(inner.as_str()).map_or(RowWord::Each, RowWord::Collect);
                    row.word = Some((word, span));
                }
                Rule::standard => row.standard = Some(self.tier(&inner)?),
                Rule::limit => row.limit = Some(self.tier(&inner)?),
                Rule::outer => {
                    let tier = self.tier(&inner)?;
                    row.outer = Some(tier.word);
                    row.limit = Some(tier);
                }
                // After `retire` and `adopt`, which name a row without its range.
                Rule::outer_limit => row.outer = Some(span),
                Rule::all_same => {
                    let across = self.path(&self.find(&inner, Rule::path)?);
                    row.limit = Some(Tier {
                        word: span,
                        range: Range { kind: RangeKind::AllTheSame { across }, span },
                        also: None,
                    });
                }
                Rule::rounded => {
                    let step = inner.clone().into_inner().last()?;
                    row.rounded = Some(self.literal(&step)?);
                }
                Rule::advisory_word => row.advisory = Some(span),
                Rule::never_excused => row.never_excused = Some(span),
                Rule::condition => row.condition = Some(self.body(&inner)?),
                _ => {}
            }
        }
        Some(row)
    }

    fn tier(&mut self, pair: &Pair<'_, Rule>) -> Option<Tier> {
        let mut inner = pair.clone().into_inner();
        let (word, range) = (inner.next()?, inner.next()?);
        let also = match inner.next() {
            Some(also) => Some(self.range(&also.into_inner().last()?)?),
            None => None,
        };
        Some(Tier { word: self.span(&word), range: self.range(&range)?, also })
    }

    /// A sentence between the braces after a row.
    pub(super) fn text(&self, pair: &Pair<'_, Rule>) -> Option<Text> {
        let words = self.find(pair, Rule::words).map(|words| self.words(&words));
        match pair.as_rule() {
            Rule::because => words.map(Text::Because),
            Rule::remedy => words.map(Text::Remedy),
            Rule::caution => words.map(Text::Caution),
            Rule::measure => words.map(Text::Measure),
            _ => {
                let kind = if self.find(pair, Rule::common_practice).is_some() {
                    FromKind::CommonPractice
                } else if self.find(pair, Rule::memory_word).is_some() {
                    FromKind::Memory
                } else {
                    FromKind::Source(self.name(&self.find(pair, Rule::name)?))
                };
                let from = From { kind, detail: words, span: self.span(pair) };
                Some(if self.find(pair, Rule::standard_word).is_some() {
                    Text::StandardFrom(from)
                } else if self.find(pair, Rule::limit_word).is_some() {
                    Text::LimitFrom(from)
                } else {
                    Text::From(from)
                })
            }
        }
    }
}
