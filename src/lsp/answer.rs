//! Which request asks for what. Refuses to answer any itself.

use super::server::{Refusal, Server};
use super::{complete, go, hints, hover, layout, outline, rename, tokens, wording};
use lsp_server::ErrorCode;
use lsp_types::{
    DocumentFormattingParams, DocumentSymbolParams, GotoDefinitionParams, SemanticTokensParams,
    SemanticTokensRangeParams,
};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

/// Answers a request.
pub(super) fn answer(server: &mut Server, method: &str, params: Value) -> Result<Value, Refusal> {
    let read = Asked { method, params };
    match method {
        "textDocument/hover" => read.plain(|params| hover::hover(server, params)),
        "textDocument/completion" => read.plain(|params| complete::complete(server, params)),
        "textDocument/definition" => {
            read.plain(|params: GotoDefinitionParams| go::definition(server, &params.text_document_position_params))
        }
        "textDocument/references" => read.plain(|params| go::references(server, &params)),
        "textDocument/prepareRename" => read.checked(|params| rename::prepare(server, &params)),
        "textDocument/rename" => read.checked(|params| rename::rename(server, &params)),
        "textDocument/documentSymbol" => {
            read.plain(|params: DocumentSymbolParams| outline::outline(server, params.text_document))
        }
        "textDocument/formatting" => {
            read.plain(|params: DocumentFormattingParams| layout::formatted(server, params.text_document))
        }
        "textDocument/codeAction" => read.plain(|params| layout::mends(server, params)),
        "textDocument/semanticTokens/full" => {
            read.plain(|params: SemanticTokensParams| tokens::tokens(server, params.text_document, None))
        }
        "textDocument/semanticTokens/range" => read.plain(|params: SemanticTokensRangeParams| {
            tokens::tokens(server, params.text_document, Some(params.range))
        }),
        "textDocument/inlayHint" => read.plain(|params| hints::hints(server, params)),
        _ => Err((ErrorCode::MethodNotFound, wording::no_method(method))),
    }
}

/// A request whose parameters are still to be read.
struct Asked<'a> {
    method: &'a str,
    params: Value,
}

impl Asked<'_> {
    fn checked<P: DeserializeOwned, R: Serialize>(
        self,
        work: impl FnOnce(P) -> Result<R, Refusal>,
    ) -> Result<Value, Refusal> {
        let params = serde_json::from_value(self.params)
            .map_err(|error| (ErrorCode::InvalidParams, wording::params(self.method, &error)))?;
        Ok(serde_json::to_value(work(params)?).unwrap_or_default())
    }

    fn plain<P: DeserializeOwned, R: Serialize>(self, work: impl FnOnce(P) -> Option<R>) -> Result<Value, Refusal> {
        self.checked(|params| Ok(work(params)))
    }
}
