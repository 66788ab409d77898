//! The meaning of each column: by its name, by what stands in it, or as the user chose.

use super::cells::{self, DistanceUnit};
use super::senses;
use super::services;
use super::split::PastedLine;
use super::{ColumnMeaning, PasteContext};
use crate::inputs::moments::{self, TimeReading};

/// A column of a pasted table.
#[derive(Clone, Debug, PartialEq)]
pub struct PastedColumn {
    /// Its name as pasted; empty where there is none.
    pub heading: String,
    /// Its meaning: the guess, unless the user chose another.
    pub meaning: ColumnMeaning,
    /// True where the meaning follows from the cells alone and should be looked at.
    pub guessed: bool,
    /// The first cells that hold something.
    pub examples: Vec<String>,
}

/// The columns, and where the stations begin.
pub(super) struct PastedColumns {
    pub(super) columns: Vec<PastedColumn>,
    /// The place of the line of column names among the lines, where there is one.
    pub(super) head: Option<usize>,
}

impl PastedColumns {
    /// The place of the first line below the column names.
    pub(super) fn first_row(&self) -> usize {
        self.head.map_or(0, |at| at + 1)
    }
}

/// A column while its meaning is sought.
struct Candidate<'t> {
    heading: &'t str,
    cells: Vec<&'t str>,
    sense: Option<ColumnMeaning>,
    guessed: bool,
}

impl Candidate<'_> {
    /// The share of filled cells that something holds of.
    fn share(&self, holds: impl Fn(&str) -> bool) -> f64 {
        let filled: Vec<&&str> = self.cells.iter().filter(|cell| !cell.is_empty()).collect();
        let good = filled.iter().filter(|cell| holds(cell)).count();
        good as f64 / filled.len().max(1) as f64
    }

    fn is_timed(&self) -> bool {
        self.share(|cell| moments::hour(cell).is_some()) > 0.5
    }

    fn is_number(&self) -> bool {
        self.share(|cell| cells::number(cell).is_some()) > 0.7 && !self.is_timed()
    }

    fn is_words(&self) -> bool {
        let worded = |cell: &str| {
            cell.contains(char::is_alphabetic)
                && cells::yes_no(cell).is_none()
                && moments::hour(cell).is_none()
                && cells::number(cell).is_none()
        };
        self.share(worded) > 0.5
    }

    /// True where most cells say what there is, in words that are all known.
    fn is_services(&self) -> bool {
        self.is_words() && self.share(services::is_understood) > 0.6
    }

    fn numbers(&self) -> Vec<f64> {
        self.cells
            .iter()
            .filter_map(|cell| cells::number(cell))
            .map(|(number, _)| number)
            .collect()
    }

    fn rises(&self) -> bool {
        let numbers = self.numbers();
        numbers.len() > 1 && numbers.windows(2).all(|pair| pair[0] <= pair[1])
    }

    /// Lengths that do not rise, and together are about as long as the route.
    fn is_legs(&self, known: &PasteContext) -> bool {
        let all_m =
            self.numbers().iter().sum::<f64>() * unit(self, &PasteContext::default()).0.metres();
        let near = |route_m: f64| (0.85..1.15).contains(&(all_m / route_m));
        !self.rises() && known.route_m.is_some_and(near)
    }

    /// 1, 2, 3 in each row.
    fn counts(&self) -> bool {
        let numbers = self.numbers();
        numbers.len() > 2
            && numbers
                .windows(2)
                .all(|pair| (pair[1] - pair[0] - 1.0).abs() < 1e-9)
    }
}

/// Finds what each column means.
pub(super) fn find(lines: &[PastedLine], known: &PasteContext) -> PastedColumns {
    let above = lines.iter().take(senses::LINES_ABOVE);
    let named = above
        .into_iter()
        .position(|line| senses::is_head(line.filled()));
    let head = named.or_else(|| stands_above(lines).then_some(0));
    let first = head.map_or(0, |at| at + 1);
    let rows = lines.get(first..).unwrap_or_default();
    let heads = head
        .and_then(|at| lines.get(at))
        .map(|line| line.cells.as_slice())
        .unwrap_or_default();
    let width = rows
        .iter()
        .map(|line| line.cells.len())
        .max()
        .unwrap_or(0)
        .max(heads.len());
    let width = width.min(super::limits::COLUMNS);
    let mut candidates: Vec<Candidate<'_>> = (0..width)
        .map(|at| {
            let heading = heads.get(at).map_or("", String::as_str);
            Candidate {
                heading,
                cells: rows
                    .iter()
                    .map(|line| line.cells.get(at).map_or("", String::as_str))
                    .collect(),
                sense: senses::sense(heading),
                guessed: false,
            }
        })
        .collect();
    settle(&mut candidates, known);
    guess(&mut candidates);
    let distances = distances(&candidates, known);
    let columns = candidates.iter().enumerate().map(|(at, candidate)| {
        let (meaning, guessed) = meaning(candidate, &distances, known);
        let chosen = known.columns.get(at).copied().flatten();
        PastedColumn {
            heading: candidate.heading.to_owned(),
            meaning: chosen.unwrap_or(meaning),
            guessed: guessed && chosen.is_none(),
            examples: candidate
                .cells
                .iter()
                .filter(|cell| !cell.is_empty())
                .take(3)
                .map(|cell| (*cell).to_owned())
                .collect(),
        }
    });
    let mut columns: Vec<PastedColumn> = columns.collect();
    once_each(&mut columns, known);
    PastedColumns { columns, head }
}

/// True where the first line holds words alone, and some column below it numbers or times alone.
fn stands_above(lines: &[PastedLine]) -> bool {
    let Some((first, rest)) = lines.split_first().filter(|(_, rest)| !rest.is_empty()) else {
        return false;
    };
    let figured = |cell: &str| cells::number(cell).is_some() || moments::hour(cell).is_some();
    let worded = first.filled().count() > 1 && !first.filled().any(figured);
    let below = |at: usize| {
        rest.iter()
            .filter_map(move |line| line.cells.get(at))
            .filter(|c| !c.is_empty())
    };
    let figures = |at: usize| below(at).count() > 0 && below(at).all(|cell| figured(cell));
    worded && (0..first.cells.len()).any(|at| !first.cells[at].is_empty() && figures(at))
}

/// Corrects what a column's name says by what stands in the column.
fn settle(candidates: &mut [Candidate<'_>], known: &PasteContext) {
    use ColumnMeaning as Is;
    for candidate in candidates.iter_mut() {
        candidate.sense = match candidate.sense {
            // `Miles` that add up to the route
            Some(Is::Kilometres) if candidate.is_number() && candidate.is_legs(known) => {
                Some(Is::KilometresSince)
            }
            // `Section: Mill to Ridge`
            Some(Is::KilometresSince | Is::Kilometres) if candidate.is_words() => Some(Is::Name),
            Some(Is::Name | Is::Place) if !candidate.is_words() && candidate.is_number() => {
                Some(Is::NotUsed)
            }
            // `Aid: yes`
            Some(Is::Name | Is::Offers)
                if candidate.share(|cell| cells::yes_no(cell).is_some()) > 0.7 =>
            {
                Some(Is::Food)
            }
            Some(Is::Water | Is::Food | Is::Crew | Is::DropBag) if candidate.is_services() => {
                Some(Is::Offers)
            }
            other => other,
        };
    }
    let named = |candidates: &[Candidate<'_>], but: usize| {
        let mut others = candidates.iter().enumerate().filter(|(at, _)| *at != but);
        others.any(|(_, c)| matches!(c.sense, Some(Is::Name | Is::Place)))
    };
    for at in 0..candidates.len() {
        let others = named(candidates, at);
        let Some(candidate) = candidates.get_mut(at) else {
            continue;
        };
        candidate.sense = match candidate.sense {
            // beside a column of names, `Aid: full`
            Some(Is::Name) if others && candidate.is_services() => Some(Is::Offers),
            // without one, the stations of `Ravitaillement`
            Some(Is::Offers) if !others && candidate.is_words() && !candidate.is_services() => {
                Some(Is::Name)
            }
            other => other,
        };
    }
    let mut names = candidates.iter_mut().filter(|c| c.sense == Some(Is::Name));
    if names.next().is_some() {
        names.for_each(|candidate| candidate.sense = Some(Is::NotUsed));
    } else if let Some(place) = candidates.iter_mut().find(|c| c.sense == Some(Is::Place)) {
        place.sense = Some(Is::Name);
    }
}

/// Takes columns without a known name for what their cells look like.
fn guess(candidates: &mut [Candidate<'_>]) {
    let has = |candidates: &[Candidate<'_>], sense: ColumnMeaning| {
        candidates.iter().any(|c| c.sense == Some(sense))
    };
    if !has(candidates, ColumnMeaning::Name) {
        let unknown = candidates.iter_mut().filter(|c| c.sense.is_none());
        let mut wordy = unknown.filter(|c| c.is_words());
        if let Some(name) = wordy.next() {
            (name.sense, name.guessed) = (Some(ColumnMeaning::Name), true);
        }
    }
    if !has(candidates, ColumnMeaning::Kilometres)
        && !has(candidates, ColumnMeaning::KilometresSince)
    {
        let rising = candidates
            .iter_mut()
            .filter(|c| c.sense.is_none() && c.is_number() && c.rises());
        let largest = |c: &Candidate<'_>| c.numbers().last().copied().unwrap_or(0.0);
        let mut rising: Vec<&mut Candidate<'_>> = rising.collect();
        let uncounted = rising.iter().any(|c| !c.counts());
        rising.retain(|c| !uncounted || !c.counts());
        // of kilometres and miles side by side, the kilometres
        if let Some(distance) = rising
            .into_iter()
            .max_by(|a, b| largest(a).total_cmp(&largest(b)))
        {
            (distance.sense, distance.guessed) = (Some(ColumnMeaning::Kilometres), true);
        }
    }
    if !has(candidates, ColumnMeaning::CutoffClock) && !has(candidates, ColumnMeaning::LeaveByClock)
    {
        // of opening and closing times, the later
        let timed = candidates
            .iter_mut()
            .rev()
            .filter(|c| c.sense.is_none() && c.is_timed());
        if let Some(cutoff) = { timed }.next() {
            (cutoff.sense, cutoff.guessed) = (Some(ColumnMeaning::CutoffClock), true);
        }
    }
}

/// The distances of the rows in metres, for what depends on them.
fn distances(candidates: &[Candidate<'_>], known: &PasteContext) -> Vec<Option<f64>> {
    let Some(column) = candidates
        .iter()
        .find(|c| c.sense == Some(ColumnMeaning::Kilometres))
    else {
        return Vec::new();
    };
    let (unit, _) = unit(column, known);
    let metres = |cell: &&str| cells::number(cell).map(|(n, own)| n * own.unwrap_or(unit).metres());
    column.cells.iter().map(metres).collect()
}

/// The unit of a distance column, and whether it is a guess.
fn unit(column: &Candidate<'_>, known: &PasteContext) -> (DistanceUnit, bool) {
    if let Some(unit) = senses::unit(column.heading) {
        return (unit, false);
    }
    let beside = column.cells.iter().find_map(|cell| cells::number(cell)?.1);
    if let Some(unit) = beside {
        return (unit, false);
    }
    let furthest = column.numbers().into_iter().fold(0.0, f64::max);
    if let Some(route_m) = known.route_m.filter(|m| *m > 0.0 && furthest > 0.0) {
        let off = |unit: &DistanceUnit| (furthest * unit.metres() / route_m).ln().abs();
        let nearest = DistanceUnit::ALL
            .into_iter()
            .min_by(|a, b| off(a).total_cmp(&off(b)));
        return (nearest.unwrap_or(DistanceUnit::Kilometres), true);
    }
    let unit = if furthest > 1000.0 {
        DistanceUnit::Metres
    } else {
        DistanceUnit::Kilometres
    };
    (unit, true)
}

/// The meaning of a column, its unit or clock told, and whether it is a guess.
fn meaning(
    column: &Candidate<'_>,
    distances: &[Option<f64>],
    known: &PasteContext,
) -> (ColumnMeaning, bool) {
    use ColumnMeaning as Is;
    let (meaning, guessed) = match column.sense.unwrap_or(Is::NotUsed) {
        Is::Kilometres => match unit(column, known) {
            (DistanceUnit::Kilometres, guessed) => (Is::Kilometres, guessed),
            (DistanceUnit::Miles, guessed) => (Is::Miles, guessed),
            (DistanceUnit::Metres, guessed) => (Is::Metres, guessed),
        },
        Is::KilometresSince => match unit(column, &PasteContext::default()) {
            (DistanceUnit::Miles, guessed) => (Is::MilesSince, guessed),
            (_, guessed) => (Is::KilometresSince, guessed),
        },
        sense @ (Is::CutoffClock | Is::LeaveByClock) => {
            let (reading, guessed) = reading(column, distances);
            let meaning = match (sense, reading) {
                (Is::CutoffClock, TimeReading::Elapsed) => Is::CutoffElapsed,
                (_, TimeReading::Elapsed) => Is::LeaveByElapsed,
                _ => sense,
            };
            (meaning, guessed)
        }
        sense => (sense, false),
    };
    (meaning, guessed || column.guessed)
}

/// Cutoffs as race times ask for no more than so many times the speed of the first. Our choice.
const RISING: f64 = 1.2;

/// The clock that the times of a column are on, and whether that is a guess.
fn reading(column: &Candidate<'_>, distances: &[Option<f64>]) -> (TimeReading, bool) {
    if let Some(evident) = column.cells.iter().find_map(|cell| moments::evident(cell)) {
        return (evident, false);
    }
    if senses::names(
        column.heading,
        "elapsed race hours hrs h duration after since",
    ) {
        return (TimeReading::Elapsed, false);
    }
    if senses::names(
        column.heading,
        "clock day am pm uhr uhrzeit horaire orario orari hora",
    ) {
        return (TimeReading::Clock, false);
    }
    let hours = column.cells.iter().enumerate().filter_map(|(at, cell)| {
        let hour = moments::hour(cell).filter(|hour| *hour > 0.0)?;
        Some((hour, distances.get(at).copied().flatten()))
    });
    let hours: Vec<(f64, Option<f64>)> = hours.collect();
    // a time at the start itself is no race time
    let at_the_start = hours.iter().any(|(_, metres)| *metres == Some(0.0));
    if at_the_start || hours.windows(2).any(|pair| pair[1].0 < pair[0].0) {
        return (TimeReading::Clock, false);
    }
    // Race times of cutoffs make one brisk walking speed from the start on; clock times do not.
    let speeds = hours
        .iter()
        .filter_map(|(hour, metres)| Some(metres.filter(|m| *m > 0.0)? / 1000.0 / hour));
    let speeds: Vec<f64> = speeds.collect();
    let (least, most) = speeds
        .iter()
        .fold((f64::MAX, 0.0_f64), |(a, b), v| (a.min(*v), b.max(*v)));
    // no organiser asks for more and more speed: such times count from midnight
    let rising = (speeds.first().zip(speeds.last())).is_some_and(|(a, b)| *b > RISING * a);
    let steady = !speeds.is_empty() && least > 2.0 && most < 10.0 && most < 2.2 * least;
    let reading = if steady && !rising {
        TimeReading::Elapsed
    } else {
        TimeReading::Clock
    };
    (reading, true)
}

/// Lets only the first of several columns with a meaning keep it, the user's choice before all.
fn once_each(columns: &mut [PastedColumn], known: &PasteContext) {
    let sort = |meaning: ColumnMeaning| match meaning {
        ColumnMeaning::Miles | ColumnMeaning::Metres => ColumnMeaning::Kilometres,
        ColumnMeaning::MilesSince => ColumnMeaning::KilometresSince,
        ColumnMeaning::CutoffElapsed
        | ColumnMeaning::LeaveByClock
        | ColumnMeaning::LeaveByElapsed => ColumnMeaning::CutoffClock,
        other => other,
    };
    let chosen = |at: usize| known.columns.get(at).copied().flatten().is_some();
    let mut order: Vec<usize> = (0..columns.len()).collect();
    order.sort_by_key(|at| !chosen(*at));
    let mut taken: Vec<ColumnMeaning> = Vec::new();
    for at in order {
        let Some(column) = columns.get_mut(at) else {
            continue;
        };
        let meaning = sort(column.meaning);
        // what is there may be told in several columns
        if matches!(meaning, ColumnMeaning::NotUsed | ColumnMeaning::Offers) {
            continue;
        }
        if taken.contains(&meaning) {
            column.meaning = ColumnMeaning::NotUsed;
        } else {
            taken.push(meaning);
        }
    }
    // distances from the start say all that those since the last station say
    if taken.contains(&ColumnMeaning::Kilometres) {
        let since = columns
            .iter_mut()
            .enumerate()
            .filter(|(at, c)| sort(c.meaning) == ColumnMeaning::KilometresSince && !chosen(*at));
        since.for_each(|(_, column)| column.meaning = ColumnMeaning::NotUsed);
    }
}
