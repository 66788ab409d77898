//! The race on one sheet: the course from the side, standing upright, start at the top; beside it
//! the stations with their clocks, the time in hand, sun and moon, the night, crew and bags.

use crate::facts::{Facts, FlaskFacts, MoonFacts, PlanFacts, SplitFacts, StationFacts};

use super::canvas::{Anchor, Canvas, Ink, Meaning, finished, verdict_words};
use super::place::{TakenRoom, spread_by};
use super::profile::{bag_mark, crew_mark, shade};
use super::rows::{Row, TWO_LINES, told};
use super::svg::{line, path, rect, tag};
use super::theme::Theme;
use super::ways::Point;
use super::words::{clean, fitted, width, wrapped};

/// Words of a row are at most and at least so large.
const LARGEST: f64 = 15.0;
const LEAST: f64 = 10.0;
/// Sheets narrower than this have no strip of time in hand.
const NARROW: f64 = 500.0;
/// Steepness is told over so many samples.
const STRETCH: usize = 8;
/// A flat course still has this much height, metres.
const LEAST_HEIGHT_M: f64 = 150.0;
/// As much time in hand as the strip beside the hills has room for, seconds.
const MOST_IN_HAND_S: f64 = 4.0 * 3600.0;
/// The clock stands beside the hills every so many hours.
const EVERY_H: u32 = 3;

/// A sheet to draw on: its size in units of its words' sizes, and what is kept free above, as a
/// phone shows its own clock there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PosterSheet {
    /// Across.
    pub wide: f64,
    /// Down.
    pub high: f64,
    /// Of it, free at the top.
    pub free: f64,
}

struct Poster<'f> {
    facts: &'f Facts,
    plan: &'f PlanFacts,
    theme: &'f Theme,
    sheet: PosterSheet,
    margin: f64,
    /// Top and foot of the course.
    field: (f64, f64),
    /// Left and right of the hills.
    hills: (f64, f64),
    /// Left and right of the time in hand; nothing where there are no cutoffs.
    hand: (f64, f64),
    /// Left of the rows of stations.
    rows: f64,
    /// Meanings of its colours and marks, below the course.
    meanings: Vec<Meaning>,
}

/// The poster of a plan; without a target, an empty sheet.
#[must_use]
pub fn poster(facts: &Facts, theme: &Theme, sheet: PosterSheet) -> String {
    let mut canvas = Canvas::new(theme);
    let title = "Poster";
    if let Some(plan) = facts.planned() {
        let mut poster = Poster::of(facts, plan, theme, sheet);
        poster.head(&mut canvas);
        poster.nights(&mut canvas);
        poster.hills(&mut canvas);
        let mut taken = TakenRoom::default();
        poster.sky(&mut canvas, &mut taken);
        poster.clocks(&mut canvas, &mut taken);
        poster.in_hand(&mut canvas);
        poster.stations(&mut canvas);
        let ends = (poster.margin, sheet.wide - poster.margin);
        canvas.legend_between(ends, &poster.meanings, poster.field.1 + 46.0);
    }
    let about = format!(
        "The race on one sheet: {}",
        (facts.planned()).map_or_else(|| "no target".to_owned(), verdict_words)
    );
    let size = (sheet.wide, sheet.high);
    finished(facts, title, &about, size, &canvas)
}

impl<'f> Poster<'f> {
    fn of(
        facts: &'f Facts,
        plan: &'f PlanFacts,
        theme: &'f Theme,
        sheet: PosterSheet,
    ) -> Poster<'f> {
        let margin = sheet.wide * 0.05;
        let left = margin + 44.0;
        let is_wide = NARROW < sheet.wide;
        let meanings = meanings(facts, plan, theme, is_wide);
        let ends = (margin, sheet.wide - margin);
        let legend = Canvas::new(theme).legend_between(ends, &meanings, 0.0);
        let right = left + sheet.wide * if is_wide { 0.20 } else { 0.14 };
        let has_hand = is_wide && plan.splits.iter().any(|split| split.in_hand.is_some());
        let hand = if has_hand { sheet.wide * 0.075 } else { -8.0 };
        Poster {
            facts,
            plan,
            theme,
            sheet,
            margin,
            field: (0.0, sheet.high - margin - legend - 22.0),
            meanings,
            hills: (left, right),
            hand: (right + 12.0, right + 12.0 + hand),
            rows: right + hand + 42.0,
        }
    }

    fn y(&self, official_m: f64) -> f64 {
        let (top, foot) = self.field;
        top + official_m / self.facts.race.0.length.value.max(1.0) * (foot - top)
    }

    fn sample_y(&self, sample: usize) -> f64 {
        self.y(sample as f64 * self.facts.profile.step_m)
    }

    /// The plan's place at a race time; nothing before the start and after the finish.
    fn y_at(&self, at_s: f64) -> Option<f64> {
        let elapsed = &self.facts.profile.elapsed_s;
        let sample = elapsed.partition_point(|s| *s < at_s);
        (0 < sample && sample < elapsed.len()).then(|| self.sample_y(sample))
    }

    /// Name, figures, verdict; the course begins below.
    fn head(&mut self, canvas: &mut Canvas<'_>) {
        let (race, verdict) = (&self.facts.race.0, &self.plan.verdict);
        let left = self.margin;
        let moon_room = if self.plan.moon.is_some() { 84.0 } else { 0.0 };
        let room = self.sheet.wide - 2.0 * left - moon_room;
        let name = clean(&race.course);
        let mut large = 46.0;
        while large > 16.0 && width(&name, large, true) > room {
            large -= 1.0;
        }
        let mut y = self.sheet.free + left + large * 0.75;
        let ink = Ink::of(self.theme.ink, large).bold();
        canvas.words(left, y, ink, &fitted(&name, large, true, room));
        if let Some(moon) = &self.plan.moon {
            self.moon(canvas, moon, (self.sheet.wide - left - 26.0, y - 6.0));
        }
        y += 24.0;
        let mut figures = vec![race.length.text.clone(), format!("{} up", race.climb.text)];
        figures.extend(
            race.start_words
                .iter()
                .map(|start| format!("start {start}")),
        );
        let faint = Ink::of(self.theme.faint, 14.0);
        for text in wrapped(&figures.join(" · "), 14.0, room) {
            canvas.words(left, y, faint, &text);
            y += 18.0;
        }
        // a phone shows it by the disc alone
        if let Some(moon) = (self.plan.moon.as_ref()).filter(|_| self.sheet.wide > NARROW) {
            canvas.words(left, y, faint, &moon.words);
            y += 18.0;
        }
        // what fails stands in a black box, as on every page
        let wide = self.sheet.wide - 2.0 * left;
        let mut lines: Vec<(String, bool)> = Vec::new();
        let opening = wrapped(&verdict_words(self.plan), 14.0, wide * 0.86);
        lines.extend(opening.into_iter().map(|line| (line, true)));
        let tightest = match self.sheet.wide > NARROW {
            true => verdict.tightest_line.clone(),
            false => verdict.leave_words(),
        };
        let tightest =
            tightest.map_or_else(Vec::new, |line| wrapped(&clean(&line), 14.0, wide * 0.96));
        lines.extend(tightest.into_iter().map(|line| (line, false)));
        let high = 18.0 * lines.len() as f64;
        let ink = match verdict.holds {
            true => self.theme.ink,
            false => {
                let frame = rect(
                    left - 8.0,
                    y - 11.0,
                    wide + 16.0,
                    high + 4.0,
                    self.theme.ink,
                );
                canvas.add(frame.empty());
                self.theme.paper
            }
        };
        for (text, is_bold) in lines {
            let ink = Ink::of(ink, 14.0);
            let text = fitted(&text, 14.0, is_bold, wide);
            canvas.words(left, y + 4.0, if is_bold { ink.bold() } else { ink }, &text);
            y += 18.0;
        }
        self.field.0 = y + 26.0;
    }

    /// The moon with the part of it that is lit.
    fn moon(&self, canvas: &mut Canvas<'_>, moon: &MoonFacts, (x, y): Point) {
        let radius = 22.0;
        let disc = tag("circle").num("cx", x).num("cy", y).num("r", radius);
        // the moon is bright and its night side is not, on any paper
        let is_dark = self.theme.name == "dark";
        let (bright, night) = if is_dark {
            (self.theme.ink, self.theme.night)
        } else {
            (self.theme.paper, self.theme.faint)
        };
        let disc = disc.set("fill", night);
        canvas.add(disc.stroke(self.theme.faint, 1.0).empty());
        // south of the equator it stands on its head
        let south = self.facts.stations.first().is_some_and(|at| at.lat < 0.0);
        let side = if moon.is_waxing != south { 1.0 } else { -1.0 };
        let angles = (0..=24).map(|step| (f64::from(step) / 24.0 - 0.5) * std::f64::consts::PI);
        let limb = angles
            .clone()
            .map(|a| (x + side * radius * a.cos(), y + radius * a.sin()));
        let terminator = angles.rev().map(|a| {
            let across = radius * a.cos() * (1.0 - 2.0 * moon.lit.value);
            (x + side * across, y + radius * a.sin())
        });
        let lit: Vec<Point> = limb.chain(terminator).collect();
        let lit = path(&lit, true).set("fill", bright);
        canvas.add(lit.stroke(self.theme.faint, 0.5).empty());
    }

    fn nights(&self, canvas: &mut Canvas<'_>) {
        for (from_m, to_m) in self.facts.profile.dark_m() {
            let top = self.y(from_m);
            canvas.night((0.0, top), self.sheet.wide, self.y(to_m) - top);
        }
    }

    /// The course from the side, in shades of its steepness, height to the right.
    fn hills(&self, canvas: &mut Canvas<'_>) {
        let profile = &self.facts.profile;
        let last = profile.elevation_m.len().saturating_sub(1);
        let (low, high) = (profile.lowest.value, profile.highest.value);
        let span = (high - low).max(LEAST_HEIGHT_M);
        let (left, right) = self.hills;
        let x = |m: f64| left + 10.0 + (m - low) / span * (right - left - 10.0);
        let point = |sample: usize| (x(profile.elevation_m[sample]), self.sample_y(sample));
        let stations = &self.facts.stations;
        for (index, segment) in self.facts.segments.iter().enumerate() {
            let ends = [index, index + 1].map(|k| profile.sample_at(stations[k].official.value));
            canvas.marked(&segment.id, |canvas| {
                let mut from = ends[0];
                while from < ends[1] {
                    let to = (from + STRETCH).min(ends[1]);
                    let rise_m = profile.elevation_m[to] - profile.elevation_m[from];
                    let gradient = rise_m / ((to - from) as f64 * profile.step_m);
                    let mut area: Vec<Point> = (from..=to).map(point).collect();
                    area.extend([(left, self.sample_y(to)), (left, self.sample_y(from))]);
                    let slope = path(&area, true).set("fill", shade(self.theme, gradient));
                    canvas.add(slope.set("shape-rendering", "crispEdges").empty());
                    from = to;
                }
            });
        }
        let crest: Vec<Point> = (0..=last).map(point).collect();
        let crest = path(&crest, false).stroke(self.theme.ink, 1.4);
        canvas.add(crest.set("stroke-linejoin", "round").empty());
    }

    /// Sun and moon where the plan meets their rise and set.
    fn sky(&self, canvas: &mut Canvas<'_>, taken: &mut TakenRoom) {
        let suns = self
            .plan
            .sun
            .iter()
            .filter(|event| matches!(event.kind, "sunrise" | "sunset"));
        let moons = self.plan.moon.iter().flat_map(|moon| &moon.events);
        let x = self.margin - 4.0;
        for event in suns.chain(moons) {
            let Some(y) = self.y_at(event.at.elapsed.as_s()) else {
                continue;
            };
            let spots = [0.0, 16.0, -16.0, 32.0, -32.0].map(|dy| (self.margin + 12.0, y + dy));
            let frame = [0.0, self.field.0 - 20.0, self.hills.0, self.field.1 + 14.0];
            let Some((_, y)) = taken.first_free(spots, (58.0, 18.0), frame) else {
                continue;
            };
            let up = event.kind.ends_with("rise");
            let is_sun = event.kind.starts_with("sun");
            if is_sun {
                for step in 0..8 {
                    let (dy, dx) = (f64::from(step) * std::f64::consts::FRAC_PI_4).sin_cos();
                    let ray = ((x + 6.0 * dx, y + 6.0 * dy), (x + 8.5 * dx, y + 8.5 * dy));
                    canvas.rule(ray.0, ray.1, self.theme.ink, 0.9);
                }
            }
            let fill = if is_sun {
                self.theme.paper
            } else {
                self.theme.faint
            };
            let disc = tag("circle").num("cx", x).num("cy", y).num("r", 4.2);
            let disc = disc.set("fill", fill).stroke(self.theme.ink, 0.9);
            canvas.add(disc.empty());
            // up or down
            let tip = if up { -1.0 } else { 1.0 };
            let head = [(x - 2.2, y - tip), (x + 2.2, y - tip), (x, y + 1.6 * tip)];
            canvas.add(path(&head, true).set("fill", self.theme.ink).empty());
            let ink = Ink::of(self.theme.ink, 11.0);
            canvas.words(x + 11.0, y + 4.0, ink, &event.at.clock);
        }
    }

    /// Full hours beside the hills.
    fn clocks(&self, canvas: &mut Canvas<'_>, taken: &mut TakenRoom) {
        let edge = self.hills.0;
        for hour in self
            .facts
            .profile
            .hours
            .iter()
            .filter(|hour| hour.hour % EVERY_H == 0)
        {
            let Some(y) = self.y_at(hour.at.elapsed.as_s()) else {
                continue;
            };
            canvas.rule((edge - 5.0, y), (edge, y), self.theme.ink, 1.0);
            let frame = [0.0, self.field.0 - 20.0, edge, self.field.1 + 14.0];
            let spot = [(edge - 27.0, y)];
            if taken.first_free(spot, (44.0, 13.0), frame).is_some() {
                let ink = Ink::of(self.theme.faint, 11.0).at(Anchor::End);
                canvas.words(edge - 8.0, y + 4.0, ink, &hour.at.clock);
            }
        }
    }

    /// The distance of the cutoff that binds from the plan, as a strip beside the hills: the line is
    /// the cutoff.
    fn in_hand(&self, canvas: &mut Canvas<'_>) {
        let (left, right) = self.hand;
        if right - left < 1.0 {
            return;
        }
        let x = |s: f64| left + (s / MOST_IN_HAND_S).clamp(-0.12, 1.0) * (right - left);
        for two in self.plan.splits.windows(2) {
            let Some(hand) = &two[0].in_hand else { break };
            let (top, foot) = (self.y(two[0].official.value), self.y(two[1].official.value));
            let (from, to) = (x(0.0).min(x(hand.value)), x(0.0).max(x(hand.value)));
            let colour = if hand.value < 0.0 {
                self.theme.limit
            } else {
                self.theme.plan
            };
            let bar = rect(from, top, to - from, foot - top, colour).num("fill-opacity", 0.3);
            canvas.add(bar.set("class", "in-hand").empty());
        }
        let (top, foot) = self.field;
        canvas.add(
            line((left, top), (left, foot), self.theme.limit, 2.0)
                .set("class", "limit")
                .empty(),
        );
        for split in self
            .plan
            .splits
            .iter()
            .filter(|split| split.cutoff.is_some())
        {
            let y = self.y(split.official.value);
            canvas.add(rect(left - 4.0, y - 2.0, 8.0, 4.0, self.theme.limit).empty());
        }
        let ink = Ink::of(self.theme.limit, 10.0);
        canvas.words(left - 4.0, foot + 14.0, ink, "cutoff");
    }

    /// A row a station: number, name, clock; below it what limits it and what is filled.
    fn stations(&self, canvas: &mut Canvas<'_>) {
        let (top, foot) = self.field;
        let stations = &self.facts.stations;
        let rows = told(self.facts, self.plan, foot - top);
        let places: Vec<f64> = (rows.iter())
            .map(|row| self.y(stations[row.index].official.value))
            .collect();
        // what is left over goes to all alike, up to a pitch
        let needed: f64 = rows.iter().rev().skip(1).rev().map(Row::high).sum();
        let more = (foot - top - needed) / rows.len().saturating_sub(1).max(1) as f64;
        let below = |row: &Row| row.high() + more.clamp(0.0, 15.5);
        let gaps: Vec<f64> = rows.iter().rev().skip(1).rev().map(below).collect();
        let spots = spread_by(&places, &gaps, top, foot);
        let pitch = if rows.iter().all(|row| row.is_full) {
            TWO_LINES + more
        } else {
            TWO_LINES
        };
        let most = (0.026 * self.sheet.wide).clamp(LEAST, LARGEST);
        let size = (0.42 * pitch).clamp(LEAST, most);
        for (index, station) in stations.iter().enumerate() {
            canvas.marked(&station.id, |canvas| {
                let place = self.y(station.official.value);
                let dot = tag("circle").num("cx", self.hills.0).num("cy", place);
                canvas.add(dot.num("r", 2.4).set("fill", self.theme.ink).empty());
                let Some(at) = rows.iter().position(|row| row.index == index) else {
                    return;
                };
                let leader = [
                    (self.hills.1 + 4.0, place),
                    (self.rows - 26.0, place),
                    (self.rows - 18.0, spots[at]),
                    (self.rows - 12.0, spots[at]),
                ];
                let leader = path(&leader, false).stroke(self.theme.faint, 0.75);
                canvas.add(leader.num("stroke-opacity", 0.6).empty());
                let before = at.checked_sub(1).map(|before| rows[before].index);
                self.row(canvas, (rows[at], before), spots[at], size);
            });
        }
        let untold = stations.len() - rows.len();
        if untold > 0 {
            let said = format!("{untold} more: dots on the course");
            let ink = Ink::of(self.theme.faint, LEAST).at(Anchor::Middle);
            canvas.words(self.sheet.wide / 2.0, top - 9.0, ink, &said);
        }
    }

    fn row(&self, canvas: &mut Canvas<'_>, (row, before): (Row, Option<usize>), y: f64, size: f64) {
        let index = row.index;
        let (station, split) = (&self.facts.stations[index], &self.plan.splits[index]);
        let right = self.sheet.wide - self.margin;
        let small = (0.82 * size).max(LEAST);
        let base = y + 0.36 * size;
        let number = Ink::of(self.theme.faint, size);
        canvas.words(self.rows - 8.0, base, number, &station.number);
        let left = self.rows + 1.35 * size;
        // its day only where a new one begins
        let before = before.map(|before| &self.plan.splits[before].arrival);
        let at = &split.arrival;
        let said = before.map_or(at.text.as_str(), |before| at.beside(before));
        let clock = width(said, size, true) * 1.1;
        let marks = self.marks(canvas, station, (right - clock - 14.0, y));
        let name = fitted(&clean(&station.station), size, true, marks - left - 8.0);
        canvas.words(left, base, Ink::of(self.theme.ink, size).bold(), &name);
        let ink = Ink::of(self.theme.ink, size).bold().at(Anchor::End);
        canvas.words(right, base, ink, said);
        if !row.is_full {
            return;
        }
        let below = base + 1.18 * small + 1.0;
        let fills = self.fills(canvas, station, (right, below), small);
        let faint = Ink::of(self.theme.faint, small);
        let room = fills - left - 8.0;
        let all = limits(split);
        let fits = all.iter().find(|said| width(said, small, false) <= room);
        let said = fits.or(all.last()).map_or("", String::as_str);
        let ink = match split.margin_is == Some("missed") {
            true => Ink::of(self.theme.limit, small).bold(),
            false => faint,
        };
        canvas.words(left, below, ink, &fitted(said, small, false, room));
    }

    /// Crew and bag; where they begin.
    fn marks(&self, canvas: &mut Canvas<'_>, at: &StationFacts, (x, y): Point) -> f64 {
        let mut left = x;
        if at.crew {
            canvas.add(crew_mark(self.theme, left, y));
            left -= 14.0;
        }
        if at.drop_bag {
            canvas.add(bag_mark(self.theme, left, y));
            left -= 14.0;
        }
        left
    }

    /// Flasks as they are filled on leaving; where they begin.
    fn fills(
        &self,
        canvas: &mut Canvas<'_>,
        at: &StationFacts,
        (right, base): Point,
        size: f64,
    ) -> f64 {
        let mut pickups = self.plan.pickups.iter();
        let Some(pickup) = pickups.find(|pickup| pickup.number == at.number) else {
            return right;
        };
        let (wide, high) = (0.62 * size, 1.05 * size);
        let flasks = pickup.flasks.len() as f64;
        let begin = right - flasks * (wide + 3.0);
        let mut left = begin;
        for flask in &pickup.flasks {
            canvas.add(flask_drawn(
                self.theme,
                flask,
                (left, base - high + 1.5),
                (wide, high),
            ));
            left += wide + 3.0;
        }
        let words = pickup.fluid.text.clone();
        let ink = Ink::of(self.theme.faint, size).at(Anchor::End);
        canvas.words(begin - 4.0, base, ink, &words);
        begin - 4.0 - 1.12 * width(&words, size, false)
    }
}

/// Meanings of the marks on this poster that need one; on a phone in fewer words.
fn meanings(facts: &Facts, plan: &PlanFacts, theme: &Theme, is_wide: bool) -> Vec<Meaning> {
    let slopes = |shades: &[&str]| -> String {
        let parts = shades.iter().zip(0..);
        let part =
            |(fill, at): (&&str, i32)| rect(6.0 * f64::from(at), -6.0, 6.0, 12.0, fill).empty();
        parts.map(part).collect()
    };
    let said = |long: &'static str, short: &'static str| if is_wide { long } else { short };
    let mut all = vec![
        Meaning::new(
            slopes(&theme.uphill),
            said("up, steeper to the right", "up"),
        ),
        Meaning::new(slopes(&theme.downhill), "down"),
    ];
    let dark = said("dark when the plan passes", "dark");
    all.extend(Meaning::dark(theme, facts, dark));
    if is_wide && plan.splits.iter().any(|split| split.in_hand.is_some()) {
        let hand = rect(0.0, -6.0, 24.0, 12.0, theme.plan).num("fill-opacity", 0.3);
        let cutoff = line((0.0, -6.0), (0.0, 6.0), theme.limit, 2.0);
        all.push(Meaning::new(
            hand.empty() + &cutoff.empty(),
            "time in hand to the cutoff",
        ));
    }
    let stations = &facts.stations;
    if stations.iter().any(|at| at.crew) {
        all.push(Meaning::new(crew_mark(theme, 12.0, 0.0), "crew"));
    }
    if stations.iter().any(|at| at.drop_bag) {
        all.push(Meaning::new(bag_mark(theme, 12.0, 0.0), "drop bag"));
    }
    if is_wide && plan.pickups.iter().any(|pickup| !pickup.flasks.is_empty()) {
        let flask = |x: f64, shade: f64| {
            let fill = rect(x, -6.0, 7.0, 12.0, theme.ink).num("fill-opacity", shade);
            fill.empty()
                + &rect(x, -6.0, 7.0, 12.0, "none")
                    .stroke(theme.ink, 0.8)
                    .empty()
        };
        all.push(Meaning::new(
            flask(4.0, 1.0) + &flask(14.0, 0.4),
            "flask of drink, of water",
        ));
    }
    all.extend(plan.repeated_hour.map(Meaning::group));
    all
}

/// Distance, cutoff or latest departure, in more and in fewer words.
fn limits(split: &SplitFacts) -> Vec<String> {
    let at = &split.official.text;
    if let (Some(cutoff), Some(margin)) = (&split.cutoff, &split.margin) {
        let (cutoff, margin) = (&cutoff.clock, &margin.text);
        let said = match margin.strip_prefix('-') {
            Some(late) => format!("MISSED {cutoff} by {late}"),
            None => format!("cutoff {cutoff} ({margin})"),
        };
        return vec![format!("{at} · {said}"), said, format!("cutoff {cutoff}")];
    }
    match &split.latest_departure {
        Some(by) => vec![
            format!("{at} · leave by {}", by.clock),
            format!("leave by {}", by.clock),
        ],
        None => vec![at.clone()],
    }
}

/// A flask, dark as far as it is full of a drink, half as dark of water.
fn flask_drawn(
    theme: &Theme,
    flask: &FlaskFacts,
    (x, y): Point,
    (wide, high): (f64, f64),
) -> String {
    let full = high * flask.fill.clamp(0.0, 1.0);
    let solid = flask.holds.as_deref() != Some("water");
    let fill = rect(x, y + high - full, wide, full, theme.ink);
    let fill = fill.num("fill-opacity", if solid { 1.0 } else { 0.4 });
    let frame = rect(x, y, wide, high, "none").stroke(theme.ink, 0.8);
    fill.empty() + &frame.empty()
}
