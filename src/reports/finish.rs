//! Finishes in reach: what past results point to, and what cutoffs allow.

use crate::facts::{EstimatedFinishFacts, Facts, OutlookFacts, PastFacts};
use crate::finish::WAYS;

use super::document::{Block, Cell, Column, Document, Table};
use super::parts::fact;
use super::{Needs, Report, cells, opening};

/// `sutler finish`
pub(super) const REPORT: Report = Report {
    name: "finish",
    about: "finishes in reach, from past results and from the cutoffs",
    needs: Needs::Verb,
    keys: "course estimate hoped target_words expected_words field_words at_risk cushion slowest_safe \
           slowest_safe_chance least_margin fastest slowest prospects warnings",
    stages: &[],
    build,
};

fn build(facts: &Facts) -> Document {
    let mut document = Document::titled(format!("Finish: {}", facts.race.0.course));
    let Some(outlook) = facts.outlook.as_ref().map(|outlook| &outlook.0) else {
        return document;
    };
    document.push(Block::Facts(lines(facts, outlook)));
    if let Some(estimate) = &outlook.estimate {
        document.table("From past results", past(facts, estimate));
        document.say(law_note(estimate));
    } else if outlook.expected_words.is_some() {
        document.say(
            "A past result tells more: `--past 50km/1800m/8:30:00`, or `[[past]]` in the plan.",
        );
    } else {
        document.say(format!("No estimate: {WAYS}."));
    }
    if outlook.prospects.iter().any(|one| !one.cutoffs.is_empty()) {
        document.table("Time in hand at each cutoff", margins(outlook));
    }
    document
}

fn lines(facts: &Facts, outlook: &OutlookFacts) -> Vec<(String, String)> {
    let target = outlook.target_words.iter();
    let mut lines: Vec<(String, String)> = target.map(|words| fact("Target", words)).collect();
    if let Some(estimate) = &outlook.estimate {
        let stops = if estimate.stops.value > 0.0 {
            format!(" · {} of each in stops", estimate.stops.text)
        } else {
            String::new()
        };
        lines.push(fact(
            "Likely",
            format!(
                "{}, 8 in 10 between {} and {}{stops}",
                estimate.likely.text, estimate.early.text, estimate.late.text
            ),
        ));
    }
    lines.extend((outlook.expected_words.iter()).map(|words| fact("Likely", words)));
    lines.extend((outlook.hoped_words.iter()).map(|words| fact("Planned", words)));
    lines.extend((outlook.field_words.iter()).map(|words| fact("Field", words)));
    lines.extend(outlook.at_risk.iter().map(|words| fact("At risk", words)));
    lines.push(fact("Slowest", outlook.slowest_safe_words.clone()));
    lines.extend(opening::race(facts));
    let fastest = &outlook.fastest.text;
    lines.push(fact(
        "Fastest",
        format!("{fastest}; a faster target is refused"),
    ));
    lines
}

fn past(facts: &Facts, estimate: &EstimatedFinishFacts) -> Table {
    let right = Column::right;
    let symbol = &facts.race.0.units.distance;
    Table::of(
        &estimate.from,
        vec![
            Column::left("Result", "name").of(|past: &PastFacts| Cell::new(past.name.clone())),
            right(symbol.as_str(), "distance_m").of(|past| cells::measure(&past.distance)),
            right("up", "climb_m").of(|past| cells::measure(&past.climb)),
            right("Time", "time_s").of(|past| cells::measure(&past.time)),
            right(format!("as {symbol}").as_str(), "effort_m")
                .of(|past| cells::measure(&past.effort)),
            right("Early", "early_s").of(|past| cells::measure(&past.early)),
            right("Likely", "likely_s").of(|past| cells::measure(&past.likely)),
            right("Late", "late_s").of(|past| cells::measure(&past.late)),
            right("counts", "weight").of(|past| cells::share(&past.weight)),
        ],
    )
}

fn law_note(estimate: &EstimatedFinishFacts) -> String {
    let outside = if estimate.from.iter().all(|from| from.in_range) {
        ""
    } else {
        " Beyond 230 min that is extrapolated: the longer the race, the less to trust it."
    };
    format!(
        "{}The course takes as long as {:.1} level km: each metre of climb counts as {:.1} m, with \
         what the descents give back. The longer the race, the slower the pace, by published rules \
         (`sutler help accuracy`).{outside} 8 of 10 finishes lie between early and late in public \
         race results.{}",
        place_note(estimate),
        estimate.effort_m / 1000.0,
        estimate.climb_equivalent_m,
        day_note(estimate.day),
    )
}

/// The part of places in past fields, where they are known.
fn place_note(estimate: &EstimatedFinishFacts) -> &'static str {
    match estimate.from.iter().any(|from| from.is_placed) {
        true => {
            "Results with a place count twice: by their time, and by the time of the same share of \
             this race's field. "
        }
        false => "",
    }
}

/// The part of the forecast and the hours of the race, where it can be seen.
fn day_note(day: f64) -> String {
    let percent = 100.0 * (day - 1.0);
    if percent.abs() < 0.5 {
        return String::new();
    }
    let way = if percent > 0.0 { "longer" } else { "shorter" };
    format!(
        " Light and warmth of the day make it {:.0} % {way} than as long a race begun on a cool \
         morning.",
        percent.abs()
    )
}

fn margins(outlook: &OutlookFacts) -> Table {
    const KEYS: [(&str, &str); 3] = [
        ("arrival_s", "margin_s"),
        ("arrival_2_s", "margin_2_s"),
        ("arrival_3_s", "margin_3_s"),
    ];
    let prospects = || outlook.prospects.iter().take(KEYS.len());
    let mut columns = vec![
        Column::right("#", "number"),
        Column::left("Station", "station"),
    ];
    for (prospect, (arrival, margin)) in prospects().zip(KEYS) {
        columns.push(Column::right(prospect.finish.text.as_str(), arrival));
        columns.push(Column::right("margin", margin));
    }
    columns.push(Column::right("Cutoff", "cutoff_s"));
    let stations = outlook.prospects.first().map_or(0, |one| one.cutoffs.len());
    let rows = (0..stations).map(|index| {
        let first = &outlook.prospects[0].cutoffs[index];
        let mut row = vec![cells::number(&first.number), cells::name(&first.station)];
        for prospect in prospects() {
            let split = &prospect.cutoffs[index];
            row.push(cells::moment(&split.arrival));
            row.push(cells::hand(Some(&split.margin), split.chance_is));
        }
        row.push(cells::moment(&first.cutoff));
        row
    });
    Table {
        rows: rows.collect(),
        columns,
    }
}
