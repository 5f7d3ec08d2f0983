//! Completion in the real shells and the manual under the real readers of manuals. Ignored, for it needs zsh, fish, mandoc, groff
//! and man, which `.ci/run` installs: `cargo test --test main -- --ignored shells`.

#![cfg(unix)]

use std::path::Path;
use std::process::{Command, Stdio};

/// A shop with the invented pump and one build, and where a shell looks for programs.
struct Shop {
    folder: tempfile::TempDir,
    path: String,
}

impl Shop {
    fn new() -> Shop {
        let folder = tempfile::tempdir().unwrap();
        let program = assert_cmd::cargo::cargo_bin("trochoid");
        let path = format!("{}:{}", program.parent().unwrap().display(), std::env::var("PATH").unwrap());
        let shop = Shop { folder, path };
        shop.put("trochoid.yaml", "books: [books/]\n");
        shop.put("books/pump.rulebook", super::cli::BOOK);
        shop.put("builds/P-1.yaml", "build: P-1\ngeneration: small\nvane: 2.00 mm\nslot: 2.07 mm\n");
        shop
    }

    fn put(&self, name: &str, text: &str) {
        let path = self.folder.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    /// What a program prints in the shop; a program that is not there fails the test.
    fn says(&self, program: &str, arguments: &[&str]) -> (String, String) {
        let mut command = Command::new(program);
        command.current_dir(self.folder.path()).env("PATH", &self.path).env("HOME", self.folder.path());
        command.env("LC_ALL", "C.UTF-8").stdin(Stdio::null());
        let output = command.args(arguments).output().unwrap_or_else(|error| panic!("{program}: {error}"));
        let [out, err] = [output.stdout, output.stderr].map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
        (out, err)
    }

    fn completions(&self, shell: &str) -> String {
        self.says("trochoid", &["completions", shell]).0
    }
}

/// What is typed, and what the shell must offer for it.
const TYPED: [(&str, &str); 6] = [
    ("blank sm", "small"),
    ("check --wit", "--within"),
    ("explain row-unm", "row-unmeasured"),
    ("explain builds/P-1.yaml pump.g", "pump.gap"),
    ("check builds/", "builds/P-1.yaml"),
    ("trend sl", "slot"),
];

#[test]
#[ignore = "needs fish, which .ci/run installs"]
fn fish_completes_names() {
    let shop = Shop::new();
    shop.put("trochoid.fish", &shop.completions("fish"));
    for (typed, offered) in TYPED {
        let script = format!("source trochoid.fish; complete -C 'trochoid {typed}'");
        let (out, err) = shop.says("fish", &["--no-config", "-c", &script]);
        let words: Vec<&str> = out.lines().filter_map(|line| line.split('\t').next()).collect();
        assert!(words.contains(&offered), "{typed}: {out}{err}");
    }
}

#[test]
#[ignore = "needs zsh, which .ci/run installs"]
fn zsh_completes_names() {
    let shop = Shop::new();
    shop.put("_trochoid", &shop.completions("zsh"));
    for (typed, offered) in TYPED {
        // The completion system is loaded as a user loads it; what it is handed in the end is printed.
        let words: Vec<String> = typed.split(' ').map(|word| format!("'{word}'")).collect();
        let script = format!(
            "autoload -Uz compinit && compinit -u -D && source ./_trochoid && (( $+_comps[trochoid] )) || exit 1\n\
             _describe() {{ print -rl -- \"${{(@P)3}}\"; }}\n\
             words=(trochoid {}); CURRENT=${{#words}}; $_comps[trochoid]",
            words.join(" ")
        );
        let (out, err) = shop.says("zsh", &["-f", "-c", &script]);
        let found = out.lines().any(|line| line == offered || line.starts_with(&format!("{offered}:")));
        assert!(found, "{typed}: {out}{err}");
    }
}

#[test]
#[ignore = "needs bash as users have it, which .ci/run has"]
fn bash_completes_names() {
    let shop = Shop::new();
    shop.put("trochoid.bash", &shop.completions("bash"));
    for (typed, offered) in TYPED {
        let words: Vec<&str> = typed.split(' ').collect();
        let (last, count) = (words.last().unwrap(), words.len());
        let script = format!(
            "source ./trochoid.bash; COMP_WORDS=(trochoid {typed}); COMP_CWORD={count}; COMP_TYPE=9; \
             _clap_complete_trochoid trochoid '{last}' ''; printf '%s\\n' \"${{COMPREPLY[@]}}\""
        );
        let (out, err) = shop.says("bash", &["--norc", "-c", &script]);
        assert!(out.lines().any(|line| line == offered), "{typed}: {out}{err}");
    }
}

#[test]
#[ignore = "needs mandoc, groff and man, which .ci/run installs"]
fn the_shells_manual_reads_every_page_without_a_complaint() {
    let shop = Shop::new();
    shop.says("trochoid", &["manual", "pages"]);
    let pages: Vec<String> = walkdir::WalkDir::new(shop.folder.path().join("pages"))
        .into_iter()
        .filter_map(Result::ok)
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| entry.path().display().to_string())
        .collect();
    assert!(pages.len() >= 18, "{pages:?}");
    for page in &pages {
        let name = Path::new(page).file_name().unwrap().to_string_lossy();
        let (out, err) = shop.says("mandoc", &["-T", "lint", "-W", "style", page]);
        // References are to the other pages here, which are not installed.
        let faults: Vec<&str> =
            out.lines().chain(err.lines()).filter(|line| !line.contains("referenced manual not found")).collect();
        assert_eq!(faults, Vec::<&str>::new(), "{name}");
        let (_, err) = shop.says("groff", &["-ww", "-man", "-Tutf8", "-z", page]);
        assert_eq!(err, "", "{name}");
        let (out, err) = shop.says("man", &["--warnings", "-l", page]);
        assert_eq!(err, "", "{name}");
        assert!(out.contains("EXIT STATUS") && out.contains("NAME"), "{name}: {out}");
    }
    // Examples stand as they are typed, one a line.
    let check = pages.iter().find(|page| page.ends_with("/trochoid-check.1")).unwrap();
    let (out, _) = shop.says("mandoc", &["-T", "ascii", "-O", "width=100", check]);
    let plain = out.replace("\u{8}", "");
    for line in ["trochoid check builds/ --format json > verdicts.json", "jq -c 'select(.passes == false) | .build'"] {
        assert!(plain.lines().any(|one| one.trim_end().ends_with(line)), "{line} in {plain}");
    }
}
