//! A set of parts becomes a build at the bench: its record, and nothing else, is written, and what the shelf no longer has is refused.

use super::builds::post_to;
use super::shown::command;
use super::*;

/// The form under the first set of a page: where it goes, and what it sends.
fn form(workshop: &Workshop, target: &str) -> (String, Vec<(String, String)>) {
    let page = page(workshop, target);
    let form = all(&page, "section.set form.take")[0];
    let parts = Selector::parse("input[name=part]").unwrap();
    let parts = form.select(&parts).map(|part| ("part".to_owned(), part.attr("value").unwrap().to_owned()));
    (form.attr("action").unwrap().to_owned(), parts.collect())
}

fn send(workshop: &Workshop, (to, parts): &(String, Vec<(String, String)>), more: &[(&str, &str)]) -> Answer {
    let parts = parts.iter().map(|(name, value)| (name.as_str(), value.as_str()));
    post_to(workshop, to, &parts.chain(more.iter().copied()).collect::<Vec<_>>())
}

#[test]
fn a_set_becomes_a_build() {
    let (folder, workshop) = kestrel();
    let asked = "/match?generation=light_2mm&only=rotor&given=duty%3Dstreet";
    let form = form(&workshop, asked);
    assert_eq!(form.1.len(), 2);
    let before = files(folder.path());
    let answer = send(&workshop, &form, &[("name", "K-0400")]);
    assert_eq!((answer.status, answer.to.as_deref()), (303, Some("/build/builds/K-0400.yaml")));
    let mut after = files(folder.path());
    let new = String::from_utf8(after.remove(Path::new("builds/K-0400.yaml")).unwrap()).unwrap();
    assert_eq!(before, after);
    // As the command writes it.
    let arguments = ["match", "light_2mm", "--only", "rotor", "--given", "duty=street", "--write", "K-0400.yaml"];
    let other = kestrel().0;
    command(other.path(), &arguments);
    assert_eq!(new, std::fs::read_to_string(other.path().join("K-0400.yaml")).unwrap());
    assert!(new.starts_with("build: K-0400\ngeneration: light_2mm\nparts:\n"), "{new}");
    assert!(new.ends_with("duty: street\n"), "{new}");
    // The parts are taken now: the same set cannot be taken again.
    let again = send(&workshop, &form, &[("name", "K-0401")]);
    let said = String::from_utf8(again.body).unwrap();
    let (_, tag) = form.1[0].1.split_once('=').unwrap();
    assert_eq!(again.status, 422);
    assert!(said.contains(&format!("{tag} cannot be taken: ")) && said.contains("K-0400"), "{tag}");
    assert!(!folder.path().join("builds/K-0401.yaml").exists());
}

#[test]
fn a_build_that_is_begun_takes_the_parts() {
    let (folder, workshop) = kestrel();
    let text = "build: K-0410   # the owner waits\ngeneration: light_2mm\nduty: street\n";
    let file = folder.path().join("builds/K-0410.yaml");
    std::fs::write(&file, text).unwrap();
    workshop.look_again();
    let form = form(&workshop, "/match?generation=light_2mm&only=rotor&build=builds/K-0410.yaml");
    let answer = send(&workshop, &form, &[]);
    assert_eq!((answer.status, answer.to.as_deref()), (303, Some("/build/builds/K-0410.yaml")));
    let new = std::fs::read_to_string(&file).unwrap();
    for line in text.lines() {
        assert!(new.contains(line), "{line}");
    }
    for (_, pair) in &form.1 {
        let (place, tag) = pair.split_once('=').unwrap();
        assert!(new.contains(&format!("{place}: {tag}")), "{new}");
    }
}

#[test]
fn nothing_is_taken_that_does_not_go_there() {
    let (folder, workshop) = kestrel();
    let (to, parts) = form(&workshop, "/match?generation=light_2mm&only=rotor");
    let before = files(folder.path());
    let part = |value: &str| vec![("part".to_owned(), value.to_owned())];
    let twice = [part("rotor.front=R-011"), part("rotor.rear=R-011")].concat();
    for (parts, name, status, says) in [
        (twice, "K-0420", 422, "R-011 cannot be at rotor.rear"),
        (part("rotor.front=R-999x"), "K-0420", 422, "R-999x"),
        (part("rotor.middle=R-011"), "K-0420", 422, "cannot be at rotor.middle"),
        (part("../x=R-011"), "K-0420", 422, "cannot be at"),
        (Vec::new(), "K-0420", 422, "not a form of this page"),
        (parts.clone(), "K-0144", 409, "already a record called K-0144"),
        (parts.clone(), "", 422, "Give the build a name"),
        (parts.clone(), "trochoid", 422, "cannot have this name"),
    ] {
        let answer = send(&workshop, &(to.clone(), parts), &[("name", name)]);
        let said = String::from_utf8(answer.body).unwrap();
        assert_eq!(answer.status, status, "{name}");
        assert!(said.contains(says), "{says}");
    }
    assert_eq!(before, files(folder.path()));
    let shown = Workshop::new(folder.path(), None, true, || None);
    assert_eq!(send(&shown, &(to.clone(), parts), &[("name", "K-0420")]).status, 403);
    assert!(all(&page(&shown, &to), "form.take").is_empty());
    assert_eq!(before, files(folder.path()));
}
