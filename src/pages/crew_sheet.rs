//! The crew's sheet: a stop plan for every meeting, to be read by head-torch, with room for what
//! really happened.

use std::cmp::Ordering;

use maud::{Markup, html};

use crate::facts::{
    BagVisitFacts, Facts, FindingFacts, HelperFacts, MeetingFacts, Moment, PickupFacts, PlanFacts,
    ServingFacts, SplitFacts, StintFacts,
};

use super::parts::{self, LOOK, badge, clock, clock_beside, listed, name, names};
use super::{Page, Wishes, sheets, shell};

/// The sheet that the crew reads at night.
pub(super) const PAGE: Page = Page {
    name: "crew-sheet",
    title: "Crew sheet",
    about: "the crew's sheet: drives, parking, every stop step by step, room for real times",
    has_use: |facts| facts.planned().is_some_and(|plan| !plan.crew.is_empty()),
    build,
    viewport: shell::ANY_WIDTH,
    glimpse,
};

fn build(facts: &Facts, wishes: &Wishes) -> Markup {
    let Some(plan) = facts.planned() else {
        return html! {};
    };
    let elsewhere =
        crew_findings(plan).filter(|found| !plan.crew.iter().any(|met| is_about(found, met)));
    let parts = html! {
        @let verdict = parts::paper_verdict(plan.verdict.holds, plan.verdict.without_cold());
        (sheets::title("Crew", facts, &verdict, &said(facts, plan, wishes)))
        @if let Some(helpers) = &plan.helpers { (phones(helpers)) }
        @if !plan.sun.is_empty() {
            p.line-up { @for event in &plan.sun { span { (event.words) " " (clock(&event.at)) } " " } }
        }
        @let doses: Vec<_> = plan.body.caffeine_doses.iter().filter_map(|dose| Some((dose, dose.what.as_ref()?))).collect();
        @if !doses.is_empty() {
            p.line-up { b { "Caffeine by the plan" } " "
                @for (dose, words) in &doses { span { (badge(&dose.number)) " " (name(words)) " " (dose.by_plan) } " " }
            }
        }
        @for (pickup, alert) in plan.cold_before_crew() {
            p.words { b { "Before the first meeting, from " (badge(&pickup.number)) } " " (name(alert.told())) }
        }
        @if plan.crew.is_empty() {
            p { "No meetings: no crew is known, or there is no station where it may meet the runner." }
        } @else {
            p.words {
                "Large: the likely times; under them the plan's. Leave a stop only once your runner has \
                 left it. An early runner: drive off at once. A late one: arrivals and drives move by as \
                 much; cutoffs and must-leave-by times do not."
                @if plan.is_cold() { " " (parts::BY_FORECAST) "." }
            }
        }
        @for found in elsewhere { (parts::finding(found)) }
        @for index in 0..plan.crew.len() { (MeetingStop::of(facts, plan, index).shown()) }
        @if !facts.race.0.rules.is_empty() {
            p.words { b { "Rules " } (parts::joined(&names(&facts.race.0.rules), " ")) }
        }
    };
    sheets::flow("crew-sheet", plan, &parts)
}

/// The first meeting.
fn glimpse(facts: &Facts) -> Markup {
    let plan = facts.planned().filter(|plan| !plan.crew.is_empty());
    html! { @if let Some(plan) = plan { div.crew-sheet { (MeetingStop::of(facts, plan, 0).shown()) } } }
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
    let all = helpers.numbers();
    html! {
        @if !all.is_empty() {
            p.line-up.phones { b { "Phones" } " " @for (who, number) in all { span { (name(who)) " " b { (name(number)) } } " " } }
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
struct MeetingStop<'a> {
    plan: &'a PlanFacts,
    met: &'a MeetingFacts,
    /// The station's place in the order of the course.
    at: usize,
    /// The one after the meeting before.
    from: usize,
    split: Option<&'a SplitFacts>,
    pickup: Option<&'a PickupFacts>,
}

/// A line of work: what it is, and with what.
type SheetRow = (&'static str, Markup);

impl<'a> MeetingStop<'a> {
    fn of(facts: &'a Facts, plan: &'a PlanFacts, index: usize) -> MeetingStop<'a> {
        let met = &plan.crew[index];
        let at = facts.station_at(&met.number).unwrap_or_default();
        MeetingStop {
            plan,
            met,
            at,
            from: (index
                .checked_sub(1)
                .and_then(|before| plan.crew.get(before)))
            .and_then(|before| facts.station_at(&before.number))
            .map_or(0, |before| before + 1),
            split: plan.splits.get(at),
            pickup: plan.pickup_at(&met.number),
        }
    }

    fn shown(&self) -> Markup {
        let met = self.met;
        let rows = |list: Vec<SheetRow>| {
            html! { @for (word, what) in list { div { dt { (word) } dd { (what) } } } }
        };
        html! {
            (self.between())
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
                    dl.things.there { (rows(self.there())) }
                    dl.things.work { (rows(self.work())) }
                    @if !met.is_finish { dl.things.there { (rows(vec![
                        ("Ask", parts::joined(&parts::questions(self.met), " ")),
                        ("Look for", html! { (LOOK) }),
                    ])) } }
                }
                div.margin {
                    span.box { "came in" }
                    @if !met.is_finish { span.box { "left" } }
                    span.box.notes { "drank, ate, stomach, feet" }
                    div.scan {
                        (parts::geo(&met.spot.geo))
                        p.tag { "scan for a map: " @if met.spot.is_parking { "parking" } @else { "station" } }
                    }
                }
                @for found in crew_findings(self.plan)
                    .filter(|found| is_about(found, met) && found.kind != "drive-unknown") {
                    (parts::finding(found))
                }
            }
        }
    }

    /// Times to drive and to stand there, and those at which the runner comes and goes.
    fn times(&self) -> Markup {
        let met = self.met;
        let stop = self.split.and_then(|split| split.stop.as_ref());
        let day = Some(&met.be_there);
        let late = met.late.beside(&met.early);
        let planned = |at: &Moment, likely: &Moment| {
            html! { @if at.clock != likely.clock { " " span.tag { "plan " (at.clock) } } }
        };
        html! {
            div.times-row {
                div {
                    @match (&met.drive_off_by, &met.drive) {
                        (_, Some(drive)) if drive.value == 0.0 => { span.tag { "same place" } span.clock { "stay" } },
                        (Some(by), Some(drive)) => { span.tag { "drive off by" } (clock_beside(by, day)) " " span.tag { (drive.text) " drive" } },
                        _ => { span.tag { "drive" } span.clock { "unknown" } },
                    }
                }
                div.main {
                    span.tag { b { "be there by" } } (clock(&met.be_there))
                }
                div {
                    span.tag { "arrives " (met.early.clock) "–" span.past[met.out_after.is_some()] { (late) } }
                    (clock_beside(&met.likely, day))
                    @if let Some(split) = self.split { (planned(&split.arrival, &met.likely)) }
                }
                @if !met.is_finish { div {
                    span.tag { "leaves" @if let Some(stop) = stop { ", " (stop.text) " here" } @else { ", no stop planned" } }
                    (clock_beside(&met.leaves, day))
                    (planned(&met.departure, &met.leaves))
                } }
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
                b { (split.cutoff_word()) " " (cutoff.beside(&met.early)) }
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
                @if let Some(cutoff) = self.split.and_then(SplitFacts::if_in_by) { "if in by " (cutoff.beside(&met.early)) ", " }
                "must leave by " b { (latest.beside(&met.early)) } ": " (name(binding)) " closes"
            });
        }
        limits
    }

    /// The crew's way there.
    fn there(&self) -> Vec<SheetRow> {
        let (met, spot) = (self.met, &self.met.spot);
        let said = |words: &Option<String>| words.as_ref().map(|words| name(words));
        let mut drive: Vec<Markup> = Vec::new();
        if met.is_driven_to() {
            drive.push(html! { "from " (name(&met.drives_from)) });
            match met.at_the_wheel() {
                Some((who, how)) => drive.push(html! { b { (name(who)) " " (how) } }),
                None if met.driving.is_empty() => {}
                None => drive.push(listed(&names(&met.driving))),
            }
        } else if met.drive.is_none() {
            drive.push(html! { "from " (name(&met.drives_from)) });
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
        let sleep = met.sleep.iter();
        rows.extend(sleep.map(|sleep| ("Time to sleep", html! { (sleep.words()) })));
        rows
    }

    /// The cutoff between the meeting before and this one that leaves least in hand.
    fn between(&self) -> Markup {
        let between = self.plan.splits.get(self.from..self.at).unwrap_or_default();
        let hand = |split: &&SplitFacts| split.margin_likely.as_ref().map(|m| m.value);
        let closing = between.iter().filter(|split| split.cutoff.is_some());
        let tightest =
            closing.min_by(|a, b| hand(a).partial_cmp(&hand(b)).unwrap_or(Ordering::Equal));
        html! { @if let Some((split, cutoff)) = tightest.and_then(|split| Some((split, split.cutoff.as_ref()?))) {
            p.between.keeps { "between: " (badge(&split.number)) " " (name(&split.station)) " closes "
                (clock(cutoff)) ", likely there " (clock_beside(&split.likely, Some(cutoff))) }
        } }
    }

    /// The work there, in the order in which it is done.
    fn work(&self) -> Vec<SheetRow> {
        let met = self.met;
        let mut rows: Vec<SheetRow> = Vec::new();
        let mut add = |word, list: Vec<Markup>| {
            if !list.is_empty() {
                rows.push((word, listed(&list)));
            }
        };
        add("Lay out", names(&met.bring));
        let bag = self.plan.bag_visit_at(&met.number);
        if let Some(pickup) = self.pickup.filter(|_| !met.is_finish) {
            let water = met.water.as_ref();
            let water = water.map(|water| html! { "bring " (water.text) " of water: none here" });
            let drawn = pickup.flasks.iter().map(parts::flask_drawn);
            let words = pickup.flasks_words.iter().map(|words| name(words));
            let fill = html! { @for one in drawn { (one) " " } (listed(&words.chain(water).collect::<Vec<_>>())) };
            if pickup.flasks_words.is_some() || met.water.is_some() {
                add("Fill", vec![fill]);
            }
            let from = |source| {
                let here = pickup.here.iter().filter(move |one| one.source == source);
                here.map(parts::serving).collect::<Vec<_>>()
            };
            let mut feed = Vec::new();
            for (source, words) in [
                ("crew", ""),
                ("station", " from the table"),
                ("bag", " from the bag"),
                ("start", " from the pockets"),
            ] {
                let list = from(source);
                if !list.is_empty() {
                    feed.push(html! { (listed(&list)) (words) });
                }
            }
            if !feed.is_empty() {
                add("Feed", vec![parts::joined(&feed, "; ")]);
            }
        }
        let alerts = |cold: bool| -> Vec<Markup> {
            let all = self.pickup.into_iter().flat_map(|pickup| &pickup.alerts);
            let wanted = all.filter(|alert| alert.is_cold() == cold);
            let said = wanted.map(|alert| match cold {
                true => name(alert.told()),
                false => html! { (alert.brief) ": " (name(&alert.act)) },
            });
            said.collect()
        };
        let mut dress = alerts(true);
        dress.extend(names(&met.dress_ahead));
        add("Dress", dress);
        add("Tell", alerts(false));
        let tabled = self
            .pickup
            .into_iter()
            .flat_map(PickupFacts::from_the_table);
        let tabled: Vec<Markup> = tabled.map(parts::serving).collect();
        if !tabled.is_empty() {
            add(
                "To carry",
                vec![html! { (listed(&tabled)) " from the table" }],
            );
        }
        let mut give = parts::servings(&met.servings);
        give.extend(names(&met.gear));
        add("Hand over", give);
        let doses = self.plan.doses_at(&met.number);
        let doses = doses.filter_map(|dose| Some(name(&dose.told()?)));
        add("Caffeine", doses.collect());
        if let Some(bag) = bag {
            let mut out: Vec<Markup> = bag
                .servings
                .iter()
                .map(|one| self.out_of_bag(one))
                .collect();
            out.extend(names(&bag.gear));
            add("From bag", out);
            add("Into bag", names(&bag.leave));
        }
        add("Take back", names(&met.take_back));
        if let Some(pickup) = self.pickup.filter(|_| self.at > 0) {
            let of_bag = |of: fn(&BagVisitFacts) -> &Vec<String>| bag.into_iter().flat_map(of);
            let others = |gear: &[String], known: Vec<&String>| -> Vec<Markup> {
                let new = gear.iter().filter(|one| !known.contains(one));
                new.map(|one| name(one)).collect()
            };
            let got = met.gear.iter().chain(of_bag(|bag| &bag.gear)).collect();
            let left = (met.take_back.iter())
                .chain(of_bag(|bag| &bag.leave))
                .collect();
            add("Put on", others(&pickup.gear_on, got));
            add("Leave here", others(&pickup.gear_off, left));
        }
        let lamp = met.lamp.iter();
        let lamp = lamp.map(|lamp| html! { "bright, battery full? " (lamp.words()) });
        let changes = met
            .lamp_changes
            .iter()
            .map(|change| html! { b { (name(change)) } });
        add("Lamp", lamp.chain(changes).collect());
        add(
            "Pacer on",
            met.stints.iter().map(|stint| self.stint(stint)).collect(),
        );
        let off = |who: &String| html! { (name(who)) ": food, dry clothes, into the car" };
        add("Pacer off", met.pacers_off.iter().map(off).collect());
        if met.is_finish {
            let after = "dry clothes, blanket, drink to thirst, food; stay together for an hour";
            add("After", vec![html! { (after) }]);
        }
        rows
    }

    /// A food out of the bag, with how many of it are for later.
    fn out_of_bag(&self, one: &ServingFacts) -> Markup {
        let later = self.pickup.into_iter().flat_map(|pickup| &pickup.for_later);
        let later = later.filter(|kept| kept.food == one.food && kept.source == one.source);
        let later: u32 = later.map(|kept| kept.count).sum();
        html! {
            (parts::serving(one))
            @if later >= one.count { " (for later)" }
            @else if later > 0 { " (" (one.count - later) " now, " (later) " later)" }
        }
    }

    /// The stretch of a pacer, the time to be ready, and the things to have for it.
    fn stint(&self, stint: &StintFacts) -> Markup {
        let helpers = self.plan.helpers.as_ref();
        let phone = helpers.and_then(|helpers| helpers.number_of(&stint.name));
        html! {
            b { (name(&stint.name)) } @if let Some(phone) = phone { " " (name(phone)) }
            ", ready by " (clock(&stint.ready)) "; " (clock(&stint.from)) " to " (clock(&stint.to))
            " (" (stint.time.text) ", " (stint.length.text) ") to " (badge(&stint.until_number)) " " (name(&stint.until))
            "; food, drink" @if stint.dark { ", lamp" } " of their own"
            @if !stint.brought_by.is_empty() { "; comes with " (listed(&names(&stint.brought_by))) }
        }
    }
}
