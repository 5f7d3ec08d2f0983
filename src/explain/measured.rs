//! How the readings behind a verdict are measured, as their book says it. Refuses to know how they were taken.

use super::Block;
use crate::book::Book;
use crate::text::Place;

/// A line for each part whose positions are told apart and for each reading, once for all positions and stations.
pub(super) fn block(book: &Book, slots: &[usize]) -> Option<Block> {
    let mut lines: Vec<(String, &Place)> = Vec::new();
    let mut say = |text: String, place| {
        if !lines.iter().any(|(said, _)| *said == text) {
            lines.push((text, place));
        }
    };
    for slot in slots {
        let Some((id, _, _)) = book.slot_owner(*slot) else { continue };
        let characteristic = book.characteristics.get(id);
        for part in &book.parts.get(characteristic.part).positioned {
            let part = book.parts.get(*part);
            if let Some(measure) = &part.measure {
                say(format!("{}: {measure}", part.name), &part.place);
            }
        }
        if let Some(measure) = &characteristic.texts.measure {
            say(format!("{}: {measure}", book.path(id, &[], None)), &characteristic.place);
        }
    }
    let mut block = Block::new("how to measure", None);
    for (text, place) in lines {
        block.say(text, Some(place.clone()));
    }
    (!block.lines.is_empty()).then_some(block)
}
