//! The first page of a book: the verdict, what to print, then, folded, pictures, the whole plan and
//! every file.

use maud::{Markup, html};

use crate::facts::Facts;
use crate::pictures::{DARK, LIGHT, PICTURES, Picture};
use crate::reports::by_name;
use crate::reports::document::Block;

use super::parts::{self, clean, name};
use super::shell::{ANY_WIDTH, Shell};
use super::{Page, STYLE, by_name as by_page_name, document};

/// A file beside the page.
#[derive(Clone, Copy, Debug)]
pub struct Link<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its contents.
    pub about: &'a str,
}

/// The page with links to the files beside it.
#[must_use]
pub fn index(facts: &Facts, links: &[Link<'_>]) -> String {
    let title = format!("{}: race book", clean(&facts.race.0.course));
    let page = Shell {
        title: &title,
        viewport: ANY_WIDTH,
        styles: &[STYLE],
        scripts: &[],
        body: html! { main.screen { (read(facts, links)) } },
    };
    page.write()
}

fn read(facts: &Facts, links: &[Link<'_>]) -> Markup {
    let race = &facts.race.0;
    let planned = facts.planned();
    let is_first = |link: &&Link<'_>| link.name == PHONE || page_of(link.name).is_some();
    let (first, rest): (Vec<&Link<'_>>, Vec<&Link<'_>>) = links.iter().partition(is_first);
    html! {
        h1 { (name(&race.course)) }
        p.line-up {
            span { (race.length.text) } " " span { (race.climb.text) " up" } " "
            @if let Some(start) = &race.start_words { span { "start " (start) } " " }
            @if let Some(plan) = planned { span { "planned finish " b { (plan.finish.text) } } }
        }
        @if let Some(plan) = planned { (parts::verdict(&plan.verdict)) }
        @if !first.is_empty() {
            nav.cards aria-label="To print and to carry" {
                @for link in &first { (tile(facts, link)) }
            }
        }
        (fold("Pictures", &html! { @for picture in PICTURES { (shown(facts, picture)) } }))
        @if let Some(plan) = by_name("plan") {
            @let blocks = (plan.build)(facts).blocks;
            @let is_heading = |block: &Block| matches!(block, Block::Heading(_));
            @for part in blocks.chunk_by(|_, next| !is_heading(next)) {
                @if let Some((Block::Heading(words), under)) = part.split_first() {
                    (fold(words, &document::blocks(under)))
                }
            }
        }
        (fold("Files", &html! {
            ul.files { @for link in &rest { li { a href=(link.name) { (link.name) } " " (name(link.about)) } } }
        }))
    }
}

/// A part that opens on a touch, and is open on paper.
fn fold(title: &str, inside: &Markup) -> Markup {
    html! { details { summary { h2 { (name(title)) } } (inside) } }
}

/// The crew's page for a phone.
const PHONE: &str = "crew.html";

fn page_of(file: &str) -> Option<&'static Page> {
    by_page_name(file.strip_suffix(".html")?)
}

/// A page to print or to carry: how it begins, small, and what it is.
fn tile(facts: &Facts, link: &Link<'_>) -> Markup {
    let page = page_of(link.name);
    let begins = match page {
        Some(page) => (page.glimpse)(facts),
        None => phone(facts),
    };
    html! {
        a href=(link.name) {
            b { (page.map_or("On the crew's phone", |page| page.title)) }
            span { (link.about.split_once(": ").map_or(link.about, |(_, about)| about)) }
            div.glimpse aria-hidden="true" { (begins) }
        }
    }
}

/// The bar that is always in sight on the crew's phone.
fn phone(facts: &Facts) -> Markup {
    let met = facts.planned().and_then(|plan| {
        let mut met = plan.crew.iter();
        met.find(|met| met.number != "S")
    });
    html! {
        @if let Some(met) = met { div.phone {
            p { "Next " b { (met.number) " " (name(&met.station)) } }
            div {
                @if let Some(off) = &met.drive_off_by { p { "drive off by" b { (off.clock) } } }
                p { "be there by" b { (met.be_there.clock) } }
                p { "likely" b { (met.likely.clock) } (met.early.clock) "–" (met.late.clock) }
            }
        } }
    }
}

/// A picture by day and by night, as wide as the screen; larger where it is opened alone.
fn shown(facts: &Facts, picture: &Picture) -> Markup {
    let about = format!("{}. {}", picture.title, clean(&(picture.describe)(facts)));
    html! {
        figure {
            a href={ (picture.name) "-light.svg" } {
                picture {
                    source media="(prefers-color-scheme: dark)" srcset=(parts::data_uri(&(picture.draw)(facts, &DARK)));
                    img src=(parts::data_uri(&(picture.draw)(facts, &LIGHT))) alt=(about);
                }
            }
            // on a phone
            figcaption { (picture.title) ": touch to enlarge" }
        }
    }
}
