//! The course from the side: steepness in shades, the ground in patterns, the hours of darkness
//! behind, stations numbered above and listed below.

use crate::course::Course;
use crate::inputs::surfaces_csv::Surface;
use crate::plan::Plan;
use crate::reports::View;
use crate::units::M_PER_FOOT;
use crate::units::Units;

use super::Picture;
use super::axis::{distance_marks, round_marks};
use super::canvas::{
    Anchor, Canvas, Ink, MARGIN, Meaning, SMALL, TEXT, end_m, filled, number, wide_enough,
};
use super::nights::runs;
use super::svg::{document, line, path, rect, tag};
use super::theme::Theme;
use super::words::{clean, fitted};

/// The course profile.
pub(super) const PICTURE: Picture = Picture {
    name: "profile",
    title: "Course profile",
    draw,
    describe,
};

const WIDTH: f64 = 1160.0;
const LEFT: f64 = 72.0;
const TOP: f64 = 116.0;
const HIGH: f64 = 250.0;
/// Steepness is told over stretches this long, metres, or of so many pixels where those are longer.
const STRETCH_M: f64 = 300.0;
/// Height of the strip that shows the ground.
const GROUND: f64 = 13.0;
const FEWEST_PX: usize = 5;
/// Gradients from which a slope is shaded darker; below the first it is level.
const STEEPER_FROM: [f64; 4] = [0.02, 0.06, 0.12, 0.20];
/// A flat course still has this much height, metres.
const LEAST_HEIGHT_M: f64 = 60.0;

/// The plot: where distances and heights lie.
struct Plot<'v> {
    view: &'v View<'v>,
    plan: Option<&'v Plan>,
    theme: &'v Theme,
    across: f64,
    wide: f64,
    end_m: f64,
    /// Lowest and highest height shown, metres.
    heights_m: (f64, f64),
    /// Height at every pixel, metres.
    line_m: Vec<f64>,
}

fn draw(view: &View<'_>, theme: &Theme) -> String {
    let plot = Plot::of(view, theme, WIDTH);
    let mut canvas = Canvas::new(theme);
    canvas.add(patterns(theme));
    canvas.heading(view, PICTURE.title, plot.across);
    let y = plot.hills(&mut canvas);
    let y = canvas.legend(&plot.meanings(), plot.across, y + 30.0);
    let y = plot.list(&mut canvas, y + 12.0);
    document(
        (plot.across, y),
        theme.paper,
        &format!("{}: {}", clean(&view.race.course.name), PICTURE.title),
        &describe(view),
        &canvas.body,
    )
}

fn describe(view: &View<'_>) -> String {
    let (course, units) = (&view.race.course, view.units);
    let (low, high) = extremes(&course.profile.elevation_m);
    let mut said = format!(
        "Heights from {} to {} {} over {} {} with {} stations.",
        units.height_number(low),
        units.height_number(high),
        units.height_symbol(),
        units.distance_number(end_m(course)),
        units.distance_symbol(),
        course.stations.len(),
    );
    let steepest = |pick: fn(f64, f64) -> f64, of: fn(&crate::course::Segment) -> f64| {
        course.segments.iter().map(of).fold(0.0, pick) * 100.0
    };
    said += &format!(
        " Steepest 500 m: {:.0} % up, {:.0} % down.",
        steepest(f64::max, |s| s.steepest_up),
        -steepest(f64::min, |s| s.steepest_down) + 0.0
    );
    said
}

impl<'v> Plot<'v> {
    fn of(view: &'v View<'v>, theme: &'v Theme, usual: f64) -> Plot<'v> {
        let course = &view.race.course;
        let across = wide_enough(course, usual, LEFT + MARGIN);
        let wide = across - LEFT - MARGIN;
        let end_m = end_m(course);
        let line_m: Vec<f64> = (0..=wide as usize)
            .map(|px| {
                let official_m = px as f64 / wide.floor() * end_m;
                let along_m = course.distance_of_official(official_m);
                course.profile.elevation_at_m(along_m)
            })
            .collect();
        let (low, high) = extremes(&line_m);
        let span = (high - low).max(LEAST_HEIGHT_M);
        Plot {
            view,
            plan: view.plans.first(),
            theme,
            across,
            wide,
            end_m,
            heights_m: (low - 0.10 * span, low + 1.04 * span),
            line_m,
        }
    }

    fn course(&self) -> &'v Course {
        &self.view.race.course
    }

    /// Everything but words beside the hills; returns the foot of the axis.
    fn hills(&self, canvas: &mut Canvas<'_>) -> f64 {
        self.nights(canvas);
        self.height_axis(canvas);
        self.hill(canvas);
        self.stations(canvas);
        let y = self.ground(canvas);
        self.distance_axis(canvas, y)
    }

    /// Where an official distance lies.
    fn x(&self, official_m: f64) -> f64 {
        LEFT + official_m / self.end_m * self.wide
    }

    fn y(&self, height_m: f64) -> f64 {
        let (low, high) = self.heights_m;
        TOP + HIGH * (1.0 - (height_m - low) / (high - low))
    }

    /// The outline of the hill from one pixel to another.
    fn outline(&self, from: usize, to: usize) -> Vec<(f64, f64)> {
        let scale = self.wide / (self.line_m.len() - 1) as f64;
        (from..=to)
            .map(|px| (LEFT + px as f64 * scale, self.y(self.line_m[px])))
            .collect()
    }

    /// The hours of darkness, where it is known when the runner is where.
    fn dark(&self) -> Vec<(usize, usize)> {
        let Some(plan) = self.plan else {
            return Vec::new();
        };
        let course = self.course();
        let dark: Vec<bool> = (0..self.line_m.len())
            .map(|px| {
                let share = px as f64 / (self.line_m.len() - 1) as f64;
                let along_m = course.distance_of_official(share * self.end_m);
                let at_s = plan.pacing.elapsed_at_s(course, along_m);
                self.view.race.conditions.is_dark(along_m, at_s)
            })
            .collect();
        runs(&dark)
    }

    fn nights(&self, canvas: &mut Canvas<'_>) {
        for (from, to) in self.dark() {
            let wide = (to - from) as f64;
            let band = rect(LEFT + from as f64, TOP, wide, HIGH, self.theme.night);
            canvas.add(band.set("class", "night").empty());
        }
    }

    fn height_axis(&self, canvas: &mut Canvas<'_>) {
        let units = self.view.units;
        let per_unit = match units {
            Units::Metric => 1.0,
            Units::Imperial => M_PER_FOOT,
        };
        let (low, high) = self.heights_m;
        for mark in round_marks(low / per_unit, high / per_unit, 8.0) {
            let y = self.y(mark.at * per_unit);
            let rule = line((LEFT, y), (LEFT + self.wide, y), self.theme.grid, 1.0);
            canvas.add(rule.empty());
            let ink = Ink::of(self.theme.faint, SMALL).at(Anchor::End);
            canvas.words(LEFT - 8.0, y + 4.0, ink, &mark.label);
        }
        let ink = Ink::of(self.theme.faint, SMALL).at(Anchor::End);
        canvas.words(LEFT - 8.0, TOP - 12.0, ink, units.height_symbol());
    }

    /// The hill in shades of its steepness.
    fn hill(&self, canvas: &mut Canvas<'_>) {
        let last = self.line_m.len() - 1;
        let px_m = self.end_m / last as f64;
        let stretch = ((STRETCH_M / px_m).round() as usize).max(FEWEST_PX);
        let mut shades: Vec<(&str, usize, usize)> = Vec::new();
        let mut from = 0;
        while from < last {
            // what would be left over goes to the last one
            let to = if from + 2 * stretch > last {
                last
            } else {
                from + stretch
            };
            let run_m = (to - from) as f64 * px_m;
            let fill = self.shade((self.line_m[to] - self.line_m[from]) / run_m);
            match shades.last_mut() {
                Some((same, _, end)) if *same == fill => *end = to,
                _ => shades.push((fill, from, to)),
            }
            from = to;
        }
        for (fill, from, to) in shades {
            let mut area = self.outline(from, to);
            let (first, last) = (area[0].0, area[area.len() - 1].0);
            area.extend([(last, TOP + HIGH), (first, TOP + HIGH)]);
            let slope = path(&area, true).set("fill", fill);
            canvas.add(slope.set("shape-rendering", "crispEdges").empty());
        }
        let crest = path(&self.outline(0, last), false).stroke(self.theme.ink, 1.6);
        canvas.add(crest.set("stroke-linejoin", "round").empty());
    }

    fn shade(&self, gradient: f64) -> &'static str {
        let steps = STEEPER_FROM.iter().filter(|from| gradient.abs() >= **from);
        match (steps.count(), gradient > 0.0) {
            (0, _) => self.theme.level,
            (step, true) => self.theme.uphill[step - 1],
            (step, false) => self.theme.downhill[step - 1],
        }
    }

    fn stations(&self, canvas: &mut Canvas<'_>) {
        let course = self.course();
        let places: Vec<f64> = (course.stations.iter())
            .map(|station| self.x(station.official_m))
            .collect();
        for (x, station) in places.iter().zip(&course.stations) {
            let crest = self.y(course.profile.elevation_at_m(station.distance_m));
            let drop = line((*x, TOP), (*x, crest), self.theme.faint, 1.0);
            canvas.add(drop.dashed("2 2").empty());
            let dot = tag("circle").num("cx", *x).num("cy", crest).num("r", 2.6);
            canvas.add(dot.set("fill", self.theme.ink).empty());
        }
        canvas.badges(course, &places, 86.0, TOP, (LEFT, LEFT + self.wide));
    }

    /// The ground as a strip below the hill, where it changes; returns the strip's foot.
    fn ground(&self, canvas: &mut Canvas<'_>) -> f64 {
        let foot = TOP + HIGH;
        if self.surfaces().len() < 2 {
            return foot;
        }
        let course = self.course();
        let profile = &course.profile;
        let (mut from, mut strips) = (0, String::new());
        for to in 1..=profile.surface.len() {
            if profile.surface.get(to) == Some(&profile.surface[from]) {
                continue;
            }
            let x =
                |node: usize| self.x(course.official_of_distance(node as f64 * profile.spacing_m));
            let (start, end) = (x(from), x(to));
            let fill = fill_of(profile.surface[from], self.theme);
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

    /// What the ground is anywhere, in the order of files.
    fn surfaces(&self) -> Vec<(&'static str, Surface)> {
        let all = &self.course().profile.surface;
        let found = Surface::NAMES.into_iter();
        found.filter(|(_, kind)| all.contains(kind)).collect()
    }

    fn distance_axis(&self, canvas: &mut Canvas<'_>, y: f64) -> f64 {
        let unit_m = self.view.units.distance_unit_m();
        let foot = line((LEFT, y), (LEFT + self.wide, y), self.theme.ink, 1.0);
        canvas.add(foot.empty());
        for mark in distance_marks(self.end_m / unit_m, 12.0) {
            let x = self.x(mark.at * unit_m);
            canvas.add(line((x, y), (x, y + 5.0), self.theme.ink, 1.0).empty());
            let (ink, anchor) = if mark.end {
                (Ink::of(self.theme.ink, SMALL).bold(), Anchor::End)
            } else {
                (Ink::of(self.theme.faint, SMALL), Anchor::Middle)
            };
            let label = if mark.end {
                format!("{} {}", mark.label, self.view.units.distance_symbol())
            } else {
                mark.label
            };
            let shift = if mark.end { 4.0 } else { 0.0 };
            canvas.words(x + shift, y + 20.0, ink.at(anchor), &label);
        }
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
            let kinds = surfaces.into_iter();
            meanings.extend(kinds.map(|(name, kind)| {
                let strip = rect(0.0, 0.0, 24.0, GROUND, &fill_of(kind, theme));
                let strip = strip.stroke(theme.faint, 0.75).empty();
                let swatch = tag("g")
                    .set("transform", "translate(0 -6.5)")
                    .around(&strip);
                Meaning::new(swatch, name.replace('-', " "))
            }));
        }
        if !self.dark().is_empty() {
            let night = filled(theme, theme.night);
            meanings.push(Meaning::new(night, "dark when the plan passes"));
        }
        let stations = &self.course().stations;
        if stations.iter().any(|s| s.crew) {
            let swatch = crew_mark(theme, 12.0, 0.0);
            meanings.push(Meaning::new(swatch, "crew may meet the runner"));
        }
        if stations.iter().any(|s| s.drop_bag) {
            meanings.push(Meaning::new(bag_mark(theme, 12.0, 0.0), "drop bag"));
        }
        meanings
    }

    /// Every station with its distance and arrival, down the columns; returns the foot.
    fn list(&self, canvas: &mut Canvas<'_>, y: f64) -> f64 {
        const ROW: f64 = 20.0;
        const LEAST: f64 = 345.0;
        const GAP: f64 = 36.0;
        let stations = &self.course().stations;
        let columns = ((self.across - 2.0 * MARGIN + GAP) / (LEAST + GAP))
            .floor()
            .max(1.0);
        let wide = (self.across - 2.0 * MARGIN + GAP) / columns - GAP;
        let rows = stations.len().div_ceil(columns as usize);
        let rule = line(
            (MARGIN, y - 14.0),
            (self.across - MARGIN, y - 14.0),
            self.theme.grid,
            1.0,
        );
        canvas.add(rule.empty());
        for (index, station) in stations.iter().enumerate() {
            let left = MARGIN + (index / rows) as f64 * (wide + GAP);
            let base = y + 6.0 + (index % rows) as f64 * ROW;
            let (ink, faint) = (
                Ink::of(self.theme.ink, TEXT),
                Ink::of(self.theme.faint, TEXT),
            );
            let end = |ink: Ink| ink.at(Anchor::End);
            let label = number(self.course(), index);
            canvas.words(left + 22.0, base, end(faint), &label);
            // the mark of the crew stands nearest to the name
            let taken = if station.crew { 200.0 } else { 190.0 };
            let name = fitted(&clean(&station.name), TEXT, false, wide - taken);
            canvas.words(left + 30.0, base, ink, &name);
            if station.crew {
                canvas.add(crew_mark(self.theme, left + wide - 149.0, base - 4.5));
            }
            if station.drop_bag {
                canvas.add(bag_mark(self.theme, left + wide - 135.0, base - 4.5));
            }
            let km = self.view.units.distance_number(station.official_m);
            canvas.words(left + wide - 84.0, base, end(faint), &km);
            if let Some(plan) = self.plan {
                let arrival = plan.schedule.show(plan.schedule.splits[index].arrival);
                canvas.words(left + wide, base, end(ink), &arrival);
            }
        }
        y + rows as f64 * ROW + 10.0
    }
}

fn extremes(heights_m: &[f64]) -> (f64, f64) {
    let (low, high) = heights_m
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), h| {
            (low.min(*h), high.max(*h))
        });
    if low <= high { (low, high) } else { (0.0, 0.0) }
}

/// A diamond: the crew.
fn crew_mark(theme: &Theme, x: f64, y: f64) -> String {
    let corners = [(x, y - 5.5), (x + 5.5, y), (x, y + 5.5), (x - 5.5, y)];
    path(&corners, true).set("fill", theme.crew).empty()
}

/// A box with a lid: a drop bag.
fn bag_mark(theme: &Theme, x: f64, y: f64) -> String {
    rect(x - 4.5, y - 2.5, 9.0, 7.0, theme.faint).empty()
        + &line((x - 5.0, y - 4.5), (x + 5.0, y - 4.5), theme.faint, 1.5).empty()
}

/// How the ground is filled: by patterns that a printer without colours keeps apart.
fn fill_of(surface: Surface, theme: &Theme) -> String {
    match surface {
        Surface::Paved => theme.faint.to_owned(),
        Surface::SmoothTrail => theme.paper.to_owned(),
        Surface::Track => "url(#ground-track)".to_owned(),
        Surface::Rocky => "url(#ground-rocky)".to_owned(),
        Surface::Rough => "url(#ground-rough)".to_owned(),
        Surface::Sand => "url(#ground-sand)".to_owned(),
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
