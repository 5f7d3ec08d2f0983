//! One mistake at a time, then several: what is said, what is underlined, and what is still read.
