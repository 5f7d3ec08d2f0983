//! The addresses of the pages at the bench. Refuses to know what is there.

use crate::report::address::encoded;

/// A step of an address, or a value in its query.
fn step(text: &str) -> String {
    encoded(text).replace('/', "%2F")
}

/// The page of a build.
#[must_use]
pub fn build(record: &str) -> String {
    format!("/build/{}", encoded(record))
}

/// The page of a loose part.
#[must_use]
pub fn part(record: &str, tag: &str) -> String {
    format!("/part/{}?tag={}", encoded(record), step(tag))
}

/// What would put a build right, or with a tag a loose part.
#[must_use]
pub fn rework(record: &str, tag: Option<&str>) -> String {
    let tag = tag.map_or_else(String::new, |tag| format!("?tag={}", step(tag)));
    format!("/rework/{}{tag}", encoded(record))
}

/// A photograph that a record names.
#[must_use]
pub fn photo(record: &str, tag: Option<&str>, file: &str) -> String {
    let tag = tag.map_or_else(String::new, |tag| format!("&tag={}", step(tag)));
    format!("/photo/{}?file={}{tag}", encoded(record), step(file))
}

/// The sheet of a build.
#[must_use]
pub fn sheet(record: &str) -> String {
    format!("/sheet/{}", encoded(record))
}

/// The labels of the parts in a file.
#[must_use]
pub fn labels(record: &str) -> String {
    format!("/labels/{}", encoded(record))
}

/// The style of the paper of a sheet.
#[must_use]
pub fn sheet_style(record: &str) -> String {
    format!("/sheet-style/{}", encoded(record))
}

/// The style of the paper of the labels of a file.
#[must_use]
pub fn labels_style(record: &str) -> String {
    format!("/labels-style/{}", encoded(record))
}

/// The rules of a generation.
#[must_use]
pub fn rules(generation: &str) -> String {
    format!("/rules/{}", step(generation))
}

/// A page with a query.
#[must_use]
pub fn with_query(page: &str, query: &[(&str, &str)]) -> String {
    let pairs: Vec<String> = query.iter().map(|(name, value)| format!("{}={}", step(name), step(value))).collect();
    if pairs.is_empty() { page.to_owned() } else { format!("{page}?{}", pairs.join("&")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_in_a_name_leads_elsewhere() {
        assert_eq!(build("builds/x y?#%.yaml"), "/build/builds/x%20y%3F%23%25.yaml");
        assert_eq!(part("shelf/r.yaml", "R&1/2+x"), "/part/shelf/r.yaml?tag=R%261%2F2%2Bx");
        assert_eq!(with_query("/", &[("find", "x&y=z")]), "/?find=x%26y%3Dz");
        assert_eq!((with_query("/", &[]), rules("a/b")), ("/".to_owned(), "/rules/a%2Fb".to_owned()));
    }
}
