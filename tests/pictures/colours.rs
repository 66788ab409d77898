//! Contrast of words (WCAG 2.2, success criterion 1.4.3: at least 4.5 to 1).

use super::svg::Svg;
use super::{pictures, races};

/// The least contrast that criterion 1.4.3 asks of ordinary words.
const LEAST: f64 = 4.5;

/// Relative luminance of `#rrggbb` (WCAG 2.2, definitions).
fn luminance(colour: &str) -> f64 {
    let channel = |at: usize| {
        let value = f64::from(u8::from_str_radix(&colour[at..at + 2], 16).unwrap()) / 255.0;
        if value <= 0.04045 {
            value / 12.92
        } else {
            ((value + 0.055) / 1.055).powf(2.4)
        }
    };
    0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
}

fn contrast(a: &str, b: &str) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn contrast_is_reckoned_as_published() {
    // black on white is 21 to 1 by the definition; #767676 on white is the usual limit of 4.54
    assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
    assert!((contrast("#767676", "#ffffff") - 4.54).abs() < 0.01);
}

#[test]
fn words_can_be_read_on_their_paper() {
    for (race, planned) in &races()[..3] {
        for (name, text) in pictures(planned) {
            let svg = Svg::read(&text);
            let paper = svg.elements.iter().find(|e| e.name == "rect").unwrap();
            let paper = paper.get("fill").unwrap();
            for text in svg.texts() {
                let ink = text.get("fill").unwrap();
                assert!(
                    contrast(ink, paper) >= LEAST,
                    "{race}, {name}: `{}` in {ink} on {paper}",
                    text.text
                );
            }
        }
    }
}

/// How dichromats see a colour of linear light: rows of the matrices for a severity of 1.0 by
/// Machado, Oliveira, Fernandes (2009), IEEE TVCG 15:1291, table of the supplement; from memory.
const SIGHTS: [(&str, [[f64; 3]; 3]); 3] = [
    (
        "protanopia",
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ],
    ),
    (
        "deuteranopia",
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ],
    ),
    (
        "tritanopia",
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ],
    ),
];

/// Differences in CIELAB (CIE 1976) from which two lines on one picture are told apart at a glance;
/// 2.3 is just noticeable side by side (Mahy and others 1994; from memory).
const APART: f64 = 12.0;

fn linear(colour: &str) -> [f64; 3] {
    [1, 3, 5].map(|at| {
        let value = f64::from(u8::from_str_radix(&colour[at..at + 2], 16).unwrap()) / 255.0;
        if value <= 0.04045 {
            value / 12.92
        } else {
            ((value + 0.055) / 1.055).powf(2.4)
        }
    })
}

fn seen([r, g, b]: [f64; 3], sight: &[[f64; 3]; 3]) -> [f64; 3] {
    sight.map(|row| (row[0] * r + row[1] * g + row[2] * b).clamp(0.0, 1.0))
}

/// CIELAB of linear sRGB under D65 (IEC 61966-2-1, CIE 15).
fn lab([r, g, b]: [f64; 3]) -> [f64; 3] {
    let x = (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.95047;
    let y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    let z = (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.08883;
    let f = |t: f64| {
        if t > 216.0 / 24389.0 {
            t.cbrt()
        } else {
            (24389.0 / 27.0 * t + 16.0) / 116.0
        }
    };
    [
        116.0 * f(y) - 16.0,
        500.0 * (f(x) - f(y)),
        200.0 * (f(y) - f(z)),
    ]
}

fn apart(a: [f64; 3], b: [f64; 3]) -> f64 {
    let (a, b) = (lab(a), lab(b));
    (0..3).map(|i| (a[i] - b[i]).powi(2)).sum::<f64>().sqrt()
}

/// What colours mean, by the class of what has them, and where they are looked up.
const MEANINGS: [(&str, &[&str], &str); 4] = [
    ("night", &["night"], "fill"),
    ("the plan's window", &["window"], "fill"),
    ("cutoffs", &["limit"], "stroke"),
    ("the crew on the road", &["drive"], "stroke"),
];

/// The colour of every meaning in one theme, over all pictures of the longest demo.
fn meant(theme: &str) -> Vec<(&'static str, String)> {
    let drawn = pictures(&races()[0].1);
    let themed = drawn.iter().filter(|(name, _)| {
        name.contains(theme) && name.ends_with("Metric") && !name.starts_with("long runs")
    });
    let svgs: Vec<Svg> = themed.map(|(_, text)| Svg::read(text)).collect();
    let colours = MEANINGS.map(|(meaning, classes, key)| {
        let found = svgs.iter().flat_map(|svg| {
            let of = classes.iter().flat_map(|class| svg.of_class(class));
            of.filter_map(|element| element.get(key))
        });
        let mut found: Vec<&str> = found.collect();
        found.sort_unstable();
        found.dedup();
        assert_eq!(found.len(), 1, "{meaning} in {theme}: {found:?}");
        (meaning, found[0].to_owned())
    });
    colours.into()
}

#[test]
fn the_simulation_keeps_greys_and_confuses_what_it_should() {
    for (sight, rows) in SIGHTS {
        for row in rows {
            assert!((row.iter().sum::<f64>() - 1.0).abs() < 1e-4, "{sight}");
        }
    }
    // red and green of the same lightness are far apart, and near to those who lack a cone
    let (red, green) = (linear("#b86a50"), linear("#6f8c3c"));
    let plain = apart(red, green);
    let confused = apart(seen(red, &SIGHTS[1].1), seen(green, &SIGHTS[1].1));
    assert!(plain > 2.5 * confused, "{plain} {confused}");
    // white is at the top of the scale
    assert!((lab(linear("#ffffff"))[0] - 100.0).abs() < 0.1);
}

/// How a meaning is drawn apart from its colour: as an area, or as a line with its dashes.
fn drawn_as(theme: &str, classes: &[&str], key: &str) -> Vec<String> {
    let drawn = pictures(&races()[0].1);
    let themed = drawn
        .iter()
        .filter(|(name, _)| name.contains(theme) && name.ends_with("Metric"));
    let mut forms: Vec<String> = themed
        .flat_map(|(_, text)| {
            let svg = Svg::read(text);
            let of = classes.iter().flat_map(|class| svg.of_class(class));
            let of = of.filter(|one| one.get(key).is_some());
            let form = of.map(|one| match key {
                "fill" => "area".to_owned(),
                _ => format!("line {}", one.get("stroke-dasharray").unwrap_or("whole")),
            });
            form.collect::<Vec<_>>()
        })
        .collect();
    forms.sort();
    forms.dedup();
    forms
}

/// Lightness alone: CIE L* of the luminance, as a printer without colours has it.
fn grey(colour: &str) -> f64 {
    lab(linear(colour))[0]
}

#[test]
fn a_printer_without_colours_tells_meanings_apart() {
    for theme in ["light", "dark"] {
        let meant = meant(theme);
        for (index, (one, colour)) in meant.iter().enumerate() {
            for (other_at, (other, second)) in meant[..index].iter().enumerate() {
                let form = |at: usize| drawn_as(theme, MEANINGS[at].1, MEANINGS[at].2);
                let shared = form(index)
                    .iter()
                    .any(|form_of| form(other_at).contains(form_of));
                let far = (grey(colour) - grey(second)).abs();
                assert!(
                    !shared || far > APART,
                    "{theme}: {one} and {other} are drawn alike, {far:.1} apart in grey"
                );
            }
        }
    }
}

#[test]
fn one_colour_has_one_meaning_and_is_told_apart_by_everybody() {
    for theme in ["light", "dark"] {
        let meant = meant(theme);
        for (index, (one, colour)) in meant.iter().enumerate() {
            for (other, second) in &meant[..index] {
                let pair = (linear(colour), linear(second));
                let plain = apart(pair.0, pair.1);
                assert!(plain > APART, "{theme}: {one} and {other}: {plain:.1}");
                for (sight, rows) in &SIGHTS {
                    let far = apart(seen(pair.0, rows), seen(pair.1, rows));
                    assert!(far > APART, "{theme}, {sight}: {one} and {other}: {far:.1}");
                }
            }
        }
    }
}

/// The least contrast of what is to be made out beside its ground (WCAG 2.2, criterion 1.4.11).
const LEAST_OF_LINES: f64 = 3.0;

#[test]
fn the_way_is_shaded_by_the_planned_hour() {
    for (race, planned) in &races()[..3] {
        let drawn = pictures(planned);
        for theme in ["light", "dark"] {
            let name = format!("map {theme} Metric");
            let map = drawn.iter().find(|(of, _)| *of == name).unwrap();
            let svg = Svg::read(&map.1);
            let paper = svg.elements.iter().find(|e| e.name == "rect").unwrap();
            let paper = paper.get("fill").unwrap();
            let mut shades: Vec<&str> = Vec::new();
            for stretch in svg.of_class("way") {
                let shade = stretch.get("stroke").unwrap();
                if !shades.contains(&shade) {
                    shades.push(shade);
                }
            }
            assert!((3..=5).contains(&shades.len()), "{race}, {theme}");
            for shade in &shades {
                let far = contrast(shade, paper);
                assert!(far >= LEAST_OF_LINES, "{race}, {theme}: {shade} {far:.2}");
            }
            // later is further from the paper, to everybody and in grey
            for two in shades.windows(2) {
                let step = (grey(two[1]) - grey(paper)).abs() - (grey(two[0]) - grey(paper)).abs();
                assert!(step > APART, "{race}, {theme}: {two:?} {step:.1}");
                for (sight, rows) in &SIGHTS {
                    let seen = |colour| seen(linear(colour), rows);
                    let far = apart(seen(two[0]), seen(two[1]));
                    assert!(far > APART, "{race}, {theme}, {sight}: {two:?} {far:.1}");
                }
            }
        }
    }
}

/// The value of every `--name: #rrggbb` in a stretch of a stylesheet.
fn values(css: &str) -> Vec<(String, String)> {
    let declared = css
        .split(['{', ';', '}'])
        .filter_map(|part| part.split_once(':'));
    let colours = declared
        .filter(|(name, value)| name.trim().starts_with("--") && value.trim().starts_with('#'));
    let long = |value: &str| match value.trim() {
        short if short.len() == 4 => short.chars().flat_map(|c| [c; 2]).skip(1).collect(),
        long => long.to_owned(),
    };
    colours
        .map(|(name, value)| (name.trim().to_owned(), long(value)))
        .collect()
}

#[test]
fn words_can_be_read_on_pages_and_desk_by_day_and_by_night_and_in_grey() {
    let read = |path: &str| {
        let root = env!("CARGO_MANIFEST_DIR");
        std::fs::read_to_string(format!("{root}/src/{path}")).unwrap()
    };
    let day: std::collections::BTreeMap<_, _> =
        values(&read("pages/palette.css")).into_iter().collect();
    let mut night = day.clone();
    night.extend(values(&read("pages/night.css")));
    for (time, colours) in [("day", &day), ("night", &night)] {
        for ink in ["--ink", "--faint", "--link", "--good", "--warn", "--bad"] {
            for paper in ["--paper", "--wash", "--night"] {
                let far = contrast(&colours[ink], &colours[paper]);
                assert!(far >= LEAST, "by {time}: {ink} on {paper}: {far:.2}");
            }
        }
        // greys that fill are told from the paper without colour
        let far = (grey(&colours["--night"]) - grey(&colours["--paper"])).abs();
        assert!(far > 3.0, "by {time}: the night is {far:.1} from the paper");
    }
}
