//! Stub.
#![allow(missing_docs, reason = "stub")]
use crate::book::*; use crate::finding::Finding; use crate::quantity::{Date, Value}; use crate::record::Sheet; use crate::text::{Source, Span};
pub struct Readings { pub build: Option<String>, pub finished: Option<Date>, pub generation: Option<Id<Generation>>, pub gauges: Vec<Gauge>, pub concessions: Vec<Concession>, source: Source }
impl Readings { pub fn source(&self)->&Source{&self.source} pub fn state(&self, _s: usize)->State{State::Absent} pub fn taken(&self, _s: usize)->&[Reading]{&[]} }
#[derive(Clone, Copy, PartialEq, Eq, Debug)] pub enum State { Absent, Unknown(Span), Unusable(Span), Taken }
pub struct Reading { pub datum: Datum, pub span: Span, pub gauge: Option<u16>, pub detail: Option<Box<Detail>> }
pub struct Detail { pub uncertainty: Option<Value>, pub temperature: Option<Value>, pub note: Option<String> }
pub struct Gauge { pub name: String }
pub struct Concession { pub row: ConcessionRow, pub because: String, pub by: String, pub until: Option<Date>, pub span: Span, pub row_span: Span }
pub struct ConcessionRow { pub characteristic: Id<Characteristic>, pub instance: Option<usize>, pub station: Option<u16> }
pub fn bind(_b: &Book, _s: &Sheet, source: &Source) -> (Readings, Vec<Finding>) { (Readings{build:None,finished:None,generation:None,gauges:vec![],concessions:vec![],source:source.clone()}, vec![]) }
