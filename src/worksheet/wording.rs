//! Every sentence about a value that was not written.

pub(super) const NO_PLACE: &str = "there is no such reading in this record any more";
pub(super) const CONTROL: &str = "this has a character in it that cannot be printed: type it again";
pub(super) const UNUSUAL: &str = "this reading is written in a form that is not changed here: change it in the file";

pub(super) fn changed(theirs: &str) -> String {
    if theirs.is_empty() {
        "somebody removed this value in the meantime".into()
    } else {
        format!("somebody wrote {theirs} here in the meantime")
    }
}

pub(super) fn too_long(most: usize) -> String {
    format!("this is longer than {most} characters")
}

pub(super) fn concession_lacks(name: &str) -> &'static str {
    match name {
        "row" => "say which row is let through",
        "because" => "say why it is let through",
        _ => "say who signs",
    }
}
