//! Pages for screen and printer: harmless, self-contained, complete, the same as the data.

mod in_browser;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};
use sutler::facts::{AlertFacts, Facts};
use sutler::pages::{CardSize, PAGES, Page, Sheet, Wishes, by_name};
use sutler::units::Units;

use crate::support::case::Case;
use crate::support::hostile;
use crate::support::race::{PLANS, Planned};

/// What stands between every pair of these.
fn between<'a>(text: &'a str, open: &str, close: &str) -> Vec<&'a str> {
    let parts = text.split(open).skip(1);
    parts
        .map(|part| part.split(close).next().unwrap())
        .collect()
}

/// The words of a page, without markup and styles.
pub fn words(html: &str) -> String {
    let body = html.split("<body>").nth(1).unwrap();
    let body = body.split("<script>").next().unwrap();
    let mut text = String::new();
    for part in body.split('<') {
        let (tag, rest) = part.split_once('>').unwrap_or(("", part));
        let inline = ["b", "/b", "bdi", "/bdi", "span", "small"];
        if !inline.contains(&tag.split(' ').next().unwrap()) {
            text.push(' ');
        }
        text += rest;
    }
    let text = text.replace("&lt;", "<").replace("&gt;", ">");
    let text = text.replace("&quot;", "\"").replace("&amp;", "&");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Every page in every form of a race, with what it is called.
fn every_page(planned: &Planned) -> Vec<(String, String)> {
    let facts = Facts::of(&planned.view(Units::Metric));
    let mut pages = Vec::new();
    for page in PAGES.iter().filter(|page| (page.has_use)(&facts)) {
        for size in [CardSize::Pocket, CardSize::Strip, CardSize::Wrist] {
            for sheet in [Sheet::A4, Sheet::Letter] {
                let wishes = Wishes {
                    size,
                    sheet,
                    ..Wishes::default()
                };
                pages.push((
                    format!("{} {size:?} {sheet:?}", page.name),
                    page.html(&facts, &wishes),
                ));
            }
            if page.name != "card" {
                break;
            }
        }
    }
    pages
}

fn card() -> &'static Page {
    by_name("card").unwrap()
}

#[test]
fn a_page_allows_its_own_styles_and_scripts_and_nothing_else() {
    let planned = Planned::shipped(PLANS[1]);
    let facts = Facts::of(&planned.view(Units::Metric));
    let own =
        "b { color: red }\r\n</style ><script>alert(1)</script>@import url(//x.invalid/a.css);";
    let wishes = Wishes {
        style: Some(own.to_owned()),
        ..Wishes::default()
    };
    for page in PAGES.iter().filter(|page| (page.has_use)(&facts)) {
        let html = page.html(&facts, &wishes);
        let policy = between(
            &html,
            "http-equiv=\"Content-Security-Policy\" content=\"",
            "\"",
        )[0];
        assert!(policy.starts_with("default-src 'none'; img-src data:; style-src 'sha256-"));
        assert!(!policy.contains("unsafe") && !policy.contains('*') && !policy.contains("http"));
        let body = html.split("<body>").nth(1).unwrap();
        let (styles, scripts) = (
            between(&html, "<style>", "</style"),
            between(body, "<script>", "</script"),
        );
        assert_eq!((styles.len(), scripts.len()), (3, 1), "{}", page.name);
        for inside in styles.iter().chain(&scripts) {
            let digest = STANDARD.encode(Sha256::digest(inside));
            assert!(
                policy.contains(&format!("'sha256-{digest}'")),
                "{}",
                page.name
            );
            assert!(
                !inside.contains('\r'),
                "browsers read line ends as one character"
            );
        }
        // an attribute would need an exception
        assert!(!html.contains(" style=\""), "{}", page.name);
        for never in ["src=", "url(http", "javascript:", " onload", " onclick"] {
            assert!(!html.contains(never), "{}: {never}", page.name);
        }
    }
}

#[test]
fn names_are_never_markup() {
    let planned = hostile::race(30, false);
    for (what, html) in every_page(&planned) {
        let body = html.split("<body>").nth(1).unwrap();
        assert_eq!(body.matches("<script>").count(), 1, "{what}");
        for never in ["<img", "<b>Race</b>", "<i>Ana", "\u{202e}", "<end>", "]]>"] {
            assert!(!body.contains(never), "{what}: {never}");
        }
        for name in between(body, "<bdi>", "</bdi>") {
            assert!(!name.contains('<'), "{what}: {name}");
        }
        let words = words(&html);
        for wanted in [
            "<b>Race</b> & \"Söhne\"",
            "محطة الماء",
            "水站水站",
            "1 </text></svg><img src=x",
        ] {
            assert!(words.contains(wanted), "{what}: {wanted}");
        }
    }
}

#[test]
fn a_page_has_every_station_and_the_arrivals_of_the_data() {
    for plan in PLANS {
        let planned = Planned::shipped(plan);
        let facts = Facts::of(&planned.view(Units::Metric));
        let data = facts.to_json("");
        let wrist = Wishes {
            size: CardSize::Wrist,
            ..Wishes::default()
        };
        for wishes in [Wishes::default(), wrist] {
            let html = card().html(&facts, &wishes);
            let pieces = between(&html, "<section class=\"piece\">", "</section>");
            let splits = data["splits"].as_array().unwrap();
            assert_eq!(pieces.len(), splits.len(), "{plan}");
            for (piece, split) in pieces.iter().zip(splits) {
                let told = words(&format!("<body>{piece}"));
                let arrival = split["arrival_text"].as_str().unwrap();
                let clock = arrival.rsplit(' ').next().unwrap();
                assert!(
                    told.contains(split["station"].as_str().unwrap()),
                    "{plan}: {told}"
                );
                assert!(told.contains(clock), "{plan}: {told} without {clock}");
                if let Some(cutoff) = split["cutoff_text"].as_str() {
                    let clock = cutoff.rsplit(' ').next().unwrap();
                    assert!(told.contains(clock), "{plan}: {told} without {clock}");
                }
            }
        }
        let sheet = by_name("crew-sheet")
            .unwrap()
            .html(&facts, &Wishes::default());
        let meetings = between(&sheet, "<section class=\"meeting\">", "</section>");
        let crew = data["crew"].as_array().unwrap();
        assert_eq!(meetings.len(), crew.len(), "{plan}");
        for (meeting, told) in crew.iter().zip(meetings) {
            let told = words(&format!("<body>{told}"));
            let is_unknown = !meeting["after"].is_null();
            assert_eq!(is_unknown, told.contains("drive unknown"), "{plan}: {told}");
            for key in ["be_there_text", "likely_text", "leaves_text"] {
                let clock = meeting[key].as_str().unwrap().rsplit(' ').next().unwrap();
                assert!(told.contains(clock), "{plan}: {told} without {clock}");
            }
        }
    }
}

#[test]
fn a_band_says_where_it_is_cold_and_what_is_for_later() {
    let wishes = Wishes {
        size: CardSize::Wrist,
        ..Wishes::default()
    };
    let (mut marked, mut kept) = (0, 0);
    for plan in PLANS {
        let planned = Planned::shipped(plan);
        let view = planned.view(Units::Metric);
        let facts = Facts::of(&view);
        let html = card().html(&facts, &wishes);
        let rows = between(&html, "<section class=\"piece\">", "</section>");
        for (station, row) in rows.iter().enumerate() {
            let told = words(&format!("<body>{row}"));
            let mut cold = view.plans[0].fueling.cold.iter();
            let is_cold =
                cold.any(|cold| !cold.is_mild() && cold.from <= station && station < cold.until);
            assert_eq!(told.contains("COLD"), is_cold, "{plan}: {told}");
            marked += usize::from(is_cold);
        }
        // the pocket card says how far, at every station of it
        let html = card().html(&facts, &Wishes::default());
        let pieces = between(&html, "<section class=\"piece\">", "</section>");
        for (piece, split) in pieces.iter().zip(&facts.planned().unwrap().splits) {
            let told = words(&format!("<body>{piece}")).to_lowercase();
            if let Some(until) = &split.cold_to {
                assert!(told.contains(&format!("cold to {until}")), "{plan}: {told}");
            }
        }
        let planned = facts.planned().unwrap();
        for pickup in planned
            .pickups
            .iter()
            .skip(1)
            .filter(|one| !one.for_later.is_empty())
        {
            let at = facts.station_at(&pickup.number).unwrap();
            let told = words(&format!("<body>{}", rows[at]));
            let (_, later) = told.split_once(" Later ").unwrap();
            for serving in &pickup.for_later {
                assert!(
                    later.contains(serving.food.trim_end_matches('s')),
                    "{plan}: {told}"
                );
                kept += 1;
            }
        }
    }
    assert!(marked > 0 && kept > 0);
}

#[test]
fn clothes_go_along_into_cold_that_the_crew_does_not_see() {
    let planned = Planned::shipped("demo-data/plan-100k.toml");
    let view = planned.view(Units::Metric);
    let facts = Facts::of(&view);
    let plan = &view.plans[0];
    let met: Vec<usize> = plan.crew.meetings.iter().map(|met| met.station).collect();
    let mut ahead = 0;
    for cold in &plan.fueling.cold {
        let Some(last) = met.iter().rposition(|station| *station <= cold.from) else {
            continue;
        };
        let of = &facts.planned().unwrap().crew[last];
        let pickup = facts.planned().unwrap().pickup_at(&of.number).unwrap();
        let dressed = pickup.alerts.iter().any(AlertFacts::is_cold);
        assert!(dressed || !of.dress_ahead.is_empty(), "{}", of.station);
        ahead += of.dress_ahead.len();
    }
    assert!(ahead > 0);
}

#[test]
fn cold_before_the_first_meeting_is_on_the_crews_sheet() {
    let planned = Planned::shipped("demo-data/plan-100k.toml");
    let facts = planned.facts(Units::Metric);
    let plan = facts.planned().unwrap();
    let sheet = by_name("crew-sheet").unwrap();
    let told = words(&sheet.html(&facts, &Wishes::default()));
    let first = planned.plans[0].crew.meetings[0].station;
    let cold = planned.plans[0].fueling.cold.iter();
    let before = cold.filter(|cold| cold.from < first).count();
    assert_eq!(plan.cold_before_crew().count(), before);
    assert!(before > 0);
    for (pickup, alert) in plan.cold_before_crew() {
        let wanted = format!("from {} {}", pickup.number, alert.told());
        assert!(told.contains(&wanted), "{wanted}\n{told}");
    }
    assert!(told.contains("Clothes: by the forecast at the planned hours"));
}

#[test]
fn every_page_opens_with_the_verdict() {
    for plan in PLANS {
        let planned = Planned::shipped(plan);
        let facts = Facts::of(&planned.view(Units::Metric));
        let first = &facts.planned().unwrap().verdict.lines[0];
        for (what, html) in every_page(&planned) {
            let told = words(&html);
            let at = told
                .find(first.as_str())
                .unwrap_or_else(|| panic!("{plan} {what}: {told}"));
            assert!(at < 300, "{plan} {what}: after {at} bytes");
        }
    }
}

#[test]
fn marks_are_explained_only_where_they_occur() {
    let planned = Planned::shipped(PLANS[1]);
    let facts = Facts::of(&planned.view(Units::Metric));
    let told = words(&card().html(&facts, &Wishes::default()));
    // the 50 km are a summer's day with a crew, without bags, pacers and dry stations
    assert!(told.contains("C crew"));
    for never in ["drop bag", "pacer", "no water", "dark"] {
        assert!(!told.contains(never), "{never}");
    }
}

#[test]
fn paper_knows_no_files() {
    for plan in PLANS {
        for (what, html) in every_page(&Planned::shipped(plan)) {
            let told = words(&html);
            for never in ["`", "[[", ".toml", ".csv", "tests/"] {
                assert!(!told.contains(never), "{plan} {what}: {never}");
            }
        }
    }
}

#[test]
fn a_page_needs_no_browser_and_a_pdf_says_what_it_needs() {
    let case = Case::new()
        .copied("demo-data")
        .copied("courses/velprek-50k");
    let demo = "demo-data/plan-50k.toml";
    let printed = case.run(&["card", demo]).exits(0).out;
    case.run(&["card", demo, "-o", "card.html"])
        .exits(0)
        .quietly();
    assert_eq!(case.text("card.html"), printed);
    let before = case.listing();
    for file in ["card.pdf", "card.png"] {
        let outcome = case.run(&["card", demo, "-o", file]).exits(2);
        assert!(
            outcome
                .err
                .contains("SUTLER_BROWSER names `no-browser-in-tests`"),
            "{}",
            outcome.err
        );
    }
    let outcome = case.run(&["card", demo, "-o", "card.txt"]).exits(2);
    assert!(
        outcome.err.contains("end it with .html, .pdf or .png"),
        "{}",
        outcome.err
    );
    assert_eq!(case.listing(), before);
}

#[test]
#[cfg(unix)]
fn a_browser_that_makes_nothing_leaves_nothing() {
    use std::os::unix::fs::PermissionsExt;
    let case = Case::new()
        .copied("demo-data")
        .copied("courses/velprek-50k");
    let case = case.file("browser", "#!/bin/sh\necho 'no display' >&2\nexit 1\n");
    let browser = case.path("browser");
    std::fs::set_permissions(&browser, std::fs::Permissions::from_mode(0o755)).unwrap();
    let before = case.listing();
    let mut command = case.command(&["card", "demo-data/plan-50k.toml", "-o", "card.pdf"]);
    let output = command.env("SUTLER_BROWSER", &browser).output().unwrap();
    let err = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2), "{err}");
    assert!(err.contains("nothing was written (no display)"), "{err}");
    assert!(err.contains("-o NAME.html"), "{err}");
    assert_eq!(case.listing(), before);
}
