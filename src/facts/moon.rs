//! Facts of the moon while the runner is out.

use chrono::{Duration, Utc};

use crate::conditions::{moon, moon_events};
use crate::plan::Plan;

use super::View;
use super::splits::SunFacts;
use super::value::{Measure, Moment, record};

record! {
    /// The moon while the runner is out.
    pub struct MoonFacts {
        /// Share of its disc that is lit, half way through the race.
        pub lit: Measure,
        /// True where it is on its way to full.
        pub is_waxing: bool,
        /// Its phase in words, such as `waxing, 94 % lit`.
        pub words: String,
        /// True where it is up at the start.
        pub up_at_start: bool,
        /// Its rises and sets, over a level horizon.
        pub events: Vec<SunFacts>,
    }
}

/// From this share on the moon is full, up to the other it is new, for whoever looks.
const FULL: f64 = 0.985;
const NEW: f64 = 0.015;

impl MoonFacts {
    /// The moon from the start to the late arrival at the finish; nothing without a clock.
    pub(super) fn of(view: &View<'_>, plan: &Plan) -> Option<MoonFacts> {
        let clock = view.race.clock.as_ref()?;
        let start = clock.start().with_timezone(&Utc);
        let zone = clock.start().timezone();
        let late_s = plan.schedule.splits.last()?.late.as_secs();
        let (lat, lon) = view.race.course.stations.first()?.position_deg;
        let middle = moon(start + Duration::seconds(late_s / 2));
        let events = moon_events(lat, lon, start, start + Duration::seconds(late_s));
        let lit = Measure::share(middle.lit);
        let words = match middle.lit {
            share if share > FULL => "full moon".to_owned(),
            share if share < NEW => "new moon".to_owned(),
            _ if middle.is_waxing => format!("waxing moon, {} lit", lit.text),
            _ => format!("waning moon, {} lit", lit.text),
        };
        // what comes first tells what was before
        let day_before = moon_events(lat, lon, start - Duration::hours(26), start);
        Some(MoonFacts {
            lit,
            is_waxing: middle.is_waxing,
            words,
            up_at_start: day_before.last().is_some_and(|event| event.rises),
            events: (events.iter())
                .map(|event| {
                    let (kind, words) = if event.rises {
                        ("moonrise", "moonrise")
                    } else {
                        ("moonset", "moonset")
                    };
                    let at = clock.elapsed_at(event.at.with_timezone(&zone));
                    let at = Moment::on(Some(clock), at);
                    SunFacts { kind, words, at }
                })
                .collect(),
        })
    }
}
