//! Which shop each open paper belongs to, with the unsaved text of every open book. Refuses to judge anything itself.

use super::document::{Document, Kind};
use crate::disk;
use crate::shop::{Papers, Shop, Shops, settings_of};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The shops of the open papers.
#[derive(Debug)]
pub(super) struct OpenShops {
    papers: Papers,
    shops: Shops,
    /// Books that the shop of their folder does not list, each with those it uses.
    alone: BTreeMap<PathBuf, Shops>,
}

impl Default for OpenShops {
    fn default() -> OpenShops {
        OpenShops { papers: Papers::default(), shops: Shops::new(None), alone: BTreeMap::new() }
    }
}

impl OpenShops {
    /// Takes a paper as it is now. A record changes no shop.
    pub(super) fn put(&mut self, document: &mut Document) {
        match document.kind {
            Kind::Record => {}
            Kind::Book => {
                let read = document.book();
                self.papers.open_book(&document.path, read);
                self.renew(&document.path);
            }
            Kind::Settings | Kind::Gauges => {
                self.papers.open(&document.path, document.source.clone());
                self.reopen();
            }
        }
    }

    /// Takes a paper away: what is on disk counts again.
    pub(super) fn take(&mut self, document: &Document) {
        if document.kind != Kind::Record {
            self.papers.close(&document.path);
            self.reopen();
        }
    }

    fn renew(&mut self, changed: &Path) {
        self.shops = self.shops.renewed(self.papers.clone(), changed);
        for shops in self.alone.values_mut() {
            *shops = shops.renewed(self.papers.clone(), changed);
        }
    }

    /// Opens every shop anew: something on disk may be another.
    pub(super) fn reopen(&mut self) {
        self.shops = Shops::reading(None, self.papers.clone());
        self.alone.clear();
    }

    /// The shop a paper belongs to: of a rulebook, the shop of its folder if that uses the book, else one of this book and
    /// those it uses.
    pub(super) fn of(&mut self, document: &Document) -> Arc<Shop> {
        let shop = self.shops.of(&document.path);
        let name = document.source.name();
        if document.kind != Kind::Book || shop.trees().iter().any(|tree| tree.source.name() == name) {
            return shop;
        }
        let papers = &self.papers;
        let alone = self.alone.entry(document.path.clone());
        let shops = alone.or_insert_with(|| Shops::reading(Some(document.path.clone()), papers.clone()));
        shops.of(&document.path)
    }

    /// Whether a YAML or JSON file is a record: it says a build or a generation, or lies in a shop.
    pub(super) fn is_record(document: &Document) -> bool {
        const SAID: [&str; 2] = ["build", "generation"];
        let text = document.source.text();
        let says = text.lines().any(|line| {
            let key = line.trim_start_matches(['\u{feff}', ' ', '\t', '{']).trim_start_matches(['"', '\'']);
            SAID.iter().any(|word| {
                key.strip_prefix(word).is_some_and(|rest| rest.trim_start_matches(['"', '\'']).starts_with(':'))
            })
        });
        says || (settings_of(&document.path).is_some() && !disk::is_folder(&document.path))
    }
}
