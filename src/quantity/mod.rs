//! Exact numbers, dimensions, units, bands and dates. Refuses to know what is measured.

mod band;
mod date;
mod dimension;
mod enclosure;
mod exponential;
mod fixed;
pub mod function;
mod number;
mod short_band;
mod shown;
pub mod slip;
mod table;
mod typed;
mod unit;
mod value;

pub use band::{Band, End, Side};
pub use date::{Date, Days};
pub use dimension::Dimension;
pub use enclosure::Enclosure;
pub use number::{MOST_DIGITS, Number, NumberError, NumberErrorKind, Short};
pub use short_band::ShortBand;
pub use shown::{Rounded, power_of_ten, shown, shown_apart, shown_significant};
pub use table::{UnitError, UnitTable};
pub use unit::Unit;
pub use value::Value;
