//! The strip of paper a run is written on: pages one after the other, counted, with a summary at the end. Refuses to
//! know how a page came to be, and holds none of them.

use super::style::{Ink, Look};
use super::survey::{self, Asked, Survey};
use super::tally::Tally;
use super::{CheckFormat, csv, json, json_lines, junit, lines, plain, sarif, terminal, to_measure, wording};
use crate::finding::{Code, Finding};
use crate::shop::{Checked, Shop};
use std::collections::BTreeSet;
use std::io::{self, Write};

/// How records are put on paper.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Paper {
    /// In which form.
    pub format: CheckFormat,
    /// With which width and colours, where it is drawn.
    pub look: Look,
    /// Whether only the lines of failing builds and the summary are wanted. What is for programs is
    /// always whole.
    pub quiet: bool,
}

/// One record on paper.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Page {
    pub(super) text: String,
    pub(super) tally: Tally,
    /// Whether it is more than one line, so that it stands apart.
    pub(super) apart: bool,
    /// The codes it uses, where the end of the document explains them.
    pub(super) codes: Vec<Code>,
}

impl Page {
    fn plain(text: String, tally: Tally) -> Page {
        Page { text, tally, apart: false, codes: Vec::new() }
    }
}

impl Paper {
    /// Puts what one file holds on paper: a build, or any number of loose parts.
    #[must_use]
    pub fn pages(&self, all: &[Checked]) -> Page {
        let mut pages = all.iter().map(|checked| self.page(checked));
        let Some(mut whole) = pages.next() else { return Page::plain(String::new(), Tally::default()) };
        for page in pages {
            let between = match self.format {
                CheckFormat::Json | CheckFormat::Sarif if !whole.text.is_empty() && !page.text.is_empty() => ",\n",
                CheckFormat::Graphic if whole.apart || page.apart => "\n",
                _ => "",
            };
            whole.text.push_str(between);
            whole.text.push_str(&page.text);
            whole.tally.add(&page.tally);
            whole.apart |= page.apart;
            whole.codes.extend(page.codes);
        }
        whole
    }

    /// Puts a record on paper: its line, then its findings.
    #[must_use]
    pub fn page(&self, checked: &Checked) -> Page {
        let tally = Tally::of(checked);
        let mut text = match self.format {
            CheckFormat::Json => return Page::plain(json::record(checked), tally),
            CheckFormat::JsonLines => return Page::plain(json_lines::record(checked), tally),
            CheckFormat::Csv => return Page::plain(csv::record(checked), tally),
            CheckFormat::Junit => return Page::plain(junit::record(checked), tally),
            CheckFormat::Sarif => {
                let codes = checked.findings.iter().map(|finding| finding.code).collect();
                return Page { codes, ..Page::plain(sarif::record(checked), tally) };
            }
            _ if self.quiet && checked.passes() => return Page::plain(String::new(), tally),
            CheckFormat::Graphic if self.quiet => lines::drawn_alone(checked, self.look),
            CheckFormat::Graphic => lines::drawn(checked, self.look),
            CheckFormat::Plain => lines::plain(checked),
        };
        let mut apart = false;
        let list = if self.quiet { String::new() } else { self.still_to_measure(checked) };
        // What is wrong with the record itself may be why something is missing, and comes first.
        let first = checked.record_errors == 0;
        if first && !list.is_empty() {
            text.push_str(&list);
            apart = true;
        }
        if !self.quiet || checked.unreadable {
            for finding in &checked.findings {
                // The first finding stands right under its build's line.
                if apart && self.format == CheckFormat::Graphic && !self.quiet {
                    text.push('\n');
                }
                text.push_str(&self.finding(finding));
                apart = true;
            }
        }
        if !first && !list.is_empty() {
            if apart && self.format == CheckFormat::Graphic {
                text.push('\n');
            }
            text.push_str(&list);
            apart = true;
        }
        Page { apart, ..Page::plain(text, tally) }
    }

    fn still_to_measure(&self, checked: &Checked) -> String {
        match self.format {
            CheckFormat::Graphic => to_measure::drawn(&checked.to_measure, self.look),
            _ => to_measure::plain(&checked.to_measure, &checked.file),
        }
    }

    /// Puts on paper that a record was not judged because its rulebooks have errors.
    #[must_use]
    pub fn unsound(&self, file: &str) -> Page {
        let text = match self.format {
            CheckFormat::Graphic => lines::drawn_unsound(file, self.look),
            CheckFormat::Plain => lines::plain_unsound(file),
            CheckFormat::Json => json::unsound(file),
            CheckFormat::JsonLines => json_lines::unsound(file),
            CheckFormat::Csv => csv::unsound(file),
            CheckFormat::Junit => junit::unsound(file),
            // The errors of its rulebooks are results of their own.
            CheckFormat::Sarif => String::new(),
        };
        Page::plain(text, Tally::of_unsound())
    }

    fn finding(&self, finding: &Finding) -> String {
        match self.format {
            CheckFormat::Graphic if !self.quiet => terminal::draw(finding, self.look),
            _ if self.quiet => plain::line(finding),
            _ => plain::write(finding),
        }
    }
}

/// Pages in order, on something that takes bytes.
#[derive(Debug)]
pub struct Stream<W> {
    paper: Paper,
    out: W,
    tally: Tally,
    /// Whether what was written last stands apart from what follows.
    apart: bool,
    /// Whether anything was written.
    begun: bool,
    /// What JSON says after the records: few and small.
    shops: Vec<String>,
    paths: Vec<String>,
    survey: serde_json::Value,
    /// The codes used so far, where the end of the document explains them.
    codes: BTreeSet<Code>,
    /// What the books of the run say to mind whenever something fails, each once.
    cautions: Vec<Box<str>>,
}

impl<W: Write> Stream<W> {
    /// Begins a roll.
    ///
    /// # Errors
    /// Where nothing can be written.
    pub fn begin(paper: Paper, mut out: W) -> io::Result<Stream<W>> {
        match paper.format {
            CheckFormat::Graphic | CheckFormat::Plain | CheckFormat::JsonLines => {}
            CheckFormat::Json => out.write_all(json::BEGIN.as_bytes())?,
            CheckFormat::Sarif => out.write_all(sarif::BEGIN.as_bytes())?,
            CheckFormat::Csv => out.write_all(csv::begin().as_bytes())?,
            CheckFormat::Junit => out.write_all(junit::BEGIN.as_bytes())?,
        }
        let (tally, shops, paths, codes) = (Tally::default(), Vec::new(), Vec::new(), BTreeSet::new());
        let (survey, cautions) = (serde_json::Value::Null, Vec::new());
        Ok(Stream { paper, out, tally, apart: false, begun: false, shops, paths, survey, codes, cautions })
    }

    /// Writes what is to be said of a shop's books, before the first of its records.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub fn shop(&mut self, shop: &Shop) -> io::Result<()> {
        for caution in &shop.book.cautions {
            if !self.cautions.contains(caution) {
                self.cautions.push(caution.clone());
            }
        }
        match self.paper.format {
            CheckFormat::Json => self.shops.push(json::shop(shop)),
            CheckFormat::JsonLines => return self.put(&json_lines::shop(shop), false),
            _ => return self.said(shop.findings()),
        }
        Ok(())
    }

    /// Writes what was found on the way to the records. An error among it is a trouble of the run.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub fn path(&mut self, finding: &Finding) -> io::Result<()> {
        self.tally.troubles += usize::from(finding.is_error());
        match self.paper.format {
            CheckFormat::Json => self.paths.push(json::finding(finding)),
            CheckFormat::JsonLines => return self.put(&json_lines::finding(finding), false),
            _ => return self.said(std::slice::from_ref(finding)),
        }
        Ok(())
    }

    fn said(&mut self, findings: &[Finding]) -> io::Result<()> {
        if self.paper.format == CheckFormat::Sarif {
            self.codes.extend(findings.iter().map(|finding| finding.code));
            return self.piece(&sarif::outside(findings));
        }
        if self.paper.format == CheckFormat::Junit {
            return self.put(&junit::outside(findings), false);
        }
        if !self.paper.format.has_troubles() {
            return Ok(());
        }
        let quiet = self.paper.quiet;
        // Errors outside the records are drawn whatever was asked: without their mend nothing can go on.
        let paper = Paper { quiet: false, ..self.paper };
        for finding in findings.iter().filter(|finding| finding.is_error() || !quiet) {
            self.put(&paper.finding(finding), true)?;
        }
        Ok(())
    }

    /// Writes one record.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub fn page(&mut self, page: &Page) -> io::Result<()> {
        self.tally.add(&page.tally);
        self.codes.extend(&page.codes);
        if matches!(self.paper.format, CheckFormat::Json | CheckFormat::Sarif) {
            return self.piece(&page.text);
        }
        if page.text.is_empty() { Ok(()) } else { self.put(&page.text, page.apart) }
    }

    /// Writes the next members of a JSON list, each on a line of its own.
    fn piece(&mut self, text: &str) -> io::Result<()> {
        if text.is_empty() {
            return Ok(());
        }
        self.out.write_all(if self.begun { b",\n" } else { b"\n" })?;
        self.begun = true;
        self.out.write_all(text.as_bytes())
    }

    fn put(&mut self, text: &str, apart: bool) -> io::Result<()> {
        let spaced = self.paper.format == CheckFormat::Graphic && self.begun && (apart || self.apart);
        if spaced {
            self.out.write_all(b"\n")?;
        }
        (self.apart, self.begun) = (apart, true);
        if self.paper.format == CheckFormat::Graphic {
            return self.out.write_all(super::style::fitted(text, self.paper.look).as_bytes());
        }
        self.out.write_all(text.as_bytes())
    }

    /// How many records were written so far.
    #[must_use]
    pub fn records(&self) -> usize {
        self.tally.records
    }

    /// Takes what was asked of all records into the document; formats for people have it behind the summary, see
    /// [`survey::text`].
    ///
    /// # Errors
    /// Where it cannot be written.
    pub fn survey(&mut self, survey: &Survey, asked: Asked) -> io::Result<()> {
        match self.paper.format {
            CheckFormat::Json => self.survey = survey::value(survey, asked),
            CheckFormat::JsonLines if asked.anything() => return self.put(&json_lines::survey(survey, asked), false),
            _ => {}
        }
        Ok(())
    }

    /// Hands on what was written so far.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }

    /// Ends the roll with the summary, and gives the numbers of the run.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub fn end(mut self) -> io::Result<Tally> {
        let look = self.paper.look;
        match self.paper.format {
            CheckFormat::Json => {
                let end = json::end(&self.shops, &self.paths, &self.survey, &self.tally);
                self.out.write_all(end.as_bytes())?;
            }
            CheckFormat::Sarif => self.out.write_all(sarif::end(&self.codes, &self.tally).as_bytes())?,
            CheckFormat::JsonLines => self.put(&json_lines::summary(&self.tally), false)?,
            CheckFormat::Csv => {}
            CheckFormat::Junit => self.out.write_all(junit::END.as_bytes())?,
            CheckFormat::Graphic | CheckFormat::Plain => {
                if self.tally.records > 0 {
                    self.put(&lines::summary(&self.tally, look), true)?;
                }
                // Said of builds, not of files: those not judged are not on a bench yet.
                if self.tally.failing > self.tally.unjudged && !self.paper.quiet {
                    self.cautions(look)?;
                }
            }
        }
        self.out.flush()?;
        Ok(self.tally)
    }

    fn cautions(&mut self, look: Look) -> io::Result<()> {
        let mut text = String::new();
        if !self.cautions.is_empty() {
            let said = wording::cautions(&self.cautions);
            if self.paper.format == CheckFormat::Graphic {
                let head = format!("{}: ", look.paint(Ink::Mind, wording::CAUTION));
                super::style::wrapped(&mut text, &head, wording::CAUTION.len() + 2, &said, look.width);
            } else {
                text.push_str(&format!("{}: {}\n", wording::CAUTION, super::style::clean(&said)));
            }
        }
        if text.is_empty() { Ok(()) } else { self.put(&text, true) }
    }
}
