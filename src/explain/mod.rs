//! What the program can explain beside judging: what each code of a finding means. Refuses to know how it is printed.

pub mod code;
