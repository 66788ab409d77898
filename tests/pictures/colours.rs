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
