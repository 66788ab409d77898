//! Cells of facts: as they are printed for people, as they are in data for programs.

use crate::facts::{Measure, Moment, NeedFacts, PaceFacts, SegmentFacts, SplitFacts};

use super::document::{Cell, Tone};

/// A number without its unit.
pub(super) fn measure(fact: &Measure) -> Cell {
    Cell::with_raw(fact.number.clone(), fact.raw())
}

/// A number with its unit.
pub(super) fn text(fact: &Measure) -> Cell {
    Cell::with_raw(fact.text.clone(), fact.raw())
}

/// A number without its unit, a dash where it is nothing.
pub(super) fn or_dash(fact: &Measure) -> Cell {
    Cell::with_raw(fact.or_dash(), fact.raw())
}

/// A share in percent, a dash where it is nothing.
pub(super) fn share(fact: &Measure) -> Cell {
    let shown = match fact.or_dash() {
        dash if dash == "–" => dash,
        _ => fact.text.clone(),
    };
    Cell::with_raw(shown, fact.raw())
}

/// A time with its day.
pub(super) fn moment(fact: &Moment) -> Cell {
    Cell::with_raw(fact.text.clone(), fact.elapsed.as_secs())
}

/// A time whose day stands beside it.
pub(super) fn clock(fact: &Moment) -> Cell {
    Cell::with_raw(fact.clock.clone(), fact.elapsed.as_secs())
}

/// A time that may not be, with its day only where that is not the day of a time beside it.
pub(super) fn near(fact: Option<&Moment>, beside: &Moment) -> Cell {
    fact.map_or_else(Cell::empty, |fact| {
        Cell::with_raw(fact.beside(beside), fact.elapsed.as_secs())
    })
}

/// A count, a dash where it is nothing.
pub(super) fn count(number: u32) -> Cell {
    let shown = if number == 0 {
        "–".to_owned()
    } else {
        number.to_string()
    };
    Cell::with_raw(shown, number)
}

/// A fact that is not always there.
pub(super) fn maybe<T>(fact: Option<&T>, cell: fn(&T) -> Cell) -> Cell {
    fact.map_or_else(Cell::empty, cell)
}

/// A number of a station.
pub(super) fn number(number: &str) -> Cell {
    Cell::new(number).tone(Tone::Faint)
}

/// A name of a station.
pub(super) fn name(name: &str) -> Cell {
    Cell::new(name).tone(Tone::Strong)
}

/// Time in hand of something seen, its tone saying how comfortable it was.
pub(super) fn margin(margin: Option<&Measure>, is: Option<&str>) -> Cell {
    let tone = match is {
        Some("missed") => Tone::Bad,
        Some("close") => Tone::Warning,
        _ => Tone::Good,
    };
    maybe(margin, measure).tone(tone)
}

/// Time in hand of something to come, its tone saying how good the chance is.
pub(super) fn hand(margin: Option<&Measure>, chance_is: Option<&str>) -> Cell {
    maybe(margin, measure).tone(sure(chance_is))
}

/// Time in hand on plan.
pub(super) fn margin_of(split: &SplitFacts) -> Cell {
    hand(split.margin.as_ref(), split.chance_is)
}

fn sure(is: Option<&str>) -> Tone {
    match is {
        Some("unlikely") => Tone::Bad,
        Some("doubtful") => Tone::Warning,
        _ => Tone::Good,
    }
}

/// A chance, its tone saying how good.
pub(super) fn chance(chance: Option<&Measure>, is: Option<&str>) -> Cell {
    maybe(chance, measure).tone(sure(is))
}

/// A cell of how a segment is run.
pub(super) fn run(segment: &SegmentFacts, cell: fn(&PaceFacts) -> Cell) -> Cell {
    segment
        .pace
        .as_ref()
        .map_or_else(Cell::empty, |pace| cell(&pace.0))
}

/// The time between the printed times.
pub(super) fn moving(segment: &SegmentFacts) -> Cell {
    run(segment, |pace| {
        Cell::with_raw(&pace.printed.number, pace.moving.raw())
    })
}

/// Its pace.
pub(super) fn pace(segment: &SegmentFacts) -> Cell {
    run(segment, |pace| measure(&pace.pace))
}

/// A cell of what a segment asks of the body.
pub(super) fn need(segment: &SegmentFacts, cell: fn(&NeedFacts) -> Cell) -> Cell {
    segment
        .need
        .as_ref()
        .map_or_else(Cell::empty, |need| cell(&need.0))
}
