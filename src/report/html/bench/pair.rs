//! The page on which a device of the network gives the code that is shown at the bench. Refuses to know whether it is right.

use super::words_pair as words;
use crate::report::html::frame::linked_head;
use maud::{DOCTYPE, html};

/// Why a device was not paired.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum PairProblem {
    /// The code is not the one that is shown.
    Wrong,
    /// The code was not looked at: so many seconds are to be waited.
    TooSoon(u64),
    /// Too many wrong codes came from this device.
    ShutOut,
    /// Too many wrong codes came from anywhere.
    Closed,
}

/// The page, with the code that a device brings along filled in. It needs no script.
#[must_use]
pub fn write(code: &str, problem: Option<PairProblem>) -> String {
    let may_try = !matches!(problem, Some(PairProblem::ShutOut | PairProblem::Closed));
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head { (linked_head(words::TITLE)) }
            body class="bench" {
                main {
                    h1 { (words::TITLE) }
                    @if let Some(problem) = problem { p role="alert" { (words::problem(problem)) } }
                    @if may_try {
                        form method="post" action="/pair" {
                            p {
                                label for="code" { (words::CODE) } " "
                                input id="code" name="code" value=(code) required autocomplete="off" autocapitalize="characters"
                                    spellcheck="false" maxlength="20" size="12";
                            }
                            p { button type="submit" { (words::PAIR) } }
                        }
                        p { (words::FOR_HOW_LONG) }
                    }
                }
            }
        }
    };
    page.into_string() + "\n"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_text_and_nothing_else() {
        let page = write("\"><script>x</script>", None);
        assert!(
            page.contains("value=\"&quot;&gt;&lt;script&gt;x&lt;/script&gt;\"") && !page.contains("<script"),
            "{page}"
        );
    }

    #[test]
    fn a_device_that_may_not_try_has_no_form() {
        for problem in [PairProblem::ShutOut, PairProblem::Closed] {
            assert!(!write("", Some(problem)).contains("<form"));
        }
        let page = write("", Some(PairProblem::TooSoon(1)));
        assert!(page.contains("<form") && page.contains("Wait 1 second, "), "{page}");
    }
}
