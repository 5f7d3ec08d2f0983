//! Means, spreads, tests and charts of plain values; refuses to know what was measured, and on what.
//!
//! Sums, means, variances and degrees of freedom are exact. What comes from a distribution (a critical value, a
//! probability) is a binary number: it is compared with exact statistics or shown, and never added to a reading.

pub mod control;
pub mod correlation;
pub mod coverage;
pub mod distribution;
pub mod draw;
pub mod grubbs;
pub mod monte_carlo;
pub mod risk;
pub mod sample;
pub mod study;
pub mod welch;
