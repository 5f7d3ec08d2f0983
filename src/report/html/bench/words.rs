//! Every sentence on the pages at the bench that is not a text of a record or a book. Refuses to know when it is shown.

pub(super) const BUILDS: &str = "Builds";
pub(super) const SHELF: &str = "Shelf";
pub(super) const WHICH: &str = "Which engine";
pub(super) const RULES: &str = "Rules";
pub(super) const GAUGES: &str = "Gauges";

pub(super) const SKIP: &str = "Skip to the page";
pub(super) const PAGES: &str = "Pages";
pub(super) const NO_SHOP_NAME: &str = "The shop";
pub(super) const READ_ONLY: &str = "For reading only: nothing can be written from this page.";

// A page that is not there.
pub(super) const NOT_THERE: &str = "Not here";
