//! Compiles the parser of grammar/tree-sitter as it is committed.

fn main() {
    let folder = "../../grammar/tree-sitter/src";
    println!("cargo::rerun-if-changed={folder}");
    cc::Build::new().std("c11").include(folder).file(format!("{folder}/parser.c")).opt_level(1).compile("rulebook");
}
