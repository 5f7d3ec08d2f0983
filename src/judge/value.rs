//! Small whole numbers as quantities.

use crate::quantity::{Number, Value};

/// A whole number as a plain number.
pub(super) fn whole(number: i64) -> Value {
    Value::from(Number::from_integer(number))
}
