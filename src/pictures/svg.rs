//! Elements of a picture as text. Numbers are rounded to 0.01 so that bytes repeat, and every word
//! is escaped on its way in.

use super::words;

/// An element being written.
pub(super) struct Tag {
    text: String,
    name: &'static str,
}

/// Starts an element.
pub(super) fn tag(name: &'static str) -> Tag {
    Tag {
        text: format!("<{name}"),
        name,
    }
}

impl Tag {
    /// With a number.
    pub(super) fn num(mut self, key: &str, value: f64) -> Self {
        self.text += &format!(" {key}=\"{}\"", number(value));
        self
    }

    /// With a word.
    pub(super) fn set(mut self, key: &str, value: &str) -> Self {
        self.text += &format!(" {key}=\"{}\"", words::escaped(value));
        self
    }

    /// With a line's colour and width.
    pub(super) fn stroke(self, colour: &str, width: f64) -> Self {
        self.set("stroke", colour).num("stroke-width", width)
    }

    /// With dashes, where there are any.
    pub(super) fn dashed(self, dashes: &str) -> Self {
        if dashes.is_empty() {
            self
        } else {
            self.set("stroke-dasharray", dashes)
        }
    }

    /// Without anything inside.
    pub(super) fn empty(self) -> String {
        self.text + "/>\n"
    }

    /// Around words.
    pub(super) fn around_words(self, inside: &str) -> String {
        format!("{}>{}</{}>\n", self.text, words::escaped(inside), self.name)
    }

    /// Around other elements.
    pub(super) fn around(self, inside: &str) -> String {
        format!("{}>\n{inside}</{}>\n", self.text, self.name)
    }
}

/// A rectangle.
pub(super) fn rect(x: f64, y: f64, width: f64, height: f64, fill: &str) -> Tag {
    tag("rect")
        .num("x", x)
        .num("y", y)
        .num("width", width.max(0.0))
        .num("height", height.max(0.0))
        .set("fill", fill)
}

/// A straight line.
pub(super) fn line(from: (f64, f64), to: (f64, f64), colour: &str, width: f64) -> Tag {
    tag("line")
        .num("x1", from.0)
        .num("y1", from.1)
        .num("x2", to.0)
        .num("y2", to.1)
        .stroke(colour, width)
}

/// A line through points, or the outline of an area.
pub(super) fn path(points: &[(f64, f64)], closed: bool) -> Tag {
    let mut d = String::new();
    for (index, (x, y)) in points.iter().enumerate() {
        let letter = if index == 0 { "M" } else { "L" };
        d += &format!("{letter}{} {}", number(*x), number(*y));
    }
    if closed {
        d.push('Z');
    }
    let tag = tag("path").set("d", &d);
    if closed { tag } else { tag.set("fill", "none") }
}

/// To 0.01, without noughts at the end.
pub(super) fn number(value: f64) -> String {
    if !value.is_finite() {
        return "0".to_owned();
    }
    let text = format!("{:.2}", (value * 100.0).round() / 100.0 + 0.0);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0" } else { text }.to_owned()
}

/// A whole picture with a name and a description for those who do not see it.
pub(super) fn document(
    size: (f64, f64),
    paper: &str,
    name: &str,
    description: &str,
    body: &str,
) -> String {
    // whole pixels, or the last row would be half paper
    let size = (size.0.ceil(), size.1.ceil());
    let inside = tag("title").set("id", "name").around_words(name)
        + &tag("desc").set("id", "about").around_words(description)
        + &rect(0.0, 0.0, size.0, size.1, paper).empty()
        + body;
    tag("svg")
        .set("xmlns", "http://www.w3.org/2000/svg")
        .set(
            "viewBox",
            &format!("0 0 {} {}", number(size.0), number(size.1)),
        )
        .num("width", size.0)
        .num("height", size.1)
        .set("role", "img")
        .set("aria-labelledby", "name about")
        .set("font-family", "system-ui, sans-serif")
        .around(&inside)
}
