//! `[past]` or `[[past]]` of the plan: what the runner has run before.

use chrono::NaiveDate;

use crate::diagnostics::{Diagnostic, Spanned};
use crate::time::Elapsed;

use super::asked::{Asked, Or};
use super::limits;
use super::surfaces_csv::Surface;
use super::toml_reader::{Reading, Section};

/// One race or long run to judge a finish by.
#[derive(Clone, Debug, PartialEq)]
pub struct PastResult {
    /// `name`
    pub name: Option<String>,
    /// `date`
    pub date: Option<NaiveDate>,
    /// `distance_km` (or `_mi`, `_m`)
    pub distance_m: f64,
    /// `climb_m` (or `_ft`), 0 by default.
    pub climb_m: f64,
    /// `time`: from start to finish, such as `"9:40:00"`.
    pub time: Spanned<Elapsed>,
    /// `stopped_min`: how much of that was stops, 0 by default.
    pub stopped_s: f64,
    /// `surface`: the ground, where it was another than most of the course.
    pub surface: Option<Surface>,
    /// `place` and `finishers`: the place in that race, and how many finished it.
    pub place: Option<(u32, u32)>,
}

/// Reads one of them.
pub(super) fn read(section: &mut Section<'_>, r: &mut Reading) -> Option<PastResult> {
    let name = section.ask("name", r);
    let date = section.date("date", r);
    let distance_m = f64::asked(&limits::PAST_DISTANCE, section, r);
    let climb_m = section.ask(Or(&limits::PAST_CLIMB, 0.0), r);
    let time = Asked::asked("time", section, r);
    let stopped = section.number(&limits::PAST_STOPPED, r);
    let surface = section.choice("surface", r);
    let place = place(section, r);
    let (distance_m, time): (_, Spanned<Elapsed>) = (distance_m?, time?);
    let stopped_s = stopped.map_or(0.0, |stopped| stopped.value);
    if stopped_s >= time.value.as_s() {
        r.notes.push(
            Diagnostic::error("the stops take as long as the whole run").at(
                stopped.and_then(|stopped| stopped.span),
                format!("expected less than {}", time.value.to_seconds_text()),
            ),
        );
        return None;
    }
    Some(PastResult {
        name,
        date,
        distance_m,
        climb_m,
        time,
        stopped_s,
        surface,
        place,
    })
}

/// A place and the number of finishers, which say nothing without each other.
fn place(section: &mut Section<'_>, r: &mut Reading) -> Option<(u32, u32)> {
    let said = r.notes.all().len();
    let place = section.number(&limits::PAST_PLACE, r);
    let finishers = section.number(&limits::PAST_FINISHERS, r);
    if r.notes.all().len() > said {
        return None;
    }
    let (key, missing) = match (place, finishers) {
        (None, None) => return None,
        (Some(place), Some(finishers)) if place.value > finishers.value => {
            r.notes.push(
                Diagnostic::error(format!(
                    "place {:.0} of {:.0}",
                    place.value, finishers.value
                ))
                .at(
                    place.span,
                    format!("expected at most {:.0}", finishers.value),
                ),
            );
            return None;
        }
        (Some(place), Some(finishers)) => {
            return Some((place.value as u32, finishers.value as u32));
        }
        (Some(place), None) => (place, "finishers"),
        (None, Some(finishers)) => (finishers, "place"),
    };
    r.notes.push(
        Diagnostic::error(format!("`{missing}` is missing"))
            .at(key.span, format!("expected `{missing}` beside it"))
            .hint("a place says something only with the number of finishers"),
    );
    None
}

impl PastResult {
    /// Reads a result as it is typed: distance, climb and time, with slashes between.
    ///
    /// ```
    /// use sutler::inputs::PastResult;
    /// let past = PastResult::parse("100km/4000m/14:20:00").expect("a result");
    /// assert_eq!((past.distance_m, past.climb_m), (100_000.0, 4000.0));
    /// assert_eq!(PastResult::parse("26.2mi/3:40:00").expect("no climb").climb_m, 0.0);
    /// assert!(PastResult::parse("100km").is_err());
    /// ```
    ///
    /// # Errors
    /// In words, what was expected.
    pub fn parse(text: &str) -> Result<PastResult, String> {
        let parts: Vec<&str> = text.split('/').map(str::trim).collect();
        let (distance, climb, time) = match parts[..] {
            [distance, time] => (distance, None, time),
            [distance, climb, time] => (distance, Some(climb), time),
            _ => return Err(EXPECTED.to_owned()),
        };
        let distance_m = length_m(distance)?;
        let climb_m = climb.map_or(Ok(0.0), length_m)?;
        let (least_m, most_m) = (1000.0, 1e6);
        if !(least_m..=most_m).contains(&distance_m) || !(0.0..=50_000.0).contains(&climb_m) {
            return Err("expected 1 to 1000 km, and up to 50,000 m of climb".to_owned());
        }
        let time = Elapsed::parse(time)?;
        if time <= Elapsed::ZERO {
            return Err(EXPECTED.to_owned());
        }
        Ok(PastResult {
            name: None,
            date: None,
            distance_m,
            climb_m,
            time: Spanned::unwritten(time),
            stopped_s: 0.0,
            surface: None,
            place: None,
        })
    }
}

const EXPECTED: &str = "expected distance, climb and time, such as `100km/4000m/14:20:00`";

/// A length with its unit.
fn length_m(text: &str) -> Result<f64, String> {
    const UNITS: [(&str, f64); 4] = [("km", 1000.0), ("mi", 1609.344), ("ft", 0.3048), ("m", 1.0)];
    UNITS
        .iter()
        .find_map(|(unit, metres)| {
            let number: f64 = text.strip_suffix(unit)?.trim_end().parse().ok()?;
            number.is_finite().then_some(number * metres)
        })
        .ok_or_else(|| EXPECTED.to_owned())
}
