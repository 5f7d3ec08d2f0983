//! The program's answers against values published or computed elsewhere; each check names its source.

mod check_values;
mod functions;
mod rounding;
