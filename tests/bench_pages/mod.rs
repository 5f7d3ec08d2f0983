//! The pages around the page of one build, asked for as a browser asks, without a connection: on copies of the example shop, and on
//! a shop whose texts are out to break the pages.

mod browser;
mod builds;
mod shown;
mod taken;

use scraper::{ElementRef, Html, Selector};
use std::path::{Path, PathBuf};
use std::process::Command as Other;
use trochoid::bench::{Answer, Asked, Kind, Method, Workshop, answer};
use trochoid::blank::blank;
use trochoid::disk;
use trochoid::identify::{characteristic, feature, identify};
use trochoid::judge::{Grade, GradeSet};
use trochoid::quantity::Date;
use trochoid::record::Record;
use trochoid::report::blank::Head;
use trochoid::shop::{Ask, Checked, Shops};
use trochoid::text::Source;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The day of these tests.
const TODAY: &str = "2026-11-28";

fn copy(from: &Path, to: &Path) {
    for entry in walkdir::WalkDir::new(from) {
        let entry = entry.unwrap();
        let to = to.join(entry.path().strip_prefix(from).unwrap());
        if entry.file_type().is_dir() {
            std::fs::create_dir_all(&to).unwrap();
        } else {
            std::fs::copy(entry.path(), &to).unwrap();
        }
    }
}

fn workshop(folder: &Path) -> Workshop {
    Workshop::new(folder, None, false, || Date::parse(TODAY))
}

/// A copy of the example shop, with its workshop.
fn kestrel() -> (tempfile::TempDir, Workshop) {
    let folder = tempfile::tempdir().unwrap();
    copy(&root().join("examples/kestrel"), folder.path());
    let workshop = workshop(folder.path());
    (folder, workshop)
}

fn get(workshop: &Workshop, target: &str) -> Answer {
    answer(workshop, &Asked::new(Method::Get, target, Vec::new()).unwrap())
}

fn page(workshop: &Workshop, target: &str) -> Html {
    let answer = get(workshop, target);
    assert_eq!((answer.status, answer.kind), (200, Kind::Html), "{target}");
    Html::parse_document(std::str::from_utf8(&answer.body).unwrap())
}

fn all<'a>(page: &'a Html, selector: &str) -> Vec<ElementRef<'a>> {
    page.select(&Selector::parse(selector).unwrap()).collect()
}

fn text(element: ElementRef<'_>) -> String {
    element.text().collect::<String>().split_whitespace().collect::<Vec<_>>().join(" ")
}

fn checked(folder: &Path, file: &Path) -> Vec<Checked> {
    let shop = Shops::new(None).of(&folder.join("trochoid.yaml"));
    let record = Record::of(disk::read_source(file, disk::MOST_RECORD_BYTES).unwrap());
    let mut all = shop.check_all(&record, &Ask { tell: GradeSet::NOT_GOOD, ..Ask::default() }, &[]);
    all.iter_mut().for_each(|one| one.hold_against(Date::parse(TODAY)));
    all
}

/// Every file of a folder with its text.
fn files(folder: &Path) -> std::collections::BTreeMap<PathBuf, Vec<u8>> {
    let entries =
        walkdir::WalkDir::new(folder).into_iter().map(Result::unwrap).filter(|entry| entry.file_type().is_file());
    entries
        .map(|entry| (entry.path().strip_prefix(folder).unwrap().to_owned(), std::fs::read(entry.path()).unwrap()))
        .collect()
}
