//! Long runs by week: how long, what the week is for, and what was really run.

use crate::facts::{CalendarFacts, Facts, WeekFacts};

use super::axis::round_marks;
use super::canvas::{Anchor, Canvas, Ink, MARGIN, Meaning, SMALL, filled, finished, lined};
use super::svg::{line, path, rect, tag};
use super::theme::Theme;
use super::words::width;

const TITLE: &str = "Long runs by week";
const LEFT: f64 = 64.0;
const TOP: f64 = 92.0;
const HIGH: f64 = 300.0;
/// A week, and its bar's share of it.
const WIDEST_WEEK: f64 = 58.0;
const BAR: f64 = 0.68;
/// Half of the mark of what was really run.
const MARK: f64 = 5.5;
/// Dates below the axis have so much room at least.
const DATE: f64 = 50.0;
const LEAST_WIDE: f64 = 1080.0;

/// The picture of a calendar.
#[must_use]
pub fn long_runs(facts: &Facts, calendar: &CalendarFacts, theme: &Theme) -> String {
    let weeks = calendar.weeks.len().max(1) as f64;
    let across = (LEFT + weeks * 26.0 + MARGIN).max(LEAST_WIDE);
    let step = ((across - LEFT - MARGIN) / weeks).min(WIDEST_WEEK);
    let longest = calendar
        .weeks
        .iter()
        .map(|week| week.long.value.max(week.done.value));
    let most_m = longest.fold(calendar.peak.value, f64::max) * 1.12;
    let chart = Chart {
        facts,
        calendar,
        step,
        across,
        px_per_m: HIGH / most_m.max(1.0),
        most_m,
    };
    let mut canvas = Canvas::new(theme);
    canvas.heading(facts, TITLE, across);
    chart.grid(&mut canvas);
    for (at, week) in calendar.weeks.iter().enumerate() {
        chart.week(&mut canvas, at, week);
    }
    let below = chart.legend(&mut canvas);
    finished(facts, TITLE, &describe(calendar), (across, below), &canvas)
}

/// The picture in words, for those who do not see it.
fn describe(calendar: &CalendarFacts) -> String {
    let weeks = calendar.weeks.iter().filter(|week| !week.runs.is_empty());
    let weeks = weeks.map(|week| format!("{} {}: {}", week.monday_text, week.kind, week.long.text));
    let weeks: Vec<String> = weeks.collect();
    if weeks.is_empty() {
        return "No long run is left before the race.".to_owned();
    }
    weeks.join("; ")
}

struct Chart<'a> {
    facts: &'a Facts,
    calendar: &'a CalendarFacts,
    step: f64,
    across: f64,
    px_per_m: f64,
    most_m: f64,
}

impl Chart<'_> {
    fn y(&self, m: f64) -> f64 {
        TOP + HIGH - m * self.px_per_m
    }

    fn middle(&self, at: usize) -> f64 {
        LEFT + (at as f64 + 0.5) * self.step
    }

    fn right(&self) -> f64 {
        LEFT + self.calendar.weeks.len() as f64 * self.step
    }

    fn grid(&self, canvas: &mut Canvas<'_>) {
        let theme = canvas.theme;
        let units = &self.facts.race.0.units;
        let unit_m = units.distance_m;
        for mark in round_marks(0.0, self.most_m / unit_m, 7.0) {
            let y = self.y(mark.at * unit_m);
            canvas.rule((LEFT, y), (self.right(), y), theme.grid, 1.0);
            let ink = Ink::of(theme.faint, SMALL).at(Anchor::End);
            canvas.words(LEFT - 8.0, y + 4.0, ink, &mark.label);
        }
        let ink = Ink::of(theme.faint, SMALL).at(Anchor::End);
        canvas.words(LEFT - 8.0, TOP - 14.0, ink, &units.distance);
        let usual_m = self.calendar.single_most.value;
        if usual_m < self.most_m {
            let y = self.y(usual_m);
            let most = line((LEFT, y), (self.right(), y), theme.ink, 1.5).dashed("6 4");
            canvas.add(most.empty());
        }
    }

    fn week(&self, canvas: &mut Canvas<'_>, at: usize, week: &WeekFacts) {
        let theme = canvas.theme;
        let x = self.middle(at);
        let wide = self.step * BAR;
        let mut foot = 0.0;
        for run in &week.runs {
            let top = foot + run.distance.value;
            let high = run.distance.value * self.px_per_m;
            let fill = fill(theme, week.kind, run.role);
            let bar = rect(x - wide / 2.0, self.y(top), wide, high, fill);
            canvas.add(bar.stroke(theme.ink, 0.75).empty());
            foot = top;
        }
        let done_m = week.done.value;
        if foot > 0.0 && self.step >= 30.0 {
            let mut base = self.y(foot) - 6.0;
            let mark = self.y(done_m);
            // above the mark of what was run where that would hide it
            if done_m > 0.0 && mark + MARK > base - 11.0 && mark - MARK < base + 4.0 {
                base = mark - MARK - 4.0;
            }
            let number = &week.long.number;
            let number = number.strip_suffix(".0").unwrap_or(number);
            // no line goes through a number
            let room = width(number, SMALL, false) + 4.0;
            let ground = rect(x - room / 2.0, base - 11.0, room, 15.0, theme.paper);
            canvas.add(ground.empty());
            let ink = Ink::of(theme.ink, SMALL).at(Anchor::Middle);
            canvas.words(x, base, ink, number);
        }
        if done_m > 0.0 {
            canvas.add(diamond(x, self.y(done_m), theme));
        }
        self.foot(canvas, at, week);
    }

    /// The words at the axis below a week.
    fn foot(&self, canvas: &mut Canvas<'_>, at: usize, week: &WeekFacts) {
        let theme = canvas.theme;
        let x = self.middle(at);
        let base = TOP + HIGH;
        match week.kind {
            "race" => {
                let mast = line((x, TOP), (x, base), theme.plan, 2.5);
                canvas.add(mast.empty());
                let ink = Ink::of(theme.plan, SMALL).bold().at(Anchor::Middle);
                canvas.words(x, TOP - 8.0, ink, "race");
            }
            "blocked" => {
                let ink = Ink::of(theme.faint, SMALL).at(Anchor::Middle);
                canvas.words(x, base - 6.0, ink, "×");
            }
            _ => {}
        }
        let every = (DATE / self.step).ceil().max(1.0) as usize;
        let last = self.calendar.weeks.len() - 1;
        if (last - at).is_multiple_of(every) {
            canvas.rule((x, base), (x, base + 5.0), theme.faint, 1.0);
            let ink = Ink::of(theme.faint, SMALL).at(Anchor::Middle);
            canvas.words(x, base + 20.0, ink, &week.monday_text);
        }
        let half = self.step / 2.0;
        canvas.rule((x - half, base), (x + half, base), theme.ink, 1.0);
    }

    fn legend(&self, canvas: &mut Canvas<'_>) -> f64 {
        let theme = canvas.theme;
        let weeks = &self.calendar.weeks;
        let bars = weeks.iter().flat_map(|week| {
            let runs = week.runs.iter();
            runs.map(|run| fill(theme, week.kind, run.role))
        });
        let drawn: Vec<&str> = bars.collect();
        let mut meanings: Vec<Meaning> = [
            ("building", "single", "building: a single run"),
            ("building", "first of two", "the first of two"),
            ("building", "second of two", "the day after"),
            ("reduced", "single", "reduced, easy or taper"),
            ("practice race", "practice race", "practice race"),
        ]
        .into_iter()
        .map(|(kind, role, words)| (fill(theme, kind, role), words))
        .filter(|(fill, _)| drawn.contains(fill))
        .map(|(fill, words)| Meaning::new(filled(theme, fill), words))
        .collect();
        if weeks.iter().any(|week| week.done.value > 0.0) {
            meanings.push(Meaning::new(diamond(12.0, 0.0, theme), "run so far"));
        }
        if weeks.iter().any(|week| week.kind == "blocked") {
            meanings.push(Meaning::group("× no free day"));
        }
        if self.calendar.single_most.value < self.most_m {
            let words = "usual most of a single run (common practice, no source)";
            meanings.push(Meaning::new(lined(theme.ink, 1.5, "6 4"), words));
        }
        let y = canvas.legend(&meanings, self.across, TOP + HIGH + 52.0);
        let words = "Weeks by their Monday. The bounds are common practice: they warn and forbid \
                     nothing. Pain that changes your stride means stop and see a licensed \
                     practitioner; no long run with fever or illness.";
        canvas.paragraph(words, self.across, y + 4.0)
    }
}

fn fill(theme: &Theme, kind: &str, role: &str) -> &'static str {
    match (kind, role) {
        ("practice race", _) | (_, "practice race") => theme.plan,
        (_, "first of two") => theme.training[2],
        (_, "second of two") => theme.training[1],
        ("building", _) => theme.training[3],
        _ => theme.training[0],
    }
}

fn diamond(x: f64, y: f64, theme: &Theme) -> String {
    let points = [(x, y - MARK), (x + MARK, y), (x, y + MARK), (x - MARK, y)];
    let mark = path(&points, true)
        .set("fill", theme.paper)
        .stroke(theme.ink, 2.0);
    tag("g").around(&mark.empty())
}
