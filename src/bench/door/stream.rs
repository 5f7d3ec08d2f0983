//! Streams of events (HTML Standard, 9.2): one for each page that wants to know what others change. Refuses to know what
//! changes.

use super::Door;
use super::admit::Ends;
use super::crowd::{Doing, Guest};
use super::limits::{LOOK_EVERY, MOST_EVENTS_WAITING, STILL_HERE_EVERY};
use crate::bench::news::Watching;
use hyper::body::{Bytes, Frame};
use std::convert::Infallible;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::sync::mpsc::{Receiver, Sender, channel};
use tokio::time::{Instant, MissedTickBehavior, interval};

/// The body of a stream: each event as it comes.
#[derive(Debug)]
pub(super) struct Events(Receiver<Bytes>);

impl hyper::body::Body for Events {
    type Data = Bytes;
    type Error = Infallible;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, Infallible>>> {
        self.0.poll_recv(context).map(|event| event.map(|event| Ok(Frame::data(event))))
    }
}

/// Opens a stream that goes on until its page is closed, its device is dropped, the program ends, or there are too many streams.
pub(super) fn open(door: &Arc<Door>, guest: Arc<Guest>, watching: Watching, visitor: (Ends, Option<String>)) -> Events {
    let (sender, receiver) = channel(MOST_EVENTS_WAITING);
    tokio::spawn(pump(door.clone(), guest, watching, sender, visitor));
    Events(receiver)
}

/// Looks for news and sends it.
async fn pump(
    door: Arc<Door>,
    guest: Arc<Guest>,
    mut watching: Watching,
    sender: Sender<Bytes>,
    (address, token): (Ends, Option<String>),
) {
    // The places of the streams are a crowd of their own, in which the oldest makes room.
    let Some(place) = door.streams.enter() else { return };
    let mut ends = door.ends();
    let mut looks = interval(LOOK_EVERY);
    looks.set_missed_tick_behavior(MissedTickBehavior::Delay);
    // The first bytes tell the browser that the stream is open, and when to come back if it breaks.
    if sender.send(Bytes::from_static(b"retry: 2000\n\n")).await.is_err() {
        return;
    }
    let mut last = Instant::now();
    loop {
        tokio::select! {
            _ = looks.tick() => {}
            () = place.leave.notified() => break,
            _ = ends.changed() => break,
            () = sender.closed() => break,
        }
        if !door.lets_in(&address, token.as_deref()) {
            break;
        }
        let Ok(_permit) = door.looks.acquire().await else { break };
        let there = door.clone();
        let looked = tokio::task::spawn_blocking(move || {
            let news = watching.next(&there.workshop);
            (watching, news)
        });
        // A fault of the program in a look ends the stream; the browser opens it again.
        let Ok((same, news)) = looked.await else { break };
        watching = same;
        let event = match news {
            Some(data) => event(&data),
            None if last.elapsed() >= STILL_HERE_EVERY => ": still here\n\n".to_owned(),
            None => continue,
        };
        last = Instant::now();
        let taken = tokio::select! {
            sent = sender.send(event.into()) => sent.is_ok(),
            () = place.leave.notified() => false,
            _ = ends.changed() => false,
            // A browser that takes nothing any more is gone.
            () = tokio::time::sleep(STILL_HERE_EVERY + Duration::from_secs(15)) => false,
        };
        if !taken {
            break;
        }
    }
    guest.now(Doing::Answered);
}

/// An event whose data may have several lines.
fn event(data: &str) -> String {
    let lines: Vec<&str> = data.split(['\n', '\r']).collect();
    format!("data: {}\n\n", lines.join("\ndata: "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn data_cannot_end_an_event() {
        assert_eq!(event("{}"), "data: {}\n\n");
        assert_eq!(event("a\n\nevent: x"), "data: a\ndata: \ndata: event: x\n\n");
    }
}
