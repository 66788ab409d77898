//! Meanings of an observation on the course as planned.

use crate::arrivals::{Kind, Passage};
use crate::diagnostics::{Notes, Sources, Span};
use crate::plan::{Plan, Race};
use crate::time::Elapsed;

use super::instant::{TypedMoment, apart};
use super::observe::Observation;
use super::place;

/// An observation with everything it can mean.
pub(super) struct Sighting<'a> {
    pub(super) observation: &'a Observation,
    /// As typed.
    pub(super) time: &'a str,
    /// Station and race times, in course order; never empty, nor are the times.
    meanings: Vec<(usize, Vec<Elapsed>)>,
}

impl Sighting<'_> {
    pub(super) fn station(&self) -> usize {
        self.meanings[0].0
    }

    pub(super) fn times(&self) -> &[Elapsed] {
        &self.meanings[0].1
    }

    pub(super) fn span(&self) -> Option<Span> {
        self.observation.moment.span
    }
}

/// The plan that observations are held against.
pub(super) struct AgainstPlan<'a> {
    pub(super) race: &'a Race,
    pub(super) plan: &'a Plan,
    pub(super) sources: &'a Sources,
}

impl<'a> AgainstPlan<'a> {
    pub(super) fn sighting(
        &self,
        observation: &'a Observation,
        notes: &mut Notes,
    ) -> Option<Sighting<'a>> {
        let stations = place::candidates(&self.race.course, observation, notes);
        let span = observation.moment.span;
        let typed = span
            .and_then(|span| self.sources.get(span.file).text.get(span.start..span.end))
            .unwrap_or_default();
        let mut meanings = Vec::new();
        let mut refused = None;
        for station in stations {
            let asked = TypedMoment {
                moment: observation.moment.value,
                typed,
                span,
                clock: self.race.clock,
                planned: self.planned(station, observation.kind),
            };
            match asked.race_times() {
                Ok(times) if times.is_empty() => {}
                Ok(times) => meanings.push((station, times)),
                Err(problem) => refused = Some(problem),
            }
        }
        if meanings.is_empty() {
            if let Some(problem) = refused {
                notes.push(problem);
            }
            return None;
        }
        Some(Sighting {
            observation,
            time: typed,
            meanings,
        })
    }

    /// The planned arrival or departure.
    pub(super) fn planned(&self, station: usize, kind: Kind) -> Elapsed {
        let split = &self.plan.schedule.splits[station];
        match kind {
            Kind::Arrival => split.arrival,
            Kind::Departure => split.departure,
        }
    }

    /// Keeps, of a place passed more than once, the visit that fits those that are plain, and of
    /// several the one nearest to the plan.
    pub(super) fn choose_visits(&self, sightings: &mut [Sighting<'_>], notes: &mut Notes) {
        let plain: Vec<(usize, Elapsed)> = sightings
            .iter()
            .filter(|s| s.meanings.len() == 1)
            .map(|s| (s.station(), self.nearest(s.station(), s)))
            .collect();
        for sighting in sightings.iter_mut().filter(|s| s.meanings.len() > 1) {
            let kind = sighting.observation.kind;
            let fits = |station: usize, at: Elapsed| {
                plain.iter().all(|(there, then)| match station.cmp(there) {
                    std::cmp::Ordering::Less => at < *then,
                    std::cmp::Ordering::Equal => true,
                    std::cmp::Ordering::Greater => at > *then,
                })
            };
            let off = |station: usize, at: Elapsed| apart(at, self.planned(station, kind));
            let best = |must_fit: bool| {
                sighting
                    .meanings
                    .iter()
                    .flat_map(|(station, times)| times.iter().map(move |at| (*station, *at)))
                    .filter(|(station, at)| {
                        !must_fit || (fits(*station, *at) && *at > Elapsed::ZERO)
                    })
                    .min_by_key(|(station, at)| off(*station, *at))
            };
            let Some((station, _)) = best(true).or_else(|| best(false)) else {
                continue;
            };
            let visits = sighting.meanings.len();
            sighting.meanings.retain(|(visit, _)| *visit == station);
            notes.push(place::visit_taken(
                &self.race.course,
                station,
                visits,
                sighting.observation,
            ));
        }
    }

    /// The race time nearest to the plan.
    pub(super) fn nearest(&self, station: usize, sighting: &Sighting<'_>) -> Elapsed {
        let planned = self.planned(station, sighting.observation.kind);
        sighting
            .times()
            .iter()
            .copied()
            .min_by_key(|at| apart(*at, planned))
            .unwrap_or(planned)
    }

    /// The plan's own time where it reads the same, so that a runner who is seen on the planned
    /// minute is on plan.
    pub(super) fn event(&self, sighting: &Sighting<'_>, at: Elapsed) -> Passage {
        let station = sighting.station();
        let pacing = &self.plan.pacing;
        let planned_s = match sighting.observation.kind {
            Kind::Arrival => pacing.arrival_s[station],
            Kind::Departure => pacing.departure_s[station],
        };
        let planned = Elapsed::from_s(planned_s);
        let as_read = if sighting.observation.to_the_minute {
            planned.to_minute()
        } else {
            planned
        };
        Passage {
            station,
            kind: sighting.observation.kind,
            at_s: if as_read == at { planned_s } else { at.as_s() },
        }
    }
}
