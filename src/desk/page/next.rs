//! The next decision: one at a time, the one that changes the answer most.

use maud::{Markup, html};

use super::PageSource;
use super::worded::{Place, part_of, worded};
use crate::desk::answers::Problem;
use crate::desk::role::Role;
use sutler::facts::Facts;
use sutler::inputs::zones;

/// A decision to take, and the place for it.
struct Next {
    says: String,
    place: Place,
    does: &'static str,
}

fn next(says: impl Into<String>, part: &'static str, does: &'static str) -> Next {
    Next {
        says: says.into(),
        place: Place::part(part),
        does,
    }
}

pub(super) fn build(shown: &PageSource<'_>, on_the_day: bool) -> Markup {
    let now = Some(shown)
        .filter(|_| on_the_day)
        .and_then(|own| own.rest().next());
    if let Some(now) = now {
        return html! { h2 { "Next" } p.large { bdi { (worded(&now).0) } } };
    }
    if let Some(zone) = startless(shown) {
        return start(&zone);
    }
    let next = find(shown);
    let mut says = worded(&next.says).0;
    // what others say begins small, as part of their own sentence
    if let Some(first) = says.chars().next() {
        says.replace_range(..first.len_utf8(), &first.to_uppercase().to_string());
    }
    html! {
        h2 { "Next" }
        p.large { bdi { (says) } }
        (next.place.link(next.does))
    }
}

/// The zone to begin with where the start is not known: the file's, else the nearest to the route.
fn startless(shown: &PageSource<'_>) -> Option<String> {
    let course = &shown.planned.loaded.inputs.course;
    let is_asked = |problem: &Problem| problem.at.is_some_and(|(role, _)| role == Role::Course);
    if course.start.is_some() || shown.problems.iter().any(is_asked) {
        return None;
    }
    let race = shown.planned.race.as_ref()?;
    let (lat, lon) = race.course.profile.position_at_deg(0.0);
    let named = course.timezone.as_ref().map(|zone| zone.value);
    let zone = named.or_else(|| zones::nearest(lat, lon));
    Some(zone.map_or(String::new(), |zone| zone.name().to_owned()))
}

/// Start and zone are asked for on the spot: both or neither make sense.
fn start(zone: &str) -> Markup {
    html! {
        h2 { "Next" }
        p.large { "When does it start? Clock times and daylight follow." }
        div.tools {
            label { "Official start " input #next-start type="datetime-local"; }
            label { "Time zone " input #next-zone type="text" autocomplete="off" spellcheck="false" value=(zone); }
        }
        p.about { "The zone is the nearest to the route: check that it is right." }
        div.tools { button type="button" #set-start { "Set the start" } }
    }
}

fn find(shown: &PageSource<'_>) -> Next {
    if let Some(error) = shown.problems.iter().find(|problem| problem.is_error) {
        let hint = error
            .hint
            .as_ref()
            .map_or(String::new(), |hint| format!(": {hint}"));
        let role = error.at.map_or(Role::Plan, |(role, _)| role);
        let mut mend = next(format!("{}{hint}", error.message), part_of(role), "Mend it");
        mend.place.seek = "[aria-invalid=true]".to_owned();
        return mend;
    }
    let Some(facts) = &shown.planned.facts else {
        return next("The course cannot be read", "files", "Look at the files");
    };
    course(shown)
        .or_else(|| verdict(facts))
        .or_else(|| missing(shown))
        .or_else(|| narrow(facts))
        .unwrap_or_else(|| {
            next(
                "Print it, and send the crew their page",
                "take",
                "Take away",
            )
        })
}

/// Gaps of the course.
fn course(shown: &PageSource<'_>) -> Option<Next> {
    let says = "Where are the stations? Paste the organiser's table, or click on the profile.";
    let listed = &shown.planned.loaded.inputs.stations;
    listed
        .is_empty()
        .then(|| next(says, "stations", "Add stations"))
}

/// Reasons why the plan fails.
fn verdict(facts: &Facts) -> Option<Next> {
    let failure = facts.findings(&[]).find(|finding| finding.fails())?;
    let way = failure.ways_out.first();
    let way = way.map_or(String::new(), |way| format!(". Try: {way}"));
    let (part, does) = match failure.stage {
        "packing" | "fueling" => ("food", "Look at food"),
        "crew" => ("crew", "Look at the crew"),
        _ => ("times", "Look at the times"),
    };
    let mut next = next(format!("{}{way}", failure.text), part, does);
    if let Some(place) = failure.ways_out.first().and_then(|way| worded(way).1) {
        next.place = place;
    }
    Some(next)
}

/// Gaps of the files.
fn missing(shown: &PageSource<'_>) -> Option<Next> {
    let inputs = &shown.planned.loaded.inputs;
    if inputs.runner.mass_kg.is_none() {
        let says = "How heavy are you, and what do you carry? Drink and food follow.";
        return Some(next(says, "me", "Say who you are"));
    }
    if inputs.pantry.is_empty() {
        return Some(next(
            "What do you eat on the run?",
            "food",
            "Fill the pantry",
        ));
    }
    let lines = inputs.plan.forecast.is_some() || inputs.plan.weather.is_some();
    if inputs.weather.is_empty() && !lines {
        return Some(next(
            "How warm will it be, by day and by night?",
            "weather",
            "Give the weather",
        ));
    }
    let meets = inputs.stations.iter().any(|station| station.crew);
    let says = "The crew may meet you: who drives, and how long?";
    (meets && inputs.crew.is_none()).then(|| next(says, "crew", "Name the crew"))
}

/// Parts of the plan that are narrow.
fn narrow(facts: &Facts) -> Option<Next> {
    let verdict = &facts.planned()?.verdict;
    let tightest = verdict.tightest.as_ref().filter(|_| verdict.narrowly)?;
    let says = format!(
        "Little is in hand at {tightest}: move the finish, or shorten the stops before it."
    );
    Some(next(says, "times", "Look at the stops"))
}
