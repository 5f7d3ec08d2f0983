//! `trochoid trend` from outside: what it draws of a small shop's builds, its document and its table, and what it refuses.

use super::{Papers, Ran};
use serde_json::Value;

/// An invented book for an invented pump. No row needs the clearance: it is worked out all the same.
const BOOK: &str = "\
rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
unit degC = 1 K zero at 273.15 K
choice era = early, late
part pump {
    duty : choice shop, field
    oil  : degC, optional
    part gear at drive, idle {
        width  : mm, 1 reading or more
        era    : era
        derive clearance : mm = cover.depth - largest of width
    }
    part cover at drive, idle {
        depth  : mm
        lapped : yes/no
    }
}
basis common \"what they share\" { }
generation small \"an invented pump\" follows common { gear.era limit early or late { from common practice } }
generation large \"another\" follows common { gear.era limit early or late { from common practice } }
";

fn shop() -> Papers {
    let papers = Papers(tempfile::tempdir().unwrap());
    papers.put("trochoid.yaml", "shop: Lapwing Pumps\nbooks: [books/]\n");
    papers.put("books/pump.rulebook", BOOK);
    papers
}

/// A build of the day, its drive cover so deep over gears of 20 mm; the idle gear is 0.05 mm wide of its cover.
struct Build<'a> {
    name: &'a str,
    day: usize,
    depth: &'a str,
    era: &'a str,
    more: &'a str,
}

impl Build<'_> {
    fn record(&self) -> String {
        let Build { name, day, depth, era, more } = self;
        let finished = if *day == 0 {
            String::new()
        } else {
            format!("finished: 2026-{:02}-{:02}\n", 1 + (day - 1) / 28, 1 + (day - 1) % 28)
        };
        format!(
            "build: '{name}'\n{finished}generation: small\nduty: field\n\
             gear:\n  drive: {{ width: [20 mm, 19.99 mm], era: {era} }}\n  idle: {{ width: 20.00 mm, era: early }}\n\
             cover:\n  drive: {{ depth: {depth} mm, lapped: yes }}\n  idle: {{ depth: 20.05 mm, lapped: no }}\n{more}"
        )
    }
}

/// The groups that another library compared, as builds: the first group early, the second late.
fn compared() -> (Papers, Value) {
    let library: Value = serde_json::from_str(include_str!("../outside/data/statistics_library.json")).unwrap();
    let entry = library["welch"][0].clone();
    let papers = shop();
    let mut day = 0;
    for (group, era) in [("first", "early"), ("second", "late")] {
        for value in entry[group].as_array().unwrap() {
            day += 1;
            let name = format!("P-{day:02}");
            // The clearance is the value itself: 20 mm of gear below.
            let depth = trochoid::quantity::Number::parse(value.as_str().unwrap()).unwrap()
                + trochoid::quantity::Number::from_integer(20);
            let record = Build { name: &name, day, depth: &depth.to_string(), era, more: "" }.record();
            papers.put(&format!("builds/{name}.yaml"), record);
        }
    }
    (papers, entry)
}

fn document(papers: &Papers, arguments: &[&str]) -> Value {
    let ran = papers.run(arguments);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{}", ran.out);
    serde_json::from_str(&ran.out).unwrap()
}

fn figure(value: &Value) -> f64 {
    value.as_str().map_or_else(|| value.as_f64().unwrap(), |text| text.parse().unwrap())
}

#[test]
fn the_comparison_of_groups_is_that_of_another_library() {
    let (papers, entry) = compared();
    let document = document(&papers, &["trend", "gear.clearance", "builds", "--by", "era", "--format", "json"]);
    assert_eq!(document["by"], "gear.era");
    assert_eq!(document["charts"][0]["path"], "gear.drive.clearance");
    let groups = &document["charts"][0]["groups"];
    assert_eq!((&groups["groups"][0]["name"], &groups["groups"][1]["name"]), (&"early".into(), &"late".into()));
    assert_eq!((&groups["groups"][0]["count"], &groups["groups"][1]["count"]), (&12.into(), &9.into()));
    let pair = &groups["pairs"][0];
    for (ours, theirs) in [("t", "t"), ("degrees_of_freedom", "freedom"), ("p", "p")] {
        let (found, expected) = (figure(&pair[ours]), figure(&entry[theirs]));
        assert!((found - expected).abs() <= 1e-8 * expected.abs(), "{ours}: {found} for {expected}");
    }
    // The idle gears are all early, and all the same.
    let idle = &document["charts"][1]["groups"];
    assert_eq!((&idle["groups"][0]["count"], idle["pairs"].as_array().unwrap().len()), (&21.into(), 0));
    // Together, every gear goes by its own era.
    let pooled = self::document(
        &papers,
        &["trend", "gear.clearance", "builds", "--together", "--by", "era", "--format", "json"],
    );
    assert_eq!(pooled["charts"].as_array().unwrap().len(), 1);
    assert_eq!(pooled["charts"][0]["groups"]["groups"][0]["count"], 33);
    assert_eq!(pooled["charts"][0]["points"][1]["path"], "gear.idle.clearance");
    // A part with the same positions is meant position by position; the whole machine has one answer for all.
    let lapped = self::document(
        &papers,
        &["trend", "gear.clearance", "builds", "--together", "--by", "cover.lapped", "--format", "json"],
    );
    let names: Vec<&Value> =
        lapped["charts"][0]["groups"]["groups"].as_array().unwrap().iter().map(|group| &group["name"]).collect();
    assert_eq!(names, ["no", "yes"]);
    let duty = self::document(&papers, &["trend", "gear.clearance", "builds", "--by", "duty", "--format", "json"]);
    assert_eq!(duty["charts"][0]["groups"]["groups"][0]["name"], "field");
}

/// What it prints of those builds is read and kept: `TROCHOID_BLESS=1` writes it anew.
#[test]
fn the_drawing_is_the_one_that_was_read() {
    let (papers, _) = compared();
    papers.put("builds/P-90.yaml", Build { name: "P-90", day: 0, depth: "22", era: "late", more: "" }.record());
    let unread = Build { name: "P-91", day: 99, depth: "22", era: "late", more: "" }.record();
    papers.put("builds/P-91.yaml", unread.replace("depth: 22 mm", "depth: unknown"));
    papers.put(
        "builds/P-92.yaml",
        Build { name: "P-92", day: 99, depth: "22", era: "late", more: "frame: 3\n" }.record(),
    );
    let ran = papers.run(&["trend", "gear.drive.clearance", "builds", "--by", "era", "--width", "80"]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cli/trend.txt");
    if std::env::var_os("TROCHOID_BLESS").is_some() {
        std::fs::write(&file, &ran.out).unwrap();
    }
    let expected = std::fs::read_to_string(file).unwrap();
    assert_eq!(ran.out, expected);
    assert!(ran.out.lines().all(|line| line.chars().count() <= 80), "{}", ran.out);
    for said in [
        "  - 1 record without its day, `finished` or `measured`: P-90\n",
        "  - 1 value not measured: P-91 gear.drive.clearance\n",
        "  - 1 record with errors, which `trochoid check` shows: builds/P-92.yaml\n",
    ] {
        assert!(ran.out.contains(said), "{}", ran.out);
    }
    // No colour and no letter beyond what is drawn; narrow papers have the table without the drawing.
    assert!(!ran.out.contains('\u{1b}'));
    let narrow = papers.run(&["trend", "gear.drive.clearance", "builds", "--width", "40"]);
    assert!(narrow.out.lines().all(|line| line.chars().count() <= 40), "{}", narrow.out);
}

/// The shop of the run test: eighteen builds, nine at one level and nine at another.
fn drifting() -> Papers {
    let papers = shop();
    for day in 1..=18_usize {
        let name = format!("P-{day:02}");
        let depth = format!("20.{:02}", 10 + 2 * (day % 2) + if day > 9 { 4 } else { 0 });
        papers.put(
            &format!("builds/{name}.yaml"),
            Build { name: &name, day, depth: &depth, era: "early", more: "" }.record(),
        );
    }
    papers
}

#[test]
fn a_run_and_a_value_beyond_the_limits_stand_out() {
    let papers = drifting();
    let document = document(&papers, &["trend", "gear.drive.clearance", "builds", "--format", "json"]);
    let chart = &document["charts"][0];
    let runs = chart["runs"].as_array().unwrap();
    let found: Vec<(u64, u64, u64, &str)> = runs
        .iter()
        .filter(|run| run["test"] == 2)
        .map(|run| (2, run["first"].as_u64().unwrap(), run["last"].as_u64().unwrap(), run["side"].as_str().unwrap()))
        .collect();
    assert_eq!(found, [(2, 0, 8, "below"), (2, 9, 17, "above")]);
    // By hand: five of 0.12, four of 0.10, four of 0.16 and five of 0.14, and every step is 0.02.
    assert_eq!((figure(&chart["centre"]), figure(&chart["mean_range"])), (0.13, 0.02));
    let high = figure(&chart["centre"]) + 3.0 * 0.02 * std::f64::consts::PI.sqrt() / 2.0;
    assert!((figure(&chart["high"]) - high).abs() < 1e-11);
    assert!(runs.iter().all(|run| run["test"] != 1));

    // The table says it too, in the width there is, and long names are cut.
    let long = "a build with a name longer than any table has room for";
    papers.put("builds/long.yaml", Build { name: long, day: 20, depth: "20.14", era: "late", more: "" }.record());
    for width in ["40", "60", "80", "100"] {
        let ran = papers.run(&["trend", "gear.drive.clearance", "builds", "--width", width]);
        let widest = ran.out.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= width.parse().unwrap(), "{widest} of {width}: {}", ran.out);
        let name = if width == "40" { "a build with a …" } else { "a build with a name lon…" };
        assert!(ran.out.contains(&format!("  2026-01-20  {name}  0.140 mm")), "{}", ran.out);
    }
    let wide = papers.run(&["trend", "gear.drive.clearance", "builds", "--width", "100"]);
    assert!(wide.out.lines().any(|line| line.contains("P-12") && line.ends_with("  test 2")), "{}", wide.out);
    std::fs::remove_file(papers.path().join("builds/long.yaml")).unwrap();

    papers.put("builds/P-19.yaml", Build { name: "P-19", day: 19, depth: "20.24", era: "late", more: "" }.record());
    let ran = papers.run(&["trend", "gear.drive.clearance", "builds", "--short"]);
    assert!(ran.out.contains("- P-19, finished 2026-01-19: 0.240 mm is above the upper limit of "), "{}", ran.out);
    assert!(ran.out.contains("- P-01 to P-09: 9 builds in a row below the centre (test 2)"), "{}", ran.out);
    assert!(ran.out.contains("- P-19 is 0.100 mm from the one before, more than "), "{}", ran.out);
    assert!(ran.out.lines().all(|line| !line.starts_with("  2026-")), "--short has no table: {}", ran.out);
}

#[test]
fn the_table_is_read_back_field_by_field() {
    let papers = shop();
    for (day, name) in [(1, "P, \"old\""), (2, "plain")] {
        papers.put(
            &format!("{day}.yaml"),
            Build { name, day, depth: "20.5", era: "late", more: "oil: 21.5 degC\n" }.record(),
        );
    }
    papers.put("3.yaml", Build { name: "no day", day: 0, depth: "20.5", era: "late", more: "" }.record());
    let ran = papers.run(&["trend", "oil", ".", "--by", "duty", "--format", "csv"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(ran.err.contains("1 record without its day"), "{}", ran.err);
    let rows: Vec<Vec<String>> = ran.out.lines().map(fields).collect();
    assert_eq!(rows.len(), 3);
    let cell = |row: usize, column: &str| &rows[row][rows[0].iter().position(|name| name == column).unwrap()];
    assert_eq!(cell(1, "build"), "P, \"old\"");
    assert!(ran.out.contains(",\"P, \"\"old\"\"\","), "{}", ran.out);
    assert_eq!((cell(2, "build").as_str(), cell(2, "finished").as_str()), ("plain", "2026-01-02"));
    assert_eq!(
        (cell(1, "value").as_str(), cell(1, "unit").as_str(), cell(1, "group").as_str()),
        ("21.5", "degC", "field")
    );
    // Differences on a scale are not read from its zero.
    assert_eq!((cell(2, "range").as_str(), cell(2, "range_high").as_str()), ("0", "0"));
    assert_eq!(cell(2, "high"), "21.5");
    assert!(rows.iter().all(|row| row.len() == rows[0].len()));
}

/// The fields of a line after RFC 4180.
fn fields(line: &str) -> Vec<String> {
    let (mut fields, mut field, mut quoted) = (Vec::new(), String::new(), false);
    let mut letters = line.chars().peekable();
    while let Some(letter) = letters.next() {
        match letter {
            '"' if quoted && letters.peek() == Some(&'"') => {
                letters.next();
                field.push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => fields.push(std::mem::take(&mut field)),
            letter => field.push(letter),
        }
    }
    assert!(!quoted, "{line}");
    fields.push(field);
    fields
}

#[test]
fn repeats_count_by_their_mean_unless_a_word_is_given() {
    let papers = shop();
    papers.put("1.yaml", Build { name: "P-1", day: 1, depth: "20.5", era: "late", more: "" }.record());
    papers.put("2.yaml", Build { name: "P-2", day: 2, depth: "20.5", era: "late", more: "" }.record());
    for (asked, expected) in [
        ("gear.drive.width", "19.995"),
        ("largest of gear.drive.width", "20"),
        ("spread of width", "0.01"),
        ("count of gear.drive.width", "2"),
    ] {
        let document = document(&papers, &["trend", asked, "1.yaml", "2.yaml", "--format", "json"]);
        assert_eq!(document["charts"][0]["points"][0]["value"], expected, "{asked}");
    }
    // The clearance goes by the widest place.
    let document = document(&papers, &["trend", "clearance", ".", "./1.yaml", "--format", "json"]);
    assert_eq!(document["charts"][0]["points"][0]["value"], "0.5");
    assert_eq!(document["charts"][0]["points"].as_array().unwrap().len(), 2, "a record named twice counts once");
}

#[test]
fn the_same_is_said_with_any_number_of_threads() {
    let (papers, _) = compared();
    let with = |threads| papers.run(&["trend", "gear.clearance", "builds", "--by", "era", "--threads", threads]).out;
    assert_eq!(with("1"), with("7"));
    assert!(with("1").contains("gear.idle.clearance: 21 builds"));
}

#[test]
fn generations_are_told_and_kept_apart() {
    let papers = drifting();
    let large = Build { name: "L-1", day: 40, depth: "20.5", era: "late", more: "" }.record();
    papers.put("builds/L-1.yaml", large.replace("generation: small", "generation: large"));
    let mixed = papers.run(&["trend", "clearance", "builds", "--short"]);
    assert!(mixed.out.contains("2 generations in one chart: large (1) and small (18)"), "{}", mixed.out);
    let small = papers.run(&["trend", "clearance", "builds", "--short", "--generation", "small"]);
    assert!(small.out.contains("\ngeneration small\n"), "{}", small.out);
    assert!(small.out.contains("1 of another generation\n"), "{}", small.out);
    refused(&papers.run(&["trend", "clearance", "builds", "-g", "smal"]), "did you mean `small`?");
    refused(&papers.run(&["trend", "clearance", "builds", "-g", "common"]), "there is no generation called `common`");
}

#[test]
fn a_name_cannot_steer_the_terminal() {
    let papers = shop();
    for day in 1..=4 {
        let record = Build { name: "P", day, depth: "20.5", era: "late", more: "" }.record();
        // Written so that the file has no such letter and the name has.
        papers.put(&format!("{day}.yaml"), record.replace("'P'", "\"P\\e[31m\\u202e\\nQ\""));
        if day == 2 {
            continue;
        }
        for form in ["text", "csv", "json"] {
            let ran = papers.run(&["trend", "gear.drive.clearance", ".", "--by", "era", "--format", form]);
            assert_eq!(ran.status, 0, "{}", ran.err);
            for said in [&ran.out, &ran.err] {
                assert!(!said.contains(['\u{1b}', '\u{202e}']), "{form}, {day}: {said}");
                assert!(!said.lines().any(|line| line.starts_with('Q')), "{form}, {day}: {said}");
            }
            assert!(ran.out.contains("[31m"), "{form}: {}", ran.out);
        }
    }
    // Words that are in no chart come by the same way.
    let ran = papers.run(&["trend", "clear\u{1b}[31mance", "."]);
    assert!(ran.status == 2 && !ran.err.contains('\u{1b}'), "{}", ran.err);
}

fn refused(ran: &Ran, said: &str) {
    assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{}", ran.err);
    assert!(ran.err.contains(said), "{}", ran.err);
}

#[test]
fn what_cannot_be_put_on_a_chart_is_refused() {
    let papers = drifting();
    for (arguments, said) in [
        (&["clearence"][..], "there is no characteristic called `clearence`; did you mean `clearance`?"),
        (&["gear.drive.era"], "gear.era is a choice and has no number for a chart; `--by gear.era`"),
        (&["gear.clearance", "--by", "depth"], "cover.depth is not a choice, a class, yes or no, or words"),
        (&["gear.clearance", "--by", "dutty"], "did you mean `duty`?"),
        (&["oil", "--by", "era"], "gear.era has several values for one build; write which position"),
        (&["oil"], "no build to put on a chart"),
    ] {
        let mut all = vec!["trend"];
        all.extend(arguments);
        all.push("builds");
        let ran = papers.run(&all);
        assert_eq!(ran.status, 2, "{arguments:?}: {}{}", ran.out, ran.err);
        assert!(format!("{}{}", ran.err, ran.out).contains(said), "{arguments:?}: {}{}", ran.out, ran.err);
    }
    papers.put("empty/nothing.txt", "");
    let ran = papers.run(&["trend", "clearance", "empty"]);
    assert!(ran.status == 2 && ran.err.contains("no records below empty/"), "{}", ran.err);
    let ran = papers.run(&["trend", "clearance", "builds", "nowhere", "--short"]);
    assert!(ran.status == 2 && ran.err.contains("path-missing") && ran.out.contains("18 builds"), "{}", ran.err);
    papers.put("builds/bad.yaml", "build: [");
    let ran = papers.run(&["trend", "clearance", "builds", "--short"]);
    assert!(
        ran.status == 2 && ran.out.contains("1 file that cannot be read: builds/bad.yaml"),
        "{}{}",
        ran.out,
        ran.err
    );
    papers.put("books/pump.rulebook", BOOK.replace("derive clearance : mm", "derive clearance : degC"));
    let ran = papers.run(&["trend", "clearance", "builds", "--short"]);
    assert!(ran.status == 2 && ran.err.contains("fault, "), "{}{}", ran.out, ran.err);
}

/// A length is put on the chart as it is judged: brought to 20 °C with the growth of the shop's own gauge, and the list is no
/// build. By hand: 80.00 mm × (1 + 10 × 10⁻⁶ × 10) / (1 + 20 × 10⁻⁶ × 10) = 79.992 001 6 mm; without the gauge 79.984 003 2 mm.
#[test]
fn a_length_taken_warm_is_brought_to_20_degrees_with_the_shops_gauges() {
    let papers = Papers(tempfile::tempdir().unwrap());
    papers.put("trochoid.yaml", "books: pump.rulebook\ngauges: builds/instruments.yaml\n");
    papers.put(
        "pump.rulebook",
        "rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
unit degC = 1 K zero at 273.15 K
unit \"um/m/K\" = 0.000001 / (1 K)
part pump {
    expansion 20 um/m/K ± 1 um/m/K { from common practice }
    bore : mm
}
generation small \"an invented pump\" { pump.bore limit at least 79 mm { from common practice } }
",
    );
    papers.put("builds/instruments.yaml", "bore-1: { expansion: 10 um/m/K ± 1 um/m/K, range: 50 to 100 mm }\n");
    papers.put(
        "builds/P-1.yaml",
        "build: P-1\nfinished: 2026-05-02\ngeneration: small\nbore: { value: 80.00 mm, gauge: bore-1, at: 30 degC }\n",
    );
    let document = |ran: Ran| -> Value { serde_json::from_str(&ran.out).unwrap() };
    let ran = papers.run(&["trend", "bore", "builds", "--format", "json"]);
    assert_eq!((ran.status, &*ran.err), (0, ""), "{}", ran.out);
    let trend = document(ran);
    assert_eq!(trend["left_out"]["errors"], serde_json::json!([]), "{trend}");
    let value: f64 = trend["charts"][0]["points"][0]["value"].as_str().unwrap().parse().unwrap();
    assert!((value - 79.992_001_6).abs() < 1e-6, "{value}");
    // A list that cannot be read is said, and the charts are drawn without it.
    papers.put("builds/instruments.yaml", "bore-1: { expansion: a lot }\n");
    let ran = papers.run(&["trend", "bore", "builds", "--format", "json"]);
    assert_eq!(ran.status, 2, "{}", ran.err);
    assert!(ran.err.contains("builds/instruments.yaml:1:"), "{}", ran.err);
    assert_eq!(document(ran)["charts"][0]["points"].as_array().unwrap().len(), 1);
}

/// Two generations whose clearances lie far apart, early and late gears in each, and a third with one group only.
fn generations() -> Papers {
    let papers = Papers(tempfile::tempdir().unwrap());
    papers.put(
        "pump.rulebook",
        "rulebook \"Pump\" edition 2026-03-01\nunit mm = 0.001 m\npart pump {\n  era : choice early, late\n  gap : mm\n}\n\
         generation small \"a\" { pump.gap limit at most 9 mm { from memory } }\n\
         generation large \"b\" { pump.gap limit at most 9 mm { from memory } }\n\
         generation other \"c\" { pump.gap limit at most 9 mm { from memory } }\n",
    );
    // Late gaps are 0.1 mm wider in each; most small pumps are early and most large ones late, so all together differ by far more.
    let builds = [
        ("small", "early", "1.0 1.1 0.9 1.0"),
        ("small", "late", "1.1 1.2"),
        ("large", "early", "5.0 5.1"),
        ("large", "late", "5.1 5.2 5.0 5.3"),
        ("other", "late", "3.0"),
    ];
    let mut day = 0;
    for (generation, era, gaps) in builds {
        for gap in gaps.split(' ') {
            day += 1;
            let record = format!(
                "build: P-{day}\ngeneration: {generation}\nfinished: 2026-04-{day:02}\nera: {era}\ngap: {gap} mm\n"
            );
            papers.put(&format!("builds/P-{day}.yaml"), record);
        }
    }
    papers
}

#[test]
fn groups_are_compared_within_their_generation() {
    let papers = generations();
    let asked = ["trend", "gap", "builds", "--books", "pump.rulebook", "--by", "era", "--short"];
    let text = papers.run(&asked).out;
    let by = text.split_once("  by era, each generation by itself:\n").unwrap().1;
    assert!(by.starts_with("    large:\n      early  2 builds  mean 5.05 mm"), "{by}");
    assert!(by.contains("\n    small:\n      early  4 builds  mean 1.00 mm"), "{by}");
    assert!(by.contains("      - late is 0.10 mm more than early"), "{by}");
    assert!(by.contains("    - only one group, so there is nothing to compare: other (1 late)\n"), "{by}");
    assert!(by.contains("2 pairs are compared"), "{by}");
    let document = document(&papers, &[&asked[..], &["--format", "json"]].concat());
    let groups = &document["charts"][0]["groups"];
    let said = |list: &Value, members: [&str; 3]| -> Vec<String> {
        let words = |one: &Value| members.map(|member| one[member].to_string().replace('"', "")).join(" ");
        list.as_array().unwrap().iter().map(words).collect()
    };
    let each = said(&groups["groups"], ["generation", "name", "count"]);
    assert_eq!(each, ["large early 2", "large late 4", "other late 1", "small early 4", "small late 2"]);
    let pairs = said(&groups["pairs"], ["generation", "first", "second"]);
    assert_eq!(pairs, ["large early late", "small early late"]);
    for pair in groups["pairs"].as_array().unwrap() {
        assert!((figure(&pair["difference"]) - 0.1).abs() < 0.16, "{pair}");
    }
    let table = papers.run(&[&asked[..], &["--format", "csv"]].concat()).out;
    let mut reader = csv::Reader::from_reader(table.trim_start_matches('\u{feff}').as_bytes());
    let heads = reader.headers().unwrap().clone();
    let at = |name: &str| heads.iter().position(|head| head == name).unwrap();
    for row in reader.records().map(Result::unwrap) {
        let mean: f64 = row[at("group_mean")].parse().unwrap();
        let value: f64 = row[at("value")].parse().unwrap();
        assert!((mean - value).abs() < 0.2, "{row:?}");
        assert_eq!(row[at("group_deviation")].is_empty(), &row[at("group_count")] == "1", "{row:?}");
    }
    // One generation alone is drawn as it always was.
    let one = papers.run(&[&asked[..], &["--generation", "small"]].concat()).out;
    assert!(one.contains("  by era:\n    early  4 builds  mean 1.00 mm"), "{one}");
}
