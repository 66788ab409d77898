//! Gear that lies where nobody can get at it: in a bag that did not come, with a crew stuck on a road.

use crate::findings::{About, Finding, FindingKind, Weight};
use crate::inputs::Inputs;
use crate::inputs::gear_csv::GearRule;
use crate::plan::{Plan, Race};
use crate::units::Phrase;
use crate::words::same_name;

/// Gear that a plan takes out of a bag or from a crew that does not come.
pub(crate) fn lost_gear(race: &Race, plan: &Plan, station: usize) -> Vec<String> {
    let place = race.course.stations[station].place;
    let mut gear: Vec<String> = Vec::new();
    if race.losses.bags.contains(&place) {
        let visits = plan.packing.bags.iter().flat_map(|bag| &bag.visits);
        let here = visits.filter(|visit| visit.station == station);
        gear.extend(here.flat_map(|visit| visit.gear.clone()));
    }
    if race.losses.crew.contains(&place) {
        let handovers = plan.packing.handovers.iter();
        let here = handovers.filter(|handover| handover.station == station);
        gear.extend(here.flat_map(|handover| handover.gear.clone()));
    }
    gear
}

/// A piece that is needed from a station on, where it did not come.
pub(crate) fn gear_lost(race: &Race, inputs: &Inputs, gear: &str, station: usize) -> Finding {
    let is_it = |name: &str| same_name(name, gear);
    let is_kit = race.course.mandatory_kit.iter().any(|kit| is_it(kit));
    let rule = inputs.gear.iter().find(|item| is_it(&item.name.value));
    let keeps_safe = rule.is_none_or(|item| {
        use GearRule::{Always, Cold, Dark, Rain};
        matches!(item.when, Always | Cold | Dark | Rain)
    });
    let weight = if is_kit || keeps_safe {
        Weight::Failure
    } else {
        Weight::Warning
    };
    let name = &race.course.stations[station].name;
    let mandatory = if is_kit { "; mandatory kit" } else { "" };
    let way = match weight {
        Weight::Failure => {
            "borrow one there or have the crew bring it; without it stay where it is safe and ask \
             the officials before going on"
        }
        _ => "borrow one there, have the crew bring it, or do without",
    };
    let says = format!("`{gear}` was to be taken up at `{name}` and is missing{mandatory}");
    Finding::new(
        FindingKind::GearLost,
        weight,
        About::Station(station),
        Phrase::new(says),
    )
    .way_out(Phrase::new(way))
}

/// All of that from a station on.
pub(super) fn all_lost_gear(race: &Race, plan: &Plan, from: usize) -> Vec<String> {
    let stations = from..race.course.stations.len();
    stations
        .flat_map(|station| lost_gear(race, plan, station))
        .collect()
}

/// Gear that is in nobody's hands when it is needed; against the sun and for comfort it is done
/// without.
pub(super) fn gear_ahead(
    race: &Race,
    inputs: &Inputs,
    gear: &str,
    station: Option<usize>,
) -> Option<Finding> {
    let mut own = inputs.gear.iter();
    let item = own.find(|item| item.name.value == gear);
    let for_comfort = [GearRule::Sun, GearRule::Heat, GearRule::AfterStation];
    if item.is_some_and(|item| for_comfort.contains(&item.when)) {
        return None;
    }
    let (says, about) = match station {
        Some(station) => {
            let name = &race.course.stations[station].name;
            (
                format!("`{gear}` is needed before `{name}`, where the plan takes it up"),
                About::Station(station),
            )
        }
        None => (
            format!("`{gear}` is needed, and the plan takes it nowhere"),
            About::Race,
        ),
    };
    let finding = Finding::new(
        FindingKind::GearAhead,
        Weight::Warning,
        about,
        Phrase::new(says),
    );
    Some(finding.way_out(Phrase::new(
        "have the crew bring it, stay with runners who have one, or wait where it is safe",
    )))
}
