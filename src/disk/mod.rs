//! The only room that touches files and folders. Refuses to know what a record or a rulebook says.

mod history;
mod names;
mod paths;
mod read;
mod scratch;
mod stamp;
mod standard_input;
mod walk;
mod wording;
mod write;

pub use history::{History, HistoryFault};
pub use names::{safe_name, safe_path};
pub use paths::{exists, find_upward, folder_of, from_here, inside, is_folder, is_same, normalise, relative, settled};
pub use read::{
    MOST_BOOK_BYTES, MOST_RECORD_BYTES, MOST_SHEET_BYTES, beginning, read_bytes, read_program, read_source, read_walked,
};
pub use scratch::Scratch;
pub use stamp::{Stamp, stamp};
pub use standard_input::{STANDARD_INPUT, is_standard_input, name_standard_input};
pub use walk::{Kind, Walk, is_record_name, records_below, records_named, rulebooks_below, walk};
pub use write::{create_whole, create_whole_below, rewrite_whole, write_whole, write_whole_below};
