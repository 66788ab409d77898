//! Pacers: who runs along from where to where, and whether they may.

use crate::course::{Course, StationRole};
use crate::findings::{About, Finding, FindingKind, Weight};
use crate::inputs::CrewFile;
use crate::inputs::crew_toml::Pacer;
use crate::units::Phrase;
use crate::words::same_name;

/// One pacer's stretch, by station.
#[derive(Clone, Debug, PartialEq)]
pub struct Stint {
    /// The pacer.
    pub name: String,
    /// The station where they join.
    pub from: usize,
    /// The station where they stop.
    pub to: usize,
}

/// The stints that can be made out, and what is wrong with any.
pub(super) fn stints(course: &Course, crew: &CrewFile) -> (Vec<Stint>, Vec<Finding>) {
    let mut findings = Vec::new();
    let mut stints: Vec<Stint> = Vec::new();
    for pacer in &crew.pacers {
        match stint(course, pacer) {
            Ok(stint) => stints.push(stint),
            Err(finding) => findings.push(*finding),
        }
    }
    for stint in &stints {
        findings.extend(not_allowed(course, stint));
    }
    findings.extend(two_at_once(course, &stints));
    (stints, findings)
}

/// The first station called `from`, and the first one called `to` after it.
fn stint(course: &Course, pacer: &Pacer) -> Result<Stint, Box<Finding>> {
    let stations = || course.stations.iter().enumerate();
    let called = |name: &str, wanted: &str| same_name(name, wanted);
    let (name, from, to) = (&pacer.name, &pacer.from.value, &pacer.to.value);
    let Some((start, _)) = stations().find(|(_, s)| called(&s.name, from)) else {
        return Err(unknown_station(name, from));
    };
    let end = stations().find(|(i, s)| *i > start && called(&s.name, to));
    match end {
        Some((end, _)) => Ok(Stint {
            name: name.clone(),
            from: start,
            to: end,
        }),
        None if stations().any(|(_, s)| called(&s.name, to)) => {
            let says = format!(
                "`{name}` joins at `{from}` and should stop at `{to}`, which comes before it"
            );
            Err(Box::new(
                Finding::new(
                    FindingKind::PacerBackwards,
                    Weight::Warning,
                    About::Station(start),
                    Phrase::new(says),
                )
                .way_out(Phrase::new("swap `from` and `to` of the pacer")),
            ))
        }
        None => Err(unknown_station(name, to)),
    }
}

fn unknown_station(pacer: &str, station: &str) -> Box<Finding> {
    let says = format!("pacer `{pacer}`: no station is called `{station}`");
    Box::new(Finding::new(
        FindingKind::PacerStationUnknown,
        Weight::Warning,
        About::Race,
        Phrase::new(says),
    ))
}

/// A pacer who joins where the organiser allows none.
fn not_allowed(course: &Course, stint: &Stint) -> Option<Finding> {
    let from = &course.stations[stint.from];
    if from.pacer {
        return None;
    }
    let says = format!(
        "`{}` should join at `{}`, where the organiser allows no pacer",
        stint.name, from.name
    );
    let about = About::Station(stint.from);
    let finding = Finding::new(
        FindingKind::PacerNotAllowed,
        Weight::Warning,
        about,
        Phrase::new(says),
    );
    let allowed = |range: std::ops::Range<usize>| {
        let mut stations = range.map(|i| &course.stations[i]);
        stations.find(|s| s.pacer).map(|s| &s.name)
    };
    let later = allowed(stint.from + 1..stint.to);
    Some(match later {
        Some(name) => finding.way_out(Phrase::new(format!("join at `{name}`, where one may"))),
        None => finding.way_out(Phrase::new(
            "ask the organiser, and set `pacer` of the station",
        )),
    })
}

/// Two pacers on the same segment, which many rules forbid (common practice, no source).
fn two_at_once(course: &Course, stints: &[Stint]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (index, one) in stints.iter().enumerate() {
        for other in &stints[index + 1..] {
            let from = one.from.max(other.from);
            if from < one.to.min(other.to) {
                let says = format!(
                    "`{}` and `{}` both run along from `{}`: check that the rules allow two",
                    one.name, other.name, course.stations[from].name
                );
                let about = About::Station(from);
                findings.push(Finding::new(
                    FindingKind::TwoPacers,
                    Weight::Note,
                    about,
                    Phrase::new(says),
                ));
            }
        }
    }
    findings
}

/// The stints of pacers who still get to where they join, and what is said of the others.
pub(super) fn able_to_join(
    course: &Course,
    stints: Vec<Stint>,
    is_lost: &dyn Fn(usize) -> bool,
) -> (Vec<Stint>, Vec<Finding>) {
    let (stranded, able): (Vec<Stint>, Vec<Stint>) =
        stints.into_iter().partition(|stint| is_lost(stint.from));
    let say = |stint: &Stint| {
        let name = |station: usize| &course.stations[station].name;
        let says = format!(
            "`{}` cannot join at `{}`, as the crew does not get there: the runner is alone to `{}`",
            stint.name,
            name(stint.from),
            name(stint.to)
        );
        let finding = Finding::new(
            FindingKind::PacerCannotJoin,
            Weight::Warning,
            About::Station(stint.from),
            Phrase::new(says),
        );
        let open = |at: &usize| {
            let station = &course.stations[*at];
            station.pacer && station.crew && !is_lost(*at)
        };
        match (stint.from + 1..stint.to).find(open) {
            Some(later) => finding.way_out(Phrase::new(format!("join at `{}`", name(later)))),
            None => finding.way_out(Phrase::new("find a lift that does not go with the crew")),
        }
    };
    let findings = stranded.iter().map(say).collect();
    (able, findings)
}

/// Pacers who join or stop at a station where the crew is not.
pub(super) fn without_a_lift(
    course: &Course,
    stints: &[Stint],
    met: &[usize],
    is_lost: &dyn Fn(usize) -> bool,
) -> Vec<Finding> {
    let mut findings = Vec::new();
    for stint in stints {
        for (station, does) in [(stint.from, "joins"), (stint.to, "stops")] {
            let spot = &course.stations[station];
            if met.contains(&station) || spot.role == StationRole::Start {
                continue;
            }
            let (why, weight) = if is_lost(station) {
                ("does not get to", Weight::Warning)
            } else {
                ("may not be", Weight::Note)
            };
            let says = format!(
                "`{}` {does} at `{}`, where the crew {why}",
                stint.name, spot.name
            );
            let about = About::Station(station);
            findings.push(
                Finding::new(
                    FindingKind::PacerWithoutLift,
                    weight,
                    about,
                    Phrase::new(says),
                )
                .way_out(Phrase::new(
                    "arrange a lift, or choose a station with crew access",
                )),
            );
        }
    }
    findings
}
