//! `trochoid blank`: what it prints, what it refuses, and that what it prints is a record.

use super::Papers;
use scraper::{Html, Selector};

/// The pump's empty record.
const BLANK: &str = "\
# An empty record of small: an invented pump.
# Write each value after its colon; write `unknown` if it cannot be read. Lines that begin with # may stay as they
# are: a reading that may be left out (take its # away to write it), or a value calculated from others.
# Caution: What is cut cannot be put back.
build: P-7
finished:          # the day, as year-month-day
generation: small
# gauges:          # optional: what was measured with, where no gauges.yaml lists it

vane:    # mm
slot:    # mm
# wear:  # mm, optional; limit at most 0.02 mm
# gap = slot - vane: standard 0.05 to 0.10 mm, limit at most 0.15 mm
";

/// A machine with parts in parts, every kind of reading and of row.
const GEARS: &str = "\
rulebook \"Gears\" edition 2026-03-01
unit mm = 0.001 m
unit degC = 1 K zero at 273.15 K
constant pitch : mm
class letter = A, B, C, D, E, F, G, H, I
choice era = early, late
part box {
    era   : era
    mark  : letter
    title : text
    oil   : degC
    ratio : number
    part shaft at one, two {
        bent : yes/no
        derive play : mm = bearing.bore - largest of journal
        journal at left, right : mm, 2 readings or more
        part key { width : mm, exactly 3 readings }
    }
    part bearing at one, two {
        bore : mm
        part plug { torn : yes/no, optional }
    }
    part cover_plate { bow : mm }
    part empty_part { derive twice : mm = 2 * cover_plate.bow }
}
basis both \"what both have\" {
    constant pitch = 4 mm { from common practice }
    shaft.bent limit no { from common practice }
    shaft.play standard pitch / 100
        to pitch / 50  # as thin as oil
        limit at most 0.1 mm { from common practice }
    spread of shaft.journal limit at most 0.02 mm advisory where era is early { from memory }
    each of shaft.journal limit above 9 mm rounded to 0.1 mm { from common practice }
    each of shaft.journal.left limit at most 12 mm { from common practice }
    count of shaft.one.key.width limit at least 3 { from common practice }
}
generation big \"two shafts\" follows both {
    cover_plate.bow limit at most 0.2 mm { from common practice }
}
generation one_shaft \"one shaft\" follows both {
    fitted shaft at one
    fitted bearing at one
}
house \"Lapwing Gears\" {
    for big from 2026-06-01 {
        tighten cover_plate.bow limit at most 0.1 mm { because \"It leaked.\" }
    }
}
";

fn gears() -> Papers {
    let papers = Papers::new();
    papers.put("gears.rulebook", GEARS);
    papers
}

#[test]
fn the_record_is_printed_and_nothing_else() {
    let papers = Papers::new();
    let ran = papers.run(&["blank", "small", "--build", "P-7"]);
    assert_eq!((ran.status, &*ran.out, &*ran.err), (0, BLANK, ""));
}

#[test]
fn it_checks_as_unmeasured_and_half_filled_says_what_remains() {
    let papers = Papers::new();
    papers.put("builds/P-7.yaml", BLANK);
    let ran = papers.run(&["check", "builds", "--format", "plain"]);
    assert!(ran.out.contains("P-7.yaml: unmeasured: P-7, 1 row: 1 unmeasured, 1 skipped\n"), "{}", ran.out);
    assert!(ran.out.contains(": fault, row-unmeasured: pump: still to measure: vane, slot\n"), "{}", ran.out);
    assert_eq!((ran.out.matches("fault, ").count(), ran.status), (1, 1));
    papers.put("builds/P-7.yaml", BLANK.replace("vane: ", "vane: 2.00 mm"));
    let ran = papers.run(&["check", "builds", "--format", "plain"]);
    assert!(ran.out.contains(": fault, row-unmeasured: pump: still to measure: slot\n"), "{}", ran.out);
    let whole = BLANK.replace("vane: ", "vane: 2.00 mm").replace("slot: ", "slot: 2.07 mm");
    papers.put("builds/P-7.yaml", whole.replace("# wear:", "wear: 0.01 mm"));
    let ran = papers.run(&["check", "builds", "--format", "plain"]);
    assert!(ran.out.contains("P-7.yaml: good: P-7, 2 rows: all good\n"), "{}", ran.out);
    assert_eq!(ran.status, 0);
}

#[test]
fn every_kind_of_reading_and_row_has_its_words() {
    let ran = gears().run(&["blank", "big", "--books", "gears.rulebook", "--finished", "2026-05-31"]);
    assert_eq!((ran.status, &*ran.err), (0, ""));
    assert!(ran.out.contains("\n# The ranges are those in force on 2026-05-31.\n"), "{}", ran.out);
    let shaft = |name: &str, key: &str| {
        format!(
            "  {name}:
    bent:     # yes or no; limit no
    # play = bearing.bore - largest of journal: standard pitch / 100 to pitch / 50 (0.04 to 0.08 mm), limit at most
    #   0.1 mm
    journal:  # mm, 2 readings or more; spread of: limit at most 0.02 mm where era is early, advisory; each: limit
              # above 9 mm, rounded to 0.1 mm
      left:   # each: limit at most 12 mm
      right:
    key:
      width:  # mm, exactly 3 readings{key}
"
        )
    };
    let expected = format!(
        "build:                # the name of the build
finished: 2026-05-31
generation: big
# gauges:             # optional: what was measured with, where no gauges.yaml lists it

era:    # early or late
mark:   # A to I
title:  # words
oil:    # degC
ratio:  # number

shaft:
{}{}
bearing:
  one:
    bore:  # mm
    plug:
      # torn:  # yes or no, optional
  two:
    bore:  # mm
    plug:
      # torn:  # yes or no, optional

cover_plate:
  bow:  # mm; limit at most 0.2 mm
",
        shaft("one", "; count of: limit at least 3"),
        shaft("two", "")
    );
    let at = ran.out.find("build:").unwrap();
    assert_eq!(&ran.out[at..], expected);
}

#[test]
fn the_rows_are_those_of_the_day() {
    let papers = gears();
    let asked = |more: &[&str]| {
        let ran =
            papers.run(&[&["blank", "big", "--books", "gears.rulebook", "--only", "cover-plates"], more].concat());
        assert_eq!(ran.status, 0, "{}", ran.err);
        ran.out
    };
    for (more, most, said) in [
        (&[][..], "0.1 mm", "The ranges are the newest: no day was given."),
        (&["--finished", "2026-05-31"], "0.2 mm", "in force on 2026-05-31"),
        (&["--finished", "2026-06-01"], "0.1 mm", "in force on 2026-06-01"),
        (&["--finished", "2026-05-31", "--as-of", "2026-07-01"], "0.1 mm", "in force on 2026-07-01"),
        (&["--as-of", "2026-05-31"], "0.2 mm", "in force on 2026-05-31"),
    ] {
        let out = asked(more);
        assert!(out.contains(&format!("bow:  # mm; limit at most {most}\n")) && out.contains(said), "{more:?}: {out}");
        let finished = more.first() == Some(&"--finished");
        assert_eq!(out.contains("finished: 2026-0"), finished, "{more:?}: {out}");
    }
}

#[test]
fn parts_are_chosen_by_name_one_or_many() {
    let papers = gears();
    let keys = |only: &str| {
        let ran = papers.run(&["blank", "big", "--books", "gears.rulebook", "--only", only]);
        assert_eq!((ran.status, &*ran.err), (0, ""), "{only}");
        let body = ran.out.split_once("lists it\n").unwrap().1.to_string();
        let key = |line: &str| line.split(':').next().unwrap().to_string();
        body.lines()
            .filter(|line| !line.trim_start().starts_with('#') && line.contains(':'))
            .map(key)
            .collect::<Vec<_>>()
    };
    let bearing = ["bearing", "  one", "    bore", "    plug", "  two", "    bore", "    plug"];
    for only in ["bearing", "bearings", "BEARINGS"] {
        assert_eq!(keys(only), bearing, "{only}");
    }
    assert_eq!(keys("cover_plate"), ["cover_plate", "  bow"]);
    assert_eq!(keys("plates"), ["cover_plate", "  bow"]);
    // A part in a part comes with the way to it; what is asked for twice comes once.
    let key = ["shaft", "  one", "    key", "      width", "  two", "    key", "      width"];
    assert_eq!(keys("keys"), key);
    assert_eq!(keys("bearings, keys,bearing"), [&key[..], &bearing[..]].concat());
    assert_eq!(keys("box"), keys("box,keys"));
    assert_eq!(keys("box").len(), 5 + 1 + 2 * 7 + bearing.len() + 2);
    // A position that is not fitted is not asked for.
    let ran = papers.run(&["blank", "one_shaft", "--books", "gears.rulebook"]);
    assert!(ran.out.contains("\n  one:\n") && !ran.out.contains("two:"), "{}", ran.out);
}

#[test]
fn what_there_is_not_is_refused_with_the_nearest() {
    let papers = gears();
    for (generation, only, said) in [
        ("bgi", "", "trochoid: there is no generation called `bgi`; did you mean `big`?\n"),
        ("sedan", "", "trochoid: there is no generation called `sedan`; the generations are big and one_shaft\n"),
        (
            "both",
            "",
            "trochoid: `both` is a basis for generations, not a generation; the generations are big and one_shaft\n",
        ),
        ("big", "shaft,baering", "trochoid: there is no part called `baering`; did you mean `bearing`?\n"),
        ("big", "shfats", "trochoid: there is no part called `shfats`; did you mean `shafts`?\n"),
        (
            "big",
            "wheel",
            "trochoid: there is no part called `wheel`; the parts are shaft, key, bearing, plug, cover_plate and empty_part\n",
        ),
        ("big", "empty_part", "trochoid: the rulebooks require nothing of empty_part for generation big\n"),
        (
            "big",
            "shaft,",
            "trochoid: there is no part called ``; the parts are shaft, key, bearing, plug, cover_plate and empty_part\n",
        ),
    ] {
        let mut arguments = vec!["blank", generation, "--books", "gears.rulebook"];
        if !only.is_empty() {
            arguments.extend(["--only", only]);
        }
        let ran = papers.run(&arguments);
        assert_eq!((ran.status, &*ran.out, &*ran.err), (2, "", said));
    }
    papers.put("bad.rulebook", super::BOOK.replace("slot - vane", "slto - vane"));
    let ran = papers.run(&["blank", "small", "--books", "bad.rulebook"]);
    assert_eq!((ran.status, &*ran.out), (2, ""));
    assert!(ran.err.contains("bad.rulebook") && ran.err.contains("fault, name-unknown"), "{}", ran.err);
    let ran = papers.run(&["blank", "small", "--finished", "31.5.2026"]);
    assert_eq!((ran.status, &*ran.out), (2, ""));
}

#[test]
fn a_file_is_written_whole_and_never_over_another() {
    let papers = Papers::new();
    papers.put("builds/P-1.yaml", "a record\n");
    let read = |name: &str| std::fs::read_to_string(papers.path().join(name)).unwrap();
    let ran = papers.run(&["blank", "small", "--build", "P-7", "--output", "builds/P-7.yaml"]);
    assert_eq!((ran.status, &*ran.out, &*ran.err, &*read("builds/P-7.yaml")), (0, "", "", BLANK));
    let ran = papers.run(&["blank", "small", "-o", "builds/P-1.yaml"]);
    assert_eq!((ran.status, &*ran.out, &*read("builds/P-1.yaml")), (2, "", "a record\n"));
    assert_eq!(ran.err, "trochoid: builds/P-1.yaml already exists and was left unchanged; give another name\n");
    let ran = papers.run(&["blank", "small", "-o", "nowhere/P-1.yaml"]);
    assert_eq!(ran.err, "trochoid: nowhere/P-1.yaml cannot be written: there is no such folder\n");
    assert_eq!(ran.status, 2);
    let ran = papers.run(&["blank", "smal", "-o", "builds/P-8.yaml"]);
    assert!(ran.status == 2 && !papers.path().join("builds/P-8.yaml").exists());
    let left: Vec<_> =
        std::fs::read_dir(papers.path().join("builds")).unwrap().map(|one| one.unwrap().file_name()).collect();
    assert_eq!(left.len(), 2, "{left:?}");
    // The books are those of the folder the file is in.
    papers.put("other/trochoid.yaml", "books: [../gears.rulebook]\n");
    papers.put("gears.rulebook", GEARS);
    let ran = papers.run(&["blank", "big", "-o", "other/G-1.yaml"]);
    assert_eq!((ran.status, &*ran.err), (0, ""));
    assert!(read("other/G-1.yaml").contains("generation: big"));
}

/// Whatever a build is called, the record says so.
#[test]
fn every_name_of_a_build_is_read_as_it_was_given() {
    let papers = Papers::new();
    for name in [
        "P-7",
        "7",
        "no",
        "~",
        "a: b",
        "x # y",
        "\"quoted\"",
        "it's",
        "{a}",
        "-",
        " led ",
        "µ ü 漢",
        "tab\there",
        "a\nb",
        "back\\slash",
        "?",
        "*a",
        "&b",
        "!c",
        "%d",
        "@e",
        "`f`",
        "|",
        ">",
        "null",
    ] {
        let ran = papers.run(&["blank", "small", "--build", name]);
        assert_eq!(ran.status, 0, "{name:?}");
        let source = trochoid::text::Source::new("P.yaml", ran.out);
        let (sheet, findings) = trochoid::record::read(&source);
        assert!(findings.is_empty(), "{name:?}: {}", findings[0].message);
        let Some(trochoid::record::Node::Map(map)) = sheet.as_ref().and_then(|sheet| sheet.root()) else {
            panic!("{name:?}")
        };
        let (key, value) = map.entries().next().unwrap();
        assert_eq!((key.text(), value.as_scalar().unwrap().text()), ("build", name));
    }
}

/// The pages to write on: the same readings in the same order as the record, a box for each position, ranges beside.
#[test]
fn a_sheet_to_write_on_asks_what_the_record_asks() {
    let papers = Papers::new();
    let ran = papers.run(&["blank", "small", "--format", "html", "--build", "P-7 & <b>", "--paper", "letter"]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    let page = Html::parse_document(&ran.out);
    let select = |selector: &str| page.select(&Selector::parse(selector).unwrap()).collect::<Vec<_>>();
    let text = |element: &scraper::ElementRef<'_>| {
        element.text().collect::<String>().split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let names: Vec<String> = select("table.boxes tbody th b").iter().map(text).collect();
    let optional: Vec<String> = select(".optional b").iter().map(text).collect();
    assert_eq!((names.join(" "), optional.join(" ")), ("vane slot".into(), "wear".into()));
    let ranges: Vec<String> = select(".boxes .ranges, .optional .ranges").iter().map(text).collect();
    assert_eq!(ranges, ["limit at most 0.02 mm"]);
    let calculated: Vec<String> = select(".calculated").iter().map(text).collect();
    assert_eq!(calculated, ["calculated gap: standard 0.05 to 0.10 mm, limit at most 0.15 mm"]);
    assert_eq!((select("tr.asked .box").len(), select(".optional .box").len()), (2, 1));
    assert!(select("script, img").is_empty() && ran.out.contains("@page{size:letter;"));
    let said = text(&select("body")[0]);
    for words in [
        "P-7 & <b>",
        "What is cut cannot be put back.",
        "The maker's service documents, local codes and licensed practice come before them.",
        "signature",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    papers.put("sheet.html", "mine");
    let taken = papers.run(&["blank", "small", "--format", "html", "--output", "sheet.html"]);
    assert_eq!(taken.status, 2);
    assert_eq!(std::fs::read_to_string(papers.path().join("sheet.html")).unwrap(), "mine");
    // Of every shipped generation, a box for each reading that may not be left out, in the order of the empty record.
    let shop = trochoid::shop::Shop::shipped();
    let mut sheets = 0;
    for (id, generation) in shop.book.generations.entries() {
        let Some(plan) = shop.plan(id) else { continue };
        let required = trochoid::blank::blank(&shop.book, plan, None, &[]).required();
        let page =
            Html::parse_document(&papers.run(&["blank", &generation.name, "--books", SPECS, "--format", "html"]).out);
        let boxes = page.select(&Selector::parse("tr.asked .box").unwrap()).count();
        assert_eq!(boxes, required, "{}", generation.name);
        let yaml = papers.run(&["blank", &generation.name, "--books", SPECS]).out;
        let parts: Vec<String> = yaml
            .lines()
            .skip_while(|line| !line.is_empty())
            .filter_map(|line| {
                let key = line.strip_suffix(':')?;
                (!key.starts_with([' ', '#'])).then(|| key.replace('_', " "))
            })
            .collect();
        // A part stands among those that must be measured, or with all it has among what may be left out; in order in both.
        let headings = |selector: &str| -> Vec<String> {
            page.select(&Selector::parse(selector).unwrap()).map(|one| text(&one).to_lowercase()).collect()
        };
        let lists = [headings("main h2"), headings("main h3")];
        let mut last = [0, 0];
        for part in parts {
            let at =
                |list: &Vec<String>| list.iter().position(|one| *one == part || one.starts_with(&format!("{part} ")));
            let found = [at(&lists[0]), at(&lists[1])];
            assert!(found != [None, None], "{}: {part}: {lists:?}", generation.name);
            for (last, at) in last.iter_mut().zip(found) {
                let Some(at) = at else { continue };
                assert!(at >= *last, "{}: {part} stands too early: {lists:?}", generation.name);
                *last = at;
            }
        }
        sheets += 1;
    }
    assert!(sheets >= 8, "{sheets} generations");
}

const SPECS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/specs");
