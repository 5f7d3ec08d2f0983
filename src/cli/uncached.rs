//! A run without a cache, for builds that have none: everything is calculated. Refuses to keep anything.

use crate::audit::Audited;
use crate::record::Record;
use crate::report::Page;
use crate::shop::Shop;
use crate::text::Source;
use std::io;
use std::path::Path;
use std::sync::Arc;

/// No cache, asked as one is.
#[derive(Debug)]
pub(super) struct Cached;

impl Cached {
    pub(super) fn open(_: Option<&Path>, _: usize, _: String) -> Cached {
        Cached
    }

    pub(super) fn record(&self, source: Source) -> Record {
        Record::of(source)
    }

    pub(super) fn page(&self, _: &Arc<Shop>, source: Source, make: impl FnOnce(&Record) -> (Page, bool)) -> Page {
        make(&Record::of(source)).0
    }

    pub(super) fn audited(
        &self,
        _: (&Arc<Shop>, &Arc<Shop>),
        _: bool,
        source: Source,
        find: impl FnOnce(&Record) -> Audited,
    ) -> Audited {
        find(&Record::of(source))
    }

    pub(super) fn settle(&self) {}

    pub(super) fn say(&self) -> io::Result<()> {
        Ok(())
    }
}
