//! Every key of the files of settings that the page asks for, with the words beside it.

use sutler::inputs::course_toml::HeightSource;
use sutler::inputs::limits::{self, Range};
use sutler::inputs::plan_toml::Evidence;
use sutler::inputs::rhythm::{During, Taste};
use sutler::inputs::runner_toml::{GutTraining, HealthFlag};
use sutler::inputs::stations_csv::CutoffOn;
use sutler::inputs::surfaces_csv::Surface;

use super::edits::settings::KeyStep;
use super::role::Role;

/// The kind of text typed into a field.
#[derive(Clone, Copy)]
pub(super) enum Typed {
    /// Words.
    Text,
    /// A number with a unit that the key ends in.
    Number(&'static Range),
    /// A list of such numbers.
    Numbers(&'static Range),
    /// Yes or no.
    Flag,
    /// One of some words.
    Choice(fn() -> Vec<&'static str>),
    /// Any of some words.
    Choices(fn() -> Vec<&'static str>),
    /// Race time, such as `29:30:00`.
    Time,
    /// Up to two race times.
    Times,
    /// A date and time on the wall there.
    When,
    /// A day.
    Date,
    /// A zone of the IANA list.
    Zone,
    /// A line for each of some names or sentences.
    Lines,
}

/// A key.
pub(super) struct SettingField {
    /// Its key in its table; a number's without its unit.
    pub(super) key: &'static str,
    pub(super) label: &'static str,
    pub(super) about: &'static str,
    pub(super) kind: Typed,
}

impl SettingField {
    /// True for its key, in any unit.
    pub(super) fn is_called(&self, key: &str) -> bool {
        match self.kind {
            Typed::Number(range) | Typed::Numbers(range) => {
                range.keys().iter().any(|own| own == key)
            }
            _ => self.key == key,
        }
    }
}

/// Keys of one table, or of each table of a list.
pub(super) struct Group {
    pub(super) role: Role,
    /// The table; empty for what stands above all sections.
    pub(super) path: &'static [&'static str],
    /// True where there may be several of them.
    pub(super) is_list: bool,
    pub(super) title: &'static str,
    pub(super) about: &'static str,
    pub(super) fields: &'static [SettingField],
}

/// A field a row: its kind and key, or the range of its number; its label; what is said beside it.
macro_rules! fields {
    ($line:ident) => { $line };
    ($( ($($row:tt)*) )*) => { &[$(field!($($row)*)),*] };
}

macro_rules! field {
    ($range:ident, $label:literal, $about:literal) => {
        SettingField { key: limits::$range.name, label: $label, about: $about, kind: Typed::Number(&limits::$range) }
    };
    (numbers $range:ident $key:ident, $label:literal, $about:literal) => {
        SettingField { kind: Typed::Numbers(&limits::$range), ..field!(Text $key, $label, $about) }
    };
    (one_of $of:ident $key:ident, $label:literal, $about:literal) => {
        SettingField { kind: Typed::Choice(|| names(&$of::NAMES)), ..field!(Text $key, $label, $about) }
    };
    (any_of $of:ident $key:ident, $label:literal, $about:literal) => {
        SettingField { kind: Typed::Choices(|| names(&$of::NAMES)), ..field!(Text $key, $label, $about) }
    };
    ($kind:ident $key:ident, $label:literal, $about:literal) => {
        SettingField { key: stringify!($key), label: $label, about: $about, kind: Typed::$kind }
    };
}

/// A table of a file, or a list of tables: its file and path, its title, what is said below it.
macro_rules! groups {
    ($( $many:ident $role:ident [$($path:literal)*] $title:literal $about:literal $fields:tt )*) => {
        &[$(Group {
            role: Role::$role,
            path: &[$($path),*],
            is_list: matches!(stringify!($many).as_bytes(), b"list"),
            title: $title,
            about: $about,
            fields: fields! $fields,
        }),*]
    };
}

/// The words of a list of names and what they mean.
pub(super) fn names<T>(of: &[(&'static str, T)]) -> Vec<&'static str> {
    of.iter().map(|(name, _)| *name).collect()
}

/// The race and the target.
pub(super) const RACE: &[Group] = groups! {
    one Course [] "The race" "" {
        (Text name, "Name", "")
        (When start, "Official start", "on the clock there, such as 2026-10-24T06:00")
        (Zone timezone, "Time zone", "such as Europe/Vienna; with the start it gives clock times and daylight")
        (OFFICIAL_DISTANCE, "Official length", "a recorded track is never quite as long; stations are placed to match")
        (OFFICIAL_CLIMB, "Official climb", "without it the climb is measured on the route")
        (one_of CutoffOn cutoffs_on, "Cutoffs limit", "the arrival, or the departure")
        (LAPS, "Laps", "how often the route is run")
        (one_of Surface surface, "Ground", "where surfaces.csv says nothing")
        (one_of HeightSource heights, "Heights from", "decides how much of their noise counts as climb")
        (Lines mandatory_kit, "Mandatory kit", "a line for each; the names as in the gear list")
        (Text hand_in, "Drop bags handed in by", "when and where, such as 20:00 on Friday in the hall")
        (Lines rules, "Rules worth having on paper", "a line for each")
        (Text origin, "Where the course comes from", "")
    }
    one Plan [] "The target" "" {
        (Time finish, "Planned finish", "hours:minutes:seconds from your own start, stops included")
        (Times other_finishes, "Good day, hard day", "up to two more finishes to stand beside it, a line for each")
        (Time cushion, "Time in hand to keep", "what the slowest safe finish leaves at every cutoff; 0:20 unless you say")
        (Flag crew_before_bags, "Crew before bags", "the crew hands over what it can; bags serve where it does not come")
        (WAVE_OFFSET, "Your wave starts after", "cutoffs count from the official start")
    }
    one Plan ["windows"] "What the target is based on" "the less there is, the wider early and \
                                                        late" {
        (one_of Evidence evidence, "Rests on", "a race like this within a year, long runs, or hope")
    }
    one Plan ["stops"] "Stops" "minutes you stand still; part of the finish time" {
        (AID_STOP, "At aid stations", "")
        (WATER_STOP, "At water points", "")
        (DROP_BAG_STOP, "Where a bag is opened", "")
    }
    list Plan ["past"] "Past results" "races and long runs that your finish is judged by" {
        (Text name, "Race", "")
        (Date date, "Day", "")
        (PAST_DISTANCE, "Length", "")
        (PAST_CLIMB, "Climb", "")
        (Time time, "Time", "hours:minutes:seconds")
        (PAST_STOPPED, "Stood still", "if you know")
        (PAST_PLACE, "Place", "of all who finished, if you know")
        (PAST_FINISHERS, "Finishers", "how many there were")
        (one_of Surface surface, "Ground", "where it was another than most of this course")
    }
    one Plan ["pacing"] "Pacing, for those who measured it"
        "leave these alone until a long run of your own says otherwise" {
        (FADE, "Fade", "0 even effort, 1 as recorded runs show")
        (NIGHT_FACTOR, "Night", "time in the dark over time by day")
        (DOWNHILL_CAP, "Downhill", "the most a descent speeds you up")
        (Flag walker, "I walk all of it", "")
    }
};

/// The runner.
pub(super) const ME: &[Group] = groups! {
    one Runner [] "You" "every field may stay empty: the plan then takes a common value and says so" {
        (Text name, "Name", "printed on labels and sheets")
        (MASS, "Body mass", "")
        (HEIGHT, "Height", "")
        (AGE, "Age", "")
        (WEEK, "Running in a week now", "a calendar of long runs grows from it")
        (any_of HealthFlag conditions, "Health", "where one is ticked, plan food, drink and caffeine with your own physician")
    }
    one Runner ["carry"] "What you carry" "" {
        (numbers FLASKS flasks, "Flasks", "what each holds, a line for each")
        (FOOD_CAPACITY, "Food in the pockets", "")
    }
    one Runner ["fueling"] "What your stomach takes" "" {
        (one_of GutTraining gut, "Used to eating on the run", "trained: weeks of practice at the planned rate")
        (CARBS_RATE, "Carbohydrate", "what you tolerate on long runs")
        (CARBS_REHEARSED, "Most carbohydrate held", "on a recorded long run of three hours or more")
        (FLUID_REHEARSED, "Most drunk", "on a long run, feeling well; not a goal: drinking more \
                                         than you sweat is dangerous")
        (FLUID_HABIT, "What you usually drink", "on long runs, out of habit; never planned above what you sweat")
    }
    list Runner ["rhythm"] "How you eat and drink"
        "without it the plan chooses; each further block holds from where it says on, and leaves the rest as it was" {
        (Text from, "From", "start, race time such as 10:00:00, or a station")
        (one_of During during, "Only in", "the dark, or the heat")
        (RHYTHM_EVERY, "Something to eat every", "")
        (Lines eat, "Eat", "foods or kinds of food, a line for each, and nothing else; none: drink only")
        (Lines refuse, "Never", "foods or kinds of food, a line for each")
        (RHYTHM_SIP, "Drink", "never planned above what you sweat")
        (RHYTHM_MIX_FLASKS, "Flasks of mix", "the others hold water")
        (RHYTHM_AT_MOST, "The same food at most", "times in 24 hours; 10 where empty, more where you eat few foods")
        (one_of Taste taste, "Taste", "any: sweet early, savoury and warm later")
        (Flag caffeine, "Caffeine", "no: none in this phase; yes: as the plan asks")
    }
    one Runner ["caffeine"] "Caffeine" "" {
        (CAFFEINE_DOSE, "One dose", "used only where the plan asks for caffeine")
    }
    one Plan ["fueling"] "For this race" "" {
        (Flag caffeine, "Plan caffeine", "not with a heart condition, a pregnancy or medicines: ask a physician first")
        (Flag caffeine_agreed, "A physician agreed to it", "asked for with a pregnancy, heart trouble or an age under 18")
        (Time caffeine_from, "None before", "race time; without it doses come late and at night")
        (CARBS_RATE, "Carbohydrate", "instead of your usual rate")
        (RESERVE_SHARE, "Reserve in the flasks", "0.25 is a quarter more than is planned to be drunk")
    }
    list Runner ["sweat" "measured"] "Sweat you measured"
        "(kg before − kg after + litres drunk − litres of urine) / hours; measure it at three temperatures" {
        (Date date, "Day", "")
        (SWEAT_RATE, "Sweat", "")
        (TEMPERATURE, "Air", "")
        (RUN_ENERGY, "How hard", "if you know")
    }
    one Runner ["sweat"] "Salt in your sweat" "" {
        (SWEAT_SODIUM, "Sodium", "if a laboratory or a patch measured it")
    }
};

/// The weather of a line.
const LINE: &[SettingField] = fields! {
    (TEMPERATURE, "Air", "")
    (HUMIDITY, "Humidity", "")
    (WIND, "Wind", "")
    (RAIN_RATE, "Rain", "")
    (RAIN_CHANCE, "Chance of rain", "")
};

/// Two lines, or one forecast for all of the race.
pub(super) const WEATHER: &[Group] = groups! {
    one Plan ["weather" "day"] "By day"
        "at the start, in the warmest hour; the hours between day and night follow the sun" { LINE }
    one Plan ["weather" "night"] "By night" "at the start, in the coldest hour, at sunrise" { LINE }
    one Plan ["forecast"] "One forecast for the whole race" "instead of day and night" { LINE }
};

/// The crew.
pub(super) const CREW: &[Group] = groups! {
    one Crew [] "Who helps" "" {
        (Lines crew, "Names", "a line for each")
        (Text phone, "Phone", "printed on what you carry")
        (Text race_control, "Race control", "the organiser's number on race day")
        (CREW_BUFFER, "There before you by", "before the earliest time you may arrive")
    }
    list Crew ["drive"] "Drives" "between places where they meet you, both ways, parking and the walk included" {
        (Text from, "From", "a place")
        (Text to, "To", "a place")
        (DRIVE, "Takes", "")
        (Text who, "Who drives", "where that is settled")
    }
    list Crew ["place"] "Places where they meet you" "" {
        (Text name, "Place", "a place or a station")
        (Text coordinates, "Coordinates", "where they park, such as 46.3615, 13.1410")
        (Text directions, "Directions", "how to get there")
        (Text parking, "Parking", "and the walk from there")
        (Text phone, "Phone", "whom to call there")
        (Text notes, "Notes", "such as where there is no signal")
    }
    list Crew ["pacer"] "Pacers" "where the race allows them" {
        (Text name, "Name", "")
        (Text from, "Joins at", "a station")
        (Text to, "Stops at", "a station")
    }
};

/// Every group that the page asks for, by the part where it is.
pub(super) const PARTS: [(&str, &[Group]); 4] = [
    ("race", RACE),
    ("me", ME),
    ("weather", WEATHER),
    ("crew", CREW),
];

pub(super) fn groups() -> impl Iterator<Item = &'static Group> {
    PARTS.iter().flat_map(|(_, groups)| *groups)
}

/// Tables whose keys are names that the user chooses.
const NAMED: &[(Role, &[&str], Typed)] = &[
    (
        Role::Plan,
        &["stops", "at"],
        Typed::Number(&limits::STOP_AT),
    ),
    (Role::Crew, &["bring"], Typed::Lines),
    (Role::Crew, &["phones"], Typed::Text),
];

/// The field for a key of a file; nothing where the page does not ask for it.
pub(super) fn kind_of(role: Role, path: &[KeyStep]) -> Option<Typed> {
    let (KeyStep::Key(last), above) = path.split_last()? else {
        return None;
    };
    let names: Vec<&str> = above
        .iter()
        .filter_map(|step| match step {
            KeyStep::Key(key) => Some(key.as_str()),
            KeyStep::At(_) => None,
        })
        .collect();
    let is_in_list = above.iter().any(|step| matches!(step, KeyStep::At(_)));
    let named = NAMED
        .iter()
        .find(|(own, path, _)| *own == role && *path == names.as_slice());
    if let Some((_, _, kind)) = named.filter(|_| !is_in_list) {
        return Some(*kind);
    }
    let own = groups().filter(|group| {
        group.role == role && group.path == names.as_slice() && group.is_list == is_in_list
    });
    let mut fields = own.flat_map(|group| group.fields);
    fields
        .find(|field| field.is_called(last))
        .map(|field| field.kind)
}

/// The list of tables with this path.
pub(super) fn list_of(role: Role, path: &[String]) -> Option<&'static Group> {
    groups().find(|group| group.is_list && group.role == role && group.path == path)
}

#[cfg(test)]
mod tests;
