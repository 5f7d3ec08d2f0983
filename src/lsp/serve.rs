//! The rim: frames in, frames out, one thread that reads and one that proves. Refuses to know what the messages say.

use super::queue::Queue;
use super::server::{Proved, Server};
use super::wire::{self, Incoming};
use crate::disk::Scratch;
use crate::quantity::Date;
use crate::shop::{Papers, shipped};
use lsp_server::Message;
use serde_json::Value;
use std::io::{self, BufReader, Read, Write};
use std::path::Path;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};

/// Messages read ahead of those answered.
const MOST_AHEAD: usize = 1024;

enum Event {
    Incoming(io::Result<Incoming>),
    Proved(Proved),
}

/// Answers an editor until it says `exit` or goes away, and gives the exit status; `today` says what day it is.
///
/// # Errors
///
/// Where a stream cannot be read as frames, or cannot be written.
pub fn serve(
    input: impl Read + Send + 'static,
    output: &mut impl Write,
    today: impl Fn() -> Option<Date>,
) -> io::Result<u8> {
    let (sender, events) = sync_channel(MOST_AHEAD);
    let reading = sender.clone();
    std::thread::Builder::new().name("reader".into()).spawn(move || read_all(input, &reading))?;
    let shipped = shown_books();
    let folder = shipped.as_ref().map(|scratch| Papers::key(scratch.folder()));
    let mut session =
        Session { server: Server::new(folder), tray: Queue::default(), sender, proving: false, closed: false };
    loop {
        let mut heard = session.next(&events);
        if heard.is_none() {
            return Ok(1);
        }
        session.server.on(today());
        while let Some(event) = heard {
            session.take(event, output)?;
            while let Ok(event) = events.try_recv() {
                session.take(event, output)?;
            }
            if let Some(status) = session.answer(output)? {
                return Ok(status);
            }
            if session.closed {
                return Ok(1);
            }
            // What came meanwhile is heard before a whole book is understood again.
            heard = events.try_recv().ok();
        }
        session.settle(output)?;
    }
}

struct Session {
    server: Server,
    tray: Queue,
    sender: SyncSender<Event>,
    /// Whether something is being proved.
    proving: bool,
    /// Whether nothing more will come.
    closed: bool,
}

impl Session {
    fn next(&self, events: &Receiver<Event>) -> Option<Event> {
        events.recv().ok()
    }

    fn take(&mut self, event: Event, output: &mut impl Write) -> io::Result<()> {
        match event {
            Event::Incoming(Ok(Incoming::Message(message))) => {
                if let Some(answer) = self.tray.put(message) {
                    send(output, &[answer])?;
                }
                Ok(())
            }
            Event::Incoming(Ok(Incoming::Unreadable(answer))) => wire::write(output, &answer),
            Event::Incoming(Ok(Incoming::End)) => {
                self.closed = true;
                Ok(())
            }
            Event::Incoming(Err(error)) => Err(error),
            Event::Proved(proved) => {
                self.proving = false;
                let said = self.server.take_proved(proved);
                send(output, &said)
            }
        }
    }

    /// Answers all that waits, and says a first word on large books that changed.
    fn answer(&mut self, output: &mut impl Write) -> io::Result<Option<u8>> {
        while let Some(message) = self.tray.turn() {
            let said = self.server.take(message);
            send(output, &said)?;
            if let Some(status) = self.server.ended() {
                return Ok(Some(status));
            }
        }
        let said = self.server.glance();
        send(output, &said)?;
        Ok(None)
    }

    /// Says what changes come to, once nothing more comes.
    fn settle(&mut self, output: &mut impl Write) -> io::Result<()> {
        let said = self.server.settle();
        send(output, &said)?;
        if !self.proving
            && let Some(proving) = self.server.proving()
        {
            let sender = self.sender.clone();
            let prove = move || {
                // Nobody hears it where the session is over.
                let _ = sender.send(Event::Proved(proving.prove()));
            };
            self.proving = std::thread::Builder::new().name("prover".into()).spawn(prove).is_ok();
        }
        Ok(())
    }
}

fn send(output: &mut impl Write, messages: &[Message]) -> io::Result<()> {
    messages.iter().try_for_each(|message| {
        let mut value = serde_json::to_value(message)?;
        if let Value::Object(members) = &mut value {
            members.insert("jsonrpc".into(), "2.0".into());
        }
        wire::write(output, &value)
    })
}

fn read_all(input: impl Read, events: &SyncSender<Event>) {
    let mut input = BufReader::new(input);
    loop {
        let incoming = wire::read(&mut input);
        let last = !matches!(incoming, Ok(Incoming::Message(_) | Incoming::Unreadable(_)));
        if events.send(Event::Incoming(incoming)).is_err() || last {
            return;
        }
    }
}

/// The shipped rulebooks as files, so that an editor can show them. Without a disk to put them on they are not shown.
fn shown_books() -> Option<Scratch> {
    let scratch = Scratch::new().ok()?;
    for name in shipped::names() {
        scratch.put(Path::new(name), shipped::book(name)?.text().as_bytes()).ok()?;
    }
    Some(scratch)
}
