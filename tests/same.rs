//! Every output of every demo plan tells the same: arrivals, cutoffs, fills, servings, meetings.
//!
//! A reader turns one output back into what it tells. To add one, write a function from a
//! [`Shown`] plan to [`Told`] that reads the finished text, leave `None` what the output does not
//! tell, and add a line to [`READERS`].

mod data;
mod pages;
mod read;
mod told;

use std::sync::LazyLock;

use sutler::units::Units;

use crate::support::race::{PLANS, Planned};

use told::{Shown, Told};

/// Reads one kind of output.
struct Reader {
    name: &'static str,
    read: fn(&Shown) -> Told,
}

/// Every kind of output that is read.
const READERS: &[Reader] = &[
    Reader {
        name: "table",
        read: read::table,
    },
    Reader {
        name: "markdown",
        read: read::markdown,
    },
    Reader {
        name: "csv",
        read: data::csv,
    },
    Reader {
        name: "json",
        read: data::json,
    },
    Reader {
        name: "card",
        read: pages::card,
    },
    Reader {
        name: "crew sheet",
        read: pages::crew_sheet,
    },
    Reader {
        name: "bag sheet",
        read: pages::bag_sheet,
    },
    Reader {
        name: "race book",
        read: pages::race_book,
    },
];

static PLANNED: LazyLock<Vec<(&str, Planned)>> =
    LazyLock::new(|| PLANS.map(|plan| (plan, Planned::shipped(plan))).into());

#[test]
fn every_output_tells_the_same() {
    for (plan, planned) in PLANNED.iter() {
        for units in [Units::Metric, Units::Imperial] {
            let shown = Shown::of(planned, units);
            let facts = Told::of(&shown.facts);
            for reader in READERS {
                let differences = facts.differences(&(reader.read)(&shown));
                let what = format!("{plan}, {}, {units:?}", reader.name);
                assert!(differences.is_empty(), "{what}: {differences:#?}");
            }
        }
    }
}

#[test]
fn every_reader_reads_something_of_the_longest_plan() {
    let shown = Shown::of(&PLANNED[0].1, Units::Metric);
    let facts = Told::of(&shown.facts);
    let told: Vec<Told> = READERS.iter().map(|reader| (reader.read)(&shown)).collect();
    let some = |told: &Told| told.arrivals.is_some() || told.meetings.is_some();
    assert!(told.iter().all(|told| some(told) || told.bags.is_some()));
    // drawn flasks are told where they are drawn
    assert!(told.iter().any(|told| told.drawn.is_some()));
    for told in &told[..2] {
        // words for people tell all of it
        assert!(told.fills.is_some() && told.taken.is_some() && told.bags.is_some());
        assert!(told.meetings.is_some() && told.handed.is_some() && told.cutoffs.is_some());
    }
    // a reader that reads nothing proves nothing
    let full = |list: &Option<Vec<(String, Vec<String>)>>| list.iter().flatten().count();
    assert!(full(&facts.taken) > 15 && full(&facts.bags) == 2 && full(&facts.handed) > 1);
}

#[test]
fn what_is_told_otherwise_is_found() {
    let shown = Shown::of(&PLANNED[0].1, Units::Metric);
    let facts = Told::of(&shown.facts);
    let changes: [fn(&mut Told); 4] = [
        |told| told.arrivals.as_mut().unwrap()[3].1 += 1,
        |told| told.cutoffs.as_mut().unwrap()[0].1 -= 1,
        |told| told.meetings.as_mut().unwrap()[1].1[0] = None,
        |told| _ = told.taken.as_mut().unwrap()[0].1.pop(),
    ];
    for change in changes {
        let mut told = read::table(&shown);
        change(&mut told);
        assert_eq!(facts.differences(&told).len(), 1);
    }
}
