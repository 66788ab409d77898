//! Words that people type for keys and columns, and the ones meant; common practice, no source.

/// Each key or column with what is typed for it. One may stand for several: the file that is read
/// knows only some of them.
const MEANT: &[(&str, &[&str])] = &[
    (
        "finish",
        &[
            "goal",
            "target",
            "goal_time",
            "target_time",
            "finish_time",
            "target_finish",
            "goal_finish",
            "time",
        ],
    ),
    (
        "time",
        &[
            "finish",
            "finish_time",
            "result",
            "hour",
            "date",
            "when",
            "datetime",
            "local_time",
        ],
    ),
    (
        "past",
        &["results", "result", "races", "previous", "history"],
    ),
    (
        "mass_kg",
        &[
            "weight",
            "weight_kg",
            "body_mass",
            "body_weight",
            "kg",
            "bodyweight",
        ],
    ),
    (
        "mass_lb",
        &["weight_lb", "weight_lbs", "mass_lbs", "lb", "lbs", "pounds"],
    ),
    ("mass_g", &["weight", "weight_g", "grams", "g"]),
    ("height_cm", &["size", "tall", "body_height"]),
    ("age_years", &["age", "years"]),
    ("conditions", &["health", "medical", "illness"]),
    (
        "flasks_ml",
        &[
            "bottles",
            "bottles_ml",
            "bottle",
            "flask",
            "flasks",
            "bladder",
            "soft_flasks",
            "water_ml",
        ],
    ),
    (
        "carbs_g_per_h",
        &[
            "carbs",
            "carbs_per_hour",
            "carbs_per_h",
            "carb_rate",
            "carbohydrate",
            "carbs_g",
            "carbs_g_h",
        ],
    ),
    (
        "carbs_g",
        &[
            "carbs",
            "carb",
            "carbohydrate",
            "carbohydrates",
            "carbohydrates_g",
            "cho",
        ],
    ),
    ("energy_kcal", &["kcal", "calories", "cal", "energy"]),
    ("sodium_mg", &["sodium", "na", "na_mg", "salt", "salt_mg"]),
    ("caffeine_mg", &["caffeine"]),
    ("water_ml", &["water", "volume", "volume_ml", "ml"]),
    ("timezone", &["time_zone", "tz", "zone"]),
    (
        "start",
        &[
            "start_time",
            "date",
            "start_date",
            "race_start",
            "race_date",
            "gun",
        ],
    ),
    (
        "official_distance_km",
        &["distance", "distance_km", "length", "length_km", "km"],
    ),
    (
        "official_distance_mi",
        &["distance_mi", "length_mi", "miles"],
    ),
    (
        "official_climb_m",
        &[
            "climb",
            "climb_m",
            "ascent",
            "ascent_m",
            "elevation_gain",
            "gain",
            "vert",
            "gain_m",
        ],
    ),
    (
        "official_climb_ft",
        &[
            "climb_ft",
            "ascent_ft",
            "gain_ft",
            "vert_ft",
            "elevation_gain_ft",
        ],
    ),
    (
        "mandatory_kit",
        &[
            "gear",
            "kit",
            "mandatory_gear",
            "required_gear",
            "mandatory",
            "required_kit",
        ],
    ),
    (
        "distance_km",
        &[
            "km",
            "kms",
            "kilometre",
            "kilometres",
            "kilometers",
            "distance",
            "dist",
            "length_km",
        ],
    ),
    (
        "distance_mi",
        &["mi", "mile", "miles", "dist_mi", "length_mi"],
    ),
    (
        "climb_m",
        &[
            "gain",
            "gain_m",
            "ascent",
            "ascent_m",
            "vert",
            "elevation_gain",
        ],
    ),
    (
        "name",
        &[
            "station",
            "aid",
            "aid_station",
            "checkpoint",
            "cp",
            "item",
            "food",
            "title",
            "what",
            "stop",
        ],
    ),
    ("place", &["location", "where", "town", "station"]),
    (
        "cutoff",
        &[
            "cut_off",
            "cutoffs",
            "limit",
            "time_limit",
            "closes",
            "closing_time",
            "cutoff_time",
            "deadline",
        ],
    ),
    (
        "drop_bag",
        &["drop_bags", "bag", "bags", "dropbag", "dropbags"],
    ),
    ("crew", &["crew_access", "support", "supporters", "crewed"]),
    ("pacer", &["pacers", "pacer_access"]),
    (
        "offers",
        &["food", "foods", "supplies", "aid", "drinks", "provisions"],
    ),
    ("kind", &["type", "category", "sort"]),
    ("lat", &["latitude"]),
    ("lon", &["lng", "long", "longitude"]),
    ("stop_min", &["stop", "minutes", "rest", "rest_min"]),
    ("temp_c", &["temperature", "temperature_c", "celsius", "t"]),
    ("temp_f", &["temperature_f", "fahrenheit"]),
    (
        "humidity_pct",
        &["humidity", "rh", "rh_pct", "humidity_percent"],
    ),
    ("wind_kmh", &["wind_kph", "wind_speed", "wind"]),
    ("rain_mm", &["rain", "precipitation", "precip"]),
    (
        "rain_chance_pct",
        &[
            "rain",
            "rain_chance",
            "rain_pct",
            "chance_of_rain",
            "precipitation",
        ],
    ),
    (
        "aid_min",
        &[
            "aid",
            "aid_station",
            "aid_stations",
            "station_min",
            "stop_min",
        ],
    ),
    ("when", &["rule", "condition", "conditions", "if"]),
    ("burn_h", &["battery_h", "battery", "runtime_h", "hours"]),
    ("serving", &["portion", "size", "unit"]),
    ("stock", &["amount", "count", "quantity", "have"]),
    ("own", &["mine"]),
    ("fade", &["slowdown", "slowing"]),
    ("evidence", &["basis", "confidence"]),
];

/// The known keys or columns that a typed word stands for.
pub(super) fn meant<'k>(typed: &str, known: &[&'k str]) -> Vec<&'k str> {
    let typed = typed.trim().to_lowercase().replace([' ', '-'], "_");
    let stands_for = |name: &&&str| {
        let mut all = MEANT.iter();
        all.any(|(meant, words)| meant == *name && words.contains(&typed.as_str()))
    };
    known.iter().filter(stands_for).copied().collect()
}
