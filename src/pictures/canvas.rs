//! The canvas of all pictures: words, a heading, numbered stations, a legend.

use crate::facts::{Facts, PlanFacts, StationFacts};

use super::axis::distance_marks;
use super::place::spread;
use super::svg::{Tag, document, line, number as short, rect, tag};
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
const BADGE_TEXT: f64 = 12.0;

/// A picture being drawn.
pub(super) struct Canvas<'t> {
    /// Its colours.
    pub(super) theme: &'t Theme,
    /// The drawing so far.
    pub(super) body: String,
}

/// The end of the words that stands at the point.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// The look of words.
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
    /// The meaning of the grey of a night, where the plan runs through one.
    pub(super) fn dark(theme: &Theme, facts: &Facts, words: &str) -> Option<Meaning> {
        let any = facts.profile.dark.contains(&true);
        any.then(|| Meaning::new(filled(theme, theme.night), words))
    }

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
        if !words.is_empty() {
            self.body += &text_at(x, y, ink).around_words(words);
        }
    }

    /// A straight line.
    pub(super) fn rule(&mut self, from: (f64, f64), to: (f64, f64), colour: &str, wide: f64) {
        self.add(line(from, to, colour, wide).empty());
    }

    /// Darkness behind all else.
    pub(super) fn night(&mut self, (x, y): (f64, f64), wide: f64, high: f64) {
        let band = rect(x, y, wide, high, self.theme.night);
        self.add(band.set("class", "night").empty());
    }

    /// The distance below a picture of the course, at so many marks at most.
    /// The end's words may stand inside it, where there is no room beyond.
    pub(super) fn distances(
        &mut self,
        facts: &Facts,
        x: impl Fn(f64) -> f64,
        y: f64,
        (most, end): (f64, Anchor),
    ) {
        let race = &facts.race.0;
        // no label runs into that of the end
        let long = width(&race.length.text, SMALL, true) * 1.1;
        let free = x(race.length.value)
            - if end == Anchor::Middle {
                long / 2.0
            } else {
                long
            };
        for mark in distance_marks(&race.length, race.units.distance_m, most) {
            let x = x(mark.at);
            if !mark.end && x + width(&mark.label, SMALL, false) / 2.0 + 4.0 > free {
                continue;
            }
            self.rule((x, y), (x, y + 5.0), self.theme.ink, 1.0);
            let (ink, anchor) = match mark.end {
                true => (Ink::of(self.theme.ink, SMALL).bold(), end),
                false => (Ink::of(self.theme.faint, SMALL), Anchor::Middle),
            };
            let shift = if matches!(anchor, Anchor::End) {
                4.0
            } else {
                0.0
            };
            self.words(x + shift, y + 20.0, ink.at(anchor), &mark.label);
        }
    }

    /// Words that climb along their baseline at `x`.
    pub(super) fn words_up(&mut self, x: f64, y: f64, ink: Ink, words: &str) {
        if !words.is_empty() {
            let turn = format!("rotate(-90 {} {})", short(x), short(y));
            let text = text_at(x, y, ink).set("transform", &turn);
            self.body += &text.around_words(words);
        }
    }

    /// A group drawn as one mark that others find again by its name.
    pub(super) fn marked(&mut self, id: &str, inside: impl FnOnce(&mut Self)) {
        let before = std::mem::take(&mut self.body);
        inside(self);
        let group = tag("g").set("id", id).around(&self.body);
        self.body = before + &group;
    }

    /// The race's name, what the picture shows, and the facts that everything rests on.
    pub(super) fn heading(&mut self, facts: &Facts, what: &str, across: f64) {
        let room = across - 2.0 * MARGIN;
        let what_wide = width(what, 15.0, false);
        let name = fitted(
            &clean(&facts.race.0.course),
            20.0,
            true,
            room - what_wide - 30.0,
        );
        let (ink, faint) = (self.theme.ink, self.theme.faint);
        self.words(MARGIN, 36.0, Ink::of(ink, 20.0).bold(), &name);
        let right = Ink::of(faint, 15.0).at(Anchor::End);
        self.words(across - MARGIN, 36.0, right, what);
        let mut brief = in_brief(facts);
        let Some(plan) = facts.planned() else {
            let brief = fitted(&brief.join(" · "), TEXT, false, room);
            return self.words(MARGIN, 58.0, Ink::of(faint, TEXT), &brief);
        };
        let verdict = fitted(&verdict_words(plan), TEXT, true, room / 1.1);
        let wide = width(&verdict, TEXT, true);
        let ink_of_words = ink;
        let ink = match plan.verdict.holds {
            true => ink,
            false => {
                self.add(rect(MARGIN - 5.0, 44.0, wide + 10.0, 19.0, ink).empty());
                self.theme.paper
            }
        };
        self.words(MARGIN, 58.0, Ink::of(ink, TEXT).bold(), &verdict);
        // beside it where it is tightest, and beside the name as much as there is room for: climb
        // and start go first, then all
        let verdict = &plan.verdict;
        let tightest = [verdict.tightest_line.clone(), verdict.leave_words()];
        let mut tightest = tightest.into_iter().flatten().map(|line| clean(&line));
        let fits = |line: &String| 1.05 * (wide + width(line, TEXT, false)) + 16.0 <= room;
        if let Some(line) = tightest.find(fits) {
            let right = Ink::of(ink_of_words, TEXT).at(Anchor::End);
            self.words(across - MARGIN, 58.0, right, &line);
        } else if let Some(line) = verdict.leave_words() {
            brief = vec![clean(&line)];
        }
        let name_wide = width(&name, 20.0, true);
        while !brief.is_empty() {
            let said = brief.join(" · ");
            if 1.05 * (name_wide + what_wide + width(&said, TEXT, false)) + 32.0 <= room {
                let from = MARGIN + 1.05 * name_wide + 16.0;
                self.words(from, 36.0, Ink::of(faint, TEXT), &said);
                break;
            }
            brief.remove(1.min(brief.len() - 1));
        }
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

    /// A station's number at a spot, with a leader to its own place below.
    pub(super) fn badge_at(
        &mut self,
        station: &StationFacts,
        spot: (f64, f64),
        place: (f64, f64),
        apart: f64,
    ) {
        let from = (spot.0, spot.1 + BADGE / 2.0);
        self.rule(from, place, self.theme.faint, 1.0);
        self.badge(spot, &station.number, apart);
    }

    /// Every station's mark: its number in a row centred at `y`, with a leader to its own place at `foot`.
    pub(super) fn badges(
        &mut self,
        stations: &[StationFacts],
        places: &[f64],
        (y, foot): (f64, f64),
        ends: (f64, f64),
    ) {
        let apart = badge_apart(stations);
        let spots = spread(places, apart, ends.0, ends.1);
        for (station, (spot, place)) in stations.iter().zip(spots.iter().zip(places)) {
            self.marked(&station.id, |canvas| {
                canvas.badge_at(station, (*spot, y), (*place, foot), apart);
            });
        }
    }

    /// Swatches with their meanings in rows from `y` on; returns the baseline below them.
    pub(super) fn legend(&mut self, meanings: &[Meaning], across: f64, y: f64) -> f64 {
        self.legend_between((MARGIN, across - MARGIN), meanings, y)
    }

    /// The same between a left and a right.
    pub(super) fn legend_between(
        &mut self,
        (left, right): (f64, f64),
        meanings: &[Meaning],
        y: f64,
    ) -> f64 {
        let (mut x, mut y) = (left, y);
        let ink = Ink::of(self.theme.ink, SMALL);
        let faint = Ink::of(self.theme.faint, SMALL);
        for (index, meaning) in meanings.iter().enumerate() {
            let wide = meaning.wide();
            // the name of a group keeps its first member beside it
            let with_next = match (&meaning.swatch, meanings.get(index + 1)) {
                (None, Some(next)) => wide + next.wide(),
                _ => wide,
            };
            if x > left && x + with_next > right {
                (x, y) = (left, y + 22.0);
            }
            match &meaning.swatch {
                Some(swatch) => {
                    self.put_swatch(x, y, swatch);
                    // what is longer than a row goes on below it
                    let lines = wrapped(&meaning.words, SMALL, (right - left - 31.0) / 1.1);
                    for (index, line) in lines.iter().enumerate() {
                        y += if index > 0 { 17.0 } else { 0.0 };
                        self.words(x + 31.0, y, ink, line);
                    }
                }
                None => self.words(x, y, faint, &meaning.words),
            }
            x = ((x + wide) * 100.0).round() / 100.0;
        }
        y + 22.0
    }

    /// A swatch beside words whose baseline is at `y`.
    pub(super) fn put_swatch(&mut self, x: f64, y: f64, swatch: &str) {
        let shift = format!("translate({x} {})", y - 4.5);
        self.add(tag("g").set("transform", &shift).around(swatch));
    }

    /// Words in as many lines as they need; returns the baseline below them.
    pub(super) fn paragraph(&mut self, words: &str, across: f64, y: f64) -> f64 {
        let mut y = y;
        // longer lines are hard to follow back to the next one
        let room = ((across - 2.0 * MARGIN) / 1.1).min(LONGEST_LINE);
        for text in wrapped(words, SMALL, room) {
            self.words(MARGIN, y, Ink::of(self.theme.faint, SMALL), &text);
            y += 17.0;
        }
        y
    }
}

fn text_at(x: f64, y: f64, ink: Ink) -> Tag {
    let mut text = tag("text")
        .num("x", x)
        .num("y", y)
        .num("font-size", ink.size)
        .set("fill", ink.colour);
    if ink.bold {
        text = text.set("font-weight", "600");
    }
    match ink.anchor {
        Anchor::Start => text,
        Anchor::Middle => text.set("text-anchor", "middle"),
        Anchor::End => text.set("text-anchor", "end"),
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

/// The least distance between the middles of two numbers in their frames.
pub(super) fn badge_apart(stations: &[StationFacts]) -> f64 {
    let widest = (stations.iter())
        .map(|station| width(&station.number, BADGE_TEXT, false))
        .fold(0.0, f64::max);
    (widest + 8.0).max(BADGE) + 3.0
}

/// A width at which every station's number has room between the two sides.
pub(super) fn wide_enough(stations: &[StationFacts], usual: f64, sides: f64) -> f64 {
    let needed = badge_apart(stations) * stations.len() as f64 + sides;
    usual.max(needed.ceil())
}

/// The verdict's first line: holds or not, and how likely.
pub(super) fn verdict_words(plan: &PlanFacts) -> String {
    let line = plan.verdict.lines.first();
    clean(&line.map_or_else(String::new, |line| line.replace('`', "")))
}

/// Length, climb, start and finish.
fn in_brief(facts: &Facts) -> Vec<String> {
    let race = &facts.race.0;
    let mut parts = vec![
        race.length.text.clone(),
        format!("{} up, {} down", race.climb.text, race.descent.text),
    ];
    parts.extend((race.start_words.iter()).map(|words| format!("start {words}")));
    parts.extend(facts.planned().map(|plan| {
        let text = &plan.finish_time;
        format!("finish in {}", text.strip_suffix(":00").unwrap_or(text))
    }));
    parts
}

/// A whole picture, named after the race and what it shows.
pub(super) fn finished(
    facts: &Facts,
    title: &str,
    about: &str,
    size: (f64, f64),
    canvas: &Canvas<'_>,
) -> String {
    let name = format!("{}: {title}", clean(&facts.race.0.course));
    document(size, canvas.theme.paper, &name, about, &canvas.body)
}
