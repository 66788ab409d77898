//! What is drunk and eaten against what is needed and lost, added up along the race: the steeper a
//! line, the more an hour.

use crate::fueling::{SegmentNeed, SweatSource};
use crate::packing::Pickup;
use crate::plan::Plan;
use crate::reports::View;
use crate::units::{ML_PER_FLOZ, Units};

use super::Picture;
use super::axis::{round_marks, time_marks};
use super::canvas::{Anchor, Canvas, Ink, Meaning, SMALL, TEXT, filled, lined, wide_enough};
use super::nights;
use super::place::spread;
use super::svg::{document, line, path, rect};
use super::theme::Theme;
use super::words::{clean, width};

/// The fuel chart.
pub(super) const PICTURE: Picture = Picture {
    name: "fuel",
    title: "Drinking and eating",
    draw,
    describe,
};

const WIDTH: f64 = 1160.0;
const LEFT: f64 = 72.0;
/// Room for what the lines come to, on the right.
const SUMS: f64 = 196.0;
const TOP: f64 = 116.0;
/// A panel, and from one to the next.
const HIGH: f64 = 158.0;
const APART: f64 = 202.0;
/// So many cautions, those that hold always, stand in the picture itself.
const CAUTIONS: usize = 3;

/// Race times in seconds, each with what a thing has come to by then.
type Points = Vec<(f64, f64)>;

/// What a line is.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    /// Leaves the body, by estimate.
    Lost,
    /// Asked for.
    Needed,
    /// Goes in: planned to drink, or packed to eat.
    Taken,
}

/// A line that only climbs.
struct Line {
    kind: Kind,
    words: &'static str,
    points: Points,
}

/// One of the three diagrams.
struct Panel {
    title: String,
    unit: &'static str,
    lines: Vec<Line>,
    /// Between which the loss lies.
    band: Option<(Points, Points)>,
}

struct Plot<'v> {
    view: &'v View<'v>,
    plan: &'v Plan,
    theme: &'v Theme,
    wide: f64,
    panels: Vec<Panel>,
}

fn draw(view: &View<'_>, theme: &Theme) -> String {
    let mut canvas = Canvas::new(theme);
    let name = format!("{}: {}", clean(&view.race.course.name), PICTURE.title);
    let Some(plan) = view.plans.first() else {
        canvas.heading(view, PICTURE.title, WIDTH);
        let size = (WIDTH, 80.0);
        return document(size, theme.paper, &name, &describe(view), &canvas.body);
    };
    let across = wide_enough(&view.race.course, WIDTH, LEFT + SUMS);
    let plot = Plot {
        view,
        plan,
        theme,
        wide: across - LEFT - SUMS,
        panels: panels(plan, view.units),
    };
    canvas.heading(view, PICTURE.title, across);
    plot.stations(&mut canvas);
    for (index, panel) in plot.panels.iter().enumerate() {
        plot.panel(&mut canvas, panel, plot.top(index));
    }
    let y = plot.time_axis(&mut canvas);
    let mut y = canvas.legend(&plot.meanings(), across, y + 32.0);
    for caution in plan.fueling.cautions.iter().take(CAUTIONS) {
        y = canvas.paragraph(caution.text, across, y + 4.0);
    }
    let size = (across, y);
    document(size, theme.paper, &name, &describe(view), &canvas.body)
}

fn describe(view: &View<'_>) -> String {
    let Some(plan) = view.plans.first() else {
        return "No target finish, so no needs.".to_owned();
    };
    let mut said = String::from("By the finish, as estimates:");
    for panel in panels(plan, view.units) {
        let sums = panel.lines.iter().map(|line| {
            let sum = amount(line.sum(), panel.unit);
            format!("{} {sum}", line.words)
        });
        let sums: Vec<String> = sums.collect();
        said += &format!(" {}: {}.", panel.title, sums.join(", "));
    }
    said
}

/// Fluid, carbohydrate and sodium.
fn panels(plan: &Plan, units: Units) -> Vec<Panel> {
    let (unit, per_ml) = match units {
        Units::Metric => ("l", 0.001),
        Units::Imperial => ("fl oz", 1.0 / ML_PER_FLOZ),
    };
    let packed = |of: fn(&Pickup) -> f64| {
        let points = taken(plan, of);
        let any = points.last().is_some_and(|(_, sum)| *sum > 0.0);
        any.then_some(Line {
            kind: Kind::Taken,
            words: "packed",
            points,
        })
    };
    let of = |kind, words, points| Line {
        kind,
        words,
        points,
    };
    let sweat = |rate: fn(&SegmentNeed) -> f64| {
        summed(plan, |need| rate(need) * need.hours * 1000.0 * per_ml)
    };
    let fluid = Panel {
        title: "Fluid".to_owned(),
        unit,
        lines: vec![
            of(Kind::Lost, "sweat", sweat(|need| need.sweat_l_per_h)),
            of(
                Kind::Taken,
                "to drink",
                summed(plan, |need| need.fluid_ml * per_ml),
            ),
        ],
        band: Some((
            sweat(|need| need.sweat_band_l_per_h.0),
            sweat(|need| need.sweat_band_l_per_h.1),
        )),
    };
    let mut carbs = vec![of(Kind::Needed, "need", summed(plan, |need| need.carbs_g))];
    carbs.extend(packed(|pickup| pickup.carbs_g.0));
    let mut sodium = vec![
        of(
            Kind::Lost,
            "lost in sweat",
            summed(plan, |need| need.sodium_loss_mg),
        ),
        of(Kind::Needed, "need", summed(plan, |need| need.sodium_mg)),
    ];
    sodium.extend(packed(|pickup| pickup.sodium_mg.0));
    vec![
        fluid,
        Panel {
            title: "Carbohydrate".to_owned(),
            unit: "g",
            lines: carbs,
            band: None,
        },
        Panel {
            title: "Sodium".to_owned(),
            unit: "mg",
            lines: sodium,
            band: None,
        },
    ]
}

/// What the segments come to at every arrival.
fn summed(plan: &Plan, of: impl Fn(&SegmentNeed) -> f64) -> Points {
    let mut sum = 0.0;
    let arrivals = plan.schedule.splits.iter().map(|s| s.arrival.as_s());
    let amounts = plan.fueling.segments.iter().map(of);
    arrivals
        .zip(std::iter::once(0.0).chain(amounts))
        .map(|(at_s, amount)| {
            sum += amount;
            (at_s, sum)
        })
        .collect()
}

/// What the servings come to from one supply point to the next.
fn taken(plan: &Plan, of: fn(&Pickup) -> f64) -> Points {
    let mut sum = 0.0;
    let mut points = vec![(0.0, 0.0)];
    for pickup in &plan.packing.pickups {
        sum += of(pickup);
        if let Some(split) = plan.schedule.splits.get(pickup.until) {
            points.push((split.arrival.as_s(), sum));
        }
    }
    points
}

impl Line {
    fn sum(&self) -> f64 {
        self.points.last().map_or(0.0, |(_, sum)| *sum)
    }
}

/// An amount with its unit, as exact as an estimate deserves.
fn amount(value: f64, unit: &str) -> String {
    match unit {
        "l" => format!("{value:.1} l"),
        "mg" => format!("{:.0} mg", (value / 10.0).round() * 10.0),
        _ => format!("{value:.0} {unit}"),
    }
}

impl Plot<'_> {
    fn top(&self, panel: usize) -> f64 {
        TOP + 28.0 + panel as f64 * APART
    }

    fn foot(&self) -> f64 {
        self.top(self.panels.len() - 1) + HIGH
    }

    fn x(&self, at_s: f64) -> f64 {
        LEFT + at_s / self.plan.finish.as_s().max(1.0) * self.wide
    }

    /// Nights behind the panels, and a fall at every arrival.
    fn stations(&self, canvas: &mut Canvas<'_>) {
        let (race, plan) = (self.view.race, self.plan);
        for (from, to) in self.dark() {
            for index in 0..self.panels.len() {
                let (x, wide) = (LEFT + from as f64, (to - from) as f64);
                let band = rect(x, self.top(index), wide, HIGH, self.theme.night);
                canvas.add(band.set("class", "night").empty());
            }
        }
        let places: Vec<f64> = (plan.schedule.splits.iter())
            .map(|split| self.x(split.arrival.as_s()))
            .collect();
        for index in 0..self.panels.len() {
            let (top, foot) = (self.top(index), self.top(index) + HIGH);
            for x in &places {
                canvas.add(line((*x, top), (*x, foot), self.theme.grid, 1.0).empty());
            }
        }
        let ends = (LEFT, LEFT + self.wide);
        canvas.badges(&race.course, &places, 86.0, TOP, ends);
    }

    /// From where to where it is dark, in pixels of the plot.
    fn dark(&self) -> Vec<(usize, usize)> {
        let samples = self.wide as usize;
        let dark: Vec<bool> = (0..samples)
            .map(|px| {
                let at_s = (px as f64 + 0.5) / samples as f64 * self.plan.finish.as_s();
                let conditions = &self.view.race.conditions;
                conditions.is_dark(self.distance_m(at_s), at_s)
            })
            .collect();
        nights::runs(&dark)
    }

    /// Where the plan is at a race time.
    fn distance_m(&self, at_s: f64) -> f64 {
        let nodes = &self.plan.pacing.node_s;
        let node = nodes.partition_point(|s| *s <= at_s);
        node.saturating_sub(1) as f64 * self.view.race.course.profile.spacing_m
    }

    fn panel(&self, canvas: &mut Canvas<'_>, panel: &Panel, top: f64) {
        let band = panel.band.iter().flat_map(|(_, high)| high);
        let most = (panel.lines.iter().flat_map(|line| &line.points))
            .chain(band)
            .fold(0.0_f64, |most, (_, sum)| most.max(*sum));
        let most = if most > 0.0 { most * 1.05 } else { 1.0 };
        let y = |sum: f64| top + HIGH * (1.0 - sum / most);
        for mark in round_marks(0.0, most, 4.0) {
            let (from, to) = ((LEFT, y(mark.at)), (LEFT + self.wide, y(mark.at)));
            canvas.add(line(from, to, self.theme.grid, 1.0).empty());
            let ink = Ink::of(self.theme.faint, SMALL).at(Anchor::End);
            canvas.words(LEFT - 8.0, y(mark.at) + 4.0, ink, &mark.label);
        }
        let title = Ink::of(self.theme.ink, TEXT).bold();
        canvas.words(LEFT, top - 9.0, title, &panel.title);
        let beside = LEFT + width(&panel.title, TEXT, true) + 8.0;
        let faint = Ink::of(self.theme.faint, TEXT);
        canvas.words(beside, top - 9.0, faint, panel.unit);
        let place = |points: &[(f64, f64)]| -> Vec<(f64, f64)> {
            points
                .iter()
                .map(|(s, sum)| (self.x(*s), y(*sum)))
                .collect()
        };
        if let Some((low, high)) = &panel.band {
            let (low, high) = (place(low), place(high));
            let area: Vec<_> = low.into_iter().chain(high.into_iter().rev()).collect();
            let fill = path(&area, true).set("fill", self.theme.faint);
            canvas.add(fill.num("fill-opacity", 0.18).set("class", "band").empty());
        }
        for line in &panel.lines {
            canvas.add(self.stroke(line.kind, path(&place(&line.points), false)));
        }
        let foot = (LEFT, top + HIGH);
        let end = (LEFT + self.wide, top + HIGH);
        canvas.add(line(foot, end, self.theme.ink, 1.0).empty());
        self.sums(canvas, panel, y, top);
    }

    fn stroke(&self, kind: Kind, path: super::svg::Tag) -> String {
        let path = match kind {
            Kind::Lost => path.stroke(self.theme.ink, 1.4).dashed("5 4"),
            Kind::Needed => path.stroke(self.theme.ink, 1.4),
            Kind::Taken => path.stroke(self.theme.plan, 2.8),
        };
        path.set("stroke-linejoin", "round").empty()
    }

    /// What each line comes to, beside its end.
    fn sums(&self, canvas: &mut Canvas<'_>, panel: &Panel, y: impl Fn(f64) -> f64, top: f64) {
        let mut ends: Vec<&Line> = panel.lines.iter().collect();
        ends.sort_by(|a, b| b.sum().total_cmp(&a.sum()));
        let wanted: Vec<f64> = ends.iter().map(|line| y(line.sum())).collect();
        let places = spread(&wanted, 18.0, top, top + HIGH);
        for (line_, (from, to)) in ends.iter().zip(wanted.iter().zip(&places)) {
            let edge = LEFT + self.wide;
            let leader = line(
                (edge + 3.0, *from),
                (edge + 17.0, *to),
                self.theme.faint,
                1.0,
            );
            canvas.add(leader.empty());
            let colour = match line_.kind {
                Kind::Taken => self.theme.plan,
                _ => self.theme.ink,
            };
            let mut ink = Ink::of(colour, TEXT);
            ink.bold = line_.kind == Kind::Taken;
            let words = format!("{} {}", line_.words, amount(line_.sum(), panel.unit));
            canvas.words(edge + 21.0, to + 4.5, ink, &words);
        }
    }

    fn time_axis(&self, canvas: &mut Canvas<'_>) -> f64 {
        let y = self.foot();
        let (schedule, finish) = (&self.plan.schedule, self.plan.finish);
        let px_per_s = self.wide / finish.as_s().max(1.0);
        for mark in time_marks(schedule, finish, finish.as_s(), px_per_s, 72.0) {
            let x = self.x(mark.at);
            canvas.add(line((x, y), (x, y + 5.0), self.theme.ink, 1.0).empty());
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
        let theme = self.theme;
        let band = rect(0.0, -6.0, 24.0, 12.0, theme.faint).num("fill-opacity", 0.18);
        let sweat = match self.plan.fueling.sweat_from {
            SweatSource::Predicted => "sweat loss, predicted, in its band".to_owned(),
            SweatSource::Scaled(runs) => {
                format!(
                    "sweat loss, predicted and scaled to {}, in its band",
                    weighed(runs)
                )
            }
            SweatSource::Measured(runs) => {
                format!("sweat loss by {}, in its band", weighed(runs))
            }
        };
        let mut meanings = vec![
            Meaning::new(
                lined(theme.plan, 2.8, ""),
                "planned to drink, packed to eat",
            ),
            Meaning::new(lined(theme.ink, 1.4, ""), "need, an estimate"),
            Meaning::new(band.empty() + &lined(theme.ink, 1.4, "5 4"), sweat),
        ];
        if !self.dark().is_empty() {
            meanings.push(Meaning::new(filled(theme, theme.night), "dark"));
        }
        meanings
    }
}

fn weighed(runs: u32) -> String {
    match runs {
        1 => "one weighed run".to_owned(),
        runs => format!("{runs} weighed runs"),
    }
}
