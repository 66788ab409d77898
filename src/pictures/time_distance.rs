//! Distance across, the clock down: the plan's line in its window of early to late, what limits it,
//! the nights it runs through, and the crew on the road.

use crate::facts::{
    Facts, MeetingFacts, Moment, NightFacts, PlanFacts, REPEATED_HOUR, SplitFacts, StationFacts,
};

use super::Picture;
use super::axis::{hour_ticks, time_marks};
use super::canvas::{
    Anchor, Canvas, Ink, MARGIN, Meaning, SMALL, TEXT, badge_apart, filled, finished, lined,
    wide_enough,
};
use super::place::spread;
use super::svg::{line, path, rect, tag};
use super::theme::Theme;
use super::ways::Point;
use super::words::{clean, fitted, width};

/// The time-distance chart.
pub(super) const PICTURE: Picture = Picture {
    name: "time-distance",
    title: "Time and distance",
    draw,
    describe,
};

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
/// The same on paper, so that all of it stands on one sheet.
const HIGHEST_ON_PAPER: f64 = 800.0;
/// Limits later than this share of the finish are named in the ladder alone.
const SHOWN_BEYOND: f64 = 1.45;

struct TimePlot<'f> {
    facts: &'f Facts,
    plan: &'f PlanFacts,
    theme: &'f Theme,
    across: f64,
    wide: f64,
    high: f64,
    end_s: f64,
}

fn draw(facts: &Facts, theme: &Theme) -> String {
    let mut canvas = Canvas::new(theme);
    let about = describe(facts);
    let Some(plot) = TimePlot::of(facts, theme) else {
        canvas.heading(facts, PICTURE.title, theme.wide);
        return finished(facts, PICTURE.title, &about, (theme.wide, 80.0), &canvas);
    };
    canvas.heading(facts, PICTURE.title, plot.across);
    plot.nights(&mut canvas);
    plot.time_axis(&mut canvas);
    plot.distance_axis(&mut canvas);
    plot.falls(&mut canvas);
    plot.window(&mut canvas);
    plot.crew(&mut canvas);
    plot.run(&mut canvas);
    plot.stations(&mut canvas);
    let y = canvas.legend(&plot.meanings(), plot.across, TOP + plot.high + 58.0);
    finished(facts, PICTURE.title, &about, (plot.across, y), &canvas)
}

fn describe(facts: &Facts) -> String {
    let Some(plan) = facts.planned() else {
        return "No target finish, so no times.".to_owned();
    };
    let (first, last) = (&plan.splits[0], &plan.splits[plan.splits.len() - 1]);
    let mut said = format!(
        "From {} at {} to {} at {}.",
        clean(&first.station),
        first.arrival.text,
        clean(&last.station),
        plan.finish.text
    );
    let verdict = &plan.verdict;
    if let (Some(station), Some(margin)) = (&verdict.tightest, &verdict.margin) {
        said += &format!(
            " The least time in hand at a cutoff is {} at {}.",
            margin.text,
            clean(station)
        );
    }
    match plan.crew.len() {
        0 => {}
        1 => said += " The crew meets the runner once.",
        n => said += &format!(" The crew meets the runner {n} times."),
    }
    said
}

impl<'f> TimePlot<'f> {
    fn of(facts: &'f Facts, theme: &'f Theme) -> Option<TimePlot<'f>> {
        let plan = facts.planned()?;
        let ladder = LADDER.min(theme.wide * 0.56);
        // on paper the ladder alone tells the stations' numbers
        let across = if theme.is_paper() {
            theme.wide
        } else {
            wide_enough(&facts.stations, theme.wide, LEFT + ladder + 24.0)
        };
        let finish_s = plan.finish.elapsed.as_s().max(1.0);
        let ends = plan.splits.iter().flat_map(|split| {
            let limit = split.cutoff.as_ref();
            let limit = limit.filter(|at| at.elapsed.as_s() <= finish_s * SHOWN_BEYOND);
            [Some(&split.late), Some(&split.departure), limit]
        });
        let ends_s = ends.flatten().map(|at| at.elapsed.as_s());
        let end_s = ends_s.fold(finish_s, f64::max);
        let rows = (facts.stations.len() as f64 + 1.0) * ROW;
        Some(TimePlot {
            facts,
            plan,
            theme,
            across,
            wide: across - LEFT - ladder,
            high: (end_s / 3600.0 * HOUR_PX)
                .clamp(
                    LOWEST,
                    if theme.is_paper() {
                        HIGHEST_ON_PAPER
                    } else {
                        HIGHEST
                    },
                )
                .max(rows)
                .round(),
            // the last mark stands above the axis
            end_s: end_s * 1.015,
        })
    }

    /// Stations with their splits.
    fn stops(&self) -> impl Iterator<Item = (&'f StationFacts, &'f SplitFacts)> {
        self.facts.stations.iter().zip(&self.plan.splits)
    }

    fn x(&self, official_m: f64) -> f64 {
        LEFT + official_m / self.facts.race.0.length.value.max(1.0) * self.wide
    }

    fn y(&self, at_s: f64) -> f64 {
        TOP + at_s / self.end_s * self.high
    }

    fn point(&self, official_m: f64, at: &Moment) -> Point {
        (self.x(official_m), self.y(at.elapsed.as_s()))
    }

    /// Darkness as areas; where not every distance has the same nights, column by column.
    fn nights(&self, canvas: &mut Canvas<'_>) {
        for area in self.dark() {
            let night = path(&area, true).set("fill", self.theme.night);
            canvas.add(night.set("class", "night").empty());
        }
    }

    fn dark(&self) -> Vec<Vec<Point>> {
        // what is shown of them
        let shown = |night: &NightFacts| -> Vec<(f64, f64)> {
            let spans = night.dark_s.iter().filter(|(dusk, _)| *dusk < self.end_s);
            spans
                .map(|(dusk, dawn)| (self.y(*dusk), self.y(dawn.min(self.end_s))))
                .collect()
        };
        let columns = self.facts.profile.nights.iter();
        let columns: Vec<_> = columns
            .map(|night| (self.x(night.official_m), shown(night)))
            .collect();
        let count = columns.first().map_or(0, |(_, spans)| spans.len());
        if columns.iter().all(|(_, spans)| spans.len() == count) {
            let area = |night: usize| {
                let dusk = columns.iter().map(|(x, spans)| (*x, spans[night].0));
                let dawn = columns.iter().map(|(x, spans)| (*x, spans[night].1));
                dusk.chain(dawn.rev()).collect()
            };
            return (0..count).map(area).collect();
        }
        let pairs = columns.windows(2).flat_map(|pair| {
            let (left, right) = (pair[0].0, pair[1].0);
            let spans = pair[0].1.iter();
            spans.map(move |(top, foot)| {
                vec![(left, *top), (right, *top), (right, *foot), (left, *foot)]
            })
        });
        pairs.collect()
    }

    fn time_axis(&self, canvas: &mut Canvas<'_>) {
        let px_per_s = self.high / self.end_s;
        let hours = &self.facts.profile.hours;
        for at_s in hour_ticks(hours, self.end_s, px_per_s) {
            let y = self.y(at_s);
            canvas.rule((LEFT - 3.0, y), (LEFT, y), self.theme.faint, 1.0);
        }
        let ends = [&self.plan.splits[0].arrival, &self.plan.finish];
        for mark in time_marks(hours, ends, self.end_s, px_per_s, 17.0) {
            let y = self.y(mark.at);
            let (from, to) = ((LEFT, y), (LEFT + self.wide, y));
            canvas.rule(from, to, self.theme.grid, 1.0);
            canvas.rule((LEFT - 5.0, y), from, self.theme.ink, 1.0);
            let ink = if mark.end {
                Ink::of(self.theme.plan, SMALL).bold()
            } else {
                Ink::of(self.theme.faint, SMALL)
            };
            let ink = ink.at(Anchor::End);
            canvas.words(LEFT - 9.0, y + 4.0, ink, &mark.label);
        }
        let (top, foot) = ((LEFT, TOP), (LEFT, TOP + self.high));
        canvas.rule(top, foot, self.theme.ink, 1.0);
    }

    fn distance_axis(&self, canvas: &mut Canvas<'_>) {
        let y = TOP + self.high;
        let foot = line((LEFT, y), (LEFT + self.wide, y), self.theme.ink, 1.0);
        canvas.add(foot.empty());
        canvas.distances(self.facts, |m| self.x(m), y, (10.0, Anchor::Middle));
    }

    /// The plan over one segment, from the arrival at the station before: distances and race
    /// times; the stop as a fall.
    fn way(&self, segment: usize) -> Vec<Point> {
        let profile = &self.facts.profile;
        let ends = [segment, segment + 1].map(|k| &self.plan.splits[k]);
        let (from, to) = (ends[0].official.value, ends[1].official.value);
        let (leave, arrive) = (
            ends[0].departure.elapsed.as_s(),
            ends[1].arrival.elapsed.as_s(),
        );
        let mut points = vec![(from, ends[0].arrival.elapsed.as_s()), (from, leave)];
        let samples = profile.elapsed_s.iter().enumerate();
        let within = samples
            .map(|(index, at_s)| (index as f64 * profile.step_m, *at_s))
            .filter(|(at_m, _)| *at_m > from && *at_m < to);
        // rounding to seconds and the stop at a node must not turn the line back
        points.extend(within.map(|(at_m, at_s)| (at_m, at_s.clamp(leave, arrive.max(leave)))));
        points.push((to, arrive));
        points
    }

    /// The plan's line, shifted as a time of the splits differs from the planned arrival.
    fn shifted(&self, time: fn(&SplitFacts) -> &Moment) -> Vec<Point> {
        let shift_s = |split: &SplitFacts| (time(split).elapsed - split.arrival.elapsed).as_s();
        let segments = 0..self.facts.segments.len();
        let points = segments.flat_map(|segment| {
            let ends = [segment, segment + 1].map(|k| &self.plan.splits[k]);
            let (from, to) = (ends[0].official.value, ends[1].official.value);
            let way = self.way(segment).into_iter();
            way.map(move |(at_m, at_s)| {
                let share = ((at_m - from) / (to - from).max(1.0)).clamp(0.0, 1.0);
                let shift = shift_s(ends[0]) * (1.0 - share) + shift_s(ends[1]) * share;
                (self.x(at_m), self.y(at_s + shift))
            })
        });
        points.collect()
    }

    /// From early to late, and the likely time where it is not the planned one.
    fn window(&self, canvas: &mut Canvas<'_>) {
        let (early, late) = (self.shifted(|s| &s.early), self.shifted(|s| &s.late));
        let area: Vec<Point> = early.iter().chain(late.iter().rev()).copied().collect();
        let fill = path(&area, true).set("fill", self.theme.plan);
        canvas.add(fill.num("fill-opacity", 0.2).set("class", "window").empty());
        for side in [early, late] {
            let side = path(&side, false).stroke(self.theme.plan, 0.75);
            canvas.add(side.num("stroke-opacity", 0.6).empty());
        }
        if self.likely_differs() {
            let likely = path(&self.shifted(|s| &s.likely), false);
            let likely = likely.stroke(self.theme.plan, 1.4).dashed("4 3");
            canvas.add(likely.set("class", "likely").empty());
        }
    }

    /// True where the likely arrivals are other than the planned ones.
    fn likely_differs(&self) -> bool {
        let mut splits = self.plan.splits.iter();
        splits.any(|split| split.likely.text != split.arrival.text)
    }

    fn run(&self, canvas: &mut Canvas<'_>) {
        for (index, segment) in self.facts.segments.iter().enumerate() {
            let way = self.way(index).into_iter();
            let points: Vec<Point> = way.map(|(m, s)| (self.x(m), self.y(s))).collect();
            let run = path(&points, false).stroke(self.theme.plan, 2.6);
            let run = run
                .set("stroke-linejoin", "round")
                .set("stroke-linecap", "round");
            canvas.add(run.set("id", &segment.id).empty());
        }
    }

    /// The stations' points on the line: across, down, and where their rungs of the ladder stand.
    fn places(&self) -> (Vec<f64>, Vec<f64>, Vec<f64>) {
        let points = self
            .stops()
            .map(|(station, split)| self.point(station.official.value, &split.arrival));
        let (across, down): (Vec<f64>, Vec<f64>) = points.unzip();
        let rungs = spread(&down, ROW, TOP, TOP + self.high);
        (across, down, rungs)
    }

    /// A fall at every station, and a leader from its point to its rung.
    fn falls(&self, canvas: &mut Canvas<'_>) {
        let (across, down, rungs) = self.places();
        let edge = LEFT + self.wide;
        for (x, (y, rung)) in across.iter().zip(down.iter().zip(&rungs)) {
            let foot = (*x, TOP + self.high);
            canvas.rule((*x, TOP), foot, self.theme.grid, 1.0);
            let leader = [(*x, *y), (edge, *y), (edge + 22.0, *rung)];
            let leader = path(&leader, false).stroke(self.theme.faint, 0.75);
            canvas.add(leader.num("stroke-opacity", 0.55).empty());
        }
    }

    /// Every station: its number above, its point on the line, its cutoff, and beside them its
    /// name and times, in the order of the clock.
    fn stations(&self, canvas: &mut Canvas<'_>) {
        let apart = badge_apart(&self.facts.stations);
        let (across, down, rungs) = self.places();
        let edge = LEFT + self.wide;
        let spots = spread(&across, apart, LEFT, edge);
        self.ladder_heads(canvas);
        let places = across.iter().zip(&down).zip(spots.iter().zip(&rungs));
        for ((station, split), ((x, y), (spot, rung))) in self.stops().zip(places) {
            canvas.marked(&station.id, |canvas| {
                if !self.theme.is_paper() {
                    canvas.badge_at(station, (*spot, 86.0), (*x, TOP), apart);
                }
                self.limit(canvas, station, split);
                let dot = tag("circle").num("cx", *x).num("cy", *y).num("r", 3.4);
                let dot = dot.set("fill", self.theme.paper);
                canvas.add(dot.stroke(self.theme.plan, 1.8).empty());
                self.rung(canvas, station, split, (edge + 36.0, *rung));
            });
        }
    }

    /// A cutoff: a bar that the line must pass above, hollow where it is on departure.
    fn limit(&self, canvas: &mut Canvas<'_>, station: &StationFacts, split: &SplitFacts) {
        let shown = |at: &&Moment| at.elapsed.as_s() <= self.end_s;
        let Some(limit) = split.cutoff.as_ref().filter(shown) else {
            return;
        };
        let (x, y) = self.point(station.official.value, limit);
        let leaves = split.cutoff_on == Some("departure");
        let held = if leaves {
            &split.departure
        } else {
            &split.arrival
        };
        let (_, from) = self.point(station.official.value, held);
        let hand = line((x, from), (x, y), self.theme.limit, 1.2).dashed("1.5 2.5");
        canvas.add(hand.empty());
        canvas.add(limit_mark(self.theme, (x, y), leaves));
    }

    /// The crew: bars where it stands, dashes where it drives.
    fn crew(&self, canvas: &mut Canvas<'_>) {
        let mut from_m = 0.0;
        for meeting in &self.plan.crew {
            let at_m = meeting.official.value;
            let from = &meeting.be_there;
            let there = self.point(at_m, from);
            let missed = from.elapsed > meeting.leaves.elapsed;
            let until = if missed { from } else { &meeting.leaves };
            let (_, until) = self.point(at_m, until);
            let bar = rect(
                there.0 - 3.5,
                there.1,
                7.0,
                until - there.1,
                self.theme.crew,
            );
            canvas.add(bar.num("fill-opacity", 0.45).set("class", "crew").empty());
            if let (Some(off), true) = (&meeting.drive_off_by, meeting.is_driven_to()) {
                let (x, y) = self.point(from_m, off);
                let road = line((x, y.max(TOP)), there, self.theme.crew, 2.0);
                canvas.add(road.dashed("7 3 2 3").empty());
            }
            from_m = at_m;
        }
    }

    fn rung(
        &self,
        canvas: &mut Canvas<'_>,
        station: &StationFacts,
        split: &SplitFacts,
        (left, middle): Point,
    ) {
        let apart = badge_apart(&self.facts.stations);
        canvas.badge((left - 2.0, middle), &station.number, apart);
        let (base, right) = (middle + 4.5, self.across - MARGIN);
        let ink = Ink::of(self.theme.ink, TEXT);
        let name_left = left + apart / 2.0 + 4.0;
        let room = right - 238.0 - name_left;
        let name = clean(&station.station);
        // smaller where that saves it from being cut
        let is_saved = width(&name, TEXT, false) > room && width(&name, SMALL, false) < room;
        let size = if is_saved { SMALL } else { TEXT };
        let ink_of_name = Ink::of(self.theme.ink, size);
        canvas.words(
            name_left,
            base,
            ink_of_name,
            &fitted(&name, size, false, room),
        );
        let end = ink.at(Anchor::End);
        canvas.words(right - 142.0, base, end.bold(), &split.arrival.text);
        if let (Some(limit), Some(margin)) = (&split.cutoff, &split.margin) {
            let colour = Ink::of(self.theme.limit, TEXT).at(Anchor::End);
            canvas.words(right - 60.0, base, colour, &limit.text);
            let missed = split.margin_is == Some("missed");
            let hand = if missed { colour.bold() } else { end };
            canvas.words(right, base, hand, &margin.text);
        }
    }

    fn ladder_heads(&self, canvas: &mut Canvas<'_>) {
        let head = Ink::of(self.theme.faint, SMALL).at(Anchor::End);
        let (right, y) = (self.across - MARGIN, 90.0);
        canvas.words(right - 142.0, y, head, "arrive");
        if self.plan.splits.iter().any(|split| split.cutoff.is_some()) {
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
        if self.likely_differs() {
            meanings.push(Meaning::new(lined(theme.plan, 1.4, "4 3"), "likely"));
        }
        for on in ["arrival", "departure"] {
            if self
                .plan
                .splits
                .iter()
                .any(|split| split.cutoff_on == Some(on))
            {
                let mark = limit_mark(theme, (12.0, 0.0), on == "departure");
                meanings.push(Meaning::new(mark, format!("cutoff on {on}")));
            }
        }
        if !self.plan.crew.is_empty() {
            let bar = rect(8.5, -7.0, 7.0, 14.0, theme.crew).num("fill-opacity", 0.45);
            meanings.push(Meaning::new(bar.empty(), "crew on the spot"));
        }
        if self.plan.crew.iter().any(MeetingFacts::is_driven_to) {
            let road = lined(theme.crew, 2.0, "7 3 2 3");
            meanings.push(Meaning::new(road, "crew drives off by then at the latest"));
        }
        if !self.dark().is_empty() {
            meanings.push(Meaning::new(filled(theme, theme.night), "dark"));
        }
        let mut hours = self.facts.profile.hours.iter();
        if hours.any(|hour| hour.repeated && hour.at.elapsed.as_s() <= self.end_s) {
            meanings.push(Meaning::group(REPEATED_HOUR));
        }
        meanings
    }
}

/// A bar on the time at which a station closes; hollow where it limits leaving.
fn limit_mark(theme: &Theme, (x, y): Point, leaves: bool) -> String {
    let fill = if leaves { theme.paper } else { theme.limit };
    let bar = rect(x - 9.0, y, 18.0, 4.5, fill).stroke(theme.limit, 1.3);
    bar.set("class", "cutoff").empty()
}
