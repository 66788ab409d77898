//! Race time: whole seconds since the runner's own start, and the clock on the wall there.

use std::fmt;
use std::ops::{Add, Sub};

use chrono::{DateTime, Datelike, Duration, NaiveDateTime, TimeZone, Timelike};
use chrono_tz::Tz;

/// Seconds in an hour.
pub const S_PER_HOUR: f64 = 3600.0;

/// From so many seconds on, a day name may be that of another week.
const SAME_DAY_NAME_S: i64 = 6 * 86_400;

/// Race time since the runner's own start, in whole seconds; differences may be negative.
///
/// Printed as hours and minutes, rounded to the minute:
///
/// ```
/// use sutler::time::Elapsed;
/// assert_eq!(Elapsed::from_secs(5 * 3600 + 12 * 60 + 33).to_string(), "5:13");
/// assert_eq!(Elapsed::parse("5:12:33"), Ok(Elapsed::from_secs(18_753)));
/// assert_eq!(Elapsed::parse("29:30"), Ok(Elapsed::from_secs(29 * 3600 + 30 * 60)));
/// assert!(Elapsed::parse("5h12").is_err());
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Elapsed(i64);

impl Elapsed {
    /// The start itself.
    pub const ZERO: Elapsed = Elapsed(0);

    /// A number of seconds after the start.
    #[must_use]
    pub const fn from_secs(seconds: i64) -> Self {
        Elapsed(seconds)
    }

    /// The nearest whole second.
    #[must_use]
    pub fn from_s(seconds: f64) -> Self {
        Elapsed(seconds.round() as i64)
    }

    /// Seconds since the start.
    #[must_use]
    pub const fn as_secs(self) -> i64 {
        self.0
    }

    /// Seconds since the start as a float, for arithmetic with rates.
    #[must_use]
    pub fn as_s(self) -> f64 {
        self.0 as f64
    }

    /// Hours since the start.
    #[must_use]
    pub fn as_hours(self) -> f64 {
        self.as_s() / S_PER_HOUR
    }

    /// The nearest whole minute; printed times are differences of these, so a card adds up.
    #[must_use]
    pub const fn to_minute(self) -> Elapsed {
        Elapsed((self.0 + 30).div_euclid(60) * 60)
    }

    /// With seconds, such as `5:12:33`.
    #[must_use]
    pub fn to_seconds_text(self) -> String {
        let (sign, seconds) = (if self.0 < 0 { "-" } else { "" }, self.0.abs());
        format!(
            "{sign}{}:{:02}:{:02}",
            seconds / 3600,
            seconds / 60 % 60,
            seconds % 60
        )
    }

    /// With a sign, such as `+1:12` or `-0:05`: how much time is in hand.
    ///
    /// The time that runs out is rounded, as it is where it is printed itself: half a minute past
    /// 10:00 is 10:01 and 0:29 before 10:30. Less than a minute too late is `-0:00`.
    #[must_use]
    pub fn to_margin_text(self) -> String {
        let over = (Elapsed::ZERO - self).to_minute();
        let sign = if self.0 < 0 { "-" } else { "+" };
        format!("{sign}{}", Elapsed(over.0.abs()))
    }

    /// Reads `h:mm:ss` or `h:mm`; hours may exceed 24.
    ///
    /// # Errors
    /// In words, what was expected, where the text is neither.
    pub fn parse(text: &str) -> Result<Self, String> {
        let expected = || {
            "expected hours, minutes and perhaps seconds, such as `10:30:00` or `10:30`".to_owned()
        };
        let parts: Vec<&str> = text.trim().split(':').collect();
        if !(2..=3).contains(&parts.len()) {
            return Err(expected());
        }
        let mut numbers = [0_i64; 3];
        for (slot, part) in numbers.iter_mut().zip(&parts) {
            let digits =
                !part.is_empty() && part.len() <= 4 && part.bytes().all(|b| b.is_ascii_digit());
            *slot = if digits {
                part.parse().map_err(|_| expected())?
            } else {
                return Err(expected());
            };
        }
        if parts[1..].iter().any(|p| p.len() != 2) || numbers[1] > 59 || numbers[2] > 59 {
            return Err("expected two digits from 00 to 59 for minutes and seconds".to_owned());
        }
        Ok(Elapsed(numbers[0] * 3600 + numbers[1] * 60 + numbers[2]))
    }
}

impl fmt::Display for Elapsed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let minutes = self.to_minute().0 / 60;
        let sign = if minutes < 0 { "-" } else { "" };
        let text = format!("{sign}{}:{:02}", minutes.abs() / 60, minutes.abs() % 60);
        f.pad(&text)
    }
}

impl Add for Elapsed {
    type Output = Elapsed;
    fn add(self, other: Elapsed) -> Elapsed {
        Elapsed(self.0 + other.0)
    }
}

impl Sub for Elapsed {
    type Output = Elapsed;
    fn sub(self, other: Elapsed) -> Elapsed {
        Elapsed(self.0 - other.0)
    }
}

/// The clock on the wall at the race: when the runner starts, and in which zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RaceClock {
    start: DateTime<Tz>,
}

impl RaceClock {
    /// A clock for a runner who starts at this instant.
    #[must_use]
    pub fn starting(start: DateTime<Tz>) -> Self {
        RaceClock { start }
    }

    /// The runner's own start.
    #[must_use]
    pub fn start(&self) -> DateTime<Tz> {
        self.start
    }

    /// The instant so much race time after the start, on the organiser's clock.
    #[must_use]
    pub fn at(&self, elapsed: Elapsed) -> DateTime<Tz> {
        self.start + Duration::seconds(elapsed.0)
    }

    /// Race time at an instant; negative before the start.
    #[must_use]
    pub fn elapsed_at(&self, instant: DateTime<Tz>) -> Elapsed {
        Elapsed((instant - self.start).num_seconds())
    }

    /// Day name and clock time to the minute, such as `Sun 02:41`.
    ///
    /// Where days away the same day name comes again, the date stands with it: `Sun 7 Jun 02:41`.
    /// In the hour that a clock change repeats, `¹` or `²` says which of the two it is, for
    /// `Sun 02:41` would be two instants.
    #[must_use]
    pub fn show(&self, elapsed: Elapsed) -> String {
        if elapsed.0.abs() >= SAME_DAY_NAME_S {
            return self.show_dated(elapsed);
        }
        let day = day_name(&self.at(elapsed.to_minute()));
        format!("{day} {}", self.show_time(elapsed))
    }

    /// Day name, date and clock time, such as `Sun 7 Jun 02:41`.
    #[must_use]
    pub fn show_dated(&self, elapsed: Elapsed) -> String {
        let date = self.at(elapsed.to_minute()).format("%a %-d %b");
        format!("{date} {}", self.show_time(elapsed))
    }

    /// As [`RaceClock::show`], without the day.
    #[must_use]
    pub fn show_time(&self, elapsed: Elapsed) -> String {
        let instant = self.at(elapsed.to_minute());
        let mark = match self.repeated(elapsed) {
            Some(1) => "¹",
            Some(_) => "²",
            None => "",
        };
        format!("{}{mark}", clock(&instant))
    }

    /// 1 or 2 where the clocks show this time twice, for which of the two it is.
    #[must_use]
    pub fn repeated(&self, elapsed: Elapsed) -> Option<u8> {
        let instant = self.at(elapsed.to_minute());
        match on_the_wall(instant.naive_local(), self.start.timezone()) {
            WallTime::Twice(first, _) => Some(if instant == first { 1 } else { 2 }),
            _ => None,
        }
    }
}

/// Three letters for the day of an instant, such as `Sun`.
#[must_use]
pub fn day_name(instant: &DateTime<Tz>) -> &'static str {
    DAY_NAMES[instant.weekday().num_days_from_monday() as usize]
}

/// Three-letter day names from Monday.
pub const DAY_NAMES: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];

/// Hours and minutes of an instant on the wall, such as `02:41`.
#[must_use]
pub fn clock(instant: &DateTime<Tz>) -> String {
    format!("{:02}:{:02}", instant.hour(), instant.minute())
}

/// The instants that a time on the wall can mean in a zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WallTime {
    /// Just one instant.
    Once(DateTime<Tz>),
    /// The clocks go back and show this time twice: the earlier and the later instant.
    Twice(DateTime<Tz>, DateTime<Tz>),
    /// The clocks go forward past this time.
    Never,
}

/// The meaning of a time on the wall in a zone.
#[must_use]
pub fn on_the_wall(local: NaiveDateTime, zone: Tz) -> WallTime {
    match zone.from_local_datetime(&local) {
        chrono::LocalResult::Single(instant) => WallTime::Once(instant),
        chrono::LocalResult::Ambiguous(a, b) => WallTime::Twice(a.min(b), a.max(b)),
        chrono::LocalResult::None => WallTime::Never,
    }
}
