//! The pages around the page of one build, asked for as a browser asks, without a connection: on copies of the example shop, and on
//! a shop whose texts are out to break the pages.

use scraper::{ElementRef, Html, Selector};
use std::path::{Path, PathBuf};
use std::process::Command as Other;
use trochoid::bench::{Answer, Asked, Kind, Method, Workshop, answer};
use trochoid::quantity::Date;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The day of these tests.
const TODAY: &str = "2026-11-28";

fn copy(from: &Path, to: &Path) {
    for entry in walkdir::WalkDir::new(from) {
        let entry = entry.unwrap();
        let to = to.join(entry.path().strip_prefix(from).unwrap());
        if entry.file_type().is_dir() {
            std::fs::create_dir_all(&to).unwrap();
        } else {
            std::fs::copy(entry.path(), &to).unwrap();
        }
    }
}

fn workshop(folder: &Path) -> Workshop {
    Workshop::new(folder, None, false, || Date::parse(TODAY))
}

/// A copy of the example shop, with its workshop.
fn kestrel() -> (tempfile::TempDir, Workshop) {
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("examples/kestrel"), folder.path());
    let workshop = workshop(folder.path());
    (folder, workshop)
}

fn get(workshop: &Workshop, target: &str) -> Answer {
    answer(workshop, &Asked::new(Method::Get, target, Vec::new()).unwrap())
}

fn page(workshop: &Workshop, target: &str) -> Html {
    let answer = get(workshop, target);
    assert_eq!((answer.status, answer.kind), (200, Kind::Html), "{target}");
    Html::parse_document(std::str::from_utf8(&answer.body).unwrap())
}

fn all<'a>(page: &'a Html, selector: &str) -> Vec<ElementRef<'a>> {
    page.select(&Selector::parse(selector).unwrap()).collect()
}

fn text(element: ElementRef<'_>) -> String {
    element.text().collect::<String>().split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Where Debian and others put the browser.
const BROWSERS: [&str; 3] = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/snap/bin/chromium"];

/// The pages that are opened in a browser: a name and an address, and whether every key on it is pressed.
const OPENED: &[(&str, &str, bool)] = &[
    ("builds", "/", true),
    ("found", "/?find=light_2mm", true),
    ("new", "/?new=light_2mm", true),
    ("which", "/which", true),
    ("which-some", "/which?rotor.pocket=machined", true),
    ("which-none", "/which?rotor.pocket=machined&rotor.casting=?", false),
    ("rules", "/rules", true),
    ("rules-one", "/rules/kestrel_boosted", false),
    ("gauges", "/gauges", false),
    ("lost", "/nowhere", false),
];

#[test]
#[ignore = "needs Chromium and Node: .ci/run installs both"]
fn bench_pages_open_in_a_browser() {
    let browser = std::env::var_os("CHROMIUM").map(PathBuf::from);
    let browser = browser.or_else(|| BROWSERS.iter().map(PathBuf::from).find(|path| path.exists()));
    let browser = browser.expect("Chromium: apt-get install chromium, or say where it is in CHROMIUM");
    assert!(
        root().join("tests/pages/node_modules/playwright-core").exists(),
        "npm ci --prefix tests/pages brings what drives the browser"
    );
    let kept = std::env::var_os("TROCHOID_SHOTS").map(PathBuf::from);
    let (_folder, workshop) = kestrel();
    let papers = tempfile::tempdir().unwrap();
    let mut answers = Vec::new();
    let mut add = |name: Option<&str>, target: &str, workshop: &Workshop, keys: bool| {
        let answer = get(workshop, target);
        let file = format!("{}", answers.len());
        std::fs::write(papers.path().join(&file), &answer.body).unwrap();
        answers.push(serde_json::json!({
            "name": name, "target": target, "file": file, "status": answer.status, "type": answer.kind.media_type(), "keys": keys,
        }));
    };
    for name in ["sheet.css", "bench.css", "bench.js", "icon.svg"] {
        add(None, &format!("/file/{name}"), &workshop, false);
    }
    for (name, target, keys) in OPENED {
        add(Some(name), target, &workshop, *keys);
    }
    std::fs::write(papers.path().join("answers.json"), serde_json::Value::from(answers).to_string()).unwrap();
    let mut node = Other::new("node");
    node.current_dir(root().join("tests/pages")).arg("bench_pages.mjs").arg(papers.path()).arg(&browser);
    if let Some(kept) = &kept {
        std::fs::create_dir_all(kept).unwrap();
        node.arg(kept);
    }
    let output = node.output().expect("node is installed");
    let (said, err) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(output.status.success(), "{said}\n{err}");
    let last = said.lines().last().unwrap_or_default();
    let passed: usize = last.split(' ').next().and_then(|count| count.parse().ok()).unwrap_or(0);
    assert!(passed > 20 * OPENED.len() && last.ends_with(" passed, 0 failed"), "{said}\n{err}");
}
