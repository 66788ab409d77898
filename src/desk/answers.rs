//! The engine asked for the page: the files read and planned by the same steps as a command.

use serde_json::{Value, json};

use sutler::diagnostics::{Diagnostic, Notes, Severity, Sources, Spanned};
use sutler::exports::{calendar, crew_page, track};
use sutler::facts::{
    CautionFacts, Facts, Flat, Measure, PhoneFacts, ReplanFacts, SplitFacts, TrackFacts,
    VerdictFacts, View,
};
use sutler::finish::{self, Safe, USUAL_CUSHION};
use sutler::pages::{self, Wishes};
use sutler::plan::{Plan, Race};
use sutler::replan::{self, Observation};
use sutler::time::Elapsed;

use crate::cli::args::{SourceArgs, UnitsArg};
use crate::cli::check::checked;
use crate::cli::load::{Loaded, load};
use crate::cli::report::{make, view};

use super::folder::Folder;
use super::role::Role;

/// A plan as its files have it, or what stands in its way.
pub(super) struct Planned {
    pub(super) loaded: Loaded,
    pub(super) race: Option<Race>,
    /// The targets, the plan's own first; empty where there is none yet.
    pub(super) plans: Vec<Plan>,
    pub(super) facts: Option<Facts>,
    units: UnitsArg,
    /// The same race over more time, for targets that are only tried and for the day itself.
    longer: std::sync::OnceLock<Option<Race>>,
}

/// Something that is wrong with the files.
#[derive(Clone, Debug)]
pub(super) struct Problem {
    pub(super) is_error: bool,
    pub(super) message: String,
    pub(super) expected: String,
    pub(super) hint: Option<String>,
    /// The file, and the byte where it stands.
    pub(super) at: Option<(Role, usize)>,
    /// The line in the file.
    pub(super) line: Option<usize>,
}

impl Problem {
    /// A diagnostic without its place.
    pub(super) fn of(said: &Diagnostic) -> Problem {
        Problem {
            is_error: said.severity == Severity::Error,
            message: said.message.clone(),
            expected: said.expected.clone(),
            hint: said.hint.clone(),
            at: None,
            line: None,
        }
    }
}

/// The slider goes from this share of the finish to that, as far as the course allows.
const SLIDER: (f64, f64) = (0.7, 1.4);

impl Planned {
    /// Reads and plans.
    pub(super) fn of(folder: &Folder, units: UnitsArg) -> Planned {
        let source = SourceArgs {
            plan: Some(folder.plan.clone()),
            ..SourceArgs::default()
        };
        let mut loaded = load(&source);
        let made = make(&mut loaded, true).filter(|_| !loaded.notes.has_errors());
        let (race, plans) = match made {
            Some((race, plans)) => (Some(race), plans),
            // the course alone, so that there is something to look at while a target is missing or
            // another file is wrong
            None => (
                course_alone(&source).or_else(|| route_alone(folder)),
                Vec::new(),
            ),
        };
        let mut planned = Planned {
            loaded,
            race,
            plans,
            facts: None,
            units,
            longer: std::sync::OnceLock::new(),
        };
        planned.facts = planned.view().map(|view| Facts::of(&view));
        planned
    }

    /// Facts that outputs read; nothing where there is no course.
    pub(super) fn view(&self) -> Option<View<'_>> {
        let race = self.race.as_ref()?;
        Some(view(race, &self.plans, &self.loaded, self.units))
    }

    /// Mistakes in the files, errors first.
    pub(super) fn problems(&self, folder: &Folder) -> Vec<Problem> {
        let sources = &self.loaded.sources;
        let role = |name: &str| {
            Role::ALL.into_iter().find(|role| {
                let path = folder.path(*role);
                path.is_some_and(|path| path.display().to_string() == name)
            })
        };
        let one = |said: &Diagnostic| Problem {
            at: said
                .at
                .and_then(|span| Some((role(&sources.get(span.file).name)?, span.start))),
            line: said.at.map(|span| sources.position(span).0),
            ..Problem::of(said)
        };
        let mut all: Vec<Problem> = self.loaded.notes.all().iter().map(one).collect();
        all.sort_by_key(|problem| !problem.is_error);
        all
    }

    /// The race over as much time as the slider goes and a race that goes wrong may take.
    fn longer(&self) -> Option<&Race> {
        let longer = self.longer.get_or_init(|| {
            let (_, most) = self.slider()?;
            let finish = self.plans.first()?.finish;
            Race::prepare(
                &self.loaded.inputs,
                most.max(finish + finish),
                &mut Notes::new(),
            )
        });
        longer.as_ref()
    }

    /// The rest of the day from what was seen; nothing where the notes say why not.
    pub(super) fn replanned(
        &self,
        seen: &[Observation],
        sources: &Sources,
        notes: &mut Notes,
    ) -> Option<Facts> {
        let (race, plan) = (self.longer()?, self.plans.first()?);
        let inputs = &self.loaded.inputs;
        let rest = replan::make(race, inputs, plan, seen, None, sources, notes)?;
        let view = view(race, std::slice::from_ref(plan), &self.loaded, self.units);
        let mut facts = self.facts.clone()?;
        if let Some(planned) = &mut facts.plan {
            planned.0.cautions = CautionFacts::all(&rest.cautions);
        }
        facts.replan = Some(Flat(ReplanFacts::of(&view, plan, &rest)));
        Some(facts)
    }

    /// The times of a target that is only tried: food is packed when it is set.
    pub(super) fn times(&self, finish: Elapsed) -> Option<Value> {
        let (race, first) = (self.longer()?, self.plans.first()?);
        let plan = race.timed(Spanned::unwritten(finish), first)?;
        let plans = [plan];
        let view = view(race, &plans, &self.loaded, self.units);
        let (splits, verdict) = sutler::facts::times(&view)?;
        Some(json!({
            "finish": finish.to_seconds_text(),
            "holds": verdict.holds,
            "verdict": verdict_lines(&verdict),
            "rows": splits.iter().map(row).collect::<Vec<_>>(),
        }))
    }

    /// The fastest and the slowest finish of the slider.
    pub(super) fn slider(&self) -> Option<(Elapsed, Elapsed)> {
        let race = self.race.as_ref()?;
        let finish = self.plans.first()?.finish.as_s();
        let last = race
            .limits
            .iter()
            .flatten()
            .map(|limit| limit.elapsed.as_s());
        let last = last.fold(0.0, f64::max);
        let stops: f64 = race.stops_s.iter().sum();
        let least = (finish * SLIDER.0).max(stops + 60.0);
        let most = (finish * SLIDER.1).max(last * 1.03);
        let minute = |seconds: f64| Elapsed::from_secs((seconds / 60.0) as i64 * 60);
        Some((minute(least), minute(most)))
    }

    /// Marks on the slider: the slowest finish with the cushion in hand, what past results point to.
    pub(super) fn marks(&self) -> Value {
        // they are asked for before the slider is moved, so its race is made ready
        self.longer();
        let Some(race) = &self.race else {
            return json!([]);
        };
        let cushion = self.loaded.inputs.plan.cushion.map(|cushion| cushion.value);
        let cushion = cushion.unwrap_or(USUAL_CUSHION);
        let mut marks = Vec::new();
        let mut mark = |at: Elapsed, name: &str, about: String| {
            let (at_s, time) = (at.as_secs(), at.to_string());
            marks.push(json!({ "at": at_s, "time": time, "name": name, "about": about }));
        };
        if self.plans.len() > 1 {
            let mut goals: Vec<Elapsed> = self.plans.iter().map(|plan| plan.finish).collect();
            goals.sort_unstable();
            for (goal, letter) in goals.into_iter().zip(["A", "B", "C"]) {
                mark(goal, letter, String::new());
            }
        }
        if let Safe::Finish {
            finish, station, ..
        } = finish::slowest_safe(race, cushion)
        {
            let name = &race.course.stations[station].name;
            let about = format!("keeps {cushion} in hand at every cutoff; {name} decides");
            mark(finish, "slowest safe", about);
        }
        if let Some(estimate) = &race.estimate {
            let about = format!(
                "{}; 8 in 10 between {} and {}",
                race.rests.on.words(),
                estimate.early,
                estimate.late
            );
            mark(estimate.likely.to_minute(), "your results", about);
        }
        json!(marks)
    }

    /// A file to take away, as the command gives it.
    pub(super) fn take(&self, name: &str) -> Option<(&'static str, Vec<u8>)> {
        let (view, facts) = (self.view()?, self.facts.as_ref()?);
        facts.planned()?;
        let html = "text/html; charset=utf-8";
        if let Some(page) = name.strip_suffix(".html").and_then(pages::by_name) {
            let mut facts = facts.clone();
            if page.name == "race-book" {
                facts.check = checked(&view, &self.loaded);
            }
            return Some((html, page.html(&facts, &Wishes::default()).into_bytes()));
        }
        match name {
            "crew.html" => {
                let phone = PhoneFacts::of(&view)?;
                Some((html, crew_page(facts, &phone).into_bytes()))
            }
            "crew.ics" => Some((
                "text/calendar; charset=utf-8",
                calendar(facts)?.into_bytes(),
            )),
            "track.gpx" => {
                let text = track(facts, &TrackFacts::of(&view));
                Some(("application/gpx+xml", text.into_bytes()))
            }
            _ => None,
        }
    }
}

fn course_alone(source: &SourceArgs) -> Option<Race> {
    make(&mut load(source), false).map(|made| made.0)
}

/// The route and its stations without any other file, else the route itself.
fn route_alone(folder: &Folder) -> Option<Race> {
    let there = |role| folder.path(role).filter(|path| path.is_file());
    let route = there(Role::Route)?;
    let alone = |stations| {
        course_alone(&SourceArgs {
            route: Some(route.clone()),
            stations,
            ..SourceArgs::default()
        })
    };
    alone(there(Role::Stations)).or_else(|| alone(None))
}

/// The lines of a verdict.
pub(super) fn verdict_lines(verdict: &VerdictFacts) -> Vec<String> {
    verdict
        .lines
        .iter()
        .map(|line| super::page::worded(line).0)
        .collect()
}

/// The times of one station as the table shows them.
pub(super) fn row(split: &SplitFacts) -> Value {
    let text = |measure: &Option<Measure>| measure.as_ref().map(|m| m.text.clone());
    json!({
        "arrival": split.arrival.text,
        "departure": split.departure.beside(&split.arrival),
        "likely": split.likely.beside(&split.arrival),
        "early": split.early.beside(&split.arrival),
        "late": split.late.beside(&split.arrival),
        "margin": text(&split.margin),
        "margin-is": split.margin_is,
        "chance": text(&split.chance_so_far),
        "leave-by": split.latest_departure.as_ref().map(|at| at.beside(&split.arrival)),
        "dark": split.dark,
    })
}
