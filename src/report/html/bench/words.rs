//! Every sentence on the pages at the bench that is not a text of a record or a book. Refuses to know when it is shown.

pub(super) const BUILDS: &str = "Builds";
pub(super) const SHELF: &str = "Shelf";
pub(super) const WHICH: &str = "Which generation";
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
pub(super) const TO_MIND: &str = "what to mind";
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

// The gauges.
pub(super) const GAUGE_COLUMNS: [&str; 6] =
    ["gauge", "due", "uncertainty, k = 2", "resolution", "calibrated", "readings"];
pub(super) const NO_GAUGES: &str = "The shop has no list of gauges. Write one in gauges.yaml, beside trochoid.yaml.";
pub(super) const NOT_STATED: &str = "not stated";
pub(super) const OTHER_GAUGES: &str = "Not on the list";
pub(super) const OTHER_GAUGES_HOW: &str = "Readings name these gauges, and the shop's list does not have them.";

pub(super) fn as_of(today: crate::quantity::Date) -> String {
    format!("As of {today}.")
}

pub(super) fn correlated_with(gauges: &[String]) -> String {
    format!("correlated with {}", gauges.join(", "))
}

pub(super) fn overdue(days: i64) -> String {
    if days == 1 { "overdue by 1 day".to_owned() } else { format!("overdue by {days} days") }
}

pub(super) fn due_in(days: i64) -> String {
    match days {
        0 => "due today".to_owned(),
        1 => "due tomorrow".to_owned(),
        _ => format!("due in {days} days"),
    }
}

// The rules.
pub(super) const RULES_HOW: &str =
    "What each generation may measure, with source and reason. Rules are changed in the rulebooks, not here.";
pub(super) const RULE_LIST_COLUMNS: [&str; 4] = ["generation", "description", "rows", "changed by the shop"];
pub(super) const RULE_COLUMNS: [&str; 5] = ["what", "standard", "limit", "applies", "why, and from where"];
pub(super) const PARTS: &str = "Parts";
pub(super) const OUTER: &str = "outer limit";
pub(super) const WHERE: &str = "where";
pub(super) const ADVISORY: &str = "advisory";
pub(super) const NEVER_EXCUSED: &str = "never excused";
pub(super) const ROUNDED: &str = "rounded to";
pub(super) const REMEDY: &str = "remedy:";
pub(super) const CAUTION: &str = "caution:";
pub(super) const SOURCE: &str = "source:";

pub(super) fn rows_and_own(rows: usize, own: usize) -> String {
    let rows = crate::report::wording::number_of(rows, "row");
    match own {
        0 => format!("{rows}. The shop has changed none of them."),
        1 => format!("{rows}. The shop has changed 1 of them: it has a double line before it."),
        own => format!("{rows}. The shop has changed {own} of them: they have a double line before them."),
    }
}

// Which engine it is.
pub(super) const NEXT: &str = "Next";
pub(super) const CANNOT_TELL: &str = "Cannot tell";
pub(super) const COULD_NOT_TELL: &str = "cannot tell";
pub(super) const ANSWERED: &str = "Your answers";
pub(super) const RULES_OUT: &str = "Rules out";
pub(super) const RULES_OUT_NOTHING: &str = "Rules out nothing.";
pub(super) const TAKE_BACK: &str = "Take back";
pub(super) const FROM_THE_BEGINNING: &str = "Start again";
pub(super) const STILL_FIT: &str = "Still possible";
pub(super) const RULED_OUT: &str = "Ruled out";
pub(super) const SEE_RULES: &str = "See its rules";

pub(super) fn which_end(left: usize) -> &'static str {
    match left {
        0 => "No generation has all of this.",
        1 => "Only one generation is left.",
        _ => "No more questions tell these apart.",
    }
}

pub(super) fn look_again(nearest: &[&str]) -> String {
    let come = if nearest.len() == 1 { "comes" } else { "come" };
    let nearest = crate::finding::list(nearest.iter().copied(), "and");
    format!("{nearest} {come} nearest. Look again at what is listed against it, and take the wrong answer back.")
}

// The shelf.
pub(super) const SHELF_EMPTY: &str =
    "There is no loose part yet. Put the first one on the shelf from the page of the builds.";
pub(super) const KINDS: &str = "Kinds of parts";
pub(super) const ALL_KINDS: &str = "All";
pub(super) const PRINT_LABELS: &str = "Print labels";
pub(super) const PART_COLUMNS: [&str; 5] = ["tag", "grade", "generation", "measured", "what stands out"];

/// The generations a part may be of; many are counted, as the line beside them names them.
pub(super) fn generations(names: &[String]) -> String {
    const MOST_NAMED: usize = 3;
    match names.len() {
        0 => "–".to_owned(),
        many if many > MOST_NAMED => format!("any of {many}"),
        _ => names.join(", "),
    }
}

pub(super) const REWORK: &str = "What would put it right";

// What goes together.
pub(super) const MATCH: &str = "What goes together";
pub(super) const MATCH_HOW: &str = "Choose a generation. Every set that the shelf allows is compared by the rows of the books, and the best are shown.";
pub(super) const MATCH_ASK: &str = "Choose from the shelf";
pub(super) const MATCH_ONLY: &str = "Kinds of parts";
pub(super) const MATCH_ONLY_HOW: &str = "None ticked: all kinds on the shelf.";
pub(super) const NOT_SAID: &str = "Not said: rows that depend on it wait";
pub(super) const MATCH_BUILD: &str = "For";
pub(super) const A_NEW_BUILD: &str = "A new build";
pub(super) const MATCH_MACHINES: &str = "Builds at once";
/// How many builds at once, each with the words for it.
pub(super) const MACHINES: [(&str, &str); 6] = [
    ("", "One: the best sets to choose from"),
    ("2", "2"),
    ("3", "3"),
    ("4", "4"),
    ("5", "5"),
    ("all", "As many as the shelf allows"),
];
pub(super) const MATCH_WITH: &str = "With these parts";
pub(super) const MATCH_WITHOUT: &str = "Without these parts";
pub(super) const TAGS_EXAMPLE: &str = "Tags, with commas between them";
pub(super) const TAKE_AS: &str = "Start a build with these parts, called";
pub(super) const TAKE: &str = "Start it";
pub(super) const MATCH_COMPLETE: &str = "Leave out sets that lack a reading";
pub(super) const MATCH_BUTTON: &str = "Find the best sets";
pub(super) const NOTHING: &str = "nothing";
pub(super) const FROM: &str = "from";
pub(super) const THE_SET: &str = "The best set";
pub(super) const SET_COLUMNS: [&str; 2] = ["place", "part"];
pub(super) const OPEN: &str = "open";
pub(super) const NEEDS: &str = "Needs";
pub(super) const LEAST_ROOM: &str = "Least room";
pub(super) const WHY_NOTHING: &str = "Why nothing goes together";
pub(super) const LEFT: &str = "Left on the shelf";
pub(super) const NOT_LOOKED_AT: &str = "Not looked at";
pub(super) const MORE_LEFT: &str = "To see why one of them is left, choose fewer kinds of parts.";
pub(super) const UNREAD: &str = "Part of the shelf could not be read, so this may be incomplete:";

pub(super) fn set(number: usize) -> String {
    format!("Set {number}")
}

pub(super) fn machine(number: usize) -> String {
    format!("Build {number}")
}

pub(super) fn take_into(build: &str) -> String {
    format!("Write these parts into {build}")
}

pub(super) fn pass_alone(place: &str, pass: usize, all: usize) -> String {
    format!("{place}: {pass} of {all} pass alone")
}

// What would put a record right.
pub(super) const BACK_TO: &str = "Back to";
pub(super) const PLAN: &str = "Plan";
pub(super) const AFTER: &str = "After it:";
pub(super) const AFTER_THE_PLAN: &str = "After the plan:";
pub(super) const FROM_THE_SHELF: &str = "From the shelf:";
pub(super) const ORDER: &str = "Order:";
pub(super) const DEPENDS: &str = "Depends on the machine:";
