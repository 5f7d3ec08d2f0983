//! The page over many builds: small enough to open at once, twenty charts on it and the others a page away, drawn as the figures say.

use super::super::Papers;
use super::super::record;
use super::{all, inside, text};
use scraper::Html;

fn read(papers: &Papers, file: &str) -> Html {
    Html::parse_document(&std::fs::read_to_string(papers.path().join(file)).unwrap())
}

#[test]
fn two_thousand_builds_make_a_page_of_at_most_a_megabyte_and_a_half() {
    let papers = Papers::new();
    for number in 0..2000 {
        let name = format!("P-{number:04}");
        let day = format!("finished: 20{:02}-{:02}-{:02}\n", 20 + number % 6, 1 + number % 12, 1 + number % 28);
        papers.put(&format!("builds/{name}.yaml"), record(&name, 6 + number % 17) + &day);
    }
    let ran = papers.run(&["report", "builds", "--to", "out"]);
    assert_eq!((ran.status, ran.err.as_str()), (1, ""));
    let bytes = std::fs::metadata(papers.path().join("out/index.html")).unwrap().len();
    assert!(bytes < 1_500_000, "{bytes} bytes");
    let index = read(&papers, "out/index.html");
    assert_eq!(all(&index, "tr.build").len(), 2000);
    // However many builds: one path for the columns, one for the values, one for those that do not pass, and few names.
    let chart = all(&index, "figure")[0];
    for class in ["span", "dots", "crosses", "mean"] {
        assert_eq!(inside(chart, &format!("path.{class}")).len(), 1, "{class}");
    }
    assert!(inside(chart, "title").len() <= 20);
    assert!(chart.html().len() < 15_000, "{} bytes", chart.html().len());
}

#[test]
fn a_chart_has_figures_on_its_axes_the_limit_and_the_names_of_its_builds() {
    let papers = Papers::new();
    for (number, gap) in [8, 9, 7, 20, 9, 1].into_iter().enumerate() {
        let name = format!("P-{number}");
        papers
            .put(&format!("builds/{name}.yaml"), record(&name, gap) + &format!("finished: 2026-05-0{}\n", number + 1));
    }
    assert_eq!(papers.run(&["report", "builds", "--to", "out"]).status, 1);
    let index = read(&papers, "out/index.html");
    let chart = all(&index, "figure").into_iter().find(|one| text(*one).starts_with("gap")).unwrap();
    let words: Vec<String> = inside(chart, "svg text").into_iter().map(text).collect();
    assert_eq!(words, ["0.0", "0.1", "0.2", "2026-05-01", "2026-05-06"]);
    let names: Vec<String> = inside(chart, "svg title").into_iter().map(text).collect();
    assert_eq!(names.len(), 6);
    assert_eq!(names[3], "P-3, 2026-05-04");
    // 0.20 mm is over the limit of 0.15 mm; the line of the limit lies between the figures of 0.10 and 0.20.
    let height = |text_of: &str| {
        let tick = inside(chart, "svg text").into_iter().find(|one| text(*one) == text_of).unwrap();
        tick.attr("y").unwrap().parse::<f64>().unwrap() - 3.5
    };
    let rule = inside(chart, "path.rule")[0].attr("d").unwrap();
    let at: f64 = rule.split(['M', ' ', 'H']).nth(2).unwrap().parse().unwrap();
    let between = (height("0.1") + height("0.2")) / 2.0;
    assert!((at - between).abs() < 0.2, "{rule}: {between}");
    assert_eq!(inside(chart, "path.crosses")[0].attr("d").unwrap().matches('M').count(), 1);
    // Gaps of 0.01 to 0.20 mm scatter so much that three deviations reach below nought, where no value is.
    let said = text(chart);
    assert!(said.contains("between 0 to") || said.contains("between 0.0"), "{said}");
    assert!(!said.contains("-0."), "{said}");
    let nought = height("0.0");
    for line in inside(chart, "path.deviation") {
        let at: f64 = line.attr("d").unwrap().split(['M', ' ', 'H']).nth(2).unwrap().parse().unwrap();
        assert!(at <= nought + 0.2, "{at} is below nought at {nought}");
    }
}

#[test]
fn twenty_charts_stand_on_the_page_and_every_one_on_the_page_of_its_generation() {
    let papers = tempfile::tempdir().unwrap();
    let out = papers.path().join("out");
    let run = super::run(&["report", "examples/kestrel/builds", "--to", out.to_str().unwrap()]);
    assert_eq!(run.0, 1, "{}", run.2);
    let page = |file: &str| Html::parse_document(&std::fs::read_to_string(out.join(file)).unwrap());
    let index = page("index.html");
    assert_eq!(all(&index, "figure").len(), 20);
    let links = all(&index, "section.charts li a");
    assert!(!links.is_empty());
    for link in links {
        let own = page(link.attr("href").unwrap().trim_start_matches("./"));
        assert_eq!(text(all(&own, "h1")[0]), text(link));
        let said = text(scraper::ElementRef::wrap(link.parent().unwrap()).unwrap());
        let count: usize = said.split(' ').nth_back(1).unwrap().parse().unwrap();
        assert_eq!(all(&own, "figure").len(), count, "{said}");
        assert!(count > 20);
    }
}

/// Two ports whose limits depend on what they are: together they have none, and none is drawn.
#[test]
fn positions_with_limits_of_their_own_are_charted_without_one() {
    for (other, drawn) in [("slim", 1), ("wide", 0)] {
        let papers = Papers::new();
        papers.put(
            "books/pump.rulebook",
            "rulebook \"Ports\" edition 2026-03-01
unit mm = 0.001 m
source sheet \"Invented bench sheet, 2026\"
choice kind = slim, wide
part pump {
    part port at inlet, outlet {
        made : kind
        bore : mm
    }
}
generation small \"an invented pump\" {
    port.bore limit at most 9.10 mm where made is slim { from sheet }
    port.bore limit at most 9.15 mm where made is wide { from sheet }
}
",
        );
        for number in 1..4 {
            let record = format!(
                "build: P-{number}\nfinished: 2026-05-0{number}\ngeneration: small\nport:\n  inlet: {{ made: slim, bore: 9.0{number} mm }}\n  outlet: {{ made: {other}, bore: 9.05 mm }}\n"
            );
            papers.put(&format!("builds/P-{number}.yaml"), record);
        }
        let ran = papers.run(&["report", "builds", "--to", "out"]);
        assert_eq!((ran.status, ran.err.as_str()), (0, ""));
        let index = read(&papers, "out/index.html");
        assert_eq!(all(&index, "figure path.rule").len(), drawn, "{other}");
    }
}
