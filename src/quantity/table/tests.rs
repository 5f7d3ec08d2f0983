//! Names and products of units.
