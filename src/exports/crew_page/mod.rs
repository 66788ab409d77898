//! The crew's page: one file for a phone without signal. It shows the stations, takes the times
//! that the crew sees, and projects the rest from tables that the engine made.
//!
//! A strict policy inside lets the browser run this script and no other, and fetch nothing.

mod data;

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use sha2::{Digest, Sha256};

use crate::course::{Course, Role};
use crate::crew::Meeting;
use crate::inputs::stations_csv::CutoffOn;
use crate::pictures::words::{clean, escaped};
use crate::plan::Plan;
use crate::replan::{HARDER, NO_CATCHING_UP};
use crate::reports::{View, number};
use crate::time::Elapsed;
use crate::units::Quantity;

const SCRIPT: &str = include_str!("page.js");
const STYLE: &str = include_str!("page.css");

/// The page of a view's first plan; `None` where there is none.
#[must_use]
pub fn crew_page(view: &View<'_>) -> Option<String> {
    let plan = view.plans.first()?;
    let data = data::json(view, plan)?;
    let course = &view.race.course;
    let name = words(&course.name);
    let policy = format!(
        "default-src 'none'; script-src '{}'; style-src '{}'; base-uri 'none'; form-action 'none'",
        digest(SCRIPT),
        digest(STYLE)
    );
    let cards: String = (0..course.stations.len())
        .map(|station| card(view, plan, station))
        .collect();
    Some(format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"{}\">\n\
         <title>{name}: crew</title>\n<style>{STYLE}</style>\n</head>\n<body>\n{}\
         <main id=\"stations\">\n<h2>Stations</h2>\n<ol>\n{cards}</ol>\n{TOOLS}</main>\n{}\
         <script type=\"application/json\" id=\"data\">{}</script>\n<script>{SCRIPT}</script>\n\
         </body>\n</html>\n",
        escaped(&policy),
        opening(plan, &name),
        closing(view, plan),
        in_script(&data.to_string()),
    ))
}

/// What a browser compares a script or style with (Content Security Policy 3, section 2.3.1).
fn digest(text: &str) -> String {
    format!(
        "sha256-{}",
        BASE64_STANDARD.encode(Sha256::digest(text.as_bytes()))
    )
}

/// JSON that cannot end the block it stands in, nor a line of a script.
fn in_script(json: &str) -> String {
    json.replace('<', "\\u003c")
        .replace('>', "\\u003e")
        .replace('&', "\\u0026")
        .replace('\u{2028}', "\\u2028")
        .replace('\u{2029}', "\\u2029")
}

/// Words of the user's or ours, harmless in a page.
fn words(text: &str) -> String {
    escaped(&clean(text))
}

fn opening(plan: &Plan, name: &str) -> String {
    format!(
        "<header>\n<a class=\"skip\" href=\"#stations\">To the stations</a>\n\
         <h1>Crew: <bdi>{name}</bdi></h1>\n\
         <div class=\"now\" role=\"status\"><span class=\"faint\" id=\"finish-label\">Planned finish</span>\
         <span class=\"huge\" id=\"finish\">{}</span>\
         <p id=\"says\"></p><p id=\"hold\"></p></div>\n\
         <noscript><p class=\"note\">This browser runs no scripts here: times are the plan's, and \
         nothing can be entered.</p></noscript>\n\
         <p id=\"unstored\" class=\"note\" hidden>This browser keeps nothing for this page: entries \
         are lost when it is closed. Copy them as text.</p>\n</header>\n",
        escaped(&plan.schedule.show(plan.finish))
    )
}

const TOOLS: &str = "<section id=\"tools\" aria-label=\"Entries\" hidden>\n<h2>Entries</h2>\n\
<p class=\"small\">Type a time as 14:32, with a day as Sun 02:31, or +20:31 since the start. A time \
without a day is the one nearest to the plan. Where the clocks go back, 02:31¹ is before and 02:31² after.</p>\n\
<div class=\"tools\"><button type=\"button\" class=\"main\" id=\"copy\">Copy as text</button>\
<button type=\"button\" id=\"clear\">Clear all</button>\
<span id=\"clear-ask\" class=\"tools\" role=\"group\" aria-label=\"Clear all entries?\" hidden>\
<button type=\"button\" id=\"clear-no\">Keep them</button>\
<button type=\"button\" id=\"clear-yes\">Yes, clear all</button></span></div>\n\
<div id=\"copy-box\" hidden><label class=\"small\" for=\"copied\">A command that plans the rest in full, \
to be completed with the plan's file</label>\
<textarea id=\"copied\" readonly></textarea><p id=\"copy-says\" class=\"small\" role=\"status\"></p></div>\n\
</section>\n";

fn closing(view: &View<'_>, plan: &Plan) -> String {
    let mut text = String::from("<footer>\n<h2>Cautions</h2>\n");
    if let Some(phone) = view.inputs.crew.as_ref().and_then(|c| c.phone.as_ref()) {
        text += &format!("<p>Crew's phone: <bdi>{}</bdi></p>\n", words(phone));
    }
    text += "<ul>\n<li>Times are estimates. Race officials, local authorities and the medical team \
             decide; what they say comes first.</li>\n";
    for caution in [NO_CATCHING_UP, HARDER]
        .iter()
        .chain(&plan.fueling.cautions)
    {
        text += &format!("<li>{}</li>\n", words(caution.text));
    }
    text + "<li>Hand over as packed for the plan. What to change on a late day, the replan command says.</li>\n\
            </ul>\n<p class=\"small\">Nine arrivals in ten are later than the first time of a window, \
            nine in ten earlier than the second. Be there, leave by, margins: at the effort shown.</p>\n</footer>\n"
}

fn card(view: &View<'_>, plan: &Plan, station: usize) -> String {
    let course = &view.race.course;
    let here = &course.stations[station];
    let split = &plan.schedule.splits[station];
    let meeting = plan.crew.meetings.iter().find(|m| m.station == station);
    let class = if meeting.is_some() {
        "stop"
    } else {
        "stop plain"
    };
    let mut facts = vec![
        view.units.show(Quantity::Distance { m: here.official_m }),
        format!("planned {}", plan.schedule.show(split.arrival)),
    ];
    if meeting.is_some() {
        facts.push("crew".to_owned());
    }
    if here.drop_bag {
        facts.push("drop bag".to_owned());
    }
    let rows = rows(course, plan, station, meeting);
    let things = meeting.map_or(String::new(), |m| things(view, plan, m));
    format!(
        "<li class=\"{class}\" data-station=\"{station}\">\n<h3><span class=\"num\">{}</span>\
         <bdi>{}</bdi></h3>\n<p class=\"small\">{}</p>\n<p data-f=\"real\" hidden></p>\n\
         <dl>{rows}</dl>\n{things}{}</li>\n",
        number(course, station),
        words(&here.name),
        escaped(&facts.join(" · ")),
        fields(course, station)
    )
}

/// The times of a station: the plan's until the script has better ones.
fn rows(course: &Course, plan: &Plan, station: usize, meeting: Option<&Meeting>) -> String {
    let split = &plan.schedule.splits[station];
    let show = |at| escaped(&plan.schedule.show(at));
    let row = |class: &str, label: &str, field: &str, value: &str, more: &str| {
        let hidden = if value.is_empty() { " hidden" } else { "" };
        format!(
            "<div class=\"{class}\" data-row{hidden}><dt>{label}</dt><dd><span data-f=\"{field}\">{value}</span>{more}</dd></div>\n"
        )
    };
    let mut text = String::new();
    if station > 0 {
        text += &format!(
            "<div class=\"wide\" data-row><dt data-f=\"effort-label\">Planned</dt><dd>\
             <span class=\"big\" data-f=\"effort\">{}</span> <span class=\"window\" data-f=\"window\">{} – {}</span></dd></div>\n",
            show(split.arrival),
            beside(plan, split.early, split.arrival),
            beside(plan, split.late, split.arrival)
        );
        let window = " <span class=\"window\" data-f=\"hold-window\"></span>";
        text += &row("wide", "To hold the finish", "hold", "", window);
    }
    if let Some(meeting) = meeting.filter(|_| station > 0) {
        text += &row(
            "",
            "Crew: be there by",
            "there",
            &show(meeting.be_there),
            "",
        );
        let drives = meeting.drive_s > Some(0.0);
        let drive = meeting.leave_by.filter(|_| drives).map(show);
        let drive = drive.unwrap_or_default();
        let from = format!(
            "Drive off from <bdi>{}</bdi> by",
            words(drives_from(course, plan, station))
        );
        text += &row("", &from, "drive", &drive, "");
    }
    if let Some(limit) = split.cutoff {
        let what = match limit.on {
            CutoffOn::Arrival => "Cutoff",
            CutoffOn::Departure => "Cutoff on leaving",
        };
        text += &format!(
            "<div data-cutoff><dt>{what} {}</dt><dd data-f=\"margin\"></dd></div>\n",
            show(limit.elapsed)
        );
    }
    if station + 1 < plan.schedule.splits.len() {
        text += &row("", "Leaves", "leaves", &show(split.departure), "");
        let latest = split.latest_departure.map(show).unwrap_or_default();
        text += &row("", "Must leave by", "latest", &latest, "");
    }
    text
}

/// A time of a window, with its day where that is not the day of the likely time.
fn beside(plan: &Plan, at: Elapsed, likely: Elapsed) -> String {
    let schedule = &plan.schedule;
    let (with_day, likely) = (schedule.show(at), schedule.show(likely));
    match (with_day.split_once(' '), likely.split_once(' ')) {
        (Some((day, time)), Some((same, _))) if day == same => time.to_owned(),
        _ => with_day,
    }
}

/// The place of the meeting before, where the crew sets out; of the start before the first.
fn drives_from<'a>(course: &'a Course, plan: &Plan, station: usize) -> &'a str {
    let before = plan.crew.meetings.iter().rfind(|m| m.station < station);
    let from = &course.stations[before.map_or(0, |meeting| meeting.station)];
    &course.places[from.place].name
}

/// What is handed over and taken back.
fn things(view: &View<'_>, plan: &Plan, meeting: &Meeting) -> String {
    let mut lines: Vec<(&str, Vec<String>)> = Vec::new();
    if let Some(handover) = meeting
        .handover
        .and_then(|index| plan.packing.handovers.get(index))
    {
        let servings = handover.servings.iter();
        let mut over: Vec<String> = servings
            .map(|s| format!("{} × {}", s.count, s.food))
            .collect();
        over.extend(handover.gear.iter().cloned());
        lines.push(("Hand over", over));
        if handover.water_ml > 0.0 {
            let water = Quantity::Volume {
                ml: handover.water_ml,
            };
            lines.push(("Water", vec![view.units.show(water)]));
        }
        lines.push(("Take back", handover.take_back.clone()));
    }
    lines.push(("Bring", meeting.bring.clone()));
    lines.push(("Pacer joins", meeting.pacers_on.clone()));
    lines.push(("Pacer stops", meeting.pacers_off.clone()));
    let items: String = lines
        .iter()
        .filter(|(_, things)| !things.is_empty())
        .map(|(label, things)| {
            let list: Vec<String> = things
                .iter()
                .map(|thing| format!("<bdi>{}</bdi>", words(thing)))
                .collect();
            format!("<li><b>{label}:</b> {}</li>", list.join(", "))
        })
        .collect();
    if items.is_empty() {
        items
    } else {
        format!("<ul class=\"things\">{items}</ul>\n")
    }
}

/// Where the crew writes what it sees; shown by the script that reads it.
fn fields(course: &Course, station: usize) -> String {
    let name = words(&course.stations[station].name);
    let field = |kind: &str, label: &str| {
        let id = format!("{kind}-{station}");
        format!(
            "<div><label for=\"{id}\">{label}</label><div class=\"pair\">\
             <input id=\"{id}\" data-kind=\"{kind}\" autocomplete=\"off\" spellcheck=\"false\" \
             maxlength=\"24\" aria-describedby=\"{id}-note\">\
             <button type=\"button\" data-now=\"{id}\" aria-label=\"{label} now: {name}\">Now</button></div>\
             <p class=\"note\" id=\"{id}-note\" role=\"alert\"></p></div>"
        )
    };
    let role = course.stations[station].role;
    let arrived = (role != Role::Start).then(|| field("seen", "Arrived"));
    let left = (role != Role::Finish).then(|| field("left", "Left"));
    format!(
        "<div class=\"enter\" role=\"group\" aria-label=\"Seen at {name}\" hidden>{}{}</div>\n",
        arrived.unwrap_or_default(),
        left.unwrap_or_default()
    )
}
