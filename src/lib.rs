//! trochoid judges the measurement record of a rebuilt rotary engine against rulebooks a shop writes itself.
//!
//! The library is built in layers: each module uses only modules on lower layers. `DEVELOPERS.md` shows the layers and
//! follows one reading through them.

pub mod audit;
pub mod bench;
pub mod bind;
pub mod blank;
pub mod book;
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
