//! Parts that are tables: stations, food and gear, weather, and the files as they are.

use maud::{Markup, html};

use super::{PageSource, forms, tables, words};
use crate::desk::columns::columns_of;
use crate::desk::fields;
use crate::desk::role::Role;

/// Stations: on the profile, in a table, or pasted.
pub(super) fn stations(shown: &PageSource<'_>) -> Markup {
    html! {
        @if let Some(facts) = &shown.planned.facts {
            p.faint {
                "Click on the profile or the map to add a station; drag a station's number to move it. \
                 With a keyboard, change its distance in the table."
            }
            @let column = columns_of(Role::Stations).iter().find(|own| own.key == "distance_km");
            @let column = column.map(|own| own.key_in(shown.session.units));
            @for (board, about) in [("profile", "Course profile"), ("map", "Map")] {
                figure.board data-picture=(board) data-board=(board) data-column=[&column]
                    data-length=(facts.race.0.length.value) tabindex="0" aria-label=(about) {}
            }
        }
        (tables::editor(shown, Role::Stations, "a station"))
        section.paste {
            h3 { "Paste the organiser's table" }
            label for="pasted" {
                "As it stands on a web page or in a spreadsheet: any columns in any order"
            }
            textarea #pasted rows="6" spellcheck="false" placeholder="Station\tKm\tCutoff" {}
            div.tools { button type="button" #read-paste { "Show how it is understood" } }
            div #paste-seen role="status" {}
        }
    }
}

/// Things to eat, carry and pack, and the stores of them.
pub(super) fn food(shown: &PageSource<'_>) -> Markup {
    html! {
        h3 { "What each segment asks" }
        (words::report(shown, "fuel"))
        h3 { "What to leave each station with" }
        (words::report(shown, "bags"))
        h3 { "Pantry" }
        p.faint {
            "One serving a row: yours, and what stations offer. Sodium, not salt: 1 g of salt is about \
             390 mg of sodium. Own: no for what only stations have."
        }
        (tables::editor(shown, Role::Pantry, "a food"))
        h3 { "Gear" }
        p.faint {
            "When: always, or what calls for it. The race's own list decides what is carried."
        }
        (tables::editor(shown, Role::Gear, "a thing"))
    }
}

/// One forecast, or hours.
pub(super) fn weather(shown: &PageSource<'_>) -> Markup {
    let plan = &shown.planned.loaded.inputs.plan;
    let one = plan.forecast.is_some() || plan.weather.is_some();
    html! {
        (forms::groups(shown, fields::WEATHER))
        h3 { "By the hour" }
        p.faint {
            "A row is an hour there, such as 2026-10-24T14:00; a few rows are enough. Look at the \
             official forecast a day or two before, and again on the morning."
        }
        @if one { p { "What is given above holds; empty it to plan by these hours." } }
        (tables::editor(shown, Role::Weather, "an hour"))
    }
}

/// Every file as text, with all that is wrong in it.
pub(super) fn files(shown: &PageSource<'_>) -> Markup {
    html! {
        p.faint {
            "The race is in these files and nowhere else. What the forms do not ask for is changed \
             here, or in any editor: the page follows."
        }
        @let lost: Vec<_> = shown.problems.iter().filter(|problem| problem.at.is_none()).collect();
        (forms::problems(&lost))
        @for role in Role::ALL.into_iter().filter(|role| role.is_edited()) {
            @let text = shown.session.text(role);
            @let wrong: Vec<_> = shown.problems.iter()
                .filter(|problem| problem.at.is_some_and(|(own, _)| own == role)).collect();
            @let path = shown.session.folder.path(role);
            @let path = path.map_or(String::new(), |path| path.display().to_string());
            details.file open[wrong.iter().any(|problem| problem.is_error)] {
                summary { (role.file())
                    @if text.is_none() { " (not there)" }
                    @if !wrong.is_empty() { " · " (wrong.len()) " to look at" } }
                p.faint { (path) }
                @for problem in &wrong {
                    div { @if let Some(line) = problem.line { b { "Line " (line) } " " }
                        (forms::problems(&[problem])) }
                }
                @let held = text.unwrap_or_default();
                textarea id={ "text-" (role.name()) } aria-label=(role.file()) rows="14" spellcheck="false"
                    data-text=(role.name()) data-was=(held) { "\n" (held) }
                div.tools { button type="button" data-save=(role.name()) { "Save " (role.file()) } }
            }
        }
    }
}
