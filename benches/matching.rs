//! How long `match` takes over generated shelves: two rotors from 40 parts a kind, three from 550 parts, and the pairing of a
//! pile by mass.

use std::fmt::Write;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

/// Parts of a shelf, near their standards: most are good, some worn, a few out. Deterministic.
struct Shelf {
    state: u64,
}

impl Shelf {
    fn draw(&mut self, of: u64) -> u64 {
        self.state = self.state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.state >> 33) % of
    }

    /// The sum of three draws: most lie in the middle.
    fn near(&mut self, of: u64) -> u64 {
        (0..3).map(|_| self.draw(of.div_ceil(3) + 1)).sum()
    }

    /// Rotors of a generation: masses to the gram with the letter for it, widths to 0.01 mm.
    fn rotors(&mut self, generation: &str, count: usize) -> String {
        let mut text = format!("part: rotor\nmeasured: 2026-11-20\ngeneration: {generation}\nparts:\n");
        for number in 1..=count {
            let mass = 4330 + self.near(60);
            let letter = char::from(b'A' + u8::try_from((mass - 4330) / 13).unwrap().min(4));
            let width = 7984 + self.near(5);
            let bore = 74_030 + self.near(24);
            let _ = write!(
                text,
                "  - {{ tag: R-{number:03}, mass: 4.{} kg, weight_class: {letter}, casting: early, pocket: machined, \
                 width: [79.{} mm, 79.{} mm], bearing_bore: [74.{:03} mm, 74.{:03} mm], cracked: no, apex: {{",
                mass % 1000,
                width % 100,
                width % 100,
                bore % 1000,
                bore % 1000 - 4,
            );
            for apex in 1..=3 {
                let tip = width * 10 - 105 - self.near(40);
                let comma = if apex == 1 { "" } else { "," };
                let _ = write!(
                    text,
                    "{comma} {apex}: {{ land_height: 79.{:03} mm, tip_height: 79.{:03} mm }}",
                    width * 10 % 1000,
                    tip % 1000
                );
            }
            text.push_str(" } }\n");
        }
        text
    }

    fn housings(&mut self, count: usize) -> String {
        let mut text = String::from("part: housing\nmeasured: 2026-11-21\nparts:\n");
        for number in 1..=count {
            let width = 7996 + self.near(6);
            let at = |width: u64| format!("{}.{:02} mm", width / 100, width % 100);
            let _ = writeln!(
                text,
                "  - {{ tag: H-{number:03}, width: {{ plug_side: {}, b: {}, c: {}, d: {} }}, scratch_depth: 0.0{:02} mm, \
                 chipping: 0.{} mm, jacket_land: 1.{} mm }}",
                at(width),
                at(width - 1),
                at(width - self.draw(2)),
                at(width),
                1 + self.near(12),
                self.draw(9),
                self.draw(9)
            );
        }
        text
    }

    fn iron_faces(&mut self, count: usize) -> String {
        let mut text = String::from("part: iron_face\nmeasured: 2026-11-21\nparts:\n");
        for number in 1..=count {
            let _ = writeln!(
                text,
                "  - {{ tag: F-{number:03}, flatness: 0.0{} mm, step_inside: 0.00{} mm, step_outside: 0.0{} mm, \
                 oil_seal_step: 0.0{:02} mm, blued: no }}",
                1 + self.draw(4),
                1 + self.draw(9),
                1 + self.draw(8),
                1 + self.near(20)
            );
        }
        text
    }

    fn shafts(&mut self, count: usize) -> String {
        let mut text = String::from("part: shaft\nmeasured: 2026-11-22\nparts:\n");
        for number in 1..=count {
            let _ = writeln!(text, "  - {{ tag: S-{number:03}, runout: 0.0{} mm }}", 1 + self.draw(8));
        }
        text
    }
}

/// A shop with the example shop's books and so many rotors, housings, faces of irons and shafts.
fn shop(generation: &str, [rotors, housings, faces, shafts]: [usize; 4], seed: u64) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let books = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/kestrel/books");
    let put = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    std::fs::create_dir(folder.path().join("books")).unwrap();
    std::fs::create_dir(folder.path().join("shelf")).unwrap();
    for book in std::fs::read_dir(books).unwrap().map(Result::unwrap) {
        std::fs::copy(book.path(), folder.path().join("books").join(book.file_name())).unwrap();
    }
    put("trochoid.yaml", "books: [books/]\nshelf: shelf/\n");
    let mut shelf = Shelf { state: seed };
    put("shelf/rotors.yaml", &shelf.rotors(generation, rotors));
    if housings > 0 {
        put("shelf/housings.yaml", &shelf.housings(housings));
    }
    if faces > 0 {
        put("shelf/faces.yaml", &shelf.iron_faces(faces));
    }
    if shafts > 0 {
        put("shelf/shafts.yaml", &shelf.shafts(shafts));
    }
    folder
}

/// How long the real program takes on one core, and its last line.
fn time(folder: &Path, arguments: &[&str]) -> (Duration, String) {
    let began = Instant::now();
    let output = Command::new(env!("CARGO_BIN_EXE_trochoid"))
        .args(arguments)
        .current_dir(folder)
        .env("RAYON_NUM_THREADS", "1")
        .output()
        .unwrap();
    let time = began.elapsed();
    let text = String::from_utf8_lossy(&output.stdout);
    let last = text.lines().last().unwrap_or_default().to_owned();
    assert!(output.status.code().is_some_and(|code| code <= 2) && !last.is_empty(), "{arguments:?}: {output:?}");
    (time, last)
}

/// Prints all figures of this file.
pub fn figures(smoke: bool) {
    let note = if smoke { ", with a few parts only" } else { "" };
    println!("\nmatch, the real program on one core, generated shelves{note}:");
    let (few, many, runs) = if smoke { (6, [6, 6, 8, 3], 1) } else { (40, [200, 200, 100, 50], 3) };
    let asked: [(&str, &str, [usize; 4], &[&str]); 5] = [
        ("two rotors, 40 parts a kind", "light_2mm", [few, few, few, 0], &[]),
        ("three rotors, 550 parts", "three_boosted", many, &[]),
        ("two engines at once, rotors and housings", "light_2mm", [few, few, 0, 0], &["--builds", "2"]),
        ("pairs of 40 rotors by mass", "light_2mm", [few, 0, 0, 0], &["--only", "rotor", "--least", "mass_gap"]),
        ("pairs of 200 rotors by mass", "light_2mm", [many[0], 0, 0, 0], &["--only", "rotor", "--least", "mass_gap"]),
    ];
    for (name, generation, counts, more) in asked {
        for seed in 1..=runs {
            let folder = shop(generation, counts, seed);
            let (time, last) = self::time(folder.path(), &[&["match", generation], more].concat());
            println!("  {name}, shelf {seed}: {:.2} s   {last}", time.as_secs_f64());
        }
    }
}
