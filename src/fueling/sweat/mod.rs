//! Sweat rate: predicted from mass, effort and weather, or the runner's own measurements.
//!
//! Two published models of different make are averaged where both hold, and half their distance
//! goes into the band; in the cool one of them stands alone. Against treadmill and field data both
//! can read high by nearly half in long slow races, so the estimate bounds what to plan for; it is
//! no target.

mod heat_balance;
mod mass_balance;
mod measured;
mod table_fit;

pub use heat_balance::{HeatBalance, heat_balance};
pub use mass_balance::{Doubt, FUEL_AND_BREATH_KG_PER_KCAL, MassBalance};
pub use measured::OwnSweat;
pub use table_fit::table_fit_l_per_h;

/// The lowest rate ever given, litres per hour: the least that mass balance over a long run tells
/// from nothing.
///
/// The usual range of endurance athletes starts at 0.3 L/h (Thomas, Erdman and Burke 2016), but a
/// floor there would let small runners in the cold plan to drink more than they are predicted to
/// sweat, and fluid must never exceed sweat.
pub const LOWEST_L_PER_H: f64 = 0.1;
/// The highest predicted rate, litres per hour: the upper end of the usual range, 0.3 to 2.4
/// (Thomas, Erdman and Burke 2016, Med. Sci. Sports Exerc. 48:543).
pub const HIGHEST_PREDICTED_L_PER_H: f64 = 2.4;
/// The highest rate taken from measurements, litres per hour (upper end for adults in the position
/// statement of the National Athletic Trainers' Association, McDermott and others 2017).
pub const HIGHEST_MEASURED_L_PER_H: f64 = 4.0;

/// A body as the sweat models see it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Body {
    /// kilograms
    pub mass_kg: f64,
    /// metres
    pub height_m: f64,
}

impl Body {
    /// Skin area, m², by Du Bois and Du Bois 1916 as ISO 7933 gives it: `0.202 m^0.425 h^0.725`.
    ///
    /// ```
    /// use sutler::fueling::sweat::Body;
    /// let body = Body { mass_kg: 70.0, height_m: 1.75 };
    /// assert!((body.area_m2() - 1.8438).abs() < 0.0001);
    /// ```
    #[must_use]
    pub fn area_m2(self) -> f64 {
        0.202 * self.mass_kg.powf(0.425) * self.height_m.powf(0.725)
    }
}

/// The air around a runner and how hard they work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Effort {
    /// Energy burned, kcal per hour, standing included.
    pub energy_kcal_per_h: f64,
    /// Air temperature, °C.
    pub temp_c: f64,
    /// Relative humidity, percent.
    pub humidity_pct: f64,
    /// Air over the skin, m/s; see [`relative_air_mps`].
    pub air_mps: f64,
    /// Radiant temperature above air temperature, K; see [`sun_k`].
    pub sun_k: f64,
}

/// Air over a runner's skin, m/s, from own speed (m/s) and the forecast wind at 10 m (km/h).
///
/// Two thirds of the wind at 10 m reach a person in the open (as in the wind chill index,
/// Osczevski and Bluestein 2005, from memory). A course turns, so head and tail wind even out and
/// own speed and wind are taken at right angles; this choice is ours.
#[must_use]
pub fn relative_air_mps(own_mps: f64, wind_kmh: f64) -> f64 {
    own_mps.hypot(wind_kmh / 3.6 * 2.0 / 3.0)
}

/// A sweat rate with how far off it may be.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SweatRate {
    /// litres per hour
    pub l_per_h: f64,
    /// The true rate may lie this much lower or higher, litres per hour.
    pub either_way_l_per_h: f64,
    /// And this much higher still in full sun, litres per hour.
    pub in_sun_l_per_h: f64,
}

impl SweatRate {
    /// Low and high end, litres per hour; the low end is not below [`LOWEST_L_PER_H`].
    #[must_use]
    pub fn band_l_per_h(self) -> (f64, f64) {
        let low = (self.l_per_h - self.either_way_l_per_h).max(LOWEST_L_PER_H);
        (
            low.min(self.l_per_h),
            self.l_per_h + self.either_way_l_per_h + self.in_sun_l_per_h,
        )
    }
}

/// Air below which the prediction falls no further, °C: the lower end of the heat balance's range,
/// below which it soon comes to no sweat at all; and who runs in colder air dresses for it (common
/// practice), while both models have shorts and a T-shirt on.
pub const COOL_C: f64 = 15.0;

/// Predicted sweat rate: the mean of [`table_fit_l_per_h`] and [`heat_balance()`], held between
/// [`LOWEST_L_PER_H`] and [`HIGHEST_PREDICTED_L_PER_H`], and never below what the table gives at
/// [`COOL_C`].
///
/// The band is 0.30 L/h either way, for the best published equations reach no less (treadmill, 20
/// to 40 °C: 95 % within +0.33 and -0.29 L/h, 2024, PMID 39205641), or half the models' distance
/// and 0.15 L/h where that is more.
#[must_use]
pub fn predicted(body: Body, effort: Effort) -> SweatRate {
    let by_table = |temp_c| table_fit_l_per_h(body, effort.energy_kcal_per_h, temp_c);
    let warm = Effort {
        temp_c: effort.temp_c.max(COOL_C),
        ..effort
    };
    let (table, balance) = (
        by_table(warm.temp_c),
        heat_balance(body, warm).sweat_l_per_h,
    );
    SweatRate {
        l_per_h: f64::midpoint(table, balance)
            .max(by_table(COOL_C))
            .clamp(LOWEST_L_PER_H, HIGHEST_PREDICTED_L_PER_H),
        either_way_l_per_h: ((table - balance).abs() / 2.0 + 0.15).max(BAND_L_PER_H),
        in_sun_l_per_h: 0.0,
    }
}

/// The least that a prediction may be off either way, litres per hour.
const BAND_L_PER_H: f64 = 0.30;

/// Radiant temperature above air temperature of a sunny hot day, K (our choice, moderate: full sun
/// on open ground comes to more, shade on the way to nothing).
pub const HOT_SUN_K: f64 = 20.0;
/// Up to the first the sun only lifts the upper end of the band, from the second on it is all in
/// the mean, °C (our choice: a hot day is a sunny one, a cool day is not known to be).
const SUN_COUNTS_C: (f64, f64) = (20.0, 30.0);

/// Share of the sun that is in the mean at an air temperature.
fn sun_share(temp_c: f64) -> f64 {
    let (from_c, all_c) = SUN_COUNTS_C;
    ((temp_c - from_c) / (all_c - from_c)).clamp(0.0, 1.0)
}

/// Radiant temperature above air temperature that the mean counts with while the sun is up, K.
///
/// ```
/// use sutler::fueling::sweat::{HOT_SUN_K, sun_k};
/// assert_eq!((sun_k(15.0), sun_k(35.0)), (0.0, HOT_SUN_K));
/// ```
#[must_use]
pub fn sun_k(temp_c: f64) -> f64 {
    HOT_SUN_K * sun_share(temp_c)
}

/// The rise of the upper end of the band in the sun, litres per hour: what [`in_sun_l_per_h`]
/// comes to, less what the mean has of it by [`sun_k`]; the less, the more is worn, down to nothing
/// in frost (our choice).
#[must_use]
pub fn more_in_sun_l_per_h(body: Body, temp_c: f64, l_per_h: f64) -> f64 {
    let bare_share = (temp_c / COOL_C).clamp(0.0, 1.0);
    in_sun_l_per_h(body, l_per_h) * (1.0 - sun_share(temp_c)) * bare_share
}

/// Sweat that full sun may add to that in the shade, litres per hour.
///
/// In the sun people walking at 16 to 26 °C in 0.5 to 1.5 m/s of air were measured to sweat
/// `0.72 S + 135` g/m²/h for `S` predicted in the shade, up to 700 (Gonzalez and others 2012, J.
/// Appl. Physiol. 112:1300). A runner's own air carries more of the sun's heat away, and nobody
/// says how much of a course lies in shade or under cloud, so in mild air this only lifts the upper
/// end of the band: planned fluid must stay below what is sweated on a dull day.
///
/// ```
/// use sutler::fueling::sweat::{Body, in_sun_l_per_h};
/// let body = Body { mass_kg: 70.0, height_m: 1.75 };
/// // 300 g/m²/h in the shade are 351 in the sun
/// let shade_l_per_h = 0.300 * body.area_m2();
/// assert!((in_sun_l_per_h(body, shade_l_per_h) - 0.051 * body.area_m2()).abs() < 1e-9);
/// ```
#[must_use]
pub fn in_sun_l_per_h(body: Body, shade_l_per_h: f64) -> f64 {
    let area_m2 = body.area_m2();
    let shade_g_per_m2 = shade_l_per_h * 1000.0 / area_m2;
    let sun_g_per_m2 = 0.72 * shade_g_per_m2 + 135.0;
    (sun_g_per_m2 - shade_g_per_m2).max(0.0) * area_m2 / 1000.0
}
