//! The debrief of one long run: a recording, a log and the scale become one entry of the record, and
//! the record proposes figures of the runner.
//!
//! Each source may be missing; what depends on it is then `None`.

mod advice;
mod eaten;
mod moving;
mod pace;
mod proposal;
mod scale;
mod sweat_times;

use chrono::{NaiveDate, NaiveTime, Timelike};

use crate::diagnostics::{Diagnostic, Notes, Spanned};
use crate::fit::{FittedRun, RunEvidence};
use crate::fueling::sweat::Doubt;
use crate::inputs::intake_csv::{Helping, LogEntry, LogTime};
use crate::inputs::limits;
use crate::inputs::record_toml::{
    BodyRecord, FoodEaten, GearUsed, Intake, PacingSeen, RunRecord, RunSky,
};
use crate::inputs::{Food, LogRow};
use crate::time::{Elapsed, S_PER_HOUR};

pub use advice::advice;
pub use eaten::HourOfIntake;
pub use moving::{Moving, Slope};
pub use pace::{Pace, Standing};
pub use proposal::{Proposal, propose};
pub use scale::{NoSweat, Sweat};
pub use sweat_times::FarSweat;

/// The facts of a run besides its recording and its log.
#[derive(Clone, Debug, PartialEq)]
pub struct RunFacts {
    /// The day.
    pub date: NaiveDate,
    /// Name that the runner gave it.
    pub name: String,
    /// The recording's file name.
    pub recording: Option<String>,
    /// Of everything that is read, see [`fingerprint`].
    pub fingerprint: String,
    /// Start to finish, where there is no recording.
    pub time: Option<Elapsed>,
    /// Start, on the wall there: clock times of the log count from it.
    pub start: Option<NaiveTime>,
    /// The scale: before, after, its step, urine.
    pub body: BodyRecord,
    /// The weather as the runner noted it.
    pub sky: RunSky,
}

/// A long run, debriefed.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Debrief {
    /// The entry for the record.
    pub run: RunRecord,
    /// Movement; `None` without a recording.
    pub moving: Option<Moving>,
    /// Intake, hour by hour; empty without a log with times.
    pub hours: Vec<HourOfIntake>,
    /// Sweat by mass balance, or why there is none.
    pub sweat: Result<Sweat, NoSweat>,
    /// Words of the log, in its order: stomach, hot spots, gear and remarks.
    pub remarks: Vec<(Option<Elapsed>, String)>,
    /// The time at which the stomach turned, and what went in before.
    trouble: Option<advice::StomachTrouble>,
}

/// Rows of a log may be so long after the end: what is noted while changing clothes. Our choice.
const AFTERWARDS: Elapsed = Elapsed::from_secs(1800);

/// Debriefs one run: `fit` is that of its recording alone. `None` where `notes` says why not.
#[must_use]
pub fn debrief(
    facts: &RunFacts,
    fit: Option<&FittedRun>,
    log: Option<&[LogRow]>,
    pantry: &[Food],
    mass_kg: Option<f64>,
    notes: &mut Notes,
) -> Option<Debrief> {
    let recording = fit.map(|fit| &fit.recording);
    let Some(time) = (recording.map(|r| Elapsed::from_s(r.finish_s))).or(facts.time) else {
        notes.push(
            Diagnostic::error("the run has no duration")
                .hint("add `--hours 5:30`, or give its recording"),
        );
        return None;
    };
    let moving = recording.map(Moving::of);
    let rows = log.unwrap_or_default();
    let when = |row: &LogRow| elapsed(row, facts.start);
    for row in rows {
        let Some(at) = when(row).filter(|at| *at > time + AFTERWARDS) else {
            continue;
        };
        notes.push(
            Diagnostic::error(format!("a row of the log is {at} after the start"))
                .at(
                    row.span,
                    format!("expected {time} or earlier, when the run ended"),
                )
                .hint("correct the time, or `--hours`, or `--start` for times on the clock"),
        );
    }
    let eaten = log.map(|rows| eaten::of(rows, pantry, &when, notes));
    let mut run = RunRecord {
        date: facts.date,
        name: Spanned::unwritten(facts.name.clone()),
        recording: facts.recording.clone(),
        fingerprint: Some(facts.fingerprint.clone()),
        time,
        stopped_s: recording.map_or(0.0, crate::fit::Recording::stopped_s),
        stops: recording.map(|r| r.stops.len().try_into().unwrap_or(u32::MAX)),
        ground: moving.as_ref().map(|m| m.ground).unwrap_or_default(),
        sky: RunSky {
            dark_s: recording.and_then(|own| Some(own.dark_h()? * S_PER_HOUR)),
            ..facts.sky
        },
        body: facts.body,
        intake: eaten.as_ref().map(|e| e.total).unwrap_or_default(),
        foods: eaten.map(|e| e.foods).unwrap_or_default(),
        pacing: fit.map(|fit| pacing(&fit.evidence)).unwrap_or_default(),
        ..RunRecord::default()
    };
    note_down(&mut run, rows);
    run.body.energy_kcal_per_h = moving
        .as_ref()
        .zip(run.body.before_kg.or(mass_kg))
        .map(|(moving, kg)| moving.energy_kcal(kg) / run.hours());
    let sweat = scale::sweat(&run);
    if let Ok(sweat) = &sweat
        && !sweat.doubts.contains(&Doubt::OutOfRange)
    {
        run.body.sweat_l_per_h = Some(sweat.l_per_h);
        run.body.sweat_uncertainty_l_per_h = Some(sweat.uncertainty_l_per_h);
    }
    Some(Debrief {
        hours: eaten::hours(rows, pantry, time, &when),
        trouble: advice::StomachTrouble::of(rows, pantry, &when),
        remarks: rows
            .iter()
            .filter_map(|row| Some((when(row), remark(row)?)))
            .collect(),
        run,
        moving,
        sweat,
    })
}

/// The time of a row, since the start. A clock time before the start is of the next day.
fn elapsed(row: &LogRow, start: Option<NaiveTime>) -> Option<Elapsed> {
    const DAY_S: i64 = 24 * 3600;
    match row.at? {
        LogTime::Elapsed(elapsed) => Some(elapsed),
        LogTime::Clock(time) => {
            let seconds = |time: NaiveTime| i64::from(time.num_seconds_from_midnight());
            let since_s = seconds(time) - seconds(start?);
            Some(Elapsed::from_secs(since_s.rem_euclid(DAY_S)))
        }
    }
}

/// Puts into a run what single rows of its log say.
fn note_down(run: &mut RunRecord, rows: &[LogRow]) {
    let mut urine_ml = None;
    for row in rows {
        match &row.entry {
            // a run is held by its worst hour
            LogEntry::Stomach(score) => {
                run.stomach = Some(run.stomach.map_or(*score, |worst| worst.min(*score)));
            }
            LogEntry::Urine(ml) => urine_ml = Some(urine_ml.unwrap_or(0.0) + ml),
            LogEntry::HotSpot(place) if !run.hot_spots.contains(place) => {
                run.hot_spots.push(place.clone());
            }
            LogEntry::Tested(one) if !run.tested.contains(one) => run.tested.push(*one),
            LogEntry::Gear(name, met) => run.gear.push(GearUsed {
                name: name.clone(),
                met: met.clone(),
                note: row.note.clone(),
            }),
            _ => {}
        }
    }
    run.body.urine_ml = run.body.urine_ml.or(urine_ml);
}

fn remark(row: &LogRow) -> Option<String> {
    let what = match &row.entry {
        LogEntry::Stomach(score) => format!("stomach {score} of 10"),
        LogEntry::HotSpot(place) => format!("hot spot: {place}"),
        LogEntry::Refused(helping) => format!("{} would not stay down", helping.name.value),
        LogEntry::Drink(Helping { name, .. })
        | LogEntry::Food(Helping { name, .. })
        | LogEntry::Gear(name, _) => {
            row.note.as_ref()?;
            name.value.clone()
        }
        LogEntry::Urine(_) | LogEntry::Tested(_) => return row.note.clone(),
    };
    Some(match &row.note {
        Some(note) => format!("{what}: {note}"),
        None => what,
    })
}

/// Pacing by the recording alone, hardly drawn towards the usual.
fn pacing(own: &RunEvidence) -> PacingSeen {
    // a figure that nobody has says that the run was no race effort, and is not worth keeping
    let believed = limits::FADE.check(own.fade, limits::FADE.units[0]).is_ok();
    PacingSeen {
        fade: believed.then_some(own.fade),
        fade_uncertainty: believed.then_some(own.uncertainty),
    }
}

/// A fingerprint of what a debrief reads: the same for the same bytes, on every machine.
///
/// FNV-1a over 64 bits (Fowler, Noll and Vo; its constants from memory), the parts told apart by
/// their lengths.
///
/// ```
/// use sutler::debrief::fingerprint;
/// assert_ne!(fingerprint(&[b"ab", b"c"]), fingerprint(&[b"a", b"bc"]));
/// ```
#[must_use]
pub fn fingerprint(parts: &[&[u8]]) -> String {
    const START: u64 = 0xcbf2_9ce4_8422_2325;
    const PRIME: u64 = 0x0000_0100_0000_01b3;
    let mut hash = START;
    let mut eat = |byte: u8| hash = (hash ^ u64::from(byte)).wrapping_mul(PRIME);
    for part in parts {
        (part.len() as u64)
            .to_le_bytes()
            .into_iter()
            .for_each(&mut eat);
        part.iter().copied().for_each(&mut eat);
    }
    format!("{hash:016x}")
}

/// A run of the record that is this one: the same files and figures, or the same recording on the
/// same day, or the same name on it where there is no recording.
#[must_use]
pub fn earlier<'r>(record: &'r [RunRecord], facts: &RunFacts) -> Option<&'r RunRecord> {
    let same_files = |run: &RunRecord| run.fingerprint.as_deref() == Some(&facts.fingerprint);
    let same_run = |run: &RunRecord| {
        run.date == facts.date
            && run.recording == facts.recording
            && (run.recording.is_some() || run.name.value == facts.name)
    };
    (record.iter().find(|run| same_files(run))).or_else(|| record.iter().find(|run| same_run(run)))
}

/// Nothing was eaten or drunk, as a total.
const NOTHING: Intake = Intake {
    drank_ml: Some(0.0),
    food_water_ml: Some(0.0),
    eaten_g: Some(0.0),
    sodium_mg: Some(0.0),
    carbs_g: Some(0.0),
    caffeine_mg: Some(0.0),
};

/// Adds servings of a food to what was eaten of it before.
fn add_food(foods: &mut Vec<FoodEaten>, eaten: FoodEaten) {
    let same = foods.iter_mut().find(|food| {
        food.refused == eaten.refused
            && crate::words::same_name(&food.name.value, &eaten.name.value)
    });
    match same {
        Some(food) => food.servings += eaten.servings,
        None => foods.push(eaten),
    }
}
