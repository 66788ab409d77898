//! The needs of each segment, with the findings and the cautions.

use crate::facts::{BodyFacts, DoseFacts, Facts, PickupFacts, PlanFacts, SegmentFacts};

use super::cells::need;
use super::document::{Block, Column, Document, Item, Table, Tone};
use super::parts::fact;
use super::things::said;
use super::{Needs, Report, cells, found, opening};

/// `sutler fuel`
pub(super) const REPORT: Report = Report {
    name: "fuel",
    about: "fluid, sodium, carbohydrate and energy per segment, with cautions",
    needs: Needs::Target,
    keys: "course start zone units finish evidence level_speed_mps verdict without segments \
           body findings cautions warnings",
    stages: &["fueling", "packing"],
    build,
};

fn build(facts: &Facts) -> Document {
    let mut document = opening::titled(facts, "Needs");
    let Some(plan) = facts.planned() else {
        return document;
    };
    push_watch(&mut document, plan);
    document.section("Needs per segment, the stop before it included");
    push_needs(&mut document, facts, plan);
    found::push_findings(&mut document, "Findings", REPORT.findings(facts));
    let mut lines = opening::race(facts);
    lines.extend(body(plan));
    document.section("The race");
    document.push(Block::Facts(lines));
    found::push_cautions(&mut document, plan);
    document
}

/// The rhythm: what is eaten and drunk from each supply point to the next.
fn push_watch(document: &mut Document, plan: &PlanFacts) {
    let item = |pickup: &PickupFacts| {
        let mut item = Item::new(
            Tone::Strong,
            format!(
                "{} {}, {}",
                pickup.number, pickup.station, pickup.departure.text
            ),
        );
        let here: Vec<String> = pickup.here.iter().map(|one| one.text.clone()).collect();
        item.under.extend(said("at the table:", here));
        item.under.push(pickup.watch.clone());
        let differs = pickup.differs.as_ref();
        item.under
            .extend(differs.map(|differs| format!("that is {differs}")));
        let alerts = pickup.alerts.iter().map(|alert| alert.words.clone());
        item.under.extend(alerts);
        item
    };
    document.list("By the watch", plan.pickups.iter().map(item));
}

/// A row a segment, the sums, what the columns mean.
pub(super) fn push_needs(document: &mut Document, facts: &Facts, plan: &PlanFacts) {
    document.push(Block::Table(needs(facts, plan)));
    document.say(totals(&plan.body));
    document.say(format!(
        "Sweat, drink and carry in {}; drink counts the water in food. These are estimates of what to \
         carry, not a drinking schedule: drink less if you are not thirsty. Na is sodium, not salt.",
        facts.race.0.units.volume
    ));
}

/// The origin of the figures, and the body mass to expect.
pub(super) fn body(plan: &PlanFacts) -> Vec<(String, String)> {
    let body = &plan.body;
    let sweat = format!(
        "{}; -{} / +{}",
        body.sweat_from, body.sweat_less.number, body.sweat_more.text
    );
    let mut lines = vec![fact("Sweat rate", sweat)];
    lines.extend(body.start_mass.as_ref().map(|start| {
        fact(
            "Body mass",
            format!(
                "{} at the start; about {} less at the finish as planned ({:.1} to {:.1} %)",
                start.text, body.expected_loss.text, body.loss_low_pct, body.loss_high_pct,
            ),
        )
    }));
    lines.extend(caffeine(body));
    if !body.assumed.is_empty() {
        lines.push(fact("Assumed", body.assumed.join("; ")));
    }
    lines
}

/// Doses of caffeine, and what is left of each when the next comes and at the finish.
fn caffeine(body: &BodyFacts) -> Option<(String, String)> {
    let dose = |dose: &DoseFacts| {
        let active = if dose.active.value >= 1.0 {
            format!(", {} still active", dose.active.text)
        } else {
            String::new()
        };
        let what = dose.words().unwrap_or_else(|| dose.dose.text.clone());
        format!("{what} at {} ({}){active}", dose.station, dose.at.text)
    };
    let doses: Vec<String> = body.caffeine_doses.iter().map(dose).collect();
    (!doses.is_empty()).then(|| {
        let end = format!(
            "about {} still active at the finish; it halves every 5 h or so",
            body.caffeine_at_finish.text
        );
        fact("Caffeine", format!("{}; {end}", doses.join("; ")))
    })
}

fn needs(facts: &Facts, plan: &PlanFacts) -> Table {
    let units = &facts.race.0.units;
    let right = Column::right;
    let mut columns = vec![
        right("", "number").of(|s: &SegmentFacts| cells::number(&s.number)),
        Column::left("To", "to").of(|s| cells::name(&s.to)),
        right("Time", "time_s").of(|s| need(s, |n| cells::measure(&n.time))),
        right(&units.temperature, "temp_c")
            .of(|s| need(s, |n| cells::maybe(n.temp.as_ref(), cells::measure))),
        right("sweat/h", "sweat_ml_per_h").of(|s| need(s, |n| cells::measure(&n.sweat))),
        right("drink", "fluid_ml").of(|s| need(s, |n| cells::measure(&n.fluid))),
        right("carry", "carry_ml").of(|s| need(s, |n| cells::measure(&n.carry))),
        right("Na mg", "sodium_mg").of(|s| need(s, |n| cells::or_dash(&n.sodium))),
        right("carb g", "carbs_g").of(|s| need(s, |n| cells::or_dash(&n.carbs))),
        right("kcal", "energy_kcal").of(|s| need(s, |n| cells::or_dash(&n.energy))),
    ];
    if !plan.body.caffeine_doses.is_empty() {
        columns
            .push(right("caf mg", "caffeine_mg").of(|s| need(s, |n| cells::or_dash(&n.caffeine))));
    }
    Table::of(&facts.segments, columns)
}

/// The whole race in one line.
fn totals(body: &BodyFacts) -> String {
    let caffeine = if body.caffeine_total.value > 0.0 {
        format!(", {} of caffeine", body.caffeine_total.text)
    } else {
        String::new()
    };
    format!(
        "In all: {} to drink, {} of sodium, {} of carbohydrate, {} burned{caffeine}.",
        body.fluid_total.text,
        body.sodium_total.text,
        body.carbs_total.text,
        body.energy_total.text,
    )
}
