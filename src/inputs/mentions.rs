//! Names that one file uses and another one has to know.

use std::collections::BTreeMap;

use crate::diagnostics::{Diagnostic, Notes, Severity, Sources, Span, Spanned};

use super::values::{did_you_mean, folded, quoted};
use super::{CrewFile, Inputs};

/// What every station has without a word in the pantry.
const WATER: &str = "water";
/// Where every course begins and ends, named or not.
const ENDS: [&str; 2] = ["Start", "Finish"];
/// So many other lines are named in a hint.
const LINES_NAMED: usize = 5;

/// Checks every name that is used against the names there are.
pub(super) fn check(inputs: &Inputs, routed: bool, sources: &Sources, notes: &mut Notes) {
    if !inputs.pantry.is_empty() {
        let foods = inputs.pantry.iter().map(|food| food.name.value.as_str());
        let known = Known::of("a food in `pantry.csv`", foods.chain([WATER]));
        let offers = inputs.stations.iter().flat_map(|station| &station.offers);
        known.check("offered", offers.map(mention), sources, notes);
    }
    if !inputs.gear.is_empty() {
        let items = inputs.gear.iter().map(|item| item.name.value.as_str());
        let known = Known {
            severity: Severity::Warning,
            ..Known::of("a row in `gear.csv`", items)
        };
        let kit = inputs.course.mandatory_kit.iter();
        known.check("mandatory", kit.map(mention), sources, notes);
    }
    let stations = station_names(inputs);
    // Where the list could not be read, each name would be called unknown for nothing.
    if !routed || stations.is_empty() {
        return;
    }
    let known = Known::of("a station of the course", stations.into_iter().chain(ENDS));
    let stops = inputs.plan.stops.at.iter().map(|(name, _)| name);
    known.check("given a stop", stops.map(mention), sources, notes);
    let after = inputs.gear.iter().filter_map(|item| item.after.as_ref());
    known.check("where gear is put on", after.map(mention), sources, notes);
    let weather = inputs.weather.iter().filter_map(|row| {
        let place = row.place.as_deref()?;
        Some((place, within(sources, row.span?, place)))
    });
    known.check("given a forecast", weather, sources, notes);
    if let Some(crew) = &inputs.crew {
        let drives = crew
            .drives
            .iter()
            .flat_map(|drive| [&drive.from, &drive.to]);
        known.check("driven to", drives.map(mention), sources, notes);
        let pacers = crew
            .pacers
            .iter()
            .flat_map(|pacer| [&pacer.from, &pacer.to]);
        known.check(
            "where a pacer joins or stops",
            pacers.map(mention),
            sources,
            notes,
        );
        let bring = crew.bring.iter().map(|(place, _)| place);
        known.check(
            "where things are brought",
            bring.map(mention),
            sources,
            notes,
        );
        pacers_forward(crew, inputs, notes);
    }
}

/// The names of stations and places, or of the waypoints that stand in for them.
fn station_names(inputs: &Inputs) -> Vec<&str> {
    if inputs.stations.is_empty() {
        let waypoints = inputs.track.waypoints.iter();
        return waypoints.map(|point| point.name.value.as_str()).collect();
    }
    let rows = inputs.stations.iter();
    rows.flat_map(|row| [row.name.value.as_str(), row.place.as_str()])
        .collect()
}

type Mention<'a> = (&'a str, Option<Span>);

fn mention(name: &Spanned<String>) -> Mention<'_> {
    (&name.value, name.span)
}

/// Names that may be used.
struct Known<'a> {
    what: &'static str,
    names: BTreeMap<String, &'a str>,
    severity: Severity,
}

impl<'a> Known<'a> {
    fn of(what: &'static str, names: impl Iterator<Item = &'a str>) -> Self {
        Known {
            what,
            names: names.map(|name| (folded(name), name)).collect(),
            severity: Severity::Error,
        }
    }

    /// Reports each unknown name once, with the other lines it is on.
    fn check<'m>(
        &self,
        used: &str,
        mentions: impl Iterator<Item = Mention<'m>>,
        sources: &Sources,
        notes: &mut Notes,
    ) {
        let mut unknown: Vec<(Mention<'m>, Vec<Span>)> = Vec::new();
        let mut seen: BTreeMap<String, usize> = BTreeMap::new();
        for (name, span) in mentions {
            let key = folded(name);
            if self.names.contains_key(&key) {
                continue;
            }
            match seen.get(&key).and_then(|at| unknown.get_mut(*at)) {
                Some((_, others)) => others.extend(span),
                None => {
                    seen.insert(key, unknown.len());
                    unknown.push(((name, span), Vec::new()));
                }
            }
        }
        for ((name, span), others) in unknown {
            let near = did_you_mean(name, self.names.values().copied());
            let hints: Vec<String> = near.into_iter().chain(also(&others, sources)).collect();
            notes.push(Diagnostic {
                severity: self.severity,
                hint: (!hints.is_empty()).then(|| hints.join("; ")),
                ..Diagnostic::error(format!("{} is {used} and nowhere described", quoted(name)))
                    .at(span, format!("expected {}", self.what))
            });
        }
    }
}

fn also(others: &[Span], sources: &Sources) -> Option<String> {
    let mut lines: Vec<usize> = others
        .iter()
        .take(LINES_NAMED)
        .map(|span| sources.position(*span).0)
        .collect();
    lines.dedup();
    let shown: Vec<String> = lines.iter().map(usize::to_string).collect();
    let (word, more) = (
        if lines.len() == 1 { "line" } else { "lines" },
        if others.len() > LINES_NAMED {
            " and more"
        } else {
            ""
        },
    );
    (!shown.is_empty()).then(|| format!("also on {word} {}{more}", shown.join(", ")))
}

/// Where a name stands in a row.
fn within(sources: &Sources, row: Span, name: &str) -> Option<Span> {
    let text = sources.get(row.file).text.get(row.start..row.end)?;
    let Some(at) = text.find(name) else {
        return Some(row);
    };
    Some(Span {
        start: row.start + at,
        end: row.start + at + name.len(),
        ..row
    })
}

/// A pacer runs in the direction of the course.
fn pacers_forward(crew: &CrewFile, inputs: &Inputs, notes: &mut Notes) {
    let visits = |name: &str| {
        let name = folded(name);
        let rows = inputs.stations.iter().enumerate();
        rows.filter(move |(_, row)| folded(&row.name.value) == name || folded(&row.place) == name)
            .map(|(at, _)| at)
    };
    for pacer in &crew.pacers {
        let first = visits(&pacer.from.value).next();
        let last = visits(&pacer.to.value).last();
        let (Some(from), Some(to)) = (first, last) else {
            continue;
        };
        if to <= from {
            let (name, start) = (quoted(&pacer.name), quoted(&pacer.from.value));
            notes.push(
                Diagnostic::error(format!(
                    "{name} is to pace from {start} back to {}",
                    quoted(&pacer.to.value)
                ))
                .at(pacer.to.span, format!("expected a station after {start}")),
            );
        }
    }
}
