//! trochoid judges the measurement record of a rebuilt rotary engine against rulebooks a shop writes itself.
//!
//! This library is what the program `trochoid` is made of. What other programs need of it stands here, at the root:
//!
//! - [`Shops`] opens the [`Shop`] that a record belongs to: its settings, rulebooks, gauges and shelf. [`Shop::shipped`] has the
//!   shipped rulebooks alone, and [`Shop::of_sources`] those that the caller holds.
//! - [`Source`] is a text with a name. A [`Record`] is one read as a record, and [`Shop::check_record`] judges it.
//! - [`Ask`] says what to tell about a record, and [`Checked`] is what came of it: the [`Grade`] of the build, the [`Counts`] of its
//!   rows, every ruling as a [`RulingReport`] and what is wrong as [`Finding`]s, each with a [`Code`], a [`Severity`] and a [`Place`].
//! - [`best_sets`] chooses parts of the shelf that go together, and says what was found as [`Matched`].
//!
//! Reading and judging never fail and never panic: what is wrong with a file is a finding. No clock is read and nothing depends on
//! the locale, so the same texts give the same rulings. The rulebooks are written in a language of their own, which
//! `specs/README.md` describes. What the rulings rest on, and what they do not prove, is in `specs/trust.md`.
//!
//! ```
//! use trochoid::{Ask, Grade, GradeSet, Shop, Source};
//!
//! let book = Source::new(
//!     "clearance.rulebook",
//!     r#"
//! rulebook "Our own card" edition 2026-03-01
//! unit mm = 0.001 m
//! part machine {
//!     clearance : mm
//! }
//! generation small "500 cc" {
//!     machine.clearance  standard 0.12 to 0.18 mm  limit at least 0.10 mm  { from common practice }
//! }
//! "#,
//! );
//! let shop = Shop::of_sources(&[book]);
//! assert!(shop.is_sound(), "{:?}", shop.findings());
//!
//! let record = Source::new("build.yaml", "build: B-1\ngeneration: small\nclearance: 0.11 mm\n");
//! let checked = shop.check_source(&record, &Ask { tell: GradeSet::NOT_GOOD, rulings: true, as_of: None });
//!
//! assert_eq!(checked.grade, Some(Grade::Worn));
//! assert!(checked.passes());
//! assert_eq!(checked.rulings[0].path, "clearance");
//! assert_eq!(checked.rulings[0].value.as_deref(), Some("0.11 mm"));
//! let finding = &checked.findings[0];
//! let (place, _) = finding.place.as_ref().expect("a reading has a place");
//! assert_eq!((place.line_column().line, place.text()), (3, "0.11 mm"));
//! ```
//!
//! The examples `judge_a_record`, `read_the_rulings` and `match_a_pile` are whole programs.
//!
//! # Features
//!
//! All are on unless `default-features = false` is given; then no C compiler is needed.
//!
//! | feature | what it brings | needs |
//! | --- | --- | --- |
//! | `cache` | the module `cache`, and `--cache` of the program | a C compiler |
//! | `editor` | the module `lsp`, and the command `language-server` | |
//! | `pages` | the modules `bench` and `report::html`, the commands `bench` and `report`, `blank --format html` | |
//! | `allocator` | another allocator in the program, none in the library | a C compiler |
//!
//! # The modules
//!
//! The modules below are how it works inside. They are public for the program and its tests, and change from one version to the
//! next without notice: use what stands at the root. The library is built in layers: each module uses only modules on lower layers.
//! `DEVELOPERS.md` shows the layers and follows one reading through them.

pub mod audit;
#[cfg(feature = "pages")]
pub mod bench;
pub mod bind;
pub mod blank;
pub mod book;
#[cfg(feature = "cache")]
pub mod cache;
pub mod catalogue;
pub mod cli;
pub mod disk;
pub mod explain;
pub mod finding;
pub mod handover;
pub mod identify;
pub mod import;
pub mod judge;
pub mod loose;
#[cfg(feature = "editor")]
pub mod lsp;
pub mod matching;
pub mod plan;
pub mod prove;
pub mod quantity;
pub mod record;
pub mod report;
pub mod rework;
pub mod shop;
pub mod statistics;
pub mod syntax;
pub mod text;
pub mod tidy;
pub mod trend;
pub mod worksheet;

#[doc(inline)]
pub use finding::{Code, Finding, Severity};
#[doc(inline)]
pub use judge::{Counts, Grade, GradeSet, RulingReport};
#[doc(inline)]
pub use quantity::Date;
#[doc(inline)]
pub use record::Record;
#[doc(inline)]
pub use shop::{Ask, Checked, Matched, Shop, Shops, best_sets};
#[doc(inline)]
pub use text::{Place, Source};
