//! People of the crew, with their places and times.

use maud::{Markup, html};

use super::{PageSource, forms, words};
use crate::desk::edits::settings::{Settings, keys};
use crate::desk::fields;
use crate::desk::role::Role;

const PHONES: (&str, &str) = ("Phones", "of anybody whom the crew may have to call");
const BRING: (&str, &str) = (
    "What to bring",
    "besides the food and gear that the plan hands over, a line for each thing",
);

pub(super) fn build(shown: &PageSource<'_>) -> Markup {
    html! {
        (words::report(shown, "crew"))
        (forms::groups(shown, fields::CREW))
        (by_name(shown, "phones", people(shown), PHONES, false))
        (by_name(shown, "bring", places(shown), BRING, true))
    }
}

/// The places where the crew may meet the runner.
fn places(shown: &PageSource<'_>) -> Vec<String> {
    let stations = shown.planned.facts.as_ref();
    let stations = stations.map_or(&[][..], |facts| &facts.stations);
    let crewed = stations.iter().filter(|station| station.crew);
    crewed.map(|station| station.place.clone()).collect()
}

/// Everybody who is named.
fn people(shown: &PageSource<'_>) -> Vec<String> {
    let Some(crew) = &shown.planned.loaded.inputs.crew else {
        return Vec::new();
    };
    let pacers = crew.pacers.iter().map(|pacer| pacer.name.clone());
    crew.crew.iter().cloned().chain(pacers).collect()
}

/// A table of the crew's file whose keys are names.
fn by_name(
    shown: &PageSource<'_>,
    table: &str,
    mut names: Vec<String>,
    (title, about): (&str, &str),
    lines: bool,
) -> Markup {
    let text = shown.session.text(Role::Crew).unwrap_or_default();
    let Some(own) = Settings::of(&text) else {
        return html! {};
    };
    names.extend(own.keys(&keys(&[table])));
    let mut seen = std::collections::BTreeSet::new();
    names.retain(|name| seen.insert(name.clone()));
    html! {
        @if !names.is_empty() {
            fieldset {
                legend { (title) }
                p.faint { (about) }
                @for (at, name) in names.iter().enumerate() {
                    @let path = keys(&[table, name]);
                    @let typed = own.typed(&path).unwrap_or_default();
                    @let bytes = own.lines(&path).or_else(|| own.range(&path));
                    @let wrong = bytes.map_or(Vec::new(), |bytes| shown.wrong(Role::Crew, &bytes));
                    @let id = format!("{table}-{at}");
                    @let sent = serde_json::json!([table, name]).to_string();
                    div.field {
                        label for=(id) { (sutler::pages::parts::name(name)) }
                        @if lines {
                            textarea id=(id) rows="3" data-file="crew" data-was=(typed) data-path=(sent) {
                                "\n" (typed)
                            }
                        } @else {
                            input id=(id) type="text" inputmode="tel" autocomplete="off" data-file="crew"
                                data-was=(typed) data-path=(sent) value=(typed);
                        }
                        (forms::problems(&wrong))
                    }
                }
            }
        }
    }
}
