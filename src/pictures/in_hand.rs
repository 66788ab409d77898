//! Time in hand along the way: how late one may be at every spot and still make the cutoff that
//! binds, the window as a fan, the chance at every cutoff.

use crate::facts::{Facts, Measure, PlanFacts, SplitFacts, StationFacts};

use super::Picture;
use super::axis::round_step;
use super::canvas::{
    Anchor, Canvas, Ink, MARGIN, Meaning, SMALL, badge_apart, finished, lined, wide_enough,
};
use super::place::{TakenRoom, spread};
use super::svg::{line, path, rect, tag};
use super::theme::Theme;
use super::words::width;

/// Time in hand.
pub(super) const PICTURE: Picture = Picture {
    name: "in-hand",
    title: "Time in hand",
    draw,
    describe,
};

const LEFT: f64 = 72.0;
const TOP: f64 = 128.0;
const HIGH: f64 = 330.0;
const HOUR_S: f64 = 3600.0;
/// At least so much is shown on both sides of the cutoff, seconds.
const LEAST_S: f64 = 0.5 * HOUR_S;
/// More than this is not shown, seconds: what is safe or lost by half a day is so by more too.
const MOST_S: f64 = 12.0 * HOUR_S;

struct HandPlot<'f> {
    facts: &'f Facts,
    plan: &'f PlanFacts,
    theme: &'f Theme,
    across: f64,
    wide: f64,
    /// The least and the most time in hand shown, seconds.
    span_s: (f64, f64),
}

/// Time in hand of one kind of runner.
type Hand = fn(&SplitFacts) -> Option<&Measure>;

fn draw(facts: &Facts, theme: &Theme) -> String {
    let mut canvas = Canvas::new(theme);
    let about = describe(facts);
    let plot = HandPlot::of(facts, theme);
    let across = plot.as_ref().map_or(theme.wide, |plot| plot.across);
    canvas.heading(facts, PICTURE.title, across);
    let Some(plot) = plot else {
        return finished(facts, PICTURE.title, &about, (across, 80.0), &canvas);
    };
    plot.ground(&mut canvas);
    let fan = plot.fan(&mut canvas);
    plot.lines(&mut canvas);
    let foot = plot.stations(&mut canvas);
    let y = canvas.legend(&plot.meanings(fan), across, foot + 30.0);
    finished(facts, PICTURE.title, &about, (across, y), &canvas)
}

fn describe(facts: &Facts) -> String {
    let Some(plan) = facts.planned() else {
        return "No target finish, so no time in hand.".to_owned();
    };
    let limited = plan.splits.iter().filter(|split| split.cutoff.is_some());
    let said: Vec<String> = limited
        .map(|split| {
            let margin = split.margin.as_ref().map_or("", |margin| &margin.text);
            let chance = split.chance_so_far.as_ref();
            let chance = chance.map_or_else(String::new, |c| format!(", {} so far", c.text));
            format!("{} {margin}{chance}", super::words::clean(&split.station))
        })
        .collect();
    match said.as_slice() {
        [] => "No cutoffs are known, so there is no time in hand.".to_owned(),
        all => format!(
            "Time in hand at the cutoffs, and the chance of making all so far: {}.",
            all.join("; ")
        ),
    }
}

impl<'f> HandPlot<'f> {
    fn of(facts: &'f Facts, theme: &'f Theme) -> Option<HandPlot<'f>> {
        let plan = facts.planned()?;
        let across = wide_enough(&facts.stations, theme.wide, LEFT + MARGIN);
        let all = plan.splits.iter().flat_map(|split| {
            let hands = [&split.in_hand, &split.in_hand_early, &split.in_hand_late];
            hands.map(|hand| hand.as_ref().map(|hand| hand.value))
        });
        let all: Vec<f64> = all.flatten().collect();
        let low = all.iter().copied().fold(-LEAST_S, f64::min).max(-MOST_S);
        let high = all.iter().copied().fold(LEAST_S, f64::max).min(MOST_S);
        let room = 0.06 * (high - low);
        Some(HandPlot {
            facts,
            plan,
            theme,
            across,
            wide: across - LEFT - MARGIN,
            span_s: (low - room, high + room),
        })
    }

    fn x(&self, official_m: f64) -> f64 {
        LEFT + official_m / self.facts.race.0.length.value.max(1.0) * self.wide
    }

    fn y(&self, hand_s: f64) -> f64 {
        let (low, high) = self.span_s;
        TOP + HIGH * (high - hand_s.clamp(low, high)) / (high - low)
    }

    /// The night, the hours in hand, and what is lost.
    fn ground(&self, canvas: &mut Canvas<'_>) {
        for (from_m, to_m) in self.facts.profile.dark_m() {
            let from = self.x(from_m);
            canvas.night((from, TOP), self.x(to_m) - from, HIGH);
        }
        let (low, high) = self.span_s;
        let step = round_step((high - low) / HOUR_S, 9.0).max(0.5);
        for index in (low / HOUR_S / step).ceil() as i64..=(high / HOUR_S / step).floor() as i64 {
            let hours = index as f64 * step;
            let y = self.y(hours * HOUR_S);
            let rule = line((LEFT, y), (LEFT + self.wide, y), self.theme.grid, 1.0);
            canvas.add(rule.empty());
            let minutes = (hours * 60.0).round() as i64;
            let sign = ["-", "", "+"][(minutes.signum() + 1) as usize];
            let label = format!("{sign}{}:{:02}", minutes.abs() / 60, minutes.abs() % 60);
            let ink = Ink::of(self.theme.faint, SMALL).at(Anchor::End);
            canvas.words(LEFT - 8.0, y + 4.0, ink, &label);
        }
        let foot = TOP + HIGH;
        for station in &self.facts.stations {
            let x = self.x(station.official.value);
            canvas.rule((x, TOP), (x, foot), self.theme.grid, 1.0);
        }
        canvas.rule((LEFT, foot), (LEFT + self.wide, foot), self.theme.ink, 1.0);
        canvas.distances(self.facts, |m| self.x(m), foot, (12.0, Anchor::End));
    }

    /// The time in hand over each segment that a later cutoff limits: from what there is as it is
    /// left to what there is as it ends, to the cutoff there or the one that binds from there on.
    fn over(&self, hand: Hand, arrival: fn(&SplitFacts) -> f64) -> Vec<[(f64, f64); 2]> {
        let splits = &self.plan.splits;
        let late = |split: &SplitFacts| arrival(split) - split.arrival.elapsed.as_s();
        // where no effort of theirs meets every cutoff, against the plan's
        let is_told = |split: &SplitFacts| hand(split).is_some() || split.in_hand.is_none();
        let own = splits.iter().all(is_told);
        let hand = |split: &SplitFacts| match own {
            true => hand(split).map(|hand| hand.value),
            false => split.in_hand.as_ref().map(|hand| hand.value - late(split)),
        };
        let pairs = splits.windows(2).map_while(|two| {
            let start = hand(&two[0])?;
            let here = two[1].margin.as_ref();
            let here = here.map(|margin| margin.value - late(&two[1]));
            let end = here
                .into_iter()
                .chain(hand(&two[1]))
                .fold(f64::INFINITY, f64::min);
            let end = if end.is_finite() { end } else { start };
            // a cutoff on the departure is behind on leaving
            let start = match two[0].binding_number.as_ref() == Some(&two[0].number) {
                true => end + late(&two[1]) - late(&two[0]),
                false => start,
            };
            let ends = [two[0].official.value, two[1].official.value];
            Some([
                (self.x(ends[0]), self.y(start)),
                (self.x(ends[1]), self.y(end)),
            ])
        });
        pairs.collect()
    }

    /// From the early to the late runner; whether there is any.
    fn fan(&self, canvas: &mut Canvas<'_>) -> bool {
        let early = self.over(|s| s.in_hand_early.as_ref(), |s| s.early.elapsed.as_s());
        let late = self.over(|s| s.in_hand_late.as_ref(), |s| s.late.elapsed.as_s());
        if early == late {
            return false;
        }
        for (early, late) in early.iter().zip(&late) {
            let corners = [early[0], early[1], late[1], late[0]];
            // a diamond of the same corners is a mark to those who read pictures
            let area = [corners[0], corners[1], corners[2], corners[3], corners[0]];
            let fill = path(&area, true).set("fill", self.theme.plan);
            canvas.add(fill.num("fill-opacity", 0.2).set("class", "window").empty());
            for side in [early, late] {
                // in grey the dark is as light as the fan
                let side = path(side, false).stroke(self.theme.plan, 0.75);
                canvas.add(side.num("stroke-opacity", 0.6).empty());
            }
        }
        true
    }

    /// The cutoff, the likely runner, and the plan over it.
    fn lines(&self, canvas: &mut Canvas<'_>) {
        let zero = self.y(0.0);
        let ends = ((LEFT, zero), (LEFT + self.wide, zero));
        canvas.add(
            line(ends.0, ends.1, self.theme.limit, 2.2)
                .set("class", "limit")
                .empty(),
        );
        if self.likely_differs() {
            let likely = self.over(|s| s.in_hand_likely.as_ref(), |s| s.likely.elapsed.as_s());
            for way in likely {
                let likely = line(way[0], way[1], self.theme.plan, 1.4).dashed("4 3");
                canvas.add(likely.set("class", "likely").empty());
            }
        }
        let plan = self.over(|s| s.in_hand.as_ref(), |s| s.arrival.elapsed.as_s());
        for (index, segment) in self.facts.segments.iter().enumerate() {
            canvas.marked(&segment.id, |canvas| {
                if let Some(way) = plan.get(index) {
                    let run = line(way[0], way[1], self.theme.plan, 2.6);
                    canvas.add(run.set("stroke-linecap", "round").empty());
                }
            });
        }
    }

    fn likely_differs(&self) -> bool {
        let mut splits = self.plan.splits.iter();
        splits.any(|split| split.likely.text != split.arrival.text)
    }

    /// Numbers above, and at every cutoff the time in hand and the chance of having made all so
    /// far; returns the foot of the axis.
    fn stations(&self, canvas: &mut Canvas<'_>) -> f64 {
        let stations: &[StationFacts] = &self.facts.stations;
        let places: Vec<f64> = stations.iter().map(|s| self.x(s.official.value)).collect();
        let apart = badge_apart(stations);
        let spots = spread(&places, apart, LEFT, LEFT + self.wide);
        let mut taken = TakenRoom::default();
        self.keep_lines(&mut taken);
        for (index, (x, spot)) in places.iter().zip(&spots).enumerate() {
            let split = &self.plan.splits[index];
            canvas.marked(&stations[index].id, |canvas| {
                canvas.badge_at(&stations[index], (*spot, 98.0), (*x, TOP), apart);
                self.limit(canvas, split, *x, &mut taken);
            });
        }
        TOP + HIGH + 20.0
    }

    /// Plan, likely runner and every dot, over which no words stand.
    fn keep_lines(&self, taken: &mut TakenRoom) {
        let plan = self.over(|s| s.in_hand.as_ref(), |s| s.arrival.elapsed.as_s());
        let likely = self.over(|s| s.in_hand_likely.as_ref(), |s| s.likely.elapsed.as_s());
        for way in plan.iter().chain(&likely) {
            taken.keep_line(way[0], way[1], 1.5);
        }
        for split in &self.plan.splits {
            if let Some(margin) = &split.margin {
                let (x, y) = (self.x(split.official.value), self.y(margin.value));
                taken.keep([x - 5.0, y - 5.0, x + 5.0, y + 5.0]);
            }
        }
    }

    fn limit(&self, canvas: &mut Canvas<'_>, split: &SplitFacts, x: f64, taken: &mut TakenRoom) {
        let Some(margin) = &split.margin else { return };
        let y = self.y(margin.value);
        let hand = line((x, self.y(0.0)), (x, y), self.theme.limit, 1.2).dashed("1.5 2.5");
        canvas.add(hand.empty());
        let bar = rect(x - 9.0, self.y(0.0), 18.0, 4.5, self.theme.limit);
        canvas.add(bar.set("class", "cutoff").empty());
        let dot = tag("circle").num("cx", x).num("cy", y).num("r", 3.4);
        let dot = dot.set("fill", self.theme.paper);
        canvas.add(dot.stroke(self.theme.plan, 1.8).empty());
        let chance = split.chance_so_far.as_ref();
        let said = chance.map_or_else(
            || margin.text.clone(),
            |chance| format!("{} · {}", margin.text, chance.text),
        );
        let wide = 1.12 * width(&said, SMALL, true) + 8.0;
        let spots = (0..12).flat_map(|row| {
            let shift = 14.0 + 7.0 * f64::from(row);
            [
                (x, y - shift),
                (x - wide / 2.0 - 6.0, y - shift),
                (x, y + shift + 6.0),
            ]
        });
        let frame = [LEFT, TOP, LEFT + self.wide + MARGIN - 4.0, TOP + HIGH];
        if let Some((x, y)) = taken.first_free(spots, (wide, 16.0), frame) {
            let ink = Ink::of(self.theme.ink, SMALL).bold().at(Anchor::Middle);
            canvas.words(x, y + 4.0, ink, &said);
        }
    }

    fn meanings(&self, fan: bool) -> Vec<Meaning> {
        let theme = self.theme;
        let mut meanings = Vec::new();
        if self.plan.splits.iter().all(|split| split.in_hand.is_none()) {
            meanings.push(Meaning::group("No cutoffs are known."));
            return meanings;
        }
        meanings.push(Meaning::new(lined(theme.plan, 2.6, ""), "plan"));
        if fan {
            let window = rect(0.0, -6.0, 24.0, 12.0, theme.plan).num("fill-opacity", 0.2);
            meanings.push(Meaning::new(
                window.stroke(theme.plan, 0.75).empty(),
                "early to late: eight races in ten",
            ));
        }
        if self.likely_differs() {
            meanings.push(Meaning::new(lined(theme.plan, 1.4, "4 3"), "likely"));
        }
        let cutoff = rect(3.0, 0.0, 18.0, 4.5, theme.limit).empty();
        meanings.push(Meaning::new(
            lined(theme.limit, 2.2, "") + &cutoff,
            "the cutoff that binds; below it is lost",
        ));
        meanings.push(Meaning::group(
            "At a cutoff: time in hand on plan · chance of having made all so far",
        ));
        meanings.extend(Meaning::dark(
            theme,
            self.facts,
            "dark when the plan passes",
        ));
        meanings
    }
}
