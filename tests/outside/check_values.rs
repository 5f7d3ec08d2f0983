//! Check values as they stand in `data/`: items with inputs, expected results and how close one must come.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may stop at the first surprise"
)]

use serde_yaml::Value as Yaml;
use trochoid::quantity::Number;

/// One check value.
pub(super) struct Item {
    /// Its family.
    pub(super) item: String,
    yaml: Yaml,
}

/// Every item of a file.
pub(super) fn items(text: &str) -> Vec<Item> {
    let Ok(Yaml::Sequence(list)) = serde_yaml::from_str(text) else { panic!("check values are a list") };
    let item =
        |yaml: Yaml| Item { item: yaml["item"].as_str().expect("every check value has a name").to_owned(), yaml };
    list.into_iter().map(item).collect()
}

impl Item {
    /// The text of a field, such as `inputs`, `value`; numbers as they print.
    pub(super) fn text(&self, group: &str, field: &str) -> Option<String> {
        match &self.yaml[group][field] {
            Yaml::String(text) => Some(text.clone()),
            Yaml::Number(number) => Some(number.to_string()),
            Yaml::Bool(truth) => Some(truth.to_string()),
            _ => None,
        }
    }

    /// The numbers of a list that has to be there.
    pub(super) fn numbers(&self, group: &str, field: &str) -> Vec<Number> {
        let Yaml::Sequence(list) = &self.yaml[group][field] else { panic!("{} without {group}: {field}", self.item) };
        list.iter().map(|one| number(serde_yaml::to_string(one).expect("a number prints").trim())).collect()
    }

    /// The rows of a table that has to be there.
    pub(super) fn table(&self, group: &str, field: &str) -> Vec<Vec<Number>> {
        let Yaml::Sequence(rows) = &self.yaml[group][field] else { panic!("{} without {group}: {field}", self.item) };
        let one = |one: &Yaml| number(serde_yaml::to_string(one).expect("a number prints").trim());
        rows.iter().map(|row| row.as_sequence().expect("a row is a list").iter().map(one).collect()).collect()
    }

    /// The number in a field that has to be there.
    pub(super) fn number(&self, group: &str, field: &str) -> Number {
        let text = self.text(group, field).unwrap_or_else(|| panic!("{} without {group}: {field}", self.item));
        number(&text)
    }
}

/// A number as the files write them, powers of ten among them.
pub(super) fn number(text: &str) -> Number {
    let (mantissa, exponent) = text.split_once('e').unwrap_or((text, "0"));
    let mantissa = Number::parse(mantissa).expect("a check value is a number");
    let exponent = exponent.parse().expect("a power of ten is a whole number");
    mantissa * Number::from_integer(10).power(exponent).expect("ten is not zero")
}
