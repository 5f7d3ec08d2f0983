//! What an editor is told while rulebooks and records are written: the Language Server Protocol, version 3.17, over standard
//! input and output. Refuses to judge by anything but what the other commands judge by.
//!
//! [`Server`] is the whole of it without any stream: open papers in, answers out. [`serve`] is the rim.

mod answer;
mod braces;
mod capabilities;
mod complete;
mod complete_book;
mod complete_gauge;
mod complete_record;
mod document;
mod glance;
mod go;
mod hints;
mod hover;
mod keys;
mod layout;
mod loose;
mod names;
mod open_shops;
mod outline;
mod outline_record;
mod position;
mod publish;
mod queue;
mod record_names;
mod rename;
mod rename_records;
mod seen;
mod serve;
mod server;
mod tokens;
mod uri;
mod wire;
mod wording;

pub use queue::Queue;
pub use serve::serve;
pub use server::{Proved, Proving, Server};
