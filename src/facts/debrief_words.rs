//! A debriefed run in sentences.

use crate::debrief::{Debrief, Moving, NoSweat, Pace, Proposal, Standing};
use crate::fit::{FitVerdict, HALF_AFTER_DAYS};
use crate::fueling::sweat::Doubt;
use crate::inputs::RunRecord;
use crate::time::Elapsed;
use crate::units::{Quantity, Units};
use crate::words::count;

pub(super) fn stops(moving: &Moving) -> String {
    let Some(longest) = (moving.stops.iter()).max_by(|a, b| a.length_s.total_cmp(&b.length_s))
    else {
        return "none of more than a minute".to_owned();
    };
    let all_s: f64 = moving.stops.iter().map(|stop| stop.length_s).sum();
    let minutes = |s: f64| format!("{:.0} min", s / 60.0);
    let at = Elapsed::from_s(longest.from_s);
    match moving.stops.len() {
        1 => format!("1, {} after {at}", minutes(all_s)),
        n => format!(
            "{n}, {} in all; the longest {} after {at}",
            minutes(all_s),
            minutes(longest.length_s)
        ),
    }
}

/// The second half of the effort beside the first.
pub(super) fn drift(moving: &Moving) -> String {
    let pct = ((moving.drift - 1.0) * 100.0).round();
    match pct {
        p if p > 0.0 => format!("{p:.0} % slower in the second half, slopes aside"),
        p if p < 0.0 => format!("{:.0} % faster in the second half, slopes aside", -p),
        _ => "none: the second half as fast as the first, slopes aside".to_owned(),
    }
}

pub(super) fn weather(run: &RunRecord, units: Units) -> Option<String> {
    let sky = &run.sky;
    let mut parts = Vec::new();
    if let Some(c) = sky.temp_c {
        parts.push(units.show(Quantity::Temperature { c }));
    }
    if let Some(pct) = sky.humidity_pct {
        parts.push(format!("{pct:.0} % humidity"));
    }
    if let Some(kmh) = sky.wind_kmh {
        parts.push(format!("wind {}", units.show(Quantity::WindSpeed { kmh })));
    }
    if let Some(mm) = sky.rain_mm_per_h.filter(|mm| *mm > 0.0) {
        parts.push(format!("rain {mm:.0} mm/h"));
    }
    if let Some(dark_s) = sky.dark_s.filter(|s| *s > 0.0) {
        parts.push(format!("{} in the dark", Elapsed::from_s(dark_s)));
    }
    (!parts.is_empty()).then(|| parts.join(", "))
}

pub(super) fn sweat(debrief: &Debrief, units: Units) -> String {
    let sweat = match &debrief.sweat {
        Ok(sweat) => sweat,
        Err(NoSweat::NoScale) => {
            return "not measured: give --mass-before and --mass-after".to_owned();
        }
        Err(NoSweat::NoLog) => {
            return "not measured: the log must say what was drunk".to_owned();
        }
    };
    let rate = |l_per_h: f64| {
        units.show(Quantity::VolumeRate {
            ml_per_h: l_per_h * 1000.0,
        })
    };
    let (low, high) = sweat.band_l_per_h();
    let kg = sweat.lost_kg;
    let mass = match kg {
        kg if kg > 0.0 => format!("{} lost", units.show(Quantity::Mass { kg })),
        kg if kg < 0.0 => format!(
            "{} gained: more was drunk than lost, which is how blood sodium falls",
            units.show(Quantity::Mass { kg: -kg })
        ),
        _ => "no mass lost".to_owned(),
    };
    let doubts = sweat.doubts.iter().map(|doubt| match doubt {
        Doubt::Short => "; not used: under 45 minutes the scale's steps weigh too much",
        Doubt::LargeLoss => "; not used: more than 5 % of body mass is likelier a slip",
        Doubt::OutOfRange => "; not used: nobody sweats that much; something was not written down",
    });
    format!(
        "{}, {} to {} by the scale's steps and the flasks; {mass}{}",
        rate(sweat.l_per_h),
        rate(low),
        rate(high),
        doubts.collect::<String>()
    )
}

/// Figures that the record proposes, and those it does not.
pub(super) fn proposed(proposal: &Proposal, run: &RunRecord, units: Units) -> Vec<String> {
    let mut lines = Vec::new();
    let rate = |l_per_h: f64| {
        let ml_per_h = l_per_h * 1000.0;
        units.show(Quantity::VolumeRate { ml_per_h })
    };
    for one in &proposal.sweat {
        let body = &one.body;
        let off = body
            .sweat_uncertainty_l_per_h
            .map(|off| format!(", give or take {}", rate(off)));
        lines.push(format!(
            "sweat of {}: {}{}",
            one.date,
            rate(body.sweat_l_per_h.unwrap_or_default()),
            off.unwrap_or_default()
        ));
    }
    for far in &proposal.sweat_outliers {
        let (low, high) = far.expected_l_per_h;
        lines.push(format!(
            "sweat of {} is left out: {}, where {} to {} is expected and no other run is like it; \
             weigh yourself once more in similar weather",
            far.date,
            rate(far.l_per_h),
            rate(low),
            rate(high)
        ));
    }
    if let Some((g, date)) = proposal.carbs_g_per_h {
        lines.push(format!("carbohydrate held: {g:.0} g/h, measured on {date}"));
    }
    if let Some((ml_per_h, date)) = proposal.fluid_ml_per_h {
        let rate = units.show(Quantity::VolumeRate { ml_per_h });
        lines.push(format!("drinking held: {rate}, measured on {date}"));
    }
    if let Some(pace) = &proposal.pace {
        lines.extend(paced(pace));
    }
    if proposal.is_empty() {
        lines.push("nothing new for runner.toml".to_owned());
    }
    if run.body.sweat_l_per_h.is_some() && run.sky.temp_c.is_none() {
        lines.push("sweat is not proposed without the temperature: give --temp".to_owned());
    }
    if run.intake.carbs_g.is_some() && run.stomach.is_none() {
        lines.push(
            "rates count as held where the log has a stomach score of 7 or more and the run took \
             3 h"
            .to_owned(),
        );
    }
    lines
}

/// Own pacing, what becomes of it and why.
fn paced(pace: &Pace) -> Vec<String> {
    let own = &pace.own;
    let mut lines = vec![format!(
        "pacing of {}: fade {:.2} ({:.2} to {:.2}, which holds two cases in three); surer runs count \
         more, and one {HALF_AFTER_DAYS:.0} days before the last counts half",
        count(own.runs, "run"),
        own.fade.value,
        own.fade.low,
        own.fade.high
    )];
    lines.extend(own.outliers.iter().map(|(date, weight)| {
        format!(
            "pacing of {date} is far from the other days and counts for {:.0} % of a usual one",
            weight * 100.0
        )
    }));
    let tried = match own.verdict {
        FitVerdict::Better => format!(
            "they predict {} recordings, each from the others, better than the defaults",
            own.tried_on()
        ),
        _ => "not tried: that takes the recordings of two runs beside the record".to_owned(),
    };
    lines.push(match pace.standing {
        Standing::Proposed => format!("pacing is proposed: {tried}"),
        Standing::NoBetter => format!(
            "pacing is not proposed: the defaults predict {} recordings as well",
            own.tried_on()
        ),
        Standing::Outnumbered => "pacing in runner.toml stays: it is from more runs than the \
             record has; delete `runs` there to have the record's"
            .to_owned(),
    });
    lines
}
