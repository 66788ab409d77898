//! Things printed, carried and sent, as the commands give them.

use maud::{Markup, html};

use sutler::pages::PAGES;

use super::PageSource;

pub(super) fn build(shown: &PageSource<'_>) -> Markup {
    let Some(facts) = shown
        .planned
        .facts
        .as_ref()
        .filter(|facts| facts.planned().is_some())
    else {
        return html! { p.faint { "There is no plan yet." } };
    };
    html! {
        h3 { "To print" }
        p.faint { "Each opens on its own: print it there, at 100 %, without headers and footers." }
        ul.cards {
            @for page in PAGES.iter().filter(|page| (page.has_use)(facts)) {
                li { a href={ "take/" (page.name) ".html" } target="_blank" rel="noopener" {
                    b { (page.title) } span { (page.about) } } }
            }
        }
        h3 { "To send and to save" }
        ul.cards {
            li { a href="take/crew.html" download="crew.html" { b { "The crew's phone page" }
                span { "one file, works without signal" } } }
            @if !facts.planned().is_none_or(|plan| plan.crew.is_empty()) && facts.race.0.start.is_some() {
                li { a href="take/crew.ics" download="crew.ics" { b { "Calendar" }
                    span { "the crew's meetings and drives, with alarms" } } }
            }
            li { a href="take/track.gpx" download="track.gpx" { b { "Track" }
                span { "the course with stations and planned times, for a watch or a phone" } } }
        }
        h3 { "Everything" }
        p { "Writes all of it into the folder " b { "book" } " beside the plan." }
        div.tools { button type="button" #write-book { "Write the book" } }
    }
}
