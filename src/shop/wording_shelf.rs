//! The sentences of the module `shop` about its shelf and the parts of builds.

use super::shelf::ShelfPart;
use crate::bind::PartState;
use crate::finding::{Code, Finding, did_you_mean, list, nearest};
use crate::text::Place;
use std::path::Path;

pub(super) fn shelf_missing(path: &Path, named: Place) -> Finding {
    let path = path.to_string_lossy().replace('\\', "/");
    Finding::new(Code::PathMissing, format!("the shelf {path} does not exist"))
        .at(named, "named here")
        .help("make the folder, or correct `shelf` in the settings")
}

pub(super) fn not_a_part(place: Place) -> Finding {
    Finding::new(Code::PartUnknown, "a file on the shelf is about a loose part, and this one is not")
        .at(place, "no `part` here")
        .help("add `part: NAME`, or move the file to the builds")
}

pub(super) fn tag_twice(part: &ShelfPart, known: &ShelfPart) -> Finding {
    Finding::new(Code::TagTwice, format!("two parts have the tag {}; this one is left out", part.tag))
        .at(part.place(), "second part")
        .since(known.place(), "first part")
        .help("give one of them another tag, on the part and in its record")
}

/// A tag of a build that no part has.
pub(super) fn tag_unknown<'a>(tag: &str, tags: Option<impl Iterator<Item = &'a str>>, place: Place) -> Finding {
    match tags {
        None => Finding::new(Code::TagUnknown, format!("there is no shelf to take {tag} from"))
            .at(place, "no shelf")
            .help("name the folder of the loose parts in trochoid.yaml, such as `shelf: shelf/`"),
        Some(tags) => Finding::new(Code::TagUnknown, format!("no part on the shelf has the tag {tag}"))
            .at(place, "unknown tag")
            .maybe_help(did_you_mean(nearest(tag, tags))),
    }
}

pub(super) fn place_unknown(path: &str, known: &[String], place: Place) -> Finding {
    let help = did_you_mean(nearest(path, known.iter().map(String::as_str)));
    let help =
        help.or_else(|| (known.len() <= 12).then(|| format!("write {}", list(known.iter().map(String::as_str), "or"))));
    Finding::new(Code::KeyUnknown, format!("the machine has no place for a part called `{path}`"))
        .at(place, "unknown place")
        .maybe_help(help)
}

pub(super) fn parts_shape(place: Place) -> Finding {
    Finding::new(Code::ShapeWrong, "`parts` of a build is a map of places and tags, and this is not one")
        .at(place, "no map here")
        .help("write a line for each part, as in `PLACE: TAG`, or all of them in braces")
}

pub(super) fn other_kind(part: &ShelfPart, (is, wanted): (&str, &str), place: Place) -> Finding {
    Finding::new(Code::PartKind, format!("{} is a {is}, and this is the place of a {wanted}", part.tag))
        .at(place, "another kind")
        .since(part.place(), "the part")
        .help(format!("write the tag of a {wanted}"))
}

pub(super) fn other_generation(part: &ShelfPart, (is, wanted): (&str, &str), place: Place) -> Finding {
    let mut finding = Finding::new(Code::PartKind, format!("{} is of {is}, and the build of {wanted}", part.tag))
        .at(place, "another generation");
    if let Some(span) = part.part.generation_span {
        finding = finding.since(part.record.source.place(span), "stated here");
    }
    finding.help("take another part, or correct the generation that is wrong")
}

/// A part that this build may not have.
pub(super) fn not_free(part: &ShelfPart, place: Place) -> Finding {
    let (code, message, label) = match &part.part.state {
        PartState::Scrapped { because, .. } => {
            let because = because.as_ref().map(|because| format!(": {because}")).unwrap_or_default();
            (Code::PartScrapped, format!("{} is scrapped{because}", part.tag), "scrapped")
        }
        PartState::Fitted(build) => (Code::PartTaken, format!("{} is fitted in {build}", part.tag), "fitted elsewhere"),
        PartState::Reserved(build) => {
            (Code::PartTaken, format!("{} is reserved for {build}", part.tag), "reserved elsewhere")
        }
        PartState::InStock => (Code::PartTaken, format!("{} is in stock", part.tag), "in stock"),
    };
    let mut finding = Finding::new(code, message).at(place, "taken here");
    if let Some(span) = part.part.state_span {
        finding = finding.since(part.record.source.place(span), label);
    }
    finding.help("take another part, or correct the state of this one")
}

/// One part in two places of one build.
pub(super) fn taken_twice(tag: &str, place: Place, first: Place) -> Finding {
    Finding::new(Code::PartTaken, format!("{tag} is in two places of this build"))
        .at(place, "taken again")
        .since(first, "taken here")
        .help("write the tag of the part that is really there")
}

/// One part in two builds that are not finished.
#[must_use]
pub fn in_two_builds(tag: &str, (build, place): (&str, Place), (other, first): (&str, Place)) -> Finding {
    Finding::new(Code::PartTaken, format!("{tag} is in two builds that are not finished: {other} and {build}"))
        .at(place, "taken again")
        .since(first, "taken here")
        .help("take another part for one of them; a build that is finished needs its `finished` day")
}

/// A reading of a part that the build has again, and differently.
pub(super) fn measured_again(
    tag: &str,
    about: &str,
    (now, now_at): (&str, Place),
    (before, before_at): (&str, Place),
) -> Finding {
    Finding::new(Code::MeasuredAgain, format!("{about} is {now}; it was {before} when {tag} was measured"))
        .at(now_at, "counts")
        .since(before_at, "measured before")
        .help("if the part has not changed, measure it once more: one of the two is wrong")
}
