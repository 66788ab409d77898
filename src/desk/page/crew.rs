//! Who stands where and when, and who they are.

use maud::{Markup, html};

use super::{Shown, forms, words};
use crate::desk::edits::settings::{Settings, keys};
use crate::desk::fields;
use crate::desk::role::Role;

pub(super) fn build(shown: &Shown<'_>) -> Markup {
    html! {
        (words::report(shown, "crew"))
        (forms::groups(shown, fields::CREW))
        (bring(shown))
    }
}

/// What to bring to each place where they meet.
fn bring(shown: &Shown<'_>) -> Markup {
    let stations = shown
        .planned
        .facts
        .as_ref()
        .map_or(&[][..], |facts| &facts.stations);
    let mut places: Vec<String> = Vec::new();
    for station in stations.iter().filter(|station| station.crew) {
        if !places.contains(&station.place) {
            places.push(station.place.clone());
        }
    }
    let text = shown.session.text(Role::Crew).unwrap_or_default();
    let Some(own) = Settings::of(&text) else {
        return html! {};
    };
    for place in own.keys(&keys(&["bring"])) {
        if !places.contains(&place) {
            places.push(place);
        }
    }
    html! {
        @if !places.is_empty() {
            fieldset {
                legend { "What to bring" }
                p.faint { "besides the food and gear that the plan hands over, a line for each thing" }
                @for (at, place) in places.iter().enumerate() {
                    @let typed = own.typed(&keys(&["bring", place])).unwrap_or_default();
                    div.field {
                        label for={ "bring-" (at) } { (place) }
                        textarea id={ "bring-" (at) } rows="3" data-file="crew" data-was=(typed)
                            data-path=(serde_json::json!(["bring", place])) { "\n" (typed) }
                    }
                }
            }
        }
    }
}
