//! The choice of servings for a whole race: which of two choices is better, and what none may
//! break.
//!
//! Nothing here knows a course, a station or a file. A race is a row of stretches, each with a
//! need; an offer is one food on one stretch; limits hold over any offers. [`ServingProblem::cost`]
//! says which of two choices is better and [`choose`] finds a good one. Every cost is convex in the
//! servings, so that a general solver can be asked for the best there is.

pub use super::search::choose;

/// Per gram of carbohydrate within the band around the need, and beyond it either way.
const CARBS_INSIDE: f64 = 0.1;
const CARBS_OUTSIDE: f64 = 3.0;
/// The share of the carbohydrate need that may be missed or exceeded without more ado.
pub(super) const CARBS_BAND: f64 = 0.10;
/// No band is narrower than this either way, grams: servings are whole.
const LEAST_BAND_G: f64 = 8.0;
/// Missing more than each of these shares of carbohydrate costs so much more a gram, which spreads
/// what is scarce evenly over the race.
const FAR_SHORT: [f64; 3] = [0.25, 0.5, 0.75];
const FARTHER: f64 = 1.5;
/// Per milligram of sodium below the band. What food holds above the need has no price.
const SODIUM_BELOW: f64 = 0.01;
/// The share of the sodium need that may be missed.
pub(super) const SODIUM_BAND: f64 = 0.20;
/// The worth of the first and the second thing eaten at a table.
const AT_THE_TABLE: [f64; 2] = [2.0, 1.0];
/// A food tires over the race: what each serving costs beyond so many.
const TIRED: [(u32, f64); 2] = [(4, 0.3), (8, 0.5)];

/// Sums of decimal fractions that should be equal differ by less than this.
const ROUNDING: f64 = 1e-6;

/// The need of one stretch, from one supply point to the next.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct StretchNeeds {
    /// Carbohydrate, grams.
    pub carbs_g: f64,
    /// Sodium, milligrams.
    pub sodium_mg: f64,
    /// Kinds of things carried at most.
    pub kinds: u32,
}

/// The way that a thing is had.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Had {
    /// Out of a pocket, on the move.
    Pocket,
    /// Standing, at the station that the stretch leaves.
    Table,
}

/// One food on one stretch, per serving.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Offer {
    /// The stretch, by index.
    pub stretch: usize,
    /// The food: the same food tires over the race.
    pub food: usize,
    /// The way it is had.
    pub way: Had,
    /// Carbohydrate, grams.
    pub carbs_g: f64,
    /// Sodium, milligrams.
    pub sodium_mg: f64,
    /// The cost of one serving, in grams of carbohydrate that are off by little.
    pub cost: f64,
    /// The cost of the second serving on the stretch besides, and of each next as much more.
    pub again: f64,
    /// Servings at least: what is settled already.
    pub least: u32,
    /// Servings at most.
    pub most: u32,
}

/// A limit that some servings together must not exceed.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedLimit {
    /// The amount that there is.
    pub left: f64,
    /// Offers by index, and what one serving takes.
    pub each: Vec<(usize, f64)>,
}

/// A race to choose servings for.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ServingProblem {
    /// In course order.
    pub stretches: Vec<StretchNeeds>,
    /// Those of a stretch stand together, in the order of the stretches.
    pub offers: Vec<Offer>,
    /// Limits over several offers.
    pub limits: Vec<SharedLimit>,
}

/// Sums of the servings of one stretch.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Sums {
    pub(super) carbs_g: f64,
    pub(super) sodium_mg: f64,
    pub(super) at_table: u32,
    pub(super) kinds: u32,
}

impl Sums {
    /// Takes in that servings of an offer go from one count to another.
    pub(super) fn change(&mut self, offer: &Offer, from: u32, to: u32) {
        let more = f64::from(to) - f64::from(from);
        self.carbs_g += more * offer.carbs_g;
        self.sodium_mg += more * offer.sodium_mg;
        match offer.way {
            Had::Table => self.at_table = self.at_table + to - from,
            Had::Pocket => self.kinds = self.kinds + u32::from(to > 0) - u32::from(from > 0),
        }
    }
}

impl StretchNeeds {
    /// The cost of servings that add up to so much.
    pub(super) fn cost(&self, sums: &Sums) -> f64 {
        self.missed(sums) - at_table(0..sums.at_table)
    }

    /// The cost of needs that are not met, the most that any change can gain but at the table.
    pub(super) fn missed(&self, sums: &Sums) -> f64 {
        self.carbs_cost(sums.carbs_g)
            + SODIUM_BELOW * (self.sodium_mg * (1.0 - SODIUM_BAND) - sums.sodium_mg).max(0.0)
    }

    fn carbs_cost(&self, carbs_g: f64) -> f64 {
        let off_g = (carbs_g - self.carbs_g).abs();
        let outside_g = (off_g - (CARBS_BAND * self.carbs_g).max(LEAST_BAND_G)).max(0.0);
        let far_g = |share: f64| (off_g - (share * self.carbs_g).max(LEAST_BAND_G)).max(0.0);
        let far_g: f64 = match carbs_g < self.carbs_g {
            true => FAR_SHORT.into_iter().map(far_g).sum(),
            false => 0.0,
        };
        CARBS_INSIDE * off_g + CARBS_OUTSIDE * outside_g + FARTHER * far_g
    }
}

impl Offer {
    /// The cost of so many servings, whatever else is chosen.
    pub(super) fn cost_of(&self, servings: u32) -> f64 {
        let n = f64::from(servings);
        self.cost * n + self.again * n * (n - 1.0) / 2.0
    }
}

/// The worth of some of the things eaten at a table.
pub(super) fn at_table(things: std::ops::Range<u32>) -> f64 {
    let worth = |thing: u32| AT_THE_TABLE.get(thing as usize).copied();
    things.map_while(worth).sum()
}

/// The cost of having a food so often in the race.
pub(super) fn tiring(servings: u32) -> f64 {
    if servings <= TIRED[0].0 {
        return 0.0;
    }
    let beyond = |(few, each): &(u32, f64)| f64::from(servings.saturating_sub(*few)) * each;
    TIRED.iter().map(beyond).sum()
}

/// True where a value is within a limit, but for rounding.
pub(super) fn within(value: f64, most: f64) -> bool {
    value <= most + ROUNDING
}

impl ServingProblem {
    /// The cost of a choice; lower is better, and a gram of carbohydrate outside of the band costs
    /// 3. Infinite where it breaks a limit, has more kinds on a stretch than it may, or fewer or
    /// more servings of an offer than it must.
    ///
    /// # Panics
    /// Where there are not as many servings as offers.
    #[must_use]
    pub fn cost(&self, servings: &[u32]) -> f64 {
        assert_eq!(servings.len(), self.offers.len());
        let mut sums = vec![Sums::default(); self.stretches.len()];
        let mut eaten = vec![0; self.offers.iter().map(|o| o.food + 1).max().unwrap_or(0)];
        let mut cost = 0.0;
        for (offer, &n) in self.offers.iter().zip(servings) {
            if !(offer.least..=offer.most).contains(&n) {
                return f64::INFINITY;
            }
            sums[offer.stretch].change(offer, 0, n);
            cost += offer.cost_of(n);
            eaten[offer.food] += n;
        }
        let held = |limit: &SharedLimit| {
            let each = limit.each.iter();
            within(
                each.map(|(at, one)| f64::from(servings[*at]) * one).sum(),
                limit.left,
            )
        };
        let few = |(stretch, sums): (&StretchNeeds, &Sums)| sums.kinds <= stretch.kinds;
        if !self.limits.iter().all(held) || !self.stretches.iter().zip(&sums).all(few) {
            return f64::INFINITY;
        }
        let needs = self.stretches.iter().zip(&sums);
        cost + needs.map(|(stretch, sums)| stretch.cost(sums)).sum::<f64>()
            + eaten.into_iter().map(tiring).sum::<f64>()
    }
}
