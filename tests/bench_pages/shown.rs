//! What the other pages show: rules, gauges, questions, sets, plans, sheets; and that none lets anything else in.

use super::*;

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
fn a_gauge_is_shown_as_its_certificate_gives_it_and_with_what_moved() {
    let (folder, _) = kestrel();
    std::fs::write(
        folder.path().join("gauges.yaml"),
        "wrench-1: { uncertainty: 4 %, calibrated: 2026-01-12 }\nmic-2: { uncertainty: 2.4 um, correlated: { mic-1: 0.6 } }\nmic-1:\n  - { uncertainty: 2 um, k: 2.13, error: 1 um, \
         calibrated: 2025-01-10 }\n  - { uncertainty: 3 um, error: 4 um, calibrated: 2026-01-12 }\n",
    )
    .unwrap();
    let workshop = Workshop::new(folder.path(), None, false, move || Date::parse(TODAY));
    let said = text(page(&workshop, "/gauges").root_element());
    for shown in [
        "4 % of the reading (k = 2)",
        "0.0024 mmcorrelated with mic-1 (0.6)",
        "2025-01-10 to 2026-01-12: error +0.0010 mm to +0.0040 mm, moved by +0.0030 mm; uncertainty 0.0020 mm (k = 2.13) to \
         0.0030 mm; more than its uncertainty",
    ] {
        assert!(said.contains(shown), "{shown}: {said}");
    }
}

/// What the program answers in a folder.
pub(super) fn command(folder: &Path, arguments: &[&str]) -> std::process::Output {
    assert_cmd::Command::cargo_bin("trochoid").unwrap().current_dir(folder).args(arguments).output().unwrap()
}

#[test]
fn sets_and_plans_are_those_of_the_commands() {
    let (folder, workshop) = kestrel();
    let run = |arguments: &[&str]| -> serde_json::Value {
        serde_json::from_slice(&command(folder.path(), arguments).stdout).unwrap()
    };
    for (target, arguments) in [
        ("/match?generation=light_2mm&only=rotor", &["match", "light_2mm", "--only", "rotor"][..]),
        (
            "/match?generation=light_2mm&given=duty%3Dstreet&complete=yes",
            &["match", "light_2mm", "--given", "duty=street", "--complete"],
        ),
        ("/match?generation=carbon_6mm", &["match", "carbon_6mm"]),
        (
            "/match?generation=light_2mm&only=rotor&with=R-018&without=R-022,%20R-011",
            &["match", "light_2mm", "--only", "rotor", "--with", "R-018", "--without", "R-022", "--without", "R-011"],
        ),
        (
            "/match?generation=light_2mm&only=rotor&machines=2",
            &["match", "light_2mm", "--only", "rotor", "--builds", "2"],
        ),
        ("/match?generation=light_2mm&machines=all", &["match", "light_2mm", "--builds", "all"]),
    ] {
        let several: &[&str] = if arguments.contains(&"--builds") { &[] } else { &["--best", "3"] };
        let found = run(&[arguments, several, &["--format", "json"]].concat());
        assert!(!found["sets"].is_null(), "{found}");
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
    for (target, says) in [
        ("/match?generation=nothing", "no generation called nothing"),
        ("/match?generation=light_2mm&with=R-999x", "R-999x"),
        ("/match?generation=light_2mm&machines=0", "1 to 9 builds"),
        ("/match?generation=light_2mm&machines=many", "1 to 9 builds"),
    ] {
        let refused = text(all(&page(&workshop, target), ".refused")[0]);
        assert!(refused.contains(says), "{target}: {refused}");
    }
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
        assert!(
            rules.starts_with("@page{size:A4") && all(&report, "style")[0].text().collect::<String>().ends_with(&rules),
            "{rules}"
        );
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
