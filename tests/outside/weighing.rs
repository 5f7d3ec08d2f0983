//! A rulebook and a record as text, taken through the whole program as far as each ruling's uncertainty: what the checks of
//! uncertainty share. The numbers become binary only here, to be compared.

use trochoid::bind::{self, Readings};
use trochoid::judge::uncertainty::{Budget, budget};
use trochoid::judge::{self, GradeSet, Ruling, RulingReport, Verdict};
use trochoid::quantity::{Number, Value};
use trochoid::record;
use trochoid::shop::{Ask, Checked, Shop};
use trochoid::text::Source;

/// Every ruling in words, and no findings of grades.
pub(crate) const RULINGS: Ask = Ask { tell: GradeSet::NONE, rulings: true, as_of: None };

/// The shop of one book, which has to compile.
pub(crate) fn shop(book: &str) -> Shop {
    let shop = Shop::of_sources(&[Source::new("weighed.rulebook", book)]);
    assert!(shop.is_sound(), "{:#?}\n{book}", shop.findings());
    shop
}

/// A record read against the book; it must have no mistake.
pub(crate) fn readings(shop: &Shop, record: &str) -> Readings {
    let source = Source::new("r.yaml", record);
    let (sheet, findings) = record::read(&source);
    assert!(findings.is_empty(), "{findings:#?}\n{record}");
    let (readings, findings) = bind::bind(&shop.book, &sheet.unwrap(), &source);
    assert!(findings.is_empty(), "{findings:#?}\n{record}");
    readings
}

/// The verdict on readings.
pub(crate) fn verdict(shop: &Shop, readings: &Readings) -> Verdict {
    let plan = shop.plan(readings.generation.unwrap()).unwrap();
    judge::judge(&shop.book, plan, readings)
}

/// The rulings on readings, each with its budget.
pub(crate) fn budgets(shop: &Shop, readings: &Readings) -> Vec<(Ruling, Option<Budget>)> {
    let plan = shop.plan(readings.generation.unwrap()).unwrap();
    let rulings = verdict(shop, readings).rulings;
    rulings
        .into_iter()
        .map(|ruling| {
            let budget = budget(&shop.book, plan, readings, &ruling);
            (ruling, budget)
        })
        .collect()
}

/// The one ruling of a record with its budget.
pub(crate) fn only(shop: &Shop, readings: &Readings) -> (Ruling, Budget) {
    let mut all = budgets(shop, readings);
    assert_eq!(all.len(), 1, "one row, one ruling");
    let (ruling, budget) = all.remove(0);
    (ruling, budget.unwrap())
}

/// A record through the whole program.
pub(crate) fn checked(shop: &Shop, record: &str) -> Checked {
    let checked = shop.check_source(&Source::new("r.yaml", record), &RULINGS);
    assert_eq!(checked.record_errors, 0, "{:#?}\n{record}", checked.findings);
    checked
}

/// The one ruling of a record, in words.
pub(crate) fn told(shop: &Shop, record: &str) -> RulingReport {
    let mut rulings = checked(shop, record).rulings;
    assert_eq!(rulings.len(), 1, "one row, one ruling");
    rulings.remove(0)
}

/// A value as a binary number.
pub(crate) fn float(value: &Value) -> f64 {
    value.midpoint().to_f64()
}

/// The value a ruling judged, as a binary number in base units.
pub(crate) fn judged(ruling: &Ruling) -> f64 {
    match &ruling.value {
        Some(trochoid::book::Datum::Quantity(value)) => float(value),
        other => panic!("no quantity: {other:?}"),
    }
}

/// A decimal as the program reads it.
pub(crate) fn number(text: &str) -> Number {
    super::check_values::number(text)
}

/// Whether two numbers differ by no more than so much.
pub(crate) fn near(found: f64, expected: f64, within: f64, what: &str) {
    assert!((found - expected).abs() <= within, "{what}: {found} where {expected} ± {within} was expected");
}
