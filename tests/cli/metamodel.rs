//! Holds what the server sends to the published metamodel of the Language Server Protocol, version 3.17: names and types of
//! members, and that none is missing.

use serde_json::Value;

const MODEL: &str = include_str!("../outside/schemas/lsp-3.17-metamodel.json");

/// The metamodel, read once a session.
pub(super) struct Metamodel(Value);

impl Metamodel {
    pub(super) fn new() -> Metamodel {
        Metamodel(serde_json::from_str(MODEL).unwrap())
    }

    fn entry<'a>(&'a self, list: &str, key: &str, name: &str) -> Option<&'a Value> {
        self.0[list].as_array().unwrap().iter().find(|entry| entry[key] == name)
    }

    /// What is wrong with the result of a request.
    pub(super) fn result(&self, method: &str, value: &Value) -> Vec<String> {
        let request = self.entry("requests", "method", method).unwrap_or_else(|| panic!("{method} is unknown"));
        self.faults(&request["result"], value, method)
    }

    /// What is wrong with what a notification, or a request of the server's own, says.
    pub(super) fn params(&self, method: &str, value: &Value) -> Vec<String> {
        let said = self.entry("notifications", "method", method).or_else(|| self.entry("requests", "method", method));
        self.faults(&said.unwrap_or_else(|| panic!("{method} is unknown"))["params"], value, method)
    }

    fn faults(&self, kind: &Value, value: &Value, at: &str) -> Vec<String> {
        let wrong = |right: bool| if right { vec![] } else { vec![format!("{at}: {value} is no {kind}")] };
        match kind["kind"].as_str().unwrap() {
            "base" => wrong(match kind["name"].as_str().unwrap() {
                "integer" => value.is_i64(),
                "uinteger" => value.as_u64().is_some_and(|number| number < 1 << 31),
                "decimal" => value.is_number(),
                "boolean" => value.is_boolean(),
                "null" => value.is_null(),
                _ => value.is_string(),
            }),
            "stringLiteral" => wrong(*value == kind["value"]),
            "array" => match value.as_array() {
                Some(items) => items.iter().flat_map(|item| self.faults(&kind["element"], item, at)).collect(),
                None => wrong(false),
            },
            "map" => match value.as_object() {
                Some(members) => members.values().flat_map(|item| self.faults(&kind["value"], item, at)).collect(),
                None => wrong(false),
            },
            "or" => {
                let tried: Vec<Vec<String>> =
                    kind["items"].as_array().unwrap().iter().map(|one| self.faults(one, value, at)).collect();
                tried.into_iter().min_by_key(Vec::len).unwrap()
            }
            "literal" => self.members(&kind["value"]["properties"], value, at),
            "reference" => self.named(kind["name"].as_str().unwrap(), value, at),
            other => panic!("the metamodel has a {other}"),
        }
    }

    fn named(&self, name: &str, value: &Value, at: &str) -> Vec<String> {
        if name.starts_with("LSP") {
            return Vec::new();
        }
        if let Some(alias) = self.entry("typeAliases", "name", name) {
            return self.faults(&alias["type"], value, at);
        }
        if let Some(set) = self.entry("enumerations", "name", name) {
            let known = set["values"].as_array().unwrap().iter().any(|entry| entry["value"] == *value);
            let open = set["supportsCustomValues"] == true && value.is_string();
            return if known || open { vec![] } else { vec![format!("{at}: {value} is no {name}")] };
        }
        let members = Value::Array(self.all_members(name));
        self.members(&members, value, &format!("{at} {name}"))
    }

    fn all_members(&self, name: &str) -> Vec<Value> {
        let structure = self.entry("structures", "name", name).unwrap_or_else(|| panic!("{name} is unknown"));
        let mut members = structure["properties"].as_array().unwrap().clone();
        for list in ["extends", "mixins"] {
            for base in structure[list].as_array().into_iter().flatten() {
                members.extend(self.all_members(base["name"].as_str().unwrap()));
            }
        }
        members
    }

    fn members(&self, properties: &Value, value: &Value, at: &str) -> Vec<String> {
        let Some(said) = value.as_object() else { return vec![format!("{at}: {value} has no members")] };
        let mut faults = Vec::new();
        let properties = properties.as_array().unwrap();
        for property in properties {
            let name = property["name"].as_str().unwrap();
            match said.get(name) {
                Some(inner) => faults.extend(self.faults(&property["type"], inner, &format!("{at}.{name}"))),
                None if property["optional"] == true => {}
                None => faults.push(format!("{at}: {name} is missing")),
            }
        }
        let unknown = said.keys().filter(|name| !properties.iter().any(|property| property["name"] == name.as_str()));
        faults.extend(unknown.map(|name| format!("{at}: there is no member {name}")));
        faults
    }
}

#[test]
fn the_metamodel_finds_faults() {
    let model = Metamodel::new();
    let range = serde_json::json!({ "start": { "line": 0, "character": 0 }, "end": { "line": 0, "character": 1 } });
    let good = serde_json::json!({ "uri": "file:///a", "diagnostics": [{ "range": range, "message": "m" }] });
    assert_eq!(model.params("textDocument/publishDiagnostics", &good), Vec::<String>::new());
    for (path, bad) in [("/uri", Value::Null), ("/diagnostics/0/range/start/line", (-1).into())] {
        let mut spoilt = good.clone();
        *spoilt.pointer_mut(path).unwrap() = bad;
        assert!(!model.params("textDocument/publishDiagnostics", &spoilt).is_empty(), "{path}");
    }
    let mut more = good.clone();
    more["diagnostics"][0]["colour"] = 1.into();
    assert!(!model.params("textDocument/publishDiagnostics", &more).is_empty());
}
