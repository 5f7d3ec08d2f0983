//! One slip of layout in one line of a whole record: it is said, and every other line is read as it was.

use super::*;
use std::collections::BTreeMap;
use std::path::Path;

/// Every value with the keys that lead to it, and the line it is written in.
fn leaves(sheet: &Sheet) -> BTreeMap<String, (String, usize)> {
    let mut leaves = BTreeMap::new();
    let mut open = vec![(String::new(), sheet.root().unwrap())];
    while let Some((path, node)) = open.pop() {
        match node {
            Node::Map(map) => open.extend(map.entries().map(|(key, value)| (format!("{path}.{}", key.text()), value))),
            Node::List(list) => {
                open.extend(list.items().enumerate().map(|(at, item)| (format!("{path}[{at}]"), item)));
            }
            Node::Scalar(scalar) => {
                leaves.insert(path, (scalar.text().to_owned(), scalar.place().line_column().line));
            }
        }
    }
    leaves
}

/// A line with one slip in it.
fn slips(line: &str) -> Vec<(&'static str, String)> {
    let text = line.trim_start();
    let blanks = &line[..line.len() - text.len()];
    let mut slips = Vec::new();
    if let Some(fewer) = blanks.strip_prefix(' ') {
        slips.push(("one blank short", format!("{fewer}{text}")));
        slips.push(("a tab", format!("\t{text}")));
        slips.push(("one blank too many", format!(" {line}")));
    }
    let word = |key: &str| key.chars().all(|letter| letter.is_alphanumeric() || letter == '_');
    if let Some((key, value)) = text.split_once(": ").filter(|(key, _)| word(key)) {
        if key.contains(|letter: char| letter.is_alphabetic()) || value.starts_with(['{', '[']) {
            slips.push(("no blank after the colon", format!("{blanks}{key}:{}", value.trim_start())));
        }
        slips.push(("a question mark", format!("{blanks}? {text}")));
        if let Some(open) = value.strip_suffix(['"', '\'', ']', '}']) {
            slips.push(("not closed", format!("{blanks}{key}: {open}")));
        }
        if !value.starts_with(['"', '\'', '[', '{', '#']) {
            slips.push(("a quote not closed", format!("{blanks}{key}: \"{value}")));
        }
    } else if let Some(key) = text.strip_suffix(':').filter(|key| word(key)) {
        slips.push(("no colon", format!("{blanks}{key}")));
    }
    slips
}

#[test]
fn one_slip_costs_one_line_and_is_said() {
    let mut wrong = Vec::new();
    let mut tried = 0;
    for shop in ["gearbox", "kestrel", "whimbrel"] {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(shop).join("builds");
        let mut files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
        files.sort();
        // Records of a shop are laid out alike.
        for file in files.iter().filter(|file| file.extension().is_some_and(|end| end == "yaml")).step_by(3) {
            let text = std::fs::read_to_string(file).unwrap();
            let whole = leaves(&clean(&text));
            let lines: Vec<&str> = text.lines().collect();
            // Every line where there is time for it.
            let every = if std::env::var_os("TROCHOID_CASES").is_some() { 1 } else { 5 };
            for (number, line) in
                lines.iter().enumerate().step_by(every).filter(|(_, line)| !line.trim_start().starts_with('#'))
            {
                for (slip, spoilt) in slips(line) {
                    let mut changed: Vec<&str> = lines.clone();
                    changed[number] = &spoilt;
                    let (sheet, findings) = read(&source(&changed.join("\n")));
                    let read = sheet.as_ref().map(leaves).unwrap_or_default();
                    let lost = whole.iter().filter(|(path, (value, at))| {
                        *at != number + 1 && read.get(*path).map(|(value, _)| value) != Some(value)
                    });
                    tried += 1;
                    let lost: Vec<&String> = lost.map(|(path, _)| path).collect();
                    let silent = findings.is_empty()
                        && read.iter().any(|(path, (value, _))| whole.get(path).map(|(value, _)| value) != Some(value));
                    if silent || !lost.is_empty() {
                        let said: Vec<&str> = findings.iter().map(|finding| finding.message.as_str()).collect();
                        let name = file.file_name().unwrap().display();
                        wrong.push(format!("{name}:{}: {slip}: `{spoilt}`: {} lost, {said:?}", number + 1, lost.len()));
                    }
                }
            }
        }
    }
    assert!(tried > 1_000, "{tried}");
    assert!(wrong.is_empty(), "{} of {tried}:\n{}", wrong.len(), wrong.join("\n"));
}
