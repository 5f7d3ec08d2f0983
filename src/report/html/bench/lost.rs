//! The page for an address that nothing is at: what was looked for and where to go from here. Refuses to know what is there.

use super::frame::{BenchFrame, BenchShop};
use super::words;
use crate::report::html::frame::said;
use maud::html;

/// What could not be shown.
#[derive(Clone, Copy, Debug)]
pub struct Lost<'a> {
    /// The shop.
    pub shop: BenchShop<'a>,
    /// What is wrong, as a sentence.
    pub because: &'a str,
    /// Where to go from here: an address and the words for it.
    pub to: (&'a str, &'a str),
}

/// The page, ended by a line end.
#[must_use]
pub fn write(lost: &Lost<'_>) -> String {
    let frame = BenchFrame { shop: lost.shop, title: words::NOT_THERE, here: None, script: None };
    let (to, name) = lost.to;
    frame.page(&html! {
        h1 { (words::NOT_THERE) }
        p { (said(lost.because)) }
        p { a class="step" href=(to) { (name) } }
    })
}
