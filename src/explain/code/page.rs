//! Reads the page of a code line by line. Refuses to know what any code means.

use crate::finding::Code;

/// What is to be said of a code.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Page {
    /// The code.
    pub code: Code,
    /// What it means in one line.
    pub summary: String,
    /// What it means, a paragraph each.
    pub meaning: Vec<String>,
    /// What to do, a paragraph each.
    pub mend: Vec<String>,
    /// Papers that both examples need.
    pub both: Vec<Paper>,
    /// Papers about which the program says the code.
    pub wrong: Vec<Paper>,
    /// Papers about which it does not.
    pub right: Vec<Paper>,
}

/// One paper of an example.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Paper {
    /// What is written: `rulebook`, `yaml`, `shell` for a command line, `text` for words.
    pub language: String,
    /// The file's name; empty for a command line and for words.
    pub name: String,
    /// The text, each line ended.
    pub text: String,
}

/// Where a page is being read.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Section {
    Meaning,
    Mend,
    Both,
    Wrong,
    Right,
}

/// The headings, in the order they stand in.
const HEADINGS: &[(&str, Section)] = &[
    ("## Mend", Section::Mend),
    ("## Both", Section::Both),
    ("## Wrong", Section::Wrong),
    ("## Right", Section::Right),
];

const FENCE: &str = "```";

impl Page {
    /// Reads the page of a code.
    ///
    /// # Errors
    /// What is wrong with it, in words, with the line.
    pub fn read(code: Code, text: &str) -> Result<Page, String> {
        let mut lines = text.lines().enumerate();
        if lines.next().and_then(|(_, line)| line.strip_prefix("# ")) != Some(code.name()) {
            return Err(format!("line 1 is not `# {}`", code.name()));
        }
        let summary = lines.next().map_or("", |(_, line)| line).to_string();
        if summary.is_empty() {
            return Err("line 2 does not say what it means".into());
        }
        let mut page = Page {
            code,
            summary,
            meaning: Vec::new(),
            mend: Vec::new(),
            both: Vec::new(),
            wrong: Vec::new(),
            right: Vec::new(),
        };
        let mut section = Section::Meaning;
        let mut headings = HEADINGS.iter();
        let mut paragraph = String::new();
        while let Some((at, line)) = lines.next() {
            let number = at + 1;
            if line.is_empty() || line.starts_with("## ") || line.starts_with(FENCE) {
                page.end_paragraph(section, &mut paragraph, number)?;
            }
            if line.starts_with("## ") {
                section = headings
                    .find(|(heading, _)| *heading == line)
                    .map(|(_, section)| *section)
                    .ok_or_else(|| format!("line {number}: no heading `{line}` here"))?;
            } else if let Some(label) = line.strip_prefix(FENCE) {
                let mut text = String::new();
                loop {
                    match lines.next() {
                        Some((_, line)) if line == FENCE => break,
                        Some((_, line)) => text.extend([line, "\n"]),
                        None => return Err(format!("line {number}: the block is not closed")),
                    }
                }
                let paper = Paper::labelled(label, text).map_err(|fault| format!("line {number}: {fault}"))?;
                match section {
                    Section::Both => page.both.push(paper),
                    Section::Wrong => page.wrong.push(paper),
                    Section::Right => page.right.push(paper),
                    Section::Meaning | Section::Mend => return Err(format!("line {number}: a block outside examples")),
                }
            } else if !line.is_empty() {
                if !paragraph.is_empty() {
                    paragraph.push(' ');
                }
                paragraph.push_str(line.trim());
            }
        }
        page.end_paragraph(section, &mut paragraph, text.lines().count())?;
        page.whole()
    }

    fn end_paragraph(&mut self, section: Section, paragraph: &mut String, number: usize) -> Result<(), String> {
        if paragraph.is_empty() {
            return Ok(());
        }
        match section {
            Section::Meaning => self.meaning.push(std::mem::take(paragraph)),
            Section::Mend => self.mend.push(std::mem::take(paragraph)),
            Section::Both | Section::Wrong | Section::Right => {
                return Err(format!("line {number}: words between the papers of an example"));
            }
        }
        Ok(())
    }

    fn whole(self) -> Result<Page, String> {
        for (missing, what) in [
            (self.meaning.is_empty(), "it does not say what the code means"),
            (self.mend.is_empty(), "it does not say what to do"),
            (self.wrong.is_empty(), "it has no wrong example"),
            (self.right.is_empty(), "it has no right example"),
        ] {
            if missing {
                return Err(what.into());
            }
        }
        Ok(self)
    }
}

impl Paper {
    fn labelled(label: &str, text: String) -> Result<Paper, String> {
        let (language, name) = label.split_once(' ').unwrap_or((label, ""));
        let named = match language {
            "rulebook" | "yaml" | "csv" => true,
            "shell" | "text" => false,
            _ => return Err(format!("a block of `{language}`: it may be rulebook, yaml, csv, shell or text")),
        };
        if named == name.is_empty() {
            return Err(format!("a block of {language} {} name", if named { "needs a file" } else { "has no file" }));
        }
        Ok(Paper { language: language.into(), name: name.into(), text })
    }

    /// Whether it is a file, and not a command line or words.
    #[must_use]
    pub fn is_file(&self) -> bool {
        !self.name.is_empty()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]
    use super::{Code, Page, Paper};

    const PAGE: &str = "\
# row-out
Outside its limit.

It is too wide,
or too narrow.

And more.

## Mend
Replace it.

## Both
```rulebook p.rulebook
# a comment
## no heading

```
## Wrong
```yaml P-1.yaml
a: 1
```
```shell
trochoid check P-1.yaml
```
## Right
```text
nothing
```
";

    #[test]
    fn a_page_is_read_whole() {
        let page = Page::read(Code::RowOut, PAGE).unwrap();
        let paper = |language: &str, name: &str, text: &str| Paper {
            language: language.into(),
            name: name.into(),
            text: text.into(),
        };
        assert_eq!(page.summary, "Outside its limit.");
        assert_eq!(page.meaning, ["It is too wide, or too narrow.", "And more."]);
        assert_eq!(page.mend, ["Replace it."]);
        assert_eq!(page.both, [paper("rulebook", "p.rulebook", "# a comment\n## no heading\n\n")]);
        assert_eq!(page.wrong, [paper("yaml", "P-1.yaml", "a: 1\n"), paper("shell", "", "trochoid check P-1.yaml\n")]);
        assert_eq!(page.right, [paper("text", "", "nothing\n")]);
    }

    #[test]
    fn every_fault_of_a_page_is_said() {
        for (from, to, said) in [
            ("# row-out", "# row-in", "line 1 is not `# row-out`"),
            ("Outside its limit.", "", "line 2 does not say"),
            ("## Mend", "## Mnd", "line 9: no heading `## Mnd` here"),
            ("## Both", "## Mend", "line 12: no heading `## Mend` here"),
            ("It is too wide,\nor too narrow.\n\nAnd more.\n", "", "it does not say what the code means"),
            ("Replace it.\n", "", "it does not say what to do"),
            ("```text\nnothing\n```\n", "", "it has no right example"),
            ("```yaml P-1.yaml", "```yaml", "line 19: a block of yaml needs a file name"),
            ("```shell", "```shell x", "line 22: a block of shell has no file name"),
            ("```shell", "```sh", "line 22: a block of `sh`: it may be rulebook, yaml, csv, shell or text"),
            ("```text\nnothing\n```\n", "```text\nnothing\n", "line 26: the block is not closed"),
            ("## Right\n", "words\n## Right\n", "line 26: words between the papers of an example"),
            ("Replace it.", "```text\n```", "line 10: a block outside examples"),
        ] {
            assert!(PAGE.contains(from), "{from}");
            let fault = Page::read(Code::RowOut, &PAGE.replacen(from, to, 1)).unwrap_err();
            assert!(fault.contains(said), "{from} -> {to}: {fault}");
        }
    }
}
