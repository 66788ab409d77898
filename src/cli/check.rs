//! `sutler check`: every problem of every file in one run, then what the plan itself finds.

use sutler::findings::{Weight, fail};
use sutler::plan::Plan;
use sutler::units::Units;

use super::args::SourceArgs;
use super::load::load;
use super::report::make;
use super::show::Stop;
use super::{DONE, FAILS, show};

/// Checks a plan and its files.
pub(crate) fn run(args: &SourceArgs) -> Result<u8, Stop> {
    let mut loaded = load(args);
    let made = make(&mut loaded, true);
    show::problems(&loaded.sources, loaded.notes.all());
    let (_, plans) = made.ok_or(Stop::Shown)?;
    let warnings = loaded.notes.all().len();
    let mut out = format!(
        "{}: {}\n",
        count(loaded.files, "file"),
        count(warnings, "warning")
    );
    if let Some(plan) = plans.first() {
        out += &findings(plan);
    }
    show::print(&out)?;
    let fails = plans.first().is_some_and(|plan| fail(plan.findings()));
    Ok(if fails { FAILS } else { DONE })
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

fn count(number: usize, what: &str) -> String {
    match number {
        0 => format!("no {what}s"),
        1 => format!("1 {what}"),
        n => format!("{n} {what}s"),
    }
}
