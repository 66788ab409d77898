//! `plan.toml`: which course, which finish, and how to run it.

use crate::diagnostics::{FileId, Notes, SourceFile, Spanned};
use crate::time::Elapsed;

/// The settings of one plan.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct PlanFile {
    /// `course`: the course folder, relative to this file.
    pub course: Option<Spanned<String>>,
    /// `finish`: the target as elapsed time, such as `"29:30:00"`.
    pub finish: Option<Spanned<Elapsed>>,
    /// `other_finishes`: up to two more, shown side by side.
    pub other_finishes: Vec<Spanned<Elapsed>>,
    /// `wave_offset_min`: how long after the official start this runner's wave goes; 0 by default.
    pub wave_offset_s: f64,
    /// `[files]`: names of the runner's other files, relative to this one.
    pub files: PlanFiles,
    /// `[pacing]`
    pub pacing: PacingChoice,
    /// `[stops]`
    pub stops: StopChoice,
    /// `[fueling]`
    pub fueling: FuelingChoice,
    /// `[forecast]`: one value for the whole race where there is no `weather.csv`.
    pub forecast: Option<Forecast>,
}

/// `[files]`: where the runner's files are; each has the default name where it exists.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct PlanFiles {
    /// `runner`, by default `runner.toml`.
    pub runner: Option<Spanned<String>>,
    /// `pantry`, by default `pantry.csv`.
    pub pantry: Option<Spanned<String>>,
    /// `gear`, by default `gear.csv`.
    pub gear: Option<Spanned<String>>,
    /// `weather`, by default `weather.csv`.
    pub weather: Option<Spanned<String>>,
    /// `crew`, by default `crew.toml`.
    pub crew: Option<Spanned<String>>,
}

/// `[pacing]`: every key has a default.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct PacingChoice {
    /// `cost_model`: how much harder a slope is than the level; the name of a built-in model.
    pub cost_model: Option<Spanned<String>>,
    /// `fade`: exponent of race time over effort distance, 1 (even effort) to 1.25.
    pub fade: Option<Spanned<f64>>,
    /// `downhill_cap`: the most that a descent speeds the runner up over the level, 1 to 1.3.
    pub downhill_cap: Option<Spanned<f64>>,
    /// `night_factor`: time on trail in the dark over time by day, 1 to 1.5.
    pub night_factor: Option<Spanned<f64>>,
    /// `heat_per_c`: extra time per degree above 15 °C, 0 to 0.03.
    pub heat_per_c: Option<Spanned<f64>>,
    /// `altitude_per_km`: speed lost per 1000 m above 300 m, 0 to 0.1.
    pub altitude_per_km: Option<Spanned<f64>>,
    /// `walker`: `true` for someone who walks all of it.
    pub walker: bool,
}

/// `[stops]`: minutes planned at stations.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct StopChoice {
    /// `aid_min`: at every aid station that has no minutes of its own.
    pub aid_s: Option<Spanned<f64>>,
    /// `water_min`: at every water point that has none.
    pub water_s: Option<Spanned<f64>>,
    /// `drop_bag_min`: at every station with a drop bag that has none.
    pub drop_bag_s: Option<Spanned<f64>>,
    /// `[stops.at]`: `"Station name" = minutes`.
    pub at: Vec<(Spanned<String>, f64)>,
}

/// `[fueling]`
#[derive(Clone, Debug, PartialEq, Default)]
pub struct FuelingChoice {
    /// `caffeine`: `true` to plan it; never planned otherwise.
    pub caffeine: bool,
    /// `carbs_g_per_h`: overrides the runner's own rate for this race.
    pub carbs_g_per_h: Option<Spanned<f64>>,
    /// `reserve_share`: how much more is carried than is planned to be drunk, 0 to 1; 0.25 by
    /// default.
    pub reserve_share: Option<Spanned<f64>>,
}

/// `[forecast]`: the same weather all race long.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Forecast {
    /// `temp_c` (or `temp_f`)
    pub temp_c: f64,
    /// `humidity_pct`, 50 by default.
    pub humidity_pct: f64,
    /// `wind_kmh` (or `wind_mph`), 5 by default.
    pub wind_kmh: f64,
    /// `rain_mm_per_h`, 0 by default.
    pub rain_mm_per_h: f64,
}

/// Reads `plan.toml`.
pub fn read(_file: &SourceFile, _id: FileId, _notes: &mut Notes) -> PlanFile {
    PlanFile::default()
}
