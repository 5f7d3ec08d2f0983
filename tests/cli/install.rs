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

#[test]
fn each_shell_completes_every_command_and_flag() {
    let papers = Papers::new();
    for shell in ["bash", "zsh", "fish", "powershell"] {
        let ran = papers.run(&["completions", shell]);
        assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{shell}");
        for command in COMMANDS {
            assert!(ran.out.contains(command), "{shell}: {command}");
            for flag in flags(&papers, command) {
                // Fish and others write a long flag without its dashes.
                let plain = flag.trim_start_matches('-');
                assert!(ran.out.contains(plain), "{shell}: {command} {flag}");
            }
        }
    }
    assert_eq!(papers.run(&["completions", "abacus"]).status, 2);
}

#[test]
fn bash_completes_a_flag_that_was_begun() {
    let papers = Papers::new();
    papers.put("trochoid.bash", papers.run(&["completions", "bash"]).out);
    // Asked as bash itself asks: the words so far, and which of them is being written.
    let script = "source ./trochoid.bash; COMP_WORDS=(trochoid check --wit); COMP_CWORD=2; _trochoid trochoid --wit check; \
                  echo \"${COMPREPLY[@]}\"";
    let output = Command::new("bash").current_dir(papers.path()).args(["-c", script]).output().unwrap();
    assert_eq!(
        String::from_utf8_lossy(&output.stdout).trim(),
        "--within",
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}

#[test]
fn the_manual_has_a_page_for_each_command_with_every_flag() {
    let papers = Papers::new();
    assert_eq!(papers.run(&["manual", "pages"]).status, 0);
    let page = |name: &str| std::fs::read_to_string(papers.path().join("pages").join(name)).unwrap();
    let whole = page("trochoid.1");
    assert_eq!(papers.run(&["manual"]).out, whole);
    assert!(whole.contains(".TH trochoid 1"), "{whole}");
    for command in COMMANDS {
        let text = page(&format!("trochoid-{command}.1"));
        assert!(text.contains(&format!(".TH trochoid-{command} 1")), "{text}");
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
