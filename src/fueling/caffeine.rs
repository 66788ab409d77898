//! Caffeine for those who ask for it: how much, when, and what is left of it.

use crate::inputs::runner_toml::HealthFlag;
use crate::inputs::{PlanFile, RunnerFile};

/// The most caffeine at once, mg (European Food Safety Authority 2015, EFSA Journal 13:4102).
pub const MOST_AT_ONCE_MG: f64 = 200.0;
/// The most caffeine in 24 hours for adults, mg (same).
pub const MOST_IN_A_DAY_MG: f64 = 400.0;
/// The most in 24 hours in pregnancy or breast-feeding, mg (same).
pub const MOST_IN_A_DAY_PREGNANT_MG: f64 = 200.0;
/// The most at once per kilogram of body mass, and for minors in 24 hours, mg/kg (same: about 3).
pub const MOST_MG_PER_KG: f64 = 3.0;
/// The dose planned where the runner names none, mg per kilogram: low in the 1 to 3 that keep
/// most of the effect with few side effects (our choice; Guest and others 2021 find 3 to 6
/// effective and perhaps 2).
pub const USUAL_MG_PER_KG: f64 = 1.5;
/// Hours between doses, at least (our choice: near one half-life).
pub const APART_H: f64 = 4.0;
/// Time from a dose to its full effect, hours (Guest and others 2021: about 60 minutes).
pub const ONSET_H: f64 = 1.0;
/// No more than this keeps no distance from a dose, mg: two cups of cola (Department of Agriculture,
/// 22 mg each; our choice).
const BY_THE_WAY_MG: f64 = 45.0;
/// Mean half-life in adults, hours; 1.5 to 9.5 between people, longer in pregnancy and with oral
/// contraceptives (Institute of Medicine 2001).
pub const HALF_LIFE_H: f64 = 5.0;

/// A dose and when it is taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dose {
    /// Race time, hours.
    pub at_h: f64,
    /// milligrams
    pub mg: f64,
}

/// Caffeine still in the body, mg: each dose taken by then, halved every `half_life_h`.
///
/// Counts a dose as absorbed at once (99 % is within 45 minutes, Institute of Medicine 2001).
///
/// ```
/// use sutler::fueling::caffeine::{Dose, left_mg};
/// let doses = [Dose { at_h: 0.0, mg: 200.0 }, Dose { at_h: 5.0, mg: 100.0 }];
/// assert_eq!(left_mg(&doses, 10.0, 5.0), 100.0);
/// ```
#[must_use]
pub fn left_mg(doses: &[Dose], at_h: f64, half_life_h: f64) -> f64 {
    doses
        .iter()
        .filter(|dose| dose.at_h <= at_h)
        .map(|dose| dose.mg * 0.5_f64.powf((at_h - dose.at_h) / half_life_h))
        .sum()
}

/// True where a doctor has to agree before a runner takes any: pregnancy and breast-feeding, heart
/// trouble, under 18.
#[must_use]
pub fn needs_doctor(runner: &RunnerFile) -> bool {
    let flags = [HealthFlag::Pregnancy, HealthFlag::Heart];
    is_minor(runner) || flags.into_iter().any(|flag| has(runner, flag))
}

fn is_minor(runner: &RunnerFile) -> bool {
    runner.age_years.is_some_and(|age| age.value < 18.0)
}

fn has(runner: &RunnerFile, flag: HealthFlag) -> bool {
    runner.conditions.iter().any(|own| own.value == flag)
}

/// The caffeine that one runner may take.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Caps {
    /// The most at once, mg.
    pub at_once_mg: f64,
    /// The most in any 24 hours, mg.
    pub in_a_day_mg: f64,
}

impl Caps {
    /// The limits for a runner of this mass: none at all with pregnancy, heart trouble or under 18
    /// unless the plan says that a doctor agreed, and then the stricter ones of age and pregnancy.
    #[must_use]
    pub fn of(runner: &RunnerFile, plan: &PlanFile, mass_kg: f64) -> Caps {
        if needs_doctor(runner) && !plan.fueling.caffeine_agreed {
            return Caps {
                at_once_mg: 0.0,
                in_a_day_mg: 0.0,
            };
        }
        let minor = is_minor(runner);
        let pregnant = has(runner, HealthFlag::Pregnancy);
        let mut in_a_day_mg = MOST_IN_A_DAY_MG;
        if pregnant {
            in_a_day_mg = in_a_day_mg.min(MOST_IN_A_DAY_PREGNANT_MG);
        }
        if minor {
            in_a_day_mg = in_a_day_mg.min(MOST_MG_PER_KG * mass_kg);
        }
        Caps {
            at_once_mg: MOST_AT_ONCE_MG
                .min(MOST_MG_PER_KG * mass_kg)
                .min(in_a_day_mg),
            in_a_day_mg,
        }
    }

    /// The dose to plan: the one asked for or [`USUAL_MG_PER_KG`] to the 5 mg below, within the
    /// limits.
    #[must_use]
    pub fn dose_mg(self, asked_mg: Option<f64>, mass_kg: f64) -> f64 {
        asked_mg
            .unwrap_or_else(|| (USUAL_MG_PER_KG * mass_kg / 5.0).floor() * 5.0)
            .clamp(0.0, self.at_once_mg)
    }
}

/// Caffeine of a race that is under way: what was taken counts towards every limit of what follows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Taken {
    /// Milligrams on each segment that is behind the runner; nothing more is planned on these.
    pub by_segment_mg: Vec<f64>,
    /// The segment that the runner is on, where its station was left: the last of those, and what it
    /// exposes the runner to is still ahead.
    pub under_way: Option<usize>,
    /// Milligrams of the doses of the whole race where they are packed: one is left out, never put
    /// elsewhere. Nothing before the race.
    pub packed_mg: Vec<f64>,
}

impl Taken {
    /// Segments that are over.
    #[must_use]
    pub fn over(&self) -> usize {
        self.under_way.unwrap_or(self.by_segment_mg.len())
    }

    /// Caffeine taken on the segments from one station to another.
    #[must_use]
    pub fn between_mg(&self, from: usize, until: usize) -> f64 {
        let segments = self.by_segment_mg.iter().take(until).skip(from);
        segments.sum()
    }

    /// Everything that was taken.
    #[must_use]
    pub fn total_mg(&self) -> f64 {
        self.by_segment_mg.iter().sum()
    }
}

/// A segment as a chance for a dose, taken at the station it leaves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DoseChance {
    /// Race time on arrival at that station, hours.
    pub at_h: f64,
    /// Share of the way in the dark.
    pub dark_share: f64,
}

/// Spreads doses over segments: those in the dark and late in the race first, [`APART_H`] between
/// any two, within the limits, and none within [`ONSET_H`] of the finish. Milligrams per segment.
///
/// Only the second half of the race and, once a quarter of it is over, segments mostly in the dark
/// get any: early on caffeine does little that rest would not, and it lasts into the hours when it
/// is needed. None is taken before `from_h`.
#[must_use]
pub fn spread(
    chances: &[DoseChance],
    (from_h, race_h): (f64, f64),
    dose_mg: f64,
    caps: Caps,
) -> Vec<f64> {
    let worth = |chance: &DoseChance| chance.at_h / race_h + chance.dark_share;
    let mut order: Vec<usize> = (0..chances.len())
        .filter(|i| {
            let chance = &chances[*i];
            let night = chance.dark_share > 0.5 && chance.at_h >= race_h / 4.0;
            chance.at_h >= from_h && (chance.at_h >= race_h / 2.0 || night)
        })
        .collect();
    order.sort_by(|a, b| worth(&chances[*b]).total_cmp(&worth(&chances[*a])));
    let mut day = Day::new(race_h, caps);
    let mut given = vec![0.0; chances.len()];
    for i in order {
        given[i] = day.give(chances[i].at_h, dose_mg);
    }
    given
}

/// Doses of a race under way, milligrams per segment: each stays where it is packed, or is left out
/// where it comes too soon after another, too late to help, or would take a day over the limit.
#[must_use]
pub fn kept(chances: &[DoseChance], race_h: f64, caps: Caps, taken: &Taken) -> Vec<f64> {
    let mut day = Day::new(race_h, caps);
    let mut given = taken.by_segment_mg.clone();
    given.resize(chances.len(), 0.0);
    let behind = taken.by_segment_mg.len();
    for (i, (chance, mg)) in chances.iter().zip(&mut given).enumerate() {
        match taken.packed_mg.get(i) {
            _ if i < behind => day.note(chance.at_h, *mg),
            Some(packed_mg) => *mg = day.give(chance.at_h, *packed_mg),
            None => {}
        }
    }
    given
}

/// Caffeine of a race so far.
struct Day {
    race_h: f64,
    caps: Caps,
    taken: Vec<Dose>,
    /// Hours from which doses keep their distance.
    doses_h: Vec<f64>,
}

impl Day {
    fn new(race_h: f64, caps: Caps) -> Day {
        Day {
            race_h,
            caps,
            taken: Vec::new(),
            doses_h: Vec::new(),
        }
    }

    fn note(&mut self, at_h: f64, mg: f64) {
        self.taken.push(Dose { at_h, mg });
        if mg > BY_THE_WAY_MG {
            self.doses_h.push(at_h);
        }
    }

    /// One more dose where it may be, and its milligrams.
    fn give(&mut self, at_h: f64, mg: f64) -> f64 {
        let near = |dose_h: &f64| (dose_h - at_h).abs() < APART_H;
        let in_time = at_h + ONSET_H <= self.race_h;
        let most_mg = left_of_the_day_mg(&self.taken, at_h, self.caps).min(self.caps.at_once_mg);
        if mg <= 0.0 || mg > most_mg || !in_time || self.doses_h.iter().any(near) {
            return 0.0;
        }
        self.taken.push(Dose { at_h, mg });
        self.doses_h.push(at_h);
        mg
    }
}

/// The most of one more dose so that any 24 hours stay within the limit, milligrams.
fn left_of_the_day_mg(doses: &[Dose], at_h: f64, caps: Caps) -> f64 {
    // the fullest of the days that begin with a dose and hold this one
    let begins = doses.iter().map(|d| d.at_h).chain([at_h]);
    let days = begins.filter(|first_h| (0.0..24.0).contains(&(at_h - first_h)));
    let sum_mg = |first_h: f64| -> f64 {
        let within = |d: &&Dose| (0.0..24.0).contains(&(d.at_h - first_h));
        doses.iter().filter(within).map(|d| d.mg).sum()
    };
    days.map(|first_h| caps.in_a_day_mg - sum_mg(first_h))
        .fold(f64::INFINITY, f64::min)
}
