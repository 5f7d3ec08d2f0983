//! A second, small model of judging: books and records drawn at random, each row worked out in plain fractions of a second
//! library, every time anew and with no short way; with a guard band too, for readings of a stated uncertainty. The program must come to the same grades, and of a disagreement the
//! shortest book and record that show it are printed.
//!
//! `PROPTEST_CASES=100000 cargo test --test main model` draws as many.

use dashu::rational::RBig;
use proptest::prelude::*;
use std::fmt::Write;
use trochoid::judge::{Grade, GradeSet};
use trochoid::shop::{Ask, Shop};
use trochoid::text::Source;

/// How many readings of each kind every book has: numbers taken once, and lists. The last of either may be left out.
const SINGLES: usize = 3;
const LISTS: usize = 2;
const POSITIONS: [&str; 2] = ["left", "right"];

/// What is written for a reading: values in thousandths, of an inch where the flag says so, or something else.
#[derive(Clone, Debug)]
enum Written {
    Values(Vec<(i64, bool)>),
    Unknown,
    Nothing,
}

#[derive(Clone, Copy, Debug)]
enum Collects {
    Smallest,
    Largest,
    Mean,
    Spread,
    Sum,
}

#[derive(Clone, Debug)]
enum Expression {
    Single(usize),
    Of(Collects, usize),
    Earlier(usize),
    Add(Box<Expression>, Box<Expression>),
    Subtract(Box<Expression>, Box<Expression>),
    Times(i64, Box<Expression>),
    Over(Box<Expression>, i64),
}

/// Ends in thousandths of a millimetre.
#[derive(Clone, Copy, Debug)]
enum Range {
    Between(i64, i64),
    AtLeast(i64),
    AtMost(i64),
    Above(i64),
    Below(i64),
}

#[derive(Clone, Debug)]
enum Subject {
    Single(usize),
    Each(usize),
    Of(Collects, usize),
    Derived(usize),
}

#[derive(Clone, Debug)]
enum Condition {
    Always,
    Flag(bool),
    Single(usize, Range),
}

/// A row: one tier or both, the limit as much wider than the standard as is said.
#[derive(Clone, Debug)]
struct Row {
    subject: Subject,
    range: Range,
    tier: Tier,
    advisory: bool,
    condition: Condition,
}

#[derive(Clone, Copy, Debug)]
enum Tier {
    Standard,
    Limit,
    Both(i64),
}

/// A book and a record of it.
#[derive(Clone, Debug)]
struct Drawn {
    derived: Vec<Expression>,
    rows: Vec<Row>,
    parts: Vec<Part>,
}

/// What is written of one position.
#[derive(Clone, Debug)]
struct Part {
    flag: Option<bool>,
    singles: Vec<Written>,
    lists: Vec<Written>,
}

impl Collects {
    fn word(self) -> &'static str {
        match self {
            Collects::Smallest => "smallest",
            Collects::Largest => "largest",
            Collects::Mean => "mean",
            Collects::Spread => "spread",
            Collects::Sum => "sum",
        }
    }

    fn of(self, values: &[RBig]) -> RBig {
        let least = values.iter().min().unwrap().clone();
        let most = values.iter().max().unwrap().clone();
        let sum = values.iter().fold(RBig::ZERO, |sum, value| sum + value);
        match self {
            Collects::Smallest => least,
            Collects::Largest => most,
            Collects::Mean => sum / RBig::from(values.len() as u64),
            Collects::Spread => most - least,
            Collects::Sum => sum,
        }
    }
}

fn thousandths(number: i64) -> RBig {
    RBig::from(number) / RBig::from(1000)
}

fn decimal(number: i64) -> String {
    let sign = if number < 0 { "-" } else { "" };
    format!("{sign}{}.{:03}", number.abs() / 1000, number.abs() % 1000)
}

impl Range {
    fn text(self) -> String {
        match self {
            Range::Between(low, high) => format!("{} to {} mm", decimal(low), decimal(high)),
            Range::AtLeast(low) => format!("at least {} mm", decimal(low)),
            Range::AtMost(high) => format!("at most {} mm", decimal(high)),
            Range::Above(low) => format!("above {} mm", decimal(low)),
            Range::Below(high) => format!("below {} mm", decimal(high)),
        }
    }

    fn wider(self, by: i64) -> Range {
        match self {
            Range::Between(low, high) => Range::Between(low - by, high + by),
            Range::AtLeast(low) => Range::AtLeast(low - by),
            Range::AtMost(high) => Range::AtMost(high + by),
            Range::Above(low) => Range::Above(low - by),
            Range::Below(high) => Range::Below(high + by),
        }
    }

    fn holds(self, value: &RBig) -> bool {
        match self {
            Range::Between(low, high) => *value >= thousandths(low) && *value <= thousandths(high),
            Range::AtLeast(low) => *value >= thousandths(low),
            Range::AtMost(high) => *value <= thousandths(high),
            Range::Above(low) => *value > thousandths(low),
            Range::Below(high) => *value < thousandths(high),
        }
    }
}

impl Range {
    fn ends(self) -> (Option<i64>, Option<i64>) {
        match self {
            Range::Between(low, high) => (Some(low), Some(high)),
            Range::AtLeast(low) | Range::Above(low) => (Some(low), None),
            Range::AtMost(high) | Range::Below(high) => (None, Some(high)),
        }
    }

    /// Whether a value is inside by the guard at every end, or outside one end by more than it; none if it is neither.
    fn proved(self, value: &RBig, guard: &RBig) -> Option<bool> {
        let (low, high) = self.ends();
        let inward: Vec<RBig> = (low.map(|low| value - thousandths(low)).into_iter())
            .chain(high.map(|high| thousandths(high) - value))
            .collect();
        if inward.iter().any(|inward| *inward < -guard.clone()) {
            return Some(false);
        }
        inward.iter().all(|inward| inward >= guard).then_some(true)
    }
}

fn may_be_left_out(number: usize, of: usize) -> bool {
    number + 1 == of
}

impl Expression {
    fn text(&self) -> String {
        match self {
            Expression::Single(number) => format!("s{number}"),
            Expression::Of(collects, list) => format!("({} of l{list})", collects.word()),
            Expression::Earlier(number) => format!("d{number}"),
            Expression::Add(one, other) => format!("({} + {})", one.text(), other.text()),
            Expression::Subtract(one, other) => format!("({} - {})", one.text(), other.text()),
            Expression::Times(by, one) => format!("{by} * {}", one.text()),
            Expression::Over(one, by) => format!("{} / {by}", one.text()),
        }
    }
}

impl Row {
    fn text(&self) -> String {
        let subject = match &self.subject {
            Subject::Single(number) => format!("thing.s{number}"),
            Subject::Each(list) => format!("each of thing.l{list}"),
            Subject::Of(collects, list) => format!("{} of thing.l{list}", collects.word()),
            Subject::Derived(number) => format!("thing.d{number}"),
        };
        let range = self.range.text();
        let tiers = match self.tier {
            Tier::Standard => format!("standard {range}"),
            Tier::Limit => format!("limit {range}"),
            Tier::Both(by) => format!("standard {range} limit {}", self.range.wider(by).text()),
        };
        let advisory = if self.advisory { " advisory" } else { "" };
        let condition = match &self.condition {
            Condition::Always => String::new(),
            Condition::Flag(true) => " where flag".into(),
            Condition::Flag(false) => " where not flag".into(),
            Condition::Single(number, Range::Below(end)) => format!(" where s{number} below {} mm", decimal(*end)),
            Condition::Single(number, Range::AtLeast(end)) => format!(" where s{number} at least {} mm", decimal(*end)),
            Condition::Single(..) => unreachable!("conditions compare with one end"),
        };
        format!("    {subject} {tiers}{advisory}{condition} {{ from common practice }}\n")
    }
}

impl Drawn {
    fn book(&self) -> String {
        let mut text =
            "rulebook \"Drawn\" edition 2026-01-01\nunit mm = 0.001 m\nunit in = 0.0254 m\npart machine {\n    \
                        part thing at left, right {\n        flag : yes/no\n"
                .to_owned();
        for number in 0..SINGLES {
            let optional = if may_be_left_out(number, SINGLES) { ", optional" } else { "" };
            writeln!(text, "        s{number} : mm{optional}").unwrap();
        }
        for number in 0..LISTS {
            let optional = if may_be_left_out(number, LISTS) { ", optional" } else { "" };
            writeln!(text, "        l{number} : mm, 2 readings or more{optional}").unwrap();
        }
        for (number, expression) in self.derived.iter().enumerate() {
            writeln!(text, "        derive d{number} : mm = {}", expression.text()).unwrap();
        }
        text.push_str("    }\n}\ngeneration g \"drawn\" {\n");
        text.extend(self.rows.iter().map(Row::text));
        text + "}\n"
    }

    fn record(&self) -> String {
        let value =
            |(number, inches): &(i64, bool)| format!("{} {}", decimal(*number), if *inches { "in" } else { "mm" });
        let mut text = "build: D-1\ngeneration: g\nthing:\n".to_owned();
        for (position, part) in POSITIONS.iter().zip(&self.parts) {
            writeln!(
                text,
                "  {position}:\n    flag: {}",
                match part.flag {
                    Some(true) => "yes",
                    Some(false) => "no",
                    None => "unknown",
                }
            )
            .unwrap();
            for (kind, all) in [("s", &part.singles), ("l", &part.lists)] {
                for (number, written) in all.iter().enumerate() {
                    match written {
                        Written::Nothing => {}
                        Written::Unknown => writeln!(text, "    {kind}{number}: unknown").unwrap(),
                        Written::Values(values) if kind == "s" => {
                            writeln!(text, "    {kind}{number}: {}", value(&values[0])).unwrap();
                        }
                        Written::Values(values) => {
                            let values: Vec<String> = values.iter().map(value).collect();
                            writeln!(text, "    {kind}{number}: [{}]", values.join(", ")).unwrap();
                        }
                    }
                }
            }
        }
        text
    }
}

/// What is known of something: its value, or that it is missing, and whether it may be.
#[derive(Clone, Debug, PartialEq)]
enum Known {
    Values(Vec<RBig>),
    /// Left out, as it may be: what rests on it is passed over.
    LeftOut,
    Missing,
}

impl Known {
    fn of(written: &Written, optional: bool) -> Known {
        match written {
            Written::Values(values) => Known::Values(
                values
                    .iter()
                    .map(|(number, inches)| {
                        let inch = if *inches { RBig::from(254) / RBig::from(10) } else { RBig::ONE };
                        thousandths(*number) * inch
                    })
                    .collect(),
            ),
            Written::Nothing if optional => Known::LeftOut,
            Written::Nothing | Written::Unknown => Known::Missing,
        }
    }

    fn map(self, with: impl Fn(&[RBig]) -> RBig) -> Known {
        match self {
            Known::Values(values) => Known::Values(vec![with(&values)]),
            other => other,
        }
    }

    /// Of two, one missing is worse than one left out.
    fn join(self, other: Known, with: impl Fn(&RBig, &RBig) -> RBig) -> Known {
        match (self, other) {
            (Known::Values(one), Known::Values(other)) => Known::Values(vec![with(&one[0], &other[0])]),
            (Known::Missing, _) | (_, Known::Missing) => Known::Missing,
            _ => Known::LeftOut,
        }
    }
}

impl Part {
    fn single(&self, number: usize) -> Known {
        Known::of(&self.singles[number], may_be_left_out(number, SINGLES))
    }

    fn list(&self, number: usize) -> Known {
        Known::of(&self.lists[number], may_be_left_out(number, LISTS))
    }

    fn value(&self, drawn: &Drawn, expression: &Expression) -> Known {
        let value = |one: &Expression| self.value(drawn, one);
        match expression {
            Expression::Single(number) => self.single(*number),
            Expression::Of(collects, list) => self.list(*list).map(|values| collects.of(values)),
            Expression::Earlier(number) => value(&drawn.derived[*number]),
            Expression::Add(one, other) => value(one).join(value(other), |one, other| one + other),
            Expression::Subtract(one, other) => value(one).join(value(other), |one, other| one - other),
            Expression::Times(by, one) => value(one).map(|values| &values[0] * RBig::from(*by)),
            Expression::Over(one, by) => value(one).map(|values| &values[0] / RBig::from(*by)),
        }
    }

    /// The grades a row comes to here: none where it does not apply.
    fn grades(&self, drawn: &Drawn, row: &Row) -> Vec<Grade> {
        let applies = match &row.condition {
            Condition::Always => Some(true),
            Condition::Flag(wanted) => self.flag.map(|flag| flag == *wanted),
            Condition::Single(number, range) => match self.single(*number) {
                Known::Values(values) => Some(range.holds(&values[0])),
                Known::LeftOut => Some(false),
                Known::Missing => None,
            },
        };
        if applies == Some(false) {
            return Vec::new();
        }
        let known = match &row.subject {
            Subject::Single(number) => self.single(*number),
            Subject::Each(list) => self.list(*list),
            Subject::Of(collects, list) => self.list(*list).map(|values| collects.of(values)),
            Subject::Derived(number) => self.value(drawn, &drawn.derived[*number]),
        };
        match (known, applies) {
            // Whether the row applies is asked first: nobody knows whether something was to be measured.
            (_, None) | (Known::Missing, _) => vec![Grade::Unmeasured],
            (Known::LeftOut, _) => Vec::new(),
            (Known::Values(values), _) => values.iter().map(|value| row.grade(value)).collect(),
        }
    }
}

impl Row {
    fn grade(&self, value: &RBig) -> Grade {
        match self.tier {
            _ if self.range.holds(value) => Grade::Good,
            Tier::Both(by) if self.range.wider(by).holds(value) => Grade::Worn,
            _ => Grade::Out,
        }
    }

    /// By a guard band this wide (ISO 14253-1:2017: conformity is proved inside by the guard, nonconformity outside by more):
    /// the limit is decided first, and what is proved to be inside it is good or worn.
    fn guarded(&self, value: &RBig, guard: &RBig) -> Grade {
        let limit = match self.tier {
            Tier::Both(by) => self.range.wider(by),
            Tier::Standard | Tier::Limit => self.range,
        };
        match (limit.proved(value, guard), self.range.proved(value, guard)) {
            (Some(false), _) => Grade::Out,
            (None, _) => Grade::Unsettled,
            (Some(true), Some(true)) => Grade::Good,
            (Some(true), _) => Grade::Worn,
        }
    }
}

fn collects() -> impl Strategy<Value = Collects> {
    prop_oneof![
        Just(Collects::Smallest),
        Just(Collects::Largest),
        Just(Collects::Mean),
        Just(Collects::Spread),
        Just(Collects::Sum),
    ]
}

/// Of values that lie near each other, so that ends are met and differences are small.
fn number() -> impl Strategy<Value = i64> {
    prop_oneof![Just(2540_i64), 0..20_i64, 2500..2580_i64, 0..9999_i64]
}

fn values(least: usize, most: usize) -> impl Strategy<Value = Vec<(i64, bool)>> {
    let value = prop_oneof![3 => (number(), Just(false)), 1 => (0..200_i64, Just(true))];
    proptest::collection::vec(value, least..=most)
}

fn written(least: usize, most: usize) -> impl Strategy<Value = Written> {
    prop_oneof![10 => values(least, most).prop_map(Written::Values), 1 => Just(Written::Unknown), 1 => Just(Written::Nothing)]
}

fn part() -> impl Strategy<Value = Part> {
    let flag = prop_oneof![5 => any::<bool>().prop_map(Some), 1 => Just(None)];
    let singles = proptest::collection::vec(written(1, 1), SINGLES);
    let lists = proptest::collection::vec(written(2, 4), LISTS);
    (flag, singles, lists).prop_map(|(flag, singles, lists)| Part { flag, singles, lists })
}

/// An expression that may rest on so many before it.
fn expression(earlier: usize) -> impl Strategy<Value = Expression> {
    let single = (0..SINGLES).prop_map(Expression::Single);
    let of = (collects(), 0..LISTS).prop_map(|(collects, list)| Expression::Of(collects, list));
    let leaf = if earlier == 0 {
        prop_oneof![single, of].boxed()
    } else {
        prop_oneof![single, of, (0..earlier).prop_map(Expression::Earlier)].boxed()
    };
    leaf.prop_recursive(3, 8, 2, |inner| {
        let pair = || (inner.clone().prop_map(Box::new), inner.clone().prop_map(Box::new));
        prop_oneof![
            pair().prop_map(|(one, other)| Expression::Add(one, other)),
            pair().prop_map(|(one, other)| Expression::Subtract(one, other)),
            (2..7_i64, inner.clone()).prop_map(|(by, one)| Expression::Times(by, Box::new(one))),
            (inner.clone(), 2..7_i64).prop_map(|(one, by)| Expression::Over(Box::new(one), by)),
        ]
    })
}

fn range() -> impl Strategy<Value = Range> {
    prop_oneof![
        (number(), 1..3000_i64).prop_map(|(low, width)| Range::Between(low, low + width)),
        number().prop_map(Range::AtLeast),
        number().prop_map(Range::AtMost),
        number().prop_map(Range::Above),
        number().prop_map(Range::Below),
    ]
}

fn row(derived: usize) -> impl Strategy<Value = Row> {
    let subject = prop_oneof![
        (0..SINGLES).prop_map(Subject::Single),
        (0..LISTS).prop_map(Subject::Each),
        (collects(), 0..LISTS).prop_map(|(collects, list)| Subject::Of(collects, list)),
        (0..derived).prop_map(Subject::Derived),
    ];
    let tier = prop_oneof![Just(Tier::Standard), Just(Tier::Limit), (1..2000_i64).prop_map(Tier::Both)];
    let condition = prop_oneof![
        3 => Just(Condition::Always),
        1 => any::<bool>().prop_map(Condition::Flag),
        1 => (0..SINGLES, number()).prop_map(|(number, end)| Condition::Single(number, Range::Below(end))),
        1 => (0..SINGLES, number()).prop_map(|(number, end)| Condition::Single(number, Range::AtLeast(end))),
    ];
    (subject, range(), tier, any::<bool>(), condition).prop_map(|(subject, range, tier, advisory, condition)| Row {
        subject,
        range,
        tier,
        advisory,
        condition,
    })
}

fn drawn() -> impl Strategy<Value = Drawn> {
    let derived = (expression(0), expression(1), expression(2)).prop_map(|(one, two, three)| vec![one, two, three]);
    let rows = proptest::collection::vec(row(3), 1..6);
    let parts = proptest::collection::vec(part(), POSITIONS.len());
    (derived, rows, parts).prop_map(|(derived, mut rows, parts)| {
        // Two rows on one thing would have to say which of them is meant.
        let mut seen = Vec::new();
        rows.retain(|row| {
            let name = format!("{:?}", row.subject);
            let new = !seen.contains(&name);
            seen.push(name);
            new
        });
        Drawn { derived, rows, parts }
    })
}

const ASK: Ask = Ask { tell: GradeSet::NONE, rulings: true, as_of: None };

proptest! {
    #[test]
    fn the_program_comes_to_the_grades_of_plain_fractions(drawn in drawn()) {
        let (book, record) = (drawn.book(), drawn.record());
        let shop = Shop::of_sources(&[Source::new("drawn.rulebook", book.clone())]);
        prop_assert!(shop.is_sound(), "{book}\n{:?}", shop.findings());
        let checked = shop.check_source(&Source::new("drawn.yaml", record.clone()), &ASK);
        let mut told: Vec<(usize, Grade)> = checked
            .rulings
            .iter()
            .map(|told| (book[..told.row.span.range().start].matches('\n').count(), told.grade))
            .collect();
        let first = book.lines().position(|line| line.starts_with("generation")).unwrap() + 1;
        let mut expected = Vec::new();
        let mut worst = Grade::Good;
        for (number, row) in drawn.rows.iter().enumerate() {
            for grade in drawn.parts.iter().flat_map(|part| part.grades(&drawn, row)) {
                expected.push((first + number, grade));
                worst = worst.max(if row.advisory { grade.min(Grade::Worn) } else { grade });
            }
        }
        told.sort();
        expected.sort();
        prop_assert_eq!(told, expected, "{}\n{}", book, record);
        prop_assert_eq!(checked.grade, Some(worst), "{}\n{}", book, record);
    }

    #[test]
    fn guard_bands_come_to_the_grades_of_plain_fractions(
        (range, by, tier) in (range(), 1..40_i64, 0..3_usize),
        (value, expanded, percent) in (number(), 1..30_i64, prop_oneof![Just(83_i64), Just(100), 1..300_i64]),
        near in prop_oneof![Just(None), (-40..40_i64).prop_map(Some)],
    ) {
        let tier = [Tier::Standard, Tier::Limit, Tier::Both(by)][tier];
        let row = Row { subject: Subject::Single(0), range, tier, advisory: false, condition: Condition::Always };
        // Mostly near an end, where the guard counts.
        let (low, high) = range.ends();
        let value = near.map_or(value, |off| (low.or(high).unwrap() + off).max(0));
        let guard = thousandths(expanded) * RBig::from(percent) / RBig::from(100);
        let drawn = Drawn { derived: Vec::new(), rows: vec![row.clone()], parts: Vec::new() };
        let book = format!("{}house \"Drawn\" {{ judge by guard band {} U }}\n", drawn.book(), decimal(percent * 10));
        let record = format!(
            "build: D-1\ngeneration: g\nthing:\n  left:\n    s0: {{ value: {} mm, uncertainty: {} mm }}\n",
            decimal(value),
            decimal(expanded)
        );
        let shop = Shop::of_sources(&[Source::new("drawn.rulebook", book.clone())]);
        prop_assert!(shop.is_sound(), "{book}\n{:?}", shop.findings());
        let checked = shop.check_source(&Source::new("drawn.yaml", record.clone()), &ASK);
        let left = checked.rulings.iter().find(|told| told.path == "thing.left.s0").unwrap();
        prop_assert_eq!(left.grade, row.guarded(&thousandths(value), &guard), "{}\n{}", book, record);
    }
}
