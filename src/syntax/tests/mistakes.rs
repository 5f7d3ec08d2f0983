//! Mistakes people make, each with the code it gets, the text it underlines and the help it offers.
#[test]
fn placeholder() {}
