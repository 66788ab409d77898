//! `long-runs/record.toml`: what each long run showed, one `[[run]]` each, in the order they were
//! debriefed. sutler writes it and reads it again; it may be edited by hand.

use chrono::NaiveDate;

use crate::diagnostics::{FileId, Notes, SourceFile, Span, Spanned};
use crate::time::Elapsed;

use super::gear_csv::GearRule;
use super::limits;
use super::surfaces_csv::Surface;
use super::toml_reader::{self, Reading, Section};

/// One long run: `[[run]]`. What nobody measured is `None`.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct RunRecord {
    /// `date`
    pub date: NaiveDate,
    /// `name`
    pub name: Spanned<String>,
    /// `recording`: the recording's file name.
    pub recording: Option<String>,
    /// `fingerprint`: of everything the debrief read, so that the same run is not counted twice.
    pub fingerprint: Option<String>,
    /// `time`: start to finish, stops included.
    pub time: Elapsed,
    /// `stopped_min`, seconds.
    pub stopped_s: f64,
    /// `stops`: how many.
    pub stops: Option<u32>,
    /// The way.
    pub ground: RunGround,
    /// Light and weather.
    pub sky: RunSky,
    /// The body on the scale, and the sweat that follows.
    pub body: BodyRecord,
    /// Food and drink.
    pub intake: Intake,
    /// `stomach`: 10 is as at breakfast, 0 is nothing stayed down.
    pub stomach: Option<f64>,
    /// `hot_spots`: where the skin rubbed.
    pub hot_spots: Vec<String>,
    /// `tested`: what was practised besides.
    pub tested: Vec<Tested>,
    /// `[[run.food]]`
    pub foods: Vec<FoodEaten>,
    /// `[[run.gear]]`
    pub gear: Vec<GearUsed>,
    /// `[run.pacing]`: what this run alone says.
    pub pacing: PacingSeen,
    /// `replaced`: lines of `runner.toml` as they stood before this run changed them.
    pub replaced: Vec<String>,
    /// The section.
    pub span: Option<Span>,
}

/// The way of a long run.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct RunGround {
    /// `distance_km` (or `_mi`, `_m`), metres.
    pub distance_m: Option<f64>,
    /// `climb_m` (or `_ft`)
    pub climb_m: Option<f64>,
    /// `descent_m` (or `_ft`)
    pub descent_m: Option<f64>,
    /// `longest_climb_m`: the most height gained in one go.
    pub longest_climb_m: Option<f64>,
    /// `longest_descent_m`: the most height lost in one go.
    pub longest_descent_m: Option<f64>,
    /// `steepest_climb_pct`
    pub steepest_climb_pct: Option<f64>,
    /// `steepest_descent_pct`
    pub steepest_descent_pct: Option<f64>,
    /// `surface`: most of it.
    pub surface: Option<Surface>,
}

/// Light and weather of a long run.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct RunSky {
    /// `temp_c` (or `temp_f`)
    pub temp_c: Option<f64>,
    /// `humidity_pct`
    pub humidity_pct: Option<f64>,
    /// `wind_kmh` (or `wind_mph`)
    pub wind_kmh: Option<f64>,
    /// `rain_mm_per_h`
    pub rain_mm_per_h: Option<f64>,
    /// `dark_min`: minutes run in the dark, seconds.
    pub dark_s: Option<f64>,
}

/// The body before and after a long run.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct BodyRecord {
    /// `mass_before_kg` (or `_lb`)
    pub before_kg: Option<f64>,
    /// `mass_after_kg` (or `_lb`)
    pub after_kg: Option<f64>,
    /// `scale_resolution_kg` (or `_lb`): the step of the scale's display.
    pub scale_resolution_kg: Option<f64>,
    /// `urine_ml` (or `_floz`): passed between the two weighings.
    pub urine_ml: Option<f64>,
    /// `energy_kcal_per_h`
    pub energy_kcal_per_h: Option<f64>,
    /// `sweat_l_per_h`: by mass balance.
    pub sweat_l_per_h: Option<f64>,
    /// `sweat_uncertainty_l_per_h`: one standard deviation.
    pub sweat_uncertainty_l_per_h: Option<f64>,
}

/// Food and drink of a long run.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Intake {
    /// `drank_ml` (or `_floz`)
    pub drank_ml: Option<f64>,
    /// `food_water_ml` (or `_floz`): water in the food.
    pub food_water_ml: Option<f64>,
    /// `eaten_g`: mass of the food, its water included.
    pub eaten_g: Option<f64>,
    /// `sodium_mg`
    pub sodium_mg: Option<f64>,
    /// `carbs_g`
    pub carbs_g: Option<f64>,
    /// `caffeine_mg`
    pub caffeine_mg: Option<f64>,
}

/// Foods are compared by the most servings within so many hours: in one hour any serving at all
/// looks like a high rate, and over a whole run most foods look rare. 3 h is how long a rate is held
/// to say something about a stomach (Costa and others 2017, Appl. Physiol. Nutr. Metab.).
pub const FOOD_WINDOW_H: f64 = 3.0;

/// Servings of one food: `[[run.food]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct FoodEaten {
    /// `name`, as in the pantry.
    pub name: Spanned<String>,
    /// `servings`
    pub servings: f64,
    /// `most_in_3h`: the most of them within [`FOOD_WINDOW_H`], where the log has their times.
    pub most_in_3h: Option<f64>,
    /// `refused`: `true` where it came back up or would not go down.
    pub refused: bool,
}

/// A piece of gear that was used: `[[run.gear]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct GearUsed {
    /// `name`, as in the gear list.
    pub name: Spanned<String>,
    /// `met`: in what conditions, of those that gear is planned by: `dark`, `cold`, `rain`, `sun`,
    /// `heat`.
    pub met: Vec<GearRule>,
    /// `note`
    pub note: Option<String>,
}

/// Practice of a long run besides running and eating.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tested {
    /// `bag-routine`: stopping at a bag and leaving with the right things.
    BagRoutine,
    /// `crew-meeting`: the same with the crew.
    CrewMeeting,
    /// `race-effort`: run as hard as the race is planned.
    RaceEffort,
    /// `kit`: the whole kit of the race worn and carried.
    Kit,
}

impl Tested {
    /// As written.
    pub const NAMES: [(&'static str, Tested); 4] = [
        ("bag-routine", Tested::BagRoutine),
        ("crew-meeting", Tested::CrewMeeting),
        ("race-effort", Tested::RaceEffort),
        ("kit", Tested::Kit),
    ];
}

/// A figure with one standard deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// The figure.
    pub value: f64,
    /// One standard deviation; `None` where nobody worked it out.
    pub uncertainty: Option<f64>,
}

/// Pacing figures of one run alone: `[run.pacing]`; each has a twin that ends in `_uncertainty`.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct PacingSeen {
    /// `fade`
    pub fade: Option<Measured>,
    /// `climb_multiplier`
    pub climb_multiplier: Option<Measured>,
    /// `descent_multiplier`
    pub descent_multiplier: Option<Measured>,
    /// `stop_multiplier`
    pub stop_multiplier: Option<Measured>,
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
    toml_reader::read(file, id, notes, |top, r| top.sections("run", r, run)).unwrap_or_default()
}

fn run(section: &mut Section<'_>, r: &mut Reading) -> Option<RunRecord> {
    if !section.entry_keys().any(|key| key == "date") {
        section.miss(&["date".to_owned()], r);
    }
    let date = section.date("date", r);
    let name = section.name("name", r);
    let time = section.needed_race_time("time", r);
    let recording = section.text("recording", r);
    let fingerprint = section.text("fingerprint", r);
    let stopped = section.number(&limits::PAST_STOPPED, r);
    let record = RunRecord {
        date: date.unwrap_or_default(),
        name: name.clone().unwrap_or(Spanned::unwritten(String::new())),
        recording: recording.map(|name| name.value),
        fingerprint: fingerprint.map(|print| print.value),
        time: time.map(|time| time.value).unwrap_or_default(),
        stopped_s: stopped.map_or(0.0, |stopped| stopped.value),
        stops: section.whole(&limits::RUN_STOPS, r),
        ground: ground(section, r),
        sky: sky(section, r),
        body: body(section, r),
        intake: intake(section, r),
        stomach: number(section, &limits::STOMACH, r),
        hot_spots: texts(section, "hot_spots", r),
        tested: choices(section, "tested", &Tested::NAMES, r),
        foods: section.sections("food", r, food),
        gear: section.sections("gear", r, gear),
        pacing: section.section("pacing", r, pacing),
        replaced: texts(section, "replaced", r),
        span: section.span,
    };
    // what is missing has been said
    (date.is_some() && name.is_some() && time.is_some()).then_some(record)
}

fn number(section: &mut Section<'_>, range: &limits::Range, r: &mut Reading) -> Option<f64> {
    section.number(range, r).map(|number| number.value)
}

fn texts(section: &mut Section<'_>, key: &str, r: &mut Reading) -> Vec<String> {
    let listed = section.texts(key, limits::SENTENCE_CHARS, r);
    listed.into_iter().map(|text| text.value).collect()
}

fn choices<T: Copy>(
    section: &mut Section<'_>,
    key: &str,
    names: &[(&'static str, T)],
    r: &mut Reading,
) -> Vec<T> {
    let listed = section.list(key, "words", r, |entry, r| entry.choice(names, r));
    listed.into_iter().map(|choice| choice.value).collect()
}

fn ground(section: &mut Section<'_>, r: &mut Reading) -> RunGround {
    RunGround {
        distance_m: number(section, &limits::PAST_DISTANCE, r),
        climb_m: number(section, &limits::PAST_CLIMB, r),
        descent_m: number(section, &limits::RUN_DESCENT, r),
        longest_climb_m: number(section, &limits::LONGEST_CLIMB, r),
        longest_descent_m: number(section, &limits::LONGEST_DESCENT, r),
        steepest_climb_pct: number(section, &limits::STEEPEST_CLIMB, r),
        steepest_descent_pct: number(section, &limits::STEEPEST_DESCENT, r),
        surface: section.choice("surface", &Surface::NAMES, r),
    }
}

fn sky(section: &mut Section<'_>, r: &mut Reading) -> RunSky {
    RunSky {
        temp_c: number(section, &limits::TEMPERATURE, r),
        humidity_pct: number(section, &limits::HUMIDITY, r),
        wind_kmh: number(section, &limits::WIND, r),
        rain_mm_per_h: number(section, &limits::RAIN_RATE, r),
        dark_s: number(section, &limits::RUN_DARK, r),
    }
}

fn body(section: &mut Section<'_>, r: &mut Reading) -> BodyRecord {
    BodyRecord {
        before_kg: number(section, &limits::MASS_BEFORE, r),
        after_kg: number(section, &limits::MASS_AFTER, r),
        scale_resolution_kg: number(section, &limits::SCALE_RESOLUTION, r),
        urine_ml: number(section, &limits::URINE, r),
        energy_kcal_per_h: number(section, &limits::RUN_ENERGY, r),
        sweat_l_per_h: number(section, &limits::RUN_SWEAT, r),
        sweat_uncertainty_l_per_h: number(section, &limits::SWEAT_UNCERTAINTY, r),
    }
}

fn intake(section: &mut Section<'_>, r: &mut Reading) -> Intake {
    Intake {
        drank_ml: number(section, &limits::DRANK, r),
        food_water_ml: number(section, &limits::FOOD_WATER, r),
        eaten_g: number(section, &limits::EATEN, r),
        sodium_mg: number(section, &limits::RUN_SODIUM, r),
        carbs_g: number(section, &limits::RUN_CARBS, r),
        caffeine_mg: number(section, &limits::RUN_CAFFEINE, r),
    }
}

fn food(section: &mut Section<'_>, r: &mut Reading) -> Option<FoodEaten> {
    let name = section.name("name", r);
    let servings = section.needed(&limits::SERVINGS_EATEN, r);
    let most_in_3h = number(section, &limits::MOST_SERVINGS, r);
    let refused = section.flag("refused", r);
    Some(FoodEaten {
        name: name?,
        servings: servings?,
        most_in_3h,
        refused,
    })
}

fn gear(section: &mut Section<'_>, r: &mut Reading) -> Option<GearUsed> {
    let name = section.name("name", r);
    let met = choices(section, "met", &MET, r);
    let note = section.sentence("note", r).map(|note| note.value);
    Some(GearUsed {
        name: name?,
        met,
        note,
    })
}

fn pacing(section: &mut Section<'_>, r: &mut Reading) -> PacingSeen {
    let mut figure = |value: &limits::Range, uncertainty: &limits::Range| {
        let value = number(section, value, r);
        let uncertainty = number(section, uncertainty, r);
        value.map(|value| Measured { value, uncertainty })
    };
    PacingSeen {
        fade: figure(&limits::FADE, &limits::FADE_UNCERTAINTY),
        climb_multiplier: figure(&limits::CLIMB_MULTIPLIER, &limits::CLIMB_UNCERTAINTY),
        descent_multiplier: figure(&limits::DESCENT_MULTIPLIER, &limits::DESCENT_UNCERTAINTY),
        stop_multiplier: figure(&limits::STOP_MULTIPLIER, &limits::STOP_UNCERTAINTY),
    }
}
