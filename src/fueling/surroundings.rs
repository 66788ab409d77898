//! Findings where a segment meets height, storms or an endless day or night.

use chrono::Timelike;

use crate::conditions::Light;
use crate::course::Course;
use crate::exposure::{Exposure, Exposures, Spell};
use crate::findings::{About, Finding, FindingKind, Weight};
use crate::schedule::Schedule;
use crate::time::{Elapsed, S_PER_HOUR};
use crate::units::{Phrase, Quantity};
use crate::words::and_more;

use super::Fueling;
use super::cold::{Chill, ColdStretch};
use super::heat::ColdBand;

/// Ground from which on height makes some people ill, metres (Wilderness Medical Society 2019,
/// Luks and others, Wilderness Environ. Med. 30:S3, from memory).
pub(super) const HIGH_M: f64 = 2500.0;
/// Ground this high is mostly above the trees and open to lightning, metres, and the hours of the
/// day in which thunder is usual over mountains, in air no colder than this, °C (our choice;
/// storms build from noon to early evening, Davis and others 2014, Wilderness Environ. Med.
/// 25:S86).
const OPEN_M: f64 = 1800.0;
const THUNDER_HOURS: std::ops::Range<u32> = 12..19;
const THUNDER_C: f64 = 8.0;
/// Less of them on one way is not worth a word, hours (our choice).
const BRIEFLY_H: f64 = 0.25;
/// Air in which hoses, flasks and gels freeze, °C: common practice, no source.
pub(super) const FROST_C: f64 = -5.0;

/// A way on which height makes some people ill, or thunder is to be reckoned with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HighWay {
    /// The segment.
    pub segment: usize,
    /// Its highest ground, metres.
    pub top_m: f64,
    /// True where that makes some people ill.
    pub is_thin: bool,
    /// Hours of storms that are forecast, or else of an afternoon on open ground.
    pub storms: Option<StormHours>,
}

/// Hours in which there is thunder, or may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StormHours {
    /// Their begin.
    pub from: Elapsed,
    /// Their end.
    pub to: Elapsed,
    /// True where storms are forecast.
    pub forecast: bool,
}

/// Ways over high ground and into storms, after the segments that are behind.
pub(super) fn high_ways(
    schedule: &Schedule,
    exposures: &[Exposure],
    behind: usize,
) -> Vec<HighWay> {
    let ways = exposures.iter().enumerate().skip(behind);
    let ways = ways.map(|(segment, way)| {
        let top_m = (way.steps().map(|step| step.elevation_m)).fold(0.0, f64::max);
        HighWay {
            segment,
            top_m,
            is_thin: top_m >= HIGH_M,
            storms: storms(schedule, segment, way),
        }
    });
    ways.filter(|way| way.is_thin || way.storms.is_some())
        .collect()
}

/// From when to when there are storms on a way, as forecast or else as is usual.
fn storms(schedule: &Schedule, segment: usize, way: &Exposure) -> Option<StormHours> {
    let hours = |forecast: bool, meets: &dyn Fn(&Spell, f64) -> bool| {
        let mut at_h = schedule.splits[segment].departure.as_hours();
        let mut span: Option<(f64, f64)> = None;
        for step in &way.moving {
            let end_h = at_h + step.hours;
            if meets(step, at_h) {
                span = Some((span.map_or(at_h, |(from_h, _)| from_h), end_h));
            }
            at_h = end_h;
        }
        span.map(|(from_h, to_h)| StormHours {
            from: Elapsed::from_s(from_h * S_PER_HOUR),
            to: Elapsed::from_s(to_h * S_PER_HOUR),
            forecast,
        })
    };
    let told = |step: &Spell, _: f64| step.weather.is_some_and(|weather| weather.thunder);
    let usual = |step: &Spell, at_h: f64| {
        let clock = schedule.clock.as_ref();
        let hour = clock.map(|clock| clock.at(Elapsed::from_s(at_h * S_PER_HOUR)).hour());
        step.elevation_m >= OPEN_M
            && hour.is_some_and(|hour| THUNDER_HOURS.contains(&hour))
            && (step.weather).is_none_or(|weather| weather.temp_c >= THUNDER_C)
    };
    let lasts = |at: &StormHours| (at.to - at.from).as_hours() >= BRIEFLY_H;
    hours(true, &told).or_else(|| hours(false, &usual).filter(lasts))
}

/// The findings of a course in its conditions.
pub(super) fn findings(
    course: &Course,
    schedule: &Schedule,
    exposures: &Exposures,
    fueling: &Fueling,
) -> Vec<Finding> {
    let around = Around {
        course,
        schedule,
        exposures: &exposures.segments,
        high: &fueling.high,
        under_way: fueling.taken.under_way,
        behind: fueling.taken.over(),
    };
    let all = [
        around.cold(&fueling.cold),
        around.height(),
        around.thunder(),
        around.ridges(),
        exposures.start_light.and_then(sun),
    ];
    all.into_iter().flatten().collect()
}

struct Around<'a> {
    course: &'a Course,
    schedule: &'a Schedule,
    exposures: &'a [Exposure],
    high: &'a [HighWay],
    /// [`super::Taken::under_way`]
    under_way: Option<usize>,
    /// [`super::Taken::over`]
    behind: usize,
}

impl Around<'_> {
    fn between(&self, segment: usize) -> String {
        let name = |station: usize| &self.course.stations[station].name;
        format!("from `{}` to `{}`", name(segment), name(segment + 1))
    }

    /// Cold where it is worst, with every stretch of it, and where to be dressed for it.
    fn cold(&self, cold: &[ColdStretch]) -> Option<Finding> {
        let worst = cold.iter().min_by(|a, b| a.worst.gravest_first(b.worst))?;
        let c = worst.worst.felt_c();
        let degrees = Quantity::Temperature { c };
        let (kind, weight, says) = match worst.worst {
            Chill::Wind(c) => (
                match ColdBand::at(c) {
                    ColdBand::Mild => FindingKind::ColdWindChill,
                    _ => FindingKind::ColdHarm,
                },
                Weight::Warning,
                Phrase::new("wind chill ")
                    .and(degrees)
                    .and(format!(" ({})", ColdBand::at(c).words())),
            ),
            Chill::Wet(_) => (
                FindingKind::ColdWet,
                Weight::Warning,
                Phrase::new("rain and wind at ")
                    .and(degrees)
                    .and(" (wet clothes chill within the hour)"),
            ),
            Chill::SlowNight(_) => (
                FindingKind::ColdNight,
                Weight::Note,
                Phrase::new("walking in the dark at ")
                    .and(degrees)
                    .and(" (it feels colder than it is, most of all after a stop)"),
            ),
        };
        let name = |station: usize| &self.course.stations[station].name;
        let mut lead = "";
        let mut says = says;
        // those that ask for less are told by what is worn there
        for stretch in cold.iter().filter(|stretch| stretch.wear() == worst.wear()) {
            let (from, until) = (name(stretch.from), name(stretch.until));
            says = says.and(format!(
                "{lead} from `{from}` to `{until}`, {} to {}",
                self.schedule.show(stretch.begins),
                self.schedule.show(stretch.ends)
            ));
            lead = ";";
        }
        let way = |wears: &'static str| {
            let mut lead = wears;
            let on = cold.iter().filter(|stretch| stretch.wear() == wears);
            let all = on.fold(Phrase::default(), |way, stretch| {
                let way = match stretch.dress {
                    // the station is behind
                    None if self.under_way == Some(stretch.from) => way.and(format!("{lead} now")),
                    None => way.and(format!("{lead} at `{}`", name(stretch.from))),
                    Some(dress) => way
                        .and(format!("{lead} by "))
                        .and(Quantity::Distance {
                            m: dress.official_m,
                        })
                        .and(format!(" or {}", self.schedule.show(dress.at))),
                };
                lead = ",";
                way
            });
            all.and(", before you are cold")
        };
        let others = cold.iter().filter(|stretch| stretch.from != worst.from);
        let finding = Finding::new(kind, weight, About::Segment(worst.from), says);
        let finding = finding.also(others.map(|stretch| About::Segment(stretch.from)));
        let mut wears: Vec<&'static str> = cold.iter().map(ColdStretch::wear).collect();
        wears.sort_by_key(|wears| *wears != worst.wear());
        wears.dedup();
        let finding = match worst.worst {
            Chill::Wind(c) if ColdBand::at(c).freezes_skin() => finding.way_out(Phrase::new(
                "ask whether the race is on; cover all skin, mittens and face too, keep moving, and \
                 get indoors at numb or white skin, shivering that does not stop, or confusion",
            )),
            _ => finding,
        };
        Some(wears.into_iter().map(way).fold(finding, Finding::way_out))
    }

    /// The highest of the ways ahead above [`HIGH_M`], and for how long the rest is that high.
    fn height(&self) -> Option<Finding> {
        let thin = self.high.iter().filter(|way| way.is_thin);
        let highest = thin.max_by(|a, b| a.top_m.total_cmp(&b.top_m))?;
        let (segment, m) = (highest.segment, highest.top_m);
        let ahead = self.exposures.iter().skip(self.behind);
        let hours: f64 = ahead
            .flat_map(Exposure::steps)
            .filter(|step| step.elevation_m >= HIGH_M)
            .map(|step| step.hours)
            .sum();
        let of = match self.behind {
            0 => "of the race",
            _ => "of what is left",
        };
        let says = Phrase::new(format!("{} the route goes up to ", self.between(segment)))
            .and(Quantity::Height { m })
            .and(format!("; {hours:.1} h {of} are above "))
            .and(Quantity::Height { m: HIGH_M })
            .and(", where height makes some people ill");
        let about = About::Segment(segment);
        Some(
            Finding::new(FindingKind::HighGround, Weight::Warning, about, says)
                .way_out(Phrase::new(
                    "spend days and nights up high before the race; ask a physician first with heart \
                     or lung trouble or in pregnancy",
                ))
                .way_out(Phrase::new(
                    "headache with nausea, dizziness or stumbling: go down at once",
                )),
        )
    }

    /// The way with most hours of forecast storms.
    fn thunder(&self) -> Option<Finding> {
        let says = |way: &HighWay, when: String| {
            format!(
                "storms are forecast {}{when}, up to ",
                self.between(way.segment)
            )
        };
        let finding = self.longest(true, (FindingKind::StormHours, Weight::Warning), says)?;
        Some(finding.way_out(Phrase::new(
            "before open or high ground there, look at the sky: wait at the last shelter rather than \
             be up when it thunders",
        )))
    }

    /// The way with most hours on open ground in the afternoon.
    fn ridges(&self) -> Option<Finding> {
        let says = |way: &HighWay, when: String| {
            format!(
                "thunder is usual in the afternoon, forecast or not: {}{when} you are on open ground \
                 up to ",
                self.between(way.segment)
            )
        };
        let finding = self.longest(false, (FindingKind::RidgeHours, Weight::Note), says)?;
        Some(finding.way_out(Phrase::new(
            "towering cloud or thunder: off ridge and summit, wait lower down",
        )))
    }

    /// Of the ways with storms the one with most hours of them, as forecast or as is usual.
    fn longest(
        &self,
        forecast: bool,
        (kind, weight): (FindingKind, Weight),
        says: impl Fn(&HighWay, String) -> String,
    ) -> Option<Finding> {
        let storms = self.high.iter().filter_map(|way| Some((way, way.storms?)));
        let storms: Vec<(&HighWay, StormHours)> =
            storms.filter(|(_, at)| at.forecast == forecast).collect();
        let (way, at) = storms
            .iter()
            .max_by_key(|(_, at)| (at.to - at.from).as_secs())?;
        let show = |at| self.schedule.show(at);
        let when = match self.schedule.clock {
            Some(_) => format!(", {} to {}", show(at.from), show(at.to)),
            None => String::new(),
        };
        let says = Phrase::new(says(way, when))
            .and(Quantity::Height { m: way.top_m })
            .and(and_more(storms.len() - 1, "segment", "segments"));
        Some(Finding::new(
            kind,
            weight,
            About::Segment(way.segment),
            says,
        ))
    }
}

/// A day on which the sun does not rise, or does not set, at the start.
fn sun(lights: [Light; 24]) -> Option<Finding> {
    let dark = lights.iter().filter(|light| **light == Light::Dark).count();
    let (kind, says) = if lights.iter().all(|light| *light == Light::Day) {
        let says = "the sun does not set: light throughout, no lamp is planned".to_owned();
        (FindingKind::LightThroughout, says)
    } else if lights.iter().all(|light| *light != Light::Day) {
        let says = match dark {
            24 => "the sun does not rise: dark throughout".to_owned(),
            _ => format!("the sun does not rise: dark for about {dark} of 24 h, else twilight"),
        };
        (FindingKind::DarkThroughout, says)
    } else {
        return None;
    };
    let (weight, way) = match kind {
        FindingKind::DarkThroughout => (
            Weight::Warning,
            "two lamps, and batteries for every hour out there and some to spare",
        ),
        _ => (
            Weight::Note,
            "wear cap and sunglasses at night too, and plan your sleep",
        ),
    };
    let finding = Finding::of_race(kind, weight, Phrase::new(says));
    Some(finding.way_out(Phrase::new(way)))
}
