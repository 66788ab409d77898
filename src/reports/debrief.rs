//! One long run, what it showed beside the plan, and what the record proposes.

use crate::facts::{
    DebriefFacts, EffectFacts, Facts, IntakeHourFacts, RateFacts, RemarkFacts, SlopeFacts,
};

use super::document::{Block, Cell, Column, Document, Item, Table, Tone, Verdict};
use super::parts::fact;
use super::{Needs, Report, cells, found, unknowns};

/// `sutler debrief`
pub(super) const REPORT: Report = Report {
    name: "debrief",
    about: "lessons of a long run, and the runner figures it proposes",
    needs: Needs::Verb,
    keys: "course debrief cautions warnings",
    stages: &[],
    build,
};

fn build(facts: &Facts) -> Document {
    let Some(debrief) = &facts.debrief else {
        return Document::default();
    };
    let mut document = Document::titled(format!("Debrief: {}, {}", debrief.name, debrief.date));
    document.push(Block::Verdict(verdict(debrief)));
    document.push(Block::Facts(lines(debrief)));
    push_moving(&mut document, facts, debrief);
    push_intake(&mut document, facts, debrief);
    if !debrief.noted.is_empty() {
        document.section("Noted");
        document.push(Block::List(debrief.noted.iter().map(remark).collect()));
    }
    let advice = debrief.advice.iter();
    document.list(
        "What to change",
        advice.map(|says| Item::new(Tone::Warning, says)),
    );
    document.section("Proposed for the runner");
    document.points(&debrief.proposed.lines);
    if !debrief.effects.is_empty() {
        document.table(
            "What that changes in the plan",
            Table::of(
                &debrief.effects,
                vec![
                    Column::left("", "figure").of(|effect: &EffectFacts| Cell::new(effect.words)),
                    Column::right("now", "before").of(|effect| cells::text(&effect.before)),
                    Column::right("with it", "after").of(|effect| cells::text(&effect.after)),
                ],
            ),
        );
    }
    document.say(unknowns::THIRST);
    if let Some(plan) = facts.planned() {
        found::push_cautions(&mut document, plan);
    }
    document
}

/// What to change, the first of it in full.
fn verdict(debrief: &DebriefFacts) -> Verdict {
    let lines = match debrief.advice.as_slice() {
        [] => {
            vec!["Nothing to change: it went as the plan has it, as far as was noted.".to_owned()]
        }
        [only] => vec!["One thing to change:".to_owned(), only.clone()],
        [first, more @ ..] => vec![
            format!("{} things to change; the first:", more.len() + 1),
            first.clone(),
        ],
    };
    Verdict { holds: true, lines }
}

fn lines(debrief: &DebriefFacts) -> Vec<(String, String)> {
    let mut lines = vec![fact("Time", debrief.time.text.clone())];
    if let Some(moving) = &debrief.moving {
        lines.push(fact(
            "Distance",
            format!(
                "{}, {} up, {} down",
                moving.distance.text, moving.climb.text, moving.descent.text
            ),
        ));
        let pace = format!("{} at {}", moving.moving.text, moving.pace.text);
        lines.push(fact("Moving", pace));
        lines.push(fact("Stops", moving.stops_words.clone()));
        lines.push(fact("Drift", moving.drift_words.clone()));
    }
    lines.extend(debrief.weather.iter().map(|words| fact("Weather", words)));
    lines.push(fact("Sweat rate", debrief.sweat_words.clone()));
    if let Some(score) = debrief.stomach {
        lines.push(fact("Stomach", format!("{score} of 10 at worst")));
    }
    if !debrief.hot_spots.is_empty() {
        lines.push(fact("Hot spots", debrief.hot_spots.join(", ")));
    }
    lines
}

fn push_moving(document: &mut Document, facts: &Facts, debrief: &DebriefFacts) {
    let Some(moving) = &debrief.moving else {
        return;
    };
    let symbol = &facts.race.0.units.distance;
    document.table(
        "Moving",
        Table::of(
            &moving.slopes,
            vec![
                Column::left("Ground", "ground").of(|slope: &SlopeFacts| cells::name(slope.ground)),
                Column::right(format!("Length {symbol}"), "length_m")
                    .of(|slope| cells::measure(&slope.length)),
                Column::right(format!("Pace /{symbol}"), "pace_s_per_km")
                    .of(|slope| cells::maybe(slope.pace.as_ref(), cells::measure)),
            ],
        ),
    );
    document.say(
        "Up and down: steeper than 2.5 % over 200 m. What this says of your fade, climbs and \
         descents by itself is in the record; what all its runs say together is below.",
    );
}

fn push_intake(document: &mut Document, facts: &Facts, debrief: &DebriefFacts) {
    if debrief.rates.iter().all(|rate| rate.run.is_none()) {
        return;
    }
    document.table(
        "What went in",
        Table::of(
            &debrief.rates,
            vec![
                Column::left("Per hour", "rate").of(|rate: &RateFacts| {
                    let unit = rate.plan.text.split_once(' ').map_or("", |(_, unit)| unit);
                    Cell::with_raw(format!("{} {unit}", rate.words), rate.words.to_lowercase())
                        .tone(Tone::Strong)
                }),
                Column::right("This run", "run")
                    .of(|rate| cells::maybe(rate.run.as_ref(), cells::measure)),
                Column::right("Race plan", "plan").of(|rate| cells::measure(&rate.plan)),
                Column::right("Share", "share")
                    .of(|rate| cells::maybe(rate.share.as_ref(), cells::share)),
            ],
        ),
    );
    if debrief.hours.is_empty() {
        return;
    }
    let volume = format!("Fluid {}", facts.race.0.units.volume);
    document.push(Block::Table(Table::of(
        &debrief.hours,
        vec![
            Column::left("Hour", "until_s").of(|hour: &IntakeHourFacts| {
                Cell::with_raw(format!("until {}", hour.until.text), hour.until.raw())
            }),
            Column::right(volume, "fluid_ml").of(|hour| cells::measure(&hour.fluid)),
            Column::right("Carbs g", "carbs_g").of(|hour| cells::or_dash(&hour.carbs)),
            Column::right("Na mg", "sodium_mg").of(|hour| cells::or_dash(&hour.sodium)),
        ],
    )));
}

fn remark(remark: &RemarkFacts) -> Item {
    Item::new(
        Tone::Plain,
        match &remark.at {
            Some(at) => format!("{} {}", at.text, remark.words),
            None => remark.words.clone(),
        },
    )
}
