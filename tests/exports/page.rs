//! The book: complete, harmless, the same every time.

use std::collections::BTreeSet;

use sutler::exports::{BookFile, book};
use sutler::pictures::PICTURES;
use sutler::reports::of_a_plan;
use sutler::units::Units;

use crate::support::hostile;
use crate::support::race::{PLANS, Planned};

/// What a file holds that is not for a printer.
fn text(file: &BookFile) -> &str {
    std::str::from_utf8(&file.bytes).unwrap()
}

fn page(files: &[BookFile]) -> &str {
    assert_eq!(files[0].name, "index.html");
    text(&files[0])
}

#[test]
fn a_book_has_every_report_and_picture_and_links_them_all() {
    for plan in PLANS {
        let planned = Planned::shipped(plan);
        let files = book(&planned.view(Units::Metric), None, &mut |_| None);
        let names: BTreeSet<&str> = files.iter().map(|file| file.name.as_str()).collect();
        assert_eq!(names.len(), files.len(), "{plan}: names repeat");
        let reports = of_a_plan().map(|report| format!("{}.md", report.name));
        let pictures = PICTURES.iter().flat_map(|picture| {
            ["light", "dark"].map(|theme| format!("{}-{theme}.svg", picture.name))
        });
        let data = [
            "crew.html",
            "card.html",
            "crew-sheet.html",
            "bag-sheet.html",
            "race-book.html",
            "splits.csv",
            "plan.json",
            "crew.ics",
            "track.gpx",
        ]
        .map(str::to_owned);
        for wanted in reports.chain(pictures).chain(data) {
            assert!(names.contains(wanted.as_str()), "{plan}: no {wanted}");
            let link = format!("href=\"{wanted}\"");
            assert!(
                page(&files).contains(&link),
                "{plan}: {wanted} is not linked"
            );
        }
        let written = |file: &&BookFile| ![".pdf", ".png"].iter().any(|e| file.name.ends_with(e));
        for file in files.iter().filter(written) {
            assert!(
                !text(file).trim().is_empty() && file.bytes.ends_with(b"\n"),
                "{}",
                file.name
            );
        }
    }
}

#[test]
fn the_page_runs_and_fetches_nothing() {
    let planned = hostile::race(30, false);
    let files = book(&planned.view(Units::Metric), None, &mut |_| None);
    // what stands in the page as pictures is data, not markup
    let without_data: String = page(&files)
        .split('"')
        .filter(|part| !part.starts_with("data:image/svg+xml,"))
        .collect();
    for never in [
        "<script",
        "<img src=x",
        "http:",
        "https:",
        "onerror=\"",
        "@import",
        "<b>Race</b>",
        "\u{202e}",
    ] {
        assert!(!without_data.contains(never), "{never}");
    }
    assert!(without_data.contains("default-src 'none'"));
    assert!(without_data.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
    let data: Vec<&str> = page(&files)
        .split('"')
        .filter(|part| part.starts_with("data:"))
        .collect();
    // every picture by day and by night, and the poster
    assert_eq!(data.len(), 2 * PICTURES.len() + 1);
    for uri in data {
        let plain = uri
            .bytes()
            .all(|b| b.is_ascii_graphic() && !b"<>\"'#{}|\\^`".contains(&b));
        assert!(plain, "a byte that must be written in percent");
    }
    // every tag that is opened is closed, in order
    let mut open: Vec<String> = Vec::new();
    for tag in page(&files).split('<').skip(1) {
        let name: String = tag
            .chars()
            .take_while(|c| !c.is_whitespace() && *c != '>')
            .collect();
        match name.strip_prefix('/') {
            Some(closed) => assert_eq!(open.pop().as_deref(), Some(closed)),
            None if ["!DOCTYPE", "meta", "img", "source"].contains(&name.as_str()) => {}
            None => open.push(name),
        }
    }
    assert!(open.is_empty(), "{open:?}");
}

#[test]
fn the_page_can_be_heard() {
    let planned = Planned::shipped("demo-data/plan.toml");
    let files = book(&planned.view(Units::Metric), None, &mut |_| None);
    let page = page(&files);
    assert!(page.contains("<html lang=\"en\">") && page.contains("<h1>"));
    assert_eq!(
        page.matches("<img ").count(),
        page.matches(" alt=\"").count()
    );
    assert!(page.contains("alt=\"Course profile. Heights from "));
    assert_eq!(
        page.matches("<th ").count(),
        page.matches("scope=\"col\"").count()
    );
    for caution in &planned.plans[0].fueling.cautions {
        assert!(page.contains(caution.text), "{}", caution.text);
    }
}

#[test]
fn same_plan_same_book() {
    let make = || {
        book(
            &Planned::shipped("demo-data/plan.toml").view(Units::Imperial),
            None,
            &mut |_| None,
        )
    };
    assert!(make() == make());
}
