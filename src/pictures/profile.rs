//! The course from the side: steepness in shades, the ground in patterns, the hours of darkness
//! behind, stations with their names and clocks above.

use crate::facts::Facts;

use super::Picture;
use super::axis::round_marks;
use super::canvas::{
    Anchor, Canvas, Ink, MARGIN, Meaning, SMALL, badge_apart, filled, finished, wide_enough,
};
use super::place::spread;
use super::svg::{line, path, rect, tag};
use super::theme::Theme;
use super::words::{clean, fitted, width};

/// The course profile.
pub(super) const PICTURE: Picture = Picture {
    name: "profile",
    title: "Course profile",
    draw,
    describe,
};

const LEFT: f64 = 72.0;
/// The end of the stations' names, and the length they may have.
const NAMES: f64 = 82.0;
const LONGEST_NAME: f64 = 150.0;
/// From there to their numbers, to the marks of crew and bag, and to the top of the hills.
const NUMBERS: f64 = 14.0;
const MARKS: f64 = 31.0;
const HILLS: f64 = 68.0;
const HIGH: f64 = 250.0;
/// Steepness is told over stretches this long, metres, or of so many samples where those are
/// longer.
const STRETCH_M: f64 = 300.0;
const FEWEST: usize = 5;
/// Height of the strip that shows the ground.
const GROUND: f64 = 13.0;
/// Gradients from which a slope is shaded darker; below the first it is level.
const STEEPER_FROM: [f64; 4] = [0.02, 0.06, 0.12, 0.20];
/// A flat course still has this much height, metres.
const LEAST_HEIGHT_M: f64 = 60.0;
/// Kinds of ground in the order of the legend.
const SURFACES: [&str; 6] = ["paved", "track", "smooth-trail", "rocky", "rough", "sand"];

/// The plot: where distances and heights lie.
struct HeightPlot<'f> {
    facts: &'f Facts,
    theme: &'f Theme,
    across: f64,
    wide: f64,
    /// The top of the hills.
    top: f64,
    /// Lowest and highest height shown, metres.
    heights_m: (f64, f64),
}

fn draw(facts: &Facts, theme: &Theme) -> String {
    let plot = HeightPlot::of(facts, theme);
    let mut canvas = Canvas::new(theme);
    canvas.add(patterns(theme));
    canvas.heading(facts, PICTURE.title, plot.across);
    let y = plot.hills(&mut canvas);
    let y = canvas.legend(&plot.meanings(), plot.across, y + 30.0);
    let size = (plot.across, y);
    finished(facts, PICTURE.title, &describe(facts), size, &canvas)
}

fn describe(facts: &Facts) -> String {
    let (race, profile) = (&facts.race.0, &facts.profile);
    let mut said = format!(
        "Heights from {} to {} over {} with {} stations.",
        profile.lowest.number,
        profile.highest.text,
        race.length.text,
        facts.stations.len(),
    );
    if let (Some(up), Some(down)) = (&race.steepest_up, &race.steepest_down) {
        said += &format!(" Steepest 500 m: {} up, {} down.", up.text, down.text);
    }
    said
}

impl<'f> HeightPlot<'f> {
    fn of(facts: &'f Facts, theme: &'f Theme) -> HeightPlot<'f> {
        let across = wide_enough(&facts.stations, theme.wide, LEFT + MARGIN);
        let profile = &facts.profile;
        let (low, high) = (profile.lowest.value, profile.highest.value);
        let span = (high - low).max(LEAST_HEIGHT_M);
        let names = (0..facts.stations.len()).map(|at| width(&label(facts, at), SMALL, false));
        let longest = names.fold(0.0, f64::max);
        HeightPlot {
            facts,
            theme,
            across,
            wide: across - LEFT - MARGIN,
            top: NAMES + longest + HILLS,
            heights_m: (low - 0.10 * span, low + 1.04 * span),
        }
    }

    /// Everything but words beside the hills; returns the foot of the axis.
    fn hills(&self, canvas: &mut Canvas<'_>) -> f64 {
        self.nights(canvas);
        self.height_axis(canvas);
        for (index, segment) in self.facts.segments.iter().enumerate() {
            canvas.marked(&segment.id, |canvas| self.slopes(canvas, index));
        }
        let crest = path(&self.outline(0, self.last()), false).stroke(self.theme.ink, 1.6);
        canvas.add(crest.set("stroke-linejoin", "round").empty());
        self.stations(canvas);
        let y = self.ground(canvas);
        self.distance_axis(canvas, y)
    }

    /// The place of an official distance.
    fn x(&self, official_m: f64) -> f64 {
        LEFT + official_m / self.facts.race.0.length.value.max(1.0) * self.wide
    }

    fn y(&self, height_m: f64) -> f64 {
        let (low, high) = self.heights_m;
        self.top + HIGH * (1.0 - (height_m - low) / (high - low))
    }

    /// The place of a sample.
    fn sample_x(&self, sample: usize) -> f64 {
        LEFT + sample as f64 / self.last() as f64 * self.wide
    }

    /// The last sample.
    fn last(&self) -> usize {
        (self.facts.profile.elevation_m.len() - 1).max(1)
    }

    /// The sample at a station.
    fn sample(&self, station: usize) -> usize {
        let at_m = self.facts.stations[station].official.value;
        self.facts.profile.sample_at(at_m)
    }

    /// The outline of the hill from one sample to another.
    fn outline(&self, from: usize, to: usize) -> Vec<(f64, f64)> {
        (from..=to)
            .map(|at| {
                (
                    self.sample_x(at),
                    self.y(self.facts.profile.elevation_m[at]),
                )
            })
            .collect()
    }

    /// Stretches where it is dark when the runner passes.
    fn nights(&self, canvas: &mut Canvas<'_>) {
        for (from_m, to_m) in self.facts.profile.dark_m() {
            let from = self.x(from_m);
            canvas.night((from, self.top), self.x(to_m) - from, HIGH);
        }
    }

    fn height_axis(&self, canvas: &mut Canvas<'_>) {
        let units = &self.facts.race.0.units;
        let per_unit = units.height_m;
        let (low, high) = self.heights_m;
        for mark in round_marks(low / per_unit, high / per_unit, 8.0) {
            let y = self.y(mark.at * per_unit);
            let rule = line((LEFT, y), (LEFT + self.wide, y), self.theme.grid, 1.0);
            canvas.add(rule.empty());
            let ink = Ink::of(self.theme.faint, SMALL).at(Anchor::End);
            canvas.words(LEFT - 8.0, y + 4.0, ink, &mark.label);
        }
        let ink = Ink::of(self.theme.faint, SMALL).at(Anchor::End);
        canvas.words(LEFT - 8.0, self.top - 12.0, ink, &units.height);
    }

    /// The hill of one segment in shades of its steepness.
    fn slopes(&self, canvas: &mut Canvas<'_>, segment: usize) {
        let profile = &self.facts.profile;
        let (mut from, last) = (self.sample(segment), self.sample(segment + 1));
        let stretch = ((STRETCH_M / profile.step_m.max(1e-3)).round() as usize).max(FEWEST);
        let mut shades: Vec<(&str, usize, usize)> = Vec::new();
        while from < last {
            // what would be left over goes to the last one
            let to = if from + 2 * stretch > last {
                last
            } else {
                from + stretch
            };
            let run_m = (to - from) as f64 * profile.step_m;
            let rise_m = profile.elevation_m[to] - profile.elevation_m[from];
            let fill = shade(self.theme, rise_m / run_m);
            match shades.last_mut() {
                Some((same, _, end)) if *same == fill => *end = to,
                _ => shades.push((fill, from, to)),
            }
            from = to;
        }
        for (fill, from, to) in shades {
            let mut area = self.outline(from, to);
            let (first, last) = (area[0].0, area[area.len() - 1].0);
            area.extend([(last, self.top + HIGH), (first, self.top + HIGH)]);
            let slope = path(&area, true).set("fill", fill);
            canvas.add(slope.set("shape-rendering", "crispEdges").empty());
        }
    }

    /// Every station's name, clock, number and marks, led to its own point of the hill.
    fn stations(&self, canvas: &mut Canvas<'_>) {
        let stations = &self.facts.stations;
        let places: Vec<f64> = stations.iter().map(|s| self.x(s.official.value)).collect();
        let apart = badge_apart(stations);
        let spots = spread(&places, apart, LEFT, LEFT + self.wide);
        let names = self.top - HILLS;
        for (index, (x, spot)) in places.iter().zip(&spots).enumerate() {
            let station = &stations[index];
            canvas.marked(&station.id, |canvas| {
                let crest = self.y(station.elevation.value);
                let fall = line((*x, self.top), (*x, crest), self.theme.faint, 1.0);
                canvas.add(fall.dashed("2 2").empty());
                let dot = tag("circle").num("cx", *x).num("cy", crest).num("r", 2.6);
                canvas.add(dot.set("fill", self.theme.ink).empty());
                canvas.badge_at(station, (*spot, names + NUMBERS), (*x, self.top), apart);
                let mut marks = names + MARKS;
                if station.crew {
                    canvas.add(crew_mark(self.theme, *spot, marks));
                    marks += 13.0;
                }
                if station.drop_bag {
                    canvas.add(bag_mark(self.theme, *spot, marks));
                }
                let ink = Ink::of(self.theme.ink, SMALL);
                canvas.words_up(spot + 4.0, names, ink, &label(self.facts, index));
            });
        }
    }

    /// The ground as a strip below the hill, where it changes; returns the strip's foot.
    fn ground(&self, canvas: &mut Canvas<'_>) -> f64 {
        let foot = self.top + HIGH;
        if self.surfaces().len() < 2 {
            return foot;
        }
        let surface = &self.facts.profile.surface;
        let (mut from, mut strips) = (0, String::new());
        for to in 1..=surface.len() {
            if surface.get(to) == Some(&surface[from]) {
                continue;
            }
            let (start, end) = (self.sample_x(from), self.sample_x(to.min(self.last())));
            let fill = fill_of(surface[from], self.theme);
            strips += &rect(start, 0.0, end - start, GROUND, &fill).empty();
            from = to;
        }
        // patterns start where their element's own coordinates do
        let shift = format!("translate(0 {})", foot + 4.0);
        let strip = tag("g").set("class", "ground").set("transform", &shift);
        canvas.add(strip.around(&strips));
        let frame = rect(LEFT, foot + 4.0, self.wide, GROUND, "none");
        canvas.add(frame.stroke(self.theme.faint, 0.75).empty());
        foot + 4.0 + GROUND
    }

    /// The ground at any place.
    fn surfaces(&self) -> Vec<&'static str> {
        let all = &self.facts.profile.surface;
        let known = SURFACES.into_iter();
        known.filter(|kind| all.contains(kind)).collect()
    }

    fn distance_axis(&self, canvas: &mut Canvas<'_>, y: f64) -> f64 {
        let foot = line((LEFT, y), (LEFT + self.wide, y), self.theme.ink, 1.0);
        canvas.add(foot.empty());
        canvas.distances(self.facts, |m| self.x(m), y, (12.0, Anchor::End));
        y + 20.0
    }

    fn meanings(&self) -> Vec<Meaning> {
        let theme = self.theme;
        let percent = |gradient: f64| format!("{:.0}", gradient * 100.0);
        let range = |step: usize| match STEEPER_FROM.get(step + 1) {
            Some(next) => format!("{}–{} %", percent(STEEPER_FROM[step]), percent(*next)),
            None => format!("over {} %", percent(STEEPER_FROM[step])),
        };
        let mut meanings = vec![Meaning::new(
            filled(theme, theme.level),
            format!("level, under {} %", percent(STEEPER_FROM[0])),
        )];
        for (words, shades) in [("up", theme.uphill), ("down", theme.downhill)] {
            meanings.push(Meaning::group(words));
            let slopes = shades.iter().enumerate();
            meanings.extend(slopes.map(|(i, fill)| Meaning::new(filled(theme, fill), range(i))));
        }
        let surfaces = self.surfaces();
        if surfaces.len() > 1 {
            meanings.push(Meaning::group("ground"));
            meanings.extend(surfaces.into_iter().map(|kind| {
                let strip = rect(0.0, 0.0, 24.0, GROUND, &fill_of(kind, theme));
                let strip = strip.stroke(theme.faint, 0.75).empty();
                let swatch = tag("g")
                    .set("transform", "translate(0 -6.5)")
                    .around(&strip);
                Meaning::new(swatch, kind.replace('-', " "))
            }));
        }
        meanings.extend(Meaning::dark(
            theme,
            self.facts,
            "dark when the plan passes",
        ));
        let stations = &self.facts.stations;
        if stations.iter().any(|s| s.crew) {
            let swatch = crew_mark(theme, 12.0, 0.0);
            meanings.push(Meaning::new(swatch, "crew may meet the runner"));
        }
        if stations.iter().any(|s| s.drop_bag) {
            meanings.push(Meaning::new(bag_mark(theme, 12.0, 0.0), "drop bag"));
        }
        meanings
    }
}

/// A station's name and, with a target, its planned clock.
fn label(facts: &Facts, station: usize) -> String {
    let name = clean(&facts.stations[station].station);
    let name = fitted(&name, SMALL, false, LONGEST_NAME);
    match facts.planned() {
        Some(plan) => format!("{name}  {}", plan.splits[station].arrival.clock),
        None => name,
    }
}

/// The colour of a slope.
pub(super) fn shade(theme: &Theme, gradient: f64) -> &'static str {
    let steps = STEEPER_FROM.iter().filter(|from| gradient.abs() >= **from);
    match (steps.count(), gradient > 0.0) {
        (0, _) => theme.level,
        (step, true) => theme.uphill[step - 1],
        (step, false) => theme.downhill[step - 1],
    }
}

/// A diamond: the crew.
pub(super) fn crew_mark(theme: &Theme, x: f64, y: f64) -> String {
    let corners = [(x, y - 5.5), (x + 5.5, y), (x, y + 5.5), (x - 5.5, y)];
    path(&corners, true).set("fill", theme.crew).empty()
}

/// A box with a lid: a drop bag.
pub(super) fn bag_mark(theme: &Theme, x: f64, y: f64) -> String {
    rect(x - 4.5, y - 2.5, 9.0, 7.0, theme.faint).empty()
        + &line((x - 5.0, y - 4.5), (x + 5.0, y - 4.5), theme.faint, 1.5).empty()
}

/// Fills of the ground: patterns that a printer without colours keeps apart.
fn fill_of(surface: &str, theme: &Theme) -> String {
    match surface {
        "paved" => theme.faint.to_owned(),
        "track" | "rocky" | "rough" | "sand" => format!("url(#ground-{surface})"),
        _ => theme.paper.to_owned(),
    }
}

fn patterns(theme: &Theme) -> String {
    let ink = theme.faint;
    let pattern = |id: &str, wide: f64, high: f64, inside: String| {
        tag("pattern")
            .set("id", id)
            .set("patternUnits", "userSpaceOnUse")
            .num("width", wide)
            .num("height", high)
            .around(&inside)
    };
    let dot = |x: f64, y: f64| {
        let dot = tag("circle").num("cx", x).num("cy", y).num("r", 0.75);
        dot.set("fill", ink).empty()
    };
    let stroke = |from, to, wide| line(from, to, ink, wide).empty();
    let stone = path(&[(1.0, 5.6), (4.0, 1.2), (7.0, 5.6)], true).set("fill", ink);
    let cross = stroke((0.0, 0.0), (6.5, 6.5), 1.1) + &stroke((6.5, 0.0), (0.0, 6.5), 1.1);
    tag("defs").around(
        &[
            pattern(
                "ground-track",
                4.0,
                3.25,
                stroke((0.0, 1.6), (4.0, 1.6), 1.2),
            ),
            pattern("ground-rocky", 8.0, 6.5, stone.empty()),
            pattern("ground-rough", 6.5, 6.5, cross),
            pattern("ground-sand", 4.0, 6.5, dot(1.0, 1.6) + &dot(3.0, 4.9)),
        ]
        .concat(),
    )
}
