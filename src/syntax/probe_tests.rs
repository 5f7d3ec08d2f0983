#[test]
fn probe() {
    let text = std::fs::read_to_string(std::env::var("SNIPS").unwrap()).unwrap();
    for snip in text.split("\n----\n") {
        let source = crate::text::Source::new("m", snip.trim_end_matches('\n'));
        let (_tree, findings) = super::parse(&source);
        println!("=== {}", snip.trim());
        for f in &findings {
            if f.code == crate::finding::Code::HeaderMissing && !snip.contains("HEADER") {
                continue;
            }
            let (place, label) = f.place.clone().unwrap();
            println!(
                "   {} {} [{}] {:?} | {} | help: {:?} {:?}",
                place,
                f.code,
                label,
                place.text(),
                f.message,
                f.help,
                f.because.iter().map(|b| b.0.to_string()).collect::<Vec<_>>()
            );
        }
    }
}
