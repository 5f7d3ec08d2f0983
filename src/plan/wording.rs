//! Every sentence of the room `plan`.

use crate::book::{Book, Constant, Generation, Id, Part};
use crate::finding::{Code, Finding};
use crate::text::Place;

pub(super) fn constant_missing(book: &Book, generation: &Generation, id: Id<Constant>, place: &Place) -> Finding {
    let name = &book.constants.get(id).name;
    Finding::new(Code::ConstantMissing, format!("generation {} has no value for {name}", generation.name))
        .at(place.clone(), format!("needs {name}"))
        .since(generation.place.clone(), "the generation")
        .help(format!("add `constant {name} = …` to generation {}", generation.name))
}

pub(super) fn not_fitted(
    book: &Book,
    generation: &Generation,
    part: Id<Part>,
    position: u16,
    place: &Place,
) -> Finding {
    let part = book.parts.get(part);
    let at = part.positions.get(usize::from(position)).map_or("", |name| name);
    Finding::new(
        Code::PositionUnknown,
        format!("generation {} has no {} at {at}, and something fitted there needs it", generation.name, part.name),
    )
    .at(place.clone(), format!("needs {}", part.name))
    .since(generation.place.clone(), "the generation")
    .help(format!("add {at} to `fitted {} at …` in generation {}", part.name, generation.name))
}
