//! What each page at the bench shows, gathered from the shop. Refuses to know how a page is drawn, and to write into a record.

use super::{Answer, Kind, Workshop};
use crate::report::html::bench::{self, BenchShop, FileKind, Lost};
use crate::shop::Shop;

/// An address that nothing is at.
pub(super) const NO_SUCH_PAGE: &str = "There is no page at this address.";

/// A file that the pages link to.
pub(super) fn file(name: &str) -> Answer {
    let Some(file) = bench::file(name) else {
        return Answer::new(404, Kind::Text, b"there is no such file\n".to_vec());
    };
    let kind = match file.kind {
        FileKind::Style => Kind::Style,
        FileKind::Script => Kind::Script,
        FileKind::Svg => Kind::Picture("image/svg+xml"),
    };
    Answer::new(200, kind, file.text.as_bytes().to_vec())
}

/// What the head of a page says about the shop.
pub(super) fn about<'a>(workshop: &Workshop, shop: &'a Shop) -> BenchShop<'a> {
    BenchShop { name: shop.name.as_deref(), read_only: workshop.is_read_only() }
}

/// The page for an address that nothing is at.
pub(super) fn lost(workshop: &Workshop, because: &str) -> Answer {
    let shop = workshop.shop();
    let lost = Lost { shop: about(workshop, &shop), because, to: ("/", "Go to the builds") };
    Answer::page(bench::lost(&lost)).with_status(404)
}
