//! Names that one file uses and another one has to know.

use std::collections::BTreeMap;

use crate::diagnostics::{Diagnostic, Notes, Severity, Sources, Span, Spanned, did_you_mean};
use crate::words::{folded, plural};

use super::pantry_csv::FoodKind;
use super::rhythm::PhaseStart;
use super::values::quoted;
use super::{CrewFile, Inputs};

/// Supplies of every station without a word in the pantry.
const WATER: &str = "water";
/// Ends of every course, named or not.
const ENDS: [&str; 2] = ["Start", "Finish"];
/// The most other lines named in a hint.
const LINES_NAMED: usize = 5;

/// Checks every name that is used against the names there are.
pub(super) fn check(inputs: &Inputs, routed: bool, sources: &Sources, notes: &mut Notes) {
    let mut checker = NameChecker { sources, notes };
    if let Some(first) = inputs.pantry.first() {
        let foods = inputs.pantry.iter().map(|food| food.name.value.as_str());
        let known = KnownNames::of(
            "in `pantry.csv`",
            foods.chain([WATER]),
            first.span,
            &checker,
        );
        let offers = inputs.stations.iter().flat_map(|station| &station.offers);
        checker.check(&known, "a station offers", offers.map(mention));
    }
    let kinds = FoodKind::NAMES.iter().map(|(name, _)| *name);
    if let Some(first) = inputs.pantry.first() {
        let foods = inputs.pantry.iter().map(|food| food.name.value.as_str());
        let known = KnownNames {
            severity: Severity::Warning,
            ..KnownNames::of("in `pantry.csv`", foods.chain(kinds), first.span, &checker)
        };
        let phases = inputs.runner.rhythm.iter();
        let named = phases.flat_map(|phase| phase.eat.iter().chain(&phase.refuse).flatten());
        checker.check(&known, "the rhythm names", named.map(mention));
    }
    if let Some(first) = inputs.gear.first() {
        let items = inputs.gear.iter().map(|item| item.name.value.as_str());
        let known = KnownNames {
            severity: Severity::Warning,
            ..KnownNames::of("in `gear.csv`", items, first.span, &checker)
        };
        let kit = inputs.course.mandatory_kit.iter();
        checker.check(&known, "the mandatory kit has", kit.map(mention));
    }
    let stations = station_names(inputs);
    // Where the list could not be read, each name would be called unknown for nothing.
    if routed && !stations.is_empty() {
        let list = inputs.stations.first().and_then(|row| row.span);
        let names = stations.into_iter().chain(ENDS);
        let known = KnownNames::of("on the course", names, list, &checker);
        stations_mentioned(inputs, &known, &mut checker);
        // the runner runs other races as well
        let known = KnownNames {
            severity: Severity::Warning,
            ..known
        };
        let phases = inputs.runner.rhythm.iter();
        let from = phases.filter_map(|phase| match &phase.from {
            PhaseStart::Station(name) => Some(name),
            PhaseStart::At(_) => None,
        });
        checker.check(&known, "a phase of the rhythm is from", from.map(mention));
    }
}

fn stations_mentioned(inputs: &Inputs, known: &KnownNames<'_>, checker: &mut NameChecker<'_>) {
    let stops = inputs.plan.stops.at.iter().map(|(name, _)| name);
    checker.check(known, "a stop is planned at", stops.map(mention));
    let after = inputs.gear.iter().filter_map(|item| item.after.as_ref());
    checker.check(known, "gear is put on at", after.map(mention));
    let sources = checker.sources;
    let weather = inputs.weather.iter().filter_map(|row| {
        let place = row.place.as_deref()?;
        Some((place, within(sources, row.span?, place)))
    });
    checker.check(known, "the forecast is for", weather);
    if let Some(crew) = &inputs.crew {
        let drives = crew
            .drives
            .iter()
            .flat_map(|drive| [&drive.from, &drive.to]);
        checker.check(known, "a drive goes to or from", drives.map(mention));
        let pacers = crew
            .pacers
            .iter()
            .flat_map(|pacer| [&pacer.from, &pacer.to]);
        checker.check(known, "a pacer joins or stops at", pacers.map(mention));
        let bring = crew.bring.iter().map(|(place, _)| place);
        checker.check(known, "things are brought to", bring.map(mention));
        let noted = crew.places.iter().map(|place| &place.name);
        checker.check(known, "the crew's notes are about", noted.map(mention));
        pacers_forward(crew, inputs, checker.notes);
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
struct KnownNames<'a> {
    place: &'static str,
    names: BTreeMap<String, &'a str>,
    /// The list itself, where some of it could not be read: it may hold names that are not in
    /// `names`.
    spoilt: Option<String>,
    severity: Severity,
}

impl<'a> KnownNames<'a> {
    fn of(
        place: &'static str,
        names: impl Iterator<Item = &'a str>,
        list: Option<Span>,
        checker: &NameChecker<'_>,
    ) -> Self {
        let file = list.map(|span| span.file);
        let wrong = |problem: &Diagnostic| {
            problem.severity == Severity::Error && problem.at.map(|at| at.file) == file
        };
        let spoilt = file.filter(|_| checker.notes.all().iter().any(wrong));
        KnownNames {
            place,
            names: names.map(|name| (folded(name), name)).collect(),
            spoilt: spoilt.map(|file| checker.sources.get(file).text.to_lowercase()),
            severity: Severity::Error,
        }
    }

    fn has(&self, name: &str) -> bool {
        self.names.contains_key(name)
            || self.spoilt.as_ref().is_some_and(|list| list.contains(name))
    }
}

/// Names to look others up in.
struct NameChecker<'a> {
    sources: &'a Sources,
    notes: &'a mut Notes,
}

impl NameChecker<'_> {
    /// Reports each unknown name once, with the other lines it is on.
    fn check<'m>(
        &mut self,
        known: &KnownNames<'_>,
        use_of: &str,
        mentions: impl Iterator<Item = Mention<'m>>,
    ) {
        let mut unknown: Vec<(Mention<'m>, Vec<Span>)> = Vec::new();
        let mut seen: BTreeMap<String, usize> = BTreeMap::new();
        for (name, span) in mentions {
            let key = folded(name);
            match seen.get(&key).and_then(|at| unknown.get_mut(*at)) {
                Some((_, others)) => others.extend(span),
                None if known.has(&key) => {}
                None => {
                    seen.insert(key, unknown.len());
                    unknown.push(((name, span), Vec::new()));
                }
            }
        }
        for ((name, span), others) in unknown {
            let near = did_you_mean(name, known.names.values().copied());
            let hints: Vec<String> = also(&others, self.sources)
                .into_iter()
                .chain(near)
                .collect();
            let (name, place) = (quoted(name), known.place);
            self.notes.push(Diagnostic {
                severity: known.severity,
                hint: (!hints.is_empty()).then(|| hints.join("; ")),
                ..Diagnostic::error(format!("{use_of} {name}, which is not {place}"))
                    .at(span, format!("expected a name {place}"))
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
        plural(lines.len(), "line", "lines"),
        if others.len() > LINES_NAMED {
            " and more"
        } else {
            ""
        },
    );
    (!shown.is_empty()).then(|| format!("also on {word} {}{more}", shown.join(", ")))
}

/// The place of a name in a row.
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
        let last = visits(&pacer.to.value).next_back();
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
