//! Where in braces the cursor is, in a record that is not written to its end: on one line or over several. Refuses to know what a key
//! means.

/// Where the cursor is in a text whose braces are still open.
#[derive(PartialEq, Eq, Debug)]
pub(super) struct Braces<'t> {
    /// The byte where the line begins that opened the outermost of them.
    pub(super) line: usize,
    /// The keys that lead there, from that line on.
    pub(super) keys: Vec<String>,
    /// The keys before it in the same braces.
    pub(super) written: Vec<&'t str>,
    /// What is begun.
    pub(super) begun: &'t str,
}

/// A level of braces: the key they belong to, and the keys in them so far.
type Level<'t> = (&'t str, Vec<&'t str>);

/// Goes through a text letter by letter.
struct Scan<'t> {
    text: &'t str,
    levels: Vec<Level<'t>>,
    /// Where what is being read began.
    from: usize,
    /// Where the line began that opened the outermost braces, or that is being read where none are open.
    line: usize,
    quoted: Option<char>,
    remark: bool,
}

/// Where a text ends within braces; `None` if none are open.
pub(super) fn braces(text: &str) -> Option<Braces<'_>> {
    let mut scan = Scan { text, levels: Vec::new(), from: 0, line: 0, quoted: None, remark: false };
    let mut before = '\n';
    for (at, letter) in text.char_indices() {
        scan.take(at, letter, before);
        before = letter;
    }
    let Scan { mut levels, from, line, remark, .. } = scan;
    if remark {
        return None;
    }
    let keys = levels.iter().map(|(key, _)| (*key).to_owned()).filter(|key| !key.is_empty()).collect();
    let (_, written) = levels.pop()?;
    Some(Braces { line, keys, written, begun: text.get(from..).unwrap_or("").trim_start() })
}

impl<'t> Scan<'t> {
    fn take(&mut self, at: usize, letter: char, before: char) {
        let token = self.text.get(self.from..at).unwrap_or("");
        match (letter, self.quoted) {
            ('\n', _) => return self.end_line(at + 1),
            _ if self.remark => return,
            (_, Some(quote)) => {
                if letter == quote {
                    self.quoted = None;
                }
                return;
            }
            ('#', None) if before.is_whitespace() => {
                self.remark = true;
                return;
            }
            ('"' | '\'', None) if token.trim_end().ends_with(':') || token.trim().is_empty() => {
                self.quoted = Some(letter);
                return;
            }
            ('{', None) => {
                let key = key_before(token).unwrap_or("");
                self.levels.last_mut().into_iter().for_each(|(_, written)| written.push(key));
                self.levels.push((key, Vec::new()));
            }
            ('}', None) => {
                self.levels.pop();
            }
            (',', None) => {
                let key = key_before(token);
                self.levels.last_mut().into_iter().for_each(|(_, written)| written.extend(key));
            }
            ('[' | ']', None) => {}
            _ => return,
        }
        self.from = at + letter.len_utf8();
    }

    /// A new line. In braces it goes on, unless it stands no deeper than the line that opened them and begins with a key: then
    /// somebody forgot to close them.
    fn end_line(&mut self, next: usize) {
        (self.remark, self.quoted) = (false, None);
        let rest = self.text.get(next..).unwrap_or("");
        let new = rest.split('\n').next().unwrap_or("");
        let begins = |line: &str| line.len() - line.trim_start_matches(' ').len();
        let opening = self.text.get(self.line..).and_then(|rest| rest.split('\n').next()).unwrap_or("");
        let forgotten =
            begins(new) <= begins(opening) && key_before(new).is_some() && !new.trim_start().starts_with('}');
        if self.levels.is_empty() || forgotten {
            self.levels.clear();
            (self.from, self.line) = (next, next);
        }
    }
}

fn key_before(token: &str) -> Option<&str> {
    let (key, _) = token.split_once(':')?;
    let key = key.rsplit('\n').next().unwrap_or(key);
    Some(key.trim_start_matches([' ', '-']).trim().trim_matches(['"', '\'']))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cursor_in_braces_has_keys_and_what_is_written() {
        for (line, keys, written, begun) in [
            ("mic-1: { unc", &["mic-1"][..], &[][..], "unc"),
            ("  mic-1: { uncertainty: 2 um, k", &["mic-1"], &["uncertainty"], "k"),
            ("  - { uncertainty: 2 um, k: 2, ", &[], &["uncertainty", "k"], ""),
            ("mic-1: { uncertainty: \"(2 + L/300) um, L in mm\", co", &["mic-1"], &["uncertainty"], "co"),
            ("mic-1: { uncertainty: 2 um, correlated: { mic-2: 0.6, mi", &["mic-1", "correlated"], &["mic-2"], "mi"),
            ("mic-1: { correlated: { mic-2: 0.6 }, ", &["mic-1"], &["correlated"], ""),
            ("width: { value: [79.8 mm, 79.9 mm], gauge: m", &["width"], &[], "gauge: m"),
            (
                "width:\n  a: 1\nmic-1: { uncertainty: 2 um, # { that\n  k: 2,\n  ",
                &["mic-1"],
                &["uncertainty", "k"],
                "",
            ),
            ("a: { b: { c: 1,\n  d: 2 },\n  e", &["a"], &["b"], "e"),
            ("a: { b: 1\nc: { d", &["c"], &[], "d"),
        ] {
            let none = Braces { line: 0, keys: Vec::new(), written: Vec::new(), begun: "none" };
            let found = braces(line).unwrap_or(none);
            assert_eq!(
                (found.keys.as_slice(), found.begun),
                (keys.iter().map(|it| (*it).to_owned()).collect::<Vec<_>>().as_slice(), begun),
                "{line}"
            );
            for key in written {
                assert!(found.written.contains(key), "{line}: {:?}", found.written);
            }
            let opened = line.get(found.line..).unwrap_or("");
            assert!(opened.lines().next().is_some_and(|line| line.contains('{')), "{line}: {opened}");
        }
        for none in ["width: 79.8 mm", "width: { value: 79.8 mm }", "a: { b\nc: 1\n", "a: { b: 1, # c"] {
            assert_eq!(braces(none), None, "{none}");
        }
    }
}
