//! The algorithm by which editors colour a text with a TextMate grammar: line by line, the earliest match of the rules
//! in force, a stack of begun ones. Refuses what the editor grammar does not use.

use fancy_regex::Regex;
use serde_json::Value;
use std::collections::BTreeMap;

/// A rule with its expressions made once.
enum Rule {
    Match { expression: Regex, name: Option<String>, captures: BTreeMap<usize, String> },
    Block(Box<Block>),
    Include(String),
}

struct Block {
    begin: Regex,
    end: Regex,
    name: Option<String>,
    begin_captures: BTreeMap<usize, String>,
    end_captures: BTreeMap<usize, String>,
    rules: Vec<Rule>,
}

/// A grammar, ready to use.
pub(crate) struct Grammar {
    rules: Vec<Rule>,
    repository: BTreeMap<String, Vec<Rule>>,
}

/// The names of one byte, outermost first.
pub(crate) type Scopes = Vec<String>;

impl Grammar {
    /// Reads a grammar; panics at anything this reader does not know, so that nothing in it is silently left out.
    pub(crate) fn new(json: &str) -> Grammar {
        let value: Value = serde_json::from_str(json).unwrap();
        for key in value.as_object().unwrap().keys() {
            assert!(
                ["name", "scopeName", "fileTypes", "patterns", "repository"].contains(&&**key),
                "unknown key {key}"
            );
        }
        let repository = value["repository"].as_object().unwrap();
        Grammar {
            rules: rules(&value["patterns"]),
            repository: repository.iter().map(|(name, entry)| (name.clone(), rules(&entry["patterns"]))).collect(),
        }
    }

    /// What every byte of a text is, without the scope of the whole; the same places vscode-textmate gives.
    pub(crate) fn scopes(&self, text: &str) -> Vec<Scopes> {
        let mut scopes: Vec<Scopes> = vec![Vec::new(); text.len()];
        let mut stack: Vec<&Block> = Vec::new();
        let mut from = 0;
        for line in text.split_inclusive('\n') {
            self.line(line, &mut stack, &mut scopes[from..from + line.len()]);
            from += line.len();
        }
        scopes
    }

    fn line<'a>(&'a self, line: &str, stack: &mut Vec<&'a Block>, scopes: &mut [Scopes]) {
        let mut at = 0;
        while at < line.len() {
            let names: Scopes = stack.iter().filter_map(|block| block.name.clone()).collect();
            let rules = stack.last().map_or(&self.rules, |block| &block.rules);
            let end = stack.last().and_then(|block| block.end.captures_from_pos(line, at).unwrap());
            let mut best = None;
            self.earliest(rules, line, at, &mut best);
            // The end wins where both begin at one place.
            let ends = match (&end, &best) {
                (Some(end), Some((_, best))) => end.get(0).unwrap().start() <= best.get(0).unwrap().start(),
                (Some(_), None) => true,
                (None, _) => false,
            };
            let (found, name, captures) = match (ends, end, best) {
                (true, Some(end), _) => {
                    let block = stack.pop().unwrap();
                    (end, None, &block.end_captures)
                }
                (_, _, Some((Rule::Match { name, captures, .. }, found))) => (found, name.clone(), captures),
                (_, _, Some((Rule::Block(block), found))) => {
                    stack.push(block);
                    (found, block.name.clone(), &block.begin_captures)
                }
                _ => {
                    scopes[at..].iter_mut().for_each(|entry| entry.clone_from(&names));
                    return;
                }
            };
            let whole = found.get(0).unwrap();
            assert!(ends || whole.end() > whole.start(), "a rule matched nothing at all in {line:?}");
            scopes[at..whole.start()].iter_mut().for_each(|entry| entry.clone_from(&names));
            scopes[whole.start()..whole.end()].iter_mut().for_each(|entry| {
                entry.clone_from(&names);
                entry.extend(name.clone());
            });
            for (number, name) in captures {
                if let Some(part) = found.get(*number) {
                    scopes[part.start()..part.end()].iter_mut().for_each(|entry| entry.push(name.clone()));
                }
            }
            at = whole.end();
        }
    }

    /// The rule that matches first, the first of the list where several do at one place.
    fn earliest<'a, 't>(
        &'a self,
        rules: &'a [Rule],
        line: &'t str,
        at: usize,
        best: &mut Option<(&'a Rule, fancy_regex::Captures<'t, str>)>,
    ) {
        for rule in rules {
            let expression = match rule {
                Rule::Include(name) => {
                    let rules = self.repository.get(name).unwrap_or_else(|| panic!("nothing is named {name}"));
                    self.earliest(rules, line, at, best);
                    continue;
                }
                Rule::Match { expression, .. } => expression,
                Rule::Block(block) => &block.begin,
            };
            let Some(found) = expression.captures_from_pos(line, at).unwrap() else { continue };
            let start = found.get(0).unwrap().start();
            if best.as_ref().is_none_or(|(_, other)| start < other.get(0).unwrap().start()) {
                *best = Some((rule, found));
            }
        }
    }
}

fn rules(list: &Value) -> Vec<Rule> {
    list.as_array().unwrap().iter().map(rule).collect()
}

fn rule(value: &Value) -> Rule {
    for key in value.as_object().unwrap().keys() {
        let known =
            ["include", "match", "name", "captures", "begin", "end", "beginCaptures", "endCaptures", "patterns"];
        assert!(known.contains(&&**key), "unknown key {key}");
    }
    if let Some(name) = value["include"].as_str() {
        return Rule::Include(name.strip_prefix('#').unwrap().to_string());
    }
    // The engine of the editors lets `^` and `$` match at every line's ends.
    let expression = |key: &str| {
        let written = value[key].as_str().unwrap_or_else(|| panic!("no {key}: {value}"));
        Regex::new(&format!("(?m){written}")).unwrap()
    };
    let name = value["name"].as_str().map(str::to_string);
    if value["match"].is_string() {
        return Rule::Match { expression: expression("match"), name, captures: captures(&value["captures"]) };
    }
    Rule::Block(Box::new(Block {
        begin: expression("begin"),
        end: expression("end"),
        name,
        begin_captures: captures(&value["beginCaptures"]),
        end_captures: captures(&value["endCaptures"]),
        rules: rules(&value["patterns"]),
    }))
}

fn captures(value: &Value) -> BTreeMap<usize, String> {
    let Some(captures) = value.as_object() else { return BTreeMap::new() };
    captures
        .iter()
        .map(|(number, capture)| (number.parse().unwrap(), capture["name"].as_str().unwrap().to_string()))
        .collect()
}
