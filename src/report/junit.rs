//! A run as JUnit XML, a test suite a build and a test case a ruling, for programs that show test results. Refuses to say
//! when or where it was run: the same papers give the same document.
//!
//! The format has no standard; what is written keeps to the schema that the continuous integration server it comes from
//! checks its own input with (`tests/outside/schemas/junit-10.xsd`).
//!
//! | in the document | what it is |
//! | --- | --- |
//! | `testsuite` | a record: its build as `name`, its file; generation, day and grade as properties |
//! | `testcase` | a ruling: the build and the part as `classname`, what is judged as `name`, the grade as `status`, the reading as `file` and `line` |
//! | `failure` | the ruling does not pass: out, unmeasured or unsettled |
//! | `skipped` | an advisory row that was not measured, or is not settled |
//! | `error` | a mistake in the record, each as a test case of its own |
//! | `system-out` of a case | what is to be said of a ruling that passes: worn, excused, or advisory and out |
//! | `system-out` of a suite | what else is to be said of the record |
//!
//! What is wrong outside the records (a rulebook, a path, a list of gauges) makes a suite of its own. The numbers of a suite are those
//! of `--format json`: `failures` are its `out`, `unmeasured` and `unsettled`, `errors` its `record_errors`.

use super::style::clean;
use super::{plain, wording};
use crate::finding::{Code, Finding};
use crate::judge::{Grade, RulingReport};
use crate::shop::Checked;
use quick_xml::Writer;
use quick_xml::events::BytesText;
use std::collections::BTreeMap;
use std::io;

pub(super) const BEGIN: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites name=\"trochoid check\">\n";
pub(super) const END: &str = "</testsuites>\n";

/// A test suite before it is written: its numbers come first.
struct Suite {
    name: String,
    file: Option<String>,
    properties: Vec<(&'static str, String)>,
    cases: Vec<Case>,
    /// What else is to be said.
    remarks: Vec<String>,
}

struct Case {
    class: String,
    name: String,
    file: String,
    line: Option<usize>,
    status: &'static str,
    outcome: Outcome,
}

/// What a test case comes to.
enum Outcome {
    Passed,
    /// It passes, and there is something to say.
    Noted(Words),
    Skipped(Words),
    Failed(Words),
    Error(Words),
}

struct Words {
    /// What kind, as a code of findings.
    kind: &'static str,
    message: String,
    /// More, a line each.
    body: Vec<String>,
}

/// The suite of a record.
pub(super) fn record(checked: &Checked) -> String {
    let mut suite = Suite::of(&checked.build, Some(&checked.file));
    let properties = [
        ("generation", checked.generation.clone()),
        ("finished", checked.finished.map(|day| day.to_string())),
        ("grade", Some(checked.grade.map_or(wording::NOT_JUDGED, Grade::word).to_string())),
        ("skipped rows", (checked.skipped > 0).then(|| checked.skipped.to_string())),
    ];
    suite.properties = properties.into_iter().filter_map(|(name, value)| Some((name, value?))).collect();
    suite.cases.extend(checked.rulings.iter().map(|told| ruling(checked, told)));
    suite.findings(checked.findings.iter().filter(|finding| !of_a_ruling(finding.code)));
    // A record that does not pass must not look as if it did.
    if checked.grade.is_none() && checked.record_errors == 0 {
        suite.not_judged(wording::GENERATION_NEEDED);
    }
    suite.written()
}

/// A record not judged because its rulebooks have errors.
pub(super) fn unsound(file: &str) -> String {
    let mut suite = Suite::of(file, Some(file));
    suite.not_judged(wording::BOOKS_UNSOUND);
    suite.written()
}

/// What is to be said of rulebooks, paths and lists of gauges; nothing where there is nothing.
pub(super) fn outside(findings: &[Finding]) -> String {
    if findings.is_empty() {
        return String::new();
    }
    let mut suite = Suite::of(wording::OUTSIDE_RECORDS, None);
    suite.findings(findings.iter());
    suite.written()
}

/// Whether a finding is about a ruling, which has a case of its own.
fn of_a_ruling(code: Code) -> bool {
    matches!(code, Code::RowWorn | Code::RowExcused | Code::RowUnsettled | Code::RowUnmeasured | Code::RowOut)
}

fn ruling(checked: &Checked, told: &RulingReport) -> Case {
    let (part, name) = &told.on;
    let class = if part.is_empty() { checked.build.clone() } else { format!("{}.{part}", checked.build) };
    let (kind, fails) = match told.grade {
        Grade::Good => ("", false),
        Grade::Worn => (Code::RowWorn.name(), false),
        Grade::Excused => (Code::RowExcused.name(), false),
        Grade::Unsettled => (Code::RowUnsettled.name(), true),
        Grade::Unmeasured => (Code::RowUnmeasured.name(), true),
        Grade::Out => (Code::RowOut.name(), true),
    };
    let words = || Words { kind, message: told.message.clone().unwrap_or_default(), body: body(told) };
    let outcome = match (told.grade, told.advisory && fails) {
        (Grade::Good, _) => Outcome::Passed,
        (Grade::Unmeasured | Grade::Unsettled, true) => Outcome::Skipped(words()),
        (_, false) if fails => Outcome::Failed(words()),
        _ => Outcome::Noted(words()),
    };
    let line = told.place.as_ref().map(|place| place.line_column().line);
    Case { class, name: name.clone(), file: checked.file.clone(), line, status: told.grade.word(), outcome }
}

/// All that is known of a ruling, a line each.
fn body(told: &RulingReport) -> Vec<String> {
    let place = told.place.as_ref().map(ToString::to_string);
    let missing = (!told.missing.is_empty()).then(|| told.missing.join(", "));
    let lines = [
        (wording::ROW, Some(&told.path)),
        ("value", told.value.as_ref()),
        ("standard", told.standard.as_ref()),
        ("limit", told.limit.as_ref()),
        ("beyond", told.beyond.as_ref()),
        ("missing", missing.as_ref()),
        ("slip?", told.slip.as_ref()),
        ("concession", told.concession.as_ref()),
        ("because", told.because.as_ref()),
        ("remedy", told.remedy.as_ref()),
        ("caution", told.caution.as_ref()),
        ("source", told.source.as_ref()),
        (wording::READING_AT, place.as_ref()),
        (wording::RULE_AT, Some(&told.row.to_string())),
    ];
    lines.into_iter().filter_map(|(label, text)| Some(format!("{label}: {}", clean(text?)))).collect()
}

impl Suite {
    fn of(name: &str, file: Option<&str>) -> Suite {
        let (name, file) = (name.to_string(), file.map(str::to_string));
        Suite { name, file, properties: Vec::new(), cases: Vec::new(), remarks: Vec::new() }
    }

    /// Takes in findings: an error is a case of its own, anything else a remark.
    fn findings<'a>(&mut self, findings: impl Iterator<Item = &'a Finding>) {
        for finding in findings {
            if !finding.is_error() {
                self.remarks.push(plain::write(finding).trim_end().to_string());
                continue;
            }
            let place = finding.place.as_ref().map(|(place, _)| place);
            let file = place.map(|place| place.source.name().to_string()).or_else(|| self.file.clone());
            self.cases.push(Case {
                class: self.name.clone(),
                name: finding.code.name().to_string(),
                file: file.unwrap_or_default(),
                line: place.map(|place| place.line_column().line),
                status: "error",
                outcome: Outcome::Error(Words {
                    kind: finding.code.name(),
                    message: finding.message.clone(),
                    body: plain::write(finding).lines().map(str::to_string).collect(),
                }),
            });
        }
    }

    fn not_judged(&mut self, why: &str) {
        let (class, file) = (self.name.clone(), self.file.clone().unwrap_or_default());
        let words = Words { kind: wording::NOT_JUDGED, message: why.to_string(), body: Vec::new() };
        let (status, outcome) = ("error", Outcome::Error(words));
        self.cases.push(Case { class, name: wording::NOT_JUDGED.to_string(), file, line: None, status, outcome });
    }

    fn written(mut self) -> String {
        self.tell_apart();
        let mut writer = Writer::new_with_indent(Vec::new(), b' ', 2);
        // Into memory: there is nothing that can fail.
        let done = self.write(&mut writer);
        let text = String::from_utf8(writer.into_inner()).unwrap_or_default();
        if done.is_ok() { format!("{text}\n") } else { String::new() }
    }

    /// A case is known by its class and its name: the second of one name gets `(2)` after it.
    fn tell_apart(&mut self) {
        let mut seen: BTreeMap<(String, String), usize> = BTreeMap::new();
        for case in &mut self.cases {
            let times = seen.entry((case.class.clone(), case.name.clone())).or_default();
            *times += 1;
            if *times > 1 {
                case.name = format!("{} ({times})", case.name);
            }
        }
    }

    fn write(&self, writer: &mut Writer<Vec<u8>>) -> io::Result<()> {
        let count =
            |wanted: fn(&Outcome) -> bool| self.cases.iter().filter(|case| wanted(&case.outcome)).count().to_string();
        let mut suite = writer
            .create_element("testsuite")
            .with_attribute(("name", &*shown(&self.name)))
            .with_attribute(("tests", &*self.cases.len().to_string()))
            .with_attribute(("failures", &*count(|outcome| matches!(outcome, Outcome::Failed(_)))))
            .with_attribute(("errors", &*count(|outcome| matches!(outcome, Outcome::Error(_)))))
            .with_attribute(("skipped", &*count(|outcome| matches!(outcome, Outcome::Skipped(_)))));
        if let Some(file) = &self.file {
            suite = suite.with_attribute(("file", &*shown(file)));
        }
        suite.write_inner_content(|writer| {
            if !self.properties.is_empty() {
                writer.create_element("properties").write_inner_content(|writer| {
                    for (name, value) in &self.properties {
                        let property = writer.create_element("property").with_attribute(("name", *name));
                        property.with_attribute(("value", &*shown(value))).write_empty()?;
                    }
                    Ok(())
                })?;
            }
            for case in &self.cases {
                case.write(writer)?;
            }
            if !self.remarks.is_empty() {
                let remarks = shown_lines(&self.remarks);
                writer.create_element("system-out").write_text_content(BytesText::new(&remarks))?;
            }
            Ok(())
        })?;
        Ok(())
    }
}

impl Case {
    fn write(&self, writer: &mut Writer<Vec<u8>>) -> io::Result<()> {
        let mut case = writer
            .create_element("testcase")
            .with_attribute(("classname", &*shown(&self.class)))
            .with_attribute(("name", &*shown(&self.name)))
            .with_attribute(("status", self.status));
        if !self.file.is_empty() {
            case = case.with_attribute(("file", &*shown(&self.file)));
        }
        if let Some(line) = self.line {
            case = case.with_attribute(("line", &*line.to_string()));
        }
        let (element, words) = match &self.outcome {
            Outcome::Passed => return case.write_empty().map(|_| ()),
            Outcome::Noted(words) => ("system-out", words),
            Outcome::Skipped(words) => ("skipped", words),
            Outcome::Failed(words) => ("failure", words),
            Outcome::Error(words) => ("error", words),
        };
        case.write_inner_content(|writer| {
            let mut lines = words.body.clone();
            let mut said = writer.create_element(element);
            if matches!(self.outcome, Outcome::Noted(_)) {
                lines.insert(0, words.message.clone());
            } else {
                said = said.with_attribute(("type", words.kind)).with_attribute(("message", &*shown(&words.message)));
            }
            said.write_text_content(BytesText::new(&shown_lines(&lines)))?;
            Ok(())
        })?;
        Ok(())
    }
}

/// A text on one line, in letters that XML 1.0 has (2.2): control characters as their pictures, what is no letter as a mark that
/// something is there.
fn shown(text: &str) -> String {
    clean(text)
        .chars()
        .map(|letter| if matches!(letter, '\u{fffe}' | '\u{ffff}') { '\u{fffd}' } else { letter })
        .collect()
}

fn shown_lines(lines: &[String]) -> String {
    lines.iter().flat_map(|text| text.lines()).map(shown).collect::<Vec<_>>().join("\n")
}
