//! The pace card: what to know between any two stations, in panels to cut out and fold.

use maud::{Markup, html};

use crate::facts::{Facts, Moment, PickupFacts, PlanFacts, SegmentFacts, SplitFacts};

use super::parts::{self, badge, clock_beside, listed, mark, name};
use super::{CardSize, Page, Wishes, sheets};

/// What a runner carries.
pub(super) const PAGE: Page = Page {
    name: "card",
    title: "Pace card",
    about: "the pace card: what to know between any two stations",
    has_use: |facts| facts.planned().is_some(),
    build,
};

/// From this share of a segment in the dark on, all of it is shaded.
const MOSTLY: f64 = 0.5;
/// Below this share nobody needs to be told of the dark.
const SOME: f64 = 0.05;

fn build(facts: &Facts, wishes: &Wishes) -> Markup {
    let Some(plan) = facts.planned() else {
        return html! {};
    };
    let verdict = html! {
        div.piece {
            (parts::verdict(&plan.verdict))
            @if let Some(start) = &facts.race.0.start_words { p.tag { "Start " (start) } }
        }
    };
    let before = std::iter::once(None).chain(plan.splits.iter().map(Some));
    let stops = before.zip(&plan.splits).enumerate();
    let pieces = html! {
        (verdict)
        @for (index, (before, split)) in stops {
            @let day = before.map(|before| &before.arrival);
            @let stop = CardStop::at(facts, plan, index, split, day);
            @if wishes.size == CardSize::Wrist { (stop.row()) } @else { (stop.piece(wishes)) }
        }
        (closing(facts, plan, wishes))
    };
    sheets::panels(facts, wishes, &pieces)
}

/// A station with all that the card says about it and about the way on.
struct CardStop<'a> {
    split: &'a SplitFacts,
    /// The way to the next station; nothing at the finish.
    way: Option<&'a SegmentFacts>,
    pickup: Option<&'a PickupFacts>,
    has_water: bool,
    /// The arrival before, whose day need not be said again.
    before: Option<&'a Moment>,
}

impl<'a> CardStop<'a> {
    fn at(
        facts: &'a Facts,
        plan: &'a PlanFacts,
        index: usize,
        split: &'a SplitFacts,
        before: Option<&'a Moment>,
    ) -> CardStop<'a> {
        let mut pickups = plan.pickups.iter();
        CardStop {
            split,
            way: facts.segments.get(index),
            pickup: pickups.find(|pickup| pickup.number == split.number),
            has_water: facts.stations[index].has_water,
            before,
        }
    }

    fn piece(&self, wishes: &Wishes) -> Markup {
        html! {
            section.piece {
                (self.station())
                @if let Some(way) = self.way { (self.way_on(way, wishes)) }
            }
        }
    }

    fn station(&self) -> Markup {
        let split = self.split;
        html! {
            div.at.dark[split.dark] {
                (badge(&split.number))
                div {
                    p.name {
                        span.clamp {
                            (name(&split.station))
                            @let marks = marks(split);
                            @if !marks.is_empty() {
                                " " span.together { @for one in marks { (mark(one)) " " } }
                            }
                        }
                    }
                    p { (parts::joined(&self.limits(), " ")) }
                }
                div.times {
                    (clock_beside(&split.arrival, self.before))
                    @if split.stop.is_some() && self.way.is_some() {
                        p { "go " b { (split.departure.clock) } }
                    }
                }
            }
        }
    }

    /// Where it is, its cutoff with the time in hand, and whether it is dry.
    fn limits(&self) -> Vec<Markup> {
        let split = self.split;
        let mut limits = vec![html! { span.together { (split.official.text) } }];
        limits.extend(limit(split));
        limits.extend(leave_by(split));
        if !self.has_water && self.way.is_some() {
            limits.push(mark("DRY"));
        }
        limits
    }

    fn way_on(&self, way: &SegmentFacts, wishes: &Wishes) -> Markup {
        let Some(pace) = way.pace.as_ref().map(|pace| &pace.0) else {
            return html! {};
        };
        let dark = pace.dark_share.value;
        html! {
            div.way.dark[dark >= MOSTLY] {
                p {
                    span.mark.full[pace.going == "hike"] { (pace.going.to_uppercase()) } " "
                    b.together { (way.official_length.text) } " "
                    span.together { "↑" (way.climb.number) " ↓" (way.descent.text) }
                    @if !wishes.by_feel { " " span.together { b { (pace.pace.number) } " /" (unit_of(&way.official_length.text)) } }
                    @if dark >= SOME { " " (parts::night_bar(dark)) }
                }
                @if let Some(pickup) = self.pickup { (leave_with(pickup)) }
            }
        }
    }

    /// The same for a band around the wrist: times, cutoff, drink.
    fn row(&self) -> Markup {
        let split = self.split;
        let mut more: Vec<Markup> = limit(split).into_iter().collect();
        more.extend(leave_by(split));
        if let Some(pickup) = self.pickup {
            let fills = parts::flasks(&pickup.flasks);
            if !fills.is_empty() {
                more.push(html! { span { (parts::joined(&fills, " + ")) } });
            }
        }
        html! {
            section.piece {
                div.stop-row.dark[split.dark] {
                    (badge(&split.number))
                    span.name { (name(&split.station)) }
                    (clock_beside(&split.arrival, self.before))
                    @if !more.is_empty() { p.more { (parts::joined(&more, " ")) } }
                }
            }
        }
    }
}

/// A cutoff with the time in hand, kept together.
fn limit(split: &SplitFacts) -> Option<Markup> {
    let cutoff = split.cutoff.as_ref()?;
    let word = match split.cutoff_on {
        Some("departure") => "out by",
        _ => "in by",
    };
    Some(html! {
        span.together {
            (word) " " b { (cutoff.beside(&split.arrival)) }
            @if let Some(margin) = &split.margin { " (" (margin.text) ")" }
        }
    })
}

/// The latest departure that still meets every later cutoff.
fn leave_by(split: &SplitFacts) -> Option<Markup> {
    let by = split.latest_departure.as_ref()?;
    Some(html! { span.together { "leave by " b { (by.beside(&split.arrival)) } } })
}

/// What to eat on the spot, flasks and pockets on leaving, and what is taken along for later.
fn leave_with(pickup: &PickupFacts) -> Markup {
    let mut things = Vec::new();
    let fills = parts::flasks(&pickup.flasks);
    if !fills.is_empty() {
        things.push(parts::joined(&fills, " + "));
    } else if pickup.flasks.is_empty() && pickup.fluid.value > 0.0 {
        things.push(html! { span { (pickup.fluid.text) } });
    }
    things.extend(parts::servings(&pickup.take));
    let (here, later) = (
        parts::servings(&pickup.here),
        parts::servings(&pickup.for_later),
    );
    html! {
        @if !here.is_empty() { p.to { b { "Here: " } (listed(&here)) } }
        @if !things.is_empty() {
            p.to { b { "To " (pickup.until_number) ": " } (listed(&things)) }
        }
        @if !later.is_empty() { p.to { b { "For later: " } (listed(&later)) } }
    }
}

/// The unit that a printed measure ends with.
fn unit_of(text: &str) -> &str {
    text.rsplit(' ').next().unwrap_or_default()
}

fn marks(split: &SplitFacts) -> Vec<&'static str> {
    let all = [
        (split.meets_crew, "C"),
        (split.opens_bag, "B"),
        (split.pacer_joins, "P"),
    ];
    let shown = all.into_iter().filter(|(shown, _)| *shown);
    shown.map(|(_, word)| word).collect()
}

/// The meaning of every mark that occurs, then the cautions.
fn closing(facts: &Facts, plan: &PlanFacts, wishes: &Wishes) -> Markup {
    let any = |has: fn(&SplitFacts) -> bool| plan.splits.iter().any(has);
    let wrist = wishes.size == CardSize::Wrist;
    let mut legend = Vec::new();
    let mut explain = |occurs: bool, words: Markup| {
        if occurs {
            legend.push(words);
        }
    };
    explain(
        any(|split| split.cutoff.is_some()),
        html! { "In by, out by: the cutoff (time in hand)" },
    );
    explain(
        any(|split| split.latest_departure.is_some()),
        html! { "Leave by: or a later cutoff is lost" },
    );
    explain(
        !wrist && any(|split| split.meets_crew),
        html! { (mark("C")) " crew" },
    );
    explain(
        !wrist && any(|split| split.opens_bag),
        html! { (mark("B")) " drop bag" },
    );
    explain(
        !wrist && any(|split| split.pacer_joins),
        html! { (mark("P")) " a pacer joins" },
    );
    let between = facts.stations.iter().filter(|at| !at.is_finish);
    explain(
        !wrist && between.clone().any(|at| !at.has_water),
        html! { (mark("DRY")) " no water" },
    );
    let dark = any(|split| split.dark);
    explain(dark, html! { "Grey: dark" });
    let bars = facts.segments.iter().filter_map(|way| way.pace.as_ref());
    let in_part = bars.clone().any(|pace| pace.0.dark_share.value >= SOME);
    explain(!wrist && in_part, html! { "Black bar: share in the dark" });
    explain(
        !wrist && plan.pickups.iter().any(|pickup| !pickup.take.is_empty()),
        html! { "To: drink and eat until there" },
    );
    html! {
        section.piece.closing {
            @if let (false, Some(pct)) = (wrist, plan.pacing.hike_from_pct) {
                p { "Climbs of " b { (pct) " %" } " and more: hike, running gains nothing." }
            }
            p { (parts::joined(&legend, " · ")) }
            @if let Some(marks) = plan.repeated_hour { p { (marks) } }
            @for caution in parts::SHORT_CAUTIONS { p { b { (caution) } } }
        }
    }
}
