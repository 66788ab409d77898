//! `sutler check`: every problem of every file in one run, then what the plan itself finds.

use sutler::findings::{Weight, fail};
use sutler::losses::{self, Survey};
use sutler::plan::{Plan, Race};
use sutler::reports;
use sutler::reports::unknowns::{THIRST, covered, grouped, line};
use sutler::units::Units;
use sutler::unknowns::{Unknown, unknowns};

use super::args::SourceArgs;
use super::fit::progress;
use super::load::load;
use super::report::make;
use super::show::Stop;
use super::{DONE, FAILS, show};

/// Checks a plan and its files.
pub(crate) fn run(args: &SourceArgs) -> Result<u8, Stop> {
    let mut loaded = load(args);
    let made = make(&mut loaded, true);
    show::problems(&loaded.sources, loaded.notes.all());
    let (race, plans) = made.ok_or(Stop::Shown)?;
    let warnings = loaded.notes.all().len();
    let mut out = format!(
        "{}: {}\n",
        count(loaded.read.len(), "file"),
        count(warnings, "warning")
    );
    if let Some(plan) = plans.first() {
        out += &findings(plan);
        let bar = progress(0);
        let survey = losses::survey(&race, &loaded.inputs, plan, &|done, all| {
            bar.set_length(all as u64);
            bar.set_position(done as u64);
        });
        bar.finish_and_clear();
        out += &broken(&race, &survey);
        out += &untested(&unknowns(&race, plan, &loaded.inputs));
    }
    show::print(&out)?;
    let fails = plans.first().is_some_and(|plan| fail(plan.findings()));
    Ok(if fails { FAILS } else { DONE })
}

fn broken(race: &Race, survey: &Survey) -> String {
    if survey.tried == 0 {
        return String::new();
    }
    let mut out = format!(
        "{} tried one at a time: {}\n",
        match survey.tried {
            1 => "1 loss".to_owned(),
            n => format!("{n} losses"),
        },
        match survey.broken.len() {
            0 => "the plan survives each".to_owned(),
            n => format!("the plan does not survive {n}, worst first"),
        }
    );
    for (head, under) in reports::survey::lines(race, survey, Units::Metric) {
        out += &format!(" ! {head}\n");
        for line in under {
            out += &format!("   → {line}\n");
        }
    }
    out
}

fn findings(plan: &Plan) -> String {
    let found = plan.findings();
    let mut out = format!(
        "finish in {}: {}\n",
        plan.finish,
        count(found.len(), "finding")
    );
    for finding in found {
        let mark = match finding.weight {
            Weight::Failure => "!!",
            Weight::Warning => " !",
            Weight::Note => " ·",
        };
        out += &format!("{mark} {}\n", finding.says.show(Units::Metric));
        for way in &finding.ways_out {
            out += &format!("   → {}\n", way.show(Units::Metric));
        }
    }
    out
}

/// What race day holds that too few long runs have tested, what costs most first.
fn untested(all: &[Unknown]) -> String {
    let mut out = format!("long runs: {}\n", count(all.len(), "unknown"));
    let mut cost = None;
    for one in &grouped(all) {
        if cost != Some(one.cost) {
            out += &format!("failing can cost {}:\n", one.cost.words());
            cost = Some(one.cost);
        }
        let (says, run) = (line(one, Units::Metric), covered(one, Units::Metric));
        out += &format!(" ? {says} → {run}\n");
    }
    if !all.is_empty() {
        out += &format!("{THIRST}\n");
    }
    out
}

fn count(number: usize, what: &str) -> String {
    match number {
        0 => format!("no {what}s"),
        1 => format!("1 {what}"),
        n => format!("{n} {what}s"),
    }
}
