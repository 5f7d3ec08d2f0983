//! The tutorials run: in an empty folder their papers are written, their commands given, and they print what is shown.

use std::path::{Path, PathBuf};

fn path(tutorial: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(tutorial)
}

/// A fenced block: what stands behind the fence, and the lines inside with their place in the text.
struct Block {
    says: String,
    inside: std::ops::Range<usize>,
}

fn blocks(text: &str) -> Vec<Block> {
    let mut blocks: Vec<Block> = Vec::new();
    let (mut at, mut open) = (0, false);
    for line in text.split_inclusive('\n') {
        let end = at + line.len();
        match line.strip_prefix("```") {
            Some(_) if open => {
                blocks.last_mut().unwrap().inside.end = at;
                open = false;
            }
            Some(says) => {
                blocks.push(Block { says: says.trim().to_string(), inside: end..end });
                open = true;
            }
            None => {}
        }
        at = end;
    }
    assert!(!open, "a block is not closed");
    blocks
}

/// Runs a command as the tutorial gives it: what it prints, and its exit status.
fn run(folder: &Path, line: &str) -> (String, i32) {
    let arguments = line.strip_prefix("trochoid ").unwrap_or_else(|| panic!("not a command of ours: {line}"));
    let mut command = assert_cmd::Command::cargo_bin("trochoid").unwrap();
    let output = command.current_dir(folder).args(arguments.split_whitespace()).output().unwrap();
    let said = String::from_utf8(output.stdout).unwrap() + &String::from_utf8(output.stderr).unwrap();
    let said: Vec<&str> = said.lines().map(str::trim_end).collect();
    (said.join("\n").trim_end().to_string() + "\n", output.status.code().unwrap())
}

#[test]
fn the_first_house_tolerance_prints_what_it_shows() {
    every_step_prints_what_it_shows("specs/first-house-tolerance.md", 9);
}

#[test]
fn from_a_pile_to_an_engine_prints_what_it_shows() {
    every_step_prints_what_it_shows("specs/pile-to-engine.md", 8);
}

fn every_step_prints_what_it_shows(tutorial: &str, fewest: usize) {
    let text = std::fs::read_to_string(path(tutorial)).unwrap();
    let blocks = blocks(&text);
    let folder = tempfile::tempdir().unwrap();
    let mut blessed = text.clone();
    let (mut faults, mut steps) = (Vec::new(), 0);
    // From the last to the first the places in the text hold while it changes; so collect first.
    let mut changes = Vec::new();
    for (number, block) in blocks.iter().enumerate() {
        let inside = &text[block.inside.clone()];
        match block.says.split_once(' ') {
            Some(("sh", status)) => {
                let line = inside.trim();
                steps += 1;
                let shown = blocks.get(number + 1).filter(|next| next.says == "text");
                let shown = shown.unwrap_or_else(|| panic!("{line} shows nothing"));
                let (said, exit) = run(folder.path(), line);
                if exit.to_string() != status {
                    faults.push(format!("{line} ends with {exit}, not {status}:\n{said}"));
                }
                if said != text[shown.inside.clone()] {
                    faults
                        .push(format!("{line} says\n{said}\nand the tutorial shows\n{}", &text[shown.inside.clone()]));
                    changes.push((shown.inside.clone(), said));
                }
            }
            Some((_, name)) => {
                let before = &text[..block.inside.start];
                assert!(before.contains(&format!("`{name}`")), "the reader is not told to save {name}");
                let to = folder.path().join(name);
                std::fs::create_dir_all(to.parent().unwrap()).unwrap();
                std::fs::write(to, inside).unwrap();
            }
            None => assert_eq!(block.says, "text", "a block nobody runs"),
        }
    }
    assert!(steps >= fewest, "the commands were not found");
    if std::env::var_os("TROCHOID_BLESS").is_some() {
        for (place, said) in changes.into_iter().rev() {
            blessed.replace_range(place, &said);
        }
        std::fs::write(path(tutorial), blessed).unwrap();
        // A command that ends in another way than the text says is mended by hand, never blessed.
        faults.retain(|fault| fault.contains(" ends with "));
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
