//! The rules pest makes of `grammar/rulebook.pest`. Knows nothing but which rules there are.

// The derive writes a public enum with one variant a rule; the grammar file documents them.
#![allow(missing_docs, unreachable_pub, reason = "written by pest_derive from grammar/rulebook.pest")]

#[derive(pest_derive::Parser)]
#[grammar = "../grammar/rulebook.pest"]
pub(super) struct Grammar;
