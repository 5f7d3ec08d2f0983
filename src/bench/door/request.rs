//! One request, from its headers to its answer: who may ask, what was sent with it, and who answers. Refuses to answer anything
//! about the shop itself.

use super::admit::{Ends, refusal};
use super::crowd::{Doing, Guest};
use super::limits::{
    BODY_WITHIN, MOST_BODY_BYTES, MOST_BODY_BYTES_AT_ONCE, MOST_CODE_BYTES, MOST_PHOTO_BYTES, READ_AWAY_WITHIN,
};
use super::packed::{packed, takes_packed};
use super::response::{self, Body, Reply, sentence};
use super::{Door, pair, stream, words};
use crate::bench::news::Watching;
use crate::bench::{Answer, Asked, Method, answer};
use http_body_util::{BodyExt, LengthLimitError, Limited};
use hyper::body::{Body as _, Incoming};
use hyper::header::{EXPECT, IF_NONE_MATCH};
use hyper::http::request::Parts;
use hyper::{Request, Response};
use std::sync::Arc;
use tokio::sync::Semaphore;

/// What is answered: something whole, or a stream of events.
enum Outcome {
    Whole(Reply),
    Stream(Watching),
}

/// Answers a request.
pub(super) async fn respond(
    door: Arc<Door>,
    guest: Arc<Guest>,
    ends: Ends,
    request: Request<Incoming>,
) -> Response<Body> {
    guest.now(Doing::Asking);
    let (head, body) = request.into_parts();
    let is_file = head.uri.path().starts_with("/file/");
    let is_head = head.method == hyper::Method::HEAD;
    match outcome(&door, &guest, &ends, &head, body).await {
        Outcome::Whole(reply) => {
            guest.now(Doing::Answered);
            reply.response(is_file, head.headers.get(IF_NONE_MATCH), is_head)
        }
        Outcome::Stream(watching) => {
            let token = pair::token_of(&head, door.port).map(str::to_owned);
            response::events(stream::open(&door, guest, watching, (ends, token)))
        }
    }
}

async fn outcome(door: &Arc<Door>, guest: &Guest, ends: &Ends, head: &Parts, body: Incoming) -> Outcome {
    match before_the_body(door, ends, head) {
        Ok((asked, most)) => {
            let asked = match with_body(door, head, body, asked, most).await {
                Ok(asked) => asked,
                Err(reply) => return Outcome::Whole(reply),
            };
            // From here on nobody has to make room: the request is whole.
            if !guest.now(Doing::BeingAnswered) {
                return Outcome::Whole(Reply::from(sentence(503, "")).closing());
            }
            match asked.path.first().map(String::as_str) {
                Some("pair") if door.pairing.is_some() => Outcome::Whole(pair::answer(door, ends, &asked).await),
                Some("events") if asked.method == Method::Get && asked.path.len() == 1 => {
                    events(door, head, asked).await
                }
                _ => {
                    let takes_packed = takes_packed(head);
                    let answered = move |door: &Door| {
                        let answer = answer(&door.workshop, &asked);
                        if takes_packed { packed(answer) } else { answer.into() }
                    };
                    // Grades are waited for while somebody types: no page that is being made holds them up.
                    let is_grade = head.method == hyper::Method::POST && head.uri.path() == "/grade";
                    let places = if is_grade { &door.graders } else { &door.handlers };
                    Outcome::Whole(handled((door, places), answered).await)
                }
            }
        }
        Err(refused) => {
            let has_body = !body.is_end_stream();
            if has_body && !head.headers.contains_key(EXPECT) {
                read_away(body).await;
            }
            let reply = Reply::from(refused);
            Outcome::Whole(if has_body { reply.closing() } else { reply })
        }
    }
}

/// What can be said before anything that was sent with a request is read: the request and how much may be sent, else why it is
/// refused.
fn before_the_body(door: &Door, ends: &Ends, head: &Parts) -> Result<(Asked, usize), Answer> {
    if let Some((status, said)) = refusal(head, ends) {
        return Err(sentence(status, said));
    }
    let method = if head.method == hyper::Method::POST { Method::Post } else { Method::Get };
    let target = head.uri.path_and_query().map_or("/", |target| target.as_str());
    let asked = Asked::new(method, target, Vec::new()).ok_or_else(|| sentence(400, words::UNREADABLE))?;
    if asked.path.iter().any(|step| is_no_name(step)) {
        return Err(sentence(404, words::NO_PAGE));
    }
    let first = asked.path.first().map_or("", String::as_str);
    let is_pair = first == "pair" && door.pairing.is_some();
    let is_free = is_pair || (first == "file" && method == Method::Get);
    if !is_free && !door.lets_in(ends, pair::token_of(head, door.port)) {
        let reads = method == Method::Get && first != "events";
        return Err(if reads { Answer::elsewhere("/pair".into()) } else { sentence(401, words::NOT_PAIRED) });
    }
    if method == Method::Post && door.workshop.is_read_only() && !is_pair && first != "grade" {
        return Err(sentence(403, words::READ_ONLY));
    }
    let most = match first {
        "photo" => MOST_PHOTO_BYTES,
        _ if is_pair => MOST_CODE_BYTES,
        _ => MOST_BODY_BYTES,
    };
    Ok((asked, most))
}

/// Whether a step of a path names no file or page anywhere: it leads up, or is several steps for some operating system.
fn is_no_name(step: &str) -> bool {
    step == "." || step == ".." || step.contains(['/', '\\', '\0'])
}

/// The request with what was sent with it, read within its bounds; else why not.
async fn with_body(door: &Door, head: &Parts, body: Incoming, asked: Asked, most: usize) -> Result<Asked, Reply> {
    if body.is_end_stream() {
        return Ok(asked);
    }
    let hint = body.size_hint();
    let too_large = || Reply::from(sentence(413, words::too_large(most))).closing();
    if usize::try_from(hint.lower()).map_or(true, |bytes| bytes > most) {
        if !head.headers.contains_key(EXPECT) {
            read_away(body).await;
        }
        return Err(too_large());
    }
    let expected =
        hint.exact().and_then(|bytes| usize::try_from(bytes).ok()).unwrap_or(most).min(MOST_BODY_BYTES_AT_ONCE);
    let collected = tokio::time::timeout(BODY_WITHIN, async {
        // Wait until there is room for it.
        let _room = door.body_bytes.acquire_many(u32::try_from(expected).unwrap_or(u32::MAX)).await;
        Limited::new(body, most).collect().await
    });
    match collected.await {
        Err(_) => Err(Reply::from(sentence(408, words::BODY_LATE)).closing()),
        Ok(Err(error)) if error.is::<LengthLimitError>() => Err(too_large()),
        Ok(Err(_)) => Err(Reply::from(sentence(400, words::BODY_BROKEN)).closing()),
        Ok(Ok(body)) => Ok(Asked { body: body.to_bytes().to_vec(), ..asked }),
    }
}

/// Reads what nobody wants: a browser that is still sending sees no answer if the connection is closed meanwhile.
async fn read_away(body: Incoming) {
    let mut body = Limited::new(body, MOST_PHOTO_BYTES);
    let _ = tokio::time::timeout(READ_AWAY_WITHIN, async { while let Some(Ok(_)) = body.frame().await {} }).await;
}

/// Answers on a thread that may wait. A fault of the program there is an answer like others, and the bench goes on.
async fn handled(
    (door, places): (&Arc<Door>, &Arc<Semaphore>),
    handler: impl FnOnce(&Door) -> Reply + Send + 'static,
) -> Reply {
    on_a_thread((door, places), handler).await.unwrap_or_else(|| sentence(500, words::FAILED).into())
}

/// What a function gives on a thread that may wait; `None` if it panicked. Once begun it is finished, even if whoever asked is
/// gone.
async fn on_a_thread<T: Send + 'static>(
    (door, places): (&Arc<Door>, &Arc<Semaphore>),
    function: impl FnOnce(&Door) -> T + Send + 'static,
) -> Option<T> {
    let permit = places.clone().acquire_owned().await.ok()?;
    let door = door.clone();
    let task = tokio::task::spawn_blocking(move || {
        let _permit = permit;
        function(&door)
    });
    task.await.ok()
}

/// A stream of events, if there is anything to watch.
async fn events(door: &Arc<Door>, head: &Parts, asked: Asked) -> Outcome {
    if head.method == hyper::Method::HEAD {
        return Outcome::Whole(sentence(405, words::METHODS).into());
    }
    match on_a_thread((door, &door.handlers), move |door| Watching::new(&door.workshop, &asked)).await {
        Some(Some(watching)) => Outcome::Stream(watching),
        Some(None) => Outcome::Whole(sentence(404, words::NO_PAGE).into()),
        None => Outcome::Whole(sentence(500, words::FAILED).into()),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

    use super::*;
    use crate::bench::Workshop;
    use std::sync::atomic::{AtomicBool, Ordering};
    use std::time::Duration;

    fn door(folder: &std::path::Path) -> Arc<Door> {
        let workshop = Workshop::new(folder, None, false, || None);
        Arc::new(Door::new(Arc::new(workshop), None, (8654, None), Box::new(|_| {})))
    }

    #[test]
    fn a_fault_of_the_program_is_one_answer() {
        let folder = tempfile::tempdir().unwrap();
        let door = door(folder.path());
        let runtime = tokio::runtime::Runtime::new().unwrap();
        runtime.block_on(async {
            // More often than there are places for handlers: none is lost.
            for _ in 0..20 {
                let answer = handled((&door, &door.handlers), |_| panic!("a fault")).await.answer;
                assert_eq!((answer.status, answer.body), (500, words::FAILED.as_bytes().to_vec()));
            }
            assert_eq!(handled((&door, &door.handlers), |_| sentence(200, "well").into()).await.answer.status, 200);
        });
    }

    #[test]
    fn what_was_begun_is_finished() {
        let folder = tempfile::tempdir().unwrap();
        let door = door(folder.path());
        let is_written = Arc::new(AtomicBool::new(false));
        let runtime = tokio::runtime::Runtime::new().unwrap();
        let (begun, has_begun) = std::sync::mpsc::channel();
        let written = is_written.clone();
        let asked = runtime.spawn(async move {
            let answer = handled((&door, &door.handlers), move |_| {
                begun.send(()).unwrap();
                std::thread::sleep(Duration::from_millis(300));
                written.store(true, Ordering::SeqCst);
                sentence(200, "").into()
            });
            answer.await
        });
        has_begun.recv().unwrap();
        // Whoever asked is gone, and the program ends.
        asked.abort();
        drop(runtime);
        assert!(is_written.load(Ordering::SeqCst));
    }
}
