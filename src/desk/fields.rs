//! Every key of the files of settings that the page asks for, with the words beside it.

use sutler::inputs::course_toml::HeightSource;
use sutler::inputs::limits::{self, Range};
use sutler::inputs::plan_toml::Evidence;
use sutler::inputs::runner_toml::{GutTraining, HealthFlag};
use sutler::inputs::stations_csv::{CutoffOn, StationKind};
use sutler::inputs::surfaces_csv::Surface;

use super::edits::settings::Step;
use super::role::Role;

/// What is typed into a field.
#[derive(Clone, Copy)]
pub(super) enum Kind {
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
pub(super) struct Field {
    /// Where it stands in its table; a number's without its unit.
    pub(super) key: &'static str,
    pub(super) label: &'static str,
    pub(super) about: &'static str,
    pub(super) kind: Kind,
}

/// Keys of one table, or of each table of a list.
pub(super) struct Group {
    pub(super) role: Role,
    /// The table; empty for what stands above all sections.
    pub(super) path: &'static [&'static str],
    /// Whether there may be several of them.
    pub(super) is_list: bool,
    pub(super) title: &'static str,
    pub(super) about: &'static str,
    pub(super) fields: &'static [Field],
}

const fn field(key: &'static str, label: &'static str, about: &'static str, kind: Kind) -> Field {
    Field {
        key,
        label,
        about,
        kind,
    }
}

const fn number(range: &'static Range, label: &'static str, about: &'static str) -> Field {
    field(range.name, label, about, Kind::Number(range))
}

const fn group(
    role: Role,
    path: &'static [&'static str],
    title: &'static str,
    about: &'static str,
    fields: &'static [Field],
) -> Group {
    Group {
        role,
        path,
        is_list: false,
        title,
        about,
        fields,
    }
}

const fn list(
    role: Role,
    path: &'static [&'static str],
    title: &'static str,
    about: &'static str,
    fields: &'static [Field],
) -> Group {
    Group {
        is_list: true,
        ..group(role, path, title, about, fields)
    }
}

macro_rules! names {
    ($visible:vis $name:ident, $of:path) => {
        $visible fn $name() -> Vec<&'static str> {
            $of.iter().map(|(name, _)| *name).collect()
        }
    };
}
names!(surfaces, Surface::NAMES);
names!(heights, HeightSource::NAMES);
names!(cutoffs_on, CutoffOn::NAMES);
names!(evidence, Evidence::NAMES);
names!(gut, GutTraining::NAMES);
names!(flags, HealthFlag::NAMES);
names!(pub(super) station_kinds, StationKind::NAMES);

/// The race and the target.
pub(super) const RACE: &[Group] = &[
    group(
        Role::Course,
        &[],
        "The race",
        "",
        &[
            field("name", "Name", "", Kind::Text),
            field(
                "start",
                "Official start",
                "on the clock there, such as 2026-10-24T06:00",
                Kind::When,
            ),
            field(
                "timezone",
                "Time zone",
                "such as Europe/Vienna; with the start it gives clock times and daylight",
                Kind::Zone,
            ),
            number(
                &limits::OFFICIAL_DISTANCE,
                "Official length",
                "a recorded track is never quite as long; stations are placed to match",
            ),
            number(
                &limits::OFFICIAL_CLIMB,
                "Official climb",
                "without it the climb is measured on the route",
            ),
            field(
                "cutoffs_on",
                "Cutoffs limit",
                "the arrival, or the departure",
                Kind::Choice(cutoffs_on),
            ),
            number(&limits::LAPS, "Laps", "how often the route is run"),
            field(
                "surface",
                "Ground",
                "where surfaces.csv says nothing",
                Kind::Choice(surfaces),
            ),
            field(
                "heights",
                "Heights from",
                "decides how much of their noise counts as climb",
                Kind::Choice(heights),
            ),
            field(
                "mandatory_kit",
                "Mandatory kit",
                "a line for each; the names as in the gear list",
                Kind::Lines,
            ),
            field(
                "rules",
                "Rules worth having on paper",
                "a line for each",
                Kind::Lines,
            ),
            field("origin", "Where the course comes from", "", Kind::Text),
        ],
    ),
    group(
        Role::Plan,
        &[],
        "The target",
        "",
        &[
            field(
                "finish",
                "Planned finish",
                "hours:minutes:seconds from your own start, stops included",
                Kind::Time,
            ),
            field(
                "other_finishes",
                "Good day, hard day",
                "up to two more finishes to stand beside it, a line for each",
                Kind::Times,
            ),
            field(
                "cushion",
                "Time in hand to keep",
                "what the slowest safe finish leaves at every cutoff; 0:20 unless you say",
                Kind::Time,
            ),
            number(
                &limits::WAVE_OFFSET,
                "Your wave starts after",
                "cutoffs count from the official start",
            ),
        ],
    ),
    group(
        Role::Plan,
        &["windows"],
        "What the target rests on",
        "the less there is, the wider early and late",
        &[field(
            "evidence",
            "Rests on",
            "a race like this within a year, long runs, or hope",
            Kind::Choice(evidence),
        )],
    ),
    group(
        Role::Plan,
        &["stops"],
        "Stops",
        "minutes you stand still; part of the finish time",
        &[
            number(&limits::AID_STOP, "At aid stations", ""),
            number(&limits::WATER_STOP, "At water points", ""),
            number(&limits::DROP_BAG_STOP, "Where a bag is opened", ""),
        ],
    ),
    list(
        Role::Plan,
        &["past"],
        "Past results",
        "races and long runs that your finish is judged by",
        &[
            field("name", "Race", "", Kind::Text),
            field("date", "Day", "", Kind::Date),
            number(&limits::PAST_DISTANCE, "Length", ""),
            number(&limits::PAST_CLIMB, "Climb", ""),
            field("time", "Time", "hours:minutes:seconds", Kind::Time),
            number(&limits::PAST_STOPPED, "Stood still", "if you know"),
            field(
                "surface",
                "Ground",
                "where it was another than most of this course",
                Kind::Choice(surfaces),
            ),
        ],
    ),
    group(
        Role::Plan,
        &["pacing"],
        "Pacing, for those who measured it",
        "leave these alone until a long run of your own says otherwise",
        &[
            number(
                &limits::FADE,
                "Fade",
                "0 even effort, 1 as recorded runs show",
            ),
            number(
                &limits::NIGHT_FACTOR,
                "Night",
                "time in the dark over time by day",
            ),
            number(
                &limits::DOWNHILL_CAP,
                "Downhill",
                "the most a descent speeds you up",
            ),
            field("walker", "I walk all of it", "", Kind::Flag),
        ],
    ),
];

/// The runner.
pub(super) const ME: &[Group] = &[
    group(
        Role::Runner,
        &[],
        "You",
        "every field may stay empty: the plan then takes a common value and says so",
        &[
            field("name", "Name", "printed on labels and sheets", Kind::Text),
            number(&limits::MASS, "Body mass", ""),
            number(&limits::HEIGHT, "Height", ""),
            number(&limits::AGE, "Age", ""),
            field(
                "conditions",
                "Health",
                "where one is ticked, plan food, drink and caffeine with your own physician",
                Kind::Choices(flags),
            ),
        ],
    ),
    group(
        Role::Runner,
        &["carry"],
        "What you carry",
        "",
        &[
            field(
                "flasks",
                "Flasks",
                "what each holds, a line for each",
                Kind::Numbers(&limits::FLASKS),
            ),
            number(&limits::FOOD_CAPACITY, "Food in the pockets", ""),
        ],
    ),
    group(
        Role::Runner,
        &["fueling"],
        "What your stomach takes",
        "",
        &[
            field(
                "gut",
                "Used to eating on the run",
                "trained: weeks of practice at the planned rate",
                Kind::Choice(gut),
            ),
            number(
                &limits::CARBS_RATE,
                "Carbohydrate",
                "what you tolerate on long runs",
            ),
            number(
                &limits::CARBS_REHEARSED,
                "Most carbohydrate held",
                "on a recorded long run of three hours or more",
            ),
            number(
                &limits::FLUID_REHEARSED,
                "Most drunk",
                "on a long run, feeling well; no goal: drinking more than you sweat is dangerous",
            ),
        ],
    ),
    group(
        Role::Runner,
        &["caffeine"],
        "Caffeine",
        "",
        &[number(
            &limits::CAFFEINE_DOSE,
            "One dose",
            "used only where the plan asks for caffeine",
        )],
    ),
    group(
        Role::Plan,
        &["fueling"],
        "For this race",
        "",
        &[
            field(
                "caffeine",
                "Plan caffeine",
                "not with a heart condition, a pregnancy or medicines: ask a physician first",
                Kind::Flag,
            ),
            field(
                "caffeine_agreed",
                "A physician agreed to it",
                "asked for with a pregnancy, heart trouble or an age under 18",
                Kind::Flag,
            ),
            field(
                "caffeine_from",
                "None before",
                "race time; without it doses come late and at night",
                Kind::Time,
            ),
            number(
                &limits::CARBS_RATE,
                "Carbohydrate",
                "instead of your usual rate",
            ),
            number(
                &limits::RESERVE_SHARE,
                "Reserve in the flasks",
                "0.25 is a quarter more than is planned to be drunk",
            ),
        ],
    ),
    list(
        Role::Runner,
        &["sweat", "measured"],
        "Sweat you measured",
        "(kg before − kg after + litres drunk − litres of urine) / hours; three at different \
         temperatures make the best estimate",
        &[
            field("date", "Day", "", Kind::Date),
            number(&limits::SWEAT_RATE, "Sweat", ""),
            number(&limits::TEMPERATURE, "Air", ""),
            number(&limits::RUN_ENERGY, "How hard", "if you know"),
        ],
    ),
    group(
        Role::Runner,
        &["sweat"],
        "Salt in your sweat",
        "",
        &[number(
            &limits::SWEAT_SODIUM,
            "Sodium",
            "if a laboratory or a patch measured it",
        )],
    ),
];

/// The weather of a line.
const LINE: &[Field] = &[
    number(&limits::TEMPERATURE, "Air", ""),
    number(&limits::HUMIDITY, "Humidity", ""),
    number(&limits::WIND, "Wind", ""),
    number(&limits::RAIN_RATE, "Rain", ""),
    number(&limits::RAIN_CHANCE, "Chance of rain", ""),
];

/// Two lines, or one forecast for all of the race.
pub(super) const WEATHER: &[Group] = &[
    group(
        Role::Plan,
        &["weather", "day"],
        "By day",
        "at the start, in the warmest hour; the hours between day and night follow the sun",
        LINE,
    ),
    group(
        Role::Plan,
        &["weather", "night"],
        "By night",
        "at the start, in the coldest hour, at sunrise",
        LINE,
    ),
    group(
        Role::Plan,
        &["forecast"],
        "One forecast for the whole race",
        "instead of day and night",
        LINE,
    ),
];

/// The crew.
pub(super) const CREW: &[Group] = &[
    group(
        Role::Crew,
        &[],
        "Who helps",
        "",
        &[
            field("crew", "Names", "a line for each", Kind::Lines),
            field("phone", "Phone", "printed on what you carry", Kind::Text),
            field(
                "race_control",
                "Race control",
                "the organiser's number on race day",
                Kind::Text,
            ),
            number(
                &limits::CREW_BUFFER,
                "There before you by",
                "before the earliest time you may arrive",
            ),
        ],
    ),
    list(
        Role::Crew,
        &["drive"],
        "Drives",
        "between places where they meet you, both ways, parking and the walk included",
        &[
            field("from", "From", "a place", Kind::Text),
            field("to", "To", "a place", Kind::Text),
            number(&limits::DRIVE, "Takes", ""),
        ],
    ),
    list(
        Role::Crew,
        &["place"],
        "Places where they meet you",
        "",
        &[
            field("name", "Place", "a place or a station", Kind::Text),
            field("directions", "Directions", "how to get there", Kind::Text),
            field("parking", "Parking", "and the walk from there", Kind::Text),
            field("phone", "Phone", "whom to call there", Kind::Text),
            field(
                "notes",
                "Notes",
                "such as where there is no signal",
                Kind::Text,
            ),
        ],
    ),
    list(
        Role::Crew,
        &["pacer"],
        "Pacers",
        "where the race allows them",
        &[
            field("name", "Name", "", Kind::Text),
            field("from", "Joins at", "a station", Kind::Text),
            field("to", "Stops at", "a station", Kind::Text),
        ],
    ),
];

/// Every group that the page asks for.
pub(super) fn groups() -> impl Iterator<Item = &'static Group> {
    [RACE, ME, WEATHER, CREW].into_iter().flatten()
}

/// Tables whose keys are names that the user chooses.
const NAMED: &[(Role, &[&str], Kind)] = &[
    (Role::Plan, &["stops", "at"], Kind::Number(&limits::STOP_AT)),
    (Role::Crew, &["bring"], Kind::Lines),
    (Role::Crew, &["phones"], Kind::Text),
];

/// What is typed for a key of a file; nothing where the page does not ask for it.
pub(super) fn kind_of(role: Role, path: &[Step]) -> Option<Kind> {
    let (Step::Key(last), above) = path.split_last()? else {
        return None;
    };
    let names: Vec<&str> = above
        .iter()
        .filter_map(|step| match step {
            Step::Key(key) => Some(key.as_str()),
            Step::At(_) => None,
        })
        .collect();
    let is_in_list = above.iter().any(|step| matches!(step, Step::At(_)));
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
        .find(|field| match field.kind {
            Kind::Number(range) | Kind::Numbers(range) => range.keys().contains(last),
            _ => field.key == last,
        })
        .map(|field| field.kind)
}

/// The list of tables with this path.
pub(super) fn list_of(role: Role, path: &[String]) -> Option<&'static Group> {
    groups().find(|group| group.is_list && group.role == role && group.path == path)
}

#[cfg(test)]
mod tests;
