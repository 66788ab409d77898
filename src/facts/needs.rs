//! Facts of the body: what each segment asks of it, and what the figures rest on.

use crate::fueling::{Fueling, SegmentNeed, SweatSource};
use crate::inputs::counted;
use crate::packing::{Pickup, Serving};
use crate::plan::Plan;
use crate::time::{Elapsed, S_PER_HOUR};
use crate::units::Units;

use super::View;
use super::doses::{carried_dose, dose_mg, is_a_dose};
use super::race::number;
use super::value::{Measure, Moment, record, thousandth};

record! {
    /// The needs of a segment, the stop before it included.
    pub struct NeedFacts {
        /// The time it is for.
        pub time: Measure,
        /// Fluid to drink, the water in food included: likely, to thirst, never above sweat.
        pub fluid: Measure,
        /// Fluid to carry, so that thirst can decide upwards.
        pub carry: Measure,
        /// Sodium.
        pub sodium: Measure,
        /// Sodium lost in sweat.
        pub sodium_loss: Measure,
        /// Carbohydrate.
        pub carbs: Measure,
        /// Protein.
        pub protein: Measure,
        /// Energy burned.
        pub energy: Measure,
        /// Caffeine taken with what is packed.
        pub caffeine: Measure,
        /// Caffeine left in the body at its end.
        pub caffeine_left: Measure,
        /// Sweat, likely.
        pub sweat: Measure,
        /// Sweat, low end.
        pub sweat_low: Measure,
        /// Sweat, high end.
        pub sweat_high: Measure,
        /// Air temperature.
        pub temp: Option<Measure>,
        /// Wet-bulb globe temperature.
        pub wbgt: Option<Measure>,
    }

    /// The body over the whole race: what the figures rest on, and the sums.
    pub struct BodyFacts {
        /// The origin of the sweat rate, in words.
        pub sweat_from: String,
        /// The least sweat below the likely.
        pub sweat_less: Measure,
        /// The most sweat above the likely.
        pub sweat_more: Measure,
        /// Body mass at the start; nothing where it is not known.
        pub start_mass: Option<Measure>,
        /// Loss of mass at the finish to expect of one who drinks and eats as planned.
        pub expected_loss: Measure,
        /// The least loss of mass at the finish to expect, percent.
        pub loss_low_pct: f64,
        /// The greatest loss of mass at the finish to expect, percent.
        pub loss_high_pct: f64,
        /// Figures that are defaults, in words.
        pub assumed: Vec<String>,
        /// Caffeine, dose by dose.
        pub caffeine_doses: Vec<DoseFacts>,
        /// Caffeine left in the body at the finish.
        pub caffeine_at_finish: Measure,
        /// Fluid to drink in all.
        pub fluid_total: Measure,
        /// Sweat lost in all, likely.
        pub sweat_total: Measure,
        /// Sodium in all.
        pub sodium_total: Measure,
        /// Sodium lost in sweat in all.
        pub sodium_loss_total: Measure,
        /// Sodium in all servings.
        pub sodium_packed: Measure,
        /// Carbohydrate in all.
        pub carbs_total: Measure,
        /// Carbohydrate in all servings.
        pub carbs_packed: Measure,
        /// The highest rate of carbohydrate that was held on a recorded long run; nothing where none is
        /// known.
        pub carbs_rehearsed: Option<Measure>,
        /// Energy burned in all.
        pub energy_total: Measure,
        /// Energy in all servings.
        pub energy_packed: Measure,
        /// Packed food and drink beside the need, in words.
        pub packed_words: String,
        /// Caffeine in all.
        pub caffeine_total: Measure,
    }

    /// A dose of caffeine.
    pub struct DoseFacts {
        /// The number of the station it is taken after.
        pub number: String,
        /// The station it is taken after.
        pub station: String,
        /// The time to take it: on leaving, or at the table.
        pub at: Moment,
        /// `on leaving` or `at the table`.
        pub when: &'static str,
        /// What to take, such as `1 caffeine gel, 1 halfway`; nothing where cups of cola add up to
        /// it.
        pub what: Option<String>,
        /// The same with its place: `1 caffeine gel on leaving, 1 halfway`.
        pub placed: Option<String>,
        /// Caffeine in what to take; cola and the like come besides.
        pub counted: Measure,
        /// The dose.
        pub dose: Measure,
        /// Caffeine still active of the doses before.
        pub active: Measure,
        /// The place in the plan, on whatever day: the hour of the race, or how long after the one
        /// before.
        pub by_plan: String,
    }
}

impl DoseFacts {
    /// Such as `1 caffeine gel on leaving, 1 halfway (100 mg in all)`; nothing where cups of cola
    /// add up to it.
    #[must_use]
    pub fn words(&self) -> Option<String> {
        let placed = self.placed.as_ref()?;
        let in_all = if placed.contains(", ") { " in all" } else { "" };
        Some(format!("{placed} ({}{in_all})", self.counted.text))
    }

    /// The same with its place in the plan: `2 caffeine gels at the table (100 mg), by the plan at
    /// hour 16`.
    #[must_use]
    pub fn told(&self) -> Option<String> {
        let (words, by_plan) = (self.words()?, &self.by_plan);
        Some(format!("{words}, by the plan {by_plan}"))
    }
}

impl NeedFacts {
    /// The needs of a segment of a plan.
    pub(super) fn of(plan: &Plan, index: usize, units: Units) -> Option<NeedFacts> {
        let need = plan.fueling.segments.get(index)?;
        let caffeine = plan.packing.caffeine.get(index).copied();
        let caffeine = caffeine.unwrap_or_default();
        let rate = |l_per_h: f64| Measure::volume_rate(units, l_per_h * 1000.0);
        Some(NeedFacts {
            time: Measure::time(Elapsed::from_s(need.hours * S_PER_HOUR)),
            fluid: Measure::volume(units, need.fluid_ml),
            carry: Measure::volume(units, need.carry_ml),
            sodium: Measure::whole(need.sodium_mg, "mg"),
            sodium_loss: Measure::whole(need.sodium_loss_mg, "mg"),
            carbs: Measure::whole(need.carbs_g, "g"),
            protein: Measure::whole(need.protein_g, "g"),
            energy: Measure::whole(need.energy_kcal, "kcal"),
            caffeine: Measure::whole(caffeine.mg, "mg"),
            caffeine_left: Measure::whole(caffeine.left_mg, "mg"),
            sweat: rate(need.sweat_l_per_h),
            sweat_low: rate(need.sweat_band_l_per_h.0),
            sweat_high: rate(need.sweat_band_l_per_h.1),
            temp: need.temp_c.map(|c| Measure::temperature(units, c)),
            wbgt: need.wbgt_c.map(|c| Measure::temperature(units, c)),
        })
    }
}

impl BodyFacts {
    /// The body over a plan.
    pub(super) fn of(view: &View<'_>, plan: &Plan) -> BodyFacts {
        let (fueling, units) = (&plan.fueling, view.units);
        let widest = |more: fn(&SegmentNeed) -> f64| {
            let most = fueling.segments.iter().map(more).fold(0.0, f64::max);
            Measure::volume_rate(units, most * 1000.0)
        };
        let sum = |of: fn(&SegmentNeed) -> f64| -> f64 { fueling.segments.iter().map(of).sum() };
        let packed = |of: fn(&Pickup) -> f64| -> f64 { plan.packing.pickups.iter().map(of).sum() };
        let mass = &fueling.finish_mass;
        let shares = &plan.packing.caffeine;
        let left_mg = shares.last().map_or(0.0, |share| share.left_mg);
        BodyFacts {
            sweat_from: sweat_from(view, fueling),
            sweat_less: widest(|need| need.sweat_l_per_h - need.sweat_band_l_per_h.0),
            sweat_more: widest(|need| need.sweat_band_l_per_h.1 - need.sweat_l_per_h),
            start_mass: (mass.start_kg > 0.0).then(|| Measure::mass(units, mass.start_kg)),
            expected_loss: Measure::mass(units, mass.expected_loss_kg),
            loss_low_pct: thousandth(mass.loss_window_pct.0),
            loss_high_pct: thousandth(mass.loss_window_pct.1),
            assumed: assumed(view, fueling),
            caffeine_doses: doses(view, plan),
            caffeine_at_finish: Measure::whole(left_mg, "mg"),
            fluid_total: Measure::volume(units, sum(|need| need.fluid_ml)),
            sweat_total: Measure::volume(units, sum(|need| need.sweat_l_per_h * need.hours * 1e3)),
            sodium_total: Measure::whole(sum(|need| need.sodium_mg), "mg"),
            sodium_loss_total: Measure::whole(sum(|need| need.sodium_loss_mg), "mg"),
            sodium_packed: Measure::whole(packed(|pickup| pickup.sodium_mg.0), "mg"),
            carbs_total: Measure::whole(sum(|need| need.carbs_g), "g"),
            carbs_packed: Measure::whole(packed(|pickup| pickup.carbs_g.0), "g"),
            carbs_rehearsed: (view.inputs.runner.carbs_rehearsed_g_per_h.as_ref())
                .map(|rate| Measure::carbs_rate(rate.value)),
            energy_total: Measure::whole(sum(|need| need.energy_kcal), "kcal"),
            energy_packed: Measure::whole(packed(|pickup| pickup.energy_kcal), "kcal"),
            packed_words: packed_words(view, plan),
            caffeine_total: Measure::whole(shares.iter().map(|share| share.mg).sum(), "mg"),
        }
    }
}

/// Everything that is assumed, in words.
fn assumed(view: &View<'_>, fueling: &Fueling) -> Vec<String> {
    let mut assumed: Vec<String> = fueling.assumed.iter().map(|a| a.show(view.units)).collect();
    if view.inputs.generic_foods {
        assumed.push("generic foods: write your own in `pantry.csv`".to_owned());
    }
    assumed
}

/// Such as `Packed: 1547 g of carbohydrate for 1595 needed, 7773 mg of sodium for 3718, 6281 kcal
/// of 12604 burned.`; nothing where no food is chosen.
fn packed_words(view: &View<'_>, plan: &Plan) -> String {
    if view.inputs.pantry.is_empty() {
        return String::new();
    }
    let sum = |of: fn(&SegmentNeed) -> f64| -> f64 { plan.fueling.segments.iter().map(of).sum() };
    let packed = |of: fn(&Pickup) -> f64| -> f64 { plan.packing.pickups.iter().map(of).sum() };
    format!(
        "Packed: {:.0} g of carbohydrate for {:.0} needed, {:.0} mg of sodium for {:.0}, {:.0} kcal \
         of {:.0} burned; the reserve is not counted.",
        packed(|pickup| pickup.carbs_g.0),
        sum(|need| need.carbs_g),
        packed(|pickup| pickup.sodium_mg.0),
        sum(|need| need.sodium_mg),
        packed(|pickup| pickup.energy_kcal),
        sum(|need| need.energy_kcal),
    )
}

fn sweat_from(view: &View<'_>, fueling: &Fueling) -> String {
    let measured = view.inputs.runner.sweat.iter();
    let last = measured.filter_map(|run| run.date).max();
    let last = last.map_or_else(String::new, |date| format!(", the last on {date}"));
    let runs = |count: u32| match count {
        1 => "one measured long run".to_owned(),
        count => format!("{count} measured long runs"),
    };
    let coldest_c = fueling.segments.iter().filter_map(|need| need.coldest_c);
    let freezes = coldest_c.fold(f64::INFINITY, f64::min) <= 0.0;
    match fueling.sweat_from {
        SweatSource::Predicted if freezes => "predicted from mass, effort and weather; likely too \
                                              much in frost, for no run weighed in the cold says \
                                              how little it is"
            .to_owned(),
        SweatSource::Predicted => "predicted from mass, effort and weather".to_owned(),
        SweatSource::Corrected(count) => {
            format!("predicted, corrected by {}{last}", runs(count))
        }
    }
}

fn doses(view: &View<'_>, plan: &Plan) -> Vec<DoseFacts> {
    let course = &view.race.course;
    let mut last: Option<Elapsed> = None;
    let shares = &plan.packing.caffeine;
    let taken = |segment: &usize| shares[*segment].mg > 0.0;
    (0..shares.len())
        .filter(taken)
        .map(|segment| {
            let before = segment.checked_sub(1).map_or(0.0, |s| shares[s].left_mg);
            let mut pickups = plan.packing.pickups.iter();
            let pickup = pickups.find(|pickup| pickup.station == segment);
            let at_table = |list: &[Serving]| {
                let doses = list.iter().filter(|serving| is_a_dose(view, serving));
                let doses = doses.map(|dose| counted(dose.count, &dose.food, &view.inputs.pantry));
                let doses: Vec<String> = doses.collect();
                (!doses.is_empty()).then(|| doses.join(", "))
            };
            let carried = |place| pickup.and_then(|pickup| carried_dose(view, plan, pickup, place));
            let (placed, carried) = (carried(" on leaving"), carried(""));
            let split = &plan.schedule.splits[segment];
            let (at, when) = match carried {
                Some(_) => (split.departure, "on leaving"),
                None => (split.arrival, "at the table"),
            };
            let counted_mg = pickup.map_or(0.0, |pickup| {
                let list = if carried.is_some() {
                    &pickup.take
                } else {
                    &pickup.here
                };
                list.iter().map(|serving| dose_mg(view, serving)).sum()
            });
            let here = pickup.and_then(|pickup| at_table(&pickup.here));
            let placed = placed.or_else(|| Some(format!("{} at the table", here.as_ref()?)));
            let told = carried.or(here);
            let before_it = last.filter(|_| told.is_some());
            if told.is_some() {
                last = Some(at);
            }
            DoseFacts {
                by_plan: match before_it {
                    Some(last) => format!("{:.0} h after the one before", (at - last).as_hours()),
                    None => format!("at hour {:.0}", at.as_hours()),
                },
                number: number(course, segment),
                station: course.stations[segment].name.clone(),
                at: Moment::of(&plan.schedule, at),
                when,
                counted: Measure::whole(counted_mg, "mg"),
                what: told,
                placed,
                dose: Measure::whole(shares[segment].mg, "mg"),
                active: Measure::whole(before, "mg"),
            }
        })
        .collect()
}
