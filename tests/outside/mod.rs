//! The program's answers against values published or computed elsewhere; each check names its source.

mod balance;
mod boundaries;
mod check_values;
mod control_charts;
mod degrees_of_freedom;
mod envelope;
mod functions;
mod gauge_ratio;
mod grubbs;
mod gum_end_gauge;
mod gum_examples;
mod ilac_g8_zones;
mod jcgm106;
mod limits_and_fits;
mod rounding;
mod shipped_geometry;
mod slips;
mod strd;
mod student;
mod thermal_expansion;
mod trade_arithmetic;
mod trade_rules;
mod unit_factors;
mod unit_library;
pub(crate) mod weighing;
mod welch;
mod yaml_scalars;
