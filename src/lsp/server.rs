//! The server: the documents that are open, and what is answered about them. Messages in, messages out; refuses to read or write a
//! stream, to wait, and to know the time.

use super::document::{Document, Kind};
use super::open_shops::OpenShops;
use super::position::Encoding;
use super::publish::{self, Map};
use super::{capabilities, uri, wording};
use crate::finding::Finding;
use crate::judge::GradeSet;
use crate::quantity::Date;
use crate::record::Record;
use crate::shop::{Ask, Papers, Shop};
use crate::text::{Place, Source};
use lsp_server::{ErrorCode, Message, Notification, RequestId, Response, ResponseError};
use lsp_types::{Diagnostic, InitializeParams, PublishDiagnosticsParams, Uri};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

/// How far the conversation is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Stage {
    Before,
    Open,
    Closing,
}

/// Books with so many rows at most are proved with every change. Common practice: it takes some tens of milliseconds.
const MOST_ROWS_AT_ONCE: usize = 2_000;

/// Where the last word on a file's diagnostics went.
pub(super) type Published = BTreeMap<PathBuf, (Uri, Option<i32>, Vec<Diagnostic>)>;

/// What can be proved of one shop's rulebooks, still to be worked out.
#[derive(Debug)]
pub struct Proving(Arc<Shop>);

/// What was proved of one shop's rulebooks.
#[derive(Debug)]
pub struct Proved(Arc<Shop>, Arc<[Finding]>);

impl Proving {
    /// Works it out. Takes long for a book of thousands of rows.
    #[must_use]
    pub fn prove(self) -> Proved {
        let (_, findings) = crate::prove::prove(&self.0.book, None);
        Proved(self.0, findings.into())
    }
}

/// The papers that lie open, and the state of the conversation about them.
#[derive(Debug)]
pub struct Server {
    stage: Stage,
    /// The exit status, once the client said `exit`.
    ended: Option<u8>,
    pub(super) encoding: Encoding,
    pub(super) client: capabilities::Client,
    pub(super) documents: BTreeMap<PathBuf, Document>,
    pub(super) shelf: OpenShops,
    pub(super) shipped: Option<PathBuf>,
    /// Whether something changed since diagnostics were last published.
    pub(super) dirty: bool,
    pub(super) published: Published,
    /// The shops of the open papers, as last published.
    shops: Vec<Arc<Shop>>,
    /// Shops whose proof was asked for, and what came of those that are done.
    asked: Vec<Arc<Shop>>,
    proved: Vec<Proved>,
    requests: i32,
    /// The day it is, if anybody knows.
    today: Option<Date>,
    /// Whether the grade stands beside each reading.
    pub(super) shows_hints: bool,
}

/// Why a request has no answer.
pub(super) type Refusal = (ErrorCode, String);

impl Server {
    /// Says what day it is: a record finished later has an error.
    pub fn on(&mut self, today: Option<Date>) {
        self.today = today;
    }

    /// A server with nothing open; the shipped rulebooks can be looked at in a folder, if there is one.
    #[must_use]
    pub fn new(shipped: Option<PathBuf>) -> Server {
        Server {
            stage: Stage::Before,
            ended: None,
            encoding: Encoding::default(),
            client: capabilities::Client::default(),
            documents: BTreeMap::new(),
            shelf: OpenShops::default(),
            shipped,
            dirty: false,
            published: BTreeMap::new(),
            shops: Vec::new(),
            asked: Vec::new(),
            proved: Vec::new(),
            requests: 0,
            today: None,
            shows_hints: true,
        }
    }

    /// The exit status, once the client said `exit`: 0 if it said `shutdown` before.
    #[must_use]
    pub fn ended(&self) -> Option<u8> {
        self.ended
    }

    /// Takes one message and gives what is to be sent. Diagnostics of a change follow with [`Server::settle`].
    pub fn take(&mut self, message: Message) -> Vec<Message> {
        match message {
            Message::Request(request) => {
                let (id, method) = (request.id.clone(), request.method.clone());
                let mut out = Vec::new();
                let result = match (self.stage, method.as_str()) {
                    (Stage::Before, "initialize") => self.initialize(request.params),
                    (Stage::Before, _) => Err((ErrorCode::ServerNotInitialized, wording::NOT_YET.into())),
                    (Stage::Open, "initialize") => Err((ErrorCode::InvalidRequest, wording::TWICE.into())),
                    (Stage::Open, "shutdown") => {
                        self.stage = Stage::Closing;
                        Ok(Value::Null)
                    }
                    (Stage::Open, method) => {
                        // The answer is about the text as it is now, and what is wrong with that is said first.
                        out = self.settle();
                        super::answer::answer(self, method, request.params)
                    }
                    (Stage::Closing, _) => Err((ErrorCode::InvalidRequest, wording::CLOSING.into())),
                };
                out.push(response(id, result).into());
                out
            }
            Message::Notification(notification) => self.note(notification),
            Message::Response(_) => Vec::new(),
        }
    }

    fn initialize(&mut self, params: Value) -> Result<Value, Refusal> {
        let params: InitializeParams = serde_json::from_value(params)
            .map_err(|error| (ErrorCode::InvalidParams, wording::params("initialize", &error)))?;
        self.client = capabilities::Client::of(&params.capabilities);
        self.encoding = self.client.encoding;
        let wants = params.initialization_options.as_ref().and_then(capabilities::wants_hints);
        self.shows_hints = wants.unwrap_or(true);
        self.stage = Stage::Open;
        Ok(capabilities::offered(self.encoding))
    }

    fn note(&mut self, notification: Notification) -> Vec<Message> {
        let Notification { method, params } = notification;
        if method == "exit" {
            self.ended = Some(u8::from(self.stage != Stage::Closing));
            return Vec::new();
        }
        if self.stage != Stage::Open {
            return Vec::new();
        }
        let done = match method.as_str() {
            "initialized" => return self.watch(),
            "workspace/didChangeConfiguration" => return self.configured(&params),
            "textDocument/didOpen" => serde_json::from_value(params).map(|params| self.opened(params)),
            "textDocument/didChange" => serde_json::from_value(params).map(|params| self.changed(params)),
            "textDocument/didClose" => serde_json::from_value(params).map(|params| self.closed(params)),
            "textDocument/didSave" | "workspace/didChangeWatchedFiles" | "workspace/didChangeWorkspaceFolders" => {
                self.shelf.reopen();
                self.dirty = true;
                Ok(())
            }
            _ => Ok(()),
        };
        match done {
            Ok(()) => Vec::new(),
            Err(error) => {
                let said = json!({ "type": 2, "message": wording::params(&method, &error) });
                vec![Notification { method: "window/logMessage".into(), params: said }.into()]
            }
        }
    }

    fn watch(&mut self) -> Vec<Message> {
        if self.client.watches {
            vec![self.request("client/registerCapability", capabilities::watched())]
        } else {
            Vec::new()
        }
    }

    fn request(&mut self, method: &str, params: Value) -> Message {
        self.requests += 1;
        lsp_server::Request { id: RequestId::from(self.requests), method: method.into(), params }.into()
    }

    /// Takes new settings. What they do not say stays as it is.
    fn configured(&mut self, params: &Value) -> Vec<Message> {
        let wants = params.get("settings").and_then(capabilities::wants_hints).unwrap_or(self.shows_hints);
        let is_new = std::mem::replace(&mut self.shows_hints, wants) != wants;
        if is_new && self.client.asks_again {
            vec![self.request("workspace/inlayHint/refresh", Value::Null)]
        } else {
            Vec::new()
        }
    }

    fn opened(&mut self, params: lsp_types::DidOpenTextDocumentParams) {
        let item = params.text_document;
        let Some(path) = uri::path(&item.uri) else { return };
        let Some(kind) = Kind::of(&path, &item.language_id) else { return };
        let mut document = Document::new(item.uri, &path, kind, item.version, item.text, self.encoding);
        self.shelf.put(&mut document);
        self.documents.insert(Papers::key(&path), document);
        self.dirty = true;
    }

    fn changed(&mut self, params: lsp_types::DidChangeTextDocumentParams) {
        let Some(key) = self.key(&params.text_document.uri) else { return };
        let Some(document) = self.documents.get_mut(&key) else { return };
        document.change(params.content_changes, params.text_document.version);
        // A rulebook is read when somebody asks, or when nothing more comes: see `settle`.
        if document.kind != Kind::Book {
            self.shelf.put(document);
        }
        self.dirty = true;
    }

    fn closed(&mut self, params: lsp_types::DidCloseTextDocumentParams) {
        let Some(key) = self.key(&params.text_document.uri) else { return };
        if let Some(document) = self.documents.remove(&key) {
            self.shelf.take(&document);
            self.dirty = true;
        }
    }

    pub(super) fn key(&self, uri: &Uri) -> Option<PathBuf> {
        uri::path(uri).map(|path| Papers::key(&path))
    }

    /// What is wrong with the papers as they are now, where that is not what was said last.
    pub fn settle(&mut self) -> Vec<Message> {
        if !std::mem::take(&mut self.dirty) {
            return Vec::new();
        }
        for document in self.documents.values_mut().filter(|document| document.is_unread()) {
            self.shelf.put(document);
        }
        self.publish()
    }

    fn publish(&mut self) -> Vec<Message> {
        let mut said = Said { findings: Vec::new(), shops: Vec::new(), books: Vec::new(), today: self.today };
        let documents: Vec<Document> = self.documents.values().cloned().collect();
        for document in &documents {
            if document.kind == Kind::Record && !OpenShops::is_record(document) {
                continue;
            }
            let shop = self.shelf.of(document);
            said.shop(&shop, document);
            if document.kind == Kind::Record {
                said.record(&shop, document);
            }
        }
        self.proved.retain(|proved| said.shops.iter().any(|shop| Arc::ptr_eq(shop, &proved.0)));
        self.asked.retain(|asked| said.shops.iter().any(|shop| Arc::ptr_eq(shop, asked)));
        self.shops.clone_from(&said.books);
        while let Some(proving) = self.next_proving(MOST_ROWS_AT_ONCE) {
            self.proved.push(proving.prove());
        }
        for shop in said.books.clone() {
            if let Some(proved) = self.proved.iter().find(|proved| Arc::ptr_eq(&proved.0, &shop)) {
                let home = said.home_of(&shop, &documents);
                said.findings.extend(proved.1.iter().filter_map(|finding| Some((finding.clone(), home.clone()?))));
            }
        }
        self.send(said.findings)
    }

    /// What can be proved of a large set of books: worked out apart, since it takes longer than a keystroke.
    pub fn proving(&mut self) -> Option<Proving> {
        self.next_proving(usize::MAX)
    }

    fn next_proving(&mut self, most_rows: usize) -> Option<Proving> {
        let rows = |shop: &Shop| shop.book.generations.iter().map(|generation| generation.rows.len()).sum::<usize>();
        let open = |shop: &&Arc<Shop>| {
            shop.is_sound() && rows(shop) <= most_rows && !self.asked.iter().any(|asked| Arc::ptr_eq(asked, shop))
        };
        let shop = self.shops.iter().find(open)?.clone();
        self.asked.push(shop.clone());
        Some(Proving(shop))
    }

    /// Takes what was proved; nothing comes of it where the books are others by now.
    pub fn take_proved(&mut self, proved: Proved) -> Vec<Message> {
        if !self.shops.iter().any(|shop| Arc::ptr_eq(shop, &proved.0)) {
            return Vec::new();
        }
        self.proved.push(proved);
        if self.dirty { Vec::new() } else { self.publish() }
    }

    fn send(&mut self, findings: Vec<(Finding, Place)>) -> Vec<Message> {
        let mut map = Map::new(&self.documents, self.encoding, self.shipped.as_deref());
        let mut by_file: BTreeMap<PathBuf, (Uri, Option<i32>, Vec<Diagnostic>)> = BTreeMap::new();
        for (key, document) in &self.documents {
            by_file.insert(key.clone(), (document.uri.clone(), Some(document.version), Vec::new()));
        }
        for (finding, home) in &findings {
            let (source, diagnostic) = map.diagnostic(finding, home);
            let (Some(key), Some(uri)) = (map.key(&source), map.uri(&source)) else { continue };
            // What is to be said of a shipped book is its makers' to hear, unless somebody looks at it.
            if source.name().starts_with("shipped ") && !self.documents.contains_key(&key) {
                continue;
            }
            let (_, _, list) = by_file.entry(key).or_insert((uri, None, Vec::new()));
            if !list.contains(&diagnostic) {
                list.push(diagnostic);
            }
        }
        let mut out = Vec::new();
        for (key, (uri, _, _)) in &self.published {
            if !by_file.contains_key(key) {
                out.push(published(uri, None, Vec::new()));
            }
        }
        for (key, (uri, version, list)) in &by_file {
            let same = self.published.get(key).is_some_and(|last| last.1 == *version && last.2 == *list);
            if !same {
                out.push(published(uri, *version, list.clone()));
            }
        }
        self.published = by_file;
        out
    }
}

/// What is to be said of the open papers, each finding with where it goes if it has no place.
struct Said {
    findings: Vec<(Finding, Place)>,
    shops: Vec<Arc<Shop>>,
    /// Those with an open rulebook.
    books: Vec<Arc<Shop>>,
    today: Option<Date>,
}

impl Said {
    /// What is to be said of a shop's own papers, once.
    fn shop(&mut self, shop: &Arc<Shop>, document: &Document) {
        let known = |shops: &[Arc<Shop>]| shops.iter().any(|known| Arc::ptr_eq(known, shop));
        if document.kind == Kind::Book && !known(&self.books) {
            self.books.push(shop.clone());
        }
        if known(&self.shops) {
            return;
        }
        self.shops.push(shop.clone());
        let home = publish::home(&document.source);
        let findings = shop.findings().iter().chain(shop.gauge_findings());
        self.findings.extend(findings.map(|finding| (finding.clone(), home.clone())));
    }

    fn record(&mut self, shop: &Shop, document: &Document) {
        let home = publish::home(&document.source);
        if !shop.is_sound() {
            let mut finding = Finding::new(crate::finding::Code::BooksMissing, wording::NOT_JUDGED);
            finding.severity = crate::finding::Severity::Note;
            self.findings.push((finding, home));
            return;
        }
        let ask = Ask { tell: GradeSet::NOT_GOOD, rulings: false, as_of: None };
        let mut all = shop.check_all(&Record::of(document.source.clone()), &ask, &[]);
        for checked in &mut all {
            checked.hold_against(self.today);
            self.findings.extend(checked.findings.drain(..).map(|finding| (finding, home.clone())));
        }
    }

    /// Where a finding about a shop's books as a whole goes.
    fn home_of(&self, shop: &Shop, documents: &[Document]) -> Option<Place> {
        let among = |document: &&Document| shop.trees().iter().any(|tree| tree.source.is_same(&document.source));
        let open = documents.iter().find(among).map(|document| document.source.clone());
        let source: Source = open.or_else(|| shop.trees().last().map(|tree| tree.source.clone()))?;
        Some(publish::home(&source))
    }
}

pub(super) fn published(uri: &Uri, version: Option<i32>, diagnostics: Vec<Diagnostic>) -> Message {
    let params = PublishDiagnosticsParams { uri: uri.clone(), diagnostics, version };
    let params = serde_json::to_value(params).unwrap_or_default();
    Notification { method: "textDocument/publishDiagnostics".into(), params }.into()
}

fn response(id: RequestId, result: Result<Value, Refusal>) -> Response {
    let response_result = result.map_err(|(code, message)| ResponseError { code: code as i32, message, data: None });
    Response { id, response_result }
}
