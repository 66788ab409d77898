//! Gear that runners of such a race have on the back and in their bags: common practice, no source.
//! The runner's gear is compared with it, and gaps are asked about, never insisted on.

use crate::course::Course;
use crate::findings::{About, Finding, FindingKind, Weight};
use crate::fueling::Fueling;
use crate::inputs::Inputs;
use crate::units::{Phrase, Quantity};
use crate::words::{and_more, folded};

use crate::exposure::WindowExposures;

/// A thing of the list.
struct Usual {
    /// The question, as it is asked.
    asks: &'static str,
    /// Words of which one in the name of a piece of gear makes it such a thing.
    words: &'static [&'static str],
    /// The usual number of pieces with such a word.
    count: usize,
    /// The races in which it is usual.
    when: fn(&RaceDay) -> bool,
}

/// Facts of a race that decide about gear.
struct RaceDay {
    hours: f64,
    dark_h: f64,
    is_cold: bool,
    is_frosty: bool,
    /// True where cold and wet may come together, as far as is known.
    is_raw: bool,
    may_rain: bool,
    has_sun: bool,
    /// True where things can be left anywhere on the way.
    swaps: bool,
    /// True where things can wait at the finish.
    waits_at_finish: bool,
}

/// In more darkness than this a lamp has a second one beside it, hours.
const LONG_NIGHT_H: f64 = 6.0;

/// In colder air wet hands and legs stiffen, °C (our choice).
const RAW_C: f64 = 12.0;

const LIST: &[Usual] = &[
    usual(
        "a phone, charged, with the race's number in it?",
        &["phone"],
        |_| true,
    ),
    usual(
        "an emergency blanket and a whistle?",
        &["blanket", "bivvy", "bivy", "whistle"],
        |day| day.hours > 4.0,
    ),
    usual(
        "tape or plasters for feet?",
        &["tape", "plaster", "blister", "first-aid", "first aid"],
        |day| day.hours > 6.0,
    ),
    usual(
        "anti-chafe balm, in a bag or a small tin?",
        &["grease", "chaf", "balm", "lube"],
        |day| day.hours > 10.0,
    ),
    usual("a rain jacket?", &["rain", "shell", "waterproof"], |day| {
        day.hours > 4.0
    }),
    usual(
        "waterproof trousers or over-gloves for cold and wet?",
        &["trousers", "over-gloves", "mitts"],
        |day| day.is_raw && day.may_rain && day.hours > 10.0,
    ),
    usual(
        "a warm layer?",
        &["warm", "fleece", "insulated", "down jacket", "long sleeve"],
        |day| day.is_cold,
    ),
    usual(
        "a hat or tube scarf, and gloves?",
        &["hat", "beanie", "scarf", "gloves"],
        |day| day.is_cold,
    ),
    usual(
        "spare dry mittens and hand warmers for the frost?",
        &["mitt", "warmers"],
        |day| day.is_frosty,
    ),
    usual(
        "an insulated flask, or a sleeve for hose and flask?",
        &["insulated flask", "sleeve", "vacuum"],
        |day| day.is_frosty,
    ),
    Usual {
        count: 2,
        ..usual(
            "a second lamp or a spare battery?",
            &["lamp", "torch", "battery"],
            |day| day.dark_h > 2.0 && day.dark_h <= LONG_NIGHT_H,
        )
    },
    Usual {
        count: 2,
        ..usual(
            "a second lamp, in case the first one fails?",
            &["lamp", "torch"],
            |day| day.dark_h > LONG_NIGHT_H,
        )
    },
    usual(
        "a power bank and cable for phone and watch?",
        &["power", "charger", "cable"],
        |day| day.hours > 15.0,
    ),
    usual("a cap, and sun cream?", &["cap", "sun"], |day| {
        day.has_sun && day.hours > 4.0
    }),
    usual("a cup, if tables have none?", &["cup", "mug"], |day| {
        day.hours > 4.0
    }),
    usual(
        "dry socks for halfway, in a bag or with the crew?",
        &["socks"],
        |day| day.hours > 10.0 && day.swaps,
    ),
    usual(
        "a dry shirt for the night, in a bag or with the crew?",
        &["shirt", "dry top", "base layer"],
        |day| day.dark_h > 4.0 && day.swaps,
    ),
    usual(
        "a second pair of shoes, half a size larger, in a bag?",
        &["shoes"],
        |day| day.hours > 20.0 && day.swaps,
    ),
    usual(
        "dry clothes and shoes for the finish (`after-station`)?",
        &["finish", "after the race", "dry clothes"],
        |day| day.hours > 10.0 && day.waits_at_finish,
    ),
];

/// A thing of which one is usual.
const fn usual(
    asks: &'static str,
    words: &'static [&'static str],
    when: fn(&RaceDay) -> bool,
) -> Usual {
    Usual {
        asks,
        words,
        count: 1,
        when,
    }
}

/// Gear usual for such a race and not in the runner's list, a question a gap.
pub(super) fn gaps(
    course: &Course,
    sky: &WindowExposures,
    inputs: &Inputs,
    fueling: &Fueling,
) -> Option<Finding> {
    if inputs.gear.is_empty() {
        return None;
    }
    let day = RaceDay::of(course, sky, inputs, fueling);
    let own = inputs.gear.iter().map(|item| &item.name.value);
    let own: Vec<String> = own
        .chain(&course.mandatory_kit)
        .map(|name| folded(name))
        .collect();
    let has = |usual: &Usual| {
        let is_it = |name: &&String| usual.words.iter().any(|word| name.contains(word));
        let mut names: Vec<&String> = own.iter().filter(is_it).collect();
        names.sort();
        names.dedup();
        names.len() >= usual.count
    };
    let asked = LIST
        .iter()
        .filter(|usual| (usual.when)(&day) && !has(usual));
    let asked: Vec<Phrase> = asked.map(|usual| Phrase::new(usual.asks)).collect();
    let says = "usual for a race like this, but not in your gear list: your call";
    let finding = Finding::of_race(FindingKind::GearAsked, Weight::Note, Phrase::new(says));
    (!asked.is_empty()).then(|| asked.into_iter().fold(finding, Finding::way_out))
}

/// Segments in air that freezes drink, with the coldest of it, °C.
fn frosty(fueling: &Fueling) -> impl Iterator<Item = (usize, f64)> {
    let segments = fueling.segments.iter().enumerate();
    segments.filter_map(|(at, need)| Some((at, need.frost_c()?)))
}

/// Air that freezes drink, and how drink, food and batteries are carried in it: common practice, no
/// source.
pub(super) fn frozen(course: &Course, fueling: &Fueling) -> Option<Finding> {
    let (segment, c) = frosty(fueling).min_by(|a, b| a.1.total_cmp(&b.1))?;
    let name = |station: usize| &course.stations[station].name;
    let says = Phrase::new("air of ")
        .and(Quantity::Temperature { c })
        .and(format!(
            " from `{}` to `{}`: hoses freeze first, then flasks, gels and batteries{}",
            name(segment),
            name(segment + 1),
            and_more(frosty(fueling).count() - 1, "segment", "segments")
        ));
    let (kind, about) = (FindingKind::FrozenDrink, About::Segment(segment));
    let finding = Finding::new(kind, Weight::Warning, about, says);
    let ways = [
        "carry flasks under the jacket, lid down, filled warm; blow the hose empty after each sip",
        "gels, phone and a spare battery in an inside pocket; a cold lamp lasts half as long or less",
        "in drop bags and with the crew: powder instead of mixed drink, dry gloves and socks, \
         batteries kept warm until they are handed over",
    ];
    Some(
        ways.into_iter()
            .map(Phrase::new)
            .fold(finding, Finding::way_out),
    )
}

impl RaceDay {
    fn of(course: &Course, sky: &WindowExposures, inputs: &Inputs, fueling: &Fueling) -> RaceDay {
        let crew = inputs.crew.is_some();
        let met = || sky.segments.iter();
        let last = course.stations.len() - 1;
        let swaps = |at: usize| course.stations[at].drop_bag || (crew && course.stations[at].crew);
        RaceDay {
            hours: met().map(|met| met.hours).sum(),
            dark_h: met().map(|met| met.dark_h[1]).sum(),
            is_cold: met().any(|met| met.cold),
            is_raw: (fueling.segments.iter()).any(|need| need.coldest_c.is_none_or(|c| c < RAW_C)),
            is_frosty: frosty(fueling).next().is_some(),
            may_rain: met().any(|met| met.rain),
            has_sun: met().any(|met| met.sun),
            swaps: (1..last).any(swaps),
            waits_at_finish: crew || course.stations[last].drop_bag,
        }
    }
}
