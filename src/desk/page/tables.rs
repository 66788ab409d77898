//! Tables of the files as tables of fields: a row for each row, nothing else of the file touched.

use maud::{Markup, html};

use sutler::inputs::gear_csv::GearRule;
use sutler::inputs::pantry_csv::FoodKind;

use super::{Shown, forms};
use crate::desk::change::head_of;
use crate::desk::edits::table::{Sheet, SheetRow};
use crate::desk::fields::station_kinds;
use crate::desk::role::Role;

/// A column by the name it has in the file.
struct Known {
    name: &'static str,
    label: &'static str,
    choices: fn() -> Vec<&'static str>,
}

const fn known(name: &'static str, label: &'static str) -> Known {
    Known {
        name,
        label,
        choices: Vec::new,
    }
}

const fn one_of(
    name: &'static str,
    label: &'static str,
    choices: fn() -> Vec<&'static str>,
) -> Known {
    Known {
        name,
        label,
        choices,
    }
}

fn yes() -> Vec<&'static str> {
    vec!["yes", "no"]
}

fn foods() -> Vec<&'static str> {
    FoodKind::NAMES.iter().map(|(name, _)| *name).collect()
}

fn rules() -> Vec<&'static str> {
    GearRule::NAMES.iter().map(|(name, _)| *name).collect()
}

fn sides() -> Vec<&'static str> {
    vec!["arrival", "departure"]
}

const KNOWN: &[Known] = &[
    known("name", "Name"),
    known("place", "Place, if passed again"),
    known("distance_km", "km"),
    known("distance_mi", "mi"),
    known("distance_m", "m"),
    known("lat", "Latitude"),
    known("lon", "Longitude"),
    known("cutoff", "Cutoff"),
    one_of("cutoff_on", "Cutoff on", sides),
    one_of("crew", "Crew", yes),
    one_of("drop_bag", "Drop bag", yes),
    one_of("pacer", "Pacer", yes),
    known("stop_min", "Stop, min"),
    known("offers", "Offers (;)"),
    known("serving", "One serving"),
    known("unit", "Counted in"),
    known("mass_g", "Mass, g"),
    known("water_ml", "Water, ml"),
    known("carbs_g", "Carbs, g"),
    known("sodium_mg", "Sodium, mg"),
    known("energy_kcal", "kcal"),
    known("protein_g", "Protein, g"),
    known("caffeine_mg", "Caffeine, mg"),
    known("stock", "In stock"),
    known("liking", "Liking, 1–5"),
    one_of("tested", "Tested", yes),
    one_of("own", "Own", yes),
    one_of("when", "When", rules),
    known("after", "After station"),
    known("burn_h", "Burns, h"),
    known("time", "Time there"),
    known("temp_c", "Air, °C"),
    known("temp_f", "Air, °F"),
    known("humidity_pct", "Humidity, %"),
    known("wind_kmh", "Wind, km/h"),
    known("wind_mph", "Wind, mph"),
    known("rain_mm", "Rain, mm"),
    one_of("thunder", "Thunder", yes),
    known("elevation_m", "Height, m"),
    known("station", "Station"),
    known("arrived", "Came in"),
    known("left", "Left"),
];

/// The file's rows; where there is no file, how to begin one.
pub(super) fn editor(shown: &Shown<'_>, role: Role, noun: &str) -> Markup {
    let text = shown.session.text(role);
    let sheet = Sheet::of(text.as_deref().unwrap_or(head_of(role)));
    let path = shown.session.folder.path(role);
    let path = path.map_or(String::new(), |path| path.display().to_string());
    let first = shown.planned.loaded.inputs.course.start.as_ref();
    let first = first.map(|start| start.value.format("%Y-%m-%dT%H:%M").to_string());
    html! {
        div.sheet-of data-sheet=(role.name()) {
            @if !sheet.rows.is_empty() {
                table.stacks.edits role="table" aria-label=(role.file()) {
                    thead role="rowgroup" { tr role="row" {
                        @for column in &sheet.columns {
                            th role="columnheader" scope="col" { (label(role, column)) }
                        }
                        th role="columnheader" scope="col" { span.hidden { "Remove" } }
                    } }
                    tbody role="rowgroup" { @for (at, row) in sheet.rows.iter().enumerate() {
                        (row_of(shown, role, &sheet, at, row))
                    } }
                }
            }
            div.tools {
                button type="button" data-insert=(role.name()) data-before=(sheet.rows.len())
                    data-first=(first.unwrap_or_else(|| "2027-06-01T06:00".to_owned())) {
                    "Add " (noun)
                }
                (more_columns(role, &sheet))
            }
            p.faint { "In " (path) }
        }
    }
}

fn label(role: Role, column: &str) -> String {
    if column == "kind" {
        return "Kind".to_owned();
    }
    if role == Role::Stations && column == "distance_km" {
        return "km, official".to_owned();
    }
    let own = KNOWN.iter().find(|known| known.name == column);
    own.map_or_else(|| column.to_owned(), |known| known.label.to_owned())
}

fn choices(role: Role, column: &str) -> Vec<&'static str> {
    match (role, column) {
        (Role::Stations, "kind") => station_kinds(),
        (Role::Pantry, "kind") => foods(),
        _ => {
            let own = KNOWN.iter().find(|known| known.name == column);
            own.map_or_else(Vec::new, |known| (known.choices)())
        }
    }
}

/// Columns that the file does not have yet.
fn more_columns(role: Role, sheet: &Sheet) -> Markup {
    let all: Vec<&str> = match role {
        Role::Stations => vec![
            "place",
            "kind",
            "cutoff",
            "cutoff_on",
            "crew",
            "drop_bag",
            "pacer",
            "stop_min",
            "offers",
        ],
        Role::Pantry => vec![
            "serving",
            "unit",
            "mass_g",
            "water_ml",
            "carbs_g",
            "sodium_mg",
            "energy_kcal",
            "protein_g",
            "caffeine_mg",
            "stock",
            "liking",
            "tested",
            "own",
        ],
        Role::Gear => vec!["after", "mass_g", "burn_h"],
        Role::Weather => vec![
            "elevation_m",
            "humidity_pct",
            "wind_kmh",
            "rain_mm",
            "thunder",
        ],
        _ => Vec::new(),
    };
    let missing: Vec<&&str> = all
        .iter()
        .filter(|name| sheet.column(name).is_none())
        .collect();
    html! {
        @if !missing.is_empty() && !sheet.rows.is_empty() {
            label { "Another column "
                select data-more=(role.name()) {
                    option value="" { "choose" }
                    @for name in missing { option value=(name) { (label(role, name)) } }
                }
            }
        }
    }
}

fn row_of(shown: &Shown<'_>, role: Role, sheet: &Sheet, at: usize, row: &SheetRow) -> Markup {
    let name = row.cells.first().map_or("", String::as_str);
    let whole = row.spans.first().zip(row.spans.last());
    let whole = whole.map_or(0..0, |(first, last)| first.0..last.1 + 1);
    let wrong = shown.wrong(role, &whole);
    let mark = (role == Role::Stations)
        .then(|| mark_of(shown, name, row))
        .flatten();
    html! {
        tr role="row" data-row=(at) data-line=(row.line) data-mark=[mark] {
            @for (index, column) in sheet.columns.iter().enumerate() {
                td role="cell" data-label=(label(role, column)) {
                    @let bytes = row.spans.get(index).map(|(from, to)| *from..*to + 1);
                    @let bad = bytes.is_some_and(|bytes| wrong.iter().any(|problem| {
                        problem.is_error && problem.at.is_some_and(|(_, at)| bytes.contains(&at))
                    }));
                    (cell(role, at, column, row.cell(Some(index)), bad, name))
                }
            }
            td role="cell" {
                button type="button" data-remove=(role.name()) aria-label={ "Remove " (name) } { "Remove" }
            }
        }
        @if !wrong.is_empty() {
            tr.wrongs role="row" { td role="cell" colspan=(sheet.columns.len() + 1) { (forms::problems(&wrong)) } }
        }
    }
}

/// The mark of a station that it has in pictures.
fn mark_of(shown: &Shown<'_>, name: &str, row: &SheetRow) -> Option<String> {
    let race = shown.planned.race.as_ref()?;
    let stations = &race.course.stations;
    let in_row = |span: sutler::diagnostics::Span| {
        let (line, _) = shown.planned.loaded.sources.position(span);
        line == row.number
    };
    let at = stations
        .iter()
        .position(|own| own.name == name && own.span.is_some_and(in_row))?;
    Some(format!("station-{at}"))
}

fn cell(role: Role, row: usize, column: &str, value: &str, bad: bool, name: &str) -> Markup {
    let id = format!("c-{}-{row}-{column}", role.name());
    let label = format!("{} of {name}", label(role, column));
    let choices = choices(role, column);
    html! {
        @if choices.is_empty() {
            input id=(id) type="text" autocomplete="off" spellcheck="false" aria-label=(label)
                data-column=(column) data-was=(value) value=(value) aria-invalid=(bad)
                size=(value.chars().count().clamp(4, 24));
        } @else {
            select id=(id) aria-label=(label) data-column=(column) data-was=(value) aria-invalid=(bad) {
                option value="" selected[value.is_empty()] { "–" }
                @if !value.is_empty() && !choices.contains(&value) { option selected { (value) } }
                @for choice in choices { option value=(choice) selected[choice == value] { (choice) } }
            }
        }
    }
}
