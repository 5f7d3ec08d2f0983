//! Stand-in.
#![allow(clippy::print_stdout, reason = "stand-in")]
use crate::judge::*;
use crate::shop::*;
/// Runs the program.
pub fn run(arguments: impl IntoIterator<Item = std::ffi::OsString>) -> std::process::ExitCode {
    let args: Vec<String> = arguments.into_iter().map(|a| a.to_string_lossy().into_owned()).collect();
    let shops = Shops::new(None);
    let say = |f: &crate::finding::Finding| {
        println!(
            "{} {:?}[{}] {}",
            f.place.as_ref().map_or("-".to_string(), |p| p.0.to_string()),
            f.severity,
            f.code,
            f.message
        );
        for (p, w) in &f.because {
            println!("      {p} {w}: {}", p.text().lines().next().unwrap_or(""));
        }
        if let Some(h) = &f.help {
            println!("      help: {h}");
        }
        for n in &f.notes {
            println!("      {}: {}", n.kind.word(), n.text);
        }
    };
    let mut told = std::collections::BTreeSet::new();
    for a in args.iter().skip(1) {
        let (paths, fs) = crate::disk::records_below(std::path::Path::new(a));
        fs.iter().for_each(&say);
        for p in paths {
            let shop = shops.of(&p);
            if told.insert(shop.books()) {
                shop.findings().iter().for_each(&say);
                println!("books {} slots {}", shop.books().len(), shop.book.slot_count);
            }
            let c = shop.check(&p, &Ask { tell: GradeSet::NOT_GOOD, rulings: false });
            println!(
                "== {} {:?} {:?} total {} adv {} skipped {} errs {}",
                c.file,
                c.generation,
                c.grade,
                c.counts.total(),
                c.counts.advisory,
                c.skipped,
                c.record_errors
            );
            c.findings.iter().for_each(&say);
        }
    }
    std::process::ExitCode::SUCCESS
}
