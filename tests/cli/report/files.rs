//! Which files `trochoid report` writes, when it writes none, and that nothing of anybody's on them is more than text.

use super::super::{BOOK, Papers, record};
use super::{all, inside, text};
use scraper::Html;
use serde_json::Value;

#[test]
fn nothing_of_anybodys_is_more_than_text() {
    let papers = Papers::new();
    let evil = "<script>alert(1)</script>\\\"><img src=x onerror=alert(2)>&amp;\\u202e";
    papers.put("trochoid.yaml", format!("shop: \"{evil}\"\nbooks: [books/]\n"));
    let book = BOOK
        .replace("What is cut cannot", "</style><script>x</script> & cannot")
        .replace("Fit a thicker", "\\\"><b onclick=x>");
    papers.put("books/pump.rulebook", book.replace("\\\"", "'"));
    let hostile = record("NAME", 20).replace("NAME", &format!("\"{evil}\""));
    for name in ["<b>.yaml", "x&y #?.yaml", "index.yaml", "%2e.yaml"] {
        papers.put(&format!("builds/{name}"), &hostile);
    }
    assert_eq!(papers.run(&["report", "builds", "--to", "out"]).status, 1);
    for name in ["_b_.html", "x&y #_.html", "index-2.html", "%2e.html", "index.html"] {
        let raw = std::fs::read_to_string(papers.path().join("out").join(name)).unwrap_or_else(|_| panic!("{name}"));
        let page = Html::parse_document(&raw);
        assert_eq!(all(&page, "script").len(), usize::from(name == "index.html"), "{name}");
        assert!(all(&page, "img, iframe, object, embed, link, base, form, audio, video").is_empty(), "{name}");
        for element in all(&page, "*") {
            assert!(element.value().attrs().all(|(attribute, _)| !attribute.starts_with("on")), "{}", element.html());
        }
        assert!(!raw.contains('\u{202e}'), "{name}: a letter that turns the line round");
        assert_eq!(all(&page, "style").len(), 1);
        let build =
            if name == "index.html" { text(all(&page, "tr.build th bdi")[0]) } else { text(all(&page, "h1")[0]) };
        assert_eq!(build, "<script>alert(1)</script>\"><img src=x onerror=alert(2)>&amp;\u{fffd}", "{name}");
        let said = text(all(&page, "body")[0]);
        assert!(said.contains("</style><script>x</script> & cannot be put back."), "{said}");
        let policy = all(&page, "meta[http-equiv=Content-Security-Policy]")[0].attr("content").unwrap();
        assert!(policy.starts_with("default-src 'none';"), "{policy}");
        assert!(!policy.contains("http") && !policy.contains('*') && !policy.contains("data:"), "{policy}");
    }
    let index = Html::parse_document(&std::fs::read_to_string(papers.path().join("out/index.html")).unwrap());
    let links: Vec<String> =
        all(&index, "tr.build a").iter().map(|link| link.attr("href").unwrap().to_owned()).collect();
    assert_eq!(links, ["./%252e.html", "./_b_.html", "./index-2.html", "./x%26y%20%23_.html"]);
}

/// The record a row of the list is about.
fn file_of(row: scraper::ElementRef<'_>) -> String {
    text(inside(row, "th .small bdi")[0])
}

#[test]
fn the_list_has_what_fails_first_and_links_to_every_sheet() {
    let papers = Papers::new();
    for (name, gap) in [("P-1", 8), ("P-2", 13), ("P-3", 20), ("P-4", 9)] {
        papers.build(name, gap);
    }
    papers.put("builds/spring/P-5.yaml", record("P-5", 20).replace("slot:", "slit:"));
    papers.put("builds/spring/P-1.yaml", record("P-1b", 8));
    papers.put(
        "builds/spring/P-1.json",
        "{\"build\": \"P-1c\", \"generation\": \"small\", \"vane\": \"2 mm\", \"slot\": \"2.07 mm\"}",
    );
    papers.put("builds/P-6.yaml", record("P-6", 8).replace("generation: small\n", ""));
    papers.put("builds/P-7.yaml", "");
    let ran = papers.run(&["report", "builds", "--to", "out"]);
    let checked = papers.run(&["check", "builds", "--format", "json"]);
    assert_eq!(ran.status, checked.status, "{}", ran.err);
    let json: Value = serde_json::from_str(&checked.out).unwrap();
    let records = json["records"].as_array().unwrap();
    let index = Html::parse_document(&std::fs::read_to_string(papers.path().join("out/index.html")).unwrap());
    let rows = all(&index, "tr.build");
    assert_eq!(rows.len(), records.len());
    let by_file = |file: &str| records.iter().find(|record| record["file"] == file).unwrap();
    let passes: Vec<bool> = rows.iter().map(|row| by_file(&file_of(*row))["passes"].as_bool().unwrap()).collect();
    assert!(passes.is_sorted(), "{passes:?}");
    assert!(passes.contains(&true) && passes.contains(&false));
    let names: Vec<String> = rows.iter().map(|row| text(inside(*row, "th bdi")[0])).collect();
    // Not judged, then the worst grade, then those that pass, each as they were found.
    assert_eq!(names, ["P-6", "P-7", "P-3", "P-5", "P-2", "P-1", "P-4", "P-1c", "P-1b"]);
    for row in rows {
        let record = by_file(&file_of(row));
        let grade = record["grade"].as_str().unwrap_or("not judged");
        assert_eq!(text(inside(row, "td.grade .word")[0]), grade);
        let links = inside(row, "a");
        assert_eq!(links.len(), usize::from(record["readable"].as_bool().unwrap()), "{record}");
        for link in links {
            let sheet = papers.path().join("out").join(link.attr("href").unwrap());
            let sheet = Html::parse_document(&std::fs::read_to_string(&sheet).unwrap());
            assert_eq!(text(all(&sheet, "h1")[0]), record["build"].as_str().unwrap());
        }
    }
    for sheet in ["spring/P-1.html", "spring/P-1-2.html", "spring/P-5.html"] {
        assert!(papers.path().join("out").join(sheet).exists(), "{sheet}");
    }
    // Nothing of the work is left beside the pages.
    let left = walkdir::WalkDir::new(papers.path().join("out")).into_iter().map(Result::unwrap);
    let left: Vec<_> = left.filter(|entry| entry.file_type().is_file()).collect();
    assert_eq!(left.len(), 9, "{left:?}");
    assert!(left.iter().all(|entry| entry.path().extension().is_some_and(|ending| ending == "html")));
}

#[test]
fn a_file_of_somebody_elses_is_never_written_over() {
    let papers = Papers::new();
    papers.build("P-1", 8);
    papers.build("P-2", 20);
    let read = |name: &str| std::fs::read_to_string(papers.path().join(name)).unwrap();
    for (theirs, left) in [("out/index.html", 1), ("out/P-2.html", 3)] {
        papers.put(theirs, "<!DOCTYPE html><title>mine</title>");
        let ran = papers.run(&["report", "builds", "--to", "out"]);
        assert_eq!(ran.status, 2);
        assert!(ran.err.contains("was not written by `trochoid report`"), "{}", ran.err);
        assert_eq!(read(theirs), "<!DOCTYPE html><title>mine</title>");
        // Where the page over all is theirs the folder is; else the other pages are written.
        assert_eq!(std::fs::read_dir(papers.path().join("out")).unwrap().count(), left, "{theirs}");
        std::fs::remove_dir_all(papers.path().join("out")).unwrap();
    }
    assert_eq!(papers.run(&["report", "builds", "--to", "out"]).status, 1);
    let before = read("out/P-2.html");
    papers.build("P-2", 13);
    assert_eq!(papers.run(&["report", "builds", "--to", "out"]).status, 0);
    assert_ne!(read("out/P-2.html"), before, "a sheet of ours is written anew");
    let mine = papers.run(&["report", "builds/P-1.yaml", "--to", "builds/P-2.yaml"]);
    assert_eq!(mine.status, 2);
    assert_eq!(read("builds/P-2.yaml"), record("P-2", 13), "a record is no sheet");
    // A folder takes the sheet of one record as it takes many.
    assert_eq!(papers.run(&["report", "builds/P-1.yaml", "--to", "out"]).status, 0);
    assert_eq!(papers.run(&["report", "builds/P-1.yaml", "--to", "new/deep/P-1.html"]).status, 0);
    assert_eq!(read("new/deep/P-1.html"), papers.run(&["report", "builds/P-1.yaml"]).out);
    papers.put("file", "x");
    assert_eq!(papers.run(&["report", "builds/P-1.yaml", "--to", "file/P-1.html"]).status, 2);
    assert_eq!(read("file"), "x");
}

#[test]
fn the_status_is_that_of_check() {
    let papers = Papers::new();
    papers.build("good", 8);
    papers.build("worn", 12);
    papers.build("out", 20);
    papers.put("builds/mistake.yaml", record("M", 8).replace("2.00 mm", "2.00 grams"));
    papers.put("builds/none.yaml", record("N", 8).replace("small", "tiny"));
    papers.put("builds/bytes.yaml", [0xff, 0xfe, 0x00]);
    for name in ["good", "worn", "out", "mistake", "none", "bytes", "nowhere"] {
        let file = format!("builds/{name}.yaml");
        let (ran, checked) = (papers.run(&["report", &file]), papers.run(&["check", &file]));
        assert_eq!(ran.status, checked.status, "{name}: {}", ran.err);
        let is_page = ran.out.starts_with("<!DOCTYPE html>") && ran.out.ends_with("</html>\n");
        assert_eq!(is_page, !["bytes", "nowhere"].contains(&name), "{name}");
        assert!(is_page || (ran.out.is_empty() && !ran.err.is_empty()), "{name}");
    }
    let many = papers.run(&["report", "builds"]);
    assert_eq!(many.status, 2);
    assert!(many.err.contains("`--to DIR`"), "{}", many.err);
    let none = papers.run(&["report", "books", "--to", "out"]);
    assert_eq!(none.status, 2);
    assert!(none.err.contains("no records below") && !papers.path().join("out").exists(), "{}", none.err);
    papers.put("books/pump.rulebook", "rulebook \"x\" part pump {");
    let unsound = papers.run(&["report", "builds/good.yaml"]);
    assert_eq!((unsound.status, unsound.out.as_str()), (2, ""));
    let unsound = papers.run(&["report", "builds", "--to", "out"]);
    assert_eq!(unsound.status, 2);
    let page = std::fs::read_to_string(papers.path().join("out/index.html")).unwrap();
    assert!(page.contains("its rulebooks have errors") && page.contains("text-"), "{page}");
}

#[test]
fn a_page_that_cannot_be_written_takes_neither_the_others_nor_the_index_with_it() {
    let papers = Papers::new();
    for (name, gap) in [("P-1", 8), ("P-2", 9), ("P-3", 20)] {
        papers.build(name, gap);
    }
    std::fs::create_dir_all(papers.path().join("out/P-2.html/in the way")).unwrap();
    let ran = papers.run(&["report", "builds", "--to", "out"]);
    assert_eq!(ran.status, 2);
    assert_eq!(ran.err.lines().count(), 1, "{}", ran.err);
    assert!(ran.err.contains("out/P-2.html"), "{}", ran.err);
    let index = Html::parse_document(&std::fs::read_to_string(papers.path().join("out/index.html")).unwrap());
    let rows: Vec<(String, bool)> = all(&index, "tr.build")
        .into_iter()
        .map(|row| (text(inside(row, "th bdi")[0]), !inside(row, "a").is_empty()))
        .collect();
    assert_eq!(rows, [("P-3".into(), true), ("P-1".into(), true), ("P-2".into(), false)]);
    assert!(papers.path().join("out/P-1.html").is_file() && papers.path().join("out/P-3.html").is_file());
}

#[cfg(unix)]
#[test]
fn no_page_leaves_its_folder_whatever_a_record_is_called() {
    let papers = Papers::new();
    let names =
        ["x\\..\\..\\up", "C:\\x", "a\\..\\..\\..\\b", "\\\\there\\c", "nul", "K-1 .", "line\nend", &"ä".repeat(120)];
    for (number, name) in names.iter().enumerate() {
        papers.put(&format!("shop/builds/{name}.yaml"), record(&format!("P-{number}"), 8));
    }
    std::fs::rename(papers.path().join("books"), papers.path().join("shop/books")).unwrap();
    std::fs::rename(papers.path().join("trochoid.yaml"), papers.path().join("shop/trochoid.yaml")).unwrap();
    let ran = papers.run(&["report", "shop/builds", "--to", "shop/sheets/out"]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    let sheets = papers.run(&["check", "shop/builds", "--sheets", "shop/sheets/signed", "--quiet"]);
    assert_eq!((sheets.status, sheets.err.as_str()), (0, ""));
    for folder in ["out", "signed"] {
        let written = walkdir::WalkDir::new(papers.path().join("shop/sheets").join(folder)).min_depth(1);
        let written: Vec<_> = written.into_iter().map(|one| one.unwrap()).collect();
        assert_eq!(written.len(), names.len() + usize::from(folder == "out"), "{written:?}");
        for one in &written {
            let name = one.file_name().to_str().unwrap();
            let stem = name.trim_end_matches(".html").trim_end_matches(".verdict.json");
            assert_eq!((one.depth(), trochoid::disk::safe_name(stem).as_str()), (1, stem));
        }
    }
    let others = walkdir::WalkDir::new(papers.path()).into_iter().map(Result::unwrap);
    let others =
        others.filter(|one| one.file_type().is_file() && one.path().extension().is_some_and(|end| end == "html"));
    assert_eq!(others.count(), names.len() + 1);
}
