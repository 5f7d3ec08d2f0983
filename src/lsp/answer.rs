//! Which request asks for what. Refuses to answer any itself.

use super::desk::{Desk, Refusal};
use super::wording;
use lsp_server::ErrorCode;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

/// Answers a request.
pub(super) fn answer(desk: &mut Desk, method: &str, params: Value) -> Result<Value, Refusal> {
    match method {
        _ => Err((ErrorCode::MethodNotFound, wording::no_method(method))),
    }
}
