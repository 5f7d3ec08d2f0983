//! Which page or answer a request gets. Refuses to make any of them.

use super::{Answer, Asked, Method, Workshop, keep, pages, photo};

/// What a request is answered. It may read files, judge and write: for a thread that may wait.
#[must_use]
pub fn answer(workshop: &Workshop, asked: &Asked) -> Answer {
    let steps: Vec<&str> = asked.path.iter().map(String::as_str).collect();
    match (asked.method, steps.as_slice()) {
        (Method::Get, []) => pages::builds(workshop, asked, None),
        (Method::Post, ["new"]) => pages::begin(workshop, asked),
        (Method::Get, ["file", name]) => pages::file(name),
        (Method::Get, ["build" | "part", _, ..]) => keep::page(workshop, asked),
        (Method::Post, ["grade"]) => keep::grade(workshop, asked),
        (Method::Get, ["photo", _, ..]) => photo::show(workshop, asked),
        (Method::Post, ["photo"]) => photo::keep_photo(workshop, asked),
        (Method::Post, ["keep"]) => keep::keep(workshop, asked),
        _ => pages::lost(workshop, pages::words::NO_SUCH_PAGE),
    }
}
