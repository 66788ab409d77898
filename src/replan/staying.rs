//! The way to stay in the race: the pace that just meets every cutoff ahead, with stops cut as far as
//! it takes.

use crate::arrivals::{Arrivals, Onward};
use crate::pacing::Stretch;
use crate::plan::{Plan, Race};
use crate::schedule::Schedule;

use super::effort::SoFar;

/// A way on that meets every cutoff, and no more.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Staying {
    /// Share of each planned stop ahead that is kept, 0 to 1: as much as the cutoffs allow at the
    /// pace of the race as it goes.
    pub stops_kept: f64,
    /// Level-ground speed over the plan's that just meets every cutoff with those stops.
    pub speed_ratio: f64,
    /// True where that is more than the runner goes at.
    pub is_harder: bool,
    /// The chance of making every cutoff with those stops, at what each simulated race goes at.
    pub chance: f64,
    /// The chance with the stops as planned.
    pub chance_as_planned: f64,
    /// Arrivals at that pace with those stops, and the latest departures
    /// ([`crate::schedule::Split::latest_departure`]) that still meet every later cutoff; early,
    /// likely and late are those of the race as it goes with those stops.
    pub schedule: Schedule,
}

/// More than this over the speed so far, or a smaller chance, can hardly be made even with the
/// shortest stops. Our choice.
pub const HARDLY_FASTER: f64 = 0.15;
/// See [`HARDLY_FASTER`].
pub const HARDLY_CHANCE: f64 = 0.05;

impl Staying {
    /// True where it can hardly be made by who goes at a speed ratio, even with the shortest stops.
    #[must_use]
    pub fn is_hardly_made(&self, goes_at: f64) -> bool {
        let faster = self.speed_ratio / goes_at - 1.0;
        self.stops_kept <= 0.0 && (faster > HARDLY_FASTER || self.chance < HARDLY_CHANCE)
    }
}

/// Stops are cut by so many tenths at a time.
const TENTHS: u32 = 10;

/// The demand of staying in; `anew` simulates the rest of the day run another way. `None` where no cutoff lies ahead, or nobody runs fast enough for those
/// that do.
pub(super) fn staying(
    race: &Race,
    plan: &Plan,
    so_far: &SoFar,
    anew: &dyn Fn(&Onward) -> Arrivals,
    (as_planned, as_it_goes): (&Onward, &Arrivals),
) -> Option<Staying> {
    let kept = |tenths: u32| f64::from(tenths) / f64::from(TENTHS);
    let ways = (0..=TENTHS).rev().map(|tenths| {
        let stops_s = cut(so_far, as_planned, kept(tenths));
        let leave_s = left_after(so_far, &stops_s);
        (
            tenths,
            needed(race, plan, so_far, leave_s, &stops_s),
            stops_s,
        )
    });
    let enough = so_far.shown.speed_ratio;
    let mut last = None;
    for (tenths, speed_ratio, stops_s) in ways {
        let is_enough = matches!(speed_ratio, Demand::Speed(ratio) if ratio <= enough);
        last = Some((tenths, speed_ratio, stops_s));
        if is_enough || matches!(speed_ratio, Demand::Nothing) {
            break;
        }
    }
    let (tenths, Demand::Speed(speed_ratio), stops_s) = last? else {
        return None;
    };
    let mut resumed = so_far.resumed.clone();
    resumed.speed_ratios[so_far.station..].fill(speed_ratio);
    resumed.stops_s.clone_from(&stops_s);
    let pacing = plan.pacing.resumed(&race.conditions, &resumed);
    let onward = Onward {
        stops_s,
        ..as_planned.clone()
    };
    let arrivals = anew(&onward);
    Some(Staying {
        stops_kept: kept(tenths),
        speed_ratio,
        is_harder: speed_ratio > enough,
        chance: arrivals.chance?,
        chance_as_planned: as_it_goes.chance?,
        schedule: race.scheduled(&pacing, &arrivals),
    })
}

/// The demand of the cutoffs ahead.
#[derive(Clone, Copy)]
enum Demand {
    /// There are none.
    Nothing,
    /// A multiple of the plan's level-ground speed.
    Speed(f64),
    /// More than anyone runs.
    TooMuch,
}

/// The stops ahead cut to a share; that of the station where the runner stands, too.
fn cut(so_far: &SoFar, as_planned: &Onward, kept: f64) -> Vec<f64> {
    let mut stops_s = so_far.resumed.stops_s.clone();
    let first = so_far.station + usize::from(so_far.has_left);
    for (stop_s, planned_s) in stops_s.iter_mut().zip(&as_planned.stops_s).skip(first) {
        *stop_s = kept * planned_s;
    }
    stops_s
}

/// Departures with these stops.
fn left_after(so_far: &SoFar, stops_s: &[f64]) -> f64 {
    if so_far.has_left {
        return so_far.leave_s;
    }
    let here = so_far.station;
    so_far.leave_s - so_far.resumed.stops_s[here] + stops_s[here]
}

fn needed(race: &Race, plan: &Plan, so_far: &SoFar, leave_s: f64, stops_s: &[f64]) -> Demand {
    let mut most: Option<f64> = None;
    let ahead = race.limits.iter().enumerate().skip(so_far.station + 1);
    for (station, limit) in ahead {
        let Some(limit) = limit else { continue };
        let stretch = Stretch {
            from: so_far.station,
            leave_s,
            to: station,
            stops_s,
        };
        let by_s = limit.elapsed.as_s();
        let ratio = (by_s > leave_s)
            .then(|| plan.pacing.speed_ratio(&race.conditions, &stretch, by_s))
            .flatten();
        let Some(ratio) = ratio else {
            return Demand::TooMuch;
        };
        most = Some(most.map_or(ratio, |most| most.max(ratio)));
    }
    most.map_or(Demand::Nothing, Demand::Speed)
}
