//! The pages around the page of one build, asked for as a browser asks, without a connection: on copies of the example shop, and on
//! a shop whose texts are out to break the pages.

use scraper::{ElementRef, Html, Selector};
use std::path::{Path, PathBuf};
use std::process::Command as Other;
use trochoid::bench::{Answer, Asked, Kind, Method, Workshop, answer};
use trochoid::blank::blank;
use trochoid::disk;
use trochoid::identify::{characteristic, feature, identify};
use trochoid::judge::{Grade, GradeSet};
use trochoid::quantity::Date;
use trochoid::record::Record;
use trochoid::report::blank::Head;
use trochoid::shop::{Ask, Checked, Shops};
use trochoid::text::Source;

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

fn checked(folder: &Path, file: &Path) -> Vec<Checked> {
    let shop = Shops::new(None).of(&folder.join("trochoid.yaml"));
    let record = Record::of(disk::read_source(file, disk::MOST_RECORD_BYTES).unwrap());
    let mut all = shop.check_all(&record, &Ask { tell: GradeSet::NOT_GOOD, ..Ask::default() }, &[]);
    all.iter_mut().for_each(|one| one.hold_against(Date::parse(TODAY)));
    all
}

#[test]
fn every_build_stands_on_the_first_page_with_the_grade_of_check() {
    let (folder, workshop) = kestrel();
    let page = page(&workshop, "/");
    let lines = all(&page, "tr.build");
    let shop = workshop.shop();
    let mut found = 0;
    for entry in std::fs::read_dir(folder.path().join("builds")).unwrap() {
        let file = entry.unwrap().path();
        let name = format!("builds/{}", file.file_name().unwrap().to_str().unwrap());
        let checked = checked(folder.path(), &file).remove(0);
        let line = lines.iter().find(|line| line.attr("data-file") == Some(&name)).unwrap();
        let word = text(line.select(&Selector::parse(".word").unwrap()).next().unwrap());
        assert_eq!(word, checked.grade.map_or("not judged", Grade::word), "{name}");
        let link = line.select(&Selector::parse("th a").unwrap()).next().unwrap();
        assert_eq!((text(link), link.attr("href")), (checked.build.clone(), Some(format!("/build/{name}").as_str())));
        let heading =
            line.ancestors().filter_map(ElementRef::wrap).find(|one| one.value().name() == "section").unwrap();
        let group = heading.attr("aria-labelledby").unwrap();
        let open = checked.finished.is_none() || checked.grade == Some(Grade::Unmeasured);
        assert_eq!(
            group,
            if open {
                "started"
            } else if checked.passes() {
                "pass"
            } else {
                "held"
            },
            "{name}"
        );
        if open {
            let id = shop.book.generation(checked.generation.as_ref().unwrap()).unwrap();
            let required = blank(&shop.book, shop.plan(id).unwrap(), None, &[]).required();
            assert!(text(*line).contains(&format!(" of {required} taken")), "{}", text(*line));
        }
        found += 1;
    }
    assert_eq!((found, lines.len()), (25, 25));
    // Those that may not leave stand first.
    let order: Vec<&str> =
        all(&page, "main section[aria-labelledby]").iter().filter_map(|one| one.attr("aria-labelledby")).collect();
    assert_eq!(order, ["held", "started", "pass", "mind"]);
    let size = get(&workshop, "/").body.len()
        + ["sheet.css", "bench.css", "icon.svg"]
            .map(|name| get(&workshop, &format!("/file/{name}")).body.len())
            .iter()
            .sum::<usize>();
    assert!(size < 150_000, "{size} bytes");
}

#[test]
fn words_find_builds() {
    let (_folder, workshop) = kestrel();
    let named = |target: &str| -> Vec<String> {
        all(&page(&workshop, target), "tr.build th a").into_iter().map(text).collect()
    };
    assert_eq!(named("/?find=k-0144"), ["K-0144"]);
    assert_eq!(named("/?find=OUT%20side_exhaust"), ["K-0160", "K-0144"]);
    assert!(named("/?find=letter+gap").contains(&"K-0143".to_owned()));
    assert!(named("/?find=nothing+says+this").is_empty());
    assert_eq!(named("/?find=%20").len(), 25);
}

#[test]
fn what_changes_on_the_disk_changes_the_pages() {
    let (folder, workshop) = kestrel();
    let grade = |workshop: &Workshop, name: &str| {
        workshop.look_again();
        let page = page(workshop, "/");
        let line = all(&page, "tr.build")
            .into_iter()
            .find(|line| line.attr("data-file") == Some(name))
            .map(|line| text(line.select(&Selector::parse(".word").unwrap()).next().unwrap()));
        line.unwrap_or_default()
    };
    let name = "builds/K-0141.yaml";
    assert_eq!(grade(&workshop, name), "good");
    let file = folder.path().join(name);
    let before = std::fs::read_to_string(&file).unwrap();
    std::fs::write(&file, before.replace("scratch_depth: 0.005 mm", "scratch_depth: 0.25 mm")).unwrap();
    assert_eq!(grade(&workshop, name), "out");
    std::fs::write(&file, &before).unwrap();
    assert_eq!(grade(&workshop, name), "good");
    // A part of the shelf that a build takes is read again as well.
    let own = folder.path().join("builds/K-0300.yaml");
    std::fs::write(&own, "build: K-0300\ngeneration: light_2mm\nparts: { rotor.front: R-900 }\n").unwrap();
    let parts = folder.path().join("shelf/one.yaml");
    std::fs::write(&parts, "part: rotor\ntag: R-900\nmeasured: 2026-11-20\ngeneration: light_2mm\ncracked: no\n")
        .unwrap();
    assert_eq!(grade(&workshop, "builds/K-0300.yaml"), "unmeasured");
    std::fs::write(&parts, "part: rotor\ntag: R-900\nmeasured: 2026-11-20\ngeneration: light_2mm\ncracked: yes\n")
        .unwrap();
    assert_eq!(grade(&workshop, "builds/K-0300.yaml"), "out");
    std::fs::remove_file(&own).unwrap();
    assert_eq!(grade(&workshop, "builds/K-0300.yaml"), "");
    // A rulebook with an error: nothing is judged, and the page says why.
    let book = folder.path().join("books/house.rulebook");
    std::fs::write(&book, std::fs::read_to_string(&book).unwrap() + "\nnonsense here\n").unwrap();
    assert_eq!(grade(&workshop, name), "not judged");
    assert!(!all(&page(&workshop, "/"), "#troubles").is_empty());
}

fn post(workshop: &Workshop, fields: &[(&str, &str)]) -> Answer {
    let body: Vec<String> = fields
        .iter()
        .map(|(name, value)| format!("{name}={}", value.bytes().map(|byte| format!("%{byte:02X}")).collect::<String>()))
        .collect();
    answer(workshop, &Asked::new(Method::Post, "/new", body.join("&").into_bytes()).unwrap())
}

/// Every file of a folder with its text.
fn files(folder: &Path) -> std::collections::BTreeMap<PathBuf, Vec<u8>> {
    let entries =
        walkdir::WalkDir::new(folder).into_iter().map(Result::unwrap).filter(|entry| entry.file_type().is_file());
    entries
        .map(|entry| (entry.path().strip_prefix(folder).unwrap().to_owned(), std::fs::read(entry.path()).unwrap()))
        .collect()
}

#[test]
fn a_new_build_is_an_empty_record_of_its_own() {
    let (folder, workshop) = kestrel();
    let before = files(folder.path());
    let asked = [("what", "build"), ("name", "K-0400"), ("generation", "light_2mm"), ("serial", "KR: 0400 #1")];
    let answer = post(&workshop, &asked);
    assert_eq!((answer.status, answer.to.as_deref()), (303, Some("/build/builds/K-0400.yaml")));
    let mut after = files(folder.path());
    let new = after.remove(Path::new("builds/K-0400.yaml")).unwrap();
    assert_eq!(before, after);
    // As `blank` writes it, but for the serial number.
    let shop = workshop.shop();
    let plan = shop.plan(shop.book.generation("light_2mm").unwrap()).unwrap();
    let head = Head { build: Some("K-0400"), finished: None };
    let written = String::from_utf8(new.clone()).unwrap();
    let but_serial =
        |text: &str| text.lines().filter(|line| !line.starts_with("serial:")).collect::<Vec<_>>().join("\n");
    let as_blank = trochoid::report::blank::write(&blank(&shop.book, plan, None, &[]), &head);
    assert!(but_serial(&written) == but_serial(&as_blank), "{written}");
    let checked = checked(folder.path(), &folder.path().join("builds/K-0400.yaml")).remove(0);
    assert_eq!((checked.build.as_str(), checked.grade, checked.record_errors), ("K-0400", Some(Grade::Unmeasured), 0));
    assert_eq!(trochoid::shop::named_in(&Record::of(Source::new("x", written))).1.as_deref(), Some("KR: 0400 #1"));
    let page = page(&workshop, "/");
    let line =
        all(&page, "tr.build").into_iter().find(|line| line.attr("data-file") == Some("builds/K-0400.yaml")).unwrap();
    assert!(text(line).contains(" 0 of "), "{}", text(line));
    // The same name again: nothing is touched, and what was typed is still there.
    let again = post(&workshop, &asked);
    assert_eq!((again.status, again.to), (409, None));
    let form = Html::parse_document(std::str::from_utf8(&again.body).unwrap());
    assert_eq!(all(&form, "#new-name")[0].attr("value"), Some("K-0400"));
    assert_eq!(all(&form, "#new-serial")[0].attr("value"), Some("KR: 0400 #1"));
    assert_eq!(text(all(&form, "#new-generation option[selected]")[0]).split(':').next(), Some("light_2mm"));
    assert!(text(all(&form, ".refused")[0]).contains("already"));
    assert!(all(&form, "details#new-build[open]").len() == 1);
    // A file that is no record of this name is not touched either.
    std::fs::write(folder.path().join("builds/K-0401.yaml"), "build: other\n").unwrap();
    let taken = post(&workshop, &[("what", "build"), ("name", "K-0401"), ("generation", "light_2mm")]);
    assert_eq!(taken.status, 409);
    assert_eq!(std::fs::read(folder.path().join("builds/K-0401.yaml")).unwrap(), b"build: other\n");
}

#[test]
fn a_new_part_lies_on_the_shelf() {
    let (folder, workshop) = kestrel();
    for (tag, generation) in [("R-900", "light_2mm"), ("R 901/x", "")] {
        let answer = post(&workshop, &[("what", "part"), ("name", tag), ("part", "rotor"), ("generation", generation)]);
        assert_eq!(answer.status, 303, "{tag}");
        let shelf = page(&workshop, "/shelf?kind=rotor");
        let line = all(&shelf, "tr.part").into_iter().find(|line| line.attr("data-tag") == Some(tag)).unwrap();
        let link = line.select(&Selector::parse("th a").unwrap()).next().unwrap();
        assert_eq!(link.attr("href"), answer.to.as_deref());
    }
    assert!(folder.path().join("shelf/R-900.yaml").exists() && folder.path().join("shelf/R 901_x.yaml").exists());
    assert_eq!(post(&workshop, &[("what", "part"), ("name", "R-900"), ("part", "rotor")]).status, 409);
    assert_eq!(post(&workshop, &[("what", "part"), ("name", "R-902"), ("part", "wheel")]).status, 422);
}

#[test]
fn nothing_is_written_elsewhere_or_by_who_may_not() {
    let outer = tempfile::tempdir().unwrap();
    let folder = outer.path().join("shop");
    copy(&root().join("examples/kestrel"), &folder);
    let shop = workshop(&folder);
    let before = files(outer.path());
    let long = "x".repeat(101);
    for name in ["", " ", "trochoid", "GAUGES", ".hidden", "a\u{0}b", "a\nb", &long] {
        let answer = post(&shop, &[("what", "build"), ("name", name), ("generation", "light_2mm")]);
        assert_eq!(answer.status, 422, "{name:?}");
    }
    for generation in ["", "no_such", "../light_2mm"] {
        assert_eq!(post(&shop, &[("what", "build"), ("name", "K-1"), ("generation", generation)]).status, 422);
    }
    assert_eq!(answer(&shop, &Asked::new(Method::Post, "/new", vec![0xff]).unwrap()).status, 400);
    assert_eq!(files(outer.path()), before);
    // What would lead elsewhere stays one step of a path in the folder of the builds.
    for (name, file) in [("../../up", ".._.._up"), ("/etc/x", "_etc_x"), ("C:\\x", "C__x"), ("con", "_con")] {
        let answer = post(&shop, &[("what", "build"), ("name", name), ("generation", "light_2mm")]);
        if file.starts_with('.') {
            assert_eq!(answer.status, 422, "{name}");
        } else {
            assert_eq!(answer.status, 303, "{name}");
            let text = std::fs::read_to_string(folder.join(format!("builds/{file}.yaml"))).unwrap();
            std::fs::remove_file(folder.join(format!("builds/{file}.yaml"))).unwrap();
            let read = checked_text(&shop, text);
            assert_eq!(read, name);
        }
    }
    assert_eq!(files(outer.path()), before);
    // For reading only.
    let read_only = Workshop::new(&folder, None, true, || Date::parse(TODAY));
    let answer = post(&read_only, &[("what", "build"), ("name", "K-1"), ("generation", "light_2mm")]);
    assert_eq!((answer.status, files(outer.path())), (403, before));
    assert!(all(&page(&read_only, "/"), "form[method=post]").is_empty());
    assert_eq!(all(&page(&shop, "/"), "form[method=post]").len(), 2);
}

fn checked_text(workshop: &Workshop, text: String) -> String {
    workshop.shop().check_source(&Source::new("x.yaml", text), &Ask::default()).build
}

#[test]
fn questions_lead_where_identify_does() {
    let (_folder, kestrel) = kestrel();
    let bare = tempfile::tempdir().unwrap();
    let shipped = workshop(bare.path());
    let mut ends = 0;
    for workshop in [&shipped, &kestrel] {
        let shop = workshop.shop();
        let book = &shop.book;
        for (id, generation) in book.generations.entries().filter(|(_, one)| !one.basis) {
            let mut query: Vec<(String, String)> = Vec::new();
            let (mut seen, mut passed) = (Vec::new(), Vec::new());
            loop {
                let target: Vec<String> =
                    query.iter().map(|(path, value)| format!("{path}={}", value.replace(' ', "+"))).collect();
                let page = page(workshop, &format!("/which?{}", target.join("&")));
                let hidden: Vec<(String, String)> = all(&page, "input[type=hidden]")
                    .iter()
                    .map(|one| (one.attr("name").unwrap().to_owned(), one.attr("value").unwrap().to_owned()))
                    .collect();
                let Some(button) = all(&page, "button[value='?']").into_iter().next() else {
                    let found = identify(book, seen, None, &passed);
                    let left: Vec<String> =
                        found.left().iter().map(|id| book.generations.get(*id).name.to_string()).collect();
                    let shown: Vec<String> = all(&page, "section.found h2").into_iter().map(text).collect();
                    assert_eq!(shown, left);
                    assert!(
                        left.contains(&generation.name.to_string()),
                        "{} is ruled out by its own telltales",
                        generation.name
                    );
                    ends += 1;
                    break;
                };
                assert_eq!(hidden, query, "the answers so far go along");
                let path = button.attr("name").unwrap().to_owned();
                assert!(!query.iter().any(|(known, _)| *known == path), "{path} is asked twice");
                let characteristic = characteristic(book, &path).unwrap();
                let telltale = generation.telltales.iter().find(|one| one.subject.characteristic == characteristic);
                let choices: Vec<String> =
                    all(&page, "input[type=radio]").iter().map(|one| one.attr("value").unwrap().to_owned()).collect();
                let value = telltale.and_then(|telltale| {
                    let written = telltale.range.place.text().split_whitespace().collect::<Vec<_>>().join(" ");
                    let value = written.split(" or ").next().unwrap().split(',').next().unwrap().to_owned();
                    (choices.is_empty() || choices.contains(&value)).then_some(value)
                });
                let value = value.filter(|value| feature(book, &path, value).is_ok()).unwrap_or_else(|| "?".to_owned());
                match value.as_str() {
                    "?" => passed.push(characteristic),
                    value => seen.extend(feature(book, &path, value).unwrap()),
                }
                query.push((path, value));
                assert!(query.len() < 100);
            }
            let _ = id;
        }
    }
    assert!(ends >= 10, "{ends}");
    // What cannot be read is said, and asked again with what was typed.
    let page = page(&shipped, "/which?apex_seal.thickness=thick");
    assert!(!text(all(&page, ".refused")[0]).is_empty());
    assert_eq!(all(&page, ".answers").len(), 0);
}

#[test]
fn every_row_of_a_generation_is_on_its_page() {
    let (_folder, workshop) = kestrel();
    let shop = workshop.shop();
    let list = page(&workshop, "/rules");
    let links: Vec<&str> = all(&list, "tbody th a").iter().map(|one| one.attr("href").unwrap()).collect();
    let named: Vec<_> = shop.book.generations.entries().filter(|(_, one)| !one.basis).collect();
    assert_eq!(links.len(), named.len());
    let mut own = 0;
    for ((id, generation), link) in named.into_iter().zip(links) {
        let page = page(&workshop, link);
        let mut shown: Vec<&str> = all(&page, "tr[data-row]").iter().map(|one| one.attr("data-row").unwrap()).collect();
        let mut rows: Vec<&str> = generation.rows.iter().map(|row| &*row.path).collect();
        for check in &shop.plan(id).unwrap().checks {
            assert!(shown.contains(&&*check.row.path), "{}", check.row.path);
        }
        shown.sort_unstable();
        rows.sort_unstable();
        assert_eq!(shown, rows, "{}", generation.name);
        let said = text(page.root_element());
        for row in &generation.rows {
            for told in [&row.texts.because, &row.texts.remedy, &row.texts.caution].into_iter().flatten() {
                let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
                assert!(said.contains(&told), "{}: {told}", row.path);
            }
        }
        let marked = all(&page, "tr.mind[data-row]").len();
        let changed = generation
            .rows
            .iter()
            .filter(|row| row.history.iter().any(|one| trochoid::judge::is_shop(one.kind)))
            .count();
        assert_eq!(marked, changed, "{}", generation.name);
        own += marked;
    }
    assert!(own > 10, "{own}");
}

#[test]
fn overdue_gauges_stand_first() {
    let (folder, _) = kestrel();
    let day = |day: &'static str| Workshop::new(folder.path(), None, false, move || Date::parse(day));
    let first = |workshop: &Workshop| -> Vec<String> {
        let page = page(workshop, "/gauges");
        all(&page, "main > table tbody tr").into_iter().map(text).collect()
    };
    let now = first(&day(TODAY));
    assert_eq!(now.len(), 10);
    assert!(now.iter().all(|line| !line.contains("overdue") && !line.contains("due in")), "{now:?}");
    let soon = first(&day("2026-12-13"));
    assert!(soon[0].contains("due in 30 days") && !soon[9].contains("due in"), "{soon:?}");
    let late = first(&day("2027-04-20"));
    assert!(late[0].contains("overdue by 98 days") && late[9].starts_with("feeler-2due today"), "{late:?}");
    assert!(first(&day("2027-01-13"))[0].contains("overdue by 1 day2"));
}

#[test]
fn sets_and_plans_are_those_of_the_commands() {
    let (folder, workshop) = kestrel();
    let run = |arguments: &[&str]| -> serde_json::Value {
        let output = assert_cmd::Command::cargo_bin("trochoid")
            .unwrap()
            .current_dir(folder.path())
            .args(arguments)
            .output()
            .unwrap();
        serde_json::from_slice(&output.stdout).unwrap()
    };
    for (target, arguments) in [
        ("/match?generation=light_2mm&only=rotor", &["match", "light_2mm", "--only", "rotor"][..]),
        (
            "/match?generation=light_2mm&given=duty%3Dstreet&complete=yes",
            &["match", "light_2mm", "--given", "duty=street", "--complete"],
        ),
        ("/match?generation=carbon_6mm", &["match", "carbon_6mm"]),
    ] {
        let found = run(&[arguments, &["--best", "3", "--format", "json"]].concat());
        let page = page(&workshop, target);
        let tags = |set: &serde_json::Value| -> Vec<String> {
            set["parts"].as_array().unwrap().iter().map(|part| part["tag"].as_str().unwrap().to_owned()).collect()
        };
        let mut wanted: Vec<Vec<String>> = found["sets"].as_array().unwrap().iter().map(tags).collect();
        wanted.extend(Some(&found["nearest"]).filter(|nearest| !nearest.is_null()).map(tags));
        let shown: Vec<Vec<String>> = all(&page, "section.set")
            .iter()
            .map(|set| set.select(&Selector::parse("tbody td").unwrap()).map(text).collect())
            .collect();
        assert_eq!(shown, wanted, "{target}");
        let left: Vec<&str> = found["left"]
            .as_array()
            .unwrap()
            .iter()
            .map(|one| one["tag"].as_str().unwrap())
            .filter(|tag| *tag != "…")
            .collect();
        let shown: Vec<String> = all(&page, "section[aria-labelledby=left] dt").into_iter().map(text).collect();
        assert!(left.iter().all(|tag| shown.iter().any(|one| one == tag)), "{target}: {left:?}");
    }
    assert!(text(all(&page(&workshop, "/match?generation=nothing"), ".refused")[0]).contains("nothing"));
    for name in ["builds/K-0143.yaml", "builds/K-0144.yaml", "builds/K-0141.yaml"] {
        let found = run(&["rework", name, "--format", "json"]);
        let page = page(&workshop, &format!("/rework/{name}"));
        assert_eq!(all(&page, ".plan > li").len(), found["records"][0]["steps"].as_array().unwrap().len(), "{name}");
        assert_eq!(all(&page, ".faults > li").len(), found["records"][0]["faults"].as_array().unwrap().len(), "{name}");
        assert!(!all(&page, ".cautions li").is_empty());
    }
}

#[test]
fn a_sheet_is_that_of_report_with_its_styles_in_files() {
    let (folder, workshop) = kestrel();
    for name in ["builds/K-0147.yaml", "builds/K-0144.yaml"] {
        let page = page(&workshop, &format!("/sheet/{name}"));
        let report = assert_cmd::Command::cargo_bin("trochoid")
            .unwrap()
            .current_dir(folder.path())
            .env("TROCHOID_TODAY", TODAY)
            .args(["report", name])
            .output()
            .unwrap();
        let report = Html::parse_document(std::str::from_utf8(&report.stdout).unwrap());
        // The command was run in the shop's folder.
        let here = format!("{}/", folder.path().canonicalize().unwrap().to_string_lossy());
        for part in ["main", "header"] {
            let shown = text(all(&page, part)[0]).replace(&here, "");
            assert!(shown == text(all(&report, part)[0]), "{name}: {shown}");
        }
        let style = all(&page, "link[rel=stylesheet]").last().unwrap().attr("href").unwrap().to_owned();
        let style = get(&workshop, &style);
        assert_eq!((style.status, style.kind), (200, Kind::Style));
        let rules = String::from_utf8(style.body).unwrap();
        assert!(rules.starts_with("@page{size:A4") && text(all(&report, "style")[0]).ends_with(&rules), "{rules}");
    }
    assert_eq!(get(&workshop, "/sheet/shelf/rotors.yaml").to.as_deref(), Some("/labels/shelf/rotors.yaml"));
    assert_eq!(
        all(&page(&workshop, "/labels/shelf/rotors.yaml"), ".label").len(),
        all(&page(&workshop, "/shelf?kind=rotor"), "tr.part").len()
    );
    assert_eq!(all(&page(&workshop, "/labels?tag=R-001"), ".label").len(), 1);
}

#[test]
fn what_is_not_there_is_said_with_a_way_on() {
    let (_folder, workshop) = kestrel();
    for target in [
        "/nowhere",
        "/rules/no_such",
        "/rules/light_2mm/x",
        "/rework/builds/K-9.yaml",
        "/rework/shelf/rotors.yaml?tag=nobody",
        "/rework/../Cargo.toml",
        "/sheet/%2e%2e/%2e%2e/etc/passwd",
        "/sheet/trochoid.yaml",
        "/sheet-style/x",
        "/labels/x",
        "/labels?kind=x",
        "/shelf?kind=x",
        "/new",
        "/gauges/x",
    ] {
        let answer = get(&workshop, target);
        assert_eq!((answer.status, answer.kind), (404, Kind::Html), "{target}");
        let page = Html::parse_document(std::str::from_utf8(&answer.body).unwrap());
        let on = all(&page, "main a")[0].attr("href").unwrap().to_owned();
        assert_eq!(get(&workshop, &on).status, 200, "{target} leads to {on}");
    }
    assert_eq!(get(&workshop, "/file/nothing.js").status, 404);
    assert_eq!(get(&workshop, "/file/%2e%2e/style.css").status, 404);
}

/// Every page that links lead to from the first one, but those of one build or part; each with its address.
fn every_page(workshop: &Workshop) -> Vec<(String, Answer)> {
    let mut open =
        vec!["/".to_owned(), "/which?rotor.pocket=machined".to_owned(), "/match?generation=small".to_owned()];
    let mut found: Vec<(String, Answer)> = Vec::new();
    while let Some(target) = open.pop() {
        let target = target.split('#').next().unwrap().to_owned();
        let own = |step: &str| target.starts_with(step);
        if target.is_empty() || own("/build/") || own("/part/") || found.iter().any(|(known, _)| *known == target) {
            continue;
        }
        // Answers lead to ever more answers.
        if own("/which?") && target.matches('=').count() > 1 {
            continue;
        }
        let answer = get(workshop, &target);
        assert_eq!(answer.status, 200, "{target}");
        if answer.kind == Kind::Html {
            let page = Html::parse_document(std::str::from_utf8(&answer.body).unwrap());
            for link in all(&page, "a[href], link[href]") {
                let to = link.attr("href").unwrap();
                assert!(to.starts_with('/') || to.starts_with('#'), "{target} leads to {to}");
                if !to.starts_with('#') {
                    open.push(to.to_owned());
                }
            }
        }
        found.push((target, answer));
    }
    found
}

/// Nothing on a page that its policy would not let in, and nothing twice that must be once.
fn lets_in_nothing(target: &str, page: &Html) {
    assert!(all(page, "style, img, iframe, object, embed, base, [style]").is_empty(), "{target}");
    for script in all(page, "script") {
        assert!(
            script.attr("src").is_some_and(|from| from.starts_with("/file/")) && text(script).is_empty(),
            "{target}"
        );
    }
    for element in all(page, "*") {
        for (name, value) in element.value().attrs() {
            assert!(!name.starts_with("on") && !value.trim_start().starts_with("javascript:"), "{target}: {name}");
        }
    }
    let mut ids: Vec<&str> = all(page, "[id]").iter().map(|one| one.attr("id").unwrap()).collect();
    ids.sort_unstable();
    let count = ids.len();
    ids.dedup();
    assert_eq!(ids.len(), count, "{target}: an id stands twice");
    assert_eq!(all(page, "main").len(), 1, "{target}");
    assert_eq!(all(page, "html[lang=en]").len(), 1, "{target}");
}

#[test]
fn every_link_leads_to_a_page_that_needs_nothing_else() {
    let (_folder, workshop) = kestrel();
    let pages = every_page(&workshop);
    assert!(pages.len() > 40, "{}", pages.len());
    for (target, answer) in pages.iter().filter(|(_, answer)| answer.kind == Kind::Html) {
        let page = Html::parse_document(std::str::from_utf8(&answer.body).unwrap());
        lets_in_nothing(target, &page);
    }
}

#[test]
fn hostile_texts_stay_texts() {
    let folder = tempfile::tempdir().unwrap();
    crate::pages::hostile(folder.path());
    let settings = folder.path().join("hostile/trochoid.yaml");
    std::fs::write(&settings, std::fs::read_to_string(&settings).unwrap() + "shelf: shelf.yaml\n").unwrap();
    let workshop = workshop(&folder.path().join("hostile"));
    let pages = every_page(&workshop);
    assert!(pages.len() > 15, "{}", pages.len());
    for (target, answer) in pages.iter().filter(|(_, answer)| answer.kind == Kind::Html) {
        let page = Html::parse_document(std::str::from_utf8(&answer.body).unwrap());
        lets_in_nothing(target, &page);
        assert!(!String::from_utf8_lossy(&answer.body).contains('\u{202e}'), "{target}");
    }
    // So do texts of the request.
    let hostile = "%22%3E%3Cscript%3Ealert(1)%3C/script%3E";
    for target in [
        "/?find=",
        "/?new=",
        "/rules/",
        "/shelf?kind=",
        "/match?generation=",
        "/rework/",
        "/which?",
        "/which?gap=",
        "/sheet/",
    ] {
        let answer = get(&workshop, &format!("{target}{hostile}"));
        let page = Html::parse_document(std::str::from_utf8(&answer.body).unwrap());
        lets_in_nothing(target, &page);
    }
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
    assert!(passed > 20 * OPENED.len() && last.ends_with(" passed, 0 failed"), "{said}\n{err}");
}
