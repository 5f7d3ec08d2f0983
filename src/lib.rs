//! trochoid judges the measurement record of a rebuilt rotary engine against rulebooks a shop writes itself.
//!
//! The library is a house of storeys; each room uses only what stands below it. `DEVELOPERS.md` has the plan of the
//! house and follows one reading through it.

pub mod audit;
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
pub mod lsp;
pub mod plan;
pub mod prove;
pub mod quantity;
pub mod record;
pub mod report;
pub mod shop;
pub mod statistics;
pub mod syntax;
pub mod text;
pub mod tidy;
pub mod trend;
