//! Properties that hold for every text.
