//! Every allowed range, in one table, with the words used in messages. A value outside its range
//! is a slip of the pen or of the unit, never a person or a race.

use crate::units::{KG_PER_POUND, M_PER_FOOT, M_PER_MILE, ML_PER_FLOZ};

/// A unit that the name of a key or a column ends in, such as `km` in `distance_km`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// The end of the name; empty for a bare ratio or count.
    pub suffix: &'static str,
    /// As printed after a number.
    pub symbol: &'static str,
    scale: f64,
    shift: f64,
}

impl Unit {
    const fn new(suffix: &'static str, symbol: &'static str, scale: f64) -> Self {
        Unit {
            suffix,
            symbol,
            scale,
            shift: 0.0,
        }
    }

    /// From this unit to the one that records keep.
    #[must_use]
    pub fn to_record(self, number: f64) -> f64 {
        (number + self.shift) * self.scale
    }

    /// From the unit that records keep to this one.
    #[must_use]
    pub fn from_record(self, number: f64) -> f64 {
        number / self.scale - self.shift
    }

    /// A number with the symbol, such as `38.4 km`.
    #[must_use]
    pub fn show(self, number: f64) -> String {
        let symbol = self.symbol;
        let text = if number != 0.0 && !(1e-6..1e9).contains(&number.abs()) {
            format!("{number:e} {symbol}")
        } else {
            format!("{number} {symbol}")
        };
        text.trim_end().to_owned()
    }
}

/// A kind of number: its name, the units it may be written in, and its bounds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// The key or column, without its unit.
    pub name: &'static str,
    /// The least that is accepted, in the first of the units.
    pub low: f64,
    /// The most that is accepted, in the first of the units.
    pub high: f64,
    /// Units it may be written in, the usual one first.
    pub units: &'static [Unit],
}

impl Range {
    /// The key or column for one of the units.
    #[must_use]
    pub fn key(&self, unit: Unit) -> String {
        join(self.name, unit.suffix)
    }

    /// Every key or column that may hold the number.
    #[must_use]
    pub fn keys(&self) -> Vec<String> {
        self.units.iter().map(|unit| self.key(*unit)).collect()
    }

    /// The number as records keep it.
    ///
    /// # Errors
    /// In words, what was expected, where the number is out of range.
    ///
    /// ```
    /// use sutler::inputs::limits::MASS;
    /// assert_eq!(MASS.check(70.0, MASS.units[0]), Ok(70.0));
    /// assert_eq!(MASS.check(700.0, MASS.units[0]), Err("expected 30 to 200 kg".to_owned()));
    /// assert_eq!(MASS.check(700.0, MASS.units[1]), Err("expected 67 to 440 lb".to_owned()));
    /// ```
    pub fn check(&self, number: f64, unit: Unit) -> Result<f64, String> {
        let usual = self.units.first().copied().unwrap_or(unit);
        let record = unit.to_record(number);
        if (usual.to_record(self.low)..=usual.to_record(self.high)).contains(&record) {
            return Ok(record);
        }
        let (low, high) = if unit == usual {
            (self.low, self.high)
        } else {
            // Rounded inwards, so that everything in the range shown is accepted.
            let shown = |number| unit.from_record(usual.to_record(number));
            (shown(self.low).ceil(), shown(self.high).floor())
        };
        Err(format!("expected {low} to {}", unit.show(high)))
    }
}

fn join(name: &str, suffix: &str) -> String {
    if suffix.is_empty() {
        name.to_owned()
    } else {
        format!("{name}_{suffix}")
    }
}

const BARE: &[Unit] = &[Unit::new("", "", 1.0)];
const DISTANCE_UNITS: &[Unit] = &[
    Unit::new("km", "km", 1000.0),
    Unit::new("mi", "mi", M_PER_MILE),
    Unit::new("m", "m", 1.0),
];
const HEIGHT_UNITS: &[Unit] = &[Unit::new("m", "m", 1.0), Unit::new("ft", "ft", M_PER_FOOT)];
const TEMPERATURE_UNITS: &[Unit] = &[
    Unit::new("c", "°C", 1.0),
    Unit {
        suffix: "f",
        symbol: "°F",
        scale: 5.0 / 9.0,
        shift: -32.0,
    },
];
const WIND_UNITS: &[Unit] = &[
    Unit::new("kmh", "km/h", 1.0),
    Unit::new("mph", "mph", M_PER_MILE / 1000.0),
];
const VOLUME_UNITS: &[Unit] = &[
    Unit::new("ml", "ml", 1.0),
    Unit::new("floz", "fl oz", ML_PER_FLOZ),
];
const BODY_MASS_UNITS: &[Unit] = &[
    Unit::new("kg", "kg", 1.0),
    Unit::new("lb", "lb", KG_PER_POUND),
];
const BODY_HEIGHT_UNITS: &[Unit] = &[Unit::new("cm", "cm", 1.0), Unit::new("in", "in", 2.54)];
const DEGREES: &[Unit] = &[Unit::new("", "degrees", 1.0)];
const MINUTES: &[Unit] = &[Unit::new("min", "min", 60.0)];
const BARE_MINUTES: &[Unit] = &[Unit::new("", "min", 60.0)];
const HOURS: &[Unit] = &[Unit::new("h", "h", 1.0)];
const GRAMS: &[Unit] = &[Unit::new("g", "g", 1.0)];
const MILLIGRAMS: &[Unit] = &[Unit::new("mg", "mg", 1.0)];
const KILOCALORIES: &[Unit] = &[Unit::new("kcal", "kcal", 1.0)];
const KILOCALORIES_PER_HOUR: &[Unit] = &[Unit::new("kcal_per_h", "kcal/h", 1.0)];
const GRAMS_PER_HOUR: &[Unit] = &[Unit::new("g_per_h", "g/h", 1.0)];
const LITRES_PER_HOUR: &[Unit] = &[Unit::new("l_per_h", "L/h", 1.0)];
const MILLILITRES_PER_HOUR: &[Unit] = &[Unit::new("ml_per_h", "ml/h", 1.0)];
const MILLIGRAMS_PER_LITRE: &[Unit] = &[Unit::new("mg_per_l", "mg/L", 1.0)];
const PERCENT: &[Unit] = &[Unit::new("pct", "%", 1.0)];
const MILLIMETRES: &[Unit] = &[Unit::new("mm", "mm", 1.0)];
const MILLIMETRES_PER_HOUR: &[Unit] = &[Unit::new("mm_per_h", "mm/h", 1.0)];
const YEARS: &[Unit] = &[Unit::new("years", "years", 1.0)];
const PER_DEGREE: &[Unit] = &[Unit::new("per_c", "per °C", 1.0)];
const PER_KILOMETRE: &[Unit] = &[Unit::new("per_km", "per km", 1.0)];

/// Makes one public constant a row, and [`ALL`] of all rows, so that no range can be left out.
macro_rules! table {
    ($($row:ident $name:literal $units:ident $low:literal to $high:literal, $what:literal;)*) => {
        $(
            #[doc = $what]
            pub const $row: Range = Range { name: $name, low: $low, high: $high, units: $units };
        )*
        /// Every range, with what it is about.
        pub const ALL: &[(Range, &str)] = &[$(($row, $what)),*];
    };
}

table! {
    STATION_DISTANCE "distance" DISTANCE_UNITS 0.0 to 1000.0, "a station's official distance from the start";
    LATITUDE "lat" DEGREES -90.0 to 90.0, "degrees north";
    LONGITUDE "lon" DEGREES -180.0 to 180.0, "degrees east";
    STOP "stop" MINUTES 0.0 to 720.0, "minutes planned at a station";
    STOP_AT "stop" BARE_MINUTES 0.0 to 720.0, "minutes planned at a station that is named";
    AID_STOP "aid" MINUTES 0.0 to 120.0, "minutes planned at every aid station";
    WATER_STOP "water" MINUTES 0.0 to 120.0, "minutes planned at every water point";
    DROP_BAG_STOP "drop_bag" MINUTES 0.0 to 120.0, "minutes planned wherever there is a drop bag";
    SURFACE_FROM "from" DISTANCE_UNITS 0.0 to 1000.0, "where a stretch of one surface starts";
    SURFACE_TO "to" DISTANCE_UNITS 0.0 to 1000.0, "where a stretch of one surface ends";
    OFFICIAL_DISTANCE "official_distance" DISTANCE_UNITS 0.1 to 1000.0, "the organiser's length of the course";
    OFFICIAL_CLIMB "official_climb" HEIGHT_UNITS 0.0 to 50000.0, "the organiser's climb";
    LAPS "laps" BARE 1.0 to 200.0, "how often the route is run";
    WAVE_OFFSET "wave_offset" MINUTES 0.0 to 1440.0, "how long after the official start a wave goes";
    WEEK "week" DISTANCE_UNITS 1.0 to 300.0, "what you run in a week now";
    PAST_DISTANCE "distance" DISTANCE_UNITS 1.0 to 1000.0, "the length of a past race or long run";
    PAST_CLIMB "climb" HEIGHT_UNITS 0.0 to 50000.0, "the climb of a past race or long run";
    PAST_STOPPED "stopped" MINUTES 0.0 to 7200.0, "minutes stopped in a past race or long run";
    PAST_PLACE "place" BARE 1.0 to 100000.0, "the place in a past race";
    PAST_FINISHERS "finishers" BARE 1.0 to 100000.0, "how many finished a past race";
    FADE "fade" BARE 0.0 to 4.0, "how much of the recorded slowing, 1 as recorded";
    FADE_EXPONENT "fade_exponent" BARE 1.0 to 1.25, "exponent of race time over effort distance";
    DOWNHILL_CAP "downhill_cap" BARE 1.0 to 1.3, "the most that a descent speeds the runner up";
    NIGHT_FACTOR "night_factor" BARE 1.0 to 1.5, "time in the dark over time by day";
    HEAT "heat" PER_DEGREE 0.0 to 0.03, "extra time per degree above 15 °C";
    ALTITUDE "altitude" PER_KILOMETRE 0.0 to 0.1, "speed lost per 1000 m above 300 m";
    CLIMB_MULTIPLIER "climb_multiplier" BARE 0.5 to 2.0, "own time on climbs over the model's";
    DESCENT_MULTIPLIER "descent_multiplier" BARE 0.5 to 2.0, "own time on descents over the model's";
    STOP_MULTIPLIER "stop_multiplier" BARE 0.0 to 4.0, "own time stood still over the usual";
    PACING_RUNS "runs" BARE 1.0 to 10000.0, "runs that own pacing figures rest on";
    RESERVE_SHARE "reserve_share" BARE 0.0 to 1.0, "how much more is carried than is planned to be drunk";
    MASS "mass" BODY_MASS_UNITS 30.0 to 200.0, "the runner's mass";
    HEIGHT "height" BODY_HEIGHT_UNITS 120.0 to 230.0, "the runner's height";
    AGE "age" YEARS 10.0 to 110.0, "the runner's age";
    SWEAT_RATE "rate" LITRES_PER_HOUR 0.05 to 4.0, "sweat measured on a long run";
    RUN_ENERGY "energy" KILOCALORIES_PER_HOUR 50.0 to 2000.0, "how hard a long run was";
    SWEAT_SODIUM "sodium" MILLIGRAMS_PER_LITRE 100.0 to 3000.0, "sodium in sweat";
    CARBS_RATE "carbs" GRAMS_PER_HOUR 0.0 to 90.0, "carbohydrate taken on the run";
    CARBS_REHEARSED "carbs_rehearsed" GRAMS_PER_HOUR 0.0 to 150.0, "the most carbohydrate held on a long run";
    FLUID_REHEARSED "fluid_rehearsed" MILLILITRES_PER_HOUR 0.0 to 1200.0, "the most drunk on a long run";
    FLUID_HABIT "fluid_habit" MILLILITRES_PER_HOUR 50.0 to 1000.0, "what is drunk on long runs out of habit";
    RHYTHM_EVERY "every" MINUTES 10.0 to 180.0, "minutes from one thing eaten on the move to the next";
    RHYTHM_SIP "sip" MILLILITRES_PER_HOUR 50.0 to 1000.0, "what is drunk an hour";
    RHYTHM_MIX_FLASKS "mix_flasks" BARE 0.0 to 6.0, "flasks that hold mix";
    RHYTHM_AT_MOST "at_most" BARE 1.0 to 100.0, "how often one food is taken in 24 hours";
    CAFFEINE_DOSE "dose" MILLIGRAMS 0.0 to 200.0, "one dose of caffeine";
    FLASKS "flasks" VOLUME_UNITS 50.0 to 5000.0, "what a flask holds";
    FOOD_CAPACITY "food" GRAMS 50.0 to 10000.0, "food that fits in the pockets";
    TEMPERATURE "temp" TEMPERATURE_UNITS -60.0 to 60.0, "air temperature";
    HUMIDITY "humidity" PERCENT 0.0 to 100.0, "relative humidity";
    WIND "wind" WIND_UNITS 0.0 to 250.0, "wind at 10 m";
    RAIN "rain" MILLIMETRES 0.0 to 200.0, "rain in the hour";
    RAIN_RATE "rain" MILLIMETRES_PER_HOUR 0.0 to 200.0, "rain";
    RAIN_CHANCE "rain_chance" PERCENT 0.0 to 100.0, "the chance of rain";
    WEATHER_HEIGHT "elevation" HEIGHT_UNITS -500.0 to 9000.0, "the height that a forecast is for";
    SERVING_MASS "mass" GRAMS 0.0 to 5000.0, "what one serving weighs";
    SERVING_WATER "water" VOLUME_UNITS 0.0 to 3000.0, "water in one serving";
    CARBS "carbs" GRAMS 0.0 to 500.0, "carbohydrate in one serving";
    SODIUM "sodium" MILLIGRAMS 0.0 to 5000.0, "sodium in one serving";
    ENERGY "energy" KILOCALORIES 0.0 to 3000.0, "energy in one serving";
    PROTEIN "protein" GRAMS 0.0 to 300.0, "protein in one serving";
    CAFFEINE "caffeine" MILLIGRAMS 0.0 to 400.0, "caffeine in one serving";
    STOCK "stock" BARE 0.0 to 10000.0, "servings the runner has";
    LIKING "liking" BARE 1.0 to 5.0, "how welcome a food is";
    GEAR_MASS "mass" GRAMS 0.0 to 20000.0, "what a piece of gear weighs";
    BURN_TIME "burn" HOURS 0.0 to 1000.0, "how long a lamp lasts";
    CREW_BUFFER "buffer" MINUTES 0.0 to 600.0, "how long before the early arrival the crew is there";
    RUN_DESCENT "descent" HEIGHT_UNITS 0.0 to 50000.0, "the descent of a long run";
    LONGEST_CLIMB "longest_climb" HEIGHT_UNITS 0.0 to 9000.0, "the most height gained in one go on a long run";
    LONGEST_DESCENT "longest_descent" HEIGHT_UNITS 0.0 to 9000.0, "the most height lost in one go on a long run";
    STEEPEST_CLIMB "steepest_climb" PERCENT 0.0 to 200.0, "the steepest climb of a long run";
    STEEPEST_DESCENT "steepest_descent" PERCENT 0.0 to 200.0, "the steepest descent of a long run";
    RUN_STOPS "stops" BARE 0.0 to 1000.0, "how often a long run stood still";
    RUN_DARK "dark" MINUTES 0.0 to 7200.0, "minutes of a long run in the dark";
    MASS_BEFORE "mass_before" BODY_MASS_UNITS 30.0 to 200.0, "the runner's mass before a long run";
    MASS_AFTER "mass_after" BODY_MASS_UNITS 30.0 to 200.0, "the runner's mass after a long run";
    SCALE_RESOLUTION "scale_resolution" BODY_MASS_UNITS 0.001 to 2.0, "the step of a scale's display";
    URINE "urine" VOLUME_UNITS 0.0 to 20000.0, "urine passed between two weighings";
    DRANK "drank" VOLUME_UNITS 0.0 to 60000.0, "what was drunk on a long run";
    LOG_WATER "water" VOLUME_UNITS 0.0 to 20000.0, "water in a row of a long run's log";
    FOOD_WATER "food_water" VOLUME_UNITS 0.0 to 20000.0, "water in the food of a long run";
    EATEN "eaten" GRAMS 0.0 to 20000.0, "food eaten on a long run";
    RUN_SODIUM "sodium" MILLIGRAMS 0.0 to 50000.0, "sodium taken on a long run";
    RUN_CARBS "carbs" GRAMS 0.0 to 5000.0, "carbohydrate taken on a long run";
    RUN_CAFFEINE "caffeine" MILLIGRAMS 0.0 to 3000.0, "caffeine taken on a long run";
    RUN_SWEAT "sweat" LITRES_PER_HOUR 0.0 to 6.0, "sweat by the mass balance of a long run";
    SWEAT_UNCERTAINTY "sweat_uncertainty" LITRES_PER_HOUR 0.0 to 6.0, "how unsure that is";
    STOMACH "stomach" BARE 0.0 to 10.0, "how the stomach felt, 10 as at breakfast";
    SERVINGS_EATEN "servings" BARE 0.0 to 500.0, "servings eaten on a long run";
    MOST_SERVINGS "most_in_3h" BARE 0.0 to 500.0, "most servings of a food within 3 h of a long run";
    FADE_UNCERTAINTY "fade_uncertainty" BARE 0.0 to 10.0, "how unsure a run's fade is";
    DRIVE "minutes" BARE_MINUTES 0.0 to 1440.0, "how long a drive takes";
}

/// The longest race time that is accepted, in hours.
pub const LONGEST_RACE_H: i64 = 240;
/// Years a date may be in: those the rules of time zones are known for.
pub const DATE_YEARS: std::ops::RangeInclusive<i32> = 1970..=2100;
/// Characters in a name.
pub const NAME_CHARS: usize = 80;
/// Characters in a sentence, such as a rule.
pub const SENTENCE_CHARS: usize = 500;
/// Entries in a list of one key or cell.
pub const LIST_ENTRIES: usize = 100;
/// Bytes in a table.
pub const TABLE_BYTES: usize = 4_000_000;
/// Bytes in a file of settings.
pub const SETTINGS_BYTES: usize = 1_000_000;
/// Columns of a table.
pub const COLUMNS: usize = 100;
/// Rows of `stations.csv`.
pub const STATION_ROWS: usize = 500;
/// Rows of `surfaces.csv`.
pub const SURFACE_ROWS: usize = 5_000;
/// Rows of `results.csv`.
pub const RESULT_ROWS: usize = 20_000;
/// Rows of `pantry.csv`.
pub const PANTRY_ROWS: usize = 500;
/// Rows of `gear.csv`.
pub const GEAR_ROWS: usize = 500;
/// Rows of the log of a long run.
pub const LOG_ROWS: usize = 2_000;
/// Rows of `weather.csv`.
pub const WEATHER_ROWS: usize = 10_000;
/// Problems shown of one file, so that a file of another kind does not fill the screen.
pub const PROBLEMS_SHOWN: usize = 60;
