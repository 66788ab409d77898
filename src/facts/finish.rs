//! Facts of finishes in reach: what past results promise, and what the cutoffs allow.

use crate::ability::Basis;
use crate::finish::{Estimate, FromPast, Outlook, Prospect, Safe};
use crate::replan::OUT_OF_REACH;
use crate::schedule::Schedule;
use crate::time::Elapsed;

use super::View;
use super::race::number;
use super::splits::{chance_is, margin_is};
use super::value::{Measure, Moment, each, record, tenth, thousandth};

record! {
    /// The finishes that are in reach.
    pub struct OutlookFacts {
        /// The finish that past results point to; nothing without them.
        pub estimate: Option<EstimatedFinishFacts>,
        /// The finish that is planned where there is neither a target nor a past result; nothing where
        /// there is.
        pub hoped: Option<Measure>,
        /// All about it in words.
        pub hoped_words: Option<String>,
        /// The plan's target and how likely it is, in words; nothing without one.
        pub target_words: Option<String>,
        /// The finish to expect of who aims at it, in words; nothing where past results tell it,
        /// or nothing does.
        pub expected_words: Option<String>,
        /// Place of target and likely finish in the field of a former edition, in words; nothing
        /// where that is not known.
        pub field_words: Option<String>,
        /// The cutoffs that each of the finishes misses, in words.
        pub at_risk: Option<String>,
        /// Time wanted in hand at every cutoff.
        pub cushion: Measure,
        /// The slowest finish that has it if it is met exactly; nothing where there is none.
        pub slowest_safe: Option<Measure>,
        /// The chance of making every cutoff of who aims at it.
        pub slowest_safe_chance: Option<Measure>,
        /// All of it in words.
        pub slowest_safe_words: String,
        /// The station with the least time in hand then.
        pub least_margin_at: Option<String>,
        /// The time in hand there.
        pub least_margin: Option<Measure>,
        /// The fastest finish that is accepted.
        pub fastest: Measure,
        /// The slowest finish that is accepted.
        pub slowest: Measure,
        /// Finishes with their margins at each cutoff.
        pub prospects: Vec<ProspectFacts>,
    }

    /// A finish estimated from past results.
    pub struct EstimatedFinishFacts {
        /// One in ten finishes is faster.
        pub early: Measure,
        /// The likely finish.
        pub likely: Measure,
        /// One in ten finishes is slower.
        pub late: Measure,
        /// Planned stops in each of them.
        pub stops: Measure,
        /// The time with the light and warmth of the day over that without, as a ratio.
        pub day: f64,
        /// Level metres that take as long as the course.
        pub effort_m: f64,
        /// Level metres that a metre of climb counts as.
        pub climb_equivalent_m: f64,
        /// The results it is from.
        pub from: Vec<PastFacts>,
    }

    /// A past result and the finish it promises.
    pub struct PastFacts {
        /// Its name, its day, or both.
        pub name: String,
        /// Its length.
        pub distance: Measure,
        /// Its climb.
        pub climb: Measure,
        /// Its time.
        pub time: Measure,
        /// Level distance that takes as long.
        pub effort: Measure,
        /// One in ten finishes is faster, by this result alone.
        pub early: Measure,
        /// The likely finish, by this result alone.
        pub likely: Measure,
        /// One in ten finishes is slower, by this result alone.
        pub late: Measure,
        /// The exponent of the endurance law, where it is one.
        pub exponent: Option<f64>,
        /// True where the law is within the range it was published for.
        pub in_range: bool,
        /// Its weight beside the others.
        pub weight: Measure,
        /// True where the place in its field was carried over too.
        pub is_placed: bool,
    }

    /// A finish with its margins.
    pub struct ProspectFacts {
        /// The finish.
        pub finish: Measure,
        /// Time in hand at each cutoff.
        pub cutoffs: Vec<MarginFacts>,
    }

    /// Time in hand at one cutoff.
    pub struct MarginFacts {
        /// The station's number.
        pub number: String,
        /// The station.
        pub station: String,
        /// The arrival.
        pub arrival: Moment,
        /// The cutoff.
        pub cutoff: Moment,
        /// Time in hand; negative is late.
        pub margin: Measure,
        /// The comfort: `good`, `close` or `missed`.
        pub margin_is: Option<&'static str>,
        /// The chance of making this cutoff and every one before it with this finish as the target.
        pub chance: Option<Measure>,
        /// Its grade: `good`, `doubtful` or `unlikely`.
        pub chance_is: Option<&'static str>,
    }
}

impl OutlookFacts {
    /// The outlook over a view's race.
    #[must_use]
    pub fn of(view: &View<'_>, outlook: &Outlook) -> OutlookFacts {
        let name = |station: usize| view.race.course.stations[station].name.clone();
        let (safe, least) = match outlook.slowest_safe {
            Safe::Finish {
                finish,
                station,
                margin,
            } => (Some(finish), Some((station, margin))),
            Safe::Never { station, margin } => (None, Some((station, margin))),
            Safe::NoCutoffs => (None, None),
        };
        let estimate = outlook.estimate.as_ref();
        OutlookFacts {
            estimate: estimate.map(|estimate| EstimatedFinishFacts::of(view, estimate)),
            hoped: outlook.hoped.map(|hoped| Measure::time(hoped.finish)),
            hoped_words: outlook.hoped.map(|hoped| hoped.words()),
            target_words: target_words(view, outlook),
            expected_words: expected_words(view, outlook).filter(|_| estimate.is_none()),
            field_words: field_words(view, outlook.target),
            at_risk: estimate.map(|estimate| at_risk(view, outlook, estimate)),
            cushion: Measure::time(outlook.cushion),
            slowest_safe: safe.map(Measure::time),
            slowest_safe_chance: outlook.safe_chance.map(Measure::chance),
            slowest_safe_words: safe_words(view, outlook),
            least_margin_at: least.map(|(station, _)| name(station)),
            least_margin: least.map(|(_, margin)| Measure::margin(margin)),
            fastest: Measure::time(outlook.accepted.0),
            slowest: Measure::time(outlook.accepted.1),
            prospects: each(&outlook.prospects, |prospect| {
                ProspectFacts::of(view, prospect)
            }),
        }
    }
}

impl EstimatedFinishFacts {
    fn of(view: &View<'_>, estimate: &Estimate) -> EstimatedFinishFacts {
        EstimatedFinishFacts {
            early: Measure::time(estimate.early),
            likely: Measure::time(estimate.likely),
            late: Measure::time(estimate.late),
            stops: Measure::time(estimate.stops),
            day: thousandth(estimate.day),
            effort_m: tenth(estimate.effort_m),
            climb_equivalent_m: tenth(estimate.climb_equivalent_m),
            from: each(&estimate.from, |from| PastFacts::of(view, from)),
        }
    }
}

impl PastFacts {
    fn of(view: &View<'_>, from: &FromPast) -> PastFacts {
        let units = view.units;
        let finish = |share: f64| Measure::time(Elapsed::from_s(from.spread.quantile_s(share)));
        let day = from
            .past
            .date
            .map(|date| date.format("%Y-%m-%d").to_string());
        PastFacts {
            name: match (from.past.name.clone(), day) {
                (Some(name), Some(day)) => format!("{name}, {day}"),
                (Some(either), None) | (None, Some(either)) => either,
                (None, None) => "past result".to_owned(),
            },
            distance: Measure::distance(units, from.past.distance_m),
            climb: Measure::height(units, from.past.climb_m),
            time: Measure::time(from.past.time.value),
            effort: Measure::distance(units, from.effort_m),
            early: finish(0.1),
            likely: finish(0.5),
            late: finish(0.9),
            exponent: from.exponent.map(thousandth),
            in_range: from.in_range,
            weight: Measure::share(from.weight),
            is_placed: from.is_placed,
        }
    }
}

impl ProspectFacts {
    fn of(view: &View<'_>, prospect: &Prospect) -> ProspectFacts {
        let course = &view.race.course;
        let at = |elapsed| Moment::of(&prospect.schedule, elapsed);
        let splits = prospect.schedule.splits.iter();
        let cutoffs = splits.filter_map(|split| {
            Some(MarginFacts {
                number: number(course, split.station),
                station: course.stations[split.station].name.clone(),
                arrival: at(split.arrival),
                cutoff: at(split.cutoff?.elapsed),
                margin: Measure::margin(split.margin?),
                margin_is: split.margin.map(margin_is),
                chance: split.chance_so_far.map(Measure::chance),
                chance_is: split.chance_so_far.map(chance_is),
            })
        });
        ProspectFacts {
            finish: Measure::time(prospect.finish),
            cutoffs: cutoffs.collect(),
        }
    }
}

/// The cutoffs that each of the three finishes misses.
fn at_risk(view: &View<'_>, outlook: &Outlook, estimate: &Estimate) -> String {
    if outlook.limited(view.race).is_empty() {
        return "nothing: the course has no cutoff".to_owned();
    }
    let word = |finish: Elapsed| match finish {
        f if outlook.target == Some(f) => "planned",
        f if f == estimate.likely => "likely",
        f if f == estimate.early => "early",
        _ => "late",
    };
    let missed = |prospect: &Prospect| {
        let splits = prospect.schedule.splits.iter();
        let late = splits.filter(|split| split.margin.is_some_and(|m| m < Elapsed::ZERO));
        let names: Vec<&str> = late
            .map(|split| view.race.course.stations[split.station].name.as_str())
            .collect();
        let words = word(prospect.finish);
        (!names.is_empty()).then(|| format!("the {words} finish misses {}", names.join(", ")))
    };
    let parts: Vec<String> = outlook.prospects.iter().filter_map(missed).collect();
    if parts.is_empty() {
        "no cutoff".to_owned()
    } else {
        parts.join("; ")
    }
}

/// The splits of the plan's target.
fn aimed_at(outlook: &Outlook) -> Option<&Schedule> {
    let mut prospects = outlook.prospects.iter();
    let own = prospects.find(|prospect| Some(prospect.finish) == outlook.target);
    own.map(|own| &own.schedule)
}

/// The finish to expect of who aims at the target.
fn expected_words(view: &View<'_>, outlook: &Outlook) -> Option<String> {
    let basis = view.race.rests.on;
    let last = aimed_at(outlook)?.splits.last()?;
    let (early, likely, late) = (last.early, last.likely, last.late);
    (basis != Basis::Hope && early < late).then(|| {
        let basis = basis.words();
        format!("{likely}, 8 in 10 between {early} and {late}; based on {basis}")
    })
}

/// The plan's target, how likely it is, how likely every cutoff, and which is the hardest.
fn target_words(view: &View<'_>, outlook: &Outlook) -> Option<String> {
    let target = outlook.target?;
    if view.race.rests.on == Basis::Hope {
        return Some(format!(
            "{target}: unknown whether you can run it: no past result, add one as `[[past]]`"
        ));
    }
    let schedule = aimed_at(outlook);
    let by_then = schedule.map_or(0.0, |schedule| schedule.chance_of_target);
    let mut words = match by_then < OUT_OF_REACH {
        true => format!("{target}: out of reach"),
        false => format!(
            "{target}: {} to finish by then",
            Measure::chance(by_then).text
        ),
    };
    if let Some(chance) = schedule.and_then(|schedule| schedule.chance) {
        words += &format!(
            " within every cutoff; {} to make every cutoff",
            Measure::chance(chance).text
        );
    }
    if let Some(hardest) = schedule.and_then(|schedule| schedule.weakest) {
        let name = &view.race.course.stations[hardest].name;
        words += &format!("; the hardest is {name}");
    }
    if view.race.estimate.is_none() {
        words += "; no past result backs it";
    }
    Some(words)
}

/// Place of a target and the likely finish in the field of a former edition.
pub(super) fn field_words(view: &View<'_>, target: Option<Elapsed>) -> Option<String> {
    let field = view.race.field.as_ref()?;
    let likely = view.race.estimate.as_ref().map(|estimate| estimate.likely);
    let place = |finish: Elapsed| field.place(finish.as_s()).min(field.finishers());
    let target = target.map(|at| format!("{at} would be place {}", place(at)));
    let likely = likely.map(|at| format!("the likely {at} place {}", place(at)));
    let places: Vec<String> = target.into_iter().chain(likely).collect();
    let middle = Elapsed::from_s(field.at_share(0.5));
    let all = field.finishers();
    Some(match places.is_empty() {
        true => format!("{all} finished before, half of them by {middle}"),
        false => format!(
            "among the {all} who finished before, {}; half of them by {middle}",
            places.join(", ")
        ),
    })
}

fn safe_words(view: &View<'_>, outlook: &Outlook) -> String {
    let name = |station: usize| &view.race.course.stations[station].name;
    let cushion = outlook.cushion;
    match outlook.slowest_safe {
        Safe::NoCutoffs => "any: the course has no cutoff".to_owned(),
        Safe::Never { station, margin } => format!(
            "none: even the fastest has {} in hand at {}, not {cushion}",
            margin.to_margin_text(),
            name(station)
        ),
        Safe::Finish {
            finish,
            station,
            margin,
        } => {
            let chance = outlook
                .safe_chance
                .map(|chance| Measure::chance(chance).text);
            format!(
                "{finish}, {cushion} in hand at every cutoff if met to the minute, least at {}, {}; \
                 aiming for it, {} to make every cutoff",
                name(station),
                margin.to_margin_text(),
                chance.unwrap_or_default()
            )
        }
    }
}
