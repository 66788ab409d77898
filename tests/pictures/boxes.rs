//! No words over others, none outside the picture.

use unicode_width::UnicodeWidthChar;

use super::svg::{Element, Svg};
use super::{pictures, races};

/// Where words or a frame lie.
#[derive(Clone)]
struct Bounds {
    what: String,
    left: f64,
    right: f64,
    top: f64,
    foot: f64,
}

/// How wide a character is, in ems: rounded up from common wide sans serif faces (from memory),
/// without looking at what the pictures themselves reckon with.
fn em(c: char) -> f64 {
    match c {
        ' ' | '\'' | 'i' | 'j' | 'l' | 'I' | '.' | ',' | ':' | ';' | '|' | 'J' => 0.34,
        'f' | 't' | 'r' | '(' | ')' | '[' | ']' | '!' | '·' | '¹' | '²' | '-' | '/' | '\\' => {
            0.42
        }
        'm' | 'M' | 'W' | '%' | '@' | '…' => 1.0,
        'w' | '+' | '<' | '>' | '=' | '#' | '&' | 'Q' | 'O' | 'G' => 0.84,
        c if c.is_ascii_uppercase() => 0.76,
        c if c.is_ascii() => 0.64,
        '–' => 0.5,
        c => match c.width() {
            Some(0) | None => 0.0,
            Some(1) => 0.7,
            _ => 1.3,
        },
    }
}

fn of_text(text: &Element) -> Bounds {
    let size = text.num("font-size");
    let bold = if text.get("font-weight").is_some() {
        1.1
    } else {
        1.0
    };
    let wide: f64 = text.text.chars().map(em).sum::<f64>() * size * bold;
    let (x, y) = (text.num("x"), text.num("y"));
    if text
        .get("transform")
        .is_some_and(|turn| turn.starts_with("rotate(-90 "))
    {
        // around its own start, upwards
        return Bounds {
            what: text.text.clone(),
            left: x - 0.76 * size,
            right: x + 0.22 * size,
            top: y - wide,
            foot: y,
        };
    }
    let left = match text.get("text-anchor") {
        Some("middle") => x - wide / 2.0,
        Some("end") => x - wide,
        _ => x,
    };
    Bounds {
        what: text.text.clone(),
        left,
        right: left + wide,
        top: y - 0.76 * size,
        foot: y + 0.22 * size,
    }
}

fn of_frame(frame: &Element) -> Bounds {
    let (x, y) = (frame.num("x"), frame.num("y"));
    Bounds {
        what: format!("the frame at {x} {y}"),
        left: x,
        right: x + frame.num("width"),
        top: y,
        foot: y + frame.num("height"),
    }
}

/// Diamonds, the marks that stand for something themselves.
fn marks(svg: &Svg) -> impl Iterator<Item = Bounds> {
    let straight = |e: &&Element| {
        let path = e.get("d").unwrap_or_default();
        e.name == "path" && path.ends_with('Z') && !path.contains(['A', 'C', 'Q', 'H', 'V'])
    };
    let paths = svg.elements.iter().filter(straight).map(Element::points);
    paths
        .filter(|points| {
            points.len() == 4 && points[0].0 == points[2].0 && points[1].1 == points[3].1
        })
        .map(|points| Bounds {
            what: format!("the mark at {:?}", points[0]),
            left: points[3].0,
            right: points[1].0,
            top: points[0].1,
            foot: points[2].1,
        })
}

impl Bounds {
    fn told(&self) -> String {
        let Bounds {
            what,
            left,
            right,
            top,
            foot,
        } = self;
        format!("`{what}` ({left:.1} to {right:.1}, {top:.1} to {foot:.1})")
    }

    fn over(&self, other: &Bounds) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.foot
            && other.top < self.foot
    }
}

/// Whatever lies over something else, or outside.
fn faults(svg: &Svg) -> Vec<String> {
    let mut faults = Vec::new();
    let (wide, high) = (svg.elements[0].num("width"), svg.elements[0].num("height"));
    let texts: Vec<Bounds> = svg.texts().map(of_text).collect();
    let frames = svg.elements.iter().filter(|e| e.get("rx").is_some());
    let frames: Vec<Bounds> = frames.map(of_frame).collect();
    for own in texts.iter().chain(&frames) {
        if own.left < 0.0 || own.right > wide || own.top < 0.0 || own.foot > high {
            faults.push(format!("{} leaves {wide} by {high}", own.told()));
        }
    }
    for (index, own) in texts.iter().enumerate() {
        for other in texts[..index].iter().filter(|other| own.over(other)) {
            faults.push(format!("{} over {}", own.told(), other.told()));
        }
        for frame in frames.iter().filter(|frame| own.over(frame)) {
            // a number stands inside its own frame
            let inside = own.left >= frame.left && own.right <= frame.right;
            if !inside {
                faults.push(format!("{} over {}", own.told(), frame.told()));
            }
        }
    }
    for mark in marks(svg) {
        for text in texts.iter().filter(|text| text.over(&mark)) {
            faults.push(format!("{} over {}", mark.told(), text.told()));
        }
    }
    for (index, own) in frames.iter().enumerate() {
        for other in frames[..index].iter().filter(|other| own.over(other)) {
            faults.push(format!("{} over {}", own.told(), other.told()));
        }
    }
    faults
}

#[test]
fn no_words_lie_over_others() {
    for (race, planned) in races() {
        for (name, text) in pictures(planned) {
            let svg = Svg::read(&text);
            let faults = faults(&svg);
            assert!(
                faults.is_empty(),
                "{race}, {name}: {} faults:\n{}",
                faults.len(),
                faults[..faults.len().min(8)].join("\n")
            );
        }
    }
}

#[test]
fn the_measure_finds_what_lies_over_something() {
    let words = |x: f64, y: f64, words: &str| {
        format!("<text x=\"{x}\" y=\"{y}\" font-size=\"10\">{words}</text>")
    };
    let svg =
        |inside: String| Svg::read(&format!("<svg width=\"100\" height=\"50\">{inside}</svg>"));
    assert!(faults(&svg(words(5.0, 20.0, "Hut") + &words(40.0, 20.0, "Hut"))).is_empty());
    assert_eq!(
        faults(&svg(words(5.0, 20.0, "Hut") + &words(20.0, 23.0, "Hut"))).len(),
        1
    );
    assert_eq!(faults(&svg(words(90.0, 20.0, "Hut"))).len(), 1);
    let mark = "<path d=\"M20 10L26 16L20 22L14 16Z\"/>".to_owned();
    assert_eq!(faults(&svg(words(5.0, 20.0, "Hut") + &mark)).len(), 1);
    assert!(faults(&svg(words(30.0, 20.0, "Hut") + &mark)).is_empty());
}
