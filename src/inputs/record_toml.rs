//! `long-runs/record.toml`: what each long run showed, one `[[run]]` each, in the order they were
//! debriefed. sutler writes it and reads it again; it may be edited by hand.

use chrono::NaiveDate;

use crate::diagnostics::{FileId, Notes, SourceFile, Span, Spanned};
use crate::time::Elapsed;

use super::asked::{Each, Here, Or, Part, Sentence, Within};
use super::gear_csv::GearRule;
use super::limits;
use super::record_lines::{self, Of, recorded};
use super::surfaces_csv::Surface;
use super::toml_reader;
use crate::words::named;

recorded! {
    /// One long run: `[[run]]`. What nobody measured is `None`.
    #[derive(Clone, Debug, PartialEq, Default)]
    pub struct RunRecord {
        /// `date`
        pub date: NaiveDate = "date",
        /// `name`
        pub name: Spanned<String> = "name",
        /// `recording`: the recording's file name.
        pub recording: Option<String> = "recording",
        /// `fingerprint`: of everything the debrief read, so that the same run is not counted twice.
        pub fingerprint: Option<String> = "fingerprint",
        /// `time`: start to finish, stops included.
        pub time: Elapsed = "time",
        /// `stopped_min`, seconds.
        pub stopped_s: f64 = Or(&limits::PAST_STOPPED, 0.0),
        /// `stops`: how many.
        pub stops: Option<u32> = &limits::RUN_STOPS,
        /// The way.
        pub ground: RunGround = Part(RunGround::read),
        /// Light and weather.
        pub sky: RunSky = Part(RunSky::read),
        /// The body on the scale, and the sweat that follows.
        pub body: BodyRecord = Part(BodyRecord::read),
        /// Food and drink.
        pub intake: Intake = Part(Intake::read),
        /// `stomach`: 10 is as at breakfast, 0 is nothing stayed down.
        pub stomach: Option<f64> = &limits::STOMACH,
        /// `hot_spots`: where the skin rubbed.
        pub hot_spots: Vec<String> = Sentence("hot_spots"),
        /// `tested`: what was practised besides.
        pub tested: Vec<Tested> = "tested",
        /// `replaced`: lines of `runner.toml` as they stood before this run changed them.
        pub replaced: Vec<String> = Sentence("replaced"),
        /// `[[run.food]]`
        pub foods: Vec<FoodEaten> = Each("food", FoodEaten::read),
        /// `[[run.gear]]`
        pub gear: Vec<GearUsed> = Each("gear", GearUsed::read),
        /// `[run.pacing]`: what this run alone says.
        pub pacing: PacingSeen = Within("pacing", PacingSeen::read),
        /// The section.
        pub span: Option<Span> = Here,
    }

    /// The way of a long run.
    #[derive(Clone, Copy, Debug, PartialEq, Default)]
    pub struct RunGround {
        /// `distance_km` (or `_mi`, `_m`), metres.
        pub distance_m: Option<f64> = &limits::PAST_DISTANCE,
        /// `climb_m` (or `_ft`)
        pub climb_m: Option<f64> = &limits::PAST_CLIMB,
        /// `descent_m` (or `_ft`)
        pub descent_m: Option<f64> = &limits::RUN_DESCENT,
        /// `longest_climb_m`: the most height gained in one go.
        pub longest_climb_m: Option<f64> = &limits::LONGEST_CLIMB,
        /// `longest_descent_m`: the most height lost in one go.
        pub longest_descent_m: Option<f64> = &limits::LONGEST_DESCENT,
        /// `steepest_climb_pct`
        pub steepest_climb_pct: Option<f64> = &limits::STEEPEST_CLIMB,
        /// `steepest_descent_pct`
        pub steepest_descent_pct: Option<f64> = &limits::STEEPEST_DESCENT,
        /// `surface`: most of it.
        pub surface: Option<Surface> = "surface",
    }

    /// Light and weather of a long run.
    #[derive(Clone, Copy, Debug, PartialEq, Default)]
    pub struct RunSky {
        /// `temp_c` (or `temp_f`)
        pub temp_c: Option<f64> = &limits::TEMPERATURE,
        /// `humidity_pct`
        pub humidity_pct: Option<f64> = &limits::HUMIDITY,
        /// `wind_kmh` (or `wind_mph`)
        pub wind_kmh: Option<f64> = &limits::WIND,
        /// `rain_mm_per_h`
        pub rain_mm_per_h: Option<f64> = &limits::RAIN_RATE,
        /// `dark_min`: minutes run in the dark, seconds.
        pub dark_s: Option<f64> = &limits::RUN_DARK,
    }

    /// The body before and after a long run.
    #[derive(Clone, Copy, Debug, PartialEq, Default)]
    pub struct BodyRecord {
        /// `mass_before_kg` (or `_lb`)
        pub before_kg: Option<f64> = &limits::MASS_BEFORE,
        /// `mass_after_kg` (or `_lb`)
        pub after_kg: Option<f64> = &limits::MASS_AFTER,
        /// `scale_resolution_kg` (or `_lb`): the step of the scale's display.
        pub scale_resolution_kg: Option<f64> = &limits::SCALE_RESOLUTION,
        /// `urine_ml` (or `_floz`): passed between the two weighings.
        pub urine_ml: Option<f64> = &limits::URINE,
        /// `energy_kcal_per_h`
        pub energy_kcal_per_h: Option<f64> = &limits::RUN_ENERGY,
        /// `sweat_l_per_h`: by mass balance.
        pub sweat_l_per_h: Option<f64> = &limits::RUN_SWEAT,
        /// `sweat_uncertainty_l_per_h`: one standard deviation.
        pub sweat_uncertainty_l_per_h: Option<f64> = &limits::SWEAT_UNCERTAINTY,
    }

    /// Food and drink of a long run.
    #[derive(Clone, Copy, Debug, PartialEq, Default)]
    pub struct Intake {
        /// `drank_ml` (or `_floz`)
        pub drank_ml: Option<f64> = &limits::DRANK,
        /// `food_water_ml` (or `_floz`): water in the food.
        pub food_water_ml: Option<f64> = &limits::FOOD_WATER,
        /// `eaten_g`: mass of the food, its water included.
        pub eaten_g: Option<f64> = &limits::EATEN,
        /// `sodium_mg`
        pub sodium_mg: Option<f64> = &limits::RUN_SODIUM,
        /// `carbs_g`
        pub carbs_g: Option<f64> = &limits::RUN_CARBS,
        /// `caffeine_mg`
        pub caffeine_mg: Option<f64> = &limits::RUN_CAFFEINE,
    }
}

/// Foods are compared by the most servings within so many hours: in one hour any serving at all
/// looks like a high rate, and over a whole run most foods look rare. 3 h is how long a rate is held
/// to say something about a stomach (Costa and others 2017, Appl. Physiol. Nutr. Metab.).
pub const FOOD_WINDOW_H: f64 = 3.0;

recorded! {
    /// Servings of one food: `[[run.food]]`.
    #[derive(Clone, Debug, PartialEq)]
    pub struct FoodEaten {
        /// `name`, as in the pantry.
        pub name: Spanned<String> = "name",
        /// `servings`
        pub servings: f64 = &limits::SERVINGS_EATEN,
        /// `most_in_3h`: the most of them within [`FOOD_WINDOW_H`], where the log has their times.
        pub most_in_3h: Option<f64> = &limits::MOST_SERVINGS,
        /// `refused`: `true` where it came back up or would not go down.
        pub refused: bool = "refused",
    }

    /// A piece of gear that was used: `[[run.gear]]`.
    #[derive(Clone, Debug, PartialEq)]
    pub struct GearUsed {
        /// `name`, as in the gear list.
        pub name: Spanned<String> = "name",
        /// `met`: in what conditions, of those that gear is planned by: `dark`, `cold`, `rain`, `sun`,
        /// `heat`.
        pub met: Vec<GearRule> = Of("met", &MET),
        /// `note`
        pub note: Option<String> = Sentence("note"),
    }
}

named! {
    /// Practice of a long run besides running and eating.
    pub enum Tested {
        /// `bag-routine`: stopping at a bag and leaving with the right things.
        BagRoutine = "bag-routine",
        /// `crew-meeting`: the same with the crew.
        CrewMeeting = "crew-meeting",
        /// `race-effort`: run as hard as the race is planned.
        RaceEffort = "race-effort",
        /// `kit`: the whole kit of the race worn and carried.
        Kit = "kit",
    }
}

recorded! {
    /// Pacing of one run alone: `[run.pacing]`.
    #[derive(Clone, Copy, Debug, PartialEq, Default)]
    pub struct PacingSeen {
        /// `fade`
        pub fade: Option<f64> = &limits::FADE,
        /// `fade_uncertainty`: one standard deviation; `None` where nobody worked it out.
        pub fade_uncertainty: Option<f64> = &limits::FADE_UNCERTAINTY,
    }
}

/// Conditions that a run can meet; the other rules are about when a piece is carried.
pub(super) const MET: [(&str, GearRule); 5] = [
    ("dark", GearRule::Dark),
    ("cold", GearRule::Cold),
    ("rain", GearRule::Rain),
    ("sun", GearRule::Sun),
    ("heat", GearRule::Heat),
];

impl RunRecord {
    /// The run as an entry of the record.
    #[must_use]
    pub fn to_toml(&self) -> String {
        record_lines::entry("run", self)
    }

    /// Start to finish, hours.
    #[must_use]
    pub fn hours(&self) -> f64 {
        self.time.as_hours()
    }

    /// A total over the run as a rate per hour of it.
    #[must_use]
    pub fn per_h(&self, total: f64) -> f64 {
        total / self.hours().max(f64::MIN_POSITIVE)
    }

    /// The most servings of a food that stayed down within [`FOOD_WINDOW_H`]; where no log says when,
    /// as if they had been spread evenly, which no run does better than.
    #[must_use]
    pub fn most_in_window(&self, is_it: impl Fn(&str) -> bool) -> f64 {
        let kept = self.foods.iter().filter(|eaten| !eaten.refused);
        let own = kept.filter(|eaten| is_it(&eaten.name.value));
        own.map(|eaten| {
            let evenly = FOOD_WINDOW_H / self.hours().max(FOOD_WINDOW_H);
            eaten.most_in_3h.unwrap_or(eaten.servings * evenly)
        })
        .sum()
    }

    /// Fluid taken, drink and water in food, millilitres per hour; `None` where neither was noted.
    #[must_use]
    pub fn fluid_ml_per_h(&self) -> Option<f64> {
        let parts = [self.intake.drank_ml, self.intake.food_water_ml];
        (parts.iter().any(Option::is_some)).then(|| self.per_h(parts.into_iter().flatten().sum()))
    }
}

/// Reads `record.toml`.
pub fn read(file: &SourceFile, id: FileId, notes: &mut Notes) -> Vec<RunRecord> {
    toml_reader::read(file, id, notes, |top, r| {
        top.sections("run", r, RunRecord::read)
    })
    .unwrap_or_default()
}
