//! Cold as it is felt: air, wind, wet, and a slow night.

use std::cmp::{Ordering, min_by};

use crate::conditions::wind_chill_c;
use crate::course::Course;
use crate::exposure::{Exposure, Spell};
use crate::schedule::Schedule;
use crate::time::{Elapsed, S_PER_HOUR};

/// Rain and wind from which on clothes soak and blow through, mm/h and km/h (our choice).
const WETTING_RAIN_MM_PER_H: f64 = 0.2;
const CHILLING_WIND_KMH: f64 = 15.0;
/// Air in which wet clothes in the wind chill, and in which a walk in the dark does, °C (our
/// choice: hypothermia is met in runners up to about 10 °C, warmer when wet; American College of
/// Sports Medicine 2006).
const WET_C: f64 = 12.0;
const SLOW_NIGHT_C: f64 = 10.0;

/// Clothes for wind and wet, and for a slow night, before it begins: common practice, no source.
const WEAR: [&str; 2] = [
    "jacket, warm layer, hat and gloves on",
    "warm layer, hat and gloves within reach",
];
/// The same in as few words as a card has room for, at a station and with a point on the way.
const WEAR_BRIEFLY: [[&str; 2]; 2] = [
    ["all layers, hat, gloves", "all layers on"],
    ["warm layer, gloves at hand", "warm layer at hand"],
];
/// Its name.
const COLD: [&str; 2] = ["cold", "cold at a walk"];
/// Less than this is not spoken of beside longer stretches, hours (our choice).
const BRIEF_H: f64 = 0.25;
/// Warmth shorter than this between two cold stretches is no reason to undress, hours (our choice).
const WARM_BETWEEN_H: f64 = 1.0;
/// So long before it is cold one stops on the way to dress, hours; what begins sooner after a
/// station is dressed for there (our choice).
const DRESS_H: f64 = 0.25;

/// A cause of cold, with the air or its wind chill, °C; the gravest first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Chill {
    /// Wind chill at freezing or below.
    Wind(f64),
    /// Rain in the wind.
    Wet(f64),
    /// A walk in the dark.
    SlowNight(f64),
}

impl Chill {
    pub(super) fn felt_c(self) -> f64 {
        match self {
            Chill::Wind(c) | Chill::Wet(c) | Chill::SlowNight(c) => c,
        }
    }

    /// True for a night that is cold to who walks.
    fn is_mild(self) -> bool {
        matches!(self, Chill::SlowNight(_))
    }

    /// The order of two: by kind, and of one kind the colder first.
    pub(super) fn gravest_first(self, other: Chill) -> Ordering {
        let kind = |chill: Chill| match chill {
            Chill::Wind(_) => 0,
            Chill::Wet(_) => 1,
            Chill::SlowNight(_) => 2,
        };
        let felt = self.felt_c().total_cmp(&other.felt_c());
        kind(self).cmp(&kind(other)).then(felt)
    }
}

/// True where cold is felt on a segment or at the stop before it.
pub(super) fn is_felt(exposure: &Exposure) -> bool {
    let walks = exposure.walk_share > 0.5;
    exposure.steps().any(|step| of(step, walks).is_some())
}

/// Segments in a row on which cold is felt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ColdStretch {
    /// The station that the first of them leaves.
    pub from: usize,
    /// The station that the last of them leads to.
    pub until: usize,
    /// The time it begins to be felt, as planned.
    pub begins: Elapsed,
    /// The time it ends.
    pub ends: Elapsed,
    /// The point on the way to stop at and dress; nothing where that is the station.
    pub dress: Option<DressPoint>,
    /// The worst of it.
    pub(super) worst: Chill,
}

impl ColdStretch {
    /// Clothes for it.
    #[must_use]
    pub fn wear(&self) -> &'static str {
        WEAR[self.dressing()]
    }

    /// The same in as few words as a card has room for, at a station and with a point on the way.
    #[must_use]
    pub fn wear_briefly(&self) -> [&'static str; 2] {
        WEAR_BRIEFLY[self.dressing()]
    }

    /// Its name: what runs through the night slowly is cold only then.
    #[must_use]
    pub fn name(&self) -> &'static str {
        COLD[self.dressing()]
    }

    /// True for a night that is cold to who walks, and no more.
    #[must_use]
    pub fn is_mild(&self) -> bool {
        self.worst.is_mild()
    }

    fn dressing(&self) -> usize {
        usize::from(self.is_mild())
    }
}

/// A point on the way at which a runner dresses for the cold ahead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DressPoint {
    /// Distance by the organiser's count, metres.
    pub official_m: f64,
    /// The time of it, as planned.
    pub at: Elapsed,
}

impl DressPoint {
    /// Before the cold that begins after so many hours of a segment; nothing where that is the
    /// station it leaves.
    fn before(
        cold_h: f64,
        course: &Course,
        schedule: &Schedule,
        segment: usize,
        way: &Exposure,
    ) -> Option<DressPoint> {
        let on_the_way_h = cold_h - way.stop_h() - DRESS_H;
        if on_the_way_h <= 0.0 {
            return None;
        }
        let length_m = |hours: f64| -> f64 {
            let mut left_h = hours;
            let moved = way.moving.iter().map(|step| {
                let part_h = step.hours.min(left_h);
                left_h -= part_h;
                part_h * step.speed_mps
            });
            moved.sum()
        };
        let share = length_m(on_the_way_h) / length_m(way.moving_h()).max(f64::MIN_POSITIVE);
        let station = &course.stations[segment];
        let at_h = schedule.splits[segment].arrival.as_hours() + cold_h - DRESS_H;
        Some(DressPoint {
            official_m: station.official_m + share * course.segments[segment].official_length_m,
            at: Elapsed::from_s(at_h * S_PER_HOUR),
        })
    }
}

/// Stretches on which a runner on plan feels cold, after the segments that are behind; nothing
/// where no weather is known.
pub(super) fn stretches(
    course: &Course,
    schedule: &Schedule,
    exposures: &[Exposure],
    behind: usize,
) -> Vec<ColdStretch> {
    let mut found: Vec<ColdStretch> = Vec::new();
    for (segment, exposure) in exposures.iter().enumerate().skip(behind) {
        let walks = exposure.walk_share > 0.5;
        let in_h = schedule.splits[segment].arrival.as_hours();
        let mut at_h = in_h;
        for step in exposure.steps() {
            let begins_h = at_h;
            let begins = Elapsed::from_s(begins_h * S_PER_HOUR);
            at_h += step.hours;
            let Some(worst) = of(step, walks) else {
                continue;
            };
            let ends = Elapsed::from_s(at_h * S_PER_HOUR);
            let until = segment + 1;
            // who is dressed for worse stays so, and who is not dresses when it comes
            let goes_on = |last: &&mut ColdStretch| {
                let soon = (begins - last.ends).as_hours() <= WARM_BETWEEN_H;
                soon && last.until >= segment && (worst.is_mild() || !last.worst.is_mild())
            };
            match found.last_mut().filter(goes_on) {
                Some(last) => {
                    *last = ColdStretch {
                        until,
                        ends,
                        worst: min_by(last.worst, worst, |a, b| a.gravest_first(*b)),
                        ..*last
                    };
                }
                None => found.push(ColdStretch {
                    from: segment,
                    until,
                    begins,
                    ends,
                    dress: DressPoint::before(begins_h - in_h, course, schedule, segment, exposure),
                    worst,
                }),
            }
        }
    }
    let lasts = |stretch: &ColdStretch| (stretch.ends - stretch.begins).as_hours() >= BRIEF_H;
    if found.iter().any(lasts) {
        found.retain(lasts);
    }
    found
}

fn of(step: &Spell, walks: bool) -> Option<Chill> {
    let weather = step.weather?;
    let air_c = weather.temp_c;
    let felt_c = wind_chill_c(air_c, weather.wind_kmh).map_or(air_c, |chill| chill.min(air_c));
    let soaks = weather.rain_mm_per_h >= WETTING_RAIN_MM_PER_H
        && weather.wind_kmh >= CHILLING_WIND_KMH
        && air_c <= WET_C;
    if felt_c <= 0.0 {
        Some(Chill::Wind(felt_c))
    } else if soaks {
        Some(Chill::Wet(air_c))
    } else if step.dark && walks && air_c <= SLOW_NIGHT_C {
        Some(Chill::SlowNight(air_c))
    } else {
        None
    }
}
