//! The first page, and the records that are begun from it.

use super::*;

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
    post_to(workshop, "/new", fields)
}

pub(super) fn post_to(workshop: &Workshop, target: &str, fields: &[(&str, &str)]) -> Answer {
    let body: Vec<String> = fields
        .iter()
        .map(|(name, value)| format!("{name}={}", value.bytes().map(|byte| format!("%{byte:02X}")).collect::<String>()))
        .collect();
    answer(workshop, &Asked::new(Method::Post, target, body.join("&").into_bytes()).unwrap())
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
    let but_serial = |text: &str| {
        text.lines().filter(|line| !line.trim_start_matches("# ").starts_with("serial:")).collect::<Vec<_>>().join("\n")
    };
    let as_blank = trochoid::report::blank::write(&blank(&shop.book, plan, None, &[]), &head);
    assert!(but_serial(&written) == but_serial(&as_blank), "{written}");
    let checked = checked(folder.path(), &folder.path().join("builds/K-0400.yaml")).remove(0);
    assert_eq!((checked.build.as_str(), checked.grade), ("K-0400", Some(Grade::Unmeasured)));
    // The one thing wrong with it is what is wrong with every build before it is finished.
    let errors: Vec<&str> = checked
        .findings
        .iter()
        .filter(|one| one.is_error())
        .map(|one| one.code.name())
        .filter(|code| *code != "row-unmeasured")
        .collect();
    assert_eq!(errors, ["finished-missing"]);
    assert_eq!(trochoid::shop::named_in(&Record::of(Source::new("x", written))).1.as_deref(), Some("KR: 0400 #1"));
    let page = page(&workshop, "/");
    let line =
        all(&page, "tr.build").into_iter().find(|line| line.attr("data-file") == Some("builds/K-0400.yaml")).unwrap();
    assert!(text(line).contains("light_2mm0 of "), "{}", text(line));
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
fn a_new_build_says_what_is_known_of_it() {
    let (folder, workshop) = kestrel();
    let own = |name: &'static str| [("what", "build"), ("name", name), ("generation", "light_2mm")];
    assert_eq!(post(&workshop, &own("K-0401")).status, 303);
    let asked = [&own("K-0402")[..], &[("given", "duty=track"), ("given", ""), ("serial", "402")]].concat();
    assert_eq!(post(&workshop, &asked).status, 303);
    let written = |name: &str| std::fs::read_to_string(folder.path().join(format!("builds/{name}.yaml"))).unwrap();
    let (bare, known) = (written("K-0401").replace("K-0401", "K-0402"), written("K-0402"));
    // One line more, and one line with its value; the rest is as it was.
    let changes: Vec<String> = similar::TextDiff::from_lines(&bare, &known)
        .iter_all_changes()
        .filter(|change| change.tag() != similar::ChangeTag::Equal)
        .map(|change| change.to_string().trim().to_owned())
        .collect();
    assert!(changes.len() <= 4, "{changes:?}");
    assert!(changes.iter().any(|line| line.starts_with("duty: track")), "{changes:?}");
    assert!(changes.iter().any(|line| line.starts_with("serial:") && line.contains("402")), "{changes:?}");
    assert_eq!(text(all(&page(&workshop, "/build/builds/K-0402.yaml"), "h1")[0]), "K-0402");
    for (given, says) in [("duty=nowhere", "no duty"), ("no_such=yes", "no no such"), ("rotor.front=x", "rotor.front")]
    {
        let asked = [&own("K-0403")[..], &[("given", given)]].concat();
        let answer = post(&workshop, &asked);
        assert_eq!(answer.status, 422);
        assert!(String::from_utf8(answer.body).unwrap().contains(says), "{given}");
        assert!(!folder.path().join("builds/K-0403.yaml").exists());
    }
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
