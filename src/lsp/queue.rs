//! Messages waiting their turn. Knows what it is to cancel one, and nothing else of what they say.

use super::wording;
use lsp_server::{ErrorCode, Message, RequestId, Response};
use serde_json::Value;
use std::collections::VecDeque;

/// Messages in the order they came.
#[derive(Debug, Default)]
pub struct Queue(VecDeque<Message>);

impl Queue {
    /// Puts a message at the end. Where it cancels a request that still waits, that is taken out, and what is given is its
    /// answer.
    pub fn put(&mut self, message: Message) -> Option<Message> {
        match &message {
            Message::Notification(note) if note.method == "$/cancelRequest" => self.cancel(&note.params),
            _ => {
                self.0.push_back(message);
                None
            }
        }
    }

    fn cancel(&mut self, params: &Value) -> Option<Message> {
        let id: RequestId = serde_json::from_value(params.get("id")?.clone()).ok()?;
        let waits = |message: &Message| matches!(message, Message::Request(request) if request.id == id);
        let at = self.0.iter().position(waits)?;
        self.0.remove(at);
        let code = ErrorCode::RequestCanceled as i32;
        Some(Response::new_err(id, code, wording::CANCELLED.into()).into())
    }

    /// The next message.
    pub fn turn(&mut self) -> Option<Message> {
        self.0.pop_front()
    }

    /// Whether none waits.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}
