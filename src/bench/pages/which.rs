//! Which engine it is, from the answers in the address. Refuses to remember any: going back is the browser's.

use super::{about, words};
use crate::bench::{Answer, Asked, Workshop};
use crate::book::{Characteristic, Id};
use crate::identify::{Seen, characteristic, feature, identify};
use crate::report::html::bench::{self, CANNOT_TELL, Which};

/// Answers that are looked at. Common practice: no books ask for as many.
const MOST_ANSWERS: usize = 200;
/// Characters of one answer.
const MOST_CHARACTERS: usize = 200;

/// The page.
pub(in crate::bench) fn which(workshop: &Workshop, asked: &Asked) -> Answer {
    let shop = workshop.shop();
    if !shop.is_sound() {
        return super::builds(workshop, asked, None);
    }
    let book = &shop.book;
    let mut answers: Vec<(String, String)> = Vec::new();
    for (path, value) in asked.query.iter().take(MOST_ANSWERS) {
        let value: String = value.trim().chars().take(MOST_CHARACTERS).collect();
        if value.is_empty() {
            continue;
        }
        // Of two the last counts: the button pressed stands behind what was typed.
        answers.retain(|(other, _)| other != path);
        answers.push((path.clone(), value));
    }
    let (mut seen, mut passed): (Vec<Seen>, Vec<Id<Characteristic>>) = (Vec::new(), Vec::new());
    let mut refused: Option<(String, String)> = None;
    answers.retain(|(path, value)| {
        if value == CANNOT_TELL {
            let known = characteristic(book, path).ok();
            passed.extend(known);
            return known.is_some();
        }
        match feature(book, path, value) {
            Ok(more) => {
                seen.extend(more);
                true
            }
            Err(trouble) => {
                refused = Some((value.clone(), words::no_feature(path, &trouble)));
                false
            }
        }
    });
    let found = identify(book, seen, None, &passed);
    // Once the generation is settled, what its readings have that tell no generation.
    let of_value = found.value_questions.first().filter(|_| found.questions.is_empty());
    let question = found.questions.first();
    let next = question.map(|next| next.characteristic).or_else(|| of_value.map(|next| next.characteristic));
    let why = question.and_then(|question| question.telltale.texts.because.as_deref());
    let because = why.or_else(|| next.and_then(|id| book.characteristics.get(id).texts.because.as_deref()));
    let page = Which {
        shop: about(workshop, &shop),
        book,
        found: &found,
        answers: &answers,
        next,
        because,
        refused: refused.as_ref().map(|(typed, why)| (typed.as_str(), why.as_str())),
    };
    Answer::page(bench::which(&page))
}
