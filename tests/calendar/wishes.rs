//! Wishes to lay calendars out from: one by hand, and seeded ones.

use chrono::{Days, NaiveDate, NaiveTime};
use sutler::calendar::{Aim, CalendarRequest, Growth, PracticeRace, RunNeeds};

use crate::support::course_maker::chance::Chance;

pub fn date(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

/// Sixteen weeks and more to a hundred miles on a Saturday.
pub fn request() -> CalendarRequest {
    CalendarRequest {
        from: date("2026-06-29"),
        race: date("2026-10-24"),
        race_m: 161_000.0,
        longest_now_m: 20_000.0,
        peak_m: None,
        week_m: None,
        taper_weeks: 2,
        building_weeks: 3,
        easy_weeks: 1,
        pairs: true,
        growth: Growth::default(),
        grain_m: 500.0,
        blocked: Vec::new(),
        aches: Vec::new(),
        practice: Vec::new(),
        done: Vec::new(),
        longest_past_m: 0.0,
        pace_s_per_m: 0.55,
        start: NaiveTime::from_hms_opt(6, 0, 0).unwrap(),
        place: Some((46.5, 11.5, chrono_tz::Europe::Vienna)),
        carbs_g_per_h: (40.0, 70.0),
    }
}

/// Things to test: plain ones, long ones, dark ones, one for rain.
pub fn aims() -> Vec<Aim> {
    let aim = |what: &str, needs| Aim {
        what: what.to_owned(),
        is_carbs: what == "carbohydrate",
        needs,
        ..Aim::default()
    };
    let needs = RunNeeds::default;
    vec![
        aim(
            "carbohydrate",
            RunNeeds {
                least_h: Some(3.0),
                ..needs()
            },
        ),
        aim(
            "time on feet",
            RunNeeds {
                least_h: Some(6.5),
                ..needs()
            },
        ),
        aim(
            "night",
            RunNeeds {
                dark_h: Some(2.0),
                ..needs()
            },
        ),
        aim(
            "lamp",
            RunNeeds {
                dark_h: Some(0.5),
                ..needs()
            },
        ),
        aim("rice cake", needs()),
        aim("gel", needs()),
        aim(
            "jacket",
            RunNeeds {
                weather: Some("rain"),
                ..needs()
            },
        ),
    ]
}

/// A random wish, with what it was made from.
pub struct Seeded {
    pub request: CalendarRequest,
    pub aims: Vec<Aim>,
}

impl Seeded {
    pub fn of(seed: u64) -> Seeded {
        let mut chance = Dice(Chance::new(seed, 77));
        let race = date("2026-09-01") + Days::new(chance.whole(0, 400) as u64);
        let from = race - Days::new(chance.whole(1, 300) as u64);
        let days = (race - from).num_days();
        let blocked = (0..chance.whole(0, 6)).map(|_| {
            let first = from + Days::new(chance.whole(0, days) as u64);
            (first, first + Days::new(chance.whole(0, 12) as u64))
        });
        let blocked: Vec<_> = blocked.collect();
        let practice = (0..chance.whole(0, 2)).map(|_| PracticeRace {
            date: from + Days::new(chance.whole(0, days - 1) as u64),
            distance_m: chance.between(10_000.0, 80_000.0),
            time_s: None,
        });
        let is_free =
            |race: &PracticeRace| !blocked.iter().any(|(a, b)| (*a..=*b).contains(&race.date));
        let practice = practice.filter(is_free).collect();
        let peak_m = (chance.whole(0, 1) == 0).then(|| chance.between(15_000.0, 50_000.0));
        let request = CalendarRequest {
            from,
            race,
            race_m: chance.between(42_000.0, 200_000.0),
            longest_now_m: chance.between(3000.0, 55_000.0),
            peak_m,
            taper_weeks: chance.whole(1, 2) as u32,
            blocked,
            practice,
            carbs_g_per_h: (chance.between(20.0, 60.0), chance.between(30.0, 90.0)),
            // daylight takes most of the time
            place: request().place.filter(|_| seed.is_multiple_of(4)),
            ..request()
        };
        let mut aims = aims();
        for aim in &mut aims {
            aim.tested = chance.whole(0, 3) as u32;
            aim.at_full = aim.tested > 0 && chance.whole(0, 1) == 0;
        }
        Seeded { request, aims }
    }
}

/// Chance, also in whole numbers.
struct Dice(Chance);

impl Dice {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0.between(low, high)
    }

    /// From `low` to `high`, both included.
    fn whole(&mut self, low: i64, high: i64) -> i64 {
        let drawn = self.0.between(low as f64, high as f64 + 1.0).floor() as i64;
        drawn.clamp(low, high.max(low))
    }
}
