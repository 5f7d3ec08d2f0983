//! The pages in a browser: narrow and wide, light and dark, by keys alone, with their policy.

use super::*;

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
    ("shelf", "/shelf", true),
    ("shelf-kind", "/shelf?kind=shaft", false),
    ("match", "/match", true),
    ("match-rotors", "/match?generation=light_2mm&only=rotor", true),
    ("match-nothing", "/match?generation=carbon_6mm", false),
    ("rework", "/rework/builds/K-0144.yaml", true),
    ("sheet", "/sheet/builds/K-0147.yaml", false),
    ("labels", "/labels?kind=shaft", false),
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
    add(None, "/sheet-style/builds/K-0147.yaml", &workshop, false);
    add(None, "/labels-style?kind=shaft", &workshop, false);
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
    assert!(passed > 10 * OPENED.len() && last.ends_with(" passed, 0 failed"), "{said}\n{err}");
}
