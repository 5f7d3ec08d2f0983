//! Where the cursor is: the open paper, the byte, and the name that stands there. Shared by all that answer about a name.

use super::document::{Document, Kind};
use super::names::{Meaning, Occurrence, occurrences, occurrences_at};
use super::server::Server;
use crate::book::Step;
use crate::shop::Shop;
use crate::syntax::Tree;
use crate::text::Place;
use lsp_types::TextDocumentPositionParams;
use std::sync::Arc;

/// A place in an open paper with the shop it belongs to.
pub(super) struct Seen {
    pub(super) document: Document,
    pub(super) shop: Arc<Shop>,
    /// The byte the cursor stands before.
    pub(super) offset: usize,
}

impl Seen {
    pub(super) fn at(server: &mut Server, at: &TextDocumentPositionParams) -> Option<Seen> {
        let key = server.key(&at.text_document.uri)?;
        let document = server.documents.get(&key)?.clone();
        let shop = server.shelf.of(&document);
        let offset = document.offset(at.position);
        Some(Seen { document, shop, offset })
    }

    pub(super) fn is_book(&self) -> bool {
        self.document.kind == Kind::Book
    }

    /// The tree of the open rulebook.
    pub(super) fn tree(&self) -> Option<&Arc<Tree>> {
        self.shop.trees().iter().find(|tree| tree.source.is_same(&self.document.source))
    }

    /// The name the cursor touches.
    pub(super) fn name(&self) -> Option<Occurrence> {
        let at = u32::try_from(self.offset).ok()?;
        let names = occurrences_at(&self.shop.book, self.tree()?, at);
        let mut touched = names.into_iter().filter(|name| name.span.start <= at && at <= name.span.end);
        // Between two names that touch, as in `rotor.front`, the later one is meant.
        touched.next_back()
    }
}

/// Every place in the books of a shop that has a name of one meaning, with whether it declares it.
pub(super) fn everywhere(shop: &Shop, meaning: &Meaning) -> Vec<(Place, bool)> {
    let mut places = Vec::new();
    for tree in shop.trees() {
        for name in occurrences(&shop.book, tree) {
            if name.meaning == *meaning {
                places.push((tree.source.place(name.span), name.declares));
            }
        }
    }
    places
}

/// Where a name is declared, and where the whole declaration is.
pub(super) fn declaration(shop: &Shop, meaning: &Meaning) -> Option<Place> {
    let book = &shop.book;
    // What the book knows needs no search.
    match meaning {
        Meaning::Step(Step::Part(id)) => return Some(book.parts.get(*id).place.clone()),
        Meaning::Step(Step::Characteristic(id)) => return Some(book.characteristics.get(*id).place.clone()),
        Meaning::Generation(name) => return Some(book.generations.get(book.generation(name)?).place.clone()),
        _ => {}
    }
    everywhere(shop, meaning).into_iter().find(|(_, declares)| *declares).map(|(place, _)| place)
}
