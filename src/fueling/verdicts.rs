//! Findings of the needs: rates that were limited, heat and cold, deficits. One finding of a kind,
//! at the segment where it is worst.

use super::heat::{Flag, HeatIndexBand};
use super::needs::{
    MOST_CARBS_G_PER_H, MOST_EATEN_SHARE, MOST_FLUID_L_PER_H, REFUSED_FLUID_L_PER_H,
    WARN_FLUID_L_PER_H,
};
use super::segment::Detail;
use super::settled::RunnerRates;
use super::{FinishMass, SegmentNeed, SweatSource, finish_mass};
use crate::findings::{About, Finding, FindingKind, Weight};
use crate::units::{Phrase, Quantity, fahrenheit};
use crate::words::and_more;

/// A rate above what was rehearsed by less is the same to a hand with a flask (our choice).
const WORTH_SAYING: f64 = 1.1;

/// Everything that findings look at.
pub(super) struct Verdicts<'a> {
    pub(super) settled: &'a RunnerRates,
    pub(super) segments: &'a [SegmentNeed],
    pub(super) details: &'a [Detail],
    pub(super) finish_mass: FinishMass,
    /// Segments that are behind the runner.
    pub(super) behind: usize,
}

impl Verdicts<'_> {
    /// Every finding, those about fluid first.
    pub(super) fn all(&self) -> Vec<Finding> {
        if self.settled.race_h <= 0.0 {
            return Vec::new();
        }
        [
            self.fluid_limited(),
            self.fluid_refused(),
            self.fluid_high().or_else(|| self.fluid_unrehearsed()),
            self.habit(),
            self.sodium_capped(),
            self.carbs_limited(),
            self.carbs_unrehearsed(),
            self.heat(),
            self.caffeine(),
            Some(self.mass_window()),
            self.mass_loss(),
        ]
        .into_iter()
        .flatten()
        .collect()
    }

    fn fluid_limited(&self) -> Option<Finding> {
        if self.fluid_refused().is_some() {
            return None;
        }
        let at = self.worst(|i| {
            let wanted = self.details[i].wanted_l_per_h;
            (wanted > MOST_FLUID_L_PER_H).then_some(wanted)
        })?;
        let d = self.details[at.segment];
        let says = Phrase::new("sweat would call for ")
            .and(rate(d.wanted_l_per_h))
            .and(", planned are ")
            .and(rate(d.planned_l_per_h))
            .and(format!(": most stomachs empty no more{}", at.elsewhere()));
        let finding = at
            .finding(FindingKind::FluidLimited, Weight::Warning, says)
            .way_out(Phrase::new(
                "slow down or cool the skin there: less heat, less sweat",
            ));
        Some(finding)
    }

    /// Own sweat rates that ask for more than anybody should drink: they are not followed.
    fn fluid_refused(&self) -> Option<Finding> {
        if self.settled.sweat.source() == SweatSource::Predicted {
            return None;
        }
        let at = self.worst(|i| {
            let wanted = self.details[i].wanted_l_per_h;
            (wanted > REFUSED_FLUID_L_PER_H).then_some(wanted)
        })?;
        let says = Phrase::new("the measured sweat rates ask for ")
            .and(rate(self.details[at.segment].wanted_l_per_h))
            .and(" to drink; more than ")
            .and(rate(REFUSED_FLUID_L_PER_H))
            .and(" is refused, for it can lower blood sodium dangerously, and ")
            .and(rate(MOST_FLUID_L_PER_H))
            .and(format!(" is planned{}", at.elsewhere()));
        let finding = at.finding(FindingKind::FluidAlarm, Weight::Failure, says);
        Some(
            finding
                .way_out(Phrase::new(
                    "check the weighings under `[[sweat.measured]]`, or leave them out",
                ))
                .way_out(Phrase::new(
                    "slow down or cool the skin there: less heat, less sweat",
                )),
        )
    }

    fn fluid_high(&self) -> Option<Finding> {
        let at = self.worst(|i| {
            let planned = self.details[i].planned_l_per_h;
            (planned > WARN_FLUID_L_PER_H).then_some(planned)
        })?;
        let planned = self.details[at.segment].planned_l_per_h;
        let says = Phrase::new(rate(planned))
            .and(" is planned, more than usual in ultra races (")
            .and(rate(WARN_FLUID_L_PER_H))
            .and(format!("); take it as a ceiling{}", at.elsewhere()));
        let rehearsed = self.settled.fluid_rehearsed_l_per_h;
        Some(if rehearsed.is_some_and(|rehearsed| rehearsed >= planned) {
            at.finding(FindingKind::FluidRateHigh, Weight::Note, says)
        } else {
            at.finding(FindingKind::FluidRateHigh, Weight::Warning, says)
                .way_out(Phrase::new(
                    "rehearse the rate on a long run in similar weather",
                ))
        })
    }

    /// More than was held on a long run, where it is so warm that less would be below what people
    /// drink freely.
    fn fluid_unrehearsed(&self) -> Option<Finding> {
        let held = self.settled.fluid_rehearsed_l_per_h?;
        let at = self.worst(|i| {
            let planned = self.details[i].planned_l_per_h;
            (planned > WORTH_SAYING * held).then_some(planned)
        })?;
        let says = Phrase::new(rate(self.details[at.segment].planned_l_per_h))
            .and(" is planned, you have held only ")
            .and(rate(held))
            .and(format!(" on a long run{}", at.elsewhere()));
        Some(
            at.finding(FindingKind::FluidUnrehearsed, Weight::Note, says)
                .way_out(Phrase::new(
                    "rehearse the rate on a long run in similar weather; until then take it as a \
                     ceiling, and slow down or cool the skin there",
                )),
        )
    }

    /// The drinking that the runner wants, beside what is planned with it.
    fn habit(&self) -> Option<Finding> {
        let habit_l_per_h = self.settled.fluid_habit_l_per_h?;
        let planned_l: f64 = self.segments.iter().map(|s| s.fluid_ml / 1000.0).sum();
        let planned_l_per_h = planned_l / self.settled.race_h;
        let says = Phrase::new("you drink about ").and(rate(habit_l_per_h));
        let says = if planned_l_per_h < 0.98 * habit_l_per_h {
            says.and(": planned are ")
                .and(rate(planned_l_per_h))
                .and(" on average, for more would be above what is sweated")
        } else {
            says.and(
                ": that is planned on average, more where it is warm and less where it is cool",
            )
        };
        let (kind, about) = (FindingKind::FluidHabit, About::Race);
        Some(Finding::new(kind, Weight::Note, about, says))
    }

    fn sodium_capped(&self) -> Option<Finding> {
        let at = self.worst(|i| {
            let over = self.details[i].wanted_sodium_mg - self.segments[i].sodium_mg;
            (over > 0.5).then_some(over)
        })?;
        let says = Phrase::new(format!(
            "sodium held to the predicted loss of {:.0} mg{}",
            self.segments[at.segment].sodium_loss_mg,
            at.elsewhere()
        ));
        Some(at.finding(FindingKind::SodiumCapped, Weight::Note, says))
    }

    fn carbs_limited(&self) -> Option<Finding> {
        let carbs = self.settled.carbs_g_per_h;
        if carbs.asked <= carbs.planned {
            return None;
        }
        let planned = |why: String| {
            Phrase::new(format!(
                "{:.0} g/h of carbohydrate asked for, {:.0} planned: {why}",
                carbs.asked, carbs.planned
            ))
        };
        Some(if carbs.planned < carbs.asked.min(MOST_CARBS_G_PER_H) {
            let share = MOST_EATEN_SHARE * 100.0;
            let says = planned(format!(
                "with the protein that is {share:.0} % of the energy that this pace spends"
            ));
            Finding::of_race(FindingKind::CarbsSpent, Weight::Note, says)
        } else {
            let says = planned("that is the most for anyone".to_owned());
            Finding::of_race(FindingKind::CarbsLimited, Weight::Warning, says)
                .way_out(Phrase::new("ask for no more than 90 g/h"))
        })
    }

    fn carbs_unrehearsed(&self) -> Option<Finding> {
        let carbs = self.settled.carbs_g_per_h;
        (carbs.planned > carbs.practised).then(|| {
            let says = Phrase::new(format!(
                "{:.0} g/h of carbohydrate is planned, you have practised only {:.0}",
                carbs.planned, carbs.practised
            ));
            Finding::of_race(FindingKind::CarbsUnrehearsed, Weight::Note, says).way_out(
                Phrase::new(
                    "raise it by 10 g/h a week on long runs, then rehearse the full rate for 3 h",
                ),
            )
        })
    }

    fn heat(&self) -> Option<Finding> {
        let at = self.worst(|i| {
            let hot = self.flag(i) >= Some(Flag::Yellow);
            hot.then_some(self.segments[i].wbgt_c?)
        })?;
        let (kind, weight, means) = match self.flag(at.segment)? {
            Flag::Black => (FindingKind::HeatBlack, Weight::Warning, "black flag"),
            Flag::Red => (FindingKind::HeatRed, Weight::Warning, "red flag"),
            _ => (FindingKind::HeatYellow, Weight::Note, "yellow flag"),
        };
        let mut says = Phrase::new("estimated wet-bulb globe temperature ")
            .and(Quantity::Temperature {
                c: self.segments[at.segment].wbgt_c?,
            })
            .and(format!(", {means}"));
        if let Some(c) = self.details[at.segment].heat_index_c {
            let band = HeatIndexBand::at_f(fahrenheit(c)).words();
            says = says
                .and("; heat index ")
                .and(Quantity::Temperature { c })
                .and(format!(" ({band}){}", at.elsewhere()));
        }
        let way = match kind {
            FindingKind::HeatBlack => {
                "ask whether the race is on; do not race it: walk in the heat, cool the skin with \
                 water and ice, rest in shade, and stop at the first dizziness or confusion"
            }
            _ => {
                "go slower there and use shade, ice and water on the skin; drinking more than \
                 sweat does not help"
            }
        };
        Some(at.finding(kind, weight, says).way_out(Phrase::new(way)))
    }

    fn caffeine(&self) -> Option<Finding> {
        let (asked_mg, caps) = self.settled.caffeine?;
        let given: f64 = self.segments.iter().map(|s| s.caffeine_mg).sum();
        let says = match asked_mg {
            _ if caps.in_a_day_mg <= 0.0 => {
                let finding = Finding::of_race(
                    FindingKind::CaffeineRefused,
                    Weight::Warning,
                    Phrase::new(
                        "caffeine asked for, none planned: with pregnancy, heart trouble or under \
                         18 none is before a doctor agrees",
                    ),
                );
                let way = "ask a doctor, and write `caffeine_agreed = true` under `[fueling]` of the \
                           plan where one agrees";
                return Some(finding.way_out(Phrase::new(way)));
            }
            Some(asked) if asked > caps.at_once_mg => format!(
                "a dose of {asked:.0} mg of caffeine asked for, {:.0} planned: the most at once \
                 for this runner",
                caps.at_once_mg
            ),
            _ if given <= 0.0 => {
                "caffeine asked for, but no segment is late or dark enough".to_owned()
            }
            _ => return None,
        };
        let about = About::Race;
        Some(Finding::new(
            FindingKind::CaffeineLimited,
            Weight::Note,
            about,
            Phrase::new(says),
        ))
    }

    fn mass_window(&self) -> Finding {
        let mass = self.finish_mass;
        let at = |loss_pct: f64| Quantity::Mass {
            kg: mass.start_kg * (1.0 - loss_pct / 100.0),
        };
        let says = Phrase::new("expect to weigh ")
            .and(at(mass.loss_window_pct.1))
            .and(" to ")
            .and(at(mass.loss_window_pct.0))
            .and(" at the finish; at ")
            .and(Quantity::Mass { kg: mass.start_kg })
            .and(" or more on the way, stop drinking");
        Finding::of_race(FindingKind::MassWindow, Weight::Note, says)
    }

    /// Losses as planned: burned fuel, and sweat that is not replaced.
    fn mass_loss(&self) -> Option<Finding> {
        let loss_pct = self.finish_mass.expected_loss_kg / self.finish_mass.start_kg * 100.0;
        (loss_pct > finish_mass::LARGE_LOSS_PCT).then(|| {
            let says = Phrase::new(format!(
                "if sweat is as predicted, this plan ends {loss_pct:.0} % lighter than it started"
            ));
            Finding::of_race(FindingKind::MassLossHigh, Weight::Warning, says).way_out(Phrase::new(
                "measure sweat on long runs, for predictions tend to be high; thirst decides",
            ))
        })
    }

    fn flag(&self, segment: usize) -> Option<Flag> {
        self.segments[segment].wbgt_c.map(Flag::at)
    }

    /// The segment with the highest value, and how many have one.
    fn worst(&self, value: impl Fn(usize) -> Option<f64>) -> Option<WorstStretch> {
        let having: Vec<(usize, f64)> = (self.behind..self.segments.len())
            .filter_map(|i| value(i).map(|v| (i, v)))
            .collect();
        let highest = having.iter().fold(None, |best: Option<(usize, f64)>, new| {
            best.filter(|b| b.1 >= new.1).or(Some(*new))
        });
        highest.map(|(segment, _)| WorstStretch {
            segment,
            others: having.len() - 1,
        })
    }
}

/// The place where something is worst.
struct WorstStretch {
    segment: usize,
    others: usize,
}

impl WorstStretch {
    fn finding(&self, kind: FindingKind, weight: Weight, says: Phrase) -> Finding {
        Finding::new(kind, weight, About::Segment(self.segment), says)
    }

    /// Words for the segments that have it, too.
    fn elsewhere(&self) -> String {
        and_more(self.others, "segment", "segments")
    }
}

fn rate(l_per_h: f64) -> Quantity {
    Quantity::VolumeRate {
        ml_per_h: l_per_h * 1000.0,
    }
}
