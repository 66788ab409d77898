//! The rest of a race that goes differently: what was seen, and the ways on side by side.

use crate::facts::{
    AheadFacts, DO_NOT_PUSH, Facts, Measure, MeetingFacts, NeedAheadFacts, ReplanFacts, RestFacts,
    SeenFacts, SplitFacts,
};

use super::document::{Block, Cell, Column, Document, Table, Tone, Verdict};
use super::parts::fact;
use super::{Needs, Report, cells, found, opening, without};

/// `sutler replan`
pub(super) const REPORT: Report = Report {
    name: "replan",
    about: "the rest of the race from arrivals so far, the options side by side",
    needs: Needs::Verb,
    keys: "course start finish evidence level_speed_mps seen last_seen leave losses effort \
           needed chance lost_at goals go_for leave_by leave_now misses_cutoff ahead needs_ahead \
           hold_effort hold_finish stay_in cautions warnings",
    stages: &[],
    build,
};

const LEGEND: &str = "Early and late: of ten such races, one arrives before early and one after \
                      late. Leave by: the latest departure that still meets every later cutoff at \
                      that effort, and the station whose cutoff decides.";

fn build(facts: &Facts) -> Document {
    let mut document = Document::titled(format!("Replan: {}", facts.race.0.course));
    let (Some(plan), Some(replan)) = (facts.planned(), facts.replan.as_ref().map(|r| &r.0)) else {
        return document;
    };
    document.push(Block::Verdict(verdict(replan)));
    let effort = &replan.hold_effort;
    found::push_findings(&mut document, "Look at this first", &effort.findings);
    document.table("Ahead", ahead(replan));
    document.say(
        "Margins count to the station's own cutoff. Still in: the chance of making it and every \
         cutoff before it, as it goes.",
    );
    document.push(Block::Facts(lines(facts, replan)));
    document.table("Seen", seen(replan));
    push_way(&mut document, replan, effort, "As it goes", false);
    let holding = replan
        .hold_finish
        .as_ref()
        .filter(|_| out(replan).is_none());
    if let Some(rest) = holding {
        push_way(&mut document, replan, rest, "Holding the finish", true);
    }
    document.say(format!("{LEGEND}{}", opening::repeated_hour(plan)));
    document.table("Needs from here, as it goes", needs(facts, replan));
    document.say(
        "Estimates of what to carry; drink less if you are not thirsty. In brackets: as planned.",
    );
    push_changes(&mut document, effort);
    if !effort.crew.is_empty() {
        document.table("Crew, as it goes", crew(effort));
        let at = |met: &MeetingFacts| Some((met.out_at_number.clone()?, met.out_at.clone()?));
        if let Some((number, at)) = effort.crew.iter().find_map(at) {
            document.say(format!(
                "As it goes the runner is out at {number} {at}: ask race control before you drive on."
            ));
        }
    }
    if let Some(finish) = holding {
        found::push_findings(&mut document, "Holding the finish", &finish.findings);
    }
    found::push_cautions(&mut document, plan);
    document
}

/// The race by the day so far: the chance first, then the finish, then what to do.
fn verdict(replan: &ReplanFacts) -> Verdict {
    let lost = |at: &&AheadFacts| at.effort_margin_is == Some("missed");
    let chance = replan.chance.as_ref();
    let chance = chance.map(|chance| format!("{} to make every cutoff", chance.text));
    let most = replan.lost_at.as_ref();
    let most = most.map_or_else(String::new, |at| format!("; the hardest is {at}"));
    let out = out(replan);
    let chance = |most: &str| chance.map(|chance| format!("{chance}{most}"));
    let first = match (out, replan.ahead.iter().find(lost), replan.chance_is) {
        (Some(out), ..) => missed(replan, out),
        (None, Some(at), _) if replan.misses_cutoff => {
            let margin = at.effort_margin.as_ref().map_or("", |m| m.text.as_str());
            let late = match margin.trim_start_matches('-') {
                "0:00" => "less than a minute",
                late => late,
            };
            let chance = chance("").unwrap_or_default();
            format!(
                "Fails as it goes: {} is lost by {late}; {chance}.",
                at.station
            )
        }
        (None, None, _) if replan.misses_cutoff => "Fails: a cutoff is missed already.".to_owned(),
        (None, None, _) if replan.failure().is_some() => {
            let failure = replan.failure().map_or("", |failure| failure.text.as_str());
            // what else has the same cause stands below
            let failure = failure.split(';').next().unwrap_or_default();
            let chance = chance("").map_or_else(String::new, |chance| format!("; {chance}"));
            format!("Fails as it goes: {}{chance}.", failure.replace('`', ""))
        }
        (None, _, is) => match (chance(&most), is) {
            (Some(chance), Some("good")) => format!("Holds as it goes: {chance}."),
            (Some(chance), Some("doubtful")) => format!("Doubtful as it goes: {chance}."),
            (Some(chance), _) => format!("Unlikely as it goes: {chance}."),
            (None, _) => "Holds as it goes: no cutoff lies ahead.".to_owned(),
        },
    };
    let effort = &replan.hold_effort;
    let window = effort.splits.last().map_or_else(String::new, |last| {
        let late = last.late.beside(&last.early);
        format!(", 8 in 10 between {} and {late}", last.early.text)
    });
    let goes = match out.is_some() || replan.ahead.iter().any(|at| lost(&at)) {
        true => "if let on",
        false => "as it goes",
    };
    let clock = match effort.finish.at {
        Some(_) => format!(", {}", effort.finish.text),
        None => String::new(),
    };
    let finish = format!("Finish {goes}: {}{clock}{window}.", effort.finish_time);
    let first = match &replan.out_by {
        Some(by) if out.is_none() => {
            format!(
                "Out of {} by {}: cut the stop. {first}",
                replan.last_seen, by.text
            )
        }
        _ => first,
    };
    // who is out has nowhere to leave for
    let leave = replan.leave_by.as_ref().filter(|_| out.is_none());
    let leave = leave.map(|by| match replan.leave_now {
        true => format!(
            "Leave {} now, by {} at the latest.",
            replan.last_seen, by.text
        ),
        false => format!("Leave {} by {}.", replan.last_seen, by.text),
    });
    let stay = (replan.misses_cutoff && out.is_none()).then(|| match &replan.stay_in {
        Some(stay) => format!("To stay in: {}.", stay.words),
        None => format!("To stay in: out of reach; {DO_NOT_PUSH}."),
    });
    let lines = [Some(first), Some(finish), leave, stay]
        .into_iter()
        .flatten();
    Verdict {
        holds: !replan.fails(),
        lines: lines.collect(),
    }
}

/// The sighting after a cutoff that it missed.
fn out(replan: &ReplanFacts) -> Option<&SeenFacts> {
    let mut seen = replan.seen.iter();
    seen.find(|at| at.margin_is == Some("missed"))
}

/// A cutoff that the runner came too late for.
fn missed(replan: &ReplanFacts, out: &SeenFacts) -> String {
    let late = out
        .margin
        .as_ref()
        .map_or("", |margin| margin.text.as_str());
    let late = late.trim_start_matches('-');
    let cutoff = out.cutoff.as_ref().map_or("", |at| at.text.as_str());
    let mut splits = replan.hold_effort.splits.iter();
    let crew = match splits.any(|split| split.number == out.number && split.meets_crew) {
        true => "until then the crew stays with the runner",
        false => "no crew there: call race control, ask where the runner is brought",
    };
    format!(
        "Cutoff missed at {}, {late} late ({cutoff}): the race's officials decide; {crew}.",
        out.station
    )
}

fn lines(facts: &Facts, replan: &ReplanFacts) -> Vec<(String, String)> {
    let mut lines = opening::race(facts);
    if let Some(finish) = lines.iter_mut().find(|(name, _)| name == "Finish") {
        finish.0 = "Planned".to_owned();
    }
    lines.push(fact("Last seen", replan.last_seen_words.clone()));
    if !replan.losses.is_empty() {
        lines.push(fact("Without", replan.losses.join(", ")));
    }
    lines.push(fact("Effort so far", replan.effort.words.clone()));
    lines.push(fact("To hold the finish", replan.needed.words.clone()));
    if out(replan).is_none() {
        lines.extend((replan.go_for.iter()).map(|words| fact("Go for", words)));
        let stay = replan.stay_in.iter();
        lines.extend(stay.map(|stay| fact("To stay in", stay.words.clone())));
    }
    lines
}

/// Every arrival and departure that was seen.
fn seen(replan: &ReplanFacts) -> Table {
    let right = Column::right;
    Table::of(
        &replan.seen,
        vec![
            right("#", "number").of(|seen: &SeenFacts| cells::number(&seen.number)),
            Column::left("Station", "station").of(|seen| cells::name(&seen.station)),
            Column::left("", "event").of(|seen| {
                let did = if seen.event == "arrival" {
                    "reached"
                } else {
                    "left"
                };
                Cell::with_raw(did, seen.event).tone(Tone::Faint)
            }),
            right("Seen", "seen_s").of(|seen| cells::moment(&seen.at)),
            right("Planned", "planned_s").of(|seen| cells::moment(&seen.planned).tone(Tone::Faint)),
            right("Off", "off_s").of(|seen| cells::measure(&seen.off)),
            right("Cutoff", "cutoff_s")
                .of(|seen| cells::maybe(seen.cutoff.as_ref(), cells::moment)),
            right("Margin", "margin_s")
                .of(|seen| cells::margin(seen.margin.as_ref(), seen.margin_is)),
        ],
    )
}

/// The ways on beside the plan.
fn ahead(replan: &ReplanFacts) -> Table {
    let right = Column::right;
    let mut columns = vec![
        right("#", "number").of(|at: &AheadFacts| cells::number(&at.number)),
        Column::left("Station", "station").of(|at| cells::name(&at.station)),
        right("Planned", "planned_s").of(|at| cells::moment(&at.planned).tone(Tone::Faint)),
        right("As it goes", "effort_arrival_s").of(|at| cells::moment(&at.effort_arrival)),
        right("margin", "effort_margin_s")
            .of(|at| cells::hand(at.effort_margin.as_ref(), at.effort_chance_is)),
        right("still in", "effort_chance")
            .of(|at| cells::chance(at.effort_chance.as_ref(), at.effort_chance_is)),
    ];
    if replan.hold_finish.is_some() {
        columns.extend([
            right("Hold finish", "finish_arrival_s")
                .of(|at: &AheadFacts| cells::maybe(at.finish_arrival.as_ref(), cells::moment)),
            right("margin", "finish_margin_s")
                .of(|at| cells::margin(at.finish_margin.as_ref(), at.finish_margin_is)),
        ]);
    }
    Table::of(&replan.ahead, columns)
}

/// One way on: windows, cutoffs and latest departures, from where the runner is.
fn push_way(
    document: &mut Document,
    replan: &ReplanFacts,
    rest: &RestFacts,
    name: &str,
    is_run_for: bool,
) {
    document.section(format!("{name}: finish in {}", rest.finish_time));
    let here = rest.splits.len().saturating_sub(replan.ahead.len() + 1);
    let splits = &rest.splits[here..];
    let has_cutoffs = splits.iter().any(|split| split.cutoff.is_some());
    let right = Column::right;
    let mut columns = vec![
        right("#", "number").of(|split: &SplitFacts| cells::number(&split.number)),
        Column::left("Station", "station").of(|split| cells::name(&split.station)),
    ];
    let early = right("Early", "early_s")
        .of(|split: &SplitFacts| cells::clock(&split.early).tone(Tone::Faint));
    let late = right("Late", "late_s")
        .of(|split: &SplitFacts| cells::clock(&split.late).tone(Tone::Faint));
    // to hold a finish is to run these splits, whatever is likely
    match is_run_for {
        true => columns.push(right("Run", "arrival_s").of(|split| cells::moment(&split.arrival))),
        false => columns.extend([
            early,
            right("Likely", "arrival_s").of(|split| cells::moment(&split.arrival)),
            late,
        ]),
    }
    columns.push(right("Leave", "departure_s").of(|split| match split.stop {
        Some(_) => cells::clock(&split.departure),
        None => Cell::with_raw("", split.departure.elapsed.as_secs()),
    }));
    if has_cutoffs {
        columns.extend([
            right("Cutoff", "cutoff_s")
                .of(|split: &SplitFacts| cells::maybe(split.cutoff.as_ref(), cells::moment)),
            right("Leave by", "latest_departure_s").of(|split| match &split.latest_departure {
                Some(by) if by.elapsed < split.arrival.elapsed => {
                    Cell::with_raw("too late", by.elapsed.as_secs()).tone(Tone::Bad)
                }
                Some(by) if by.elapsed < split.departure.elapsed => {
                    cells::moment(by).tone(Tone::Bad)
                }
                Some(by) => cells::moment(by).tone(Tone::Faint),
                None => Cell::empty(),
            }),
            right("for", "binding").of(|split| {
                let number = split.binding_number.clone().unwrap_or_default();
                Cell::with_raw(number, split.binding.as_deref().unwrap_or_default())
                    .tone(Tone::Faint)
            }),
        ]);
    }
    let mut table = Table::of(splits, columns);
    if let (Some(row), false) = (table.rows.first_mut(), is_run_for) {
        // the runner is there already
        row[2].shown.clear();
        row[4].shown.clear();
    }
    document.push(Block::Table(table));
}

/// The needs of each segment ahead, beside the plan.
fn needs(facts: &Facts, replan: &ReplanFacts) -> Table {
    let right = Column::right;
    Table::of(
        &replan.needs_ahead,
        vec![
            right("", "number").of(|need: &NeedAheadFacts| cells::number(&need.number)),
            Column::left("To", "to").of(|need| cells::name(&need.to)),
            right("Time", "moving_s").of(|need| beside(&need.moving, &need.planned_moving)),
            right("dark", "dark_share").of(|need| cells::share(&need.dark_share)),
            right(facts.race.0.units.volume.as_str(), "fluid_ml")
                .of(|need| beside(&need.fluid, &need.planned_fluid)),
            right("Na mg", "sodium_mg").of(|need| beside(&need.sodium, &need.planned_sodium)),
            right("carb g", "carbs_g").of(|need| beside(&need.carbs, &need.planned_carbs)),
        ],
    )
}

/// A number now, and in brackets as planned where that is not the same.
fn beside(now: &Measure, planned: &Measure) -> Cell {
    let shown = if now.number == planned.number {
        now.number.clone()
    } else {
        format!("{} ({})", now.number, planned.number)
    };
    Cell::with_raw(shown, now.raw())
}

/// Changes at the supply points ahead.
fn push_changes(document: &mut Document, rest: &RestFacts) {
    document.section("What changes in bags and pockets, as it goes");
    if rest.changes.is_empty() {
        document.say("Nothing: take up what the plan says.");
        return;
    }
    let items = rest.changes.iter().map(without::item);
    document.push(Block::List(items.collect()));
}

/// Meetings of the crew still ahead.
fn crew(rest: &RestFacts) -> Table {
    let right = Column::right;
    Table::of(
        &rest.crew,
        vec![
            right("#", "number").of(|met: &MeetingFacts| cells::number(&met.number)),
            Column::left("Station", "station").of(|met| cells::name(&met.station)),
            right("Drive off by", "drive_off_by_s").of(super::crew::drive_off),
            right("Be there", "be_there_s").of(super::crew::be_there),
            right("Likely", "likely_s").of(|met| cells::moment(&met.likely)),
            right("Late", "late_s").of(|met| cells::clock(&met.late)),
            right("Leaves", "leaves_s").of(|met| cells::clock(&met.leaves)),
            Column::left("Only if", "out_at").of(only_if),
        ],
    )
}

/// The condition of a meeting that comes after the runner may be out.
fn only_if(met: &MeetingFacts) -> Cell {
    let at = met.out_at.as_deref().unwrap_or_default();
    let by = met.out_after.as_ref().map(|by| match met.cutoff_on {
        Some("departure") => format!("out by {}", by.clock),
        _ => format!("in by {}", by.clock),
    });
    let (shown, tone) = match (&met.out_at_number, by) {
        (Some(number), _) if *number != met.number => (format!("let on at {number}"), Tone::Bad),
        (Some(_), Some(by)) => (by, Tone::Bad),
        (None, Some(by)) => (by, Tone::Plain),
        _ => return Cell::empty(),
    };
    Cell::with_raw(shown, at).tone(tone)
}
