//! Which page or answer a request gets. Refuses to make any of them.

use super::{Answer, Asked, Method, Workshop, keep, pages, photo};

/// What a request is answered. It may read files, judge and write: for a thread that may wait.
#[must_use]
pub fn answer(workshop: &Workshop, asked: &Asked) -> Answer {
    let steps: Vec<&str> = asked.path.iter().map(String::as_str).collect();
    match (asked.method, steps.as_slice()) {
        (Method::Get, []) => pages::builds(workshop, asked, None),
        (Method::Post, ["new"]) => pages::begin(workshop, asked),
        (Method::Get, ["shelf"]) => pages::shelf(workshop, asked),
        (Method::Get, ["labels"]) => pages::labels(workshop, asked, None, false),
        (Method::Get, ["labels-style"]) => pages::labels(workshop, asked, None, true),
        (Method::Get, ["labels", record @ ..]) => pages::labels(workshop, asked, Some(&record.join("/")), false),
        (Method::Get, ["labels-style", record @ ..]) => pages::labels(workshop, asked, Some(&record.join("/")), true),
        (Method::Get, ["match"]) => pages::matching(workshop, asked),
        (Method::Post, ["match"]) => pages::take(workshop, asked),
        (Method::Get, ["rework", record @ ..]) => pages::rework(workshop, &record.join("/"), asked.value("tag")),
        (Method::Get, ["sheet", record @ ..]) => pages::sheet(workshop, &record.join("/"), false),
        (Method::Get, ["sheet-style", record @ ..]) => pages::sheet(workshop, &record.join("/"), true),
        (Method::Get, ["which"]) => pages::which(workshop, asked),
        (Method::Get, ["rules"]) => pages::rule_list(workshop),
        (Method::Get, ["rules", generation]) => pages::rules(workshop, generation),
        (Method::Get, ["gauges"]) => pages::gauges(workshop),
        (Method::Get, ["file", name]) => pages::file(name),
        (Method::Get, ["build" | "part", _, ..]) => keep::page(workshop, asked),
        (Method::Post, ["grade"]) => keep::grade(workshop, asked),
        (Method::Get, ["photo", _, ..]) => photo::show(workshop, asked),
        (Method::Post, ["photo"]) => photo::keep_photo(workshop, asked),
        (Method::Post, ["keep"]) => keep::keep(workshop, asked),
        _ => pages::lost(workshop, pages::words::NO_SUCH_PAGE),
    }
}
