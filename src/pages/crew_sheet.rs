//! The crew's sheet: a stop plan for every meeting, to be read by head-torch, with room for what
//! really happened.

use maud::{Markup, html};

use crate::facts::{
    Facts, FindingFacts, HelperFacts, MeetingFacts, Moment, PickupFacts, PlanFacts, SplitFacts,
    StintFacts,
};

use super::parts::{self, ASK, LOOK, badge, clock, clock_beside, fills, listed, name, names};
use super::{Page, Wishes, sheets};

/// What the crew reads at night.
pub(super) const PAGE: Page = Page {
    name: "crew-sheet",
    title: "Crew sheet",
    about: "the crew's sheet: drives, parking, every stop step by step, room for real times",
    has_use: |facts| facts.planned().is_some_and(|plan| !plan.crew.is_empty()),
    build,
};

/// In air this cold, degrees Celsius, a runner who stands still is asked about warmth. Our choice.
const COOL_C: f64 = 15.0;

fn build(facts: &Facts, wishes: &Wishes) -> Markup {
    let Some(plan) = facts.planned() else {
        return html! {};
    };
    let elsewhere =
        crew_findings(plan).filter(|found| !plan.crew.iter().any(|met| is_about(found, met)));
    let before = std::iter::once(None).chain(plan.crew.iter().map(Some));
    let parts = html! {
        (sheets::title("Crew", facts, plan, &said(facts, plan, wishes)))
        @if let Some(helpers) = &plan.helpers { (phones(helpers)) }
        @if !plan.sun.is_empty() {
            p.line-up { @for event in &plan.sun { span { (event.words) " " (clock(&event.at)) } " " } }
        }
        @for found in elsewhere { (parts::finding(found)) }
        @if plan.crew.is_empty() {
            p { "No meetings: no crew is known, or there is no station where it may meet the runner." }
        }
        @for (index, (before, met)) in before.zip(&plan.crew).enumerate() {
            @let new_day = before.is_none_or(|before| before.be_there.day != met.be_there.day);
            @if let (true, Some(at)) = (new_day, met.be_there.at) {
                h2.day.keeps { (at.format("%A, %-d %B")) }
            }
            (Stop::of(facts, plan, index).shown())
        }
        @if let Some(marks) = plan.repeated_hour { p { (marks) } }
    };
    sheets::flow("crew-sheet", &parts)
}

/// Start, planned finish, who helps.
fn said(facts: &Facts, plan: &PlanFacts, wishes: &Wishes) -> Vec<Markup> {
    let mut said = Vec::new();
    if let Some(start) = &facts.race.0.start_words {
        said.push(html! { "start " b { (start) } });
    }
    said.push(html! { "planned finish " b { (plan.finish.text) } });
    if let Some(helpers) = plan.helpers.as_ref().filter(|all| !all.names.is_empty()) {
        said.push(parts::joined(&names(&helpers.names), ", "));
    }
    if let Some(day) = wishes.made {
        said.push(html! { "made " (day.format("%-d %B %Y")) });
    }
    said
}

/// Every number to call.
fn phones(helpers: &HelperFacts) -> Markup {
    let number = |who: &str, number: &str| html! { (name(who)) " " b { (name(number)) } };
    let mut all: Vec<Markup> = (helpers.race_control.iter())
        .map(|race| number("race control", race))
        .collect();
    all.extend(helpers.phone.iter().map(|own| number("crew", own)));
    all.extend((helpers.phones.iter()).map(|one| number(&one.name, &one.number)));
    html! {
        @if !all.is_empty() {
            p.line-up.phones { b { "Phones" } " " @for one in &all { span { (one) } " " } }
        }
    }
}

fn crew_findings(plan: &PlanFacts) -> impl Iterator<Item = &FindingFacts> {
    plan.findings.iter().filter(|found| found.stage == "crew")
}

fn is_about(found: &FindingFacts, met: &MeetingFacts) -> bool {
    found.number.as_ref() == Some(&met.number)
}

/// A meeting with what the plan says of its station.
struct Stop<'a> {
    facts: &'a Facts,
    plan: &'a PlanFacts,
    met: &'a MeetingFacts,
    /// The station's place in the order of the course, and that of the next meeting.
    at: usize,
    next: usize,
    split: Option<&'a SplitFacts>,
    pickup: Option<&'a PickupFacts>,
}

/// A line of work: what it is, and with what.
type Row = (&'static str, Markup);

impl<'a> Stop<'a> {
    fn of(facts: &'a Facts, plan: &'a PlanFacts, index: usize) -> Stop<'a> {
        let met = &plan.crew[index];
        let at = facts.station_at(&met.number).unwrap_or_default();
        let next = plan.crew.get(index + 1);
        let next = next.and_then(|next| facts.station_at(&next.number));
        Stop {
            facts,
            plan,
            met,
            at,
            next: next.unwrap_or(facts.stations.len() - 1),
            split: plan.splits.get(at),
            pickup: (plan.pickups.iter()).find(|pickup| pickup.number == met.number),
        }
    }

    fn shown(&self) -> Markup {
        let met = self.met;
        html! {
            section.meeting {
                div {
                    h2 {
                        (badge(&met.number)) " " (name(&met.station)) " "
                        span.tag { (met.official.text)
                            @if met.dark { " · dark" }
                            @if let Some(weather) = &met.weather { " · " (weather.words) }
                        }
                    }
                    (self.times())
                    p.apart { @for one in self.limits() { span { (one) } } }
                    div.stop { @for list in [self.there(), self.work()] {
                        dl.things { @for (word, what) in list { dt { (word) } dd { (what) } } }
                    } }
                }
                div.margin {
                    span.box { "came in" }
                    @if !met.is_finish { span.box { "left" } }
                    span.box.notes { "drank, ate, stomach, feet" }
                    (parts::geo(&met.spot.geo))
                }
                @for found in crew_findings(self.plan).filter(|found| is_about(found, met)) {
                    (parts::finding(found))
                }
            }
        }
    }

    /// When to drive, when to stand there, when the runner comes and goes.
    fn times(&self) -> Markup {
        let met = self.met;
        let stop = self.split.and_then(|split| split.stop.as_ref());
        let day = Some(&met.be_there);
        let late = met.late.beside(&met.early);
        html! {
            div.times-row {
                div {
                    @match (&met.drive_off_by, &met.drive) {
                        (_, Some(drive)) if drive.value == 0.0 => { span.tag { "same place" } span.clock { "stay" } },
                        (Some(by), Some(drive)) => { span.tag { "drive by (" (drive.text) ")" } (clock_beside(by, day)) },
                        _ => { span.tag { "drive by" } span.clock { "–" } },
                    }
                }
                div.main { span.tag { b { "be there by" } } (clock_beside(&met.be_there, None::<&Moment>)) }
                div {
                    span.tag { "arrives " (met.early.clock) "–" span.past[met.out_after.is_some()] { (late) } }
                    (clock_beside(&met.likely, day))
                }
                @if !met.is_finish { div { span.tag { "leaves" @if let Some(stop) = stop { " (" (stop.text) " here)" } } (clock_beside(&met.leaves, day)) } }
            }
        }
    }

    /// The cutoff, what it limits and the time in hand; the latest departure and what it is for.
    fn limits(&self) -> Vec<Markup> {
        let met = self.met;
        let mut limits = Vec::new();
        if let Some((split, cutoff)) = self
            .split
            .and_then(|split| Some((split, split.cutoff.as_ref()?)))
        {
            limits.push(html! { span.together {
                @if split.cutoff_on == Some("departure") { b { "out by " } } @else { "in by " }
                b { (cutoff.beside(&met.be_there)) }
                @if let (Some(likely), Some(plan)) = (&split.margin_likely, &split.margin) {
                    ": " b { (likely.text) } " likely, " (plan.text) " on plan"
                }
                @if met.out_after.is_some() { "; later is " b { "out" } }
            } });
        }
        let binding = self.split.and_then(|split| split.binding.as_deref());
        if let (Some(latest), Some(binding), false) =
            (&met.latest_departure, binding, met.is_finish)
        {
            limits.push(html! {
                "must leave by " b { (latest.beside(&met.be_there)) } ": " (name(binding)) " closes"
            });
        }
        limits
    }

    /// How the crew gets there.
    fn there(&self) -> Vec<Row> {
        let (met, spot) = (self.met, &self.met.spot);
        let said = |words: &Option<String>| words.as_ref().map(|words| name(words));
        let mut drive: Vec<Markup> = Vec::new();
        if met.drive.as_ref().is_some_and(|drive| drive.value > 0.0) {
            drive.push(html! { "from " (name(&met.drives_from)) });
            match met.driving.as_slice() {
                [] => {}
                [one] => drive.push(html! { b { (name(one)) " alone" } }),
                all => drive.push(listed(&names(all))),
            }
        }
        drive.extend(said(&spot.directions));
        let mut park: Vec<Markup> = said(&spot.parking).into_iter().collect();
        let what = if spot.is_parking { "" } else { "station at " };
        park.push(html! { (what) span.together { (spot.coordinates) } });
        park.extend(
            spot.phone
                .iter()
                .map(|phone| html! { "phone " b { (name(phone)) } }),
        );
        let mut rows = vec![
            ("Drive", parts::joined(&drive, "; ")),
            ("Park", parts::joined(&park, " · ")),
        ];
        if drive.is_empty() {
            rows.remove(0);
        }
        rows.extend(said(&spot.notes).map(|notes| ("Note", notes)));
        rows
    }

    /// What to do there, in the order in which it is done.
    fn work(&self) -> Vec<Row> {
        let met = self.met;
        let mut rows: Vec<Row> = Vec::new();
        let mut add = |word, list: Vec<Markup>| {
            if !list.is_empty() {
                rows.push((word, listed(&list)));
            }
        };
        add("Lay out", names(&met.bring));
        if let Some(pickup) = self.pickup.filter(|_| !met.is_finish) {
            let water = met.water.as_ref();
            let water = water.map(|water| html! { "bring " (water.text) " of water: none here" });
            if pickup.flasks.iter().any(|flask| flask.holds.is_some()) {
                let fill =
                    html! { (fills(&pickup.flasks)) @if let Some(water) = &water { " " (water) } };
                add("Fill", vec![fill]);
            }
            add("Feed", parts::servings(&pickup.here));
        }
        let mut give = parts::servings(&met.servings);
        give.extend(names(&met.gear));
        add("Hand over", give);
        add("Take back", names(&met.take_back));
        if let Some(pickup) = self.pickup.filter(|_| self.at > 0) {
            let others = |gear: &[String], known: &[String]| -> Vec<Markup> {
                let new: Vec<String> = gear
                    .iter()
                    .filter(|one| !known.contains(one))
                    .cloned()
                    .collect();
                names(&new)
            };
            add("Change", others(&pickup.gear_on, &met.gear));
            add("Leave here", others(&pickup.gear_off, &met.take_back));
        }
        add("Lamp", self.lamp());
        add("Pacer joins", met.stints.iter().map(stint).collect());
        let off = |who: &String| html! { (name(who)) ": food, dry clothes, into the car" };
        add("Pacer stops", met.pacers_off.iter().map(off).collect());
        if met.is_finish {
            add(
                "After",
                vec![
                    html! { "dry clothes, blanket, drink to thirst, food; stay together for an hour" },
                ],
            );
        } else {
            add("Ask", vec![parts::joined(&self.questions(), " ")]);
            add("Look for", vec![html! { (LOOK) }]);
        }
        rows
    }

    /// The lamp, where it is dark before the next meeting.
    fn lamp(&self) -> Vec<Markup> {
        let ways = self.facts.segments.get(self.at..self.next);
        let mut ways = ways.unwrap_or_default().iter();
        let dark = ways.any(|way| {
            way.pace
                .as_ref()
                .is_some_and(|p| p.0.dark_share.value > 0.0)
        });
        if !dark || self.met.is_finish {
            return Vec::new();
        }
        let until = self.plan.splits.get(self.next).map(|split| &split.likely);
        let events = self
            .plan
            .sun
            .iter()
            .filter(|event| event.words.contains("lamp"));
        let ahead = events.filter(|event| {
            event.at.elapsed > self.met.likely.elapsed
                && until.is_some_and(|until| event.at.elapsed < until.elapsed)
        });
        let mut said = vec![html! { "bright, and a fresh battery on board" }];
        said.extend(ahead.map(|event| html! { (event.words) " " (clock(&event.at)) }));
        said
    }

    fn questions(&self) -> Vec<Markup> {
        let cool = (self.met.weather.as_ref()).map_or(self.met.dark, |air| air.temp.value < COOL_C);
        let more = [(cool, "Warm enough?"), (self.met.dark, "Lamp?")];
        let more = more.into_iter().filter(|(asked, _)| *asked);
        (ASK.into_iter().chain(more.map(|(_, question)| question)))
            .map(|question| html! { span.together { (question) } })
            .collect()
    }
}

/// What a pacer runs, and what to have for it.
fn stint(stint: &StintFacts) -> Markup {
    html! {
        b { (name(&stint.name)) } ", " (clock(&stint.from)) " to " (clock(&stint.to))
        " (" (stint.time.text) ", " (stint.length.text) ") to " (badge(&stint.until_number)) " " (name(&stint.until))
        "; food, drink" @if stint.dark { ", lamp" } " of their own"
    }
}
