//! Which page or answer a request gets. Refuses to make any of them.

use super::{Answer, Asked, Kind, Method, Workshop};

/// What a request is answered. It may read files, judge and write: for a thread that may wait.
#[must_use]
pub fn answer(workshop: &Workshop, asked: &Asked) -> Answer {
    let steps: Vec<&str> = asked.path.iter().map(String::as_str).collect();
    match (asked.method, steps.as_slice()) {
        (Method::Get, []) => {
            let names: Vec<&str> = Vec::new();
            let _ = workshop.records();
            Answer::new(200, Kind::Text, names.join("\n").into_bytes())
        }
        _ => Answer::new(404, Kind::Text, b"there is no such page\n".to_vec()),
    }
}
