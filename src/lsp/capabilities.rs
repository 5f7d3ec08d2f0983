//! What a client can do, and what this server offers it.

use super::position::Encoding;
use lsp_types::{
    ClientCapabilities, CodeActionKind, CodeActionOptions, CodeActionProviderCapability, CompletionOptions,
    HoverProviderCapability, InitializeResult, OneOf, RenameOptions, SaveOptions, SemanticTokensFullOptions,
    SemanticTokensOptions, ServerCapabilities, ServerInfo, TextDocumentSyncCapability, TextDocumentSyncKind,
    TextDocumentSyncOptions, TextDocumentSyncSaveOptions, WorkDoneProgressOptions, WorkspaceFoldersServerCapabilities,
    WorkspaceServerCapabilities,
};
use serde_json::{Value, json};

/// What matters of what a client can do.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Client {
    pub(super) encoding: Encoding,
    /// Whether it shows symbols as a tree.
    pub(super) nests: bool,
    /// Whether it watches files where asked to.
    pub(super) watches: bool,
    /// Whether it draws Markdown.
    pub(super) markdown: bool,
    /// Whether it takes code actions with their edits.
    pub(super) actions: bool,
    /// Whether it asks for hints again where told to.
    pub(super) asks_again: bool,
}

impl Client {
    pub(super) fn of(said: &ClientCapabilities) -> Client {
        let text = said.text_document.as_ref();
        let encodings = said.general.as_ref().and_then(|general| general.position_encodings.as_deref());
        let symbols = text.and_then(|text| text.document_symbol.as_ref());
        let hover = text.and_then(|text| text.hover.as_ref()).and_then(|hover| hover.content_format.as_deref());
        let workspace = said.workspace.as_ref();
        let watched = workspace.and_then(|workspace| workspace.did_change_watched_files.as_ref());
        let actions = text.and_then(|text| text.code_action.as_ref());
        let hints = workspace.and_then(|workspace| workspace.inlay_hint.as_ref());
        Client {
            encoding: Encoding::agreed(encodings.unwrap_or(&[])),
            nests: symbols.and_then(|symbols| symbols.hierarchical_document_symbol_support) == Some(true),
            watches: watched.and_then(|watched| watched.dynamic_registration) == Some(true),
            markdown: hover.is_some_and(|formats| formats.contains(&lsp_types::MarkupKind::Markdown)),
            asks_again: hints.and_then(|hints| hints.refresh_support) == Some(true),
            actions: actions.is_some_and(|actions| actions.code_action_literal_support.is_some()),
        }
    }
}

/// The answer to `initialize`.
pub(super) fn offered(encoding: Encoding) -> Value {
    let work_done_progress_options = WorkDoneProgressOptions::default();
    let sync = TextDocumentSyncOptions {
        open_close: Some(true),
        change: Some(TextDocumentSyncKind::INCREMENTAL),
        save: Some(TextDocumentSyncSaveOptions::SaveOptions(SaveOptions { include_text: Some(false) })),
        ..TextDocumentSyncOptions::default()
    };
    let capabilities = ServerCapabilities {
        position_encoding: Some(encoding.kind()),
        text_document_sync: Some(TextDocumentSyncCapability::Options(sync)),
        hover_provider: Some(HoverProviderCapability::Simple(true)),
        completion_provider: Some(CompletionOptions {
            trigger_characters: Some([".", " ", ":", "{", "\""].map(str::to_string).to_vec()),
            ..CompletionOptions::default()
        }),
        definition_provider: Some(OneOf::Left(true)),
        references_provider: Some(OneOf::Left(true)),
        rename_provider: Some(OneOf::Right(RenameOptions { prepare_provider: Some(true), work_done_progress_options })),
        document_symbol_provider: Some(OneOf::Left(true)),
        document_formatting_provider: Some(OneOf::Left(true)),
        code_action_provider: Some(CodeActionProviderCapability::Options(CodeActionOptions {
            code_action_kinds: Some(vec![CodeActionKind::QUICKFIX]),
            ..CodeActionOptions::default()
        })),
        inlay_hint_provider: Some(OneOf::Left(true)),
        semantic_tokens_provider: Some(
            SemanticTokensOptions {
                work_done_progress_options,
                legend: super::tokens::legend(),
                range: Some(true),
                full: Some(SemanticTokensFullOptions::Bool(true)),
            }
            .into(),
        ),
        workspace: Some(WorkspaceServerCapabilities {
            workspace_folders: Some(WorkspaceFoldersServerCapabilities {
                supported: Some(true),
                change_notifications: Some(OneOf::Left(true)),
            }),
            file_operations: None,
        }),
        ..ServerCapabilities::default()
    };
    let server_info =
        Some(ServerInfo { name: super::wording::SERVER.into(), version: Some(env!("CARGO_PKG_VERSION").into()) });
    serde_json::to_value(InitializeResult { capabilities, server_info }).unwrap_or_default()
}

/// The files whose changes on disk matter.
pub(super) fn watched() -> Value {
    let globs = ["**/*.rulebook", "**/trochoid.{yaml,yml}", "**/gauges.{yaml,yml}"];
    let watchers: Vec<Value> = globs.iter().map(|glob| json!({ "globPattern": glob })).collect();
    json!({ "registrations": [{
        "id": "files",
        "method": "workspace/didChangeWatchedFiles",
        "registerOptions": { "watchers": watchers },
    }] })
}

/// Whether settings want the grade beside each reading: `{ "hints": false }`, by itself or below `trochoid`; `None` where they do not say.
pub(super) fn wants_hints(settings: &Value) -> Option<bool> {
    let own = settings.get("trochoid").unwrap_or(settings);
    own.get("hints")?.as_bool()
}
