//! Completions and the manual: made by the program, whole, and with every command and flag that its help has.

use super::Papers;
use std::process::Command;

const COMMANDS: [&str; 17] = [
    "audit",
    "bench",
    "blank",
    "check",
    "completions",
    "explain",
    "identify",
    "import",
    "language-server",
    "list",
    "manual",
    "match",
    "prove",
    "report",
    "rework",
    "tidy",
    "trend",
];

/// The long flags of a command, as its help lists them.
fn flags(papers: &Papers, command: &str) -> Vec<String> {
    let help = papers.run(&[command, "--help"]).out;
    let mut flags: Vec<String> = help
        .lines()
        .map(str::trim_start)
        .filter(|line| line.starts_with('-'))
        .filter_map(|line| line.split([' ', ',', '[']).find(|word| word.starts_with("--")).map(str::to_owned))
        .collect();
    flags.sort();
    flags.dedup();
    assert!(flags.contains(&"--help".to_owned()), "{help}");
    flags
}

#[test]
fn every_command_is_known_here() {
    let papers = Papers::new();
    let help = papers.run(&["--help"]).out;
    let listed = help.split_once("Commands:").unwrap().1.split_once("\n\n").unwrap().0;
    let mut listed: Vec<&str> = listed.lines().filter_map(|line| line.split_whitespace().next()).collect();
    listed.sort_unstable();
    assert_eq!(listed, COMMANDS);
}

/// What the program offers a shell for the last of some words.
fn offered(papers: &Papers, shell: &str, words: &[&str]) -> Vec<String> {
    let mut command = Command::new(assert_cmd::cargo::cargo_bin("trochoid"));
    command.current_dir(papers.path()).env("TROCHOID_COMPLETE", shell);
    command.env("_CLAP_COMPLETE_INDEX", words.len().to_string()).env("_CLAP_IFS", "\n");
    let output = command.args(["--", "trochoid"]).args(words).output().unwrap();
    assert_eq!((output.status.code(), output.stderr.as_slice()), (Some(0), &b""[..]), "{shell} {words:?}");
    // Some shells are told what a word is as well, after a tab or a colon.
    let said = String::from_utf8(output.stdout).unwrap();
    said.lines().map(|line| line.split(['\t', ':']).next().unwrap().to_owned()).collect()
}

#[test]
fn each_shell_completes_every_command_and_flag() {
    let papers = Papers::new();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let ran = papers.run(&["completions", shell]);
        assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{shell}");
        assert!(ran.out.contains("TROCHOID_COMPLETE") && ran.out.contains("trochoid"), "{shell}: {}", ran.out);
        let commands = offered(&papers, shell, &[""]);
        for command in COMMANDS {
            assert!(commands.iter().any(|one| one == command), "{shell}: {command} in {commands:?}");
        }
    }
    for command in COMMANDS {
        let offered = offered(&papers, "bash", &[command, "--"]);
        for flag in flags(&papers, command) {
            assert!(offered.contains(&flag), "{command} {flag}: {offered:?}");
        }
    }
    assert_eq!(papers.run(&["completions", "abacus"]).status, 2);
}

#[test]
fn the_names_of_the_rulebooks_are_completed() {
    let papers = Papers::new();
    papers.build("P-1", 7);
    papers.put("builds/notes.txt", "no record");
    papers.put("other.rulebook", super::BOOK.replace("small", "tiny").replace("slot", "groove"));
    for (words, expected) in [
        (&["blank", "sm"][..], &["small"][..]),
        (&["blank", "--books", "other.rulebook", "t"], &["tiny"]),
        (&["blank", "--books=other.rulebook", "t"], &["tiny"]),
        (&["prove", "--generation", ""], &["small"]),
        (&["trend", "sl"], &["slot"]),
        (&["trend", "--books", "other.rulebook", "gr"], &["groove"]),
        (&["list", "rows", "s"], &["small"]),
        (&["list", "books", ""], &["books/pump.rulebook"]),
        (&["check", "builds/"], &["builds/P-1.yaml"]),
        (&["report", "builds/P"], &["builds/P-1.yaml"]),
        (&["explain", "row-un"], &["row-unsettled", "row-unmeasured"]),
        (&["explain", "builds/"], &["builds/P-1.yaml"]),
        (&["explain", "builds/P-1.yaml", "pump.g"], &["pump.gap"]),
        (&["explain", "builds/P-1.yaml", ""], &["pump.gap", "pump.wear"]),
    ] {
        // Where nothing was typed yet the flags come after the names.
        let names: Vec<String> =
            offered(&papers, "bash", words).into_iter().filter(|one| !one.starts_with('-')).collect();
        assert_eq!(names, expected, "{words:?}");
    }
    // A shop whose books have errors has no names; the shell is not told why.
    papers.put("books/pump.rulebook", "rulebook");
    assert_eq!(offered(&papers, "bash", &["blank", "sm"]), Vec::<String>::new());
}

#[test]
fn parts_are_completed_one_after_the_other() {
    let papers = Papers::new();
    let books = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/gearbox/books");
    let parts = offered(&papers, "bash", &["list", "--books", books, "readings", ""]);
    assert!(parts.len() > 3 && parts.contains(&"shaft".to_owned()), "{parts:?}");
    let one = parts[0].as_str();
    let second = offered(&papers, "bash", &["blank", "gearbox", "--books", books, "--only", &format!("{one},sha")]);
    assert!(second.contains(&format!("{one},shaft")), "{second:?}");
}

#[test]
fn bash_completes_a_flag_that_was_begun() {
    let papers = Papers::new();
    papers.put("trochoid.bash", papers.run(&["completions", "bash"]).out);
    // Asked as bash itself asks: the words so far, and which of them is being written.
    let script = "source ./trochoid.bash; complete -p trochoid >&2 || exit 1; COMP_WORDS=(trochoid check --wit); COMP_CWORD=2; COMP_TYPE=9; \
                  _clap_complete_trochoid trochoid --wit check; echo \"${COMPREPLY[@]}\"; \
                  COMP_WORDS=(trochoid blank sm); _clap_complete_trochoid trochoid sm blank; echo \"${COMPREPLY[@]}\"";
    let program = assert_cmd::cargo::cargo_bin("trochoid");
    let path = format!("{}:{}", program.parent().unwrap().display(), std::env::var("PATH").unwrap());
    let mut bash = Command::new("bash");
    let output = bash.current_dir(papers.path()).env("PATH", path).args(["-c", script]).output().unwrap();
    let err = String::from_utf8_lossy(&output.stderr);
    assert_eq!(String::from_utf8_lossy(&output.stdout).trim(), "--within\nsmall", "{err}");
}

#[test]
fn the_manual_has_a_page_for_each_command_with_every_flag() {
    let papers = Papers::new();
    assert_eq!(papers.run(&["manual", "pages"]).status, 0);
    let page = |name: &str| std::fs::read_to_string(papers.path().join("pages").join(name)).unwrap();
    let whole = page("trochoid.1");
    assert_eq!(papers.run(&["manual"]).out, whole);
    assert!(whole.starts_with(".TH TROCHOID 1 "), "{whole}");
    for command in COMMANDS {
        let text = page(&format!("trochoid-{command}.1"));
        assert!(text.starts_with(&format!(".TH TROCHOID-{} 1 ", command.to_uppercase())), "{text}");
        assert!(text.contains(".SH \"EXIT STATUS\"\n") && text.contains("141"), "{text}");
        assert!(!text.contains("SH EXTRA") && text.lines().all(|line| !line.is_empty()), "{text}");
        assert!(
            whole.contains(&format!("trochoid\\-{}(1)", command.replace('-', "\\-"))),
            "{command} is on the page of the program"
        );
        for flag in flags(&papers, command) {
            let written = flag.replace('-', "\\-");
            assert!(text.contains(&written), "{command} {flag}: {text}");
        }
    }
    papers.put("taken", "");
    let ran = papers.run(&["manual", "taken"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("cannot be written"), "{}", ran.err);
}
