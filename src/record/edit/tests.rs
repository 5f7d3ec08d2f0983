//! Every form a record may have, changed in one place: the exact text that comes of it.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::print_stdout,
    reason = "a test may stop at the first surprise"
)]

mod awkward;
mod faults;
mod forms;
mod properties;

use super::*;

/// A path written with dots; a number in brackets is an item.
fn path(dotted: &str) -> Vec<Step> {
    let step = |step: &str| match step.strip_prefix('[').and_then(|rest| rest.strip_suffix(']')) {
        Some(item) => Step::Item(item.parse().unwrap()),
        None => Step::Key(step.to_owned()),
    };
    dotted.split('.').map(step).collect()
}

fn set(dotted: &str, value: impl Into<Written>) -> Change {
    Change::Set { path: path(dotted), value: value.into() }
}

fn remove(dotted: &str) -> Change {
    Change::Remove { path: path(dotted) }
}

fn list(items: &[&str]) -> Written {
    Written::List(items.iter().map(|item| Written::from(*item)).collect())
}

fn map(entries: &[(&str, Written)]) -> Written {
    Written::Map(entries.iter().map(|(key, value)| ((*key).to_owned(), value.clone())).collect())
}

fn edited(text: &str, change: &Change) -> Result<Edited, EditFault> {
    edit(&Source::new("record.yaml", text), change, &at_the_end)
}

/// The change gives that text, and the span is that of the value.
#[track_caller]
fn becomes(before: &str, change: &Change, after: &str) {
    let edited = edited(before, change).unwrap_or_else(|fault| panic!("{before:?}: {fault}"));
    assert_eq!(edited.text, after, "{before:?}");
    match change {
        Change::Set { .. } => assert!(after.get(edited.span.unwrap().range()).is_some()),
        Change::Remove { .. } => assert_eq!(edited.span, None),
    }
}

#[track_caller]
fn is_refused(text: &str, change: &Change, why: &Why) -> EditFault {
    let fault = edited(text, change).expect_err(text);
    assert_eq!(fault.why, *why, "{text:?}");
    fault
}
