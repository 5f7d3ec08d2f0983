//! What every page at the bench has around it: head, the shop's name, the links to the other pages. Refuses to know what a page
//! is about, and to write a style or a script into a page: both are files of their own.

use super::words;
use crate::report::html::bar;
use crate::report::html::frame::{linked_head, said};
use maud::{DOCTYPE, Markup, html};

/// Which of the links at the top leads to the page that is shown.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Here {
    /// The builds, and each of them.
    Builds,
    /// The loose parts, matching them and putting them right.
    Shelf,
    /// Which engine it is.
    Which,
    /// The rules.
    Rules,
    /// The gauges.
    Gauges,
}

impl Here {
    const ALL: [Here; 5] = [Here::Builds, Here::Shelf, Here::Which, Here::Rules, Here::Gauges];

    fn link(self) -> (&'static str, &'static str) {
        match self {
            Here::Builds => ("/", words::BUILDS),
            Here::Shelf => ("/shelf", words::SHELF),
            Here::Which => ("/which", words::WHICH),
            Here::Rules => ("/rules", words::RULES),
            Here::Gauges => ("/gauges", words::GAUGES),
        }
    }
}

/// The shop whose pages they are.
#[derive(Clone, Copy, Debug, Default)]
pub struct BenchShop<'a> {
    /// Its name, if its settings have one.
    pub name: Option<&'a str>,
    /// Whether nothing may be written.
    pub read_only: bool,
}

/// Everything around the body of a page at the bench.
pub(super) struct BenchFrame<'a> {
    /// The shop.
    pub(super) shop: BenchShop<'a>,
    /// What the page is called, without the shop.
    pub(super) title: &'a str,
    /// The link at the top that leads here, or to where this page belongs.
    pub(super) here: Option<Here>,
    /// A script: the name of a file that `/file/` serves.
    pub(super) script: Option<&'a str>,
}

impl BenchFrame<'_> {
    /// The whole page. The body has the heading and what belongs to it; the marks of the grades are there to be used.
    pub(super) fn page(&self, body: &Markup) -> String {
        let title = match self.shop.name {
            Some(shop) => format!("{} · {shop}", self.title),
            None => self.title.to_owned(),
        };
        let page = html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    (linked_head(&title))
                    @if let Some(script) = self.script { script type="module" src=(format!("/file/{script}")) {} }
                }
                body class="bench" {
                    a class="skip" href="#main" { (words::SKIP) }
                    (bar::shapes())
                    header class="top" {
                        p class="shop" { bdi { (said(self.shop.name.unwrap_or(words::NO_SHOP_NAME))) } }
                        nav aria-label=(words::PAGES) {
                            ul {
                                @for one in Here::ALL {
                                    @let (to, name) = one.link();
                                    li { a href=(to) aria-current=[(self.here == Some(one)).then_some("page")] { (name) } }
                                }
                            }
                        }
                        @if self.shop.read_only { p class="small" { (words::READ_ONLY) } }
                    }
                    main id="main" tabindex="-1" { (body) }
                }
            }
        };
        page.into_string() + "\n"
    }
}
