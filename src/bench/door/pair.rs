//! The page on which a device of the network gives its code, and the cookie it gets. Refuses to decide whether a code is right.

use super::admit::Ends;
use super::limits::A_DAY;
use super::pairing::Tried;
use super::response::{Reply, sentence};
use super::{Door, Notice, chance, words};
use crate::bench::{Answer, Asked, Method};
use crate::report::html::bench::{PairProblem, pair as page};
use hyper::header::COOKIE;
use hyper::http::request::Parts;
use std::sync::Arc;
use std::time::Duration;

/// The cookie of a device. Cookies do not tell ports, so that its name does: two benches on one machine have two.
fn cookie_name(port: u16) -> String {
    format!("trochoid-{port}")
}

/// The token a request brings, if it brings one.
pub(super) fn token_of(head: &Parts, port: u16) -> Option<&str> {
    let name = cookie_name(port);
    let cookies = head.headers.get_all(COOKIE).iter().filter_map(|cookies| cookies.to_str().ok());
    let mut pairs = cookies.flat_map(|cookies| cookies.split(';')).filter_map(|pair| pair.trim().split_once('='));
    pairs.find(|(other, _)| *other == name).map(|(_, token)| token)
}

/// Answers the page and a code that was sent with it.
pub(super) async fn answer(door: &Arc<Door>, ends: &Ends, asked: &Asked) -> Reply {
    if asked.path.len() != 1 {
        return sentence(404, words::NO_PAGE).into();
    }
    if asked.method == Method::Get {
        return Answer::page(page(asked.value("code").unwrap_or_default(), None)).into();
    }
    let typed = asked.form().and_then(|form| form.into_iter().find(|(name, _)| name == "code"));
    let Some((_, typed)) = typed else { return sentence(400, words::NO_CODE).into() };
    let (Ok(token), Ok(next_code)) = (chance::token(), chance::code()) else {
        // Without randomness nobody is let in.
        return sentence(500, words::FAILED).into();
    };
    let (now, address) = (door.now(), ends.there);
    let attempt = door.pairing().map(|mut pairing| {
        let tried = pairing.attempt(address, &typed, (&token, &next_code), now);
        (tried, pairing.is_closed(), pairing.is_shut_out(address))
    });
    let Some((tried, is_closed, is_shut_out)) = attempt else { return sentence(404, words::NO_PAGE).into() };
    let problem = |status: u16, problem| Reply::from(Answer::page(page("", Some(problem))).with_status(status));
    match tried {
        Tried::Paired(number) => {
            (door.tell)(Notice::Paired(number, address));
            door.tell_code(next_code);
            let (name, age) = (cookie_name(door.port), A_DAY.as_secs());
            let cookie = format!("{name}={token}; HttpOnly; SameSite=Strict; Path=/; Max-Age={age}");
            Reply::from(Answer::elsewhere("/".into())).cookie(cookie)
        }
        Tried::Wrong(wait) => {
            if is_shut_out {
                (door.tell)(Notice::ShutOut(address));
            }
            if is_closed {
                (door.tell)(Notice::PairingClosed);
            }
            let mut ending = door.ends();
            tokio::select! {
                () = tokio::time::sleep(wait) => {}
                _ = ending.changed() => {}
            }
            problem(403, PairProblem::Wrong)
        }
        Tried::TooSoon(wait) => {
            problem(429, PairProblem::TooSoon(whole_seconds(wait).as_secs())).retry(whole_seconds(wait))
        }
        Tried::ShutOut => problem(429, PairProblem::ShutOut).retry(A_DAY),
        Tried::Closed => problem(403, PairProblem::Closed),
    }
}

/// Rounded up: whoever comes back then is not too soon again.
fn whole_seconds(wait: Duration) -> Duration {
    Duration::from_secs(wait.as_secs() + u64::from(wait.subsec_nanos() > 0))
}
