//! Whether lamps last from one chance of a fresh battery to the next.

use crate::course::Course;
use crate::findings::{About, Finding, Weight};
use crate::units::Phrase;

use super::exposure::Sky;
use super::gear::{Carry, GearPlan, Move, Way};
use super::supply::own_source;

/// Adds spare batteries where a lamp has more darkness before it than burning hours left.
///
/// A lamp starts with a full battery; hours burned count on until a spare goes in.
pub(super) fn batteries(
    course: &Course,
    sky: &Sky,
    crew: bool,
    (lamp, burn_h): (&str, f64),
    carries: &[Carry],
    plan: &mut GearPlan,
) {
    let finish = course.stations.len() - 1;
    if burn_h <= 0.0 || !sky.knows_daylight {
        return;
    }
    let mut burned_h = 0.0;
    for carry in carries {
        let end = carry.leave.map_or(finish, |(station, _)| station);
        let chances: Vec<usize> = (carry.take.0..end)
            .filter(|at| *at == carry.take.0 || own_source(course, *at, crew).is_some())
            .collect();
        for (index, &at) in chances.iter().enumerate() {
            let until = chances.get(index + 1).copied().unwrap_or(end);
            let dark_h = dark_h(sky, at, until);
            let spares = ((burned_h + dark_h) / burn_h).ceil() as u32;
            let spares = spares.saturating_sub(1);
            burned_h += dark_h - f64::from(spares) * burn_h;
            if spares == 0 {
                continue;
            }
            let with = own_source(course, at, crew).unwrap_or(carry.take.1);
            plan.moves.push(Move {
                what: spare_name(spares, lamp),
                station: at,
                with,
                way: Way::Take,
            });
            plan.findings
                .push(finding(course, (at, until), dark_h, (lamp, burn_h)));
        }
    }
}

/// The most hours of darkness that an early, a likely or a late runner meets.
fn dark_h(sky: &Sky, from: usize, to: usize) -> f64 {
    let of = |path: usize| -> f64 { sky.segments[from..to].iter().map(|s| s.dark_h[path]).sum() };
    of(0).max(of(1)).max(of(2))
}

fn spare_name(count: u32, lamp: &str) -> String {
    if count == 1 {
        format!("spare battery for {lamp}")
    } else {
        format!("{count} spare batteries for {lamp}")
    }
}

fn finding(
    course: &Course,
    (at, until): (usize, usize),
    dark_h: f64,
    (lamp, burn_h): (&str, f64),
) -> Finding {
    let (from, to) = (&course.stations[at].name, &course.stations[until].name);
    let says = format!(
        "up to {dark_h:.1} h of darkness from `{from}` to `{to}`, and `{lamp}` burns {burn_h:.1} h \
         on one battery: a spare is packed for `{from}`"
    );
    Finding::new(
        "lamp-hours",
        Weight::Warning,
        About::Station(at),
        Phrase::new(says),
    )
    .way_out(Phrase::new(
        "a lamp or a setting that burns longer saves the spare",
    ))
}
