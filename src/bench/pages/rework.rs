//! What would put a record right, planned for its page. Refuses to write into a record.

use super::{about, words};
use crate::bench::{Answer, Workshop};
use crate::finding::Finding;
use crate::report::html::bench::{self, Rework, address};
use crate::shop::{Planned, PlannedParts};

/// The page of a build, or of the loose part of a tag.
pub(in crate::bench) fn rework(workshop: &Workshop, name: &str, tag: Option<&str>) -> Answer {
    let Some(at) = workshop.record(name) else { return super::lost(workshop, &words::no_record(name)) };
    let (own, shop) = (workshop.shop(), workshop.shops().of(&at.path));
    let record = super::read(&at);
    let (mut planned, mut scrapped): (Vec<Planned>, Vec<String>) = (Vec::new(), Vec::new());
    let mut findings: Vec<Finding> = shop.findings().iter().filter(|finding| finding.is_error()).cloned().collect();
    let mut loose = false;
    match record {
        Err(finding) => findings.push(finding),
        Ok(_) if !shop.is_sound() => {}
        Ok(record) if shop.is_loose(&record) => {
            loose = true;
            let is_meant = |other: &str| tag.is_none_or(|tag| tag == other);
            let PlannedParts { planned: all, scrapped: gone, findings: said } = shop.rework_parts(&record, &[]);
            planned.extend(all.into_iter().filter(|one| one.part.as_ref().is_some_and(|part| is_meant(&part.tag))));
            scrapped.extend(gone.into_iter().map(|(_, tag)| tag).filter(|tag| is_meant(tag)));
            // What is wrong with the other parts of the file is not asked about, unless it may be why this one is missing.
            if planned.is_empty() && scrapped.is_empty() || tag.is_none() {
                findings.extend(said);
            }
            if planned.is_empty() && scrapped.is_empty() && findings.is_empty() {
                let missing = words::no_part(tag.unwrap_or_default(), name);
                return super::lost_to(workshop, &missing, words::GO_TO_SHELF);
            }
        }
        Ok(record) => match shop.rework_build(&record) {
            Ok((one, said)) => {
                planned.push(one);
                findings.extend(said.into_iter().filter(Finding::is_error));
            }
            Err(said) => findings.extend(said),
        },
    }
    let named = planned.first().and_then(|one| one.found.build.clone()).filter(|_| !loose);
    let title = tag.filter(|_| loose).map(str::to_owned).or(named);
    let title = title.unwrap_or_else(|| name.rsplit('/').next().unwrap_or(name).to_owned());
    let back = match tag.filter(|_| loose) {
        Some(tag) => address::part(name, tag),
        None if loose => "/shelf".to_owned(),
        None => address::build(name),
    };
    let page = Rework {
        shop: about(workshop, &own),
        name,
        loose,
        planned: &planned,
        scrapped: &scrapped,
        findings: &findings,
        back: (&back, &title),
        cautions: &shop.book.cautions,
    };
    Answer::page(bench::rework(&page))
}
