//! The sentences of the page on which a device gives its code. Refuses to know when they are shown.

use super::PairProblem;

pub(super) const TITLE: &str = "Pair this device";
pub(super) const CODE: &str = "Code shown in the terminal of the bench";
pub(super) const PAIR: &str = "Pair";
pub(super) const FOR_HOW_LONG: &str = "A device stays paired for 16 hours, until it is dropped at the bench, or until the bench \
     is closed.";

pub(super) fn problem(problem: PairProblem) -> String {
    match problem {
        PairProblem::Wrong => "This is not the code. Look at the terminal of the bench and type it again.".into(),
        PairProblem::TooSoon(1) => "Wait 1 second, then type the code again.".into(),
        PairProblem::TooSoon(seconds) => format!("Wait {seconds} seconds, then type the code again."),
        PairProblem::ShutOut => "This device sent too many wrong codes and cannot be paired today.".into(),
        PairProblem::Closed => "Too many wrong codes were sent. Ask at the bench for a new code.".into(),
    }
}
