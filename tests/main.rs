//! Every test that looks at the program from outside, in reading order.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    reason = "a test may stop at the first surprise"
)]

mod as_typed;
mod bad_input;
mod bench_door;
mod bench_lasting;
mod bench_page;
mod bench_pages;
mod blank;
mod by_eye;
mod cases;
mod cli;
mod contradicted;
mod documents;
mod editor_grammar;
mod example_shop;
mod examples_run;
mod explain_budget;
mod explain_pages;
mod explain_row;
mod force;
mod guard_bands;
mod hook;
mod house;
mod judged_alike;
mod loose_parts;
mod matching;
mod measure;
mod mends;
mod model;
mod mutations;
mod other_rebuild;
mod outside;
mod packages;
mod pages;
mod paper_runs;
mod plain_words;
mod plausible;
mod ranges_as_written;
mod reference;
mod rework;
mod rework_shelf;
mod shells;
mod slips;
mod small_differences;
mod start;
mod tidy_house;
mod told_again;
mod tutorial;
mod uncertainty_oracle;
mod ways_in;
mod whole_grammar;
