//! The laws of bands.
