//! Facts of a debrief: what a long run showed beside the plan, and what the record proposes.

use crate::debrief::{Debrief, HourOfIntake, Pace, Proposal, Standing};
use crate::fueling::SegmentNeed;
use crate::inputs::RunRecord;
use crate::plan::Plan;
use crate::time::{Elapsed, S_PER_HOUR};
use crate::units::{Phrase, Units};

use super::View;
use super::debrief_words as words;
use super::value::{Measure, each, record};

record! {
    /// A long run, debriefed.
    pub struct DebriefFacts {
        /// The runner's name for it.
        pub name: String = run.name.value.clone(),
        /// Its day, such as `2026-10-03`.
        pub date: String = run.date.to_string(),
        /// A digest of everything it was read from.
        pub fingerprint: Option<String> = run.fingerprint.clone(),
        /// Start to finish.
        pub time: Measure = Measure::time(run.time),
        /// Time stood still.
        pub stopped: Measure = Measure::time(Elapsed::from_s(run.stopped_s)),
        /// Its movement; nothing without a recording.
        pub moving: Option<MovingFacts> =
            (debrief.moving.as_ref()).map(|moving| MovingFacts::of(moving, units)),
        /// The weather in words.
        pub weather: Option<String> = words::weather(run, units),
        /// Food and drink per hour, beside the plan.
        pub rates: Vec<RateFacts> = plan.map_or_else(Vec::new, |plan| rates(run, plan, units)),
        /// Food and drink, hour by hour.
        pub hours: Vec<IntakeHourFacts> =
            each(&debrief.hours, |hour| IntakeHourFacts::of(hour, units)),
        /// Sweat by mass balance; nothing where it was not measured.
        pub sweat: Option<SweatFacts> = (debrief.sweat.as_ref().ok()).map(|sweat| SweatFacts {
            rate_l_per_h: sweat.l_per_h,
            uncertainty_l_per_h: sweat.uncertainty_l_per_h,
            lost: Measure::mass(units, sweat.lost_kg),
            relied_on: sweat.doubts.is_empty(),
        }),
        /// Sweat in words, or why it was not measured.
        pub sweat_words: String = words::sweat(debrief, units),
        /// The worst stomach score, 10 as at breakfast.
        pub stomach: Option<f64> = run.stomach,
        /// Places where the skin rubbed.
        pub hot_spots: Vec<String> = run.hot_spots.clone(),
        /// Notes of the log.
        pub noted: Vec<RemarkFacts> = (debrief.remarks.iter())
            .map(|(at, words)| RemarkFacts {
                at: at.map(Measure::time),
                words: words.clone(),
            })
            .collect(),
        /// Advice for the next run.
        pub advice: Vec<String> = advice.iter().map(|says| says.show(units)).collect(),
        /// Figures that the record proposes for the runner.
        pub proposed: ProposalFacts = ProposalFacts::of(proposal, run, units),
        /// Changes to the plan from that; empty where nothing is proposed.
        pub effects: Vec<EffectFacts> = plan
            .zip(after)
            .map_or_else(Vec::new, |(before, after)| effects(before, after, units)),
    } from pub fn of(
        view: &View<'_>,
        debrief: &Debrief,
        advice: &[Phrase],
        proposal: &Proposal,
        after: Option<&Plan>,
    ) {
        let (run, units) = (&debrief.run, view.units);
        let plan = view.plans.first();
    }

    /// A figure of the plan, with the runner file as it is and with what is proposed.
    pub struct EffectFacts {
        /// Its name.
        pub words: &'static str,
        /// As it is.
        pub before: Measure,
        /// With what is proposed.
        pub after: Measure,
    }

    /// The movement of a long run.
    pub struct MovingFacts {
        /// Length.
        pub distance: Measure = Measure::distance(units, distance_m),
        /// Climb.
        pub climb: Measure = Measure::height(units, ground.climb_m.unwrap_or(0.0)),
        /// Descent.
        pub descent: Measure = Measure::height(units, ground.descent_m.unwrap_or(0.0)),
        /// Moving time.
        pub moving: Measure = time(moving.moving_s),
        /// Pace over the moving time.
        pub pace: Measure =
            Measure::pace(units, moving.moving_s / distance_m.max(f64::MIN_POSITIVE)),
        /// The second half's time over the first's, slopes taken out.
        pub drift: f64 = moving.drift,
        /// The same in words.
        pub drift_words: String = words::drift(moving),
        /// Stops in words.
        pub stops_words: String = words::stops(moving),
        /// Pace downhill, on the level and uphill.
        pub slopes: Vec<SlopeFacts> = slopes
            .map(|(ground, slope)| SlopeFacts {
                ground,
                length: Measure::distance(units, slope.length_m),
                pace: slope.pace_s_per_m().map(|pace| Measure::pace(units, pace)),
            })
            .collect(),
        /// Stops.
        pub stops: Vec<PauseFacts> = (moving.stops.iter())
            .map(|stop| PauseFacts {
                from: time(stop.from_s),
                length: Measure::minutes(stop.length_s),
            })
            .collect(),
    } from fn of(moving: &crate::debrief::Moving, units: Units) {
        let ground = &moving.ground;
        let distance_m = ground.distance_m.unwrap_or_default();
        let time = |s: f64| Measure::time(Elapsed::from_s(s));
        let slopes = ["Down", "Level", "Up"].into_iter().zip(moving.slopes);
    }

    /// Pace on one kind of ground.
    pub struct SlopeFacts {
        /// `Down`, `Level` or `Up`.
        pub ground: &'static str,
        /// Length of it.
        pub length: Measure,
        /// Moving pace; nothing where there is none of it.
        pub pace: Option<Measure>,
    }

    /// A stop of a recording.
    pub struct PauseFacts {
        /// Its beginning.
        pub from: Measure,
        /// Its length.
        pub length: Measure,
    }

    /// A rate of the run beside the plan's mean.
    pub struct RateFacts {
        /// The thing it is of.
        pub words: &'static str,
        /// On the run; nothing where it was not logged.
        pub run: Option<Measure>,
        /// In the plan.
        pub plan: Measure,
        /// The run's share of the plan's.
        pub share: Option<Measure>,
    }

    /// Food and drink of one hour.
    pub struct IntakeHourFacts {
        /// The end of the hour.
        pub until: Measure = Measure::time(Elapsed::from_s(until_s)),
        /// Fluid, the water in food included.
        pub fluid: Measure = Measure::volume(units, fluid_ml),
        /// Carbohydrate.
        pub carbs: Measure = Measure::whole(intake.carbs_g.unwrap_or(0.0), "g"),
        /// Sodium.
        pub sodium: Measure = Measure::whole(intake.sodium_mg.unwrap_or(0.0), "mg"),
    } from fn of(hour: &HourOfIntake, units: Units) {
        let intake = &hour.intake;
        let fluid_ml = intake.drank_ml.unwrap_or(0.0) + intake.food_water_ml.unwrap_or(0.0);
        let until_s = (hour.from_h + hour.length_h) * S_PER_HOUR;
    }

    /// Sweat by mass balance.
    pub struct SweatFacts {
        /// The rate, litres per hour.
        pub rate_l_per_h: f64,
        /// Its standard uncertainty, litres per hour.
        pub uncertainty_l_per_h: f64,
        /// Mass lost.
        pub lost: Measure,
        /// True where it is relied on.
        pub relied_on: bool,
    }

    /// Something the log says in words.
    pub struct RemarkFacts {
        /// The time.
        pub at: Option<Measure>,
        /// The note.
        pub words: String,
    }

    /// Figures that the record proposes for the runner.
    pub struct ProposalFacts {
        /// All of it in words, a line each.
        pub lines: Vec<String> = words::proposed(proposal, run, units),
        /// Days whose measured sweat is proposed.
        pub sweat_days: Vec<String> = sweat.map(|run| run.date.to_string()).collect(),
        /// Carbohydrate that was held, grams per hour.
        pub carbs_rehearsed_g_per_h: Option<f64> = proposal.carbs_g_per_h.map(|(rate, _)| rate),
        /// Fluid that was held, millilitres per hour.
        pub fluid_rehearsed_ml_per_h: Option<f64> = proposal.fluid_ml_per_h.map(|(rate, _)| rate),
        /// Pacing of the record.
        pub pacing: Option<OwnPaceFacts> = proposal.pace.as_ref().map(OwnPaceFacts::of),
    } from fn of(proposal: &Proposal, run: &RunRecord, units: Units) {
        let sweat = proposal.sweat.iter();
    }

    /// Pacing of the record's runs together.
    pub struct OwnPaceFacts {
        /// The fade.
        pub fade: Measure = Measure::ratio(own.fade.value),
        /// Half the range that holds two cases of three.
        pub uncertainty: f64 = 0.5 * (own.fade.high - own.fade.low),
        /// The share of it that rests on the runs rather than on the usual.
        pub own_share: Measure = Measure::share(own.fade.own_share),
        /// Runs that say something.
        pub runs: usize = own.runs,
        /// The day of the last.
        pub last: String = own.last.map_or_else(String::new, |last| last.to_string()),
        /// `proposed`, `no-better` or `outnumbered`: what becomes of it.
        pub standing: &'static str = match pace.standing {
            Standing::Proposed => "proposed",
            Standing::NoBetter => "no-better",
            Standing::Outnumbered => "outnumbered",
        },
    } from fn of(pace: &Pace) {
        let own = &pace.own;
    }
}

/// Hourly needs of the plan, and the time at which it is half way.
fn effects(before: &Plan, after: &Plan, units: Units) -> Vec<EffectFacts> {
    let both = |words, of: &dyn Fn(&Plan) -> Measure| EffectFacts {
        words,
        before: of(before),
        after: of(after),
    };
    let mean = |plan: &Plan, need: fn(&SegmentNeed) -> f64| plan.fueling.mean_per_h(need);
    let half = before.schedule.splits.len() / 2;
    let mut all = vec![
        both("Drink", &|plan| {
            Measure::volume_rate(units, mean(plan, |need| need.fluid_ml))
        }),
        both("Carbohydrate", &|plan| {
            Measure::whole(mean(plan, |need| need.carbs_g), "g/h")
        }),
        both("Sodium", &|plan| {
            Measure::whole(mean(plan, |need| need.sodium_mg), "mg/h")
        }),
        both("Arrival halfway", &|plan| {
            Measure::time(
                plan.schedule
                    .splits
                    .get(half)
                    .map_or(Elapsed::ZERO, |split| split.arrival),
            )
        }),
    ];
    all.retain(|effect| effect.before.text != effect.after.text);
    all
}

fn rates(run: &RunRecord, plan: &Plan, units: Units) -> Vec<RateFacts> {
    let seen = |total: Option<f64>| total.map(|total| run.per_h(total));
    let fluid = |ml_per_h: f64| Measure::volume_rate(units, ml_per_h);
    let grams = |rate: f64| Measure::whole(rate, "g/h");
    let milligrams = |rate: f64| Measure::whole(rate, "mg/h");
    let rate =
        |words, seen: Option<f64>, need: fn(&SegmentNeed) -> f64, show: &dyn Fn(f64) -> Measure| {
            let planned = plan.fueling.mean_per_h(need);
            RateFacts {
                words,
                run: seen.map(show),
                plan: show(planned),
                share: (seen.filter(|_| planned > 0.0)).map(|seen| Measure::share(seen / planned)),
            }
        };
    let intake = &run.intake;
    vec![
        rate("Fluid", run.fluid_ml_per_h(), |need| need.fluid_ml, &fluid),
        rate(
            "Carbohydrate",
            seen(intake.carbs_g),
            |need| need.carbs_g,
            &grams,
        ),
        rate(
            "Sodium",
            seen(intake.sodium_mg),
            |need| need.sodium_mg,
            &milligrams,
        ),
        rate(
            "Caffeine",
            seen(intake.caffeine_mg),
            |need| need.caffeine_mg,
            &milligrams,
        ),
    ]
}
