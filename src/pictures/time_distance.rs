//! Distance across, the clock down: the plan's line in its window of early to late, what limits it,
//! the nights it runs through, and the crew on the road.

use crate::course::Course;
use crate::inputs::stations_csv::CutoffOn;
use crate::plan::Plan;
use crate::reports::View;
use crate::schedule::Split;
use crate::time::Elapsed;

use super::Picture;
use super::axis::{distance_marks, time_marks};
use super::canvas::{
    Anchor, Canvas, Ink, MARGIN, Meaning, SMALL, TEXT, badge_apart, end_m, filled, lined, number,
    wide_enough,
};
use super::nights;
use super::place::spread;
use super::svg::{document, line, path, rect, tag};
use super::theme::Theme;
use super::words::{clean, fitted};

/// The time-distance chart.
pub(super) const PICTURE: Picture = Picture {
    name: "time-distance",
    title: "Time and distance",
    draw,
    describe,
};

const WIDTH: f64 = 1160.0;
const LEFT: f64 = 104.0;
/// Room for the stations' names and times on the right.
const LADDER: f64 = 470.0;
const TOP: f64 = 116.0;
/// Rows of the ladder are at least this far apart.
const ROW: f64 = 19.0;
/// Heights: an hour has about this many, within bounds.
const HOUR_PX: f64 = 27.0;
const LOWEST: f64 = 480.0;
const HIGHEST: f64 = 900.0;
/// Limits later than this share of the finish are named in the ladder alone.
const SHOWN_BEYOND: f64 = 1.45;
/// The line is drawn every so many pixels.
const EVERY_PX: f64 = 2.0;
/// Nights are looked up at so many distances.
const NIGHT_COLUMNS: usize = 24;

struct Plot<'v> {
    view: &'v View<'v>,
    plan: &'v Plan,
    theme: &'v Theme,
    across: f64,
    wide: f64,
    high: f64,
    end_m: f64,
    end_s: f64,
}

fn draw(view: &View<'_>, theme: &Theme) -> String {
    let mut canvas = Canvas::new(theme);
    let name = format!("{}: {}", clean(&view.race.course.name), PICTURE.title);
    let Some(plot) = Plot::of(view, theme) else {
        canvas.heading(view, PICTURE.title, WIDTH);
        let size = (WIDTH, 80.0);
        return document(size, theme.paper, &name, &describe(view), &canvas.body);
    };
    canvas.heading(view, PICTURE.title, plot.across);
    plot.nights(&mut canvas);
    plot.time_axis(&mut canvas);
    plot.stations(&mut canvas);
    plot.distance_axis(&mut canvas);
    plot.window(&mut canvas);
    plot.ladder(&mut canvas);
    plot.crew(&mut canvas);
    plot.run(&mut canvas);
    plot.limits(&mut canvas);
    let y = canvas.legend(&plot.meanings(), plot.across, TOP + plot.high + 58.0);
    let size = (plot.across, y);
    document(size, theme.paper, &name, &describe(view), &canvas.body)
}

fn describe(view: &View<'_>) -> String {
    let Some(plan) = view.plans.first() else {
        return "No target finish, so no times.".to_owned();
    };
    let course = &view.race.course;
    let show = |elapsed| plan.schedule.show(elapsed);
    let mut said = format!(
        "From {} at {} to {} at {}.",
        clean(&course.stations[0].name),
        show(Elapsed::ZERO),
        clean(&course.stations[course.stations.len() - 1].name),
        show(plan.finish)
    );
    let limits = plan.schedule.splits.iter().filter(|s| s.cutoff.is_some());
    let least = limits.filter_map(|s| s.margin.map(|margin| (margin, s.station)));
    if let Some((margin, station)) = least.min() {
        let name = clean(&course.stations[station].name);
        said += &format!(
            " The least time in hand at a cutoff is {} at {name}.",
            margin.to_margin_text()
        );
    }
    match plan.crew.meetings.len() {
        0 => {}
        1 => said += " The crew meets the runner once.",
        n => said += &format!(" The crew meets the runner {n} times."),
    }
    said
}

impl<'v> Plot<'v> {
    fn of(view: &'v View<'v>, theme: &'v Theme) -> Option<Plot<'v>> {
        let plan = view.plans.first()?;
        let course = &view.race.course;
        let across = wide_enough(course, WIDTH, LEFT + LADDER + 24.0);
        let splits = &plan.schedule.splits;
        let latest = splits
            .iter()
            .map(|split| split.late.max(split.departure))
            .max();
        let limits = splits.iter().filter_map(|s| s.cutoff.map(|c| c.elapsed));
        let finish_s = plan.finish.as_s().max(1.0);
        let shown = limits.filter(|limit| limit.as_s() <= finish_s * SHOWN_BEYOND);
        let limit_s = shown.max().map_or(0.0, Elapsed::as_s);
        let end_s = latest.map_or(finish_s, Elapsed::as_s).max(limit_s);
        let rows = (course.stations.len() as f64 + 1.0) * ROW;
        Some(Plot {
            view,
            plan,
            theme,
            across,
            wide: across - LEFT - LADDER,
            high: (end_s / 3600.0 * HOUR_PX)
                .clamp(LOWEST, HIGHEST)
                .max(rows)
                .round(),
            end_m: end_m(course),
            // the last mark stands above the axis
            end_s: end_s * 1.015,
        })
    }

    fn course(&self) -> &'v Course {
        &self.view.race.course
    }

    fn splits(&self) -> &'v [Split] {
        &self.plan.schedule.splits
    }

    fn x(&self, official_m: f64) -> f64 {
        LEFT + official_m / self.end_m * self.wide
    }

    fn y(&self, at_s: f64) -> f64 {
        TOP + at_s / self.end_s * self.high
    }

    fn station_x(&self, station: usize) -> f64 {
        self.x(self.course().stations[station].official_m)
    }

    fn point(&self, station: usize, at: Elapsed) -> (f64, f64) {
        (self.station_x(station), self.y(at.as_s()))
    }

    /// Darkness as areas; where not every distance has the same nights, column by column.
    fn nights(&self, canvas: &mut Canvas<'_>) {
        for area in self.dark() {
            let night = path(&area, true).set("fill", self.theme.night);
            canvas.add(night.set("class", "night").empty());
        }
    }

    fn dark(&self) -> Vec<Vec<(f64, f64)>> {
        let course = self.course();
        let at = |column: usize| {
            let official_m = column as f64 / NIGHT_COLUMNS as f64 * self.end_m;
            let along_m = course.distance_of_official(official_m);
            let dark = nights::at(&self.view.race.conditions, along_m, self.end_s);
            (self.x(official_m), dark)
        };
        let columns: Vec<(f64, Vec<(f64, f64)>)> = (0..=NIGHT_COLUMNS).map(at).collect();
        let count = columns[0].1.len();
        let mut areas: Vec<Vec<(f64, f64)>> = Vec::new();
        if columns.iter().all(|(_, dark)| dark.len() == count) {
            for night in 0..count {
                let dusk = columns.iter().map(|(x, dark)| (*x, self.y(dark[night].0)));
                let dawn = columns.iter().map(|(x, dark)| (*x, self.y(dark[night].1)));
                areas.push(dusk.chain(dawn.rev()).collect());
            }
        } else {
            for pair in columns.windows(2) {
                let (left, right) = (pair[0].0, pair[1].0);
                areas.extend(pair[0].1.iter().map(|(dusk, dawn)| {
                    let (top, foot) = (self.y(*dusk), self.y(*dawn));
                    vec![(left, top), (right, top), (right, foot), (left, foot)]
                }));
            }
        }
        areas
    }

    fn time_axis(&self, canvas: &mut Canvas<'_>) {
        let px_per_s = self.high / self.end_s;
        let schedule = &self.plan.schedule;
        for mark in time_marks(schedule, self.plan.finish, self.end_s, px_per_s, 17.0) {
            let y = self.y(mark.at);
            let (from, to) = ((LEFT, y), (LEFT + self.wide, y));
            canvas.add(line(from, to, self.theme.grid, 1.0).empty());
            canvas.add(line((LEFT - 5.0, y), from, self.theme.ink, 1.0).empty());
            let ink = if mark.end {
                Ink::of(self.theme.plan, SMALL).bold()
            } else {
                Ink::of(self.theme.faint, SMALL)
            };
            let ink = ink.at(Anchor::End);
            canvas.words(LEFT - 9.0, y + 4.0, ink, &mark.label);
        }
        let (top, foot) = ((LEFT, TOP), (LEFT, TOP + self.high));
        canvas.add(line(top, foot, self.theme.ink, 1.0).empty());
    }

    fn distance_axis(&self, canvas: &mut Canvas<'_>) {
        let (units, y) = (self.view.units, TOP + self.high);
        let foot = line((LEFT, y), (LEFT + self.wide, y), self.theme.ink, 1.0);
        canvas.add(foot.empty());
        let unit_m = units.distance_unit_m();
        for mark in distance_marks(self.end_m / unit_m, 10.0) {
            let x = self.x(mark.at * unit_m);
            canvas.add(line((x, y), (x, y + 5.0), self.theme.ink, 1.0).empty());
            let (ink, label) = if mark.end {
                let label = format!("{} {}", mark.label, units.distance_symbol());
                (Ink::of(self.theme.ink, SMALL).bold(), label)
            } else {
                (Ink::of(self.theme.faint, SMALL), mark.label)
            };
            canvas.words(x, y + 20.0, ink.at(Anchor::Middle), &label);
        }
    }

    fn stations(&self, canvas: &mut Canvas<'_>) {
        let course = self.course();
        let places: Vec<f64> = (0..course.stations.len())
            .map(|station| self.station_x(station))
            .collect();
        for x in &places {
            let fall = line((*x, TOP), (*x, TOP + self.high), self.theme.grid, 1.0);
            canvas.add(fall.empty());
        }
        let ends = (LEFT, LEFT + self.wide);
        canvas.badges(course, &places, 86.0, TOP, ends);
    }

    /// The plan's line: race time over distance, stops as falls.
    fn line(&self) -> Vec<(f64, f64)> {
        let (course, splits) = (self.course(), self.splits());
        let mut points = Vec::new();
        for (split, station) in splits.iter().zip(&course.stations) {
            points.push((station.official_m, split.arrival.as_s()));
            if split.departure != split.arrival {
                points.push((station.official_m, split.departure.as_s()));
            }
            let Some(next) = course.stations.get(split.station + 1) else {
                continue;
            };
            let across = (self.x(next.official_m) - self.x(station.official_m)) / EVERY_PX;
            let steps = across.floor().max(1.0) as usize;
            for step in 1..steps {
                let share = step as f64 / steps as f64;
                let along_m = station.distance_m + (next.distance_m - station.distance_m) * share;
                let at_s = self.plan.pacing.elapsed_at_s(course, along_m);
                // rounding to seconds and the stop at a node must not turn the line back
                let within = (
                    split.departure.as_s(),
                    splits[split.station + 1].arrival.as_s(),
                );
                let at_s = at_s.clamp(within.0, within.1.max(within.0));
                points.push((course.official_of_distance(along_m), at_s));
            }
        }
        points
    }

    /// From early to late: the line, shifted as the windows at the stations say.
    fn window(&self, canvas: &mut Canvas<'_>) {
        let line = self.line();
        let edge = |ends: fn(&Split) -> Elapsed| -> Vec<(f64, f64)> {
            line.iter()
                .map(|(m, s)| (self.x(*m), self.y(s + self.shift_s(*m, ends))))
                .collect()
        };
        let (early, late) = (edge(|s| s.early), edge(|s| s.late));
        let area: Vec<(f64, f64)> = early.iter().chain(late.iter().rev()).copied().collect();
        let fill = path(&area, true).set("fill", self.theme.plan);
        canvas.add(fill.num("fill-opacity", 0.2).set("class", "window").empty());
        for side in [early, late] {
            let side = path(&side, false).stroke(self.theme.plan, 0.75);
            canvas.add(side.num("stroke-opacity", 0.6).empty());
        }
    }

    /// How much earlier or later than the plan an end of the window is at a distance, seconds.
    fn shift_s(&self, official_m: f64, end: fn(&Split) -> Elapsed) -> f64 {
        let stations = &self.course().stations;
        let next = stations.partition_point(|s| s.official_m < official_m);
        let next = next.clamp(1, stations.len() - 1);
        let shift = |station: usize| {
            let split = &self.splits()[station];
            (end(split) - split.arrival).as_s()
        };
        let (from, to) = (stations[next - 1].official_m, stations[next].official_m);
        let share = ((official_m - from) / (to - from).max(1.0)).clamp(0.0, 1.0);
        shift(next - 1) + (shift(next) - shift(next - 1)) * share
    }

    fn run(&self, canvas: &mut Canvas<'_>) {
        let points: Vec<(f64, f64)> = (self.line().iter())
            .map(|(m, s)| (self.x(*m), self.y(*s)))
            .collect();
        let run = path(&points, false).stroke(self.theme.plan, 2.6);
        canvas.add(run.set("stroke-linejoin", "round").empty());
        for split in self.splits() {
            let (x, y) = self.point(split.station, split.arrival);
            let dot = tag("circle").num("cx", x).num("cy", y).num("r", 3.4);
            let dot = dot.set("fill", self.theme.paper);
            canvas.add(dot.stroke(self.theme.plan, 1.8).empty());
        }
    }

    /// Cutoffs: bars that the line must pass above, hollow where they are on departure.
    fn limits(&self, canvas: &mut Canvas<'_>) {
        for split in self.splits() {
            let Some(limit) = split.cutoff else { continue };
            if limit.elapsed.as_s() > self.end_s {
                continue;
            }
            let (x, y) = self.point(split.station, limit.elapsed);
            let held = match limit.on {
                CutoffOn::Arrival => split.arrival,
                CutoffOn::Departure => split.departure,
            };
            let (_, from) = self.point(split.station, held);
            let hand = line((x, from), (x, y), self.theme.limit, 1.2).dashed("1.5 2.5");
            canvas.add(hand.empty());
            canvas.add(limit_mark(self.theme, (x, y), limit.on));
        }
    }

    /// The crew: bars where it stands, dashes where it drives.
    fn crew(&self, canvas: &mut Canvas<'_>) {
        let mut before = 0;
        for meeting in &self.plan.crew.meetings {
            let there = self.point(meeting.station, meeting.be_there);
            let until = self.y(meeting.departure.as_s());
            let bar = rect(
                there.0 - 3.5,
                there.1,
                7.0,
                until - there.1,
                self.theme.crew,
            );
            canvas.add(bar.num("fill-opacity", 0.45).set("class", "crew").empty());
            let drives = meeting.drive_s.is_some_and(|s| s > 0.0);
            if let (Some(leave_by), true) = (meeting.leave_by, drives) {
                let road = line(
                    self.point(before, leave_by.max(Elapsed::ZERO)),
                    there,
                    self.theme.crew,
                    2.0,
                );
                canvas.add(road.dashed("7 3 2 3").empty());
            }
            before = meeting.station;
        }
    }

    /// Names and times beside the points, in the order of the clock, each led to its own.
    fn ladder(&self, canvas: &mut Canvas<'_>) {
        let course = self.course();
        let wanted: Vec<f64> = (self.splits().iter())
            .map(|split| self.y(split.arrival.as_s()))
            .collect();
        let places = spread(&wanted, ROW, TOP, TOP + self.high);
        let edge = LEFT + self.wide;
        let left = edge + 36.0;
        let right = self.across - MARGIN;
        self.ladder_heads(canvas, right);
        for (split, (from, to)) in self.splits().iter().zip(wanted.iter().zip(&places)) {
            let x = self.station_x(split.station);
            let leader = [(x, *from), (edge, *from), (left - 14.0, *to)];
            let leader = path(&leader, false).stroke(self.theme.faint, 0.75);
            canvas.add(leader.num("stroke-opacity", 0.55).empty());
            let label = number(course, split.station);
            canvas.badge((left - 2.0, *to), &label, badge_apart(course));
            let base = to + 4.5;
            let ink = Ink::of(self.theme.ink, TEXT);
            let name_left = left + badge_apart(course) / 2.0 + 4.0;
            let room = right - 238.0 - name_left;
            let name = fitted(
                &clean(&course.stations[split.station].name),
                TEXT,
                false,
                room,
            );
            canvas.words(name_left, base, ink, &name);
            let arrive = self.plan.schedule.show(split.arrival);
            let end = ink.at(Anchor::End);
            canvas.words(right - 142.0, base, end.bold(), &arrive);
            if let (Some(limit), Some(margin)) = (split.cutoff, split.margin) {
                let limit = self.plan.schedule.show(limit.elapsed);
                let colour = Ink::of(self.theme.limit, TEXT).at(Anchor::End);
                canvas.words(right - 60.0, base, colour, &limit);
                let hand = if margin < Elapsed::ZERO {
                    colour.bold()
                } else {
                    end
                };
                canvas.words(right, base, hand, &margin.to_margin_text());
            }
        }
    }

    fn ladder_heads(&self, canvas: &mut Canvas<'_>, right: f64) {
        let head = Ink::of(self.theme.faint, SMALL).at(Anchor::End);
        let y = 90.0;
        canvas.words(right - 142.0, y, head, "arrive");
        if self.splits().iter().any(|split| split.cutoff.is_some()) {
            canvas.words(right - 60.0, y, head, "cutoff");
            canvas.words(right, y, head, "in hand");
        }
    }

    fn meanings(&self) -> Vec<Meaning> {
        let theme = self.theme;
        let window = rect(0.0, -6.0, 24.0, 12.0, theme.plan).num("fill-opacity", 0.2);
        let mut meanings = vec![
            Meaning::new(lined(theme.plan, 2.6, ""), "plan"),
            Meaning::new(
                window.stroke(theme.plan, 0.75).empty(),
                "early to late: eight races in ten",
            ),
        ];
        let has = |on: CutoffOn| {
            let mut limits = self.splits().iter().filter_map(|s| s.cutoff);
            limits.any(|limit| limit.on == on)
        };
        if has(CutoffOn::Arrival) {
            let mark = limit_mark(theme, (12.0, 0.0), CutoffOn::Arrival);
            meanings.push(Meaning::new(mark, "cutoff on arrival"));
        }
        if has(CutoffOn::Departure) {
            let mark = limit_mark(theme, (12.0, 0.0), CutoffOn::Departure);
            meanings.push(Meaning::new(mark, "cutoff on departure"));
        }
        if !self.plan.crew.meetings.is_empty() {
            let bar = rect(8.5, -7.0, 7.0, 14.0, theme.crew).num("fill-opacity", 0.45);
            meanings.push(Meaning::new(bar.empty(), "crew on the spot"));
        }
        if self
            .plan
            .crew
            .meetings
            .iter()
            .any(|m| m.drive_s > Some(0.0))
        {
            let road = lined(theme.crew, 2.0, "7 3 2 3");
            meanings.push(Meaning::new(road, "crew drives, leaving as late as may be"));
        }
        if !self.dark().is_empty() {
            meanings.push(Meaning::new(filled(theme, theme.night), "dark"));
        }
        let clock = self.plan.schedule.clock;
        let quarters = 0..=self.end_s as i64 / 900;
        let repeats = |q: i64| {
            clock.is_some_and(|clock| clock.repeated(Elapsed::from_secs(q * 900)).is_some())
        };
        if quarters.into_iter().any(repeats) {
            meanings.push(Meaning::group(
                "¹ ² first and second time the clocks show that hour",
            ));
        }
        meanings
    }
}

/// A bar on the time at which a station closes, its teeth where it is too late.
fn limit_mark(theme: &Theme, at: (f64, f64), on: CutoffOn) -> String {
    let (x, y) = at;
    let fill = match on {
        CutoffOn::Arrival => theme.limit,
        CutoffOn::Departure => theme.paper,
    };
    let bar = rect(x - 9.0, y, 18.0, 4.5, fill).stroke(theme.limit, 1.3);
    bar.set("class", "cutoff").empty()
}
