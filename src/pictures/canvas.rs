//! What all pictures are drawn with: words, a heading, numbered stations, a legend.

use crate::course::{Course, Role};
use crate::plan::Plan;
use crate::reports::View;
use crate::time::day_name;

use super::place::spread;
use super::svg::{line, rect, tag};
use super::theme::Theme;
use super::words::{clean, fitted, width, wrapped};

/// Size of ordinary words.
pub(super) const TEXT: f64 = 13.0;
/// Size of words at axes and in legends.
pub(super) const SMALL: f64 = 12.0;
/// Left and right of everything.
pub(super) const MARGIN: f64 = 24.0;
/// No line of a paragraph is longer.
const LONGEST_LINE: f64 = 1000.0;
/// Height of a station's number in its frame.
const BADGE: f64 = 17.0;
/// Size of a station's number.
const BADGE_TEXT: f64 = 11.0;

/// A picture being drawn.
pub(super) struct Canvas<'t> {
    /// Its colours.
    pub(super) theme: &'t Theme,
    /// What is drawn so far.
    pub(super) body: String,
}

/// Which end of the words stands at the point.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// How words look.
#[derive(Clone, Copy)]
pub(super) struct Ink {
    pub(super) colour: &'static str,
    pub(super) size: f64,
    pub(super) bold: bool,
    pub(super) anchor: Anchor,
}

impl Ink {
    pub(super) fn of(colour: &'static str, size: f64) -> Ink {
        Ink {
            colour,
            size,
            bold: false,
            anchor: Anchor::Start,
        }
    }

    pub(super) fn bold(self) -> Ink {
        Ink { bold: true, ..self }
    }

    pub(super) fn at(self, anchor: Anchor) -> Ink {
        Ink { anchor, ..self }
    }
}

/// A line of the legend: a swatch of 24 by 12 around the origin, and what it means. Without a
/// swatch it is the name of those that follow.
pub(super) struct Meaning {
    pub(super) swatch: Option<String>,
    pub(super) words: String,
}

impl Meaning {
    pub(super) fn new(swatch: String, words: impl Into<String>) -> Meaning {
        Meaning {
            swatch: Some(swatch),
            words: words.into(),
        }
    }

    pub(super) fn group(words: impl Into<String>) -> Meaning {
        Meaning {
            swatch: None,
            words: words.into(),
        }
    }
}

impl<'t> Canvas<'t> {
    pub(super) fn new(theme: &'t Theme) -> Canvas<'t> {
        Canvas {
            theme,
            body: String::new(),
        }
    }

    /// Adds an element.
    pub(super) fn add(&mut self, element: impl AsRef<str>) {
        self.body += element.as_ref();
    }

    /// Words on a line, their baseline at `y`.
    pub(super) fn words(&mut self, x: f64, y: f64, ink: Ink, words: &str) {
        if words.is_empty() {
            return;
        }
        let mut text = tag("text")
            .num("x", x)
            .num("y", y)
            .num("font-size", ink.size)
            .set("fill", ink.colour);
        if ink.bold {
            text = text.set("font-weight", "600");
        }
        match ink.anchor {
            Anchor::Start => {}
            Anchor::Middle => text = text.set("text-anchor", "middle"),
            Anchor::End => text = text.set("text-anchor", "end"),
        }
        self.body += &text.around_words(words);
    }

    /// The race's name, what the picture shows, and the facts that everything rests on.
    pub(super) fn heading(&mut self, view: &View<'_>, what: &str, across: f64) {
        let room = across - 2.0 * MARGIN;
        let what_wide = width(what, 15.0, false);
        let name = fitted(
            &clean(&view.race.course.name),
            20.0,
            true,
            room - what_wide - 30.0,
        );
        let (ink, faint) = (self.theme.ink, self.theme.faint);
        self.words(MARGIN, 36.0, Ink::of(ink, 20.0).bold(), &name);
        let right = Ink::of(faint, 15.0).at(Anchor::End);
        self.words(across - MARGIN, 36.0, right, what);
        let facts = fitted(&facts(view), TEXT, false, room);
        self.words(MARGIN, 58.0, Ink::of(faint, TEXT), &facts);
    }

    /// A station's number in its frame, centred at a point.
    pub(super) fn badge(&mut self, at: (f64, f64), number: &str, apart: f64) {
        let wide = (apart - 3.0).max(BADGE);
        let frame = rect(
            at.0 - wide / 2.0,
            at.1 - BADGE / 2.0,
            wide,
            BADGE,
            self.theme.paper,
        )
        .num("rx", BADGE / 2.0)
        .stroke(self.theme.ink, 1.0)
        .empty();
        self.add(frame);
        let ink = Ink::of(self.theme.ink, BADGE_TEXT).at(Anchor::Middle);
        self.words(at.0, at.1 + 4.0, ink, number);
    }

    /// Every station's number in a row centred at `y`, with a leader to its own place at `foot`.
    pub(super) fn badges(
        &mut self,
        course: &Course,
        places: &[f64],
        y: f64,
        foot: f64,
        ends: (f64, f64),
    ) {
        let apart = badge_apart(course);
        let spots = spread(places, apart, ends.0, ends.1);
        for (index, (spot, place)) in spots.iter().zip(places).enumerate() {
            let leader = line(
                (*spot, y + BADGE / 2.0),
                (*place, foot),
                self.theme.faint,
                1.0,
            );
            self.add(leader.empty());
            self.badge((*spot, y), &number(course, index), apart);
        }
    }

    /// Swatches with their meanings in rows from `y` on; returns the baseline below them.
    pub(super) fn legend(&mut self, meanings: &[Meaning], across: f64, y: f64) -> f64 {
        let (mut x, mut y) = (MARGIN, y);
        let ink = Ink::of(self.theme.ink, SMALL);
        let faint = Ink::of(self.theme.faint, SMALL);
        for (index, meaning) in meanings.iter().enumerate() {
            let wide = meaning.wide();
            // the name of a group keeps its first member beside it
            let with_next = match (&meaning.swatch, meanings.get(index + 1)) {
                (None, Some(next)) => wide + next.wide(),
                _ => wide,
            };
            if x > MARGIN && x + with_next > across - MARGIN {
                (x, y) = (MARGIN, y + 22.0);
            }
            match &meaning.swatch {
                Some(swatch) => {
                    let shift = format!("translate({x} {})", y - 4.5);
                    let moved = tag("g").set("transform", &shift).around(swatch);
                    self.add(moved);
                    self.words(x + 31.0, y, ink, &meaning.words);
                }
                None => self.words(x, y, faint, &meaning.words),
            }
            x = ((x + wide) * 100.0).round() / 100.0;
        }
        y + 22.0
    }

    /// Words in as many lines as they need; returns the baseline below them.
    pub(super) fn paragraph(&mut self, words: &str, across: f64, y: f64) -> f64 {
        let mut y = y;
        // longer lines are hard to follow back to the next one
        let room = (across - 2.0 * MARGIN).min(LONGEST_LINE);
        for text in wrapped(words, SMALL, room) {
            self.words(MARGIN, y, Ink::of(self.theme.faint, SMALL), &text);
            y += 17.0;
        }
        y
    }
}

impl Meaning {
    fn wide(&self) -> f64 {
        let swatch = if self.swatch.is_some() { 31.0 } else { 0.0 };
        let behind = if self.swatch.is_some() { 20.0 } else { 10.0 };
        swatch + width(&self.words, SMALL, false) + behind
    }
}

/// A filled swatch.
pub(super) fn filled(theme: &Theme, fill: &str) -> String {
    rect(0.0, -6.0, 24.0, 12.0, fill)
        .stroke(theme.faint, 0.75)
        .empty()
}

/// A swatch of a line.
pub(super) fn lined(colour: &str, width: f64, dashes: &str) -> String {
    line((0.0, 0.0), (24.0, 0.0), colour, width)
        .dashed(dashes)
        .empty()
}

/// A station's number as tables have it: `S`, 1, 2 … `F`.
pub(super) fn number(course: &Course, station: usize) -> String {
    match course.stations[station].role {
        Role::Start => "S".to_owned(),
        Role::Finish => "F".to_owned(),
        Role::Between(_) => station.to_string(),
    }
}

/// The least distance between the middles of two numbers in their frames.
pub(super) fn badge_apart(course: &Course) -> f64 {
    let widest = (0..course.stations.len())
        .map(|station| width(&number(course, station), BADGE_TEXT, false))
        .fold(0.0, f64::max);
    (widest + 8.0).max(BADGE) + 3.0
}

/// A width at which every station's number has room between the two sides.
pub(super) fn wide_enough(course: &Course, usual: f64, sides: f64) -> f64 {
    let needed = badge_apart(course) * course.stations.len() as f64 + sides;
    usual.max(needed.ceil())
}

/// Length, climb, start and finish on one line.
fn facts(view: &View<'_>) -> String {
    let (course, units) = (&view.race.course, view.units);
    let (up_m, down_m) = course.climb_and_descent_m();
    let mut facts = vec![
        format!(
            "{} {}",
            units.distance_number(end_m(course)),
            units.distance_symbol()
        ),
        format!(
            "{} {h} up, {} {h} down",
            units.height_number(up_m),
            units.height_number(down_m),
            h = units.height_symbol()
        ),
    ];
    if let Some(clock) = view.race.clock {
        let start = clock.start();
        let day = day_name(&start);
        facts.push(format!(
            "start {day} {}",
            start.format("%-d %b %Y %H:%M %Z")
        ));
    }
    if let Some(plan) = view.plans.first() {
        facts.push(format!("finish in {}", finish(plan)));
    }
    facts.join(" · ")
}

fn finish(plan: &Plan) -> String {
    let text = plan.finish.to_seconds_text();
    text.strip_suffix(":00").unwrap_or(&text).to_owned()
}

/// The course's length by the organiser's count, metres.
pub(super) fn end_m(course: &Course) -> f64 {
    course.stations.last().map_or(1.0, |s| s.official_m)
}
