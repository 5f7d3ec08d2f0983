//! Puts the history of a part or an engine on paper: where it was, what changed, what is left to the limit. Refuses to compare.

use super::style::{self, Ink, Look, clean};
use super::wording_history as wording;
use crate::judge::Grade;
use crate::shop::{Change, History, Occasion};
use serde_json::{Value, json};

/// As text.
pub(super) fn text(histories: &[History], look: Look) -> String {
    if histories.is_empty() {
        return format!("\n{}\n", wording::NONE);
    }
    let mut out = String::new();
    for history in histories {
        out.push_str(&format!("\n{}\n", look.paint(Ink::Mind, &clean(&wording::heading(history)))));
        let names: Vec<String> = history.occasions.iter().map(wording::occasion).collect();
        let widest = names.iter().map(|name| style::width(name)).max().unwrap_or(0);
        for (occasion, name) in history.occasions.iter().zip(&names) {
            let day = occasion.day.map_or_else(|| "no day yet".to_owned(), |day| day.to_string());
            let pad = " ".repeat(widest.saturating_sub(style::width(name)));
            let grade = occasion.grade.map_or("", Grade::word);
            out.push_str(&format!("  {day}  {}{pad}  {grade:<10}  {}\n", clean(name), clean(&occasion.file)));
        }
        for change in &history.changes {
            style::wrapped(&mut out, "  ", 4, &wording::change(change), look.width);
        }
        out.push_str(&format!("  {}\n", wording::same(history.same, history.changes.len())));
    }
    out
}

/// As a member of a JSON document.
pub(super) fn value(histories: &[History]) -> Value {
    let occasion = |one: &Occasion| {
        json!({
            "day": one.day.map(|day| day.to_string()), "build": one.build, "place": one.place, "file": one.file,
            "grade": one.grade.map(Grade::word),
        })
    };
    let change = |one: &Change| {
        let values = one.values.iter().map(|(occasion, value)| json!({ "occasion": occasion, "value": value }));
        json!({
            "path": one.path, "values": values.collect::<Vec<_>>(), "by": one.by,
            "worn": one.worn.as_ref().map(|(standard, beyond)| json!({ "standard": standard, "beyond": beyond })),
            "limit": one.limit, "room": one.room,
            "beyond": one.beyond,
        })
    };
    let history = |one: &History| {
        json!({
            "of": one.of, "part": one.part, "occasions": one.occasions.iter().map(occasion).collect::<Vec<_>>(),
            "changes": one.changes.iter().map(change).collect::<Vec<_>>(), "same": one.same,
        })
    };
    Value::Array(histories.iter().map(history).collect())
}
