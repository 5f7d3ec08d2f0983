//! Repositories made by somebody else, given to `audit --before-rev`: nothing they say is run, and whatever shape they have they
//! are read or plainly refused.

use super::{BOOK, Papers, Ran};
use assert_cmd::Command;
use std::fs;
use std::path::Path;

/// Runs git in a folder and gives what it prints.
fn git(folder: &Path, arguments: &[&str]) -> String {
    let who = ["-c", "user.name=Bench", "-c", "user.email=bench@example.invalid", "-c", "commit.gpgsign=false"];
    let mut command = Command::new("git");
    for name in ["GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE"] {
        command.env_remove(name);
    }
    let output = command.current_dir(folder).args(who).args(arguments).output().unwrap();
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap().trim_end().to_owned()
}

/// A shop below a folder, its books kept in a repository, and a narrower limit written since: P-2 fails now.
fn shop_at(papers: &Papers, below: &str) {
    let put = |name: &str, text: String| papers.put(&format!("{below}{name}"), text);
    put("trochoid.yaml", "shop: Lapwing Pumps\nbooks: [books/]\n".into());
    put("books/pump.rulebook", BOOK.into());
    for (name, gap) in [("P-1", 7), ("P-2", 14)] {
        put(&format!("builds/{name}.yaml"), super::record(name, gap));
    }
    let folder = papers.path().join(below);
    git(&folder, &["init", "-q", "."]);
    git(&folder, &["add", "-A"]);
    git(&folder, &["commit", "-q", "-m", "first"]);
    put("books/pump.rulebook", BOOK.replace("limit at most 0.15 mm", "limit at most 0.12 mm"));
}

fn shop() -> Papers {
    let papers = Papers::new();
    shop_at(&papers, "");
    papers
}

const AUDIT: [&str; 4] = ["audit", "builds", "--before-rev", "HEAD"];

/// The audit found what there is to find, and nothing else is said.
fn audited(ran: &Ran) {
    assert_eq!((ran.status, ran.err.as_str()), (1, ""), "{}", ran.out);
    assert!(ran.out.contains("fails now  P-2: worn before, out after"), "{}", ran.out);
    assert!(ran.out.ends_with("1 build that passed under the books at HEAD fails now\n"), "{}", ran.out);
}

/// A command for a shell that leaves a trace in a file, as a repository would have it run.
fn trap(mark: &Path) -> String {
    format!("touch '{}'; false", mark.display())
}

/// Makes a repository one that leaves out a book's text, and would have git fetch it by a command of its own.
fn leave_out(git_dir: &Path, mark: &Path, by: &str) {
    let blob = git(git_dir, &["rev-parse", "HEAD:books/pump.rulebook"]);
    let settings = [
        ("core.repositoryFormatVersion", "1".to_owned()),
        ("extensions.partialClone", "origin".to_owned()),
        ("remote.origin.promisor", "true".to_owned()),
        ("remote.origin.partialCloneFilter", "blob:none".to_owned()),
        ("remote.origin.fetch", "+refs/heads/*:refs/remotes/origin/*".to_owned()),
    ];
    let more = match by {
        "ssh" => [("remote.origin.url", "ssh://bench.invalid/x".to_owned()), ("core.sshCommand", trap(mark))],
        "upload-pack" => {
            [("remote.origin.url", git_dir.display().to_string()), ("remote.origin.uploadpack", trap(mark))]
        }
        _ => [
            ("remote.origin.url", format!("ext::sh -c touch% {}", mark.display())),
            ("protocol.ext.allow", "always".into()),
        ],
    };
    for (key, value) in settings.iter().chain(&more) {
        git(git_dir, &["config", key, value]);
    }
    let (folder, name) = blob.split_at(2);
    fs::remove_file(git_dir.join("objects").join(folder).join(name)).unwrap();
}

#[cfg(unix)]
#[test]
fn a_clone_that_lacks_a_book_has_nothing_fetched_by_a_command_of_its_own() {
    for by in ["ssh", "upload-pack", "ext"] {
        let papers = shop();
        let mark = papers.path().join("ran");
        leave_out(&papers.path().join(".git"), &mark, by);
        let ran = papers.run(&AUDIT);
        assert!(!mark.exists(), "{by}: the repository's command was run");
        assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{by}");
        let said = "the text of books/pump.rulebook at HEAD is not in this repository";
        assert!(ran.err.contains(said), "{by}: {}", ran.err);
        // The trap works: git itself walks into it, whatever it makes of it.
        let cat = ["cat-file", "blob", "HEAD:books/pump.rulebook"];
        let mut command = Command::new("git");
        let _ = command.current_dir(papers.path()).args(cat).env("GIT_ALLOW_PROTOCOL", "ssh:file:ext").output();
        assert!(mark.exists(), "{by}: this shows nothing");
    }
}

#[cfg(unix)]
#[test]
fn a_bare_repository_among_the_records_is_no_repository_of_the_shops() {
    let papers = shop();
    let bare = papers.path().join("builds/spare");
    git(papers.path(), &["clone", "-q", "--bare", "--no-local", ".", "builds/spare"]);
    // As a clone brings it: its objects loose.
    let pack: Vec<_> = fs::read_dir(bare.join("objects/pack")).unwrap().map(|one| one.unwrap().path()).collect();
    for file in &pack {
        fs::rename(file, papers.path().join(file.file_name().unwrap())).unwrap();
    }
    for file in pack.iter().filter(|file| file.extension().is_some_and(|ending| ending == "pack")) {
        let bytes = fs::read(papers.path().join(file.file_name().unwrap())).unwrap();
        let mut command = Command::new("git");
        command.current_dir(&bare).args(["unpack-objects", "-q"]).write_stdin(bytes).assert().success();
    }
    let mark = papers.path().join("ran");
    leave_out(&bare, &mark, "ssh");
    papers.build("spare/P-3", 13);
    let ran = papers.run(&["audit", "builds/spare", "--before-rev", "HEAD"]);
    assert!(!mark.exists(), "the repository's command was run");
    assert_eq!((ran.status, ran.err.as_str()), (1, ""), "the shop's own repository is asked: {}", ran.out);
    assert!(ran.out.contains("fails now  spare/P-3"), "{}", ran.out);
}

#[cfg(unix)]
#[test]
fn no_setting_of_a_repository_and_no_git_on_the_way_is_run() {
    use std::os::unix::fs::PermissionsExt;
    let papers = shop();
    let mark = papers.path().join("ran");
    let hooks = papers.path().join("hooks");
    papers.put("hooks/git", format!("#!/bin/sh\n{}\n", trap(&mark)));
    fs::set_permissions(hooks.join("git"), fs::Permissions::from_mode(0o755)).unwrap();
    for hook in ["post-checkout", "post-index-change", "reference-transaction", "fsmonitor-watchman"] {
        fs::copy(hooks.join("git"), hooks.join(hook)).unwrap();
    }
    papers.put("more.config", format!("[core]\n\tsshCommand = {0:?}\n\tpager = {0:?}\n", trap(&mark)));
    for (key, value) in [
        ("core.fsmonitor", hooks.join("git").display().to_string()),
        ("core.hooksPath", hooks.display().to_string()),
        ("core.pager", trap(&mark)),
        ("core.editor", trap(&mark)),
        ("core.gitProxy", trap(&mark)),
        ("core.alternateRefsCommand", trap(&mark)),
        ("credential.helper", format!("!{}", trap(&mark))),
        ("diff.external", trap(&mark)),
        ("diff.book.textconv", trap(&mark)),
        ("diff.book.command", trap(&mark)),
        ("filter.book.smudge", trap(&mark)),
        ("filter.book.clean", trap(&mark)),
        ("filter.book.process", trap(&mark)),
        ("alias.rev-parse", format!("!{}", trap(&mark))),
        ("alias.cat-file", format!("!{}", trap(&mark))),
        ("gpg.program", hooks.join("git").display().to_string()),
        ("log.showSignature", "true".into()),
        ("uploadpack.packObjectsHook", hooks.join("git").display().to_string()),
        ("include.path", papers.path().join("more.config").display().to_string()),
    ] {
        git(papers.path(), &["config", key, &value]);
    }
    let _ = fs::remove_file(&mark);
    papers.put(".gitattributes", "*.rulebook filter=book diff=book\n");
    papers.put(".git/info/attributes", "*.rulebook filter=book diff=book\n");
    let mut command = Command::cargo_bin("trochoid").unwrap();
    command.current_dir(papers.path()).args(AUDIT).env("PATH", &hooks).env_remove("NO_COLOR");
    let output = command.env("GIT_SSH_COMMAND", trap(&mark)).env("GIT_EXTERNAL_DIFF", trap(&mark)).output().unwrap();
    assert!(!mark.exists(), "something of the repository's was run: {}", String::from_utf8_lossy(&output.stderr));
    assert_eq!(output.status.code(), Some(1), "{}", String::from_utf8_lossy(&output.stderr));
}

#[cfg(unix)]
#[test]
fn a_book_that_is_a_link_is_the_book_it_leads_to_or_is_said() {
    use std::os::unix::fs::symlink;
    let papers = shop();
    let at = |name: &str| papers.path().join(name);
    papers.put("books/pump.rulebook", BOOK);
    fs::create_dir(at("shared")).unwrap();
    fs::rename(at("books/pump.rulebook"), at("shared/pump-2025.txt")).unwrap();
    symlink("../shared/./../shared/pump-2025.txt", at("books/pump.rulebook")).unwrap();
    // A folder of books that is a link, and a link by way of it.
    papers.put("elsewhere/more.rulebook", "rulebook \"More\" edition 2026-03-01\n");
    symlink("../elsewhere", at("books/more")).unwrap();
    symlink("more/more.rulebook", at("books/again.rulebook")).unwrap();
    git(papers.path(), &["add", "-A"]);
    git(papers.path(), &["commit", "-q", "-m", "linked"]);
    papers.put("shared/pump-2025.txt", BOOK.replace("limit at most 0.15 mm", "limit at most 0.12 mm"));
    audited(&papers.run(&AUDIT));
    // Out of the repository, to nothing, in a circle: the book is named, and what it leads to is not read.
    let outside = tempfile::tempdir().unwrap();
    fs::write(outside.path().join("pump.rulebook"), BOOK).unwrap();
    let away = outside.path().join("pump.rulebook");
    let up = format!("../{}{}", "../".repeat(20), away.display().to_string().trim_start_matches('/'));
    for (to, today) in [(away.to_str().unwrap(), BOOK), (&up, BOOK), ("gone.rulebook", BOOK), ("pump.rulebook", BOOK)] {
        fs::remove_file(at("books/pump.rulebook")).unwrap();
        symlink(to, at("books/pump.rulebook")).unwrap();
        git(papers.path(), &["add", "-A"]);
        git(papers.path(), &["commit", "-q", "-m", "leads out"]);
        fs::remove_file(at("books/pump.rulebook")).unwrap();
        papers.put("books/pump.rulebook", today);
        let ran = papers.run(&AUDIT);
        assert_eq!(ran.status, 2, "{to}: {}", ran.out);
        assert!(
            ran.err.contains("HEAD:books/pump.rulebook is a link to something that is not there"),
            "{to}: {}",
            ran.err
        );
    }
}

#[test]
fn a_submodule_called_like_a_book_is_passed_over() {
    let papers = shop();
    let head = git(papers.path(), &["rev-parse", "HEAD"]);
    let entry = format!("160000,{head},books/other.rulebook");
    git(papers.path(), &["update-index", "--add", "--cacheinfo", &entry]);
    git(papers.path(), &["commit", "-q", "-m", "a submodule"]);
    audited(&papers.run(&AUDIT));
}

#[cfg(unix)]
#[test]
fn a_repository_whose_path_ends_in_a_blank_is_found() {
    let papers = Papers::new();
    for name in ["shop /", "shop\n/"] {
        shop_at(&papers, name);
        let folder = papers.path().join(name);
        let mut command = Command::cargo_bin("trochoid").unwrap();
        let output = command.current_dir(&folder).args(AUDIT).output().unwrap();
        assert_eq!(output.status.code(), Some(1), "{name:?}: {}", String::from_utf8_lossy(&output.stderr));
    }
}

#[test]
fn a_linked_work_tree_is_read_from_any_folder_of_it() {
    let papers = Papers::new();
    shop_at(&papers, "main/");
    git(&papers.path().join("main"), &["worktree", "add", "-q", "../beside"]);
    let beside = papers.path().join("beside");
    fs::copy(papers.path().join("main/books/pump.rulebook"), beside.join("books/pump.rulebook")).unwrap();
    let git_dir = git(&beside, &["rev-parse", "--absolute-git-dir"]);
    for (folder, path) in [("beside", "builds"), ("beside/builds", "."), (".", "beside/builds")] {
        for environment in [false, true] {
            let mut command = Command::cargo_bin("trochoid").unwrap();
            command.current_dir(papers.path().join(folder)).args(["audit", path, "--before-rev", "HEAD"]);
            if environment {
                // As git sets it for a hook.
                command.env("GIT_DIR", &git_dir);
            }
            let output = command.output().unwrap();
            assert_eq!(
                output.status.code(),
                Some(1),
                "{folder} {environment}: {}",
                String::from_utf8_lossy(&output.stderr)
            );
        }
    }
}

#[test]
fn a_repository_named_in_the_environment_is_asked_of_the_work_tree_it_is_for() {
    let papers = shop();
    let away = tempfile::tempdir().unwrap();
    let git_dir = away.path().join("shop.git");
    fs::rename(papers.path().join(".git"), &git_dir).unwrap();
    let run = |folder: &str, path: &str, variables: &[(&str, &Path)]| {
        let mut command = Command::cargo_bin("trochoid").unwrap();
        command.current_dir(papers.path().join(folder)).args(["audit", path, "--before-rev", "HEAD"]);
        let output = command.envs(variables.iter().copied()).output().unwrap();
        (output.status.code().unwrap(), String::from_utf8(output.stderr).unwrap())
    };
    let top = papers.path();
    assert_eq!(run("", "builds", &[("GIT_DIR", &git_dir)]).0, 1);
    assert_eq!(run("builds", ".", &[("GIT_DIR", &git_dir), ("GIT_WORK_TREE", top)]).0, 1);
    assert_eq!(run("builds", ".", &[("GIT_DIR", &git_dir), ("GIT_WORK_TREE", Path::new(".."))]).0, 1);
    let (status, said) = run("", "builds", &[]);
    assert_eq!(status, 2);
    assert!(said.contains("builds is not in a git repository that can be read"), "{said}");
    // One that is for other folders is not asked: here it knows nothing of the shop.
    let other = Papers::new();
    shop_at(&other, "");
    let mut command = Command::cargo_bin("trochoid").unwrap();
    command.current_dir(other.path()).args(AUDIT).env("GIT_DIR", &git_dir).env("GIT_WORK_TREE", top);
    assert_eq!(command.output().unwrap().status.code(), Some(1));
    // Named and not there: said, and not another one taken in its place.
    let (status, said) = run("", "builds", &[("GIT_DIR", Path::new("gone.git"))]);
    assert_eq!(status, 2);
    assert!(said.contains("gone.git"), "{said}");
}

#[test]
fn repositories_of_other_forms_are_read_or_refused_in_words() {
    // Packed, by an annotated tag, by its short number.
    let papers = shop();
    git(papers.path(), &["tag", "-a", "v1", "-m", "one"]);
    let short = git(papers.path(), &["rev-parse", "--short", "HEAD"]);
    git(papers.path(), &["gc", "-q"]);
    for revision in ["v1", &short, "HEAD^{commit}", "master~0", "@"] {
        let revision =
            if revision == "master~0" { git(papers.path(), &["branch", "--show-current"]) } else { revision.into() };
        assert_eq!(papers.run(&["audit", "builds", "--before-rev", &revision]).status, 1, "{revision}");
    }
    for revision in ["HEAD:books", "HEAD..HEAD", "HEAD~7", "^HEAD", "HEAD^{blob}", "\u{1b}[31m"] {
        let ran = papers.run(&["audit", "builds", &format!("--before-rev={revision}")]);
        assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{revision}");
        assert!(ran.err.contains("git has no revision") && !ran.err.contains('\u{1b}'), "{}", ran.err);
    }
    // Digests of the other kind.
    let papers = Papers::new();
    papers.build("P-2", 14);
    git(papers.path(), &["init", "-q", "--object-format=sha256", "."]);
    git(papers.path(), &["add", "-A"]);
    git(papers.path(), &["commit", "-q", "-m", "first"]);
    papers.put("books/pump.rulebook", BOOK.replace("limit at most 0.15 mm", "limit at most 0.12 mm"));
    audited(&papers.run(&AUDIT));
    // No commit yet; and a file in place of a repository.
    let papers = Papers::new();
    papers.build("P-2", 14);
    git(papers.path(), &["init", "-q", "."]);
    assert!(papers.run(&AUDIT).err.contains("git has no revision `HEAD` here"));
    fs::remove_dir_all(papers.path().join(".git")).unwrap();
    papers.put(".git", "gitdir: gone\n");
    let ran = papers.run(&AUDIT);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("not in a git repository that can be read"), "{}", ran.err);
}

/// A folder of folders that is one folder ten times, ten deep: a few hundred bytes that would be ten thousand million books.
#[test]
fn a_tree_without_end_is_refused() {
    let papers = shop();
    let git_in = |arguments: &[&str], input: String| {
        let mut command = Command::new("git");
        let output = command.current_dir(papers.path()).args(arguments).write_stdin(input).output().unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap().trim().to_owned()
    };
    let mut inner = git(papers.path(), &["rev-parse", "HEAD:books"]);
    for _ in 0..10 {
        let lines: String = (0..10).map(|number| format!("040000 tree {inner}\tf{number}\n")).collect();
        inner = git_in(&["mktree"], lines);
    }
    let commit = git(papers.path(), &["commit-tree", &inner, "-m", "many"]);
    let ran = papers.run(&["audit", "builds", "--before-rev", &commit]);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("holds more than"), "{}", ran.err);
}
