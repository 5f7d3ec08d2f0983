//! The ways in: the README is short, the contributor's guide is short, and every link leads somewhere.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The pages at the top: the most lines, and the most characters of a line.
const SHORT: &[(&str, usize, usize)] = &[("README.md", 250, 110), ("DEVELOPERS.md", 150, 150)];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// The lines outside fenced blocks, each with its number.
fn prose(text: &str) -> Vec<(usize, &str)> {
    let mut fenced = false;
    let mut lines = Vec::new();
    for (number, line) in text.lines().enumerate() {
        if line.trim_start().starts_with("```") {
            fenced = !fenced;
        } else if !fenced {
            lines.push((number + 1, line));
        }
    }
    lines
}

/// A line without its code spans, in which brackets are not links.
fn without_code(line: &str) -> String {
    line.split('`').step_by(2).collect::<Vec<_>>().join("`")
}

/// The name by which a link finds a heading: small letters, hyphens for spaces, and no other marks.
fn anchor(heading: &str) -> String {
    let kept = heading.trim().to_lowercase();
    kept.chars()
        .filter(|sign| sign.is_alphanumeric() || " -_".contains(*sign))
        .map(|sign| if sign == ' ' { '-' } else { sign })
        .collect()
}

fn anchors(text: &str) -> BTreeSet<String> {
    prose(text)
        .into_iter()
        .filter(|(_, line)| line.starts_with('#'))
        .map(|(_, line)| anchor(line.trim_start_matches('#')))
        .collect()
}

/// The targets of the links in a page, each with its line. Pictures count as links.
fn links(text: &str) -> Vec<(usize, String)> {
    let mut links = Vec::new();
    for (number, line) in prose(text) {
        let line = without_code(line);
        for part in line.split("](").skip(1) {
            links.push((number, part.split(')').next().unwrap().to_string()));
        }
    }
    links
}

/// The links of a page that lead to no file, or to no heading of the file.
fn dead_links(page: &Path, text: &str) -> Vec<String> {
    let mut dead = Vec::new();
    for (line, target) in links(text).into_iter().filter(|(_, target)| !target.contains("://")) {
        let (file, heading) = target.split_once('#').unwrap_or((&target, ""));
        let path = if file.is_empty() { page.to_path_buf() } else { page.parent().unwrap().join(file) };
        let fault = if !path.exists() {
            "no such file"
        } else if !heading.is_empty() && !anchors(&read(&path)).contains(heading) {
            "no such heading"
        } else {
            continue;
        };
        dead.push(format!("{}:{line}: {target}: {fault}", page.display()));
    }
    dead
}

/// The pages for people, in all folders that have some.
fn pages() -> Vec<PathBuf> {
    let mut pages = Vec::new();
    for folder in ["", "specs", "benches", "tests"] {
        for entry in std::fs::read_dir(root().join(folder)).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|ending| ending == "md") {
                pages.push(path);
            }
        }
    }
    pages.sort();
    pages
}

#[test]
fn the_pages_at_the_top_are_short() {
    let mut faults = Vec::new();
    for (page, most_lines, most_characters) in SHORT {
        let text = read(&root().join(page));
        let lines = text.lines().count();
        if lines > *most_lines {
            faults.push(format!("{page} has {lines} lines, more than {most_lines}"));
        }
        for (number, line) in prose(&text) {
            let length = line.chars().count();
            if length > *most_characters && !line.starts_with('|') && !line.contains("://") {
                faults.push(format!("{page}:{number} has {length} characters, more than {most_characters}"));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn every_link_leads_to_a_file_and_a_heading() {
    let pages = pages();
    let all: usize = pages.iter().map(|page| links(&read(page)).len()).sum();
    assert!(pages.len() >= 8 && all >= 40, "{all} links were found in {} pages", pages.len());
    let dead: Vec<String> = pages.iter().flat_map(|page| dead_links(page, &read(page))).collect();
    assert!(dead.is_empty(), "{}", dead.join("\n"));
}

/// The paths of files and folders that a page names between backquotes.
fn named(text: &str) -> Vec<(usize, String)> {
    let mut named = Vec::new();
    for (number, line) in prose(text) {
        for code in line.split('`').skip(1).step_by(2) {
            let begins = ["src/", "tests/", "specs/", "grammar/", "benches/", "examples/", ".ci/", ".cargo/"];
            let path = begins.iter().any(|begin| code.starts_with(begin));
            if path && !code.contains([' ', '<', '*']) {
                named.push((number, code.to_string()));
            }
        }
    }
    named
}

#[test]
fn every_file_that_a_page_names_exists() {
    let mut faults = Vec::new();
    for page in pages() {
        for (line, name) in named(&read(&page)) {
            if !root().join(&name).exists() {
                faults.push(format!("{}:{line}: {name} does not exist", page.display()));
            }
        }
    }
    assert!(named(&read(&root().join("DEVELOPERS.md"))).len() >= 40, "the names were not found");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn a_dead_link_is_found() {
    let page = root().join("README.md");
    let dead = |text: &str| dead_links(&page, text).len();
    assert_eq!(dead("see [the guide](DEVELOPERS.md) and [records](specs/records.md#a-slip-of-the-pen)"), 0);
    assert_eq!(dead("see [nothing](specs/nothing.md)"), 1);
    assert_eq!(dead("see [nothing](specs/records.md#nothing) and [nothing](#nothing)"), 2);
    assert_eq!(dead("`[code](nowhere.md)`\n```text\n[block](nowhere.md)\n```\n"), 0);
    assert_eq!(anchor(" What fails a build: `advisory`, `outer limit`"), "what-fails-a-build-advisory-outer-limit");
}
