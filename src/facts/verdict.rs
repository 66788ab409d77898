//! The verdict: does the plan hold, how likely, where is it tightest, leave where by when.

use super::found::FindingFacts;
use super::splits::SplitFacts;
use super::value::{Measure, Moment, record};

record! {
    /// The verdict: does the plan hold, how likely, where is it tightest.
    pub struct VerdictFacts {
        /// Whether every cutoff is met on plan and everything can be carried.
        pub holds: bool,
        /// Whether it holds with little to spare: a chance below 80 % or a close cutoff.
        pub narrowly: bool,
        /// The chance of making every cutoff; nothing where there are none.
        pub chance: Option<Measure>,
        /// The first station whose cutoff is missed on plan.
        pub fails_at: Option<String>,
        /// The station with the least time in hand on plan.
        pub tightest: Option<String>,
        /// The time in hand there.
        pub margin: Option<Measure>,
        /// The station to leave before that cutoff is lost.
        pub leave: Option<String>,
        /// When to leave it at the latest.
        pub leave_by: Option<Moment>,
        /// All of it in words, a line each.
        pub lines: Vec<String>,
    }
}

/// So many failures are told besides a missed cutoff.
const MOST_FAILURES: usize = 3;

impl VerdictFacts {
    /// The verdict on a target, its splits and what was found.
    pub(super) fn of(
        target: &str,
        splits: &[SplitFacts],
        findings: &[FindingFacts],
    ) -> VerdictFacts {
        let is_limited = |split: &&SplitFacts| split.margin.is_some();
        let limited = || splits.iter().filter(is_limited);
        let seconds = |split: &&SplitFacts| split.margin.as_ref().map(|m| m.value as i64);
        let tightest = limited().min_by_key(seconds);
        // the last station before it that can still be left in time
        let leave = tightest.and_then(|tight| {
            let before = splits.iter().rev().skip_while(|split| *split != tight);
            before
                .skip(1)
                .find(|split| split.latest_departure.is_some())
        });
        let missed = limited().find(|split| split.margin_is == Some("missed"));
        let last = splits.iter().rfind(is_limited);
        let doubtful = last.is_some_and(|split| split.chance_is != Some("good"));
        let close = tightest.is_some_and(|split| split.margin_is == Some("close"));
        let mut verdict = VerdictFacts {
            holds: !findings.iter().any(FindingFacts::fails),
            narrowly: doubtful || close,
            chance: last.and_then(|split| split.chance_so_far.clone()),
            fails_at: missed.map(|split| split.station.clone()),
            tightest: tightest.map(|split| split.station.clone()),
            margin: tightest.and_then(|split| split.margin.clone()),
            leave: leave.map(|split| split.station.clone()),
            leave_by: leave.and_then(|split| split.latest_departure.clone()),
            lines: Vec::new(),
        };
        verdict
            .lines
            .push(verdict.opening(target, splits, findings));
        verdict.lines.push(verdict.cutoffs());
        verdict.lines.extend(verdict.look_at(findings));
        verdict
    }

    /// Whether it holds, with the target, or where it fails.
    fn opening(&self, target: &str, splits: &[SplitFacts], findings: &[FindingFacts]) -> String {
        if let Some(station) = &self.fails_at {
            let missed = splits.iter().find(|split| split.station == *station);
            let late = missed.and_then(|split| split.margin.as_ref());
            let late = late.map_or("", |margin| margin.text.trim_start_matches('-'));
            return format!("Fails at {station}: {late} late on plan. {target} planned.");
        }
        if let Some(failure) = findings.iter().find(|finding| finding.fails()) {
            return format!("Fails: {}. {target} planned.", failure.text);
        }
        let holds = if self.narrowly {
            "Holds, narrowly"
        } else {
            "Holds"
        };
        let finish = splits.last().map_or_else(String::new, finish);
        format!("{holds}. {target} planned{finish}.")
    }

    fn cutoffs(&self) -> String {
        let (Some(tightest), Some(margin)) = (&self.tightest, &self.margin) else {
            return "No cutoffs are known.".to_owned();
        };
        let chance = self.chance.as_ref();
        let chance = chance.map_or_else(String::new, |chance| {
            format!("All cutoffs made: {}. ", chance.text)
        });
        let leave = self.leave.as_ref().zip(self.leave_by.as_ref());
        let leave = leave.map_or_else(String::new, |(station, by)| {
            format!("; leave {station} by {}", by.text)
        });
        format!(
            "{chance}Tightest: {tightest}, {} on plan{leave}.",
            margin.text
        )
    }

    /// What makes it fail with the way out; where nothing does, the first warning.
    fn look_at(&self, findings: &[FindingFacts]) -> Vec<String> {
        if self.holds {
            let warning = findings.iter().find(|finding| finding.weight == "warning");
            let look = |finding: &FindingFacts| format!("Look at first: {}", told(finding));
            return warning.map(look).into_iter().collect();
        }
        let mut ways: Vec<&String> = Vec::new();
        let mut lines = Vec::new();
        for failure in findings
            .iter()
            .filter(|finding| finding.fails())
            .take(MOST_FAILURES)
        {
            let known = failure
                .ways_out
                .first()
                .is_some_and(|way| ways.contains(&way));
            // the way out of several failures is told once
            lines.push(if known {
                failure.text.clone()
            } else {
                told(failure)
            });
            ways.extend(failure.ways_out.first());
        }
        lines
    }
}

/// A finding with its first way out.
fn told(finding: &FindingFacts) -> String {
    match finding.ways_out.first() {
        Some(way) => format!("{} → {way}", finding.text),
        None => finding.text.clone(),
    }
}

/// The finish on the clock and its window, where they are known.
fn finish(last: &SplitFacts) -> String {
    let at = last
        .arrival
        .at
        .map(|_| format!(", finish {}", last.arrival.text));
    let (early, late) = (&last.early, &last.late);
    let window = (early.text != late.text).then(|| {
        let late = late.beside(early);
        format!(", 8 in 10 between {} and {late}", early.text)
    });
    at.into_iter().chain(window).collect()
}
