//! Feats that no runner does: being there before the start, going back in time, flying.

use crate::arrivals::{Kind, Passage};
use crate::diagnostics::{Diagnostic, Notes};
use crate::inputs::limits::LONGEST_RACE_H;
use crate::pacing::FASTEST_LEVEL_MPS;
use crate::time::Elapsed;

use super::instant::apart;
use super::moment::WrittenTime;
use super::sighting::{AgainstPlan, Sighting};

/// Further from the plan than this, a clock time without a day is worth a word.
const FAR: Elapsed = Elapsed::from_secs(6 * 3600);

/// Says what is wrong with events in course order, all of it.
pub(super) fn all(
    against: &AgainstPlan<'_>,
    sightings: &[Sighting<'_>],
    events: &[Passage],
    notes: &mut Notes,
) {
    for (index, (sighting, event)) in sightings.iter().zip(events).enumerate() {
        let pair = Pair {
            against,
            before: index.checked_sub(1).map(|b| (&sightings[b], &events[b])),
            sighting,
            event,
        };
        if let Some(problem) = pair.problem() {
            notes.push(problem);
        }
    }
    let last = sightings.iter().zip(events).next_back();
    if let Some((sighting, event)) = last
        && event.station + 1 == against.race.course.stations.len()
        && !notes.has_errors()
    {
        let finish = &against.race.course.stations[event.station].name;
        notes.push(
            Diagnostic::error(format!("`{finish}` is the finish: nothing is left to plan"))
                .at(sighting.span(), "expected a station before it")
                .hint("`sutler debrief` with the recording of the race says how it went"),
        );
    }
}

/// An event and the one before it.
struct Pair<'a> {
    against: &'a AgainstPlan<'a>,
    before: Option<(&'a Sighting<'a>, &'a Passage)>,
    sighting: &'a Sighting<'a>,
    event: &'a Passage,
}

impl Pair<'_> {
    fn problem(&self) -> Option<Diagnostic> {
        let event = self.event;
        let is_early = event.at_s < 0.0 || (event.station > 0 && event.at_s <= 0.0);
        let is_twin = |b: &Passage| (b.station, b.kind) == (event.station, event.kind);
        match self.before {
            Some((_, b)) if is_twin(b) => Some(self.twice()),
            _ if is_early => Some(self.before_start()),
            _ if event.at_s > (LONGEST_RACE_H * 3600) as f64 => Some(self.endless()),
            Some((sighting, b)) if b.at_s > event.at_s => Some(self.out_of_order(sighting, b)),
            _ => (self.too_fast())
                .or_else(|| self.another_day())
                .or_else(|| self.far()),
        }
    }

    fn name(&self, station: usize) -> &str {
        &self.against.race.course.stations[station].name
    }

    fn show(&self, event: &Passage) -> String {
        self.against.plan.schedule.show(event.at())
    }

    fn twice(&self) -> Diagnostic {
        let (flag, what) = match self.event.kind {
            Kind::Arrival => ("--seen", "reached"),
            Kind::Departure => ("--left", "left"),
        };
        Diagnostic::error(format!(
            "`{}` is {what} twice",
            self.name(self.event.station)
        ))
        .at(
            self.sighting.observation.station.span,
            format!("expected one {flag} for each station"),
        )
        .hint("a place that is passed again has a station for each visit")
    }

    fn before_start(&self) -> Diagnostic {
        let start = self.against.plan.schedule.show(Elapsed::ZERO);
        Diagnostic::error(format!(
            "`{}` at {} is before the start",
            self.name(self.event.station),
            self.show(self.event)
        ))
        .at(
            self.sighting.span(),
            format!("expected a time after {start}"),
        )
        .hint("name the day, such as `Sun 02:31`, where another is meant")
    }

    fn endless(&self) -> Diagnostic {
        Diagnostic::error(format!(
            "`{}` is reached {} h after the start",
            self.name(self.event.station),
            self.event.at().as_secs() / 3600
        ))
        .at(
            self.sighting.span(),
            format!("expected at most {LONGEST_RACE_H} h after the start"),
        )
    }

    fn out_of_order(&self, sighting: &Sighting<'_>, before: &Passage) -> Diagnostic {
        let did = |event: &Passage| match event.kind {
            Kind::Arrival => "reached",
            Kind::Departure => "left",
        };
        let (here, there) = (self.name(self.event.station), self.name(before.station));
        let earlier = if before.station == self.event.station {
            "it".to_owned()
        } else {
            format!("`{there}`")
        };
        Diagnostic::error(format!(
            "`{here}` is {} at {}, before {earlier} is {}",
            did(self.event),
            self.show(self.event),
            did(before)
        ))
        .at(
            self.sighting.span(),
            format!("expected a time after {}", self.show(before)),
        )
        .hint(format!(
            "one of the two is wrong: `{there}` at `{}` or `{here}` at `{}`",
            sighting.time, self.sighting.time
        ))
    }

    /// Faster than anyone runs, even without a single stop.
    fn too_fast(&self) -> Option<Diagnostic> {
        let event = self.event;
        let (from, from_s) = self.before.map_or((0, 0.0), |(_, b)| (b.station, b.at_s));
        let segments = &self.against.plan.pacing.segments[from..event.station];
        let effort_m: f64 = segments.iter().map(|s| s.effort_m).sum();
        let least_s = effort_m / FASTEST_LEVEL_MPS;
        if effort_m <= 0.0 || event.at_s - from_s >= least_s {
            return None;
        }
        let soonest = Elapsed::from_secs(((from_s + least_s) / 60.0).ceil() as i64 * 60);
        Some(
            Diagnostic::error(format!(
                "{} is too fast from `{}` to `{}`",
                Elapsed::from_s(event.at_s - from_s),
                self.name(from),
                self.name(event.station)
            ))
            .at(
                self.sighting.span(),
                format!(
                    "expected {} or later: {FASTEST_LEVEL_MPS} m/s on level ground",
                    self.against.plan.schedule.show(soonest)
                ),
            )
            .hint("is it another station, or another visit to the place?"),
        )
    }

    /// A day that was typed and is not the one that is meant: the clock time of another is near the
    /// plan. Time since the start is taken as it is.
    fn another_day(&self) -> Option<Diagnostic> {
        const DAY: Elapsed = Elapsed::from_secs(24 * 3600);
        let (sighting, event) = (self.sighting, self.event);
        let is_dated = !matches!(
            sighting.observation.moment.value,
            WrittenTime::Since(_) | WrittenTime::Clock { day: None, .. }
        );
        let planned = self.against.planned(event.station, event.kind);
        let off = apart(event.at(), planned);
        let schedule = &self.against.plan.schedule;
        let clock = schedule.clock.filter(|_| is_dated)?;
        let is_late = event.at() > planned;
        let moved = |hours: i64| {
            let by = Elapsed::from_secs(hours * 3600);
            if is_late {
                event.at() - by
            } else {
                event.at() + by
            }
        };
        // a day is an hour longer or shorter where the clocks change
        let reads = |at: Elapsed| clock.at(at).time();
        let days = [24, 25, 23].map(moved);
        let same = days.iter().find(|at| reads(**at) == reads(event.at()));
        let (side, nearer) = (if is_late { "after" } else { "before" }, *same?);
        if off < DAY - FAR || apart(nearer, planned) > off || nearer <= Elapsed::ZERO {
            return None;
        }
        let name = self.name(event.station);
        Some(
            Diagnostic::error(format!(
                "`{name}` at {} is {off} {side} the plan",
                self.show(event)
            ))
            .at(
                sighting.span(),
                format!(
                    "expected a day nearer to the plan, such as {}",
                    clock.show(nearer)
                ),
            )
            .hint(format!(
                "if it is right, give the time since the start: `+{}`",
                event.at()
            )),
        )
    }

    /// A clock time so far from the plan that another day may be meant.
    fn far(&self) -> Option<Diagnostic> {
        let (sighting, event) = (self.sighting, self.event);
        let is_clock = matches!(
            sighting.observation.moment.value,
            WrittenTime::Clock { day: None, .. }
        );
        let planned = self.against.planned(event.station, event.kind);
        let off = apart(event.at(), planned);
        if !is_clock || self.against.race.clock.is_none() || off <= FAR {
            return None;
        }
        let side = if event.at() > planned {
            "after"
        } else {
            "before"
        };
        Some(
            Diagnostic::warning(format!(
                "`{}` is taken as {}, {off} {side} the plan",
                sighting.time,
                self.show(event)
            ))
            .at(sighting.span(), "the nearest to the plan")
            .hint("name the day, such as `Sun 02:31`, where another is meant"),
        )
    }
}
