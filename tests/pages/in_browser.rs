//! Pages in a browser: what stands on each sheet fits, is read and is of true size.

use serde_json::{Value, json};

use super::every_page;
use crate::support::browser::Browser;
use crate::support::case::Case;
use crate::support::hostile;
use crate::support::race::{PLANS, Planned};

/// Everything that is wrong on the sheets of a page, in words.
const MEASURE: &str = r#"(() => {
  const faults = [];
  const sheets = [...document.querySelectorAll("main > .sheet")];
  const isClipped = node => node.closest(".clamp, .front .name");
  for (const [index, sheet] of sheets.entries()) {
    const say = words => faults.push(`sheet ${index + 1}: ${words}`);
    const found = [];
    const walk = document.createTreeWalker(sheet, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
      const node = walk.currentNode, own = node.parentElement;
      const text = node.textContent.trim();
      if (!text || own.closest("title, desc")) continue;
      const svg = own.closest("svg");
      const scale = svg ? Math.hypot(own.getScreenCTM().a, own.getScreenCTM().b) : 1;
      const size = parseFloat(getComputedStyle(own).fontSize) * scale;
      if (size < (svg ? LEAST_IN_PICTURES : 10) - .05) say(`"${text.slice(0, 30).toWellFormed()}" is ${(size * .75).toFixed(2)} pt`);
      const range = document.createRange();
      range.selectNodeContents(node);
      const box = (own.closest(".panel, .label > div, .box, td, th") ?? sheet).getBoundingClientRect();
      for (const r of range.getClientRects()) {
        if (r.width < 1 || isClipped(own)) continue;
        const edge = sheet.getBoundingClientRect();
        if (r.left < edge.left - 1 || r.right > edge.right + 1) say(`"${text.slice(0, 30).toWellFormed()}" leaves the sheet`);
        const out = r.left < box.left - 1 || r.right > box.right + 1 || r.top < box.top - 1 || r.bottom > box.bottom + 1;
        if (out) say(`"${text.slice(0, 30).toWellFormed()}" leaves its box`);
        // letters fill the middle of their line
        const inset = r.height * .22;
        if (!svg) found.push({ node, text, left: r.left, right: r.right, top: r.top + inset, bottom: r.bottom - inset });
      }
    }
    if (!found.length && !sheet.querySelector("svg text")) say("is empty");
    found.forEach((a, i) => found.slice(i + 1).forEach(b => {
      if (a.node !== b.node && a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 1 && b.top < a.bottom - 1)
        say(`"${a.text.slice(0, 30).toWellFormed()}" lies over "${b.text.slice(0, 30).toWellFormed()}"`);
    }));
    for (const body of sheet.querySelectorAll(".body, .room"))
      if (body.scrollHeight > body.clientHeight + 1) say(`${body.className} overflows by ${body.scrollHeight - body.clientHeight} px`);
  }
  return { sheets: sheets.length, faults };
})()"#;

/// Opens every page of a race and says what is wrong; returns how many sheets each has.
///
/// Words are 7.5 pt, 10 pixels, or more; in pictures so many pixels.
fn measured(
    browser: &mut Browser,
    what: &str,
    planned: &Planned,
    least_in_pictures: f64,
) -> Vec<(String, u64)> {
    let measure = MEASURE.replace("LEAST_IN_PICTURES", &least_in_pictures.to_string());
    let folder = tempfile::tempdir().unwrap();
    let mut counts = Vec::new();
    for (name, html) in every_page(planned) {
        let path = folder.path().join("page.html");
        std::fs::write(&path, html).unwrap();
        browser.open(&path);
        let told = browser.value(&measure);
        let faults = told["faults"].as_array().unwrap();
        let first: Vec<&Value> = faults.iter().take(8).collect();
        assert!(
            faults.is_empty(),
            "{what}, {name}: {} faults: {first:#?}",
            faults.len()
        );
        counts.push((name, told["sheets"].as_u64().unwrap()));
    }
    assert!(browser.errors.is_empty(), "{what}: {:?}", browser.errors);
    let foreign = browser
        .requests
        .iter()
        .filter(|url| !url.starts_with("file:") && !url.starts_with("data:"));
    assert_eq!(foreign.count(), 0, "{what}");
    counts
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn what_stands_on_a_sheet_fits_and_can_be_read() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    for plan in PLANS {
        for (name, sheets) in measured(&mut browser, plan, &Planned::shipped(plan), 10.0) {
            let most = match name.split(' ').next().unwrap() {
                "card" if name.contains("Wrist") => 1,
                "card" => 2,
                "crew-sheet" => 3,
                "race-book" => 18,
                _ => 4,
            };
            assert!(
                (1..=most).contains(&sheets),
                "{plan}, {name}: {sheets} sheets"
            );
        }
    }
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn strangers_names_stay_in_their_boxes() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    for bunched in [false, true] {
        // thirty numbers side by side make its pictures wider, and so their words smaller
        measured(&mut browser, "hostile", &hostile::race(30, bunched), 7.0);
    }
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn what_is_cut_out_has_its_true_size() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let planned = Planned::shipped(PLANS[1]);
    let folder = tempfile::tempdir().unwrap();
    for (name, html) in every_page(&planned)
        .iter()
        .filter(|page| page.0.starts_with("card"))
    {
        let path = folder.path().join("page.html");
        std::fs::write(&path, html).unwrap();
        browser.open(&path);
        browser.ask("Emulation.setEmulatedMedia", &json!({ "media": "print" }));
        let size = browser.value(
            "(s => { const r = document.querySelector(s).getBoundingClientRect(); return [r.width, r.height]; })('.panel')",
        );
        let scale = browser.value("document.querySelector('.scale').getBoundingClientRect().width");
        // the sizes that help states; a CSS inch is 96 pixels (CSS Values 4, section 6.2)
        let wanted = match name.split(' ').nth(1).unwrap() {
            "Pocket" => [74.0, 132.0],
            "Strip" => [65.0, 132.0],
            _ => [56.0, 230.0],
        };
        let mm = |value: &Value| value.as_f64().unwrap() / 96.0 * 25.4;
        for (told, wanted) in [
            (&size[0], wanted[0]),
            (&size[1], wanted[1]),
            (&scale, 100.0),
        ] {
            assert!(
                (mm(told) - wanted).abs() < 0.2,
                "{name}: {} mm for {wanted}",
                mm(told)
            );
        }
        let pdf = browser.ask(
            "Page.printToPDF",
            &json!({ "preferCSSPageSize": true, "printBackground": true }),
        );
        let (wide, high) = if name.contains("A4") {
            (595.28, 841.89)
        } else {
            (612.0, 792.0)
        };
        use base64::Engine;
        let read = base64::engine::general_purpose::STANDARD;
        for page in boxes(&read.decode(pdf["data"].as_str().unwrap()).unwrap()) {
            assert!(
                (page[2] - wide).abs() < 0.6 && (page[3] - high).abs() < 0.6,
                "{name}: {page:?}"
            );
        }
        browser.ask("Emulation.setEmulatedMedia", &json!({ "media": "" }));
    }
}

/// The sheet of every page of a PDF, points (ISO 32000-1, 7.7.3.3: MediaBox).
fn boxes(pdf: &[u8]) -> Vec<Vec<f64>> {
    let text = String::from_utf8_lossy(pdf).into_owned();
    let boxes: Vec<Vec<f64>> = super::between(&text, "/MediaBox [", "]")
        .iter()
        .map(|four| {
            four.split_whitespace()
                .map(|n| n.parse().unwrap())
                .collect()
        })
        .collect();
    assert!(!boxes.is_empty());
    boxes
}

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn the_command_prints_through_it() {
    let case = Case::new()
        .copied("demo-data")
        .copied("courses/velprek-50k");
    let run = |args: &[&str]| {
        let mut command = case.command(args);
        command.env(
            "SUTLER_BROWSER",
            std::env::var_os("SUTLER_BROWSER").unwrap(),
        );
        command.output().unwrap()
    };
    let demo = "demo-data/plan-50k.toml";
    assert!(run(&["card", demo, "-o", "card.pdf"]).status.success());
    assert!(
        std::fs::read(case.path("card.pdf"))
            .unwrap()
            .starts_with(b"%PDF-")
    );
    assert!(
        run(&[
            "card", demo, "-o", "card.png", "--sheet", "2", "--paper", "letter"
        ])
        .status
        .success()
    );
    let png = std::fs::read(case.path("card.png")).unwrap();
    // PNG, 11.2.1: width and height in IHDR; 8.5 in by 11 in at 192 dots to the inch
    assert_eq!(
        png[16..24],
        [1632_u32.to_be_bytes(), 2112_u32.to_be_bytes()].concat()
    );
    let beyond = run(&["card", demo, "-o", "none.png", "--sheet", "9"]);
    assert_eq!(beyond.status.code(), Some(2));
    assert!(
        String::from_utf8_lossy(&beyond.stderr).contains("there is no sheet 9: this page has 2")
    );
    assert!(!case.path("none.png").exists());
    // a picture of a sheet is that sheet of the PDF, of as many
    for page in ["race-book", "crew-sheet"] {
        let pdf = format!("{page}.pdf");
        assert!(run(&[page, demo, "-o", &pdf]).status.success());
        let sheets = boxes(&std::fs::read(case.path(&pdf)).unwrap()).len();
        let beyond = run(&[page, demo, "-o", "none.png", "--sheet", "99"]);
        let said = String::from_utf8_lossy(&beyond.stderr).into_owned();
        assert!(
            said.contains(&format!("this page has {sheets}\n")),
            "{page}: {sheets}, {said}"
        );
    }
}

/// How full each sheet of a page is, from 0 to 1.
const FULL: &str = r#"[...document.querySelectorAll("main > .sheet .body")].map(body => {
  const [own, last] = [body, body.lastElementChild].map(part => part.getBoundingClientRect());
  return (last.bottom - own.top) / own.height;
})"#;

#[test]
#[ignore = "needs a Chromium: set SUTLER_BROWSER"]
fn the_crews_sheets_are_filled() {
    let mut browser = Browser::start().expect("SUTLER_BROWSER names a browser");
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("page.html");
    for plan in &PLANS[..3] {
        let pages = every_page(&Planned::shipped(plan));
        for (name, html) in pages.iter().filter(|page| page.0.starts_with("crew-sheet")) {
            std::fs::write(&path, html).unwrap();
            browser.open(&path);
            let full = browser.value(FULL);
            let full: Vec<f64> = serde_json::from_value(full).unwrap();
            let mean = full.iter().sum::<f64>() / full.len() as f64;
            assert!(full.len() <= 2 && mean > 0.8, "{plan}, {name}: {full:?}");
        }
    }
}
