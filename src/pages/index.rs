//! The first page of a book: the verdict, what to print, pictures, the whole plan, every file.

use maud::{Markup, html};

use crate::facts::Facts;
use crate::pictures::{DARK, LIGHT, PICTURES, Picture, PosterSheet, poster};
use crate::reports::by_name;

use super::parts::{self, clean, name};
use super::shell::{ANY_WIDTH, Shell};
use super::{PAGES, STYLE, document};

/// A file beside the page.
#[derive(Clone, Copy, Debug)]
pub struct Link<'a> {
    /// What it is called.
    pub name: &'a str,
    /// What it holds.
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
    let (first, rest): (Vec<&Link<'_>>, Vec<&Link<'_>>) =
        links.iter().partition(|link| is_first(link));
    html! {
        h1 { (name(&race.course)) }
        p.line-up {
            span { (race.length.text) } " " span { (race.climb.text) " up" } " "
            @if let Some(start) = &race.start_words { span { "start " (start) } " " }
            @if let Some(plan) = facts.planned() { span { "planned finish " b { (plan.finish.text) } } }
        }
        @if let Some(plan) = facts.planned() { (parts::verdict(&plan.verdict)) }
        @if !first.is_empty() {
            nav.cards aria-label="To print and to carry" {
                @for link in &first { a href=(link.name) {
                    (small(facts, link.name))
                    b { (called(link.name)) } span { (link.about) }
                } }
            }
        }
        section aria-label="Pictures" { @for picture in PICTURES { (shown(facts, picture)) } }
        section aria-label="Plan" {
            @if let Some(plan) = by_name("plan") {
                @let written = (plan.build)(facts);
                // the verdict stands above, the course in the pictures
                @let blocks: Vec<_> = written.blocks.into_iter().filter(is_new).collect();
                (document::blocks(&blocks))
            }
        }
        section.files aria-label="Files" {
            h2 { "Files" }
            ul { @for link in &rest { li { a href=(link.name) { (link.name) } " " (name(link.about)) } } }
        }
    }
}

fn is_new(block: &crate::reports::document::Block) -> bool {
    use crate::reports::document::Block;
    !matches!(block, Block::Verdict(_) | Block::Skyline(_))
}

/// A page to print or to carry, which stands before all other files.
fn is_first(link: &Link<'_>) -> bool {
    link.name == "crew.html" || page_of(link.name).is_some()
}

fn page_of(file: &str) -> Option<&'static super::Page> {
    let stem = file.strip_suffix(".html")?;
    PAGES.iter().find(|page| page.name == stem)
}

/// What people call a page.
fn called(file: &str) -> &'static str {
    page_of(file).map_or("On the crew's phone", |page| page.title)
}

/// The picture that a file is known by.
const KNOWN_BY: [(&str, &str); 5] = [
    ("card.html", "profile"),
    ("crew-sheet.html", "map"),
    ("crew.html", "in-hand"),
    ("bag-sheet.html", "fuel"),
    ("race-book.html", "time-distance"),
];

/// A small picture of what a file is about, cut to its middle.
fn small(facts: &Facts, file: &str) -> Markup {
    let known = KNOWN_BY.iter().find(|(known, _)| *known == file);
    let known = known.and_then(|(_, name)| PICTURES.iter().find(|one| one.name == *name));
    let sheet = PosterSheet {
        wide: 740.0,
        high: 740.0,
        free: 0.0,
    };
    let drawn = match known {
        Some(picture) => Some((picture.draw)(facts, &LIGHT)),
        None if file == "poster.html" => Some(poster(facts, &LIGHT, sheet)),
        None => None,
    };
    html! { @if let Some(drawn) = drawn { img.small src=(data_uri(&drawn)) alt=""; } }
}

/// A picture by day and by night, as wide as the screen; larger where it is opened alone.
fn shown(facts: &Facts, picture: &Picture) -> Markup {
    let about = format!("{}. {}", picture.title, clean(&(picture.describe)(facts)));
    html! {
        figure {
            a href={ (picture.name) "-light.svg" } {
                picture {
                    source media="(prefers-color-scheme: dark)" srcset=(data_uri(&(picture.draw)(facts, &DARK)));
                    img src=(data_uri(&(picture.draw)(facts, &LIGHT))) alt=(about);
                }
            }
        }
    }
}

/// A picture inside the page, every byte but letters, digits and a few marks in percent (RFC 3986).
fn data_uri(svg: &str) -> String {
    let mut uri = String::from("data:image/svg+xml,");
    for byte in svg.bytes() {
        match byte {
            b'A'..=b'Z'
            | b'a'..=b'z'
            | b'0'..=b'9'
            | b'-'
            | b'.'
            | b'_'
            | b'~'
            | b'/'
            | b':'
            | b'='
            | b'('
            | b')'
            | b';' => uri.push(char::from(byte)),
            byte => uri += &format!("%{byte:02X}"),
        }
    }
    uri
}
