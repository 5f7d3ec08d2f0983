//! `trochoid report`: every ruling and every reading on the sheet, bars and dots where the figures say.

mod customer;
mod files;
mod index;

use super::Papers;
use scraper::{ElementRef, Html, Selector};
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::path::Path;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Runs the program in the repository.
fn run(arguments: &[&str]) -> (i32, String, String) {
    let mut command = assert_cmd::Command::cargo_bin("trochoid").unwrap();
    let output = command.current_dir(root()).args(arguments).output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

fn all<'a>(page: &'a Html, selector: &str) -> Vec<ElementRef<'a>> {
    page.select(&Selector::parse(selector).unwrap()).collect()
}

fn inside<'a>(element: ElementRef<'a>, selector: &str) -> Vec<ElementRef<'a>> {
    element.select(&Selector::parse(selector).unwrap()).collect()
}

/// The text a reader sees, white space folded.
fn text(element: ElementRef<'_>) -> String {
    element.text().collect::<String>().split_whitespace().collect::<Vec<_>>().join(" ")
}

fn number(element: ElementRef<'_>, attribute: &str) -> f64 {
    element.attr(attribute).unwrap_or_else(|| panic!("{attribute}: {}", element.html())).parse().unwrap()
}

/// The rows of the measurements by path, in their order.
fn rows(page: &Html) -> BTreeMap<String, Vec<ElementRef<'_>>> {
    let mut rows: BTreeMap<String, Vec<ElementRef<'_>>> = BTreeMap::new();
    for row in all(page, "table.measured tr[data-path]") {
        rows.entry(row.attr("data-path").unwrap().to_owned()).or_default().push(row);
    }
    rows
}

const BUILDS: [&str; 6] = [
    "examples/kestrel/builds/K-0144.yaml",
    "examples/kestrel/builds/K-0145.yaml",
    "examples/kestrel/builds/K-0147.yaml",
    "examples/whimbrel/builds/W-022.yaml",
    "examples/whimbrel/builds/W-023.yaml",
    "examples/gearbox/builds/L-032.yaml",
];

#[test]
fn every_ruling_and_finding_of_check_stands_on_the_sheet() {
    let mut told = 0;
    for build in BUILDS {
        let (status, page, err) = run(&["report", build]);
        let (expected, json, _) = run(&["check", build, "--format", "json"]);
        assert_eq!(status, expected, "{build}: {err}");
        let page = Html::parse_document(&page);
        let json: Value = serde_json::from_str(&json).unwrap();
        let checked = &json["records"][0];
        let shop = trochoid::shop::Shops::new(None).of(&root().join(build));
        // Each unit has one spelling on a sheet, whichever the record and the book use.
        let spelt = |text: &str| trochoid::handover::one_spelling(&shop.book.units, text).into_owned();
        let mut rows = rows(&page);
        for ruling in checked["rulings"].as_array().unwrap() {
            let path = ruling["path"].as_str().unwrap();
            let here = rows.get_mut(path).unwrap_or_else(|| panic!("{build}: nothing on {path}"));
            assert!(!here.is_empty(), "{build}: too few rows on {path}");
            let row = here.remove(0);
            let grade = ruling["grade"].as_str().map(|grade| grade.strip_prefix("advisory ").unwrap_or(grade));
            assert_eq!(row.attr("data-grade"), grade, "{build}: {path}");
            let said = text(row);
            let expanded = &ruling["uncertainty"]["expanded"];
            let members = [&ruling["value"], &ruling["standard"], &ruling["limit"], &ruling["beyond"], expanded];
            for member in members.map(Value::as_str).into_iter().chain([grade]).flatten() {
                let folded = spelt(&member.split_whitespace().collect::<Vec<_>>().join(" "));
                assert!(said.contains(&folded), "{build}: {path}: no `{folded}` in `{said}`");
            }
            for lacking in ruling["missing"].as_array().unwrap().iter().take(3) {
                assert!(
                    said.contains("not measured") && (said.contains(lacking.as_str().unwrap()) || lacking == path),
                    "{said}"
                );
            }
            assert_eq!(said.contains("advisory"), ruling["advisory"].as_bool().unwrap(), "{said}");
            told += 1;
        }
        assert!(rows.values().all(Vec::is_empty), "{build}: rows that nothing rules");
        // Rows that lack a reading have no finding on the sheet: the readings are listed, as many as the document says.
        let listed = all(&page, "section[aria-labelledby=missing] dt").len();
        assert_eq!(listed, checked["to_measure"].as_array().unwrap().len(), "{build}");
        let findings: Vec<&Value> = checked["findings"].as_array().unwrap().iter().collect();
        let findings: Vec<&Value> = findings.into_iter().filter(|one| one["code"] != "row-unmeasured").collect();
        let shown = all(&page, "li.finding");
        assert_eq!(shown.len(), findings.len(), "{build}");
        for finding in findings {
            let message = spelt(finding["message"].as_str().unwrap());
            let one = shown.iter().find(|one| text(inside(**one, ".message strong")[0]) == message);
            let one = one.unwrap_or_else(|| panic!("{build}: `{message}` is not told"));
            assert_eq!(one.attr("data-code"), finding["code"].as_str());
            for note in finding["notes"].as_array().unwrap() {
                assert!(
                    {
                        let words = note["text"].as_str().unwrap();
                        // What a book or a source says stands as it is written; a reading in a slip is spelt as on the sheet.
                        text(*one).contains(&if note["kind"] == "slip?" { spelt(words) } else { words.to_owned() })
                    },
                    "{build}: {note}"
                );
            }
        }
        let heading = text(all(&page, "h1")[0]);
        assert_eq!(Some(heading.as_str()), checked["build"].as_str());
        assert!(text(all(&page, ".verdict")[0]).starts_with(checked["grade"].as_str().unwrap()));
    }
    assert!(told > 800, "{told} rulings");
}

#[test]
fn bars_lie_where_the_figures_say() {
    let (mut bars, mut spreads, mut off) = (0, 0, 0);
    for build in BUILDS {
        let page = Html::parse_document(&run(&["report", build]).1);
        let table = run(&["check", build, "--format", "csv"]).1;
        let mut reader = csv::Reader::from_reader(table.trim_start_matches('\u{feff}').as_bytes());
        let names = reader.headers().unwrap().clone();
        let mut rows = rows(&page);
        for line in reader.records() {
            let line = line.unwrap();
            let cell = |name: &str| line.get(names.iter().position(|other| other == name).unwrap()).unwrap();
            let figure = |name: &str| cell(name).trim_start_matches('\'').parse::<f64>().ok();
            let path = cell("path");
            let row = rows.get_mut(path).unwrap().remove(0);
            let standard = [figure("standard_low"), figure("standard_high")];
            let limit = [figure("limit_low"), figure("limit_high")];
            let svgs = inside(row, "svg.bar");
            let ends: Vec<f64> = standard.into_iter().chain(limit).flatten().collect();
            assert_eq!(svgs.len(), usize::from(!ends.is_empty()), "{build}: {path}");
            let Some(svg) = svgs.first() else { continue };
            bars += 1;
            let (from, to) = (number(*svg, "data-from"), number(*svg, "data-to"));
            let width: f64 = svg.attr("viewBox").unwrap().split(' ').nth(2).unwrap().parse().unwrap();
            let at = |figure: f64| (figure - from) / (to - from) * width;
            let near = |one: f64, other: f64| (one - other).abs() < 0.002;
            for (class, ends) in [("standard", standard), ("limit", limit)] {
                let drawn = inside(*svg, &format!("rect.{class}"));
                let [low, high] = ends;
                assert_eq!(drawn.is_empty(), low.is_none() && high.is_none(), "{build}: {path}: {class}");
                if let Some(band) = drawn.first() {
                    let left = low.map_or(0.0, at);
                    assert!(near(number(*band, "x"), left), "{build}: {path}: {class} begins at {left}");
                    let right = high.map_or(width, at);
                    assert!(near(number(*band, "x") + number(*band, "width"), right), "{build}: {path}: {class}");
                }
                let ticks: Vec<f64> =
                    inside(*svg, &format!("line.{class}-end")).iter().map(|tick| number(*tick, "x1")).collect();
                let wanted: Vec<f64> = ends.into_iter().flatten().map(at).collect();
                assert_eq!(ticks.len(), wanted.len());
                assert!(
                    ticks.iter().zip(&wanted).all(|(tick, end)| near(*tick, *end)),
                    "{build}: {path}: {ticks:?} {wanted:?}"
                );
            }
            let value = figure("rounded").or(figure("value"));
            let reading = inside(*svg, "use.reading");
            assert_eq!(reading.len(), usize::from(value.is_some()), "{build}: {path}");
            let (Some(value), Some(reading)) = (value, reading.first()) else { continue };
            if (0.0..=width).contains(&at(value)) {
                assert!(near(number(*reading, "x"), at(value)), "{build}: {path}: {value}");
                assert_eq!(reading.attr("href"), Some(format!("#mark-{}", cell("grade")).as_str()));
                if let Some(spread) = cell("uncertainty").split(' ').next().and_then(|text| text.parse::<f64>().ok()) {
                    let line = inside(*svg, "path.spread")[0];
                    assert!(near(number(line, "data-left"), at(value - spread).clamp(0.0, width)), "{build}: {path}");
                    assert!(near(number(line, "data-right"), at(value + spread).clamp(0.0, width)), "{build}: {path}");
                    spreads += 1;
                }
            } else {
                assert_eq!(reading.attr("href"), Some("#mark-off"), "{build}: {path}: {value}");
                // Off to the left is turned round.
                assert_eq!(reading.attr("transform").is_some(), at(value) < 0.0);
                off += 1;
            }
        }
    }
    assert!(bars > 500 && spreads > 30 && off >= 1, "{bars} bars, {spreads} with uncertainty, {off} off");
}

#[test]
fn readings_stand_as_they_were_taken() {
    let (_, page, _) = run(&["report", "examples/kestrel/builds/K-0147.yaml"]);
    let page = Html::parse_document(&page);
    let said = text(all(&page, "body")[0]);
    // Written so in the record, judged or not, in whatever unit.
    for written in [
        "plug side 70.01 mm (mic-50-75)",
        "8.40 mm, 8.41 mm",
        "0.025 oz·in",
        "45 kgf·m",
        "74.049 mm (bore-50-100), 74.045 mm",
    ] {
        assert!(said.contains(written), "{written}");
    }
    let facts: Vec<String> = all(&page, ".facts div")
        .into_iter()
        .map(|one| inside(one, "dt, dd").into_iter().map(text).collect::<Vec<_>>().join(" "))
        .collect();
    for fact in ["shop Kestrel Rotary", "finished 2026-05-08", "serial KR-0147", "duty race"] {
        assert!(facts.iter().any(|one| one == fact), "{fact}: {facts:?}");
    }
    let gauges: Vec<String> = all(&page, "section[aria-labelledby=gauges] tbody tr")
        .into_iter()
        .map(|row| inside(row, "th, td").into_iter().map(text).collect::<Vec<_>>().join(" "))
        .collect();
    assert_eq!(gauges.len(), 8, "{gauges:?}");
    assert!(gauges[0].starts_with("mic-50-75 0.0020 mm not said 2026-01-12 2027-01-12 2 "), "{gauges:?}");
    let excused = Html::parse_document(&run(&["report", "examples/kestrel/builds/K-0146.yaml"]).1);
    let rows = all(&excused, "section[aria-labelledby=conceded] tbody tr");
    let record = std::fs::read_to_string(root().join("examples/kestrel/builds/K-0146.yaml")).unwrap();
    assert_eq!(rows.len(), record.matches("because:").count(), "each concession has its row");
    let cells: Vec<String> = inside(rows[0], "th, td").into_iter().map(text).collect();
    for word in ["row:", "because:", "by:"] {
        let said = record.lines().find_map(|line| line.trim_start_matches(['-', ' ', '{']).strip_prefix(word)).unwrap();
        assert!(cells.contains(&said.trim().trim_matches('"').to_owned()), "{said}: {cells:?}");
    }
}

#[test]
fn no_reading_of_a_record_is_left_out() {
    use trochoid::{disk, record, shop::Shops};
    let shops = Shops::new(None);
    let mut readings_seen = 0;
    for build in
        BUILDS.into_iter().chain(["examples/whimbrel/builds/W-021.yaml", "examples/kestrel/builds/K-0157.yaml"])
    {
        let source = disk::read_source(&root().join(build), disk::MOST_RECORD_BYTES).unwrap();
        let shop = shops.of(&root().join(build));
        let (sheet, _) = record::read(&source);
        let (readings, _) = shop.bind(&sheet.unwrap(), &source);
        let page = Html::parse_document(&run(&["report", build]).1);
        let said = text(all(&page, "body")[0]);
        let mut written: BTreeMap<String, usize> = BTreeMap::new();
        for reading in readings.all() {
            let value = source.slice(reading.span).trim();
            let temperature = reading.detail.as_ref().and_then(|detail| detail.temperature.as_ref());
            let at = temperature.map_or_else(String::new, |at| format!(" at {}", source.slice(at.span).trim()));
            let one = format!("{value}{at}");
            let spelt = trochoid::handover::one_spelling(&shop.book.units, &one).into_owned();
            *written.entry(spelt).or_default() += 1;
            readings_seen += 1;
        }
        for (one, count) in written {
            let shown = said.matches(&one).count();
            assert!(
                shown >= count,
                "{build}: `{one}` stands {count} times in the record and {shown} times on the sheet"
            );
        }
        if build.contains("W-021") {
            assert!(said.contains("80.011 mm at 26 ± 0.5 °C (mic-75-100)"));
        }
    }
    assert!(readings_seen > 1000, "{readings_seen} readings");
}

/// Parts in parts, positions in positions, rows that compare them at every depth. Invented.
const NESTED: &str = "\
rulebook \"Nested\" edition 2026-03-01
unit mm = 0.001 m
choice era = early, late
part box {
    part lid { torque : number
        part bolt at 1, 2 { era : era  length at top, foot : mm } }
    part shaft at one, two {
        era  : era
        bore : mm, 2 readings or more
        part gear at 1, 2, 3 { era : era  width : mm
            part tooth { era : era } }
    }
}
generation small \"small boxes\" {
    lid.torque limit at least 1 { from memory }
    bolt.era all the same across bolt { from memory }
    each of bolt.length limit at least 1 mm { from memory }
    spread of bolt.length limit at most 1 mm { from memory }
    shaft.era all the same across shaft { from memory }
    each of shaft.bore limit at least 1 mm { from memory }
    mean of shaft.bore limit at least 1 mm { from memory }
    gear.era all the same across gear { from memory }
    tooth.era all the same across shaft { from memory }
    gear.width limit at least 1 mm { from memory }
}
";

#[test]
fn no_ruling_is_lost_wherever_its_row_stands() {
    let gears =
        "{ 1: { era: early, width: 2 mm, tooth: { era: late } }, 2: { era: late, width: 3 mm }, 3: { era: early } }";
    let bolt = "{ era: early, length: { top: 2 mm, foot: 0.5 mm } }";
    let shaft = format!("{{ era: early, bore: [2 mm, 3 mm], gear: {gears} }}");
    let papers = Papers::new();
    papers.put("nested.rulebook", NESTED);
    let record = format!(
        "generation: small\nlid: {{ torque: 2, bolt: {{ 1: {bolt}, 2: {bolt} }} }}\nshaft: {{ one: {shaft}, two: {shaft} }}\n"
    );
    papers.put("box.yaml", record);
    let checked = papers.run(&["check", "box.yaml", "--books", "nested.rulebook", "--format", "json"]);
    let json: Value = serde_json::from_str(&checked.out).unwrap();
    let rulings = json["records"][0]["rulings"].as_array().unwrap();
    assert_eq!(rulings.len(), 24, "{}", checked.out);
    let page = Html::parse_document(&papers.run(&["report", "box.yaml", "--books", "nested.rulebook"]).out);
    let mut expected: Vec<(&str, &str)> =
        rulings.iter().map(|ruling| (ruling["path"].as_str().unwrap(), ruling["grade"].as_str().unwrap())).collect();
    let found = all(&page, "tr[data-path]");
    let mut found: Vec<(&str, &str)> =
        found.iter().map(|row| (row.attr("data-path").unwrap(), row.attr("data-grade").unwrap())).collect();
    // Parts in the book's order, and in each what compares its positions first.
    assert_eq!(found.first(), Some(&("lid.torque", "good")));
    expected.sort_unstable();
    found.sort_unstable();
    assert_eq!(found, expected);
    // So it is of every build there is.
    let shops = trochoid::shop::Shops::new(None);
    let mut builds = 0;
    for entry in walkdir::WalkDir::new(root().join("examples")).sort_by_file_name() {
        let path = entry.unwrap().into_path();
        if path.extension().is_none_or(|ending| ending != "yaml") || !path.to_string_lossy().contains("/builds/") {
            continue;
        }
        let source = trochoid::disk::read_source(&path, trochoid::disk::MOST_RECORD_BYTES).unwrap();
        let shop = shops.of(&path);
        let record = trochoid::record::Record::of(source);
        let counts = shop.look(&record, None, |plan, readings, verdict| {
            let handed = trochoid::handover::handover(&shop.book, plan, readings, verdict);
            (handed.rulings().count(), verdict.rulings.len(), handed.readings() + handed.facts.len(), readings.count())
        });
        let (handed, ruled, shown, taken) = counts.unwrap();
        assert_eq!(handed, ruled, "{}", path.display());
        // What the whole machine says in words may stand twice, as a fact and beside its row; none is left out.
        assert!(shown >= taken, "{}: {shown} of {taken}", path.display());
        builds += 1;
    }
    assert!(builds >= 33, "{builds} builds");
}

#[test]
fn digests_are_those_of_the_files() {
    let (_, page, _) = run(&["report", "examples/kestrel/builds/K-0147.yaml"]);
    let page = Html::parse_document(&page);
    let mut on_disk = 0;
    for row in all(&page, "table.digests tbody tr") {
        let file = text(inside(row, "th")[0]);
        let digest = text(*inside(row, "td").last().unwrap());
        assert_eq!(digest.len(), 64, "{file}");
        let file = file.strip_prefix("shipped ").map_or_else(|| file.clone(), |name| format!("specs/{name}"));
        let bytes = std::fs::read(root().join(&file)).unwrap_or_else(|error| panic!("{file}: {error}"));
        let expected: String = Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect();
        assert_eq!(digest, expected, "{file}");
        on_disk += 1;
    }
    assert!(on_disk > 5, "{on_disk} files");
}

#[test]
fn a_chart_has_every_value_where_it_lies() {
    let papers = Papers::new();
    let to = papers.path().join("out").to_string_lossy().into_owned();
    assert_eq!(run(&["report", "examples/kestrel/builds", "--to", &to]).0, 1);
    let index = Html::parse_document(&std::fs::read_to_string(papers.path().join("out/index.html")).unwrap());
    let generation = text(all(&index, "section.charts li a")[0]);
    let charts = std::fs::read_to_string(papers.path().join(format!("out/charts-{generation}.html"))).unwrap();
    let charts = Html::parse_document(&charts);
    let mut charted = 0;
    for figure in all(&charts, "figure") {
        let path = text(inside(figure, "figcaption b")[0]);
        if path.contains(" of ")
            || path != "rotor.side_clearance" && path != "end_play" && path != "rotor.bearing_clearance"
        {
            continue;
        }
        let trend = run(&[
            "trend",
            &path,
            "examples/kestrel/builds",
            "--generation",
            &generation,
            "--together",
            "--format",
            "json",
        ]);
        let trend: Value = serde_json::from_str(&trend.1).unwrap();
        let chart = &trend["charts"][0];
        let values: Vec<f64> = chart["points"]
            .as_array()
            .unwrap()
            .iter()
            .map(|point| point["value"].as_str().unwrap().parse().unwrap())
            .collect();
        let dots = inside(figure, "path.dots")[0].attr("d").unwrap();
        let dots = dots.split("h0").filter(|dot| !dot.is_empty());
        let dots: Vec<f64> = dots.map(|dot| dot.split(' ').nth(1).unwrap().parse().unwrap()).collect();
        assert_eq!(dots.len(), values.len(), "{path}: {:?}", text(figure));
        let low = (0..values.len()).min_by(|one, other| values[*one].total_cmp(&values[*other])).unwrap();
        let high = (0..values.len()).max_by(|one, other| values[*one].total_cmp(&values[*other])).unwrap();
        assert!(dots[high] < dots[low], "{path}: larger is higher");
        for (value, dot) in values.iter().zip(&dots) {
            let at = dots[low] + (value - values[low]) / (values[high] - values[low]) * (dots[high] - dots[low]);
            assert!((at - dot).abs() <= 0.2, "{path}: {value} at {dot}, not {at}");
        }
        let centre: f64 = chart["centre"].as_str().unwrap().parse().unwrap();
        let said = text(figure);
        let mean: f64 = said.split("mean ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
        assert!((mean - centre).abs() < 0.001, "{path}: {said}, {centre}");
        charted += 1;
    }
    assert!(charted >= 2, "{charted} charts of {generation}");
}
