//! What templates get. Words are as they are printed; numbers beside them carry their units in
//! their keys. Names have lost only what would turn the text around them.

mod bags;
mod book;
mod crew;
mod stations;

use serde_json::{Value, json};

use crate::charts::words::clean;
use crate::plan::Plan;
use crate::reports::View;
use crate::time::{Elapsed, RaceClock, day_name};

use super::{CardSize, Sheet, Wishes};

/// What every page needs to say, however small it is: thirst, emergencies, who decides.
const SHORT_CAUTIONS: [&str; 3] = [
    "Thirst overrides the plan: drink less than planned when not thirsty.",
    "Confusion, collapse, vomiting that goes on, a headache that gets worse, chest pain: medical \
     help at once.",
    "Race officials, rules and medical staff decide. Estimates, not medical advice.",
];

/// Data of the pace card.
pub(super) fn card(view: &View<'_>, wishes: &Wishes) -> Value {
    let mut data = head(view, wishes, "Pace card");
    if let Some(plan) = view.plans.first() {
        data["hike_from_pct"] = json!(plan.pacing.hike_from_pct());
        data["stations"] = stations::all(view, plan, wishes);
    }
    data
}

/// Data of the crew's sheet.
pub(super) fn crew_sheet(view: &View<'_>, wishes: &Wishes) -> Value {
    let mut data = head(view, wishes, "Crew sheet");
    if let Some(plan) = view.plans.first() {
        data["meetings"] = crew::meetings(view, plan);
        data["sun"] = crew::sun(view, plan);
        data["findings"] = crew::findings(view, plan, None);
        let crew = view.inputs.crew.as_ref();
        data["crew"] = json!(crew.map(|crew| names(&crew.crew)).unwrap_or_default());
        data["phone"] = json!(crew.and_then(|crew| crew.phone.as_deref()).map(clean));
    }
    data
}

/// Data of the bag sheet.
pub(super) fn bag_sheet(view: &View<'_>, wishes: &Wishes) -> Value {
    let mut data = head(view, wishes, "Bag sheet");
    data["runner"] = json!(view.inputs.runner.name.as_deref().map(clean));
    let crew = view.inputs.crew.as_ref();
    data["phone"] = json!(crew.and_then(|crew| crew.phone.as_deref()).map(clean));
    data["bag_rules"] = json!(bags::rules(view));
    if let Some(plan) = view.plans.first() {
        data["foods"] = bags::shopping(plan);
        data["heaps"] = bags::heaps(view, plan);
        data["bags"] = bags::labels(view, plan);
        let cautions = plan.fueling.cautions.iter().map(|caution| caution.text);
        data["all_cautions"] = cautions.collect();
    }
    data
}

/// Data of the race book.
pub(super) fn race_book(view: &View<'_>, wishes: &Wishes) -> Value {
    let mut data = head(view, wishes, "Race book");
    data["runner"] = json!(view.inputs.runner.name.as_deref().map(clean));
    data["chapters"] = book::chapters(view);
    if let Some(plan) = view.plans.first() {
        data["stations"] = stations::all(view, plan, wishes);
        data["arrive"] = json!(
            plan.schedule
                .splits
                .last()
                .map(|last| time(plan, last.arrival))
        );
    }
    data
}

/// What all pages have: race, start, finish, units, cautions.
fn head(view: &View<'_>, wishes: &Wishes, what: &str) -> Value {
    let (course, units) = (&view.race.course, view.units);
    let (climb_m, _) = course.climb_and_descent_m();
    let length_m = course.stations.last().map_or(0.0, |last| last.official_m);
    let name = clean(&course.name);
    let start = view.race.clock.as_ref().map(start_words);
    let mut data = json!({
        "title": format!("{what}: {name}"),
        "course": name,
        "sheet": match wishes.sheet { Sheet::A4 => "a4", Sheet::Letter => "us-letter" },
        "size": match wishes.size {
            CardSize::Pocket => "pocket",
            CardSize::Strip => "strip",
            CardSize::Wrist => "wrist",
        },
        "made": wishes.made.map(|day| day.format("%-d %B %Y").to_string()),
        "start": start,
        "distance": units.distance_number(length_m),
        "distance_m": length_m.round(),
        "distance_unit": units.distance_symbol(),
        "climb": units.height_number(climb_m),
        "climb_m": climb_m.round(),
        "height_unit": units.height_symbol(),
        "pace_unit": format!("min/{}", units.distance_symbol()),
        "cautions": SHORT_CAUTIONS,
    });
    if let Some(plan) = view.plans.first() {
        data["finish"] = json!(plan.finish.to_string());
        data["finish_s"] = json!(plan.finish.as_secs());
        data["evidence"] = json!(view.race.evidence.map(|evidence| evidence.name()));
    }
    data
}

fn start_words(clock: &RaceClock) -> String {
    let start = clock.start();
    format!(
        "{} {}",
        day_name(&start),
        start.format("%-d %B %Y, %H:%M %Z")
    )
}

/// A time as the race's clock shows it, its day apart; since the start where no clock is known.
fn time(plan: &Plan, at: Elapsed) -> Value {
    let (day, time) = match &plan.schedule.clock {
        Some(clock) => (
            Some(day_name(&clock.at(at.to_minute()))),
            clock.show_time(at),
        ),
        None => (None, at.to_string()),
    };
    json!({ "day": day, "time": time, "s": at.as_secs() })
}

fn names(list: &[String]) -> Vec<String> {
    list.iter().map(|name| clean(name)).collect()
}
