//! The values of several people, or several gauges, on the same parts, as a gauge study. Refuses to guess a reading that is
//! missing.

use super::Point;
use crate::quantity::Value;
use crate::statistics::study::{self, Study};

/// A study with the names of those who measured and of what they measured.
#[derive(Clone, PartialEq, Debug)]
pub struct GaugeStudy {
    /// Those who measured, in the order their names are declared, then as they came.
    pub people: Vec<String>,
    /// What they measured, in the order it came.
    pub parts: Vec<String>,
    /// What it finds.
    pub study: Study,
}

/// Why values are no study.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Unfit {
    /// So many do not say who measured them; the first.
    Nameless(usize, String),
    /// There is one who measured; the name.
    OnePerson(Option<String>),
    /// There is one part; its name.
    OnePart(String),
    /// Everybody measured every part once.
    Once,
    /// Some measured a part less often than others: who, which part, how often; and how often the others did.
    Uneven(Vec<(String, String, usize)>, usize),
}

/// The study of some values, each part by the name of its build and its position.
///
/// # Errors
/// [`Unfit`], where not everybody measured every part equally often.
pub fn study(points: &[Point]) -> Result<GaugeStudy, Unfit> {
    let nameless: Vec<&Point> = points.iter().filter(|point| point.group.is_none()).collect();
    if let Some(first) = nameless.first() {
        return Err(Unfit::Nameless(nameless.len(), first.build.clone()));
    }
    let several = points.iter().zip(points.iter().skip(1)).any(|(one, next)| one.path != next.path);
    let mut named: Vec<&(u16, String)> = Vec::new();
    let mut parts: Vec<(&str, &str, String)> = Vec::new();
    for point in points {
        named.extend(point.group.as_ref().filter(|group| !named.contains(group)));
        if !parts.iter().any(|(build, path, _)| (*build, *path) == (&point.build, &point.path)) {
            let name = if several { format!("{} {}", point.build, point.position) } else { point.build.clone() };
            parts.push((&point.build, &point.path, name.trim_end().to_owned()));
        }
    }
    named.sort_by_key(|(declared, _)| *declared);
    let people: Vec<String> = named.iter().map(|(_, name)| name.clone()).collect();
    let mut readings: Vec<Vec<Vec<Value>>> = vec![vec![Vec::new(); parts.len()]; people.len()];
    for point in points {
        let person = named.iter().position(|group| point.group.as_ref() == Some(*group));
        let part = parts.iter().position(|(build, path, _)| (*build, *path) == (&point.build, &point.path));
        let cell = person.zip(part).and_then(|(person, part)| readings.get_mut(person)?.get_mut(part));
        if let Some(cell) = cell {
            cell.extend(point.repeats.iter().cloned());
        }
    }
    let parts: Vec<String> = parts.into_iter().map(|(_, _, name)| name).collect();
    if people.len() < 2 {
        return Err(Unfit::OnePerson(people.into_iter().next()));
    }
    if let [only] = parts.as_slice() {
        return Err(Unfit::OnePart(only.clone()));
    }
    let often = readings.iter().flatten().map(Vec::len).max().unwrap_or(0);
    let mut lacking = Vec::new();
    for (person, cells) in people.iter().zip(&readings) {
        let few = parts.iter().zip(cells).filter(|(_, cell)| cell.len() < often);
        lacking.extend(few.map(|(part, cell)| (person.clone(), part.clone(), cell.len())));
    }
    if !lacking.is_empty() {
        return Err(Unfit::Uneven(lacking, often));
    }
    let study = study::study(&readings).ok_or(Unfit::Once)?;
    Ok(GaugeStudy { people, parts, study })
}
