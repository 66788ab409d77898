//! `sutler debrief`: a long run in, an entry of the record and figures of the runner out.

mod args;
mod files;
mod given;

use std::path::PathBuf;

use sutler::debrief;
use sutler::facts::{DebriefFacts, Facts};
use sutler::fueling;

pub(crate) use args::{DebriefArgs, temperature};

use super::args::SourceArgs;
use super::load::load_with;
use super::report::{make, print, view};
use super::show::Stop;
use super::{DONE, show};
use files::Files;
use given::{at_hand, facts, fitted};

/// Debriefs a run, prints the report, adds it to the record and changes the runner file if asked.
pub(crate) fn run(args: &DebriefArgs) -> Result<u8, Stop> {
    let source = SourceArgs {
        plan: args.plan.clone(),
        ..SourceArgs::default()
    };
    let files = Files::of(args);
    let _others_wait = files.lock();
    let mut loaded = load_with(&source, args.log.as_deref());
    let made = make(&mut loaded, true);
    let fit = fitted(args, &mut loaded);
    let facts = facts(args, fit.as_ref(), &mut loaded)?;
    let log = args.log.as_ref().map(|_| loaded.inputs.log.clone());
    let pantry = loaded.inputs.pantry.clone();
    let mass_kg = loaded.inputs.runner.mass_kg.map(|mass| mass.value);
    let debriefed = facts.as_ref().and_then(|facts| {
        let notes = &mut loaded.notes;
        debrief::debrief(facts, fit.as_ref(), log.as_deref(), &pantry, mass_kg, notes)
    });
    show::problems(&loaded.sources, loaded.notes.all());
    if loaded.notes.has_errors() {
        return Err(Stop::Shown);
    }
    let ((race, plans), (facts, debriefed)) = made.zip(facts.zip(debriefed)).ok_or(Stop::Shown)?;
    let is_known = match debrief::earlier(&loaded.inputs.record, &facts) {
        Some(run) if run.fingerprint.as_deref() == Some(&facts.fingerprint) => true,
        Some(run) => {
            return Err(Stop::Said(format!(
                "the record has `{}` of {} already, from other files or figures; delete that \
                 [[run]] to debrief it again",
                run.name.value, run.date
            )));
        }
        None => false,
    };
    let mut record = loaded.inputs.record.clone();
    if !is_known {
        record.push(debriefed.run.clone());
    }
    let runner = &loaded.inputs.runner;
    // energy of an hour of the race
    let kcal_per_h = plans
        .first()
        .map_or(0.0, |plan| plan.fueling.mean_per_h(|need| need.energy_kcal));
    let at_hand = at_hand(&record, &debriefed.run, fit.as_ref(), &files.record);
    let proposal = debrief::propose(
        &record,
        &at_hand,
        runner,
        fueling::body_of(runner),
        kcal_per_h,
    );
    let view = view(&race, &plans, &loaded, args.output.units);
    let facts = Facts {
        debrief: Some(DebriefFacts::of(&view, &debriefed, &proposal)),
        ..Facts::of(&view)
    };
    let changed = [&files.record, &files.runner];
    let mut read: Vec<PathBuf> = changed
        .into_iter()
        .chain(&args.recording)
        .cloned()
        .collect();
    read.extend_from_slice(&loaded.read);
    print("debrief", &facts, &args.output, &read)?;
    files.write(&debriefed.run, is_known, &proposal, args.write)?;
    Ok(DONE)
}
