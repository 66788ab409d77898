//! `sutler card`, `sutler crew-sheet`, `sutler bag-sheet` and `sutler race-book`.

use crate::support::case::Case;

fn demo() -> Case {
    Case::new()
        .copied("demo-data")
        .copied("courses/velprek-50k")
}

const PLAN: &str = "demo-data/plan-50k.toml";

#[test]
fn a_card_is_written_as_its_name_says() {
    let case = demo();
    for (name, start) in [
        ("card.pdf", &b"%PDF"[..]),
        ("card.PNG", &b"\x89PNG"[..]),
        ("card.svg", &b"<svg"[..]),
    ] {
        case.run(&["card", PLAN, "-o", name]).exits(0).quietly();
        let bytes = std::fs::read(case.path(name)).unwrap();
        assert!(bytes.starts_with(start), "{name}");
    }
    for (verb, name) in [("bag-sheet", "bags.pdf"), ("race-book", "book.pdf")] {
        case.run(&[verb, PLAN, "-o", name]).exits(0).quietly();
        assert!(case.path(name).exists());
    }
    case.run(&["card", PLAN, "-o", "card.pdf"])
        .exits(2)
        .says("is there already");
    case.run(&["card", PLAN, "-o", "card.txt"])
        .exits(2)
        .says("end it with .pdf, .png or .svg");
    case.run(&["card", PLAN, "-o", "ninth.png", "--page", "9"])
        .exits(2)
        .says("there is no page 9");
    assert!(!case.path("ninth.png").exists());
}

#[test]
fn a_template_of_ones_own_gets_the_data_that_is_printed() {
    let own = "#let data = json(\"/data.json\")\n#data.course, #data.stations.len()";
    let case = demo()
        .file("own.typ", own)
        .file("bad.typ", "#let data =\n#oops");
    let outcome = case.run(&["card", PLAN, "--data"]).exits(0);
    let data: serde_json::Value = serde_json::from_str(&outcome.out).unwrap();
    assert_eq!(data["course"], "Velprek Hill Laps");
    case.run(&["card", PLAN, "--template", "own.typ", "-o", "own.svg"])
        .exits(0);
    case.run(&["crew-sheet", PLAN, "--template", "bad.typ", "-o", "bad.pdf"])
        .exits(2)
        .says("bad.typ:");
    case.run(&["card", PLAN, "--template", "none.typ", "-o", "none.pdf"])
        .exits(2)
        .says("it is not there");
    let picture = "#image(\"/profile.svg\")#image(\"/skyline.svg\")";
    let case = case.file("picture.typ", picture);
    for (verb, code) in [("race-book", 0), ("card", 2)] {
        let args = [verb, PLAN, "--template", "picture.typ", "-o", "picture.svg"];
        case.run(&args).exits(code);
    }
    assert!(!case.path("bad.pdf").exists() && !case.path("none.pdf").exists());
}
