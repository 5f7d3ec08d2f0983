//! The git hook and the job for a code host, as they lie in `examples/hook`, run in repositories of an invented shop.

#![cfg(unix)]

use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::Command;

fn file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/hook").join(name)
}

fn text(name: &str) -> String {
    std::fs::read_to_string(file(name)).unwrap()
}

/// Where a shell looks for programs, this one first.
fn path_with_the_program() -> String {
    let program = assert_cmd::cargo::cargo_bin("trochoid");
    format!("{}:{}", program.parent().unwrap().display(), std::env::var("PATH").unwrap())
}

/// An invented pump whose gap may be so many millimetres.
fn book(limit: &str) -> String {
    format!(
        "rulebook \"An invented pump\" edition 2026-03-01\nunit mm = 0.001 m\npart pump {{ gap : mm }}\n\
         generation small \"20 mm gears\" {{ pump.gap limit at most {limit} mm {{ from memory }} }}\n"
    )
}

fn build(name: &str, gap: &str) -> String {
    format!("build: {name}\ngeneration: small\ngap: {gap} mm\n")
}

/// A repository of a shop, with the hook in place.
struct Repository {
    /// Kept for as long as the repository is used.
    folder: tempfile::TempDir,
    tree: PathBuf,
}

impl Repository {
    fn new() -> Repository {
        let folder = tempfile::tempdir().unwrap();
        let tree = folder.path().join("a shop");
        std::fs::create_dir(&tree).unwrap();
        let repository = Repository { folder, tree };
        assert!(repository.git(&["init", "-q", "."]).0);
        let hook = repository.tree.join(".git/hooks/pre-commit");
        std::fs::copy(file("pre-commit"), &hook).unwrap();
        assert!(std::fs::metadata(&hook).unwrap().permissions().mode() & 0o100 != 0, "the hook may be run");
        repository.put("trochoid.yaml", "shop: Lapwing Pumps\nbooks: [books/]\n");
        repository.put("books/pump.rulebook", &book("0.20"));
        repository
    }

    fn put(&self, name: &str, text: &str) {
        let path = self.tree.join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    /// Runs git, and gives whether it did as it was told, with all that was printed.
    fn git(&self, arguments: &[&str]) -> (bool, String) {
        let who = ["-c", "user.name=Bench", "-c", "user.email=bench@example.invalid", "-c", "commit.gpgsign=false"];
        let mut git = Command::new("git");
        git.current_dir(&self.tree).env("PATH", path_with_the_program()).env("GIT_CONFIG_GLOBAL", "/dev/null");
        for name in ["GIT_DIR", "GIT_INDEX_FILE", "GIT_WORK_TREE"] {
            git.env_remove(name);
        }
        let output = git.args(who).args(arguments).output().unwrap();
        let said = [output.stdout, output.stderr].map(|bytes| String::from_utf8_lossy(&bytes).into_owned()).concat();
        (output.status.success(), said)
    }

    /// Stages everything and commits.
    fn commit(&self) -> (bool, String) {
        assert!(self.git(&["add", "-A"]).0);
        self.git(&["commit", "-q", "-m", "a change"])
    }

    /// Commits, and asserts that it was let through without a word.
    fn passes(&self, what: &str) {
        let (done, said) = self.commit();
        assert!(done && !said.contains("fault"), "{what}: {said}");
    }

    /// Commits, and asserts that it was stopped; gives what was printed.
    fn is_stopped(&self, what: &str) -> String {
        let (done, said) = self.commit();
        assert!(!done, "{what}: {said}");
        said
    }
}

#[test]
fn the_hook_is_short_and_plain() {
    let hook = text("pre-commit");
    assert!(hook.starts_with("#!/bin/sh\n") && hook.lines().count() <= 20, "{} lines", hook.lines().count());
    // `sh -n` reads it with whatever shell is there; Debian's has nothing beyond POSIX.
    assert!(Command::new("sh").arg("-n").arg(file("pre-commit")).status().unwrap().success());
}

#[test]
fn a_build_that_is_out_stops_the_commit_and_is_named() {
    let repository = Repository::new();
    repository.passes("a shop without records");
    repository.put("builds/P-1.yaml", &build("P-1", "0.15"));
    repository.passes("a sound build");
    repository.put("builds/P-2.yaml", &build("P-2", "0.22"));
    repository.put("builds/P-3.yaml", &build("P-3", "2"));
    let said = repository.is_stopped("two builds that are out");
    for line in [
        "builds/P-2.yaml:3:6: fault, row-out: gap is 0.22 mm, 0.02 mm over its limit of at most 0.20 mm",
        "builds/P-3.yaml:3:6: fault, row-out: gap is 2 mm, 1.8 mm over its limit of at most 0.20 mm",
        "    books/pump.rulebook:4:49: declared here",
    ] {
        assert!(said.contains(line), "{line} in {said}");
    }
    assert!(!said.contains("P-1"), "what passes is not named: {said}");
}

#[test]
fn what_is_staged_is_judged_and_not_what_lies_in_the_folder() {
    let repository = Repository::new();
    repository.put("builds/P-1.yaml", &build("P-1", "0.15"));
    assert!(repository.git(&["add", "-A"]).0);
    repository.put("builds/P-1.yaml", &build("P-1", "0.99"));
    assert!(repository.git(&["commit", "-q", "-m", "staged"]).0, "what is staged is good");
    assert!(repository.git(&["add", "-A"]).0);
    repository.put("builds/P-1.yaml", &build("P-1", "0.15"));
    let (done, said) = repository.git(&["commit", "-q", "-m", "staged"]);
    assert!(!done && said.contains("gap is 0.99 mm"), "{said}");
    // `commit -a` and `commit PATH` stage in an index of their own.
    assert!(repository.git(&["reset", "-q", "--hard"]).0);
    repository.put("builds/P-1.yaml", &build("P-1", "0.88"));
    for arguments in [&["commit", "-q", "-a", "-m", "all"][..], &["commit", "-q", "-m", "one", "builds/P-1.yaml"][..]] {
        let (done, said) = repository.git(arguments);
        assert!(!done && said.contains("gap is 0.88 mm"), "{said}");
    }
}

#[test]
fn builds_that_were_out_before_stop_nobody() {
    let repository = Repository::new();
    repository.put("builds/P-1.yaml", &build("P-1", "0.22"));
    repository.put("builds/P-2.yaml", &build("P-2", "0.15"));
    assert!(repository.git(&["add", "-A"]).0 && repository.git(&["commit", "-q", "--no-verify", "-m", "one"]).0);
    repository.put("builds/P-1.yaml", &build("P-1", "0.23"));
    repository.passes("another reading of a build that was out");
    repository.put("builds/P-2.yaml", &build("P-2", "0.24"));
    let said = repository.is_stopped("a build that was good");
    assert!(said.contains("builds/P-2.yaml:3:6: fault, row-out") && !said.contains("P-1"), "{said}");
}

#[test]
fn a_rule_that_fails_a_build_that_left_is_stopped() {
    let repository = Repository::new();
    repository.put("builds/P-1.yaml", &build("P-1", "0.15"));
    repository.passes("a sound build");
    repository.put("books/pump.rulebook", &book("0.14"));
    let said = repository.is_stopped("a rule that fails P-1");
    assert!(said.contains("builds/P-1.yaml:3:6: fault, row-out: gap is 0.15 mm, 0.01 mm over"), "{said}");
    repository.put("books/pump.rulebook", "rulebook");
    let said = repository.is_stopped("a book with a mistake");
    assert!(said.contains("books/pump.rulebook:1:1: fault, text-unexpected"), "{said}");
    repository.put("books/pump.rulebook", &book("0.18"));
    repository.passes("a rule that fails nobody");
}

#[test]
fn odd_names_are_names() {
    let repository = Repository::new();
    repository.put("builds/P-1.yaml", &build("P-1", "0.15"));
    repository.passes("a sound build");
    let odd = ["-n.yaml", "a b.yaml", "it's \"é\" $HOME `id`.yaml", "two\nlines.yaml", "a: out: b.yaml", "*.yaml"];
    for name in odd {
        repository.put(&format!("builds/{name}"), &build("P-9", "0.22"));
        let said = repository.is_stopped(name);
        let shown = name.replace('\n', "␊");
        assert!(said.contains(&format!("builds/{shown}:3:6: fault, row-out: gap is 0.22 mm")), "{name}: {said}");
        std::fs::remove_file(repository.tree.join("builds").join(name)).unwrap();
    }
}

#[test]
fn a_linked_tree_and_a_repository_elsewhere_are_judged_alike() {
    let repository = Repository::new();
    repository.put("builds/P-1.yaml", &build("P-1", "0.15"));
    repository.passes("a sound build");
    let linked = repository.folder.path().join("linked");
    let at = linked.to_str().unwrap();
    assert!(repository.git(&["worktree", "add", "-q", at]).0);
    let in_linked = |gap: &str| {
        std::fs::write(linked.join("builds/P-1.yaml"), build("P-1", gap)).unwrap();
        repository.git(&["-C", at, "commit", "-q", "-a", "-m", "linked"])
    };
    let (done, said) = in_linked("0.21");
    assert!(!done && said.contains("builds/P-1.yaml:3:6: fault, row-out: gap is 0.21 mm"), "{said}");
    assert!(in_linked("0.16").0);
    // The linked tree goes with its repository.
    assert!(repository.git(&["worktree", "remove", "--force", at]).0);
    let away = repository.folder.path().join("shop.git");
    std::fs::rename(repository.tree.join(".git"), &away).unwrap();
    let named = |gap: &str| {
        repository.put("builds/P-1.yaml", &build("P-1", gap));
        repository.git(&["--git-dir", away.to_str().unwrap(), "--work-tree", ".", "commit", "-q", "-a", "-m", "named"])
    };
    let (done, said) = named("0.21");
    assert!(!done && said.contains("builds/P-1.yaml:3:6: fault, row-out: gap is 0.21 mm"), "{said}");
    assert!(named("0.17").0);
    let by_environment = |gap: &str| {
        repository.put("builds/P-1.yaml", &build("P-1", gap));
        let mut git = Command::new("git");
        git.current_dir(&repository.tree).env("PATH", path_with_the_program()).env("GIT_CONFIG_GLOBAL", "/dev/null");
        git.env("GIT_DIR", &away).env("GIT_WORK_TREE", &repository.tree);
        for role in ["AUTHOR", "COMMITTER"] {
            git.env(format!("GIT_{role}_NAME"), "Bench").env(format!("GIT_{role}_EMAIL"), "bench@example.invalid");
        }
        git.args(["commit", "-q", "-a", "-m", "by environment"]).output().unwrap().status.success()
    };
    assert!(!by_environment("0.21") && by_environment("0.18"));
}

#[test]
fn nothing_is_committed_where_the_program_is_missing() {
    let repository = Repository::new();
    repository.put("builds/P-1.yaml", &build("P-1", "0.15"));
    assert!(repository.git(&["add", "-A"]).0);
    let path = std::env::var("PATH").unwrap();
    let without = path.split(':').filter(|folder| !Path::new(folder).join("trochoid").exists());
    let mut git = Command::new("git");
    git.current_dir(&repository.tree).env("PATH", without.collect::<Vec<_>>().join(":"));
    let output = git
        .args(["-c", "user.name=Bench", "-c", "user.email=bench@example.invalid", "commit", "-q", "-m", "one"])
        .output()
        .unwrap();
    assert!(!output.status.success() && String::from_utf8_lossy(&output.stderr).contains("trochoid"));
}

/// What a runner of hooks reads: the names it requires, and a file that can be run beside it.
#[test]
fn the_definition_for_a_runner_names_the_hook() {
    let hooks: serde_yaml::Value = serde_yaml::from_str(&text(".pre-commit-hooks.yaml")).unwrap();
    let hooks = hooks.as_sequence().unwrap();
    assert_eq!(hooks.len(), 1);
    let said = |key: &str| hooks[0][key].as_str().unwrap().to_owned();
    assert_eq!(
        (said("id"), said("language"), said("entry")),
        ("trochoid".into(), "script".into(), "pre-commit".into())
    );
    assert!(file(&said("entry")).exists() && !said("name").is_empty());
    assert_eq!(hooks[0]["pass_filenames"].as_bool(), Some(false), "the hook takes no names");
    let files = fancy_regex::Regex::new(&said("files")).unwrap();
    for (name, taken) in [("builds/P-1.yaml", true), ("a.yml", true), ("b.json", true), ("c.rulebook", true)]
        .into_iter()
        .chain([("notes.txt", false), ("yaml", false), ("a.rulebook.bak", false)])
    {
        assert_eq!(files.is_match(name).unwrap(), taken, "{name}");
    }
}

/// The steps for a code host, run by a shell as the host does: the job fails as the builds do, and leaves both documents.
#[test]
fn the_job_on_every_push_fails_as_its_builds_do() {
    let workflow: serde_yaml::Value = serde_yaml::from_str(&text(".workflow.yaml")).unwrap();
    let steps = workflow["jobs"]["judge"]["steps"].as_sequence().unwrap();
    assert!(steps.iter().all(|step| step["run"].is_string() != step["uses"].is_string()), "a step runs or uses");
    let scripts: Vec<&str> = steps.iter().filter_map(|step| step["run"].as_str()).collect();
    assert_eq!(scripts.len(), 2);
    let kept = steps.last().unwrap();
    assert_eq!(kept["if"].as_str(), Some("always()"));
    assert_eq!(kept["with"]["path"].as_str(), Some("verdicts.sarif\nverdicts.xml\n"));
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| {
        let path = folder.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    };
    put("trochoid.yaml", "books: [books/]\n");
    put("books/pump.rulebook", super::cli::BOOK);
    let job = || {
        for script in &scripts {
            // As hosts run a step.
            let mut shell = Command::new("bash");
            shell.current_dir(folder.path()).env("PATH", path_with_the_program()).args(["-e", "-c", script]);
            let status = shell.output().unwrap().status.code().unwrap();
            if status != 0 {
                return status;
            }
        }
        0
    };
    let read = |name: &str| std::fs::read_to_string(folder.path().join(name)).unwrap();
    put("builds/P-1.yaml", "build: P-1\ngeneration: small\nvane: 2.00 mm\nslot: 2.07 mm\n");
    assert_eq!(job(), 0);
    assert!(!read("verdicts.xml").contains("<failure") && read("verdicts.xml").ends_with("</testsuites>\n"));
    put("builds/P-2.yaml", "build: P-2\ngeneration: small\nvane: 2.00 mm\nslot: 2.20 mm\n");
    assert_eq!(job(), 1);
    assert_eq!(read("verdicts.xml").matches("<failure").count(), 1);
    assert!(read("verdicts.sarif").contains("\"ruleId\":\"row-out\""));
    put("books/pump.rulebook", "rulebook");
    assert_ne!(job(), 0);
}
