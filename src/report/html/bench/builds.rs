//! The first page at the bench: the builds that may not leave first, then those being measured, then those that may; and a new
//! build or part to begin. Refuses to judge.

use super::address;
use super::frame::{BenchFrame, BenchShop, Here};
use super::lines::{BuildLine, Standing, grade, wrong};
use super::words;
use crate::finding::Finding;
use crate::report::html::frame::said;
use crate::report::html::sheet;
use crate::report::html::words::capital;
use maud::{Markup, html};

/// What was typed into one of the forms that begin a record, and why nothing came of it.
#[derive(Clone, Debug, Default)]
pub struct Begun {
    /// Which form it was: `build` or `part`.
    pub what: String,
    /// The name of the build, or the tag.
    pub name: String,
    /// The generation.
    pub generation: String,
    /// The serial number.
    pub serial: String,
    /// The kind of part.
    pub part: String,
    /// What is said about the machine, as `reading=value`.
    pub given: Vec<String>,
    /// What is wrong; empty if the form was only opened.
    pub said: String,
}

/// Everything on the page.
#[derive(Clone, Copy, Debug)]
pub struct Builds<'a> {
    /// The shop.
    pub shop: BenchShop<'a>,
    /// What is looked for; empty if nothing is.
    pub find: &'a str,
    /// The builds that are shown, in their order.
    pub builds: &'a [&'a BuildLine],
    /// How many there are in all.
    pub all: usize,
    /// The generations with their descriptions.
    pub generations: &'a [(String, String)],
    /// What rows depend on: a reading of the machine and what it may be.
    pub given: &'a [(String, Vec<String>)],
    /// The kinds of parts, as a record names them.
    pub parts: &'a [String],
    /// What was typed, if a form came back.
    pub begun: Option<&'a Begun>,
    /// What is wrong outside the records.
    pub troubles: &'a [Finding],
    /// What to mind.
    pub cautions: &'a [Box<str>],
}

/// The page, ended by a line end.
#[must_use]
pub fn write(page: &Builds<'_>) -> String {
    let frame = BenchFrame { shop: page.shop, title: words::BUILDS, here: Some(Here::Builds), script: None };
    let refused = page.begun.filter(|begun| !begun.said.is_empty());
    frame.page(&html! {
        h1 { (words::BUILDS) }
        @if let Some(begun) = refused { p class="refused" role="alert" { (said(&begun.said)) } }
        @if !page.troubles.is_empty() {
            section aria-labelledby="troubles" {
                h2 id="troubles" { (words::TROUBLES) }
                ul class="findings" { @for one in page.troubles { (sheet::finding(one)) } }
            }
        }
        div class="begin" {
            (find(page))
            @if !page.shop.read_only {
                (new_build(page))
                (new_part(page))
            }
        }
        @if page.all == 0 { p { (words::NO_BUILDS) } }
        @else if page.builds.is_empty() { p { (words::NOTHING_SAYS) } }
        @for (standing, heading, id) in GROUPS {
            @let own: Vec<&BuildLine> = page.builds.iter().filter(|one| one.standing == standing).copied().collect();
            @if !own.is_empty() { (group(standing, heading, id, &own)) }
        }
        (sheet::cautions(page.cautions))
    })
}

const GROUPS: [(Standing, &str, &str); 3] = [
    (Standing::Held, words::HELD, "held"),
    (Standing::Started, words::STARTED, "started"),
    (Standing::Passes, words::PASS, "pass"),
];

fn find(page: &Builds<'_>) -> Markup {
    html! {
        form role="search" action="/" method="get" class="line" {
            label for="find" { (words::FIND) }
            span class="fields" {
                input id="find" name="find" type="search" value=(page.find) maxlength="100" autocomplete="off" spellcheck="false";
                button { (words::FIND_BUTTON) }
                @if !page.find.is_empty() { a class="step" href="/" { (words::SHOW_ALL) } }
            }
            @if !page.find.is_empty() { p role="status" { (words::shown(page.builds.len(), page.all)) } }
        }
    }
}

fn group(standing: Standing, heading: &str, id: &str, builds: &[&BuildLine]) -> Markup {
    let [build, grade_of, generation, finished, stands_out] = words::BUILD_COLUMNS;
    let stands_out = if standing == Standing::Passes { words::TO_MIND } else { stands_out };
    let how_far = if standing == Standing::Started { words::HOW_FAR } else { finished };
    html! {
        section aria-labelledby=(id) {
            h2 id=(id) { (heading) " " span class="small" { (builds.len()) } }
            table class="plain builds lines" {
                caption class="unseen" { (heading) }
                thead { tr { @for column in [build, grade_of, generation, how_far, stands_out] { th scope="col" { (column) } } } }
                tbody {
                    @for one in builds {
                        tr class=(if standing == Standing::Held { "build fails" } else { "build" }) data-file=(one.record) {
                            th scope="row" { a class="to" href=(address::build(&one.record)) { bdi { (said(&one.build)) } } }
                            td class="grade" data-column=(grade_of) { (grade(one.grade)) }
                            td data-column=(generation) { (said(one.generation.as_deref().unwrap_or("–"))) }
                            td data-column=(how_far) { (far(standing, one)) }
                            td data-column=(stands_out) { (wrong(one.wrong.as_ref(), one.more)) }
                        }
                    }
                }
            }
        }
    }
}

/// How many readings are taken, while it is being measured; else the day it was finished.
fn far(standing: Standing, one: &BuildLine) -> Markup {
    html! {
        @match (standing, one.taken) {
            (Standing::Started, Some(taken)) => { (words::taken(taken.taken, taken.required)) },
            _ => { (one.finished.map_or_else(|| "–".to_owned(), |day| day.to_string())) },
        }
    }
}

fn new_build(page: &Builds<'_>) -> Markup {
    let begun = page.begun.filter(|begun| begun.what == "build");
    let empty = Begun::default();
    let typed = begun.unwrap_or(&empty);
    html! {
        details id="new-build" open[begun.is_some()] {
            summary { (words::NEW_BUILD) }
            form action="/new" method="post" class="new" {
                input type="hidden" name="what" value="build";
                p class="small" { (words::NEW_BUILD_HOW) }
                (field("new-name", "name", words::NAME, &typed.name, true))
                (generations("new-generation", page.generations, &typed.generation, None))
                (field("new-serial", "serial", words::SERIAL, &typed.serial, false))
                (given(page.given, &typed.given, words::NOBODY_KNOWS))
                button class="first" { (words::BEGIN_BUILD) }
            }
        }
    }
}

fn new_part(page: &Builds<'_>) -> Markup {
    let begun = page.begun.filter(|begun| begun.what == "part");
    let empty = Begun::default();
    let typed = begun.unwrap_or(&empty);
    html! {
        details id="new-part" open[begun.is_some()] {
            summary { (words::NEW_PART) }
            form action="/new" method="post" class="new" {
                input type="hidden" name="what" value="part";
                p class="small" { (words::NEW_PART_HOW) }
                p class="field" {
                    label for="part-kind" { (words::KIND) }
                    select id="part-kind" name="part" required {
                        option value="" { (words::CHOOSE) }
                        @for one in page.parts {
                            option value=(one) selected[*one == typed.part] { (said(&one.replace(['.', '_'], " "))) }
                        }
                    }
                }
                (field("part-tag", "name", words::TAG, &typed.name, true))
                (generations("part-generation", page.generations, &typed.generation, Some(words::NOBODY_KNOWS)))
                button class="first" { (words::BEGIN_PART) }
            }
        }
    }
}

fn field(id: &str, name: &str, label: &str, value: &str, required: bool) -> Markup {
    html! {
        p class="field" {
            label for=(id) { (label) }
            input id=(id) name=(name) value=(value) required[required] maxlength="100" autocomplete="off" autocapitalize="characters" spellcheck="false";
        }
    }
}

/// A choice of what is said about the machine; `open` is the choice of saying nothing.
pub(super) fn given(all: &[(String, Vec<String>)], chosen: &[String], open: &str) -> Markup {
    html! {
        @for (number, (reading, values)) in all.iter().enumerate() {
            @let id = format!("given-{number}");
            p class="field" {
                label for=(id) { (said(&capital(&reading.replace('_', " ")))) }
                select id=(id) name="given" {
                    option value="" { (open) }
                    @for value in values {
                        @let pair = format!("{reading}={value}");
                        option value=(pair) selected[chosen.contains(&pair)] { (said(&value.replace('_', " "))) }
                    }
                }
            }
        }
    }
}

/// A choice of generations; `open` is the choice of none.
pub(super) fn generations(id: &str, all: &[(String, String)], chosen: &str, open: Option<&str>) -> Markup {
    html! {
        p class="field" {
            label for=(id) { (words::GENERATION) }
            select id=(id) name="generation" required[open.is_none()] {
                option value="" { (open.unwrap_or(words::CHOOSE)) }
                @for (name, description) in all {
                    option value=(name) selected[name == chosen] { (said(name)) ": " (said(description)) }
                }
            }
        }
    }
}
