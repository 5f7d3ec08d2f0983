//! The pages in a browser: narrow and wide, light and dark, scripts on and off, printed on both sizes of paper.

use crate::bench_page::copied;
use assert_cmd::Command;
use std::path::{Path, PathBuf};
use std::process::Command as Other;

/// Where Debian and others put the browser.
const BROWSERS: [&str; 3] = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/snap/bin/chromium"];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn trochoid(folder: &Path, arguments: &[&str], status: i32) -> Vec<u8> {
    let output = Command::cargo_bin("trochoid").unwrap().current_dir(folder).args(arguments).output().unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(status), "{arguments:?}: {said}");
    output.stdout
}

/// A name without a place to break it.
const LONG: &str =
    "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW";

/// A shop whose every text is out to break the page it stands on. Invented.
pub(crate) fn hostile(folder: &Path) {
    let book = std::fs::read_to_string(root().join("tests/pages/hostile.rulebook")).unwrap();
    std::fs::create_dir_all(folder.join("hostile/builds")).unwrap();
    std::fs::write(folder.join("hostile/pump.rulebook"), book).unwrap();
    let shop = "shop: \"<script>alert(1)</script> & \\u202e Sons\"\nbooks: [pump.rulebook]\n";
    std::fs::write(folder.join("hostile/trochoid.yaml"), shop).unwrap();
    for (name, build, gap) in [
        ("a & b #1?", "\"><img src=x onerror=alert(2)>", "0.20"),
        ("%2e%2e", "אבג-7 \\u202e dlo", "0.08"),
        ("index", "'; alert(3) //", "0.12"),
        ("long", LONG, "0.09"),
    ] {
        let record = format!(
            "build: \"{}\"\nfinished: 2026-05-08\ngeneration: small\nmaker: \"</title><script>alert(4)</script>{LONG}\"\n\
             gap: {{ value: {gap} mm, gauge: \"</td><svg onload=alert(5)>\" }}\n\
             gauges: {{ \"</td><svg onload=alert(5)>\": {{ uncertainty: 2 um }} }}\n",
            build.replace('"', "\\\"")
        );
        std::fs::write(folder.join(format!("hostile/builds/{name}.yaml")), record).unwrap();
    }
    let shelf = format!(
        "part: gear\ngeneration: small\nparts:\n  - {{ tag: '\"><img src=x onerror=alert(6)>', tooth: 1 mm, state: {{ scrapped: 2026-05-01, because: '</p><script>alert(7)</script>' }} }}\n  - {{ tag: {LONG}, tooth: 9 mm }}\n"
    );
    std::fs::write(folder.join("hostile/shelf.yaml"), shelf).unwrap();
}

/// A build with as many values out, let through, worn and to be watched as a customer's sheet tells of, and more. Invented.
fn wreck(folder: &Path) {
    const OF_EACH: usize = 20;
    let mut parts = String::new();
    let mut rows = String::new();
    let mut readings = String::new();
    for (kind, value) in [("out", "9"), ("excused", "9"), ("worn", "4"), ("watched", "9")] {
        for number in 0..OF_EACH {
            let name = format!("{kind}_clearance_of_bore_{number}");
            parts.push_str(&format!("    {name} : mm\n"));
            let advisory = if kind == "watched" { " advisory" } else { "" };
            rows.push_str(&format!(
                "    pump.{name} standard 1 to 3 mm limit at most 5 mm{advisory} {{ from sheet }}\n"
            ));
            readings.push_str(&format!("{name}: {value} mm\n"));
        }
    }
    let book = format!(
        "rulebook \"Wreck\" edition 2026-03-01\nunit mm = 0.001 m\nsource sheet \"Invented bench sheet, 2026\"\npart pump {{\n{parts}}}\n\
         generation small \"an invented pump\" {{\n{rows}}}\n"
    );
    let concessions: String = (0..OF_EACH)
        .map(|number| {
            format!(
                "  - {{ row: pump.excused_clearance_of_bore_{number}, because: the owner runs it slowly and brings it back after 500 km, by: the foreman }}\n"
            )
        })
        .collect();
    std::fs::create_dir_all(folder.join("wreck/builds")).unwrap();
    std::fs::write(folder.join("wreck/pump.rulebook"), book).unwrap();
    std::fs::write(folder.join("wreck/trochoid.yaml"), "shop: Lapwing Pumps\nbooks: [pump.rulebook]\n").unwrap();
    let record = format!("build: P-9\nfinished: 2026-05-08\ngeneration: small\nconcessions:\n{concessions}{readings}");
    std::fs::write(folder.join("wreck/builds/P-9.yaml"), record).unwrap();
}

/// The browser, and what drives it.
fn browser() -> PathBuf {
    let browser = std::env::var_os("CHROMIUM").map(PathBuf::from);
    let browser = browser.or_else(|| BROWSERS.iter().map(PathBuf::from).find(|path| path.exists()));
    assert!(
        root().join("tests/pages/node_modules/playwright-core").exists(),
        "npm ci --prefix tests/pages brings what drives the browser"
    );
    browser.expect("Chromium: apt-get install chromium, or say where it is in CHROMIUM")
}

/// What a script of `tests/pages` says in the end: how much of it passed, and that nothing failed.
fn passes(output: &std::process::Output, least: usize) {
    let (said, err) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(output.status.success(), "{said}\n{err}");
    let last = said.lines().last().unwrap_or_default();
    let passed: usize = last.split(' ').next().and_then(|count| count.parse().ok()).unwrap_or(0);
    assert!(passed > least && last.ends_with(" passed, 0 failed"), "{said}\n{err}");
}

#[test]
#[ignore = "needs Chromium and Node: .ci/run installs both"]
fn browser_at_the_bench_enters_every_build_by_keyboard() {
    let papers = tempfile::tempdir().unwrap();
    copied(&root().join("examples/kestrel"), &papers.path().join("kestrel"));
    // All builds of the example shop, or only these.
    let builds = std::env::var("TROCHOID_ENTERED").unwrap_or_else(|_| "all".into());
    let mut node = Other::new("node");
    node.current_dir(root().join("tests/pages")).arg("bench.mjs").arg(papers.path());
    node.arg(assert_cmd::cargo::cargo_bin("trochoid")).arg(browser()).arg(&builds);
    if let Some(kept) = std::env::var_os("TROCHOID_SHOTS") {
        node.arg(kept);
    }
    passes(&node.output().expect("node is installed"), 45);
}

#[test]
#[ignore = "needs Chromium and Node: .ci/run installs both"]
fn pages_open_and_print_in_a_browser() {
    let browser = browser();
    let kept = std::env::var_os("TROCHOID_SHOTS").map(PathBuf::from);
    let papers = tempfile::tempdir().unwrap();
    let folder = papers.path();
    hostile(folder);
    let mut pages = Vec::new();
    let mut page = |name: &str, file: &str, paper: &str, most: usize, filter: serde_json::Value| {
        let tight = ["sheet-a4", "customer", "index-a4", "blank-a4", "long"].contains(&name);
        pages.push(serde_json::json!({
            "name": name, "file": folder.join(file), "paper": paper, "pages": [1, most], "filter": filter,
            // At every width of a screen, and folded on a phone: once each, on one size of paper.
            "tight": tight,
            "boxes": name.starts_with("blank-a") || name.starts_with("blank-l"),
            "fold": (name == "folds").then_some(3),
        }));
    };
    let none = || serde_json::Value::Null;
    for paper in ["a4", "letter"] {
        let to = |name: &str| folder.join(format!("{name}-{paper}.html")).to_string_lossy().into_owned();
        // The largest build of the example shop, some 200 readings and 174 rows: a handful of pages.
        let build = "examples/kestrel/builds/K-0147.yaml";
        trochoid(root(), &["report", build, "--to", &to("sheet"), "--paper", paper], 0);
        page(&format!("sheet-{paper}"), &format!("sheet-{paper}.html"), paper, 7, none());
        let blank = ["blank", "light_2mm", "--format", "html", "--paper", paper, "--output", &to("blank")];
        trochoid(root(), &blank, 0);
        // Four sheets for two rotors, what may be left out among them.
        page(&format!("blank-{paper}"), &format!("blank-{paper}.html"), paper, 4, none());
        // Forty labels, and an empty record of a part to write on.
        trochoid(root(), &["report", "examples/kestrel/shelf/rotors.yaml", "--to", &to("labels"), "--paper", paper], 1);
        page(&format!("labels-{paper}"), &format!("labels-{paper}.html"), paper, 7, none());
        let part = ["blank", "rotor", "--generation", "light_2mm", "--format", "html", "--paper", paper, "--output"];
        trochoid(root(), &[&part[..], &[&to("blank-part")]].concat(), 0);
        page(&format!("blank-part-{paper}"), &format!("blank-part-{paper}.html"), paper, 3, none());
        let all = folder.join(paper).to_string_lossy().into_owned();
        trochoid(root(), &["report", "examples/kestrel/builds", "--to", &all, "--paper", paper], 1);
        let filter = serde_json::json!({ "all": 25, "some": 1, "words": "k-0144 out", "out": 8 });
        page(&format!("index-{paper}"), &format!("{paper}/index.html"), paper, 12, filter);
    }
    // Loose parts stand in a table of their own, and words narrow that too: forty rotors and a build, one of them found.
    let mixed = folder.join("mixed").to_string_lossy().into_owned();
    let files = ["examples/kestrel/builds/K-0142.yaml", "examples/kestrel/shelf/rotors.yaml"];
    trochoid(root(), &[&["report"], &files[..], &["--to", &mixed]].concat(), 1);
    let filter = serde_json::json!({ "all": 41, "some": 1, "words": "r-007" });
    page("index-mixed", "mixed/index.html", "a4", 4, filter);
    trochoid(
        root(),
        &["report", "examples/kestrel/builds/K-0145.yaml", "--to", &folder.join("K-0145.html").to_string_lossy()],
        1,
    );
    page("unmeasured", "K-0145.html", "a4", 8, none());
    let build = "examples/kestrel/builds/K-0144.yaml";
    trochoid(root(), &["report", build, "--to", &folder.join("K-0144.html").to_string_lossy()], 1);
    page("folds", "K-0144.html", "a4", 8, none());
    // Two pages at most, whatever is worn, let through or left out.
    for (name, build, status) in
        [("customer", "K-0154", 0), ("customer-out", "K-0144", 1), ("customer-left", "K-0145", 1)]
    {
        let to = folder.join(format!("{name}.html")).to_string_lossy().into_owned();
        let build = format!("examples/kestrel/builds/{build}.yaml");
        trochoid(root(), &["report", &build, "--for", "customer", "--to", &to], status);
        page(name, &format!("{name}.html"), "a4", 2, none());
    }
    wreck(folder);
    trochoid(folder, &["report", "wreck/builds/P-9.yaml", "--for", "customer", "--to", "wreck.html"], 1);
    let sheet = std::fs::read_to_string(folder.join("wreck.html")).unwrap();
    assert_eq!(sheet.matches("more, on the workshop").count(), 4, "each list is longer than the sheet has room for");
    page("wreck", "wreck.html", "a4", 2, none());
    trochoid(folder, &["report", "hostile/builds", "--to", "out"], 1);
    let filter = serde_json::json!({ "all": 4, "some": 1, "words": "onerror" });
    page("hostile-index", "out/index.html", "a4", 3, filter);
    page("hostile", "out/a & b #1_.html", "a4", 3, none());
    page("long", "out/long.html", "a4", 3, none());
    trochoid(folder, &["report", "hostile/shelf.yaml", "--to", "hostile-labels.html"], 1);
    page("hostile-labels", "hostile-labels.html", "a4", 1, none());
    let list = folder.join("pages.json");
    std::fs::write(&list, serde_json::Value::from(pages).to_string()).unwrap();
    let mut node = Other::new("node");
    node.current_dir(root().join("tests/pages")).arg("pages.mjs").arg(&list).arg(&browser);
    if let Some(kept) = &kept {
        std::fs::create_dir_all(kept).unwrap();
        node.arg(kept);
    }
    let output = node.output().expect("node is installed");
    passes(&output, 100);
}
