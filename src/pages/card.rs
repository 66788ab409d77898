//! The pace card: what to know between any two stations, in panels to cut out and fold, or on a
//! band around the wrist.

use std::ops::Range;

use maud::{Markup, html};

use crate::facts::{
    Facts, LampChangeFacts, Moment, PickupFacts, PlanFacts, SegmentFacts, SplitFacts, SwitchFacts,
};
use crate::time::Elapsed;

use super::parts::{self, badge, clean, fills, listed, mark, name, names};
use super::skyline::Strips;
use super::{CardSize, Page, Wishes, sheets, shell};

/// The pace card that a runner carries.
pub(super) const PAGE: Page = Page {
    name: "card",
    title: "Pace card",
    about: "the pace card: what to know between any two stations",
    has_use: |facts| facts.planned().is_some(),
    build,
    viewport: shell::PAPER_WIDTH,
    glimpse,
};

fn build(facts: &Facts, wishes: &Wishes) -> Markup {
    let Some(plan) = facts.planned() else {
        return html! {};
    };
    let card = Card::of(facts, plan, wishes);
    let pieces = html! {
        (card.opening())
        (card.stops(0..plan.splits.len()))
        (card.closing())
    };
    sheets::panels(wishes, &pieces)
}

/// The first panel and part of the second.
fn glimpse(facts: &Facts) -> Markup {
    let wishes = Wishes::default();
    html! { @if let Some(plan) = facts.planned() {
        @let card = Card::of(facts, plan, &wishes);
        div.pocket.row {
            (sheets::panel(&html! { (card.opening()) (card.stops(0..1)) }))
            (sheets::panel(&card.stops(1..plan.splits.len().min(3))))
        }
    } }
}

/// The card of one plan.
struct Card<'a> {
    facts: &'a Facts,
    plan: &'a PlanFacts,
    wishes: &'a Wishes,
    strips: Strips<'a>,
}

/// A station with all that the card says about it and about the way on.
struct CardStop<'a> {
    card: &'a Card<'a>,
    index: usize,
    split: &'a SplitFacts,
    /// The way to the next station; nothing at the finish.
    way: Option<&'a SegmentFacts>,
    pickup: Option<&'a PickupFacts>,
    /// Up to when the finishes of the plan are worth going for.
    switch: Option<&'a SwitchFacts>,
    /// The arrival before, whose day need not be said again.
    before: Option<&'a Moment>,
}

/// A time in its column: what it is, and the clock.
struct Timed<'a> {
    label: String,
    clock: &'a str,
    is_missed: bool,
    /// True where it is the limit that comes first.
    binds: bool,
    /// The label of a limit in one word, for a wrist.
    word: &'static str,
}

impl<'a> Timed<'a> {
    fn at(label: impl Into<String>, at: &'a Moment) -> Timed<'a> {
        Timed {
            label: label.into(),
            clock: &at.clock,
            is_missed: false,
            binds: false,
            word: "",
        }
    }

    fn limit(label: String, at: &'a Moment, word: &'static str) -> Timed<'a> {
        Timed {
            word,
            ..Timed::at(label, at)
        }
    }
}

impl<'a> Card<'a> {
    fn of(facts: &'a Facts, plan: &'a PlanFacts, wishes: &'a Wishes) -> Card<'a> {
        Card {
            facts,
            plan,
            wishes,
            strips: Strips::of(facts),
        }
    }

    fn is_band(&self) -> bool {
        self.wishes.size == CardSize::Wrist
    }

    /// Stations one below the other.
    fn stops(&self, which: Range<usize>) -> Markup {
        html! { @for index in which {
            @let stop = self.stop(index);
            @if self.is_band() { (stop.row()) } @else { (stop.piece()) }
        } }
    }

    fn stop(&self, index: usize) -> CardStop<'_> {
        let splits = &self.plan.splits;
        let before = index.checked_sub(1).map(|before| &splits[before].arrival);
        CardStop {
            card: self,
            index,
            split: &splits[index],
            way: self.facts.segments.get(index),
            // a wrist has no room for them
            switch: (self.plan.switches.iter())
                .filter(|_| !self.is_band())
                .find(|switch| switch.number == splits[index].number),
            pickup: self.plan.pickup_at(&splits[index].number),
            before,
        }
    }

    /// The verdict and the start; on a band what marks mean, too.
    fn opening(&self) -> Markup {
        let verdict = &self.plan.verdict;
        html! {
            div.piece.opening {
                @if self.is_band() {
                    div.front {
                        p.race { (name(&self.facts.race.0.course)) }
                        p.verdict.fails[!verdict.holds] {
                            b { (parts::on_paper(verdict.lines.first().map_or("", String::as_str))) }
                        }
                        p.heads { span {} span { "in" } span { "go" } span { "by" } }
                    }
                    div.back { p { "Black: drink; grey: water."
                        @for words in self.marks_legend() { " " (words) "." }
                    } }
                } @else {
                    (parts::paper_verdict(verdict.holds, verdict.without_cold()))
                    p.tag {
                        (name(&self.facts.race.0.course))
                        @if let Some(start) = &self.facts.race.0.start_words { ", " span.whole { "start " (start) } }
                        @else { "; all times from the start" }
                    }
                }
            }
        }
    }

    /// The meaning of what occurs and does not say itself what it is.
    fn legend(&self) -> Vec<Markup> {
        let plan = self.plan;
        let any = |has: fn(&SplitFacts) -> bool| plan.splits.iter().any(has);
        let any_dark = any(|split| split.dark) || self.facts.profile.dark.contains(&true);
        let all = [
            (
                any(|split| split.latest_departure.is_some()),
                "leave by: or a later cutoff is lost",
            ),
            (
                any(|split| split.margin.is_some()),
                "in by, out by: cutoff, and time in hand on plan",
            ),
            (self.strips.any_steep(), "black: climbs over 10 %"),
            (any_dark, "grey: dark"),
            (plan.is_cold(), parts::BY_FORECAST),
        ];
        let mut said: Vec<Markup> = (all.into_iter())
            .filter(|(occurs, _)| *occurs)
            .map(|(_, words)| html! { (words) })
            .collect();
        if let Some(switch) = plan.switches.first() {
            let goals = switch.goals.iter();
            let goals: Vec<Markup> = goals
                .map(|goal| html! { (goal.goal) " " (goal.finish) })
                .collect();
            said.insert(
                0,
                html! { (listed(&goals)) ": the finish to go for if in by then" },
            );
        }
        said.extend(
            self.marks_legend()
                .into_iter()
                .map(|words| html! { (words) }),
        );
        said.extend(plan.repeated_hour.map(|marks| html! { (marks) }));
        said
    }

    /// The marks beside names, as far as they occur.
    fn marks_legend(&self) -> Vec<&'static str> {
        let any = |has: fn(&SplitFacts) -> bool| self.plan.splits.iter().any(has);
        let mut between = self.facts.stations.iter().filter(|at| !at.is_finish);
        let alerted = |kind| {
            let mut pickups = self.plan.pickups.iter();
            self.is_band() && pickups.any(|pickup| pickup.is_alerted(kind))
        };
        let all = [
            (any(|split| split.meets_crew), "C crew"),
            (any(|split| split.opens_bag), "B drop bag"),
            (any(|split| split.pacer_joins), "P pacer joins"),
            (between.any(|at| !at.has_water), "DRY: no water"),
            (
                self.is_band() && any(|split| split.cold_to.is_some()),
                "COLD: all layers, hat, gloves",
            ),
            (alerted("dry"), "LOW: flasks run dry, find water"),
            (
                self.is_band() && !self.plan.lamp_changes.is_empty(),
                "LAMP: next battery",
            ),
        ];
        let all = all.into_iter().filter(|(occurs, _)| *occurs);
        all.map(|(_, words)| words).collect()
    }

    /// The cautions and the legend, wherever there is room for them.
    fn closing(&self) -> Markup {
        let said: &[&str] = match self.is_band() {
            true => &[
                "Confusion, collapse, chest pain: medical help.",
                "Officials and medical staff decide.",
            ],
            false => &parts::SHORT_CAUTIONS,
        };
        html! {
            section.piece.closing.anywhere {
                @for caution in said { p { b { (caution) } } }
                @if !self.is_band() { p { (parts::STOMACH) } }
            }
            @if !self.is_band() {
                p.piece.tag.anywhere { (parts::joined(&self.legend(), " · ")) }
            }
        }
    }
}

impl CardStop<'_> {
    fn piece(&self) -> Markup {
        let split = self.split;
        html! {
            section.piece {
                div.at.dark[split.dark] {
                    (badge(&split.number))
                    p.name {
                        span.clamp {
                            (name(&split.station))
                            @let marks = self.marks();
                            @if !marks.is_empty() { " " (mark(&marks.join(" "))) }
                        }
                    }
                    span.km { (split.official.text) }
                }
                div.when.dark[split.dark] { @for one in self.times() {
                    p.missed[one.is_missed].binds[one.binds] { small { (one.label) } b { (one.clock) } }
                }
                }
                (self.notes())
                @if let Some(way) = self.way { (self.way_on(way)) }
            }
        }
    }

    /// Up to when which finish is worth going for, the lamp on the way, and cold that goes on.
    fn notes(&self) -> Markup {
        let goals = self.switch.into_iter().flat_map(|switch| &switch.goals);
        let goals = goals.filter_map(|goal| Some((goal.goal, goal.until.as_ref()?)));
        let mut notes: Vec<Markup> = goals
            .map(|(goal, until)| html! { span.tag.together { (goal) " " b { (until.clock) } } })
            .collect();
        let lamps = self.lamps();
        notes.extend(
            lamps.map(|(words, at)| html! { span.together { (words) " " b { (at.clock) } } }),
        );
        let cold = self.cold_goes_on().into_iter();
        notes.extend(cold.map(|until| html! { span.together { "cold to " (badge(until)) } }));
        html! { @if !notes.is_empty() { p.notes { (parts::joined(&notes, "  ")) } } }
    }

    /// Times to come in, to go, to be gone at the latest, and the cutoff.
    fn times(&self) -> Vec<Timed<'_>> {
        let split = self.split;
        let arrival = &split.arrival;
        let new_day = arrival
            .day
            .filter(|day| self.before.and_then(|before| before.day) != Some(*day));
        let mut label = if self.index == 0 { "start" } else { "in" }.to_owned();
        label.extend(new_day.map(|day| format!(" {day}")));
        if self.card.wishes.elapsed && self.index > 0 && arrival.at.is_some() {
            label += &format!(" {}", arrival.elapsed);
        }
        let mut all = vec![Timed::at(label, arrival)];
        if split.stop.is_some() && self.way.is_some() {
            all.push(Timed::at("go", &split.departure));
        }
        all.extend(self.limits());
        all
    }

    /// The latest departure and the cutoff, the one that binds first before the other.
    fn limits(&self) -> Vec<Timed<'_>> {
        let split = self.split;
        let arrival = &split.arrival;
        let mut limits = Vec::new();
        if split.cutoff_unread {
            let limit = Timed {
                label: "cutoff not read".to_owned(),
                clock: "ask",
                is_missed: true,
                binds: true,
                word: "cutoff",
            };
            limits.push((Elapsed::ZERO, limit));
        }
        if let Some(by) = &split.latest_departure {
            let words = match split.if_in_by() {
                // it comes after the cutoff on arrival, in bold before it
                Some(_) => "go by",
                None => "leave by",
            };
            let is_missed = split.in_hand.as_ref().is_some_and(|hand| hand.value < 0.0);
            let missed = if is_missed { "MISSED " } else { "" };
            let label = format!("{missed}{words}{}", beside(by, arrival));
            let limit = Timed {
                is_missed,
                ..Timed::limit(label, by, "go")
            };
            limits.push((by.elapsed, limit));
        }
        if let Some(cutoff) = &split.cutoff {
            let is_missed = split.margin_is == Some("missed");
            let word = split.cutoff_word();
            let margin = split.margin.as_ref().map_or("", |margin| &margin.text);
            let missed = if is_missed { "MISSED " } else { "" };
            let label = format!("{missed}{word}{} {margin}", beside(cutoff, arrival));
            let limit = Timed {
                is_missed,
                ..Timed::limit(label, cutoff, word.trim_end_matches(" by"))
            };
            limits.push((cutoff.elapsed, limit));
        }
        limits.sort_by_key(|(at, _)| *at);
        let ranked = limits.into_iter().enumerate();
        ranked
            .map(|(rank, (_, limit))| Timed {
                binds: rank == 0,
                ..limit
            })
            .collect()
    }

    fn marks(&self) -> Vec<&'static str> {
        let split = self.split;
        // a card has room to say both in full
        let is_band = self.card.is_band();
        let is_dry = !self.card.facts.stations[self.index].has_water && self.way.is_some();
        let all = [
            (split.meets_crew, "C"),
            (split.opens_bag, "B"),
            (split.pacer_joins, "P"),
            (is_dry, "DRY"),
            (is_band && split.cold_to.is_some(), "COLD"),
            (is_band && self.lamp_changes().next().is_some(), "LAMP"),
            (
                is_band && self.pickup.is_some_and(|pickup| pickup.is_alerted("dry")),
                "LOW",
            ),
        ];
        let shown = all.into_iter().filter(|(shown, _)| *shown);
        shown.map(|(_, word)| word).collect()
    }

    /// The station as far as which it is cold, where that is not said in full here.
    fn cold_goes_on(&self) -> Option<&String> {
        let begins = self.pickup.is_some_and(|pickup| pickup.is_alerted("cold"));
        self.split.cold_to.as_ref().filter(|_| !begins)
    }

    fn lamp_changes(&self) -> impl Iterator<Item = &LampChangeFacts> {
        let changes = self.card.plan.lamp_changes.iter();
        changes.filter(|change| change.number == self.split.number)
    }

    fn way_on(&self, way: &SegmentFacts) -> Markup {
        let Some(pace) = way.pace.as_ref().map(|pace| &pace.0) else {
            return html! {};
        };
        let unit = way.official_length.text.rsplit(' ').next();
        html! {
            div.way {
                p {
                    span.mark.full[pace.going == "hike"] { (pace.going.to_uppercase()) } " "
                    b.together { (way.official_length.text) } " "
                    span.together { "↑" (way.climb.number) " ↓" (way.descent.text) }
                    @if !self.card.wishes.by_feel {
                        " " span.together { b { (pace.pace.number) } " /" (unit.unwrap_or_default()) }
                    }
                }
                (self.card.strips.drawn(self.index))
                @for change in self.lamp_changes() { p.to { b { "Lamp: " } (name(&change.brief)) } }
                @if let Some(pickup) = self.pickup { (self.leave_with(pickup)) }
            }
        }
    }

    /// Times at which the lamp goes on or off on the way.
    fn lamps(&self) -> impl Iterator<Item = (&str, &Moment)> {
        let plan = self.card.plan;
        let next = plan.splits.get(self.index + 1);
        let from = self.split.arrival.elapsed;
        let ahead = plan.sun.iter().filter(move |event| {
            let at = event.at.elapsed;
            event.words.contains("lamp")
                && from <= at
                && next.is_some_and(|n| at < n.arrival.elapsed)
        });
        ahead.map(|event| (event.words, &event.at))
    }

    /// Food on the spot, flasks on leaving, food and sips by the watch, gear, and what is for
    /// later.
    fn leave_with(&self, pickup: &PickupFacts) -> Markup {
        let here = parts::servings(&pickup.here);
        let later = parts::servings(&pickup.for_later);
        html! {
            @if !here.is_empty() { p.to { b { "Here: " } (listed(&here)) } }
            p.to {
                b { "To " (pickup.until_number) ": " }
                @if pickup.flasks.is_empty() && pickup.fluid.value > 0.0 { (pickup.fluid.text) "; " }
                @else if !pickup.flasks.is_empty() { (fills(&pickup.flasks)) "; " }
                bdi { (clean(&pickup.eat)) }
                @if let Some(sip) = &pickup.sip { "; " span.together { "sip " (sip.text) } }
                (self.doses(pickup))
                @if !later.is_empty() { b { " Later: " } (listed(&later)) }
                @if !pickup.reserve.is_empty() { b { " Reserve: " } (listed(&parts::servings(&pickup.reserve))) }
            }
            (self.changes(pickup))
        }
    }

    /// Doses of caffeine with their hour.
    fn doses(&self, pickup: &PickupFacts) -> Markup {
        html! { @for dose in self.card.plan.doses_at(&pickup.number) {
            @let what = dose.what.as_deref().unwrap_or_default();
            "; " b.together { @if !what.contains("caffeine") { "caffeine " } (dose.at.clock) } " " (name(what))
        } }
    }

    /// Gear on and off; at the start everything is put on, and the bag sheet has it.
    fn changes(&self, pickup: &PickupFacts) -> Markup {
        let changes = [("On: ", &pickup.gear_on), ("Off: ", &pickup.gear_off)];
        html! {
            @for alert in pickup.alerts.iter().filter(|_| !self.card.is_band()) {
                p.to { b { (alert.brief) ": " } (alert.act) }
            }
            @if self.index > 0 && changes.iter().any(|(_, gear)| !gear.is_empty()) {
                p.to { @for (word, gear) in changes {
                    @if !gear.is_empty() { b { (word) } (listed(&names(gear))) " " }
                } }
            }
        }
    }

    /// The same for a band around the wrist: times on one side, drink and food on the other.
    fn row(&self) -> Markup {
        let split = self.split;
        let limits = self.limits();
        html! {
            section.piece {
                div.front.dark[split.dark] {
                    (badge(&split.number))
                    p.name { (name(&split.station)) }
                    @if self.card.wishes.elapsed && split.arrival.at.is_some() { p.km { (split.arrival.elapsed) } }
                    @else if let Some(other) = limits.get(1) { p.km { (other.word) " " (other.clock) } }
                    b { (split.arrival.clock) }
                    b { @if split.stop.is_some() && self.way.is_some() { (split.departure.clock) } }
                    @if let Some(limit) = limits.first() {
                        b.by.missed[limit.is_missed] { small { (limit.word) } " " (limit.clock) }
                    }
                }
                @if self.way.is_some() {
                    div.back {
                        (badge(&split.number))
                        div {
                            @match self.pickup {
                                Some(pickup) => (self.pockets(pickup)),
                                None if self.marks().is_empty() => { p.to.tag { "straight on" } },
                                None => (mark(&self.marks().join(" "))),
                            }
                        }
                    }
                }
            }
        }
    }

    /// Flasks drawn and food, in as few words as a wrist has room for.
    fn pockets(&self, pickup: &PickupFacts) -> Markup {
        let here: Vec<Markup> = pickup.here.iter().map(|one| name(one.briefly())).collect();
        // what is packed for the start is in the pockets already
        let later = pickup.for_later.iter().filter(|_| self.index > 0);
        let later: Vec<Markup> = later.map(|one| name(one.briefly())).collect();
        let eat = pickup.take.iter().fold(pickup.eat.clone(), |eat, one| {
            eat.replace(&format!("1 handful of {}", one.food), &one.food)
        });
        let eat = eat.replace(" in turn", "");
        let marks = self.marks();
        html! {
            p.to {
                @if !marks.is_empty() { (mark(&marks.join(" "))) " " }
                @if !here.is_empty() { b { "Here " } (listed(&here)) "; " }
                @if pickup.flasks.is_empty() && pickup.fluid.value > 0.0 { (pickup.fluid.text) "; " }
                span.together { @for flask in &pickup.flasks { (parts::flask_drawn(flask)) " " } } " "
                @if !pickup.take.is_empty() { bdi { (clean(&eat)) } }
                (self.doses(pickup))
                @if !later.is_empty() { b { " Later " } (listed(&later)) }
            }
            (self.changes(pickup))
        }
    }
}

/// The day of a time, where it is not that of another.
fn beside(at: &Moment, other: &Moment) -> String {
    let day = at.day.filter(|day| other.day != Some(*day));
    day.map_or_else(String::new, |day| format!(" {day}"))
}
