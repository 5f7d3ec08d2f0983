//! Everything a folder of records and rulebooks can do wrong, through the real binary: each gets its own finding at its
//! place, a good record in the same run is still judged, and nothing hangs or stops.

use assert_cmd::Command;
use std::fs;
use std::time::Duration;

const BOOK: &str = "\
rulebook \"Pump\" edition 2026-03-01
unit mm = 0.001 m
unit \"µm\", um = 0.001 mm
unit \"°C\", degC = 1 K zero at 273.15 K
part pump {
    gap     : mm
    ratio   : number, optional
    sealed  : yes/no, optional
    warmth  : degC, optional
}
generation small \"an invented pump\" {
    pump.gap    limit at most 0.15 mm { from common practice }
    pump.ratio  limit exactly 9 { from common practice }
    pump.sealed limit no { from common practice }
    pump.warmth limit at most 90 degC { from common practice }
}
";

const GOOD: &str = "build: good\ngeneration: small\ngap: 0.10 mm\n";

struct Folder(tempfile::TempDir);

struct Said {
    out: String,
    status: i32,
}

impl Folder {
    /// A shop with a sound book and one good record.
    fn new() -> Folder {
        let folder = Folder::empty();
        folder.put("trochoid.yaml", "books: pump.rulebook\n");
        folder.put("pump.rulebook", BOOK);
        folder.put("builds/zz-good.yaml", GOOD);
        folder
    }

    fn empty() -> Folder {
        Folder(tempfile::tempdir().unwrap())
    }

    fn path(&self, name: &str) -> std::path::PathBuf {
        self.0.path().join(name)
    }

    fn put(&self, name: &str, text: impl AsRef<[u8]>) {
        let path = self.path(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }

    fn check(&self, arguments: &[&str]) -> Said {
        let mut command = Command::cargo_bin("trochoid").unwrap();
        command.current_dir(self.0.path()).arg("check").args(arguments).args(["--format", "plain"]);
        let output = command.timeout(Duration::from_secs(60)).output().unwrap();
        let err = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(!err.contains("panicked"), "{err}");
        let out = String::from_utf8(output.stdout).expect("what is printed is UTF-8, whatever was read");
        Said { out: out + &err, status: output.status.code().expect("it ends by itself") }
    }

    /// Puts one bad record beside the good one, checks both, and gives what was said.
    fn record(&self, text: impl AsRef<[u8]>) -> Said {
        self.put("builds/bad.yaml", text);
        let said = self.check(&["builds"]);
        assert!(said.out.contains("builds/zz-good.yaml: good"), "the rest went on: {}", said.out);
        assert_ne!(said.status, 0);
        said
    }
}

impl Said {
    /// Asserts that a line says `PLACE: severity, CODE: `.
    fn says(&self, place: &str, code: &str) -> &Said {
        let found = self.out.lines().any(|line| line.starts_with(place) && line.contains(&format!(", {code}: ")));
        assert!(found, "no {code} at {place} in:\n{}", self.out);
        self
    }
}

#[test]
fn an_empty_file_and_one_with_comments_only() {
    let folder = Folder::new();
    for text in ["", "\n\n", "# nothing yet\n", "\u{feff}", "---\n"] {
        let said = folder.record(text);
        said.says("builds/bad.yaml:1:1", "record-empty");
        assert_eq!(said.status, 2, "a record with nothing in it cannot be judged");
    }
}

#[test]
fn bytes_that_are_not_utf_8() {
    let folder = Folder::new();
    folder.record(b"build: bad\ngeneration: small\nnotes: caf\xe9\n").says("builds/bad.yaml:3:11", "not-utf8");
    let said = folder.record(b"\xff\xfeb\0u");
    assert!(said.out.contains("UTF-16"), "{}", said.out);
}

#[test]
fn a_byte_order_mark_carriage_returns_and_signs_of_two_bytes_do_not_move_the_place() {
    let folder = Folder::new();
    folder
        .record("\u{feff}build: bad\r\ngeneration: small\r\nnotes: { µ°: \"°\" }\r\ngap: 1\u{b5}m\r\nwarmth: 200 °C # µ\r\nsealed: JA\r\n")
        .says("builds/bad.yaml:5:9", "row-out")
        .says("builds/bad.yaml:6:9", "word-unknown");
}

#[test]
fn tabs_as_indentation() {
    let folder = Folder::new();
    folder
        .record("build: bad\ngeneration: small\nnotes:\n\tone: 1\ngap: 0.10 mm\n")
        .says("builds/bad.yaml:4:1", "yaml-unreadable");
}

#[test]
fn a_file_of_fifty_megabytes_is_not_read() {
    let folder = Folder::new();
    folder.put("builds/bad.yaml", "");
    fs::OpenOptions::new().write(true).open(folder.path("builds/bad.yaml")).unwrap().set_len(50 << 20).unwrap();
    let said = folder.check(&["builds"]);
    assert!(
        said.out.contains("file-too-large") && said.out.contains("50 MiB") && said.out.contains("1 MiB"),
        "{}",
        said.out
    );
    assert!(said.out.contains("builds/zz-good.yaml: good"));
    assert_eq!(said.status, 2);
}

#[test]
fn nesting_ten_thousand_deep() {
    let folder = Folder::new();
    folder
        .record(format!("a: {}{}\n", "[".repeat(10_000), "]".repeat(10_000)))
        .says("builds/bad.yaml:1:", "record-too-deep");
    let staircase: String = (0..1_000).map(|depth| format!("{}a:\n", " ".repeat(depth))).collect();
    folder.record(staircase).says("builds/bad.yaml:", "record-too-deep");
}

#[test]
fn an_alias_bomb_does_not_go_off() {
    let folder = Folder::new();
    let mut bomb = String::from("generation: small\na0: &a0 [x, x, x, x, x, x, x, x, x, x]\n");
    for level in 1..12 {
        let inner: Vec<String> = (0..10).map(|_| format!("*a{}", level - 1)).collect();
        bomb.push_str(&format!("a{level}: &a{level} [{}]\n", inner.join(", ")));
    }
    folder.record(bomb).says("builds/bad.yaml:", "alias-too-large");
}

#[test]
fn files_that_may_be_meant_as_records_are_named() {
    let folder = Folder::new();
    for name in
        ["builds/K-1.YAML", "builds/K-2.yaml.txt", "builds/old.xls", "builds/notes.md", "builds/K-3.verdict.json"]
    {
        folder.put(name, GOOD);
    }
    let said = folder.check(&["builds"]);
    let line =
        ", files-skipped: skipped 3 files that are not records: builds/K-1.YAML, builds/K-2.yaml.txt, builds/old.xls";
    assert!(said.out.contains(line), "{}", said.out);
    assert_eq!(said.status, 0, "a file passed over is worth a word and changes nothing");
    // Alone they are named too, and nothing was judged.
    let folder = Folder::empty();
    folder.put("builds/K-1.Yml", GOOD);
    let said = folder.check(&["builds"]);
    assert!(said.out.contains("skipped a file that is not a record: builds/K-1.Yml"), "{}", said.out);
    assert!(said.out.contains(", no-records: ") && said.status != 0, "{}", said.out);
}

#[test]
fn a_record_in_utf_16_is_read_and_its_places_are_those_of_its_text() {
    let text = GOOD.replace("gap:", "notes: µ 𝄞 is no fault\r\ngap:");
    let bad = format!("{}\nlabel: 𝄞 µ\ngap2: 1 mm\n", text.trim_end());
    for order in [u16::to_le_bytes, u16::to_be_bytes] {
        let bytes = |text: &str| -> Vec<u8> { format!("\u{feff}{text}").encode_utf16().flat_map(order).collect() };
        let folder = Folder::new();
        folder.put("builds/good16.yaml", bytes(&text));
        let said = folder.check(&["builds"]);
        assert!(said.out.contains("builds/good16.yaml: good"), "{}", said.out);
        let line = bad.lines().count();
        folder.record(bytes(&bad)).says(&format!("builds/bad.yaml:{line}:1"), "key-unknown");
    }
}

#[cfg(unix)]
#[test]
fn a_folder_that_holds_itself_is_walked_once() {
    let folder = Folder::new();
    std::os::unix::fs::symlink("..", folder.path("builds/again")).unwrap();
    let said = folder.check(&["."]);
    assert_eq!(said.out.matches("zz-good.yaml: good").count(), 1, "{}", said.out);
    assert!(said.out.contains(", folder-loop: "), "{}", said.out);
    assert_eq!(said.status, 0, "a loop is worth a word and changes nothing");
}

#[cfg(unix)]
#[test]
fn a_file_that_cannot_be_read() {
    let folder = Folder::new();
    std::os::unix::fs::symlink("nowhere.yaml", folder.path("builds/gone.yaml")).unwrap();
    // A pipe would block whoever opened it; one that may not be read needs a user who is not root.
    assert!(std::process::Command::new("mkfifo").arg(folder.path("builds/pipe.yaml")).status().unwrap().success());
    let said = folder.check(&["builds"]);
    assert_eq!(said.out.matches(", file-unreadable: ").count(), 2, "{}", said.out);
    assert!(said.out.contains("builds/zz-good.yaml: good"));
    assert_eq!(said.status, 2);
}

#[test]
fn books_that_are_not_there() {
    let folder = Folder::new();
    let said = folder.check(&["builds", "--books", "nowhere.rulebook"]);
    assert!(said.out.contains(", books-missing: "), "{}", said.out);
    assert_eq!(said.status, 2);
    folder.put("trochoid.yaml", "books: [pump.rulebook, none.rulebook]\n");
    let said = folder.check(&["builds"]);
    said.says("trochoid.yaml:1:", "books-missing");
    assert_eq!(said.status, 2);
    folder.put("trochoid.yaml", "shop: Lapwing Pumps\nboooks: pump.rulebook\n");
    let said = folder.check(&["builds"]);
    said.says("trochoid.yaml:", "settings-wrong");
    assert_eq!(said.status, 2);
}

#[test]
fn use_that_leads_nowhere_out_or_round() {
    let folder = Folder::new();
    folder.put("pump.rulebook", BOOK.replace("unit mm =", "use \"pats.rulebook\"\nunit mm ="));
    folder.put("parts.rulebook", "rulebook \"Parts\" edition 2026-03-01\n");
    folder.check(&["builds"]).says("pump.rulebook:2:5", "use-missing");
    assert!(folder.check(&["builds"]).out.contains("parts.rulebook"), "the nearest name is offered");

    let outside = Folder::empty();
    outside.put("outside.rulebook", "rulebook \"Outside\" edition 2026-03-01\n");
    outside.put("shop/trochoid.yaml", "books: pump.rulebook\n");
    outside.put("shop/pump.rulebook", BOOK.replace("unit mm =", "use \"../outside.rulebook\"\nunit mm ="));
    outside.put("shop/build.yaml", GOOD);
    let said = outside.check(&["shop/build.yaml"]);
    said.says("shop/pump.rulebook:2:5", "use-outside");
    assert_eq!(said.status, 2);

    let folder = Folder::new();
    folder.put("pump.rulebook", BOOK.replace("unit mm =", "use \"one.rulebook\"\nunit mm ="));
    folder.put("one.rulebook", "rulebook \"One\" edition 2026-03-01\nuse \"two.rulebook\"\n");
    folder.put("two.rulebook", "rulebook \"Two\" edition 2026-03-01\nuse \"pump.rulebook\"\n");
    let said = folder.check(&["builds"]);
    assert!(said.out.contains(", use-circle: "), "{}", said.out);
    for file in ["pump.rulebook", "one.rulebook", "two.rulebook"] {
        assert!(said.out.contains(file), "the whole circle is shown: {}", said.out);
    }
    assert_eq!(said.status, 2);
}

#[test]
fn a_number_of_ten_thousand_digits() {
    let folder = Folder::new();
    let said = folder.record(format!("build: bad\ngeneration: small\ngap: 0.{} mm\n", "1".repeat(10_000)));
    said.says("builds/bad.yaml:3:6", "number-unreadable");
    assert!(said.out.len() < 4_000, "ten thousand digits are not said again");
}

#[test]
fn scalars_that_readers_of_other_editions_would_change() {
    let folder = Folder::new();
    let of = |value: &str, key: &str| {
        folder.record(format!("build: bad\ngeneration: small\ngap: 0.90 mm\n{key}: {value}\n"))
    };
    // Read as base 60 this would be 541; it is nine to one.
    let said = of("9:1", "ratio");
    assert!(!said.out.contains("ratio") && said.out.contains("bad.yaml: out: bad, 2 rows: 1 out"), "{}", said.out);
    for value in ["9:1 mm", "0x1F", "1_000", "1e3", "９", "0b101", "190:20:30"] {
        of(value, "ratio").says("builds/bad.yaml:4:8", "number-unreadable");
    }
    // `NO` and `YES` are the mechanic's words in capitals; `OFF` is a truth value of other readers, and is asked about.
    let said = of("NO", "sealed");
    assert!(!said.out.contains("sealed") && said.out.contains("bad.yaml: out: bad, 2 rows: 1 out"), "{}", said.out);
    of("YES", "sealed").says("builds/bad.yaml:4:9", "row-out");
    let said = of("OFF", "sealed");
    said.says("builds/bad.yaml:4:9", "word-unknown");
    assert!(said.out.contains("write `no`"), "{}", said.out);
    for (value, mended) in [("0x1F", "`31`"), ("1_000", "`1000`"), ("1e3", "`1000`"), ("９", "`9`")] {
        assert!(of(value, "ratio").out.contains(mended), "{value} is mended to {mended}");
    }
}

#[test]
fn units_in_the_wrong_case_and_digits_of_the_wrong_width() {
    let folder = Folder::new();
    let said = folder.record("build: bad\ngeneration: small\ngap: 0.10 Mm\n");
    said.says("builds/bad.yaml:3:11", "unit-unknown");
    assert!(said.out.contains("did you mean `0.10 mm`?"), "{}", said.out);
    let said = folder.record("build: bad\ngeneration: small\ngap: ０.１０ mm\n");
    said.says("builds/bad.yaml:3:6", "number-unreadable");
    assert!(said.out.contains("`0.10 mm`"), "{}", said.out);
}

#[test]
fn many_mistakes_in_one_record_are_all_said() {
    let folder = Folder::new();
    let said = folder.record(
        "build: bad\ngeneration: small\nfinished: 2026-02-30\ngap: 0.10\nratio: nine\nsealed: perhaps\nwarmth: 20 K\nwidth: 3 mm\n",
    );
    said.says("builds/bad.yaml:3:11", "date-unreadable")
        .says("builds/bad.yaml:4:6", "unit-missing")
        .says("builds/bad.yaml:5:8", "number-unreadable")
        .says("builds/bad.yaml:6:9", "word-unknown")
        .says("builds/bad.yaml:7:12", "dimension-wrong")
        .says("builds/bad.yaml:8:1", "key-unknown");
    assert_eq!(said.status, 1);
}

#[test]
fn a_missing_or_unknown_generation_is_never_a_pass() {
    let folder = Folder::new();
    let said = folder.record("build: bad\ngap: 0.10 mm\n");
    said.says("builds/bad.yaml:1:1", "generation-missing");
    assert_eq!(said.status, 1);
    let said = folder.record("build: bad\ngeneration: smal\ngap: 0.10 mm\n");
    said.says("builds/bad.yaml:2:13", "generation-unknown");
    assert_eq!(said.status, 1);
}

#[test]
fn books_that_ask_for_too_much() {
    let folder = Folder::new();
    folder.put(
        "pump.rulebook",
        format!("rulebook \"Deep\" edition 2026-03-01\nunit x = {}1 m{}\n", "(".repeat(10_000), ")".repeat(10_000)),
    );
    folder.check(&["builds"]).says("pump.rulebook:2:", "nesting-too-deep");
    let doubling: String =
        (1..60).map(|n| format!("formula f{n}(x: number) : number = f{0}(x) + f{0}(x)\n", n - 1)).collect();
    folder.put("pump.rulebook", format!("{BOOK}formula f0(x: number) : number = x\n{doubling}"));
    folder.check(&["builds"]).says("pump.rulebook:", "book-too-complex");
    let nested = "part a at 1 to 1000 { part b at 1 to 1000 { gap : m } }\n";
    folder.put("pump.rulebook", format!("rulebook \"Wide\" edition 2026-03-01\npart pump {{ {nested} }}\n"));
    folder.check(&["builds"]).says("pump.rulebook:", "book-too-complex");
    assert_eq!(folder.check(&["builds"]).status, 2);
}

#[test]
fn sixty_thousand_unknown_keys_are_counted_and_a_hundred_shown() {
    let folder = Folder::new();
    let keys: String = (0..60_000).map(|n| format!("k{n}: 1\n")).collect();
    assert!(keys.len() < 1 << 20);
    let said = folder.record(format!("generation: small\n{keys}"));
    said.says("builds/bad.yaml:2:1", "key-unknown");
    assert_eq!(said.out.matches(", key-unknown: ").count(), 100);
    assert!(said.out.contains("59900 more of this kind in this record are not shown"));
}
