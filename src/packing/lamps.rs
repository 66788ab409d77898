//! Lamps: does the light last from one fresh battery to the next?

use crate::course::Course;
use crate::findings::{About, Finding, FindingKind, Weight};
use crate::inputs::GearItem;
use crate::inputs::gear_csv::GearRule;
use crate::units::Phrase;

use super::moves::{Carry, GearPlan, Handling, Move};
use super::packed::LampChange;
use super::supply::Access;
use crate::exposure::{WindowExposure, WindowExposures};

/// All lamps and batteries listed for the dark, which burn one after the other.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Lights<'a> {
    /// The first of them, by which the others are called.
    pub(super) lamp: &'a str,
    /// Life of one battery, hours.
    burn_h: f64,
    /// All of them, each with its life, hours.
    all: Vec<(&'a str, f64)>,
}

impl<'a> Lights<'a> {
    /// The lights of a list of gear; `None` where none says how long it lasts.
    pub(super) fn of(gear: &[&'a GearItem]) -> Option<Lights<'a>> {
        let lights = gear.iter().filter(|item| item.when == GearRule::Dark);
        let lights = lights.filter_map(|item| Some((item.name.value.as_str(), item.burn_h?)));
        let all: Vec<(&str, f64)> = lights.filter(|(_, burn_h)| *burn_h > 0.0).collect();
        let &(lamp, burn_h) = all.first()?;
        Some(Lights { lamp, burn_h, all })
    }

    /// Adds spare batteries where there is more darkness ahead than burning hours left.
    ///
    /// All start full; hours burned count on until a spare goes in.
    pub(super) fn last(
        &self,
        course: &Course,
        sky: &WindowExposures,
        access: &Access,
        carries: &[Carry],
        plan: &mut GearPlan,
    ) {
        let finish = course.stations.len() - 1;
        let others = self.all.iter().skip(1);
        let mut next: Vec<Light> = others
            .map(|(name, h)| (0, (*name).to_owned(), *h))
            .collect();
        // a runner who is early meets other hours of the night than one who is late
        let mut left_h = [self.total_h(); 3];
        for carry in carries {
            let end = carry.leave.map_or(finish, |(station, _)| station);
            let chances: Vec<usize> = (carry.take.0..end)
                .filter(|at| *at == carry.take.0 || access.own(*at).is_some())
                .collect();
            for (index, &at) in chances.iter().enumerate() {
                let until = chances.get(index + 1).copied().unwrap_or(end);
                let (dark_h, lit_h) = (dark_h(sky, at, until), lit_h(sky, at, until));
                let (lacking_h, most_h) = (0..left_h.len())
                    .map(|path| (lit_h[path] - left_h[path], dark_h[path]))
                    .fold(
                        (0.0, 0.0),
                        |most: (f64, f64), one| {
                            if one.0 > most.0 { one } else { most }
                        },
                    );
                let spares = (lacking_h / self.burn_h).ceil() as u32;
                for (left_h, lit_h) in left_h.iter_mut().zip(lit_h) {
                    *left_h += f64::from(spares) * self.burn_h - lit_h;
                }
                if spares == 0 {
                    continue;
                }
                let spare = || (at, spare_name(1, self.lamp), self.burn_h);
                next.extend((0..spares).map(|_| spare()));
                plan.moves.push(Move {
                    what: spare_name(spares, self.lamp),
                    station: at,
                    with: access.own(at).unwrap_or(carry.take.1),
                    way: Handling::Take,
                });
                let is_cold = is_drained(sky, at, until);
                plan.findings
                    .push(self.finding(course, (at, until), most_h, is_cold));
            }
        }
        plan.lamp_changes = self.changes(sky, next);
    }

    /// Changes so early that no light goes out between two stations, by whichever of an early, a
    /// likely and a late runner has burned most.
    ///
    /// What comes out early is kept where the piece that goes in does not last for everybody. All
    /// hours in hand are used so, and [`Lights::last`] has seen that they are enough.
    fn changes(&self, sky: &WindowExposures, next: Vec<Light>) -> Vec<LampChange> {
        let mut next = next.into_iter().peekable();
        let mut changes: Vec<LampChange> = Vec::new();
        let (mut life_h, mut burned_h) = (self.burn_h, [0.0_f64; 3]);
        for (station, met) in sky.segments.iter().enumerate() {
            let burns_h = burns_h(met);
            let burned_after = |burned_h: [f64; 3]| {
                let after = burned_h.iter().zip(burns_h);
                after.map(|(b, dark_h)| b + dark_h).fold(0.0, f64::max)
            };
            while burned_after(burned_h) > life_h {
                // a spare that is not in hand yet goes in later
                let Some((_, to, fresh_h)) = next.next_if(|(from, ..)| *from <= station) else {
                    break;
                };
                // one that has not burned yet is burned down on the way before the next goes in
                let on_the_way = burned_h.iter().all(|h| *h <= 0.0);
                let likely_h = lit_h(sky, station, sky.segments.len())[1];
                changes.push(LampChange {
                    station,
                    to,
                    lasted_h: life_h,
                    is_cold: is_drained(sky, 0, station + 1),
                    on_the_way,
                    left_h: match on_the_way {
                        true => 0.0,
                        false => life_h - burned_h[1],
                    },
                    keep: false,
                    only_late: burned_h[1] + likely_h <= life_h,
                });
                match on_the_way {
                    true => life_h += fresh_h,
                    false => (life_h, burned_h) = (fresh_h, [0.0; 3]),
                }
            }
            if burned_after(burned_h) > life_h {
                let taken_out = changes.iter_mut().filter(|change| !change.on_the_way);
                taken_out.for_each(|change| change.keep = true);
            }
            for (burned_h, burns_h) in burned_h.iter_mut().zip(burns_h) {
                // beyond its life burns what was kept
                *burned_h = (*burned_h + burns_h).min(life_h);
            }
        }
        changes
    }

    /// Life of all of them together, hours.
    fn total_h(&self) -> f64 {
        self.all.iter().map(|(_, burn_h)| burn_h).sum()
    }

    fn finding(
        &self,
        course: &Course,
        (at, until): (usize, usize),
        dark_h: f64,
        is_cold: bool,
    ) -> Finding {
        let name = |station: usize| &course.stations[station].name;
        let (from, to, lamp) = (name(at), name(until), self.lamp);
        let less = if is_cold { ", less in the cold" } else { "" };
        let says = format!(
            "up to {dark_h:.1} h of darkness from `{from}` to `{to}`, more than what is left of \
             the {:.1} h that `{lamp}` and its batteries last{less}: a spare is packed for `{from}`",
            self.total_h()
        );
        let about = About::Station(at);
        Finding::new(
            FindingKind::LampHours,
            Weight::Warning,
            about,
            Phrase::new(says),
        )
        .way_out(Phrase::new(format!(
            "have that spare ready: without it the light goes out before `{to}`; a lamp or a \
             setting that burns longer saves it"
        )))
    }
}

/// A light in reserve: the station it is in hand from, its name, its life in hours.
type Light = (usize, String, f64);

/// Hours of darkness that an early, a likely and a late runner meet.
fn dark_h(sky: &WindowExposures, from: usize, to: usize) -> [f64; 3] {
    let of = |path: usize| sky.segments[from..to].iter().map(|s| s.dark_h[path]).sum();
    [0, 1, 2].map(of)
}

/// The same as a battery feels them, which gives less in the cold.
fn lit_h(sky: &WindowExposures, from: usize, to: usize) -> [f64; 3] {
    let of = |path: usize| {
        sky.segments[from..to]
            .iter()
            .map(|s| burns_h(s)[path])
            .sum()
    };
    [0, 1, 2].map(of)
}

/// True where the cold takes more from batteries than anybody would notice.
fn is_drained(sky: &WindowExposures, from: usize, to: usize) -> bool {
    const NOTICED_H: f64 = 0.25;
    let of = |path: usize| {
        sky.segments[from..to]
            .iter()
            .map(move |s| s.drained_h[path])
    };
    (0..3).any(|path| of(path).sum::<f64>() >= NOTICED_H)
}

/// Hours out of a battery for the darkness of a segment.
fn burns_h(met: &WindowExposure) -> [f64; 3] {
    [0, 1, 2].map(|path| met.dark_h[path] + met.drained_h[path])
}

fn spare_name(count: u32, lamp: &str) -> String {
    if count == 1 {
        format!("spare battery for {lamp}")
    } else {
        format!("{count} spare batteries for {lamp}")
    }
}
