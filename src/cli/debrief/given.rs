//! Facts of a run besides its log: its recording, what was typed, and the recordings of
//! earlier runs.

use std::path::{Path, PathBuf};

use chrono::{Datelike, NaiveDate, NaiveDateTime};

use rayon::prelude::*;

use sutler::debrief::{self, RunFacts};
use sutler::diagnostics::Diagnostic;
use sutler::fit::{Fit, FittedRun, Recording};
use sutler::inputs::RunRecord;
use sutler::inputs::record_toml::{BodyRecord, RunSky};
use sutler::time::Elapsed;

use super::DebriefArgs;
use crate::cli::fit::read;
use crate::cli::load::Loaded;
use crate::cli::show::{self, Stop};

/// Facts of the recording alone; what is wrong with it is noted.
pub(super) fn fitted(args: &DebriefArgs, loaded: &mut Loaded) -> Option<FittedRun> {
    let one = read(args.recording.as_deref()?);
    show::problems(&one.sources, one.notes.all());
    let mut left_out = Vec::new();
    let recording = one.recording.map_err(|why| left_out.push(*why)).ok();
    let fit = Fit::of(recording.into_iter().collect(), &mut left_out);
    left_out.into_iter().for_each(|why| loaded.notes.push(why));
    fit?.runs.pop()
}

/// Facts besides the recording and the log; `None` where the notes say what is missing.
pub(super) fn facts(
    args: &DebriefArgs,
    fit: Option<&FittedRun>,
    loaded: &mut Loaded,
) -> Result<Option<RunFacts>, Stop> {
    let zone = loaded.inputs.course.timezone.map(|zone| zone.value);
    let recorded = fit.and_then(|fit| fit.recording.start()).map(|start| {
        start
            .with_timezone(&zone.unwrap_or(chrono_tz::UTC))
            .naive_local()
    });
    let Some(date) = args.date.or(recorded.map(|start| start.date())) else {
        loaded.notes.push(
            Diagnostic::error("the run has no date")
                .hint("add `--date 2026-08-30`, or give its recording"),
        );
        return Ok(None);
    };
    if let Some(problem) = unlikely(args, date, recorded, loaded) {
        loaded.notes.push(problem);
    }
    let recording = (args.recording.as_deref())
        .and_then(Path::file_name)
        .map(|name| name.to_string_lossy().into_owned());
    let stem = || {
        let stem = args.recording.as_deref()?.file_stem()?;
        Some(stem.to_string_lossy().into_owned())
    };
    let name = (args.name.clone().or_else(stem)).unwrap_or_else(|| "long run".to_owned());
    let mut facts = RunFacts {
        date,
        name,
        recording,
        fingerprint: String::new(),
        time: args.hours,
        start: args.start.or(recorded.map(|start| start.time())),
        body: BodyRecord {
            before_kg: args.mass_before,
            after_kg: args.mass_after,
            scale_resolution_kg: args.scale_step_kg,
            urine_ml: args.urine_ml,
            ..BodyRecord::default()
        },
        sky: RunSky {
            temp_c: args.temp,
            humidity_pct: args.humidity_pct,
            wind_kmh: args.wind_kmh,
            rain_mm_per_h: args.rain_mm_per_h,
            dark_s: None,
        },
    };
    let bytes = |path: &Option<PathBuf>| match path {
        Some(path) => crate::cli::read_file::bytes(path).map_err(|e| {
            let reason = show::reason(&e);
            Stop::Said(format!("could not read `{}`: {reason}", path.display()))
        }),
        None => Ok(Vec::new()),
    };
    let (track, log) = (bytes(&args.recording)?, bytes(&args.log)?);
    let typed = format!("{date} {:?} {:?} {:?}", facts.time, facts.body, facts.sky);
    facts.fingerprint = debrief::fingerprint(&[&track, &log, typed.as_bytes()]);
    Ok(Some(facts))
}

/// A day or a duration that the run cannot have had.
fn unlikely(
    args: &DebriefArgs,
    date: NaiveDate,
    recorded: Option<NaiveDateTime>,
    loaded: &Loaded,
) -> Option<Diagnostic> {
    const LONGEST: Elapsed = Elapsed::from_secs(72 * 3600);
    if let Some(hours) = args.hours.filter(|hours| *hours > LONGEST) {
        return Some(
            Diagnostic::error(format!("a run of {hours} is longer than any of {LONGEST}"))
                .hint("`--hours 5:30` is five and a half hours"),
        );
    }
    // a recorder that was never set starts in 1970, 1980 or 2000
    let recorded = recorded.map(|at| at.date()).filter(|day| day.year() > 2000);
    if let Some(own) = recorded.filter(|own| (*own - date).num_days().abs() > 1) {
        return Some(
            Diagnostic::error(format!(
                "--date {date} is not the day of the recording, {own}"
            ))
            .hint("leave --date out"),
        );
    }
    let start = loaded.inputs.course.start.as_ref()?;
    let race = start.value.date();
    let off = (race - date).num_days();
    (!(-366..=3 * 366).contains(&off)).then(|| {
        Diagnostic::error(format!(
            "the run's day, {date}, is years from the race on {race}"
        ))
        .hint("correct --date; runs of the three years before the race count")
    })
}

/// Recordings of the record's runs: this run's own, and those that lie beside the record under the
/// name it has for them and took as long as it says.
pub(super) fn at_hand(
    record: &[RunRecord],
    own: Option<(&RunRecord, Option<&FittedRun>)>,
    path: &Path,
) -> Vec<Option<Recording>> {
    const SAME_S: f64 = 60.0;
    let folder = path.parent().unwrap_or(Path::new(""));
    let found = |other: &RunRecord| {
        if let Some((_, fit)) = own.filter(|(run, _)| other.fingerprint == run.fingerprint) {
            return fit.map(|fit| fit.recording.clone());
        }
        let name = Path::new(other.recording.as_ref()?).file_name()?;
        let recording = read(&folder.join(name)).recording.ok()?;
        let off_s = recording.finish_s - other.time.as_secs() as f64;
        (off_s.abs() < SAME_S).then_some(recording)
    };
    record.par_iter().map(found).collect()
}
