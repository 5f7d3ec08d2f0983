//! Values as they are printed.
