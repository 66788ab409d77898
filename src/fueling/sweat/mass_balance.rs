//! Sweat measured on a long run: the scale before and after, and what went in and out.

use super::{HIGHEST_MEASURED_L_PER_H, LOWEST_L_PER_H};

/// Mass lost with breath and burned fuel, kilograms per kcal, which is no loss of body water:
/// 0.20 g/kcal (Cheuvront and Montain 2017, Exp. Physiol. 102:1047).
pub const FUEL_AND_BREATH_KG_PER_KCAL: f64 = 0.000_20;

/// A long run with the scale before and after: towelled dry, in dry clothes or none.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MassBalance {
    /// Body mass before, kilograms.
    pub before_kg: f64,
    /// Body mass after, kilograms.
    pub after_kg: f64,
    /// Drunk on the way, litres.
    pub drunk_l: f64,
    /// Eaten on the way, kilograms.
    pub eaten_kg: f64,
    /// Urine, litres.
    pub urine_l: f64,
    /// Stool, kilograms.
    pub stool_kg: f64,
    /// Energy burned, kcal; 0 leaves out what breath and burned fuel weigh.
    pub energy_kcal: f64,
    /// The time it took, hours.
    pub hours: f64,
}

/// A reason not to rely on a measured rate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doubt {
    /// Less than 45 minutes: the scale's steps weigh too much.
    Short,
    /// More than 5 % of body mass was lost.
    LargeLoss,
    /// Outside 0.1 to 4.0 L/h: something was not weighed or not written down.
    OutOfRange,
}

impl MassBalance {
    /// Sweat, litres per hour, a kilogram counted as a litre.
    ///
    /// `before - after + drunk + eaten - urine - stool - 0.00020 energy`, over the hours: the form
    /// of the National Athletic Trainers' Association (McDermott and others 2017, J. Athl. Train.
    /// 52:877) with food, and with the mass of breath and burned fuel taken off (Cheuvront and
    /// Montain 2017). Good to about a tenth with a scale that shows 0.1 kg, from 45 minutes up.
    ///
    /// ```
    /// use sutler::fueling::sweat::MassBalance;
    /// let run = MassBalance { before_kg: 85.0, after_kg: 83.7, drunk_l: 0.8, hours: 1.5,
    ///     ..MassBalance::default() };
    /// assert!((run.sweat_l_per_h() - 1.40).abs() < 0.005);
    /// ```
    #[must_use]
    pub fn sweat_l_per_h(&self) -> f64 {
        (self.before_kg - self.after_kg + self.drunk_l + self.eaten_kg
            - self.urine_l
            - self.stool_kg
            - FUEL_AND_BREATH_KG_PER_KCAL * self.energy_kcal)
            / self.hours
    }

    /// One standard deviation of the rate, litres per hour, from how finely things were read.
    ///
    /// A display in steps is off by up to half a step either way, each error as likely as the next:
    /// a standard deviation of a step over √12 at each weighing (Joint Committee for Guides in
    /// Metrology, Guide to the expression of uncertainty in measurement, 4.3.7). `volumes_l` is the
    /// deviation of all that was drunk and passed together, `hours` that of the duration.
    ///
    /// ```
    /// use sutler::fueling::sweat::MassBalance;
    /// let run = MassBalance { before_kg: 70.0, after_kg: 69.0, hours: 2.0, ..Default::default() };
    /// // 0.1 kg / √12 twice is 0.041 kg, over 2 h
    /// assert!((run.uncertainty_l_per_h(0.1, 0.0, 0.0) - 0.0204).abs() < 1e-4);
    /// ```
    #[must_use]
    pub fn uncertainty_l_per_h(&self, scale_step_kg: f64, volumes_l: f64, hours: f64) -> f64 {
        let weighings = scale_step_kg * scale_step_kg / 6.0;
        let lost_l = (weighings + volumes_l * volumes_l).sqrt();
        (lost_l / self.hours).hypot(self.sweat_l_per_h() * hours / self.hours)
    }

    /// Reasons against using the rate; empty where there are none.
    #[must_use]
    pub fn doubts(&self) -> Vec<Doubt> {
        const SHORTEST_H: f64 = 0.75;
        const LARGEST_LOSS: f64 = 0.05;
        let rate = self.sweat_l_per_h();
        let plausible = (LOWEST_L_PER_H..=HIGHEST_MEASURED_L_PER_H).contains(&rate);
        [
            (self.hours < SHORTEST_H, Doubt::Short),
            (
                self.before_kg - self.after_kg > LARGEST_LOSS * self.before_kg,
                Doubt::LargeLoss,
            ),
            (!plausible, Doubt::OutOfRange),
        ]
        .into_iter()
        .filter_map(|(holds, doubt)| holds.then_some(doubt))
        .collect()
    }
}
