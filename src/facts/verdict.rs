//! The verdict: does the plan hold, how likely, where is it lost, leave where by when.

use crate::ability::Basis;
use crate::plan::{Plan, WORTH_SAYING};
use crate::replan::OUT_OF_REACH;
use crate::schedule::{DOUBTFUL, UNLIKELY};
use crate::time::Elapsed;

use super::View;
use super::found::FindingFacts;
use super::splits::SplitFacts;
use super::value::{Measure, Moment, record};

record! {
    /// The verdict: does the plan hold, how likely, where is it lost.
    pub struct VerdictFacts {
        /// True where every cutoff is met on plan and everything can be carried.
        pub holds: bool,
        /// True where it holds with little to spare: a chance below 80 % or a close cutoff.
        pub narrowly: bool,
        /// The chance of making every cutoff; nothing where there are none.
        pub chance: Option<Measure>,
        /// The station at whose cutoff most of that chance is lost; nothing where none is.
        pub lost_at: Option<String>,
        /// True where the target is faster than what it rests on supports.
        pub is_hope: bool,
        /// The finish to expect.
        pub expected: Moment,
        /// The chance of making every cutoff and the target.
        pub chance_of_target: Measure,
        /// The first station whose cutoff is missed on plan.
        pub fails_at: Option<String>,
        /// The station with the least time in hand on plan.
        pub tightest: Option<String>,
        /// The time in hand there.
        pub margin: Option<Measure>,
        /// The station to leave before that cutoff is lost; where none lies before it, before the
        /// cutoff at which most of the chance is lost.
        pub leave: Option<String>,
        /// The latest departure from it.
        pub leave_by: Option<Moment>,
        /// The kind of the finding to look at first, told in the last line; nothing where it fails,
        /// or where there is none.
        pub warning: Option<&'static str>,
        /// The line that says where it is tightest and where to leave by when.
        pub tightest_line: Option<String>,
        /// All of it in words, a line each.
        pub lines: Vec<String>,
    }
}

/// The most failures that are told.
const MOST_FAILURES: usize = 3;

impl VerdictFacts {
    /// The verdict on a plan, its splits and what was found.
    pub(super) fn of(
        view: &View<'_>,
        plan: &Plan,
        splits: &[SplitFacts],
        findings: &[FindingFacts],
    ) -> VerdictFacts {
        let is_limited = |split: &&SplitFacts| split.margin.is_some();
        let limited = || splits.iter().filter(is_limited);
        let seconds = |split: &&SplitFacts| split.margin.as_ref().map(|m| m.value as i64);
        let tightest = limited().min_by_key(seconds);
        // the last station before it that can still be left in time
        let leave = |limit: usize| {
            splits[..limit].iter().rfind(|split| {
                split.latest_departure.is_some() && split.arrival.elapsed > Elapsed::ZERO
            })
        };
        let tight = tightest.and_then(|tight| splits.iter().position(|split| split == tight));
        let leave = tight
            .and_then(leave)
            .or_else(|| leave(plan.schedule.weakest?));
        let missed = limited().find(|split| split.margin_is == Some("missed"));
        let schedule = &plan.schedule;
        let doubtful = schedule.chance.is_some_and(|chance| chance < DOUBTFUL);
        let close = tightest.is_some_and(|split| split.margin_is == Some("close"));
        let rests = &view.race.rests;
        let target_s = plan.pacing.finish_s;
        let expected = schedule.splits.last().map_or(plan.finish, |s| s.likely);
        let verdict = VerdictFacts {
            holds: !findings.iter().any(FindingFacts::fails),
            narrowly: doubtful || close,
            chance: schedule.chance.map(Measure::chance),
            lost_at: (schedule.weakest)
                .map(|station| view.race.course.stations[station].name.clone()),
            is_hope: view.race.estimate.is_some() && expected.as_s() > WORTH_SAYING * target_s,
            expected: Moment::of(schedule, expected),
            chance_of_target: Measure::chance(schedule.chance_of_target),
            fails_at: missed.map(|split| split.station.clone()),
            tightest: tightest.map(|split| split.station.clone()),
            margin: tightest.and_then(|split| split.margin.clone()),
            leave: leave.map(|split| split.station.clone()),
            leave_by: leave.and_then(|split| split.latest_departure.clone()),
            warning: None,
            tightest_line: None,
            lines: Vec::new(),
        };
        let words = VerdictWords {
            verdict: &verdict,
            plan,
            basis: rests.on,
            splits,
            findings,
        };
        let (lines, warning) = (words.lines(), words.warning().map(|warning| warning.kind));
        let tightest_line = words.tightest();
        VerdictFacts {
            lines,
            tightest_line,
            warning,
            ..verdict
        }
    }

    /// Such as `Leave Eisnerkreuz back by Sun 01:22.`
    #[must_use]
    pub fn leave_words(&self) -> Option<String> {
        let (station, by) = self.leave.as_ref().zip(self.leave_by.as_ref())?;
        (!self.is_hope).then(|| format!("Leave {station} by {}.", by.text))
    }

    /// The lines for paper that tells of cold at its stations.
    #[must_use]
    pub fn without_cold(&self) -> &[String] {
        let cold = self.warning.is_some_and(|kind| kind.starts_with("cold-"));
        &self.lines[..self.lines.len() - usize::from(cold)]
    }
}

/// A verdict being put into words.
struct VerdictWords<'a> {
    verdict: &'a VerdictFacts,
    plan: &'a Plan,
    basis: Basis,
    splits: &'a [SplitFacts],
    findings: &'a [FindingFacts],
}

impl VerdictWords<'_> {
    fn lines(&self) -> Vec<String> {
        let mut lines = vec![self.opening()];
        lines.extend(self.unread());
        lines.extend(self.dangers().map(|weather| sentence(&told(weather)) + "."));
        let is_short = self.verdict.fails_at.is_none() && !self.verdict.holds;
        if self.verdict.is_hope && (self.verdict.holds || self.out_of_reach())
            || is_short && self.plan.schedule.chance.is_some()
        {
            lines.push(format!("{}.", sentence(&self.chance())));
        }
        lines.push(self.finish());
        lines.extend(self.tightest());
        lines.extend(self.look_at());
        lines
    }

    /// Cutoffs that no chance counts with.
    fn unread(&self) -> Option<String> {
        let unread = self.splits.iter().filter(|split| split.cutoff_unread);
        let named = unread.map(|split| format!("station {} {}", split.number, split.station));
        let named: Vec<String> = named.collect();
        (!named.is_empty()).then(|| {
            format!(
                "{}: cutoff not read, so no time and no chance here counts it → ask the \
                 organiser, and fill it in.",
                sentence(&named.join(", "))
            )
        })
    }

    /// Heat in which races are stopped and cold that harms, which come before any chance.
    fn dangers(&self) -> impl Iterator<Item = &FindingFacts> {
        let harms = |finding: &&FindingFacts| ["heat-black", "cold-harm"].contains(&finding.kind);
        self.findings.iter().filter(harms)
    }

    /// Does it hold, and how likely.
    fn opening(&self) -> String {
        let target = self.plan.finish;
        let promise = match self.basis {
            Basis::Results(1) => "promises",
            _ => "promise",
        };
        let promised = format!(
            "{} {promise} {}",
            self.basis.words(),
            self.verdict.expected.elapsed
        );
        if self.out_of_reach() {
            return format!("{target} is out of reach: {promised}.");
        }
        if let Some(station) = &self.verdict.fails_at {
            let missed = self.splits.iter().find(|split| split.station == *station);
            let late = missed.and_then(|split| split.margin.as_ref());
            let late = late.map_or("", |margin| margin.text.trim_start_matches('-'));
            return format!(
                "Fails at {station}: {late} late on plan; {}.",
                self.chance()
            );
        }
        if let Some(failure) = self.findings.iter().find(|finding| finding.fails()) {
            return format!("Fails: {}.", plain(&failure.text));
        }
        if self.verdict.is_hope {
            return format!(
                "{target} is a hope: {promised}, and {target} has a chance of {}.",
                self.verdict.chance_of_target.text,
            );
        }
        let holds = match self.plan.schedule.chance {
            Some(chance) if chance < UNLIKELY => "Unlikely, though it holds on plan",
            Some(chance) if chance < DOUBTFUL => "Doubtful",
            // nobody is told that a race holds which may not be run
            _ if self.dangers().next().is_some() => "Holds by the clock alone",
            _ if self.verdict.narrowly => "Holds, narrowly",
            _ => "Holds",
        };
        format!("{holds}: {}.", self.chance())
    }

    /// True where hardly any runner with such results runs the target.
    fn out_of_reach(&self) -> bool {
        self.verdict.is_hope && self.verdict.chance_of_target.value < OUT_OF_REACH
    }

    /// The chance of the whole race, and where it is lost.
    fn chance(&self) -> String {
        let Some(chance) = &self.verdict.chance else {
            return "no cutoffs are known".to_owned();
        };
        let held = match self.plan.schedule.on_target {
            true => " if the target is met",
            false => "",
        };
        let lost = self.verdict.lost_at.as_ref();
        let lost = lost.map_or_else(String::new, |station| format!("; the hardest is {station}"));
        let known = match self.splits.iter().any(|split| split.cutoff_unread) {
            true => " that is known",
            false => "",
        };
        format!("{} to make every cutoff{known}{held}{lost}", chance.text)
    }

    /// The planned finish and the one to expect.
    fn finish(&self) -> String {
        let planned = format!("{} planned", self.plan.finish);
        let Some(last) = self.splits.last() else {
            return format!("{planned}.");
        };
        let at = last
            .arrival
            .at
            .map(|_| format!(", finish {}", last.arrival.text));
        let planned = planned + &at.unwrap_or_default();
        if last.early.text == last.late.text {
            return format!("{planned}.");
        }
        let late = last.late.beside(&last.early);
        let window = format!("8 in 10 between {} and {late}", last.early.text);
        if last.likely.text == last.arrival.text {
            let hope = match self.basis {
                Basis::Hope if !self.plan.schedule.on_target => "; a hope, no result backs it",
                _ => "",
            };
            return format!("{planned}, {window}{hope}.");
        }
        let why = match self.basis {
            Basis::Hope => "no result backs the target".to_owned(),
            basis => format!("based on {}", basis.words()),
        };
        format!("{planned}. Expect {}, {window}; {why}.", last.likely.text)
    }

    /// The least time in hand on plan; nothing of a plan that nobody expects to be run.
    fn tightest(&self) -> Option<String> {
        let verdict = self.verdict;
        let (tightest, margin) = verdict.tightest.as_ref().zip(verdict.margin.as_ref())?;
        let leave = verdict.leave.as_ref().zip(verdict.leave_by.as_ref());
        let leave = leave.map_or_else(String::new, |(station, by)| {
            let effort = leave_by_effort(self.plan);
            format!(" At the {effort}, leave {station} by {}.", by.text)
        });
        let hand = match margin.text.strip_prefix('-') {
            Some(late) => format!("missed by {late}"),
            None => format!("{} in hand", margin.text.trim_start_matches('+')),
        };
        (!verdict.is_hope).then(|| format!("Tightest on plan: {tightest}, {hand}.{leave}"))
    }

    /// The warning to look at first of a plan that holds, where no danger says more.
    fn warning(&self) -> Option<&FindingFacts> {
        if !self.verdict.holds || self.dangers().next().is_some() {
            return None;
        }
        let said = |finding: &FindingFacts| finding.kind == "cutoff-unread";
        let warning = |finding: &&FindingFacts| finding.weight == "warning" && !said(finding);
        self.findings.iter().find(warning)
    }

    /// The reason why it fails with the way out; where there is none, the first warning.
    fn look_at(&self) -> Vec<String> {
        let mut failures = self.findings.iter().filter(|finding| finding.fails());
        if self.verdict.holds {
            let look = |finding: &FindingFacts| format!("Look at first: {}", told(finding));
            return self.warning().map(look).into_iter().collect();
        }
        // the opening has said the cutoff that is missed first, or else the first failure
        let said = match &self.verdict.fails_at {
            _ if self.out_of_reach() => None,
            Some(_) => self
                .findings
                .iter()
                .find(|f| f.fails() && f.kind == "cutoff-missed"),
            None => failures.clone().next(),
        };
        let mut ways: Vec<&String> = said.iter().filter_map(|f| f.ways_out.first()).collect();
        let mut lines: Vec<String> = ways.iter().map(|way| format!("→ {}", plain(way))).collect();
        for failure in failures.by_ref().take(MOST_FAILURES) {
            if said.is_some_and(|said| std::ptr::eq(said, failure)) {
                continue;
            }
            let way = failure.ways_out.first();
            // the way out of several failures is told once
            lines.push(match way.is_some_and(|way| ways.contains(&way)) {
                true => sentence(&plain(&failure.text)),
                false => sentence(&told(failure)),
            });
            ways.extend(way);
        }
        lines
    }
}

/// The effort that latest departures are counted at.
pub(super) fn leave_by_effort(plan: &Plan) -> &'static str {
    match plan.schedule.latest_as_likely {
        true => "likely effort",
        false => "planned effort",
    }
}

/// A finding with its first way out that needs no file.
fn told(finding: &FindingFacts) -> String {
    let mut ways = finding.ways_out.iter();
    match ways.find(|way| !way.contains("`[[")) {
        Some(way) => plain(&format!("{} → {way}", finding.text)),
        None => plain(&finding.text),
    }
}

/// Words without the marks around names.
fn plain(text: &str) -> String {
    text.replace('`', "")
}

/// With a capital at the front.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next();
    first.map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
