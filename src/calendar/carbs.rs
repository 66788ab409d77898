//! Carbohydrate raised step by step, so that the gut learns it.

use super::{CalendarRequest, Week};

/// Raised by so much a week, grams per hour. Our choice; that the gut can be trained at all: Costa
/// and others 2017, Appl. Physiol. Nutr. Metab.; Cox and others 2010, J. Appl. Physiol.
pub(super) const STEP_G_PER_H: f64 = 10.0;

/// Gives each run the rate to practise: the present one, and a step more each week.
pub(super) fn step(request: &CalendarRequest, weeks: &mut [Week]) {
    let (now, target) = request.carbs_g_per_h;
    let with_runs = weeks.iter_mut().filter(|week| !week.runs.is_empty());
    for (index, week) in with_runs.enumerate() {
        let rate = (now + index as f64 * STEP_G_PER_H)
            .min(target)
            .max(now.min(target));
        for run in &mut week.runs {
            run.carbs_g_per_h = rate;
        }
    }
}
