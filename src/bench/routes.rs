//! Which page or answer a request gets. Refuses to make any of them.

use super::{Answer, Asked, Method, Workshop, pages};

/// What a request is answered. It may read files, judge and write: for a thread that may wait.
#[must_use]
pub fn answer(workshop: &Workshop, asked: &Asked) -> Answer {
    let steps: Vec<&str> = asked.path.iter().map(String::as_str).collect();
    match (asked.method, steps.as_slice()) {
        (Method::Get, []) => pages::builds(workshop, asked, None),
        (Method::Post, ["new"]) => pages::begin(workshop, asked),
        (Method::Get, ["which"]) => pages::which(workshop, asked),
        (Method::Get, ["rules"]) => pages::rule_list(workshop),
        (Method::Get, ["rules", generation]) => pages::rules(workshop, generation),
        (Method::Get, ["gauges"]) => pages::gauges(workshop),
        (Method::Get, ["file", name]) => pages::file(name),
        _ => pages::lost(workshop, pages::words::NO_SUCH_PAGE),
    }
}
