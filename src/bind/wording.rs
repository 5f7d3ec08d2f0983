//! Every sentence of the room `bind`.

use super::day;
use super::header::CONCESSION_KEYS;
use super::header::{all_paths, generation_names};
use super::reading::KEYS;
use super::walk::{Binder, HEADER};
pub(super) use super::wording_number::{number_trouble, plain_trouble};
use crate::book::{Book, Characteristic, Count, Generation, Id, Kind, Member, NameSet, Part};
use crate::finding::{Code, Finding, did_you_mean, list, nearest};
use crate::record::ScalarNode;
use crate::text::Place;

/// Text of a record in a message: long ones are cut, since nobody reads ten thousand digits. A path to a reading is
/// not long.
pub(super) fn short(text: &str) -> String {
    const MOST: usize = 48;
    const KEPT: usize = 20;
    match (text.char_indices().nth(MOST), text.char_indices().nth(KEPT)) {
        (Some(_), Some((at, _))) => format!("{}…", text.get(..at).unwrap_or("")),
        _ => text.to_string(),
    }
}

/// "rotor front: width", "width at plug_side", "end play".
pub(super) fn subject(binder: &Binder<'_>, characteristic: &Characteristic, station: Option<usize>) -> String {
    let part = binder.part_words(characteristic.part);
    let name = characteristic.name.replace('_', " ");
    let station = station.and_then(|station| characteristic.stations().get(station));
    let at = station.map(|name| format!(" at {}", name.replace('_', " "))).unwrap_or_default();
    if part.is_empty() { format!("{name}{at}") } else { format!("{part}: {name}{at}") }
}

fn part_prefix(binder: &Binder<'_>, part: Id<Part>) -> String {
    let words = binder.part_words(part);
    if words.is_empty() { String::new() } else { format!("{words}: ") }
}

/// An example of what a reading looks like.
fn example(book: &Book, characteristic: &Characteristic) -> String {
    match characteristic.kind {
        Kind::Quantity(_) => match &characteristic.unit {
            Some(unit) => format!("a number and a unit, such as `12.5 {}`", unit.symbol),
            None => "a number".into(),
        },
        Kind::Names(set) => list(book.sets.get(set).names.iter().map(|name| &**name), "or"),
        Kind::YesNo => "yes or no".into(),
        Kind::Text => "a few words".into(),
    }
}

pub(super) fn not_a_record(place: Place) -> Finding {
    Finding::new(Code::ShapeWrong, "a record is a map of keys and values, and this is not one")
        .at(place, "no keys here")
        .help("begin with `build: NAME` and `generation: NAME`, one key on each line")
}

/// A key that nothing here has; `twin` is one of the same map that differs from it in capitals only.
pub(super) fn key_unknown(
    binder: &Binder<'_>,
    part: Id<Part>,
    (key, twin): (&str, Option<&str>),
    place: Place,
) -> Finding {
    let book = binder.book;
    let here = book.parts.get(part);
    let members: Vec<&str> = here.members.iter().map(|(name, _)| &**name).collect();
    let at_top = here.parent.is_none();
    let known = members.iter().copied().chain(HEADER.into_iter().filter(|_| at_top));
    // Within braces YAML takes `width:79.85 mm` for a key.
    if let Some((name, value)) = key.split_once(':').filter(|(name, _)| here.member_typed(name).is_some()) {
        let message = format!("{}a space is missing after the colon of `{}`", part_prefix(binder, part), short(key));
        return Finding::new(Code::KeyUnknown, message)
            .at(place, "no space")
            .help(format!("write `{name}: {}`", short(value.trim_start())));
    }
    // A name that is right, in the wrong place, is surer than a near one in this place.
    let twice = twin.map(|twin| format!("`{twin}` is here already: leave one of the two out"));
    let help = twice.or_else(|| belongs(binder, part, key)).or_else(|| did_you_mean(nearest(key, known)));
    let help = help
        .or_else(|| (!members.is_empty() && members.len() <= 12).then(|| format!("it has {}", list(members, "and"))));
    Finding::new(
        Code::KeyUnknown,
        format!("{}there is no reading or part called `{}` here", part_prefix(binder, part), short(key)),
    )
    .at(place, "unknown key")
    .maybe_help(help)
}

/// Where a key that some other part has belongs.
fn belongs(binder: &Binder<'_>, here: Id<Part>, key: &str) -> Option<String> {
    const MOST: usize = 3;
    let book = binder.book;
    let mut places = Vec::new();
    for (id, other) in book.parts.entries().filter(|(_, other)| other.member_by_name.contains_key(key)) {
        if other.parent.is_none() {
            return Some(format!("`{key}` belongs at the top of the record, not under {}", book.parts.get(here).name));
        }
        // A part has its place in every position of the one it belongs to; a reading is of one.
        let part = matches!(other.member_by_name.get(key), Some(Member::Part(_)));
        let plain = part || other.parent == Some(here);
        places.push(if plain { other.name.to_string() } else { path_to(binder, here, id) });
    }
    let more = if places.len() > MOST { ", among others" } else { "" };
    let places = list(places.iter().take(MOST).map(String::as_str), "or");
    (!places.is_empty()).then(|| format!("`{key}` belongs under {places}{more}"))
}

/// The way to a part from where the walk is: its own positions as far as they are shared, the first fitted from there.
fn path_to(binder: &Binder<'_>, here: Id<Part>, other: Id<Part>) -> String {
    let book = binder.book;
    let ours = &book.parts.get(here).positioned;
    let mut shared = true;
    let steps = book.parts.get(other).positioned.iter().enumerate().map(|(depth, id)| {
        let names = &book.parts.get(*id).positions;
        // Beside a part with the same positions, this one is meant, as in a rulebook.
        shared &= ours.get(depth).is_some_and(|own| own == id || book.parts.get(*own).positions == *names);
        let fits = |position: &u16| binder.generation().is_none_or(|generation| generation.has(*id, *position));
        let same = binder.positions.get(depth).copied().filter(|_| shared).filter(fits);
        same.or_else(|| (0..u16::try_from(names.len()).unwrap_or(u16::MAX)).find(fits)).unwrap_or(0)
    });
    let positions: Vec<u16> = steps.collect();
    book.part_path(other, &positions, ".")
}

pub(super) fn worked_out(binder: &Binder<'_>, characteristic: &Characteristic, place: Place) -> Finding {
    Finding::new(
        Code::KeyUnknown,
        format!("{} is calculated from other readings, not measured", subject(binder, characteristic, None)),
    )
    .at(place, "calculated")
    .since(characteristic.place.clone(), "declared here")
    .help("remove it; the readings it is calculated from are enough")
}

pub(super) fn part_shape(binder: &Binder<'_>, part: Id<Part>, key: ScalarNode<'_>, place: Place) -> Finding {
    let part = binder.book.parts.get(part);
    let inside = if part.positions.is_empty() || part.position_by_name.contains_key(key.text()) {
        list(part.members.iter().map(|(name, _)| &**name).take(6), "and")
    } else {
        list(part.positions.iter().map(|name| &**name).take(12), "and")
    };
    Finding::new(Code::ShapeWrong, format!("{} is a part, and has keys of its own", key.text()))
        .at(place, "not a part")
        .help(format!("write what it has below it, indented: {inside}"))
}

pub(super) fn place_unknown(binder: &Binder<'_>, part: Id<Part>, name: &str, place: Place) -> Finding {
    let part = binder.book.parts.get(part);
    let positions = part.positions.iter().map(|name| &**name);
    let member = part.member_by_name.contains_key(name);
    let help = if member {
        format!("say which {}: {}", part.name, list(positions, "or"))
    } else {
        did_you_mean(nearest(name, positions.clone())).unwrap_or_else(|| format!("it has {}", list(positions, "and")))
    };
    Finding::new(Code::PlaceUnknown, format!("{} has no position `{}`", part.name.replace('_', " "), short(name)))
        .at(place, "no such position")
        .help(help)
}

pub(super) fn not_fitted(
    binder: &Binder<'_>,
    id: Id<Part>,
    name: &str,
    generation: &Generation,
    place: Place,
) -> Finding {
    let part = binder.book.parts.get(id);
    let fitted = generation.positions(id, part.positions.len());
    let names = fitted.iter().filter_map(|number| part.positions.get(usize::from(*number))).map(|name| &**name);
    Finding::new(
        Code::NotFitted,
        format!("generation {} has no {} at {name}", generation.name, part.name.replace('_', " ")),
    )
    .at(place, "not fitted")
    .since(generation.place.clone(), "the generation")
    .help(format!("it has {}; check the generation named at the top", list(names, "and")))
}

pub(super) fn stations_shape(binder: &Binder<'_>, characteristic: &Characteristic, place: Place) -> Finding {
    let stations = list(characteristic.stations().iter().map(|name| &**name), "and");
    Finding::new(
        Code::ShapeWrong,
        format!("{} is taken separately at {stations}", subject(binder, characteristic, None)),
    )
    .at(place, "which station?")
    .since(characteristic.place.clone(), "declared here")
    .help(format!(
        "write `{{ {} }}`",
        characteristic.stations().iter().map(|name| format!("{name}: …")).collect::<Vec<_>>().join(", ")
    ))
}

pub(super) fn station_unknown(
    binder: &Binder<'_>,
    characteristic: &Characteristic,
    name: &str,
    place: Place,
) -> Finding {
    let stations = characteristic.stations().iter().map(|name| &**name);
    let help = did_you_mean(nearest(name, stations.clone()))
        .unwrap_or_else(|| format!("it is taken at {}", list(stations, "and")));
    Finding::new(
        Code::PlaceUnknown,
        format!("{} is not taken at `{}`", subject(binder, characteristic, None), short(name)),
    )
    .at(place, "no such station")
    .since(characteristic.place.clone(), "declared here")
    .help(help)
}

pub(super) fn nothing_written(
    binder: &Binder<'_>,
    characteristic: &Characteristic,
    station: Option<usize>,
    place: Place,
) -> Finding {
    Finding::new(
        Code::ShapeWrong,
        format!("{}: nothing is written after the colon", subject(binder, characteristic, station)),
    )
    .at(place, "no value")
    .help("write the reading; or `unknown` if it was looked for and cannot be read; or remove the line")
}

pub(super) fn list_in_list(binder: &Binder<'_>, characteristic: &Characteristic, place: Place) -> Finding {
    Finding::new(
        Code::ShapeWrong,
        format!("{}: a list of readings holds readings, not lists", subject(binder, characteristic, None)),
    )
    .at(place, "list in list")
    .help("write all readings in one list")
}

pub(super) fn no_readings(binder: &Binder<'_>, characteristic: &Characteristic, place: Place) -> Finding {
    Finding::new(Code::ShapeWrong, format!("{}: the list of readings is empty", subject(binder, characteristic, None)))
        .at(place, "no readings")
        .help("write the readings, or remove the line")
}

pub(super) fn no_value(binder: &Binder<'_>, characteristic: &Characteristic, place: Place) -> Finding {
    Finding::new(Code::ShapeWrong, format!("{}: no `value` is written", subject(binder, characteristic, None)))
        .at(place, "no value")
        .help(format!("a reading is {}, or `{{ value: …, gauge: … }}`", example(binder.book, characteristic)))
}

pub(super) fn reading_key(binder: &Binder<'_>, characteristic: &Characteristic, key: &str, place: Place) -> Finding {
    let help =
        did_you_mean(nearest(key, KEYS)).unwrap_or_else(|| format!("the keys of a reading are {}", list(KEYS, "and")));
    Finding::new(
        Code::KeyUnknown,
        format!("{}: a reading has no key `{}`", subject(binder, characteristic, None), short(key)),
    )
    .at(place, "unknown key")
    .help(help)
}

pub(super) fn scalar_needed(what: &str, place: Place) -> Finding {
    Finding::new(Code::ShapeWrong, format!("`{what}` is one value, and this is not")).at(place, "one value needed")
}

pub(super) fn nothing_after(what: &str, place: Place) -> Finding {
    Finding::new(Code::ShapeWrong, format!("{}: nothing is written after the colon", short(what)))
        .at(place, "no value")
        .help("write the value, or remove the line")
}

pub(super) fn no_uncertainty(binder: &Binder<'_>, characteristic: &Characteristic, place: Place) -> Finding {
    Finding::new(
        Code::ShapeWrong,
        format!("{}: only a quantity has an uncertainty", subject(binder, characteristic, None)),
    )
    .at(place, "not a quantity")
    .help("leave it out, or say it in `note`")
}

pub(super) fn below_zero(what: &str, text: &str, place: Place) -> Finding {
    Finding::new(Code::NumberUnreadable, format!("{what} cannot be negative: `{}`", short(text)))
        .at(place, "below zero")
        .help("write it without the minus: it applies to both sides")
}

pub(super) fn readings_count(
    binder: &Binder<'_>,
    characteristic: &Characteristic,
    station: Option<usize>,
    given: usize,
    asked: Count,
    place: Place,
) -> Finding {
    let asked_words = match asked {
        Count { least: 1, most: Some(1) } => "one reading".to_string(),
        Count { least, most: Some(most) } if least == most => format!("exactly {least} readings"),
        Count { least, .. } => format!("{least} readings or more"),
    };
    let finding = Finding::new(
        Code::ReadingsCount,
        format!("{}: this takes {asked_words}; you wrote {given}", subject(binder, characteristic, station)),
    )
    .at(place, format!("{given} given"))
    .since(characteristic.place.clone(), "declared here");
    if given < usize::from(asked.least) {
        finding.help("take it again and write the readings as a list: `[…, …]`")
    } else if asked == Count::ONE {
        finding.help("write the one reading that counts; until then it counts as not measured")
    } else {
        finding.help("leave out those that do not count")
    }
}

pub(super) fn word_unknown(
    binder: &Binder<'_>,
    characteristic: &Characteristic,
    set: Id<NameSet>,
    text: &str,
    place: Place,
) -> Finding {
    let set = binder.book.sets.get(set);
    let names = set.names.iter().map(|name| &**name);
    let help =
        did_you_mean(nearest(text, names.clone())).unwrap_or_else(|| format!("it is one of {}", list(names, "or")));
    Finding::new(Code::WordUnknown, format!("{} cannot be `{}`", subject(binder, characteristic, None), short(text)))
        .at(place, "not among them")
        .since(set.place.clone(), "declared here")
        .help(help)
}

pub(super) fn yes_no_unknown(
    binder: &Binder<'_>,
    characteristic: &Characteristic,
    text: &str,
    place: Place,
) -> Finding {
    let near = match text.to_lowercase().as_str() {
        "yes" | "y" | "true" | "on" => Some("yes"),
        "no" | "n" | "false" | "off" => Some("no"),
        _ => None,
    };
    Finding::new(
        Code::WordUnknown,
        format!("{} is yes or no, and not `{}`", subject(binder, characteristic, None), short(text)),
    )
    .at(place, "neither")
    .help(near.map_or_else(|| "write `yes` or `no`".to_string(), |word| format!("write `{word}`")))
}

pub(super) fn generation_shape(binder: &Binder<'_>, place: Place) -> Finding {
    let names = generation_names(binder.book);
    let help = (!names.is_empty()).then(|| format!("name one of {}", list(names.iter().map(String::as_str), "or")));
    Finding::new(Code::ShapeWrong, "`generation` is one name, and this is not, so nothing is judged")
        .at(place, "one name needed")
        .maybe_help(help)
}

pub(super) fn generation_missing(binder: &Binder<'_>, place: Place) -> Finding {
    let names = generation_names(binder.book);
    Finding::new(Code::GenerationMissing, "the record does not say which generation it is about, so nothing is judged")
        .at(place, "no generation")
        .help(if names.is_empty() {
            "add `generation: NAME`; the books declare none".to_string()
        } else {
            format!("add `generation:` with one of {}", list(names.iter().map(String::as_str), "or"))
        })
}

pub(super) fn generation_unknown(
    binder: &Binder<'_>,
    name: &str,
    basis: Option<Id<Generation>>,
    place: Place,
) -> Finding {
    generation_unknown_in(binder.book, name, basis, place)
}

pub(super) fn generation_unknown_in(book: &Book, name: &str, basis: Option<Id<Generation>>, place: Place) -> Finding {
    let names = generation_names(book);
    let known = names.iter().map(String::as_str);
    if let Some(id) = basis {
        return Finding::new(
            Code::GenerationUnknown,
            format!("`{name}` is what generations have in common, not one of them; nothing is judged"),
        )
        .at(place, "a basis only")
        .since(book.generations.get(id).place.clone(), "declared here")
        .help(if names.is_empty() {
            "the books declare no generation that follows it yet".to_string()
        } else {
            format!("name one of {}", list(known, "or"))
        });
    }
    let help = did_you_mean(nearest(name, known.clone()))
        .unwrap_or_else(|| format!("the books declare {}", list(known, "and")));
    Finding::new(
        Code::GenerationUnknown,
        format!("no book declares a generation `{}`, so nothing is judged", short(name)),
    )
    .at(place, "not declared")
    .help(help)
}

pub(super) fn date_unreadable(what: &str, text: &str, place: Place) -> Finding {
    Finding::new(Code::DateUnreadable, format!("{what}: `{}` is not a date", short(text)))
        .at(place, "not a date")
        .help(day::help(text))
}

pub(super) fn concessions_shape(place: Place) -> Finding {
    Finding::new(Code::ShapeWrong, "concessions are a list, each with `row`, `because` and `by`")
        .at(place, "not a concession")
        .help("write `concessions:` and below it `- row: rotor.front.side_clearance`, with `because:` and `by:` under `row`")
}

pub(super) fn concession_key(key: &str, place: Place) -> Finding {
    let help = did_you_mean(nearest(key, CONCESSION_KEYS))
        .unwrap_or_else(|| format!("the keys of a concession are {}", list(CONCESSION_KEYS, "and")));
    Finding::new(Code::KeyUnknown, format!("a concession has no key `{}`", short(key)))
        .at(place, "unknown key")
        .help(help)
}

pub(super) fn concession_unsigned(row: bool, because: bool, by: bool, place: Place) -> Finding {
    let lacking = [(row, "which row it is for (`row`)"), (because, "why (`because`)"), (by, "who signed it (`by`)")];
    let lacking = list(lacking.into_iter().filter(|(lacks, _)| *lacks).map(|(_, words)| words), "and");
    Finding::new(Code::ConcessionUnsigned, format!("a concession does not say {lacking}, and does not count"))
        .at(place, "does not count")
        .help("a concession has `row`, `because` and `by`, and may have `until`")
}

pub(super) fn concession_unknown(binder: &Binder<'_>, path: &str, place: Place) -> Finding {
    let paths = all_paths(binder);
    let near = nearest(path, paths.iter().map(|(path, _)| path.as_str()));
    let finding = Finding::new(
        Code::ConcessionUnknown,
        format!("the concession is for `{}`, but nothing has that name", short(path)),
    )
    .at(place, "leads nowhere");
    // A concession for another position than the one meant would let the wrong part through.
    if let Some(near) = near
        && let Some(places) = other_places(binder, path, near, &paths)
    {
        return finding.help(places);
    }
    let paths: Vec<String> = paths.into_iter().map(|(path, _)| path).collect();
    let near = nearest(path, paths.iter().map(String::as_str));
    finding.maybe_help(did_you_mean(near).or_else(|| {
        let last = path.rsplit('.').next().unwrap_or(path);
        let example = paths.iter().find(|one| one.rsplit('.').next() == Some(last)).or_else(|| paths.first())?;
        Some(format!("name the part, its position and what is judged, such as `{example}`"))
    }))
}

/// The positions a concession may be meant for, where the one that was written does not tell; `None` where there is no choice.
fn other_places(
    binder: &Binder<'_>,
    written: &str,
    near: &str,
    paths: &[(String, Id<Characteristic>)],
) -> Option<String> {
    const MOST: usize = 6;
    let (_, id) = paths.iter().find(|(path, _)| path == near)?;
    let bare = binder.book.path(*id, &[], None);
    let steps: Vec<&str> = written.split('.').collect();
    // The positions in a path are the steps that the path without positions lacks.
    let said = |path: &str| {
        let mut plain = bare.split('.').peekable();
        path.split('.').all(|step| {
            let own = plain.next_if_eq(&step).is_some();
            own || steps.contains(&step)
        })
    };
    let same: Vec<&str> = paths.iter().filter(|(_, other)| other == id).map(|(path, _)| path.as_str()).collect();
    let told = same.iter().filter(|path| said(path)).count();
    if same.len() < 2 {
        return None;
    }
    if told == 1 {
        return did_you_mean(same.into_iter().find(|path| said(path)));
    }
    let more = if same.len() > MOST { ", or another position" } else { "" };
    let listed: Vec<String> = same.iter().take(MOST).map(|path| format!("`{path}`")).collect();
    Some(format!("say which one: {}{more}", list(listed.iter().map(String::as_str), "or")))
}
