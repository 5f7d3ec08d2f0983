//! The strip of paper a run is written on: pages one after the other, counted, with a summary at the end. Refuses to
//! know how a page came to be, and holds none of them.

use super::ink::{Ink, Look};
use super::tally::Tally;
use super::{Format, json, lines, plain, terminal, wording};
use crate::finding::Finding;
use crate::shop::{Checked, Shop};
use std::io::{self, Write};

/// How records are put on paper.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Paper {
    /// In which form.
    pub format: Format,
    /// With which width and colours, where it is drawn.
    pub look: Look,
    /// Whether only the lines of failing builds and the summary are wanted. JSON is always whole.
    pub quiet: bool,
}

/// One record on paper.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Page {
    text: String,
    tally: Tally,
    /// Whether it is more than one line, so that it stands apart.
    apart: bool,
}

impl Paper {
    /// Puts a record on paper: its line, then its findings.
    #[must_use]
    pub fn page(&self, checked: &Checked) -> Page {
        let tally = Tally::of(checked);
        if self.format == Format::Json {
            return Page { text: json::record(checked), tally, apart: false };
        }
        if self.quiet && checked.passes() {
            return Page { text: String::new(), tally, apart: false };
        }
        let mut text = match self.format {
            Format::Graphic => lines::drawn(checked, self.look),
            Format::Plain | Format::Json => lines::plain(checked),
        };
        let mut apart = false;
        if !self.quiet || checked.unreadable {
            for finding in &checked.findings {
                // The first finding stands right under its build's line.
                if apart && self.format == Format::Graphic && !self.quiet {
                    text.push('\n');
                }
                text.push_str(&self.finding(finding));
                apart = true;
            }
        }
        Page { text, tally, apart }
    }

    /// Puts on paper that a record was not judged because its rulebooks have errors.
    #[must_use]
    pub fn unsound(&self, file: &str) -> Page {
        let text = match self.format {
            Format::Graphic => lines::drawn_unsound(file, self.look),
            Format::Plain => lines::plain_unsound(file),
            Format::Json => json::unsound(file),
        };
        Page { text, tally: Tally::of_unsound(), apart: false }
    }

    fn finding(&self, finding: &Finding) -> String {
        match self.format {
            Format::Graphic if self.quiet => plain::line(finding),
            Format::Graphic => terminal::draw(finding, self.look),
            Format::Plain if self.quiet => plain::line(finding),
            Format::Plain | Format::Json => plain::write(finding),
        }
    }
}

/// Pages in order, on something that takes bytes.
#[derive(Debug)]
pub struct Roll<W> {
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
    /// What the books of the run say to mind whenever something fails, each once.
    cautions: Vec<Box<str>>,
}

impl<W: Write> Roll<W> {
    /// Begins a roll.
    ///
    /// # Errors
    /// Where nothing can be written.
    pub fn begin(paper: Paper, mut out: W) -> io::Result<Roll<W>> {
        if paper.format == Format::Json {
            out.write_all(json::BEGIN.as_bytes())?;
        }
        let (tally, shops, paths) = (Tally::default(), Vec::new(), Vec::new());
        Ok(Roll { paper, out, tally, apart: false, begun: false, shops, paths, cautions: Vec::new() })
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
        if self.paper.format == Format::Json {
            self.shops.push(json::shop(shop));
            return Ok(());
        }
        self.said(shop.findings())
    }

    /// Writes what was found on the way to the records. An error among it is a trouble of the run.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub fn path(&mut self, finding: &Finding) -> io::Result<()> {
        self.tally.troubles += usize::from(finding.is_error());
        if self.paper.format == Format::Json {
            self.paths.push(json::finding(finding));
            return Ok(());
        }
        self.said(std::slice::from_ref(finding))
    }

    fn said(&mut self, findings: &[Finding]) -> io::Result<()> {
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
        let first = self.tally.records == 0;
        self.tally.add(&page.tally);
        if self.paper.format == Format::Json {
            self.out.write_all(if first { b"\n" } else { b",\n" })?;
            return self.out.write_all(page.text.as_bytes());
        }
        if page.text.is_empty() { Ok(()) } else { self.put(&page.text, page.apart) }
    }

    fn put(&mut self, text: &str, apart: bool) -> io::Result<()> {
        let spaced = self.paper.format == Format::Graphic && self.begun && (apart || self.apart);
        if spaced {
            self.out.write_all(b"\n")?;
        }
        (self.apart, self.begun) = (apart, true);
        self.out.write_all(text.as_bytes())
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
            Format::Json => {
                let end = json::end(&self.shops, &self.paths, &self.tally);
                self.out.write_all(end.as_bytes())?;
            }
            Format::Graphic | Format::Plain => {
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
        for caution in &self.cautions {
            if self.paper.format == Format::Graphic {
                let head = format!("{}: ", look.paint(Ink::Mind, wording::CAUTION));
                super::ink::wrapped(&mut text, &head, wording::CAUTION.len() + 2, caution, look.width);
            } else {
                text.push_str(&format!("{}: {}\n", wording::CAUTION, super::ink::clean(caution)));
            }
        }
        if text.is_empty() { Ok(()) } else { self.put(&text, true) }
    }
}
