//! Every sentence about a change that was not made.

use super::Why;

/// What is said of a reason.
pub(super) fn why(why: &Why) -> String {
    match why {
        Why::Unreadable(said) => format!("the record cannot be read as it stands, so nothing was changed: {said}"),
        Why::Alias => "the value is taken from elsewhere in the file with `*`; write it out there by hand".into(),
        Why::Anchor => "the value has a mark `&` by which others repeat it; change it by hand".into(),
        Why::Tag => "the value has a tag `!`; take the tag away by hand".into(),
        Why::Unusual => "this is written in a way that is not changed here, such as `? key`; change it by hand".into(),
        Why::ThroughText => "a value stands here where others would have to stand below it".into(),
        Why::ThroughList => "several values stand here where keys would have to stand".into(),
        Why::NotAList => "keys stand here where a list would have to stand".into(),
        Why::NotThere => "there is nothing here to change".into(),
        Why::NoPath => "it was not said which value is to be changed".into(),
        Why::TooDeep => "the value is nested too deep".into(),
        Why::NotSafe(None) => {
            "written here, the value or another one would read differently, so nothing was changed".into()
        }
        Why::NotSafe(Some(said)) => format!("written here, it would not read as meant, so nothing was changed: {said}"),
    }
}
