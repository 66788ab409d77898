//! `sutler debrief`: a long run in, an entry of the record and figures of the runner out.

mod args;
mod files;
mod given;

use std::path::PathBuf;

use sutler::debrief::{self, Proposal};
use sutler::diagnostics::{Notes, SourceFile, Sources, Spanned};
use sutler::facts::{DebriefFacts, Facts};
use sutler::fit::FittedRun;
use sutler::fueling;
use sutler::inputs::{Inputs, RunRecord, runner_toml};
use sutler::plan::{Plan, Race};

pub(crate) use args::{DebriefArgs, temperature};

use super::args::SourceArgs;
use super::load::load_with;
use super::report::{make, print, view};
use super::show::Stop;
use super::{DONE, show};
use files::{Files, NewRunner};
use given::{at_hand, facts, fitted};

/// Debriefs a run and prints the report; adds it to the record and changes the runner file if told.
pub(crate) fn run(args: &DebriefArgs) -> Result<u8, Stop> {
    let source = SourceArgs {
        plan: args.plan.clone(),
        ..SourceArgs::default()
    };
    let files = Files::of(args);
    let _others_wait = files.lock();
    let mut loaded = load_with(&source, args.log.as_deref());
    let made = make(&mut loaded, true);
    if let Some(wanted) = &args.remove {
        show::problems(&loaded.sources, loaded.notes.all());
        let (_, plans) = made.ok_or(Stop::Shown)?;
        return remove(args, wanted, &files, &mut loaded.inputs, &plans);
    }
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
    let earlier = debrief::earlier(&loaded.inputs.record, &facts).cloned();
    let is_same = |run: &RunRecord| run.fingerprint.as_deref() == Some(&facts.fingerprint);
    let gone = earlier.clone().filter(|run| !is_same(run));
    if let Some(run) = gone.as_ref().filter(|_| !args.correct) {
        return Err(Stop::Said(format!(
            "the record has `{}` of {} already, from other files or figures; --correct puts this \
             in its place",
            run.name.value, run.date
        )));
    }
    let run = &debriefed.run;
    if let Some(old) = &gone {
        forget(&mut loaded.inputs, old);
    }
    if earlier.is_none() || gone.is_some() {
        loaded.inputs.record.push(run.clone());
    }
    let proposal = proposal(&loaded.inputs, &plans, Some((run, fit.as_ref())), &files);
    let runner = files.proposed(gone.as_ref(), &proposal)?;
    let recording = fit.as_ref().map(|fit| &fit.recording);
    let body = fueling::body_of(&loaded.inputs.runner);
    let advice = (plans.first()).map_or_else(Vec::new, |plan| {
        debrief::advice(&debriefed, recording, &race, plan, body)
    });
    let after = planned_with(&runner, &loaded.inputs, &plans);
    let view = view(&race, &plans, &loaded, args.output.units);
    let told = DebriefFacts::of(&view, &debriefed, &advice, &proposal, after.as_ref());
    let facts = Facts {
        debrief: Some(told),
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
    files.write(args, gone.as_ref(), Some(run), &runner)?;
    Ok(DONE)
}

/// Takes a run out of the record, and with it what the runner file has from it.
fn remove(
    args: &DebriefArgs,
    wanted: &str,
    files: &Files,
    inputs: &mut Inputs,
    plans: &[Plan],
) -> Result<u8, Stop> {
    let is_it = |run: &&RunRecord| run.date.to_string() == wanted || run.name.value == wanted;
    let found: Vec<RunRecord> = inputs.record.iter().filter(is_it).cloned().collect();
    let [run] = &found[..] else {
        let runs = inputs.record.iter();
        let runs: Vec<String> = runs
            .map(|run| format!("`{}` of {}", run.name.value, run.date))
            .collect();
        return Err(Stop::Said(format!(
            "{} run of the record is `{wanted}`; give a day or a name: {}",
            if found.is_empty() {
                "no"
            } else {
                "more than one"
            },
            runs.join(", ")
        )));
    };
    forget(inputs, run);
    let proposal = proposal(inputs, plans, None, files);
    let runner = files.proposed(Some(run), &proposal)?;
    files.write(args, Some(run), None, &runner)?;
    Ok(DONE)
}

/// The inputs as if a run had not been.
fn forget(inputs: &mut Inputs, gone: &RunRecord) {
    inputs.record.retain(|run| run != gone);
    inputs
        .runner
        .sweat
        .retain(|own| own.date != Some(gone.date));
    // figures that rested on it too are from one run less
    if let Some(runs) = inputs
        .runner
        .pacing
        .runs
        .as_mut()
        .filter(|_| gone.pacing.fade.is_some())
    {
        *runs = runs.saturating_sub(1);
    }
}

/// Figures that the record proposes for the runner.
fn proposal(
    inputs: &Inputs,
    plans: &[Plan],
    own: Option<(&RunRecord, Option<&FittedRun>)>,
    files: &Files,
) -> Proposal {
    let runner = &inputs.runner;
    // energy of an hour of the race
    let kcal_per_h = plans
        .first()
        .map_or(0.0, |plan| plan.fueling.mean_per_h(|need| need.energy_kcal));
    let at_hand = at_hand(&inputs.record, own, &files.record);
    debrief::propose(
        &inputs.record,
        &at_hand,
        runner,
        fueling::body_of(runner),
        kcal_per_h,
    )
}

/// The plan with the runner file as proposed; `None` where that changes nothing.
fn planned_with(runner: &NewRunner, inputs: &Inputs, plans: &[Plan]) -> Option<Plan> {
    if runner.text == runner.file.text {
        return None;
    }
    let file = SourceFile::new(runner.file.name(), runner.text.as_str());
    let mut notes = Notes::new();
    let id = Sources::default().add(file.clone());
    let inputs = Inputs {
        runner: runner_toml::read(&file, id, &mut notes),
        ..inputs.clone()
    };
    let finish = plans.first()?.finish;
    let race = Race::prepare(&inputs, finish, &mut notes)?;
    race.plan(&inputs, Spanned::unwritten(finish), &mut notes)
}
