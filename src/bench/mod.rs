//! Serves the pages at the bench: readings are entered in a browser, graded as they are typed, and written into the records.
//! Refuses to judge by anything the other modules do not, and to know how a page is drawn.
//!
//! What is asked and what is answered are plain values ([`Asked`], [`Answer`]), so that everything but the connections is
//! ordinary code without threads of its own.

mod asked;
mod door;
mod keep;
mod news;
mod pages;
mod photo;
mod picture;
mod routes;
mod workshop;

pub use asked::{Answer, Asked, Kind, Method};
pub use door::{Device, NoDoor, Notice, Options, USUAL_PORT, serve};
pub use news::Watching;
pub use picture::picture_kind;
pub use routes::answer;
pub use workshop::{RecordAt, Workshop};
