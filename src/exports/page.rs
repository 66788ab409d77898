//! The book's first page: pictures, the whole plan, and links to every file. It asks nothing of
//! any other machine and runs nothing; a strict policy inside says so to the browser.

use crate::facts::Facts;
use crate::pictures::words::{clean, escaped};
use crate::pictures::{DARK, LIGHT, PICTURES};
use crate::reports::document::{Align, Block, Column, Document, Item, Table, Tone};
use crate::reports::{View, by_name};

use super::book::BookFile;

/// Words reach a contrast of 4.5 to 1 on either paper (WCAG 2.2, criterion 1.4.3).
const STYLE: &str = "\
:root{color-scheme:light dark;--paper:#fff;--ink:#1d2530;--faint:#566070;--rule:#dde1e6;--link:#0b5a7a;--good:#0b6358;--warn:#8a4a18;--bad:#a61b1b}
@media (prefers-color-scheme:dark){:root{--paper:#1a1f27;--ink:#edf0f4;--faint:#a9b3c1;--rule:#343c48;--link:#8ecbe8;--good:#5fd0bd;--warn:#ffc58a;--bad:#ff9c9c}}
body{margin:0 auto;max-width:70rem;padding:1rem;background:var(--paper);color:var(--ink);font:1rem/1.5 system-ui,sans-serif}
h1{font-size:1.6rem;line-height:1.2}h2{font-size:1.2rem;margin-top:2rem;border-top:1px solid var(--rule);padding-top:1rem}
a{color:var(--link)}nav a{margin-right:1rem}
.scroll{overflow-x:auto}.scroll:focus{outline:2px solid var(--link)}figure{margin:1.5rem 0}img{display:block;width:100%;min-width:44rem;height:auto}
dl{display:grid;grid-template-columns:max-content 1fr;gap:.2rem 1rem}dt{color:var(--faint)}dd{margin:0}
table{border-collapse:collapse;font-variant-numeric:tabular-nums}th,td{padding:.2rem .6rem;border-bottom:1px solid var(--rule);text-align:left;white-space:nowrap}th{color:var(--faint);font-weight:600}
.right{text-align:right}.faint{color:var(--faint)}.strong{font-weight:600}.good{color:var(--good)}.warning{color:var(--warn)}.bad{color:var(--bad);font-weight:600}
@media print{nav,.files{display:none}img{min-width:0}}
";

/// What the browser may fetch and run: pictures that stand in the page, and nothing else.
const POLICY: &str = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; \
                      base-uri 'none'; form-action 'none'";

/// The page with links to the files beside it.
pub(super) fn index(view: &View<'_>, files: &[BookFile]) -> String {
    let name = words(&view.race.course.name);
    let mut page = format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"{}\">\n\
         <title>{name}: race book</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n<main>\n\
         <h1><bdi>{name}</bdi></h1>\n",
        escaped(POLICY)
    );
    page += "<nav aria-label=\"On this page\"><a href=\"#pictures\">Pictures</a> \
             <a href=\"#plan\">Plan</a> <a href=\"#files\">Files</a></nav>\n";
    page += "<section id=\"pictures\" aria-label=\"Pictures\">\n";
    let facts = Facts::of(view);
    for picture in PICTURES {
        page += &format!(
            "<figure><div class=\"scroll\" tabindex=\"0\" role=\"group\" aria-label=\"{title}\"><picture>\
             <source media=\"(prefers-color-scheme: dark)\" srcset=\"{}\">\
             <img src=\"{}\" alt=\"{title}. {}\"></picture></div></figure>\n",
            data_uri(&(picture.draw)(&facts, &DARK)),
            data_uri(&(picture.draw)(&facts, &LIGHT)),
            words(&(picture.describe)(&facts)),
            title = escaped(picture.title),
        );
    }
    page += "</section>\n<section id=\"plan\" aria-label=\"Plan\">\n";
    if let Some(plan) = by_name("plan") {
        page += &written(&(plan.build)(&Facts::of(view)));
    }
    page += "</section>\n<section id=\"files\" class=\"files\">\n<h2>Files</h2>\n<ul>\n";
    for file in files {
        page += &format!(
            "<li><a href=\"{name}\">{name}</a> {}</li>\n",
            words(&file.about),
            name = escaped(&file.name)
        );
    }
    page + "</ul>\n</section>\n</main>\n</body>\n</html>\n"
}

/// Words of the user's or ours, harmless in a page.
fn words(text: &str) -> String {
    escaped(&clean(text))
}

/// A report as parts of a page.
fn written(document: &Document) -> String {
    document.blocks.iter().map(block).collect()
}

fn block(block: &Block) -> String {
    match block {
        Block::Heading(name) => format!("<h2>{}</h2>\n", words(name)),
        Block::Paragraph(text) => format!("<p>{}</p>\n", words(text)),
        Block::Facts(facts) => {
            let rows = facts.iter().map(|(name, value)| {
                format!(
                    "<dt>{}</dt><dd><bdi>{}</bdi></dd>\n",
                    words(name),
                    words(value)
                )
            });
            format!("<dl>\n{}</dl>\n", rows.collect::<String>())
        }
        Block::Table(table) => tabled(table),
        Block::List(items) => {
            let points = items.iter().map(point);
            format!("<ul>\n{}</ul>\n", points.collect::<String>())
        }
        // the pictures above say it better; data is for programs
        Block::Profile(_) | Block::Drawing(_) | Block::Data(_) => String::new(),
        Block::Verdict(verdict) => {
            let lines = verdict.lines.iter();
            let class = if verdict.holds { "strong" } else { "bad" };
            lines
                .map(|line| format!("<p class=\"{class}\">{}</p>\n", words(line)))
                .collect()
        }
    }
}

fn point(item: &Item) -> String {
    let under: String = (item.under.iter())
        .map(|line| format!("<li>{}</li>", words(line)))
        .collect();
    let under = if under.is_empty() {
        under
    } else {
        format!("<ul>{under}</ul>")
    };
    format!(
        "<li{}>{}{under}</li>\n",
        class(&[tone(item.tone)]),
        words(&item.text)
    )
}

fn tabled(table: &Table) -> String {
    let side = |column: Option<&Column>| match column.map(|column| column.align) {
        Some(Align::Right) => "right",
        _ => "",
    };
    let mut text = String::from(
        "<div class=\"scroll\" tabindex=\"0\" role=\"group\" aria-label=\"Table\"><table>\n<thead><tr>",
    );
    for column in &table.columns {
        let class = class(&[side(Some(column))]);
        text += &format!("<th scope=\"col\"{class}>{}</th>", words(&column.head));
    }
    text += "</tr></thead>\n<tbody>\n";
    for row in &table.rows {
        text += "<tr>";
        for (index, cell) in row.iter().enumerate() {
            let class = class(&[side(table.columns.get(index)), tone(cell.tone)]);
            text += &format!("<td{class}><bdi>{}</bdi></td>", words(&cell.shown));
        }
        text += "</tr>\n";
    }
    text + "</tbody></table></div>\n"
}

fn tone(tone: Tone) -> &'static str {
    match tone {
        Tone::Plain => "",
        Tone::Strong => "strong",
        Tone::Faint => "faint",
        Tone::Good => "good",
        Tone::Warning => "warning",
        Tone::Bad => "bad",
    }
}

fn class(names: &[&str]) -> String {
    let named: Vec<&str> = names
        .iter()
        .copied()
        .filter(|name| !name.is_empty())
        .collect();
    if named.is_empty() {
        String::new()
    } else {
        format!(" class=\"{}\"", named.join(" "))
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
