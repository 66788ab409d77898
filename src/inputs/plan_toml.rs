//! `plan.toml`: which course, which finish, and how to run it.

use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile, Spanned};
use crate::time::Elapsed;

use super::asked::{Or, Sentence, Within, section};
use super::limits;
use super::past::{self, PastResult};
use super::target::Target;
use super::toml_reader::{self, Reading, Section};
use crate::words::named;

/// The settings of one plan.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct PlanFile {
    /// `course`: the course folder, relative to this file.
    pub course: Option<Spanned<String>>,
    /// `finish`: the target as elapsed time, such as `"29:30:00"`; of a range such as
    /// `"28:00:00..32:00:00"` the middle.
    pub finish: Option<Spanned<Elapsed>>,
    /// `other_finishes`: up to two more, shown side by side; of a range its ends.
    pub other_finishes: Vec<Spanned<Elapsed>>,
    /// `[past]` or `[[past]]`: races and long runs to judge a finish by.
    pub past: Vec<PastResult>,
    /// `cushion`: how much time is to be in hand at every cutoff, such as `"0:20"`.
    pub cushion: Option<Spanned<Elapsed>>,
    /// `wave_offset_min`: how long after the official start this runner's wave goes; 0 by default.
    pub wave_offset_s: f64,
    /// `crew_before_bags`: `true` where the crew hands over what it can, and a drop bag serves only
    /// where no crew comes. Left out, the bag comes first: it cannot be stuck on a road.
    pub crew_before_bags: bool,
    /// `[files]`: names of the runner's other files, relative to this one.
    pub files: PlanFiles,
    /// `[pacing]`
    pub pacing: PacingChoice,
    /// `[windows]`
    pub windows: WindowChoice,
    /// `[stops]`
    pub stops: StopChoice,
    /// `[fueling]`
    pub fueling: FuelingChoice,
    /// `[forecast]`: one value for the whole race; `weather.csv` is then left aside unless named.
    pub forecast: Option<Forecast>,
    /// `[weather]`: day and night in a line each; `weather.csv` is then left aside unless named.
    pub weather: Option<DayAndNight>,
}

section! {
    /// `[files]`: where the runner's files are; each has the default name where it exists.
    #[derive(Clone, Debug, PartialEq, Default)]
    pub struct PlanFiles {
        /// `runner`, by default `runner.toml`.
        pub runner: Option<Spanned<String>> = Sentence("runner"),
        /// `pantry`, by default `pantry.csv`.
        pub pantry: Option<Spanned<String>> = Sentence("pantry"),
        /// `gear`, by default `gear.csv`.
        pub gear: Option<Spanned<String>> = Sentence("gear"),
        /// `weather`, by default `weather.csv`.
        pub weather: Option<Spanned<String>> = Sentence("weather"),
        /// `crew`, by default `crew.toml`.
        pub crew: Option<Spanned<String>> = Sentence("crew"),
        /// `record`, by default `long-runs/record.toml`.
        pub record: Option<Spanned<String>> = Sentence("record"),
    }
}

section! {
    /// `[pacing]`: every key has a default.
    #[derive(Clone, Debug, PartialEq, Default)]
    pub struct PacingChoice {
        /// `cost_model`: how much harder a slope is than the level; the name of a built-in model.
        pub cost_model: Option<Spanned<String>> = "cost_model",
        /// `fade`: how much more slowly the end is run, as a multiple of what recorded runs show: 0 is
        /// even effort, 1 as recorded, up to 4.
        pub fade: Option<Spanned<f64>> = &limits::FADE,
        /// `fade_exponent`: instead of `fade`, race time as this power of the effort done, 1 (even
        /// effort) to 1.25.
        pub fade_exponent: Option<Spanned<f64>> = &limits::FADE_EXPONENT,
        /// `downhill_cap`: the most that a descent speeds the runner up over the level, 1 to 1.3.
        pub downhill_cap: Option<Spanned<f64>> = &limits::DOWNHILL_CAP,
        /// `night_factor`: time on trail in the dark over time by day, 1 to 1.5.
        pub night_factor: Option<Spanned<f64>> = &limits::NIGHT_FACTOR,
        /// `heat_per_c`: extra time per degree above 15 °C, 0 to 0.03.
        pub heat_per_c: Option<Spanned<f64>> = &limits::HEAT,
        /// `altitude_per_km`: speed lost per 1000 m above 300 m, 0 to 0.1.
        pub altitude_per_km: Option<Spanned<f64>> = &limits::ALTITUDE,
        /// `walker`: `true` for someone who walks all of it.
        pub walker: bool = "walker",
    }
}

/// `[windows]`: how sure the plan is.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct WindowChoice {
    /// `evidence`: what the target finish rests on, where no past result says it better. Left out
    /// it is a hope, or long runs where any are in the record.
    pub evidence: Option<Evidence>,
    /// `--on-target`: early and late take the finish as met exactly.
    pub on_target: bool,
}

named! {
    /// The basis of a target finish: the less there is, the wider the windows.
    pub enum Evidence {
        /// `race`: a race of much the same length and ground within about a year.
        Race = "race",
        /// `long-runs`: training runs, or races of another length.
        LongRuns = "long-runs",
        /// `hope`: neither.
        Hope = "hope",
    }
}

section! {
    /// `[stops]`: minutes planned at stations.
    #[derive(Clone, Debug, PartialEq, Default)]
    pub struct StopChoice {
        /// `aid_min`: at every aid station that has no minutes of its own.
        pub aid_s: Option<Spanned<f64>> = &limits::AID_STOP,
        /// `water_min`: at every water point that has none.
        pub water_s: Option<Spanned<f64>> = &limits::WATER_STOP,
        /// `drop_bag_min`: at every station with a drop bag that has none.
        pub drop_bag_s: Option<Spanned<f64>> = &limits::DROP_BAG_STOP,
        /// `[stops.at]`: `"Station name" = minutes`.
        pub at: Vec<(Spanned<String>, f64)> = Within("at", stops_at),
    }
}

section! {
    /// `[fueling]`
    #[derive(Clone, Debug, PartialEq, Default)]
    pub struct FuelingChoice {
        /// `caffeine`: `true` to plan it; never planned otherwise.
        pub caffeine: bool = "caffeine",
        /// `caffeine_agreed`: a doctor agreed to it, where pregnancy, the heart or an age under 18 speak
        /// against any.
        pub caffeine_agreed: bool = "caffeine_agreed",
        /// `caffeine_from`: race time before which none is planned.
        pub caffeine_from: Option<Spanned<Elapsed>> = "caffeine_from",
        /// `carbs_g_per_h`: overrides the runner's own rate for this race.
        pub carbs_g_per_h: Option<Spanned<f64>> = &limits::CARBS_RATE,
        /// `reserve_share`: how much more is carried than is planned to be drunk, 0 to 1, instead of
        /// what the high end of the sweat band would take.
        pub reserve_share: Option<Spanned<f64>> = &limits::RESERVE_SHARE,
    }
}

section! {
    /// `[forecast]`: the same weather all race long; and each line of `[weather]`.
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub struct Forecast {
        /// `temp_c` (or `temp_f`)
        pub temp_c: f64 = &limits::TEMPERATURE,
        /// `humidity_pct`
        pub humidity_pct: Option<f64> = &limits::HUMIDITY,
        /// `wind_kmh` (or `wind_mph`)
        pub wind_kmh: Option<f64> = &limits::WIND,
        /// `rain_mm_per_h`, 0 by default.
        pub rain_mm_per_h: f64 = Or(&limits::RAIN_RATE, 0.0),
        /// `rain_chance_pct`
        pub rain_chance_pct: Option<f64> = &limits::RAIN_CHANCE,
    }
}

impl Forecast {
    /// A temperature of which no more is known.
    #[must_use]
    pub fn of_temp_c(temp_c: f64) -> Forecast {
        Forecast {
            temp_c,
            humidity_pct: None,
            wind_kmh: None,
            rain_mm_per_h: 0.0,
            rain_chance_pct: None,
        }
    }
}

/// `[weather]`: two lines of a forecast for places at the start's height. Hours between follow the
/// sun.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayAndNight {
    /// `day`: the warmest hour.
    pub day: Forecast,
    /// `night`: the coldest hour, at sunrise.
    pub night: Forecast,
}

/// Reads `plan.toml`.
pub fn read(file: &SourceFile, id: FileId, notes: &mut Notes) -> PlanFile {
    toml_reader::read(file, id, notes, plan).unwrap_or_default()
}

fn plan(top: &mut Section<'_>, r: &mut Reading) -> PlanFile {
    let course = top.ask(Sentence("course"), r);
    let target = top.target("finish", r);
    let others = other_finishes(top, r);
    PlanFile {
        course,
        other_finishes: beside(target, others, r),
        finish: target.map(|t| Spanned {
            value: t.value.planned(),
            span: t.span,
        }),
        past: top.one_or_more("past", r, past::read),
        cushion: top.ask("cushion", r),
        wave_offset_s: top.ask(Or(&limits::WAVE_OFFSET, 0.0), r),
        crew_before_bags: top.ask("crew_before_bags", r),
        files: top.ask(Within("files", PlanFiles::read), r),
        pacing: top.ask(Within("pacing", PacingChoice::read), r),
        windows: top.section("windows", r, |section, r| WindowChoice {
            evidence: section.choice("evidence", r),
            on_target: false,
        }),
        stops: top.ask(Within("stops", StopChoice::read), r),
        fueling: top.ask(Within("fueling", FuelingChoice::read), r),
        forecast: top.section("forecast", r, Forecast::read),
        weather: top.section("weather", r, day_and_night),
    }
}

impl PlanFile {
    /// The finishes that it names with the target, the earliest first.
    #[must_use]
    pub fn goals(&self, target: Elapsed) -> Vec<Elapsed> {
        let others = self.other_finishes.iter().map(|finish| finish.value);
        let mut goals: Vec<Elapsed> = others.chain([target]).collect();
        goals.sort_unstable();
        goals.dedup();
        goals
    }
}

fn other_finishes(top: &mut Section<'_>, r: &mut Reading) -> Vec<Spanned<Elapsed>> {
    /// As many columns of splits as fit on a card beside the target's.
    const MOST: usize = 2;
    let mut finishes = top.list("other_finishes", "race times", r, |entry, r| {
        entry.race_time(r)
    });
    if let Some(extra) = finishes.get(MOST) {
        r.notes.push(
            Diagnostic::error(format!("`other_finishes` lists {} times", finishes.len()))
                .at(extra.span, format!("expected at most {MOST}")),
        );
    }
    finishes.truncate(MOST);
    finishes
}

/// The ends of a range stand beside its middle, and leave no room for others.
fn beside(
    target: Option<Spanned<Target>>,
    others: Vec<Spanned<Elapsed>>,
    r: &mut Reading,
) -> Vec<Spanned<Elapsed>> {
    let ends = target.map_or(Vec::new(), |t| t.value.beside());
    if ends.is_empty() {
        return others;
    }
    if let Some(other) = others.first() {
        r.notes.push(
            Diagnostic::error("`other_finishes` beside a `finish` that is a range")
                .at(other.span, "expected no `other_finishes`")
                .hint("leave out one of the two"),
        );
    }
    let span = target.and_then(|t| t.span);
    ends.into_iter()
        .map(|value| Spanned { value, span })
        .collect()
}

fn stops_at(section: &mut Section<'_>, r: &mut Reading) -> Option<Vec<(Spanned<String>, f64)>> {
    let mut stops = Vec::new();
    for entry in section.take_all() {
        let name = entry.named("station", r);
        let minutes = entry.number(&limits::STOP_AT, limits::STOP_AT.units[0], r);
        stops.extend(
            name.zip(minutes)
                .map(|(name, minutes)| (name, minutes.value)),
        );
    }
    Some(stops)
}

/// Two lines, or one that holds by day and by night.
fn day_and_night(section: &mut Section<'_>, r: &mut Reading) -> Option<DayAndNight> {
    let day = section.section("day", r, Forecast::read);
    let night = section.section("night", r, Forecast::read);
    let (day, night) = (day.or(night)?, night.or(day)?);
    if night.temp_c > day.temp_c {
        r.notes.push(
            Diagnostic::warning("the night is warmer than the day")
                .at(
                    section.span,
                    "expected the warmest hour by day and the coldest by night",
                )
                .hint("swap the two lines if they are the wrong way round"),
        );
    }
    Some(DayAndNight { day, night })
}
