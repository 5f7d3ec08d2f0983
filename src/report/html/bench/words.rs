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

// The builds.
pub(super) const TROUBLES: &str = "What must be put right first";
pub(super) const HELD: &str = "May not leave the shop";
pub(super) const STARTED: &str = "Being measured";
pub(super) const PASS: &str = "May leave the shop";
pub(super) const BUILD_COLUMNS: [&str; 5] = ["build", "grade", "generation", "finished", "what is wrong first"];
pub(super) const HOW_FAR: &str = "readings";
pub(super) const FIND: &str = "Show builds that say";
pub(super) const FIND_BUTTON: &str = "Show";
pub(super) const SHOW_ALL: &str = "Show all";
pub(super) const NO_BUILDS: &str = "There is no build yet. Start the first one above.";
pub(super) const NOTHING_SAYS: &str = "No build says that. Try fewer words.";
pub(super) const NEW_BUILD: &str = "Start a new build";
pub(super) const NEW_BUILD_HOW: &str = "This writes an empty record with every reading to take, part by part.";
pub(super) const BEGIN_BUILD: &str = "Start this build";
pub(super) const NEW_PART: &str = "Put a part on the shelf";
pub(super) const NEW_PART_HOW: &str = "This writes an empty record of one loose part. Paint the tag on the part first.";
pub(super) const BEGIN_PART: &str = "Measure this part";
pub(super) const NAME: &str = "Name of the build";
pub(super) const SERIAL: &str = "Serial number, if there is one";
pub(super) const TAG: &str = "Tag";
pub(super) const KIND: &str = "Kind of part";
pub(super) const GENERATION: &str = "Generation";
pub(super) const CHOOSE: &str = "Choose one";
pub(super) const NOBODY_KNOWS: &str = "Not known yet";

/// `31 of 137 taken`.
pub(super) fn taken(taken: usize, required: usize) -> String {
    format!("{taken} of {required} taken")
}

pub(super) fn shown(shown: usize, all: usize) -> String {
    format!("{shown} of {all} shown")
}

pub(super) fn and_more(more: usize) -> String {
    format!("and {more} more")
}
