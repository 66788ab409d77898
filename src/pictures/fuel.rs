//! Hourly needs of each segment against what is planned: fluid in the band of sweat, then
//! carbohydrate and sodium, with what all of it comes to beside.

use crate::facts::{Facts, Measure, Moment, NeedFacts, PickupFacts, PlanFacts};

use super::Picture;
use super::axis::{hour_ticks, round_marks, runs, time_marks};
use super::canvas::{Anchor, Canvas, Ink, Meaning, SMALL, TEXT, finished, lined, wide_enough};
use super::svg::{line, rect};
use super::theme::Theme;
use super::words::width;

/// The fuel chart.
pub(super) const PICTURE: Picture = Picture {
    name: "fuel",
    title: "Drinking and eating by the hour",
    draw,
    describe,
};

const LEFT: f64 = 72.0;
/// Room for what everything comes to, on the right.
const SUMS: f64 = 236.0;
/// The same on paper.
const NARROW: f64 = 196.0;
const TOP: f64 = 116.0;
/// A panel, and from one to the next.
const HIGH: f64 = 158.0;
const APART: f64 = 202.0;
const BOUND_DASHES: &str = "1.5 3.5";
/// Cautions in the picture itself: those that always hold.
const CAUTIONS: usize = 3;

/// The kind of a series.
#[derive(Clone, Copy, PartialEq)]
enum MarkKind {
    /// Leaves the body, by estimate.
    Lost,
    /// Asked for.
    Needed,
    /// Goes in: planned to drink, or packed to eat.
    Taken,
    /// A bound: what the flasks are filled with, what was held on a long run.
    Bound,
}

/// An amount an hour, and the race times between which it holds, seconds.
struct PlotStep {
    from_s: f64,
    to_s: f64,
    rate: f64,
}

/// Steps of one thing along the race.
struct PlotSeries<'f> {
    kind: MarkKind,
    words: &'static str,
    /// What it comes to; of a bound its rate, where that is the same all along.
    total: Option<&'f Measure>,
    steps: Vec<PlotStep>,
}

/// One of the three diagrams.
struct Panel<'f> {
    title: &'static str,
    unit: String,
    series: Vec<PlotSeries<'f>>,
    /// Between which the loss lies, segment by segment.
    band: Vec<(f64, f64)>,
}

struct FuelPlot<'f> {
    facts: &'f Facts,
    plan: &'f PlanFacts,
    theme: &'f Theme,
    wide: f64,
    panels: Vec<Panel<'f>>,
}

fn draw(facts: &Facts, theme: &Theme) -> String {
    let mut canvas = Canvas::new(theme);
    let about = describe(facts);
    let Some(plan) = facts.planned() else {
        canvas.heading(facts, PICTURE.title, theme.wide);
        return finished(facts, PICTURE.title, &about, (theme.wide, 80.0), &canvas);
    };
    let sums = if theme.is_paper() { NARROW } else { SUMS };
    let across = wide_enough(&facts.stations, theme.wide, LEFT + sums);
    let plot = FuelPlot {
        facts,
        plan,
        theme,
        wide: across - LEFT - sums,
        panels: panels(facts, plan),
    };
    canvas.heading(facts, PICTURE.title, across);
    plot.nights(&mut canvas);
    for (index, panel) in plot.panels.iter().enumerate() {
        plot.frame(&mut canvas, panel, plot.top(index));
    }
    plot.stations(&mut canvas);
    plot.steps(&mut canvas);
    let y = plot.time_axis(&mut canvas);
    let mut y = canvas.legend(&plot.meanings(), across, y + 32.0);
    for caution in plan.cautions.iter().take(CAUTIONS) {
        y = canvas.paragraph(caution.text, across, y + 4.0);
    }
    finished(facts, PICTURE.title, &about, (across, y), &canvas)
}

fn describe(facts: &Facts) -> String {
    let Some(plan) = facts.planned() else {
        return "No target finish, so no needs.".to_owned();
    };
    let mut said = String::from("By the finish, as estimates:");
    for panel in panels(facts, plan) {
        let told = panel.series.iter().filter(|series| series.total.is_some());
        let sums: Vec<String> = told.map(PlotSeries::sum).collect();
        said += &format!(" {}: {}.", panel.title, sums.join(", "));
    }
    said
}

/// Fluid, carbohydrate and sodium.
fn panels<'f>(facts: &'f Facts, plan: &'f PlanFacts) -> Vec<Panel<'f>> {
    let (body, units) = (&plan.body, &facts.race.0.units);
    let needs = |kind, words, total, of: &dyn Fn(&NeedFacts) -> f64| PlotSeries {
        kind,
        words,
        total: Some(total),
        steps: by_segment(facts, plan, of),
    };
    let packed = |total, of: fn(&PickupFacts) -> &Measure| {
        let steps = by_pickup(facts, plan, of);
        let any = steps.iter().any(|step| step.rate > 0.0);
        any.then_some(PlotSeries {
            kind: MarkKind::Taken,
            words: "packed",
            total: Some(total),
            steps,
        })
    };
    let volume = |measure: &Measure| measure.value / units.volume_ml;
    let hours = |need: &NeedFacts| need.time.value / 3600.0;
    let bands = facts
        .segments
        .iter()
        .filter_map(|segment| segment.need.as_ref());
    let sweat = needs(MarkKind::Lost, "sweat", &body.sweat_total, &|need| {
        volume(&need.sweat) * hours(need)
    });
    let drink = needs(MarkKind::Taken, "to drink", &body.fluid_total, &|need| {
        volume(&need.fluid)
    });
    let carbs = needs(MarkKind::Needed, "need", &body.carbs_total, &|need| {
        need.carbs.value
    });
    let salt_lost = needs(
        MarkKind::Lost,
        "in sweat",
        &body.sodium_loss_total,
        &|need| need.sodium_loss.value,
    );
    let salt = needs(MarkKind::Needed, "need", &body.sodium_total, &|need| {
        need.sodium.value
    });
    let bound = |words, total, steps: Vec<PlotStep>| PlotSeries {
        kind: MarkKind::Bound,
        words,
        total,
        steps,
    };
    let filled = by_pickup(facts, plan, |pickup| &pickup.fluid).into_iter();
    let filled = filled.map(|step| PlotStep {
        rate: step.rate / units.volume_ml,
        ..step
    });
    let filled = bound("in the flasks", None, filled.collect());
    let held = body.carbs_rehearsed.as_ref().map(|held| {
        let all = PlotStep {
            from_s: 0.0,
            to_s: plan.finish.elapsed.as_s(),
            rate: held.value,
        };
        bound("rehearsed", Some(held), vec![all])
    });
    let carbs_packed = packed(&body.carbs_packed, |pickup| &pickup.carbs);
    let salt_packed = packed(&body.sodium_packed, |pickup| &pickup.sodium);
    vec![
        Panel {
            title: "Fluid",
            unit: format!("{}/h", units.volume),
            series: vec![drink, sweat, filled],
            band: bands
                .map(|need| (volume(&need.0.sweat_low), volume(&need.0.sweat_high)))
                .collect(),
        },
        Panel {
            title: "Carbohydrate",
            unit: "g/h".to_owned(),
            series: carbs_packed
                .into_iter()
                .chain([carbs])
                .chain(held)
                .collect(),
            band: Vec::new(),
        },
        Panel {
            title: "Sodium",
            unit: "mg/h".to_owned(),
            series: salt_packed.into_iter().chain([salt, salt_lost]).collect(),
            band: Vec::new(),
        },
    ]
}

/// Amounts of the segments from arrival to arrival, by the hour.
fn by_segment(facts: &Facts, plan: &PlanFacts, of: &dyn Fn(&NeedFacts) -> f64) -> Vec<PlotStep> {
    let ends = plan.splits.windows(2);
    let steps = ends.zip(&facts.segments).filter_map(|(ends, segment)| {
        let amount = of(&segment.need.as_ref()?.0);
        Some(PlotStep::of(&ends[0].arrival, &ends[1].arrival, amount))
    });
    steps.collect()
}

/// Amounts in the servings from one supply point to the next, by the hour.
fn by_pickup(facts: &Facts, plan: &PlanFacts, of: fn(&PickupFacts) -> &Measure) -> Vec<PlotStep> {
    let arrival = |number: &str| {
        let split = plan.splits.get(facts.station_at(number)?)?;
        Some(&split.arrival)
    };
    let steps = plan.pickups.iter().filter_map(|pickup| {
        let (from, to) = (arrival(&pickup.number)?, arrival(&pickup.until_number)?);
        Some(PlotStep::of(from, to, of(pickup).value))
    });
    steps.collect()
}

impl PlotStep {
    fn of(from: &Moment, to: &Moment, amount: f64) -> PlotStep {
        let (from_s, to_s) = (from.elapsed.as_s(), to.elapsed.as_s());
        PlotStep {
            from_s,
            to_s,
            rate: amount / ((to_s - from_s) / 3600.0).max(1.0 / 60.0),
        }
    }
}

impl PlotSeries<'_> {
    fn sum(&self) -> String {
        match self.total {
            Some(total) => format!("{} {}", self.words, total.text),
            None => self.words.to_owned(),
        }
    }

    /// True where its steps are not those of the segments.
    fn is_behind(&self) -> bool {
        self.kind == MarkKind::Bound || self.words == "packed"
    }
}

impl Panel<'_> {
    /// The upper end of its axis.
    fn most(&self) -> f64 {
        let rates = |bound: bool| {
            let series = self.series.iter();
            let series = series.filter(move |series| (series.kind == MarkKind::Bound) == bound);
            series.flat_map(|series| series.steps.iter().map(|step| step.rate))
        };
        let most = rates(false).chain(self.band.iter().map(|(_, high)| *high));
        let most = most.fold(0.0, f64::max);
        // a bound far above all else would flatten it
        let near = rates(true).filter(|rate| *rate < 1.3 * most);
        let most = near.fold(most, f64::max);
        if most > 0.0 { most * 1.05 } else { 1.0 }
    }
}

impl FuelPlot<'_> {
    fn top(&self, panel: usize) -> f64 {
        TOP + 28.0 + panel as f64 * APART
    }

    fn foot(&self) -> f64 {
        self.top(self.panels.len() - 1) + HIGH
    }

    fn x(&self, at_s: f64) -> f64 {
        LEFT + at_s / self.plan.finish.elapsed.as_s().max(1.0) * self.wide
    }

    /// Nights behind the panels.
    fn nights(&self, canvas: &mut Canvas<'_>) {
        let profile = &self.facts.profile;
        let last = profile.elapsed_s.len().saturating_sub(1);
        for (from, to) in runs(&profile.dark) {
            let at = |sample: usize| self.x(profile.elapsed_s[sample.min(last)]);
            for index in 0..self.panels.len() {
                canvas.night((at(from), self.top(index)), at(to) - at(from), HIGH);
            }
        }
    }

    /// The stations' numbers, and a fall at every arrival.
    fn stations(&self, canvas: &mut Canvas<'_>) {
        let splits = self.plan.splits.iter();
        let places: Vec<f64> = splits.map(|s| self.x(s.arrival.elapsed.as_s())).collect();
        for index in 0..self.panels.len() {
            let (top, foot) = (self.top(index), self.top(index) + HIGH);
            for x in &places {
                canvas.rule((*x, top), (*x, foot), self.theme.grid, 1.0);
            }
        }
        let ends = (LEFT, LEFT + self.wide);
        canvas.badges(&self.facts.stations, &places, (86.0, TOP), ends);
    }

    /// A panel's title, axis, and what its series come to.
    fn frame(&self, canvas: &mut Canvas<'_>, panel: &Panel<'_>, top: f64) {
        let most = panel.most();
        for mark in round_marks(0.0, most, 5.0) {
            let y = top + HIGH * (1.0 - mark.at / most);
            let (from, to) = ((LEFT, y), (LEFT + self.wide, y));
            canvas.rule(from, to, self.theme.grid, 1.0);
            canvas.rule((LEFT - 5.0, y), from, self.theme.ink, 1.0);
            let ink = Ink::of(self.theme.faint, SMALL).at(Anchor::End);
            canvas.words(LEFT - 8.0, y + 4.0, ink, &mark.label);
        }
        let title = Ink::of(self.theme.ink, TEXT).bold();
        canvas.words(LEFT, top - 9.0, title, panel.title);
        let beside = LEFT + width(panel.title, TEXT, true) + 8.0;
        let faint = Ink::of(self.theme.faint, TEXT);
        canvas.words(beside, top - 9.0, faint, &panel.unit);
        let left = LEFT + self.wide + 24.0;
        canvas.words(left, top - 9.0, faint, "in all");
        for (row, series) in panel.series.iter().enumerate() {
            let base = top + 15.0 + row as f64 * 22.0;
            let taken = series.kind == MarkKind::Taken;
            let colour = if taken {
                self.theme.plan
            } else {
                self.theme.ink
            };
            let swatch = self.swatch(series.kind, !panel.band.is_empty());
            canvas.put_swatch(left, base, &swatch);
            let mut ink = Ink::of(colour, TEXT);
            ink.bold = taken;
            canvas.words(left + 31.0, base, ink, &series.sum());
        }
    }

    fn swatch(&self, kind: MarkKind, banded: bool) -> String {
        let theme = self.theme;
        match kind {
            MarkKind::Taken => {
                let area = rect(0.0, -6.0, 24.0, 12.0, theme.plan).num("fill-opacity", 0.22);
                let top = line((0.0, -6.0), (24.0, -6.0), theme.plan, 2.4);
                area.empty() + &top.empty()
            }
            MarkKind::Needed => lined(theme.ink, 1.6, ""),
            MarkKind::Lost if banded => {
                let band = rect(0.0, -6.0, 24.0, 12.0, theme.faint).num("fill-opacity", 0.2);
                band.empty() + &lined(theme.ink, 1.6, "5 4")
            }
            MarkKind::Lost => lined(theme.ink, 1.6, "5 4"),
            MarkKind::Bound => lined(theme.ink, 2.0, BOUND_DASHES),
        }
    }

    /// Everything by its hours: what is packed for several segments behind, then segment by
    /// segment.
    fn steps(&self, canvas: &mut Canvas<'_>) {
        let tops = || {
            self.panels
                .iter()
                .enumerate()
                .map(|(at, panel)| (panel, self.top(at)))
        };
        for (panel, top) in tops() {
            for series in panel.series.iter().filter(|series| series.is_behind()) {
                for step in series.steps.iter().filter(|step| step.rate <= panel.most()) {
                    self.step(canvas, series.kind, step, top, panel.most());
                }
            }
        }
        for (index, segment) in self.facts.segments.iter().enumerate() {
            canvas.marked(&segment.id, |canvas| {
                for (panel, top) in tops() {
                    let most = panel.most();
                    let series = panel.series.iter().filter(|series| !series.is_behind());
                    for (step, kind) in series.filter_map(|s| Some((s.steps.get(index)?, s.kind))) {
                        self.step(canvas, kind, step, top, most);
                        if let (MarkKind::Lost, Some((low, high))) = (kind, panel.band.get(index)) {
                            self.band(canvas, step, (*low, *high), (top, most));
                        }
                    }
                }
            });
        }
        for (_, top) in tops() {
            let (from, to) = ((LEFT, top + HIGH), (LEFT + self.wide, top + HIGH));
            canvas.rule(from, to, self.theme.ink, 1.0);
        }
    }

    fn step(&self, canvas: &mut Canvas<'_>, kind: MarkKind, step: &PlotStep, top: f64, most: f64) {
        let (from, to) = (self.x(step.from_s), self.x(step.to_s));
        let y = top + HIGH * (1.0 - step.rate / most);
        if kind == MarkKind::Taken {
            let area = rect(from, y, to - from, top + HIGH - y, self.theme.plan);
            canvas.add(area.num("fill-opacity", 0.22).set("class", "taken").empty());
        }
        let (colour, wide, dashes) = match kind {
            MarkKind::Lost => (self.theme.ink, 1.6, "5 4"),
            MarkKind::Needed => (self.theme.ink, 1.6, ""),
            MarkKind::Taken => (self.theme.plan, 2.4, ""),
            MarkKind::Bound => (self.theme.ink, 2.0, BOUND_DASHES),
        };
        canvas.add(
            line((from, y), (to, y), colour, wide)
                .dashed(dashes)
                .empty(),
        );
    }

    /// The band in which a loss lies.
    fn band(
        &self,
        canvas: &mut Canvas<'_>,
        step: &PlotStep,
        (low, high): (f64, f64),
        (top, most): (f64, f64),
    ) {
        let (from, to) = (self.x(step.from_s), self.x(step.to_s));
        let y = |rate: f64| top + HIGH * (1.0 - rate / most);
        let band = rect(from, y(high), to - from, y(low) - y(high), self.theme.faint);
        canvas.add(band.num("fill-opacity", 0.2).set("class", "band").empty());
    }

    fn time_axis(&self, canvas: &mut Canvas<'_>) -> f64 {
        let y = self.foot();
        let (hours, finish) = (&self.facts.profile.hours, &self.plan.finish);
        let end_s = finish.elapsed.as_s();
        let px_per_s = self.wide / end_s.max(1.0);
        for at_s in hour_ticks(hours, end_s, px_per_s) {
            let x = self.x(at_s);
            canvas.rule((x, y), (x, y + 3.0), self.theme.faint, 1.0);
        }
        let ends = [&self.plan.splits[0].arrival, finish];
        for mark in time_marks(hours, ends, end_s, px_per_s, 72.0) {
            let x = self.x(mark.at);
            canvas.rule((x, y), (x, y + 5.0), self.theme.ink, 1.0);
            let ink = if mark.end {
                Ink::of(self.theme.plan, SMALL).bold()
            } else {
                Ink::of(self.theme.faint, SMALL)
            };
            canvas.words(x, y + 20.0, ink.at(Anchor::Middle), &mark.label);
        }
        y + 20.0
    }

    fn meanings(&self) -> Vec<Meaning> {
        let sweat = format!("sweat, {}", self.plan.body.sweat_from);
        let mut meanings = vec![
            Meaning::new(
                self.swatch(MarkKind::Taken, false),
                "planned to drink, packed to eat",
            ),
            Meaning::new(self.swatch(MarkKind::Needed, false), "need, an estimate"),
            Meaning::new(self.swatch(MarkKind::Lost, true), sweat),
        ];
        let has_held = self.plan.body.carbs_rehearsed.is_some();
        meanings.push(Meaning::new(
            self.swatch(MarkKind::Bound, false),
            match has_held {
                true => "flasks on leaving, above the frame where not shown; carbohydrate held on a long run",
                false => "flasks on leaving, above the frame where not shown",
            },
        ));
        meanings.extend(Meaning::dark(self.theme, self.facts, "dark"));
        meanings
    }
}
