//! Files of settings as forms: every key with its words, its unit and what is wrong with it.

use maud::{Markup, html};

use super::PageSource;
use crate::desk::answers::Problem;
use crate::desk::columns::usual_unit;
use crate::desk::edits::settings::{KeyStep, Settings, keys};
use crate::desk::fields::{Group, SettingField, Typed};
use crate::desk::role::Role;

/// Groups of fields.
pub(super) fn groups(shown: &PageSource<'_>, groups: &[Group]) -> Markup {
    html! { @for own in groups { (group(shown, own)) } }
}

fn group(shown: &PageSource<'_>, group: &Group) -> Markup {
    let text = shown.session.text(group.role).unwrap_or_default();
    let Some(own) = Settings::of(&text) else {
        return html! {
            fieldset {
                legend { (group.title) }
                p.wrong { (group.role.file()) " cannot be read as it is." }
                a.button href="#files" data-part="files" { "Mend it under Files" }
            }
        };
    };
    let path = keys(group.path);
    html! {
        fieldset {
            legend { (group.title) }
            @if !group.about.is_empty() { p.faint { (group.about) } }
            @if group.is_list {
                @for at in 0..own.count(&path) {
                    @let row: Vec<KeyStep> = path.iter().cloned().chain([KeyStep::At(at)]).collect();
                    div.entry role="group" aria-label={ (group.title) " " (at + 1) } {
                        @for field in group.fields { (of_field(shown, group.role, &own, &row, field)) }
                        button type="button" data-pull=(group.role.name()) data-at=(at)
                            data-path=(sent(group.path)) { "Remove" }
                    }
                }
                button type="button" data-push=(group.role.name()) data-path=(sent(group.path)) {
                    "Add"
                }
            } @else {
                @for field in group.fields { (of_field(shown, group.role, &own, &path, field)) }
            }
        }
    }
}

/// A path as the script sends it back.
fn sent(path: impl serde::Serialize) -> String {
    serde_json::to_string(&path).unwrap_or_default()
}

/// The same as a name for labels.
fn id(role: Role, path: &[KeyStep]) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() { c } else { '-' };
    let steps = path.iter().map(|step| match step {
        KeyStep::Key(key) => key.chars().map(plain).collect(),
        KeyStep::At(at) => at.to_string(),
    });
    let steps: Vec<String> = steps.collect();
    format!("f-{}-{}", role.name(), steps.join("-"))
}

fn of_field(
    shown: &PageSource<'_>,
    role: Role,
    own: &Settings<'_>,
    above: &[KeyStep],
    field: &SettingField,
) -> Markup {
    let with = |key: &str| -> Vec<KeyStep> {
        let key = KeyStep::Key(key.to_owned());
        above.iter().cloned().chain([key]).collect()
    };
    let path = match field.kind {
        // the unit that the file uses, else that of the page
        Typed::Number(range) | Typed::Numbers(range) => {
            let all = range.keys();
            let there = all.iter().find(|key| own.range(&with(key)).is_some());
            let usual = range.key(usual_unit(range, shown.session.units));
            with(there.unwrap_or(&usual))
        }
        _ => with(field.key),
    };
    let typed = own.typed(&path).unwrap_or_default();
    let bytes = own.lines(&path).or_else(|| own.range(&path));
    let wrong = bytes.map_or(Vec::new(), |bytes| shown.wrong(role, &bytes));
    let id = id(role, &path);
    html! {
        div.field.bad[wrong.iter().any(|problem| problem.is_error)] {
            @if !matches!(field.kind, Typed::Choices(_)) { label for=(id) { (field.label) } }
            div.typed {
                (input(role, &path, &id, &typed, field, !wrong.is_empty()))
                (unit(role, &path, field))
            }
            @if !field.about.is_empty() { p.about id={ (id) "-about" } { (field.about) } }
            div id={ (id) "-wrong" } { (problems(&wrong)) }
        }
    }
}

/// Mistakes, with the words that `check` has for them.
pub(in crate::desk) fn problems(wrong: &[&Problem]) -> Markup {
    html! {
        @for problem in wrong {
            p.wrong {
                b { @if problem.is_error { "Wrong: " } @else { "Note: " } }
                bdi { (problem.message) }
                @if !problem.expected.is_empty() { "; " bdi { (problem.expected) } }
                @if let Some(hint) = &problem.hint { ". " bdi { (hint) } }
            }
        }
    }
}

fn input(
    role: Role,
    path: &[KeyStep],
    id: &str,
    typed: &str,
    field: &SettingField,
    is_wrong: bool,
) -> Markup {
    let (file, path) = (role.name(), sent(path));
    let about = format!("{id}-about {id}-wrong");
    let numeric = match field.kind {
        Typed::Number(_) => Some("decimal"),
        Typed::Time => Some("numeric"),
        _ => None,
    };
    match field.kind {
        Typed::Lines | Typed::Times | Typed::Numbers(_) => {
            let rows = typed.lines().count().clamp(2, 12);
            html! {
                textarea id=(id) rows=(rows) data-file=(file) data-path=(path) data-was=(typed)
                    aria-describedby=(about) aria-invalid=(is_wrong) { (typed) }
            }
        }
        Typed::Choice(names) => html! {
            select id=(id) data-file=(file) data-path=(path) data-was=(typed)
                aria-describedby=(about) aria-invalid=(is_wrong) {
                option value="" selected[typed.is_empty()] { "not said" }
                @let names = names();
                @if !typed.is_empty() && !names.contains(&typed) { option selected { (typed) } }
                @for name in names { option value=(name) selected[name == typed] { (name) } }
            }
        },
        Typed::Choices(names) => html! {
            div.ticks role="group" aria-label=(field.label) data-file=(file) data-path=(path) data-was=(typed) {
                span.label { (field.label) }
                @let own: Vec<&str> = typed.lines().collect();
                @for name in names() {
                    label { input type="checkbox" data-tick value=(name) checked[own.contains(&name)]
                        id={ (id) "-" (name) }; " " (name) }
                }
            }
        },
        Typed::Flag => html! {
            select id=(id) data-file=(file) data-path=(path) data-was=(typed) aria-describedby=(about) {
                @for (value, label) in [("", "not said"), ("false", "no"), ("true", "yes")] {
                    option value=(value) selected[typed == value] { (label) }
                }
            }
        },
        _ => html! {
            input id=(id) type="text" inputmode=[numeric] autocomplete="off" spellcheck="false"
                value=(typed) data-file=(file) data-path=(path) data-was=(typed)
                aria-describedby=(about) aria-invalid=(is_wrong);
        },
    }
}

/// The unit, and others to switch to where there is a number.
fn unit(role: Role, path: &[KeyStep], field: &SettingField) -> Markup {
    let Typed::Number(range) = field.kind else {
        return html! {};
    };
    let Some(KeyStep::Key(key)) = path.last() else {
        return html! {};
    };
    let own = range.units.iter().find(|unit| range.key(**unit) == *key);
    html! {
        @if range.units.len() > 1 {
            select.unit aria-label={ "Unit of " (field.label) } data-unit=(role.name()) data-path=(sent(path)) {
                @for unit in range.units {
                    @let other = range.key(*unit);
                    option value=(other) selected[other == *key] { (unit.symbol) }
                }
            }
        } @else if let Some(unit) = own { span.unit { (unit.symbol) } }
    }
}
