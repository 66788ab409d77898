//! Minutes planned at stations.

use crate::course::{Course, Role};
use crate::inputs::plan_toml::StopChoice;
use crate::inputs::stations_csv::StationKind;

/// The stop at every station, seconds: what the plan says of this station, else what the station
/// list says, else the plan's stop for stations of its kind, else none. Start and finish have none.
#[must_use]
pub fn planned_stops_s(course: &Course, choice: &StopChoice) -> Vec<f64> {
    course
        .stations
        .iter()
        .map(|station| {
            let Role::Between(kind) = station.role else {
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

fn same_name(a: &str, b: &str) -> bool {
    a.trim().to_lowercase() == b.trim().to_lowercase()
}
