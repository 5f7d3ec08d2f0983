//! `trochoid bench`: opens the pages at the bench of a shop. Refuses to know what is on them.

use crate::bench::{Asked, Method, Workshop, answer};
use clap::Args;
use std::io;
use std::path::PathBuf;

/// Enter readings in a browser, graded as they are typed
#[derive(Args, Debug)]
pub(super) struct Bench {
    /// The shop's folder
    #[arg(default_value = ".")]
    shop: PathBuf,
    /// Judge by this rulebook, or by every rulebook in this folder
    #[arg(long, value_name = "PATH")]
    books: Option<PathBuf>,
    /// Show the pages, and let nobody write
    #[arg(long)]
    read_only: bool,
}

/// Serves until it is stopped, and gives the exit status.
pub(super) fn run(asked: &Bench) -> io::Result<u8> {
    let workshop = Workshop::new(&asked.shop, asked.books.clone(), asked.read_only, || super::cabinet::today(None));
    let request = Asked::new(Method::Get, "/", Vec::new());
    let _ = request.map(|request| answer(&workshop, &request));
    Ok(0)
}
