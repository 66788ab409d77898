//! Time stood still: minutes planned at stations, and what runners stand besides.

use crate::course::{Course, StationRole};
use crate::inputs::plan_toml::StopChoice;
use crate::inputs::stations_csv::StationKind;
use crate::time::S_PER_HOUR;
use crate::words::same_name;

/// The stop at every station, seconds: what the plan says of this station, else what the station
/// list says, else the plan's stop for stations of its kind, else none. Start and finish have none.
#[must_use]
pub fn planned_stops_s(course: &Course, choice: &StopChoice) -> Vec<f64> {
    course
        .stations
        .iter()
        .map(|station| {
            let StationRole::Between(kind) = station.role else {
                return 0.0;
            };
            let own = choice
                .at
                .iter()
                .find(|(name, _)| same_name(&name.value, &station.name));
            let by_kind = match kind {
                _ if station.drop_bag && choice.drop_bag_s.is_some() => &choice.drop_bag_s,
                StationKind::Aid => &choice.aid_s,
                StationKind::Water => &choice.water_s,
                StationKind::Checkpoint | StationKind::CrewOnly => &None,
            };
            own.map(|(_, seconds)| *seconds)
                .or(station.stop_s)
                .or(by_kind.as_ref().map(|s| s.value))
                .unwrap_or(0.0)
        })
        .collect()
}

/// The share of a finish time that is usually stood still, by its hours: `11 % (1 - e^(-h / 10 h))`.
///
/// Counted on 25 public recordings of 2 to 37 h: stretches of more than a minute below 0.3 m/s.
/// Single runs differ from it by 3 points on average, which is why a runner's own figure is worth
/// having. Elsewhere: 6.7 % of 24 h (Bossi 2017, doi 10.1123/ijspp.2016-0237), and the more a
/// runner of a 106-km race stood, the slower the whole race (r = -0.77; Kerhervé et al. 2015,
/// PMC4687124).
///
/// ```
/// use sutler::pacing::usual_stop_share;
/// assert!(usual_stop_share(3.0) < 0.03 && usual_stop_share(30.0) > 0.10);
/// ```
#[must_use]
pub fn usual_stop_share(hours: f64) -> f64 {
    0.11 * (1.0 - (-hours.max(0.0) / 10.0).exp())
}

/// The share of the time stood still that lies before a share of the distance.
///
/// Quarters of the distance hold 13, 29, 34 and 24 % of it, as on recordings of more than 30 h;
/// shorter ones stand even less in the first quarter. Spreading it evenly would be worth nothing:
/// no split gets better by it.
#[must_use]
pub(super) fn stood_before(share_of_distance: f64) -> f64 {
    const AT_QUARTERS: [f64; 5] = [0.0, 0.13, 0.42, 0.76, 1.0];
    let place = share_of_distance.clamp(0.0, 1.0) * 4.0;
    let quarter = (place as usize).min(3);
    let (before, after) = (AT_QUARTERS[quarter], AT_QUARTERS[quarter + 1]);
    before + (after - before) * (place - quarter as f64)
}

/// Time that a runner stands beyond the stops that a plan names, seconds.
///
/// Their usual time for such a finish, by their own multiplier, less the planned stops: a plan
/// that names them all leaves nothing.
pub(super) fn beyond_planned_s(multiplier: f64, finish_h: f64, planned_s: f64) -> f64 {
    let stood_h = multiplier * usual_stop_share(finish_h) * finish_h;
    (stood_h * S_PER_HOUR - planned_s).max(0.0)
}
