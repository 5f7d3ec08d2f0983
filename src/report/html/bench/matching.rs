//! What goes together, at the bench: what may be chosen, the sets, and why other parts are left. Refuses to choose any.

use super::address;
use super::frame::{BenchFrame, BenchShop, Here};
use super::lines::{BuildLine, PartLine, grade};
use super::rework::planned;
use super::shelf::kind_words;
use super::{builds, words};
use crate::report::html::frame::said;
use crate::report::html::sheet;
use crate::report::html::words::capital;
use crate::report::{matching, wording_match};
use crate::shop::{MatchSet, Matched};
use maud::{Markup, html};

/// What was asked.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct MatchAsked {
    /// The generation; empty if nothing was asked yet.
    pub generation: String,
    /// The kinds of parts; empty for all.
    pub only: Vec<String>,
    /// What is said about the machine, as `reading=value`.
    pub given: Vec<String>,
    /// The record of the build to complete; empty for a new one.
    pub build: String,
    /// Tags of parts that must be in the set, as they were typed.
    pub with: String,
    /// Tags of parts that must not be in it, as they were typed.
    pub without: String,
    /// How many builds at once, or `all` for as many as there can be; empty for one.
    pub machines: String,
    /// Whether sets that lack a reading are left out.
    pub complete: bool,
}

impl MatchAsked {
    /// The address that asks the same.
    fn address(&self) -> String {
        let several = |name: &'static str, values: &'_ [String]| -> Vec<(&'static str, String)> {
            values.iter().map(|value| (name, value.clone())).collect()
        };
        let mut query = several("only", &self.only);
        query.extend(several("given", &self.given));
        let single = [
            ("generation", &self.generation),
            ("build", &self.build),
            ("with", &self.with),
            ("without", &self.without),
            ("machines", &self.machines),
        ];
        query.extend(
            single.into_iter().filter(|(_, value)| !value.is_empty()).map(|(name, value)| (name, value.clone())),
        );
        if self.complete {
            query.push(("complete", "yes".to_owned()));
        }
        let query: Vec<(&str, &str)> = query.iter().map(|(name, value)| (*name, value.as_str())).collect();
        address::with_query("/match", &query)
    }
}

/// What came of it.
#[derive(Clone, Debug)]
pub enum MatchAnswer {
    /// Nothing was asked yet.
    None,
    /// Why nothing can be said.
    Refused(String),
    /// What was found, and how many parts are left of which nothing is said.
    Found(Box<Matched>, usize),
}

/// Everything on the page.
#[derive(Clone, Copy, Debug)]
pub struct Match<'a> {
    /// The shop.
    pub shop: BenchShop<'a>,
    /// What was asked.
    pub asked: &'a MatchAsked,
    /// The generations with their descriptions.
    pub generations: &'a [(String, String)],
    /// The kinds of parts on the shelf.
    pub kinds: &'a [String],
    /// What rows depend on: a reading of the machine and what it may be.
    pub given: &'a [(String, Vec<String>)],
    /// The builds that may be completed.
    pub builds: &'a [&'a BuildLine],
    /// The loose parts, to link to.
    pub parts: &'a [&'a PartLine],
    /// What came of it.
    pub answer: &'a MatchAnswer,
    /// Why the record of a set was not written, if it was to be.
    pub not_written: Option<&'a str>,
    /// What to mind.
    pub cautions: &'a [Box<str>],
}

/// The page, ended by a line end.
#[must_use]
pub fn write(page: &Match<'_>) -> String {
    let frame = BenchFrame { shop: page.shop, title: words::MATCH, here: Some(Here::Shelf), script: None };
    frame.page(&html! {
        h1 { (words::MATCH) }
        @if let Some(why) = page.not_written { p class="refused" role="alert" { (said(why)) } }
        @match page.answer {
            MatchAnswer::None => { p { (words::MATCH_HOW) } },
            MatchAnswer::Refused(why) => { p class="refused" role="alert" { (said(why)) } },
            MatchAnswer::Found(matched, more) => { (found(page, matched, *more)) },
        }
        (form(page))
        (sheet::cautions(page.cautions))
    })
}

fn form(page: &Match<'_>) -> Markup {
    let asked = page.asked;
    html! {
        section aria-labelledby="ask" {
            h2 id="ask" { (words::MATCH_ASK) }
            form action="/match" method="get" class="ask" {
                (builds::generations("generation", page.generations, &asked.generation, None))
                fieldset {
                    legend { (words::MATCH_ONLY) }
                    p class="small" { (words::MATCH_ONLY_HOW) }
                    @for kind in page.kinds {
                        label class="choice" {
                            input type="checkbox" name="only" value=(kind) checked[asked.only.contains(kind)];
                            " " (said(&capital(&kind_words(kind))))
                        }
                    }
                }
                (builds::given(page.given, &asked.given, words::NOT_SAID))
                p class="field" {
                    label for="build" { (words::MATCH_BUILD) }
                    select id="build" name="build" {
                        option value="" { (words::A_NEW_BUILD) }
                        @for one in page.builds {
                            option value=(one.record) selected[one.record == asked.build] { (said(&one.build)) }
                        }
                    }
                }
                p class="field" {
                    label for="machines" { (words::MATCH_MACHINES) }
                    select id="machines" name="machines" {
                        @for (value, text) in words::MACHINES { option value=(value) selected[value == asked.machines] { (text) } }
                    }
                }
                (tags("with", words::MATCH_WITH, &asked.with))
                (tags("without", words::MATCH_WITHOUT, &asked.without))
                label class="choice" { input type="checkbox" name="complete" value="yes" checked[asked.complete]; " " (words::MATCH_COMPLETE) }
                p { button class="first" { (words::MATCH_BUTTON) } }
            }
        }
    }
}

/// Tags to type, with the shelf's own to choose from.
fn tags(name: &str, label: &str, typed: &str) -> Markup {
    html! {
        p class="field" {
            label for=(name) { (label) }
            input id=(name) name=(name) value=(typed) maxlength="500" placeholder=(words::TAGS_EXAMPLE) autocomplete="off" autocapitalize="characters" spellcheck="false";
        }
    }
}

fn found(page: &Match<'_>, matched: &Matched, more: usize) -> Markup {
    let from = if matched.looked_at.is_empty() { words::NOTHING.to_owned() } else { matched.looked_at.join(", ") };
    let nothing = if matched.proved { matching::NOTHING_GOES } else { matching::NOTHING_YET };
    html! {
        p role="status" {
            b { (said(&matched.generation)) } " " (words::FROM) " " (said(&from)) ". "
            @if matched.sets.is_empty() { b { (capital(nothing)) "." } " " }
            (said(&capital(&matching::last(matched)))) "."
        }
        @for (number, one) in matched.sets.iter().enumerate() {
            @let heading = match (matched.machines, matched.sets.len() > 1) {
                (true, _) => words::machine(number + 1),
                (false, true) => words::set(number + 1),
                (false, false) => words::THE_SET.to_owned(),
            };
            (set(page, &format!("set-{number}"), &heading, one, true))
        }
        @if matched.sets.is_empty() {
            @if !matched.alone.is_empty() || matched.conflict.is_some() {
                section aria-labelledby="why" {
                    h2 id="why" { (words::WHY_NOTHING) }
                    ul {
                        @for (place, pass, all) in &matched.alone { li { (said(&words::pass_alone(place, *pass, *all))) } }
                        @if let Some(conflict) = &matched.conflict {
                            @for line in wording_match::conflict(conflict) { li { (said(&line)) } }
                        }
                    }
                }
            }
            @if let Some(nearest) = &matched.nearest { (set(page, "nearest", &capital(matching::NEAREST), nearest, false)) }
            @if let Some(rework) = &matched.rework {
                section aria-labelledby="right" { h2 id="right" { (words::REWORK) } (planned(matching::NEAREST, rework, true)) }
            }
        }
        (left("left", words::LEFT, &matched.left, more))
        (left("not-looked-at", words::NOT_LOOKED_AT, &matching::by_reason(&matched.left_out), 0))
        @if !matched.unread.is_empty() { p class="refused" { (words::UNREAD) " " (said(&matched.unread.join(", "))) } }
        @if !matched.findings.is_empty() { ul class="findings" { @for one in &matched.findings { (sheet::finding(one)) } } }
    }
}

fn set(page: &Match<'_>, id: &str, heading: &str, one: &MatchSet, may_be_taken: bool) -> Markup {
    let [place, part] = words::SET_COLUMNS;
    html! {
        section aria-labelledby=(id) class="set" {
            h2 id=(id) {
                (heading) " "
                span class="grade" { @if one.needs.is_empty() { (grade(Some(one.grade))) } @else { span class="word" { (words::OPEN) } } }
            }
            table class="plain lines" {
                caption class="unseen" { (heading) }
                thead { tr { th scope="col" { (place) } th scope="col" { (part) } } }
                tbody {
                    @for (at, tag) in &one.parts {
                        tr {
                            th scope="row" { span class="to" { (said(&kind_words(at))) } }
                            td {
                                @match page.parts.iter().find(|part| part.tag == *tag) {
                                    Some(line) => { a class="to" href=(address::part(&line.record, tag)) { bdi { (said(tag)) } } },
                                    None => { bdi { (said(tag)) } },
                                }
                            }
                        }
                    }
                }
            }
            p { (matching::rows_of(one)) }
            @if !one.needs.is_empty() { p { b { (words::NEEDS) } " " (said(&one.needs.join(", "))) } }
            @if !one.not_good.is_empty() { ul { @for line in &one.not_good { li { (said(line)) } } } }
            @if !one.tight.is_empty() {
                p { b { (words::LEAST_ROOM) } }
                ul {
                    @for tight in &one.tight {
                        li { (said(&format!("{} {}, {} % inside {}", tight.path, tight.value, matching::tenths(tight.permille), tight.range))) }
                    }
                }
            }
            @if may_be_taken && !page.shop.read_only { (take(page, id, one)) }
        }
    }
}

/// The form that writes the record of a build with these parts.
fn take(page: &Match<'_>, id: &str, one: &MatchSet) -> Markup {
    let completes = page.builds.iter().find(|build| build.record == page.asked.build);
    html! {
        form action=(page.asked.address()) method="post" class="line take" {
            @for (at, tag) in &one.parts { input type="hidden" name="part" value=(format!("{at}={tag}")); }
            @match completes {
                Some(build) => { p { button { (words::take_into(&build.build)) } } },
                None => {
                    @let id = format!("{id}-name");
                    label for=(id) { (words::TAKE_AS) }
                    span class="fields" {
                        input id=(id) name="name" required maxlength="100" autocomplete="off" autocapitalize="characters" spellcheck="false";
                        button { (words::TAKE) }
                    }
                },
            }
        }
    }
}

/// Parts that were not taken, each with why.
fn left(id: &str, heading: &str, parts: &[(String, String)], more: usize) -> Markup {
    html! {
        @if !parts.is_empty() {
            section aria-labelledby=(id) {
                h2 id=(id) { (heading) }
                dl class="out" {
                    @for (tag, because) in parts { dt { b { bdi { (said(tag)) } } } dd { (said(because)) } }
                    @if more > 0 { dt { (words::and_more(more)) } dd { (words::MORE_LEFT) } }
                }
            }
        }
    }
}
