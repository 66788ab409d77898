//! Indices of heat and cold: published ones and the bands that warnings hang
//! on. All of them are estimates from a forecast; a reading taken on the course stands above them.

use crate::units::{celsius, fahrenheit};

/// Water vapour pressure by the formula that the Australian Bureau of Meteorology prints beside
/// its approximation of wet-bulb globe temperature; hectopascals.
///
/// # Units
/// Air temperature in °C, relative humidity in percent. A Magnus form: good from about -40 to
/// 50 °C.
#[must_use]
pub fn vapour_pressure_hpa(temp_c: f64, humidity_pct: f64) -> f64 {
    humidity_pct / 100.0 * 6.105 * (17.27 * temp_c / (237.7 + temp_c)).exp()
}

/// Wet-bulb globe temperature in the sun, °C, by the Bureau of Meteorology's approximation
/// `0.567 T + 0.393 e + 3.94` with the vapour pressure in hPa.
///
/// Assumes moderately strong sun and light wind, so it reads high under cloud, in wind and at
/// night; see [`wbgt_shade_c`] for the dark. Below about 10 °C it says little. The original
/// definition (`0.7 Tnw + 0.2 Tg + 0.1 Ta`, ISO 7243) needs a globe thermometer.
///
/// ```
/// use sutler::fueling::heat::wbgt_sun_c;
/// assert!((wbgt_sun_c(30.0, 40.0) - 27.60).abs() < 0.02);
/// ```
#[must_use]
pub fn wbgt_sun_c(temp_c: f64, humidity_pct: f64) -> f64 {
    0.567 * temp_c + 0.393 * vapour_pressure_hpa(temp_c, humidity_pct) + 3.94
}

/// Wet-bulb globe temperature without any sun, °C: `0.7 Tw + 0.3 T`, the form of ISO 7243 for no
/// solar load, with the globe at air temperature and Stull's wet bulb for the natural one.
///
/// A globe in the dark reads air temperature or a little less, and in moving air the natural wet
/// bulb is close to the ventilated one, so this is fair at night. Range as of [`wet_bulb_c`].
#[must_use]
pub fn wbgt_shade_c(temp_c: f64, humidity_pct: f64) -> f64 {
    0.7 * wet_bulb_c(temp_c, humidity_pct) + 0.3 * temp_c
}

/// Wet-bulb temperature, °C, by R. Stull, "Wet-bulb temperature from relative humidity and air
/// temperature", J. Appl. Meteorol. Climatol. 50 (2011), 2267, equation 1.
///
/// Valid at sea-level pressure for 5 to 99 % and -20 to 50 °C, except cold dry air; error -1.0 to
/// +0.65 K. Humidity is held to that range.
#[must_use]
pub fn wet_bulb_c(temp_c: f64, humidity_pct: f64) -> f64 {
    let rh = humidity_pct.clamp(5.0, 99.0);
    temp_c * (0.151_977 * (rh + 8.313_659).sqrt()).atan() + (temp_c + rh).atan()
        - (rh - 1.676_331).atan()
        + 0.003_918_38 * rh.powf(1.5) * (0.023_101 * rh).atan()
        - 4.686_035
}

/// The US National Weather Service's heat index, °F, by Rothfusz's regression (NWS Technical
/// Attachment SR 90-23) with the service's simple form below 80 °F and its two adjustments.
///
/// For shade and light wind; full sun adds up to 15 °F. The printed pictures leave out the
/// adjustment for high humidity.
#[must_use]
pub fn heat_index_f(temp_f: f64, humidity_pct: f64) -> f64 {
    let (t, rh) = (temp_f, humidity_pct);
    let simple = 0.5 * (t + 61.0 + (t - 68.0) * 1.2 + rh * 0.094);
    if (simple + t) / 2.0 < 80.0 {
        return (simple + t) / 2.0;
    }
    let regression = -42.379 + 2.049_015_23 * t + 10.143_331_27 * rh
        - 0.224_755_41 * t * rh
        - 0.006_837_83 * t * t
        - 0.054_817_17 * rh * rh
        + 0.001_228_74 * t * t * rh
        + 0.000_852_82 * t * rh * rh
        - 0.000_001_99 * t * t * rh * rh;
    if rh < 13.0 && (80.0..=112.0).contains(&t) {
        regression - (13.0 - rh) / 4.0 * ((17.0 - (t - 95.0).abs()) / 17.0).sqrt()
    } else if rh > 85.0 && (80.0..=87.0).contains(&t) {
        regression + (rh - 85.0) / 10.0 * ((87.0 - t) / 5.0)
    } else {
        regression
    }
}

/// [`heat_index_f`] from and to °C.
#[must_use]
pub fn heat_index_c(temp_c: f64, humidity_pct: f64) -> f64 {
    celsius(heat_index_f(fahrenheit(temp_c), humidity_pct))
}

/// Flags for distance running by wet-bulb globe temperature (American College of Sports Medicine,
/// guidance for road races).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Flag {
    /// Below 10 °C: collapse from cold becomes likelier.
    White,
    /// 10 to 18 °C: collapse from heat is still possible.
    Green,
    /// From 18 °C: runners at risk slow down.
    Yellow,
    /// From 23 °C: runners at risk do not run, everyone slows down.
    Red,
    /// Above 28 °C: races are called off or withdrawal is advised.
    Black,
}

impl Flag {
    /// The flag at a wet-bulb globe temperature.
    #[must_use]
    pub fn at(wbgt_c: f64) -> Flag {
        match wbgt_c {
            c if c > 28.0 => Flag::Black,
            c if c >= 23.0 => Flag::Red,
            c if c >= 18.0 => Flag::Yellow,
            c if c >= 10.0 => Flag::Green,
            _ => Flag::White,
        }
    }
}

/// Bands of the heat index as the National Weather Service prints them, lower bounds in °F.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HeatIndexBand {
    /// Below 80 °F.
    None,
    /// From 80 °F.
    Caution,
    /// From 90 °F.
    ExtremeCaution,
    /// From 103 °F.
    Danger,
    /// From 125 °F.
    ExtremeDanger,
}

impl HeatIndexBand {
    /// The band of a heat index.
    #[must_use]
    pub fn at_f(heat_index_f: f64) -> HeatIndexBand {
        match heat_index_f {
            f if f >= 125.0 => HeatIndexBand::ExtremeDanger,
            f if f >= 103.0 => HeatIndexBand::Danger,
            f if f >= 90.0 => HeatIndexBand::ExtremeCaution,
            f if f >= 80.0 => HeatIndexBand::Caution,
            _ => HeatIndexBand::None,
        }
    }

    /// The band in words, such as `extreme caution`.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            HeatIndexBand::None => "no warning",
            HeatIndexBand::Caution => "caution",
            HeatIndexBand::ExtremeCaution => "extreme caution",
            HeatIndexBand::Danger => "danger",
            HeatIndexBand::ExtremeDanger => "extreme danger",
        }
    }
}

/// The time in which exposed skin freezes at a wind chill (Environment Canada's thresholds).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ColdBand {
    /// Above -10 °C.
    Mild,
    /// From -10 °C down: hypothermia for those long outside without protection.
    Cold,
    /// From -28 °C down: skin freezes in 10 to 30 minutes.
    Frostbite,
    /// From -40 °C down: skin freezes in 5 to 10 minutes.
    FrostbiteFast,
    /// From -48 °C down: skin freezes in 2 to 5 minutes.
    FrostbiteVeryFast,
    /// From -55 °C down: skin freezes in less than 2 minutes.
    Extreme,
}

impl ColdBand {
    /// The band at a wind chill.
    #[must_use]
    pub fn at(wind_chill_c: f64) -> ColdBand {
        match wind_chill_c {
            c if c <= -55.0 => ColdBand::Extreme,
            c if c <= -48.0 => ColdBand::FrostbiteVeryFast,
            c if c <= -40.0 => ColdBand::FrostbiteFast,
            c if c <= -28.0 => ColdBand::Frostbite,
            c if c <= -10.0 => ColdBand::Cold,
            _ => ColdBand::Mild,
        }
    }

    /// True where exposed skin freezes within half an hour.
    #[must_use]
    pub fn freezes_skin(self) -> bool {
        !matches!(self, ColdBand::Mild | ColdBand::Cold)
    }

    /// Its effect on skin, in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            ColdBand::Mild => "chilling",
            ColdBand::Cold => "hypothermia is a risk without protection",
            ColdBand::Frostbite => "exposed skin can freeze in 10 to 30 minutes",
            ColdBand::FrostbiteFast => "exposed skin can freeze in 5 to 10 minutes",
            ColdBand::FrostbiteVeryFast => "exposed skin can freeze in 2 to 5 minutes",
            ColdBand::Extreme => "exposed skin can freeze in less than 2 minutes",
        }
    }
}
