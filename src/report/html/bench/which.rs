//! Which engine it is, at the bench: one question at a time, what was answered so far, what each answer ruled out. Refuses to weigh
//! anything.

use super::address;
use super::frame::{BenchFrame, BenchShop, Here};
use super::words;
use crate::book::{Book, Characteristic, Id, Kind};
use crate::identify::{Candidate, Identification, how_to_answer};
use crate::report::html::frame::said;
use crate::report::html::sheet;
use crate::report::identify::{by_telltale, speaks_against, values_known};
use maud::{Markup, html};

/// What is answered when nobody can tell.
pub const CANNOT_TELL: &str = "?";

/// Everything on the page.
#[derive(Clone, Copy, Debug)]
pub struct Which<'a> {
    /// The shop.
    pub shop: BenchShop<'a>,
    /// Its books.
    pub book: &'a Book,
    /// What is known by now.
    pub found: &'a Identification,
    /// What was answered, in order: a path and a value, as they stand in the address.
    pub answers: &'a [(String, String)],
    /// The characteristic to ask for; `None` if nothing more would tell.
    pub next: Option<Id<Characteristic>>,
    /// Why it is asked.
    pub because: Option<&'a str>,
    /// An answer that could not be read, and why.
    pub refused: Option<(&'a str, &'a str)>,
}

/// The page, ended by a line end.
#[must_use]
pub fn write(page: &Which<'_>) -> String {
    let frame = BenchFrame { shop: page.shop, title: words::WHICH, here: Some(Here::Which), script: None };
    let left = page.found.left();
    frame.page(&html! {
        h1 { (words::WHICH) }
        @if let Some(id) = page.next.filter(|_| !left.is_empty()) { (question(page, id)) } @else { (end(page)) }
        @if !page.answers.is_empty() { (answers(page)) }
        (candidates(page))
        (sheet::cautions(&page.book.cautions))
    })
}

fn question(page: &Which<'_>, id: Id<Characteristic>) -> Markup {
    let path = page.book.path(id, &[], None);
    let characteristic = page.book.characteristics.get(id);
    let names: Vec<&str> = match characteristic.kind {
        Kind::Names(set) => page.book.sets.get(set).names.iter().map(|name| &**name).collect(),
        Kind::YesNo => vec!["yes", "no"],
        Kind::Quantity(_) | Kind::Text => Vec::new(),
    };
    let words = path.replace(['.', '_'], " ");
    html! {
        form action="/which" method="get" class="ask" {
            @for (path, value) in page.answers { input type="hidden" name=(path) value=(value); }
            @if let Some((_, why)) = page.refused { p class="refused" role="alert" id="refused" { (said(why)) } }
            @if names.is_empty() {
                p class="field" {
                    label for="answer" { (said(&crate::report::html::words::capital(&words))) "?" }
                    input id="answer" name=(path) value=(page.refused.map_or("", |(typed, _)| typed)) maxlength="100" autocomplete="off"
                        spellcheck="false" aria-describedby="how";
                }
                p class="small" id="how" { (said(&how_to_answer(page.book, id))) }
            } @else {
                fieldset {
                    legend { (said(&crate::report::html::words::capital(&words))) "?" }
                    @for name in names {
                        label class="choice" { input type="radio" name=(path) value=(name); " " (said(&name.replace('_', " "))) }
                    }
                }
            }
            @if let Some(because) = page.because { p { (said(because)) } }
            @if let Some(measure) = &characteristic.texts.measure { p class="small" { (said(measure)) } }
            p class="fields" {
                button class="first" { (words::NEXT) }
                button name=(path) value=(CANNOT_TELL) { (words::CANNOT_TELL) }
            }
        }
    }
}

/// What it comes to.
fn end(page: &Which<'_>) -> Markup {
    let left = page.found.left();
    let known = values_known(page.book, page.found);
    html! {
        div class=(if left.len() == 1 { "verdict passes" } else { "verdict fails" }) role="status" {
            p { strong { (words::which_end(left.len())) } }
            @if left.is_empty() {
                @let nearest: Vec<&str> = page.found.nearest().iter().map(|one| &*page.book.generations.get(one.generation).name).collect();
                p { (said(&words::look_again(&nearest))) }
            }
        }
        @for id in left {
            @let generation = page.book.generations.get(id);
            section class="found" {
                h2 { bdi { (said(&generation.name)) } }
                p { (said(&generation.description)) }
                p class="fields" {
                    @if !page.shop.read_only {
                        a class="step" href=(format!("{}#new-build", address::with_query("/", &[("new", &generation.name)]))) {
                            (words::NEW_BUILD) span class="unseen" { " " (said(&generation.name)) }
                        }
                    }
                    a class="step" href=(address::rules(&generation.name)) { (words::SEE_RULES) span class="unseen" { " " (said(&generation.name)) } }
                }
            }
        }
        @if !known.is_empty() { ul { @for line in known.lines() { li { (said(line.trim())) } } } }
    }
}

/// What was answered, and what each answer ruled out.
fn answers(page: &Which<'_>) -> Markup {
    html! {
        section aria-labelledby="answered" {
            h2 id="answered" { (words::ANSWERED) }
            ol class="answers" {
                @for (number, (path, value)) in page.answers.iter().enumerate() {
                    @let rest: Vec<(&str, &str)> = page.answers.iter().enumerate().filter(|(other, _)| *other != number)
                        .map(|(_, (path, value))| (path.as_str(), value.as_str())).collect();
                    @let out = ruled_out_by(page, path);
                    li {
                        p {
                            b { (said(&path.replace(['.', '_'], " "))) ": "
                                @if value == CANNOT_TELL { (words::COULD_NOT_TELL) } @else { (said(&value.replace('_', " "))) } }
                        }
                        @if value != CANNOT_TELL {
                            p class="small" { @if out.is_empty() { (words::RULES_OUT_NOTHING) } @else { (words::RULES_OUT) " " (said(&out.join(", "))) } }
                        }
                        p { a class="step" href=(address::with_query("/which", &rest)) {
                            (words::TAKE_BACK) span class="unseen" { " " (said(&path.replace(['.', '_'], " "))) }
                        } }
                    }
                }
            }
            p { a class="step" href="/which" { (words::FROM_THE_BEGINNING) } }
        }
    }
}

/// The generations that an answer speaks against.
fn ruled_out_by<'a>(page: &Which<'a>, path: &str) -> Vec<&'a str> {
    let against = |candidate: &&Candidate| {
        let mut seen = candidate.against.iter().filter_map(|against| page.found.seen.get(against.seen));
        seen.any(|seen| seen.path == path)
    };
    let names = page.found.candidates.iter().filter(against);
    names.map(|candidate| &*page.book.generations.get(candidate.generation).name).collect()
}

/// Every generation: those that fit, then those ruled out with the reasons.
fn candidates(page: &Which<'_>) -> Markup {
    let (fits, out): (Vec<&Candidate>, Vec<&Candidate>) = page.found.candidates.iter().partition(|one| one.fits());
    let of = |candidate: &Candidate| page.book.generations.get(candidate.generation);
    html! {
        @if page.next.is_some() && !fits.is_empty() {
            section aria-labelledby="fits" {
                h2 id="fits" { (words::STILL_FIT) " " span class="small" { (fits.len()) } }
                ul { @for one in fits { li { b { (said(&of(one).name)) } ": " (said(&of(one).description)) } } }
            }
        }
        @if !out.is_empty() {
            section aria-labelledby="out" {
                h2 id="out" { (words::RULED_OUT) " " span class="small" { (out.len()) } }
                dl class="out" {
                    @for one in out {
                        dt { b { (said(&of(one).name)) } ": " (said(&of(one).description)) }
                        @for (telltale, against) in by_telltale(one) {
                            dd { (said(&speaks_against(page.book, page.found, telltale, &against))) }
                        }
                    }
                }
            }
        }
    }
}
