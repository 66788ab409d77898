//! Conversions between the units people write and the ones the core computes in, and words with
//! quantities in them that are put into the reader's units only when printed.
//!
//! The core computes in metres, seconds, kilograms, millilitres, milligrams, kilocalories and
//! degrees Celsius; every `f64` carries its unit in its name.

/// Metres in an international mile (exact, international yard and pound agreement of 1959).
pub const M_PER_MILE: f64 = 1609.344;
/// Metres in an international foot (exact, same agreement).
pub const M_PER_FOOT: f64 = 0.3048;
/// Millilitres in a US fluid ounce (NIST Handbook 44, appendix C).
pub const ML_PER_FLOZ: f64 = 29.573_529_562_5;
/// Kilograms in an avoirdupois pound (exact, same agreement of 1959).
pub const KG_PER_POUND: f64 = 0.453_592_37;
/// Joules in a thermochemical kilocalorie (exact by definition).
pub const J_PER_KCAL: f64 = 4184.0;

/// The units a report is printed in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Units {
    /// Kilometres, metres, litres, kilograms, degrees Celsius.
    #[default]
    Metric,
    /// Miles, feet, US fluid ounces, pounds, degrees Fahrenheit.
    Imperial,
}

impl Units {
    /// Metres in this system's unit of course distance: a kilometre or a mile.
    #[must_use]
    pub fn distance_unit_m(self) -> f64 {
        match self {
            Units::Metric => 1000.0,
            Units::Imperial => M_PER_MILE,
        }
    }

    /// The symbol of the unit of course distance, `km` or `mi`.
    #[must_use]
    pub fn distance_symbol(self) -> &'static str {
        match self {
            Units::Metric => "km",
            Units::Imperial => "mi",
        }
    }

    /// The symbol of the unit of height, `m` or `ft`.
    #[must_use]
    pub fn height_symbol(self) -> &'static str {
        match self {
            Units::Metric => "m",
            Units::Imperial => "ft",
        }
    }

    /// The symbol of the unit of volume, `ml` or `fl oz`.
    #[must_use]
    pub fn volume_symbol(self) -> &'static str {
        match self {
            Units::Metric => "ml",
            Units::Imperial => "fl oz",
        }
    }

    /// The symbol of the unit of temperature, `°C` or `°F`.
    #[must_use]
    pub fn temperature_symbol(self) -> &'static str {
        match self {
            Units::Metric => "°C",
            Units::Imperial => "°F",
        }
    }

    /// A course distance without its symbol, to one decimal.
    #[must_use]
    pub fn distance_number(self, distance_m: f64) -> String {
        format!("{:.1}", distance_m / self.distance_unit_m())
    }

    /// A height or climb without its symbol, to the metre or foot.
    #[must_use]
    pub fn height_number(self, height_m: f64) -> String {
        let shown = match self {
            Units::Metric => height_m,
            Units::Imperial => height_m / M_PER_FOOT,
        };
        whole(shown)
    }

    /// A volume without its symbol: to 10 ml, or to the fluid ounce.
    #[must_use]
    pub fn volume_number(self, volume_ml: f64) -> String {
        match self {
            Units::Metric => whole((volume_ml / 10.0).round() * 10.0),
            Units::Imperial => whole(volume_ml / ML_PER_FLOZ),
        }
    }

    /// A temperature without its symbol, to the degree.
    #[must_use]
    pub fn temperature_number(self, temperature_c: f64) -> String {
        let shown = match self {
            Units::Metric => temperature_c,
            Units::Imperial => fahrenheit(temperature_c),
        };
        whole(shown)
    }

    /// Pace as minutes and seconds per kilometre or mile, such as `8:05`.
    #[must_use]
    pub fn pace_number(self, seconds_per_m: f64) -> String {
        let total_s = (seconds_per_m * self.distance_unit_m()).round() as i64;
        format!("{}:{:02}", total_s / 60, total_s % 60)
    }

    /// A quantity with its symbol.
    #[must_use]
    pub fn show(self, quantity: Quantity) -> String {
        match quantity {
            Quantity::Distance { m } => {
                format!("{} {}", self.distance_number(m), self.distance_symbol())
            }
            Quantity::Height { m } => {
                format!("{} {}", self.height_number(m), self.height_symbol())
            }
            Quantity::Volume { ml } => {
                format!("{} {}", self.volume_number(ml), self.volume_symbol())
            }
            Quantity::Temperature { c } => {
                format!(
                    "{} {}",
                    self.temperature_number(c),
                    self.temperature_symbol()
                )
            }
            Quantity::Mass { kg } => match self {
                Units::Metric => format!("{kg:.1} kg"),
                Units::Imperial => format!("{:.1} lb", kg / KG_PER_POUND),
            },
            Quantity::VolumeRate { ml_per_h } => {
                format!(
                    "{} {}/h",
                    self.volume_number(ml_per_h),
                    self.volume_symbol()
                )
            }
            Quantity::WindSpeed { kmh } => match self {
                Units::Metric => format!("{} km/h", whole(kmh)),
                Units::Imperial => format!("{} mph", whole(kmh * 1000.0 / M_PER_MILE)),
            },
            Quantity::Pace { s_per_m } => {
                format!("{} /{}", self.pace_number(s_per_m), self.distance_symbol())
            }
        }
    }
}

/// A number that is printed in the reader's units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Quantity {
    /// A distance along the course.
    Distance {
        /// metres
        m: f64,
    },
    /// A height, climb or descent.
    Height {
        /// metres
        m: f64,
    },
    /// A volume of fluid.
    Volume {
        /// millilitres
        ml: f64,
    },
    /// A temperature.
    Temperature {
        /// degrees Celsius
        c: f64,
    },
    /// A body or pack mass.
    Mass {
        /// kilograms
        kg: f64,
    },
    /// Fluid per hour.
    VolumeRate {
        /// millilitres per hour
        ml_per_h: f64,
    },
    /// A wind speed.
    WindSpeed {
        /// kilometres per hour
        kmh: f64,
    },
    /// Time per distance.
    Pace {
        /// seconds per metre
        s_per_m: f64,
    },
}

/// A sentence with quantities in it, put into words when the reader's units are known.
///
/// ```
/// use sutler::units::{Phrase, Quantity, Units};
/// let need = Phrase::new("you carry ").and(Quantity::Volume { ml: 1500.0 }).and(" only");
/// assert_eq!(need.show(Units::Metric), "you carry 1500 ml only");
/// assert_eq!(need.show(Units::Imperial), "you carry 51 fl oz only");
/// ```
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Phrase(Vec<Piece>);

/// A part of a [`Phrase`]: words, or a quantity.
#[derive(Clone, Debug, PartialEq)]
pub enum Piece {
    /// Words as they are.
    Words(String),
    /// A quantity still without units.
    Amount(Quantity),
}

impl From<&str> for Piece {
    fn from(words: &str) -> Self {
        Piece::Words(words.to_owned())
    }
}

impl From<String> for Piece {
    fn from(words: String) -> Self {
        Piece::Words(words)
    }
}

impl From<Quantity> for Piece {
    fn from(amount: Quantity) -> Self {
        Piece::Amount(amount)
    }
}

impl Phrase {
    /// Starts a phrase.
    #[must_use]
    pub fn new(first: impl Into<Piece>) -> Self {
        Phrase(vec![first.into()])
    }

    /// The phrase with one more piece at its end.
    #[must_use]
    pub fn and(mut self, next: impl Into<Piece>) -> Self {
        self.0.push(next.into());
        self
    }

    /// The phrase with another one at its end.
    #[must_use]
    pub fn join(mut self, next: Phrase) -> Self {
        self.0.extend(next.0);
        self
    }

    /// The phrase in words.
    #[must_use]
    pub fn show(&self, units: Units) -> String {
        self.0
            .iter()
            .map(|piece| match piece {
                Piece::Words(words) => words.clone(),
                Piece::Amount(amount) => units.show(*amount),
            })
            .collect()
    }
}

/// Degrees Fahrenheit of a Celsius temperature.
#[must_use]
pub fn fahrenheit(temperature_c: f64) -> f64 {
    temperature_c * 1.8 + 32.0
}

/// Degrees Celsius of a Fahrenheit temperature.
#[must_use]
pub fn celsius(temperature_f: f64) -> f64 {
    (temperature_f - 32.0) / 1.8
}

/// A whole number, without a minus sign before a zero.
fn whole(value: f64) -> String {
    let rounded = value.round();
    format!("{:.0}", if rounded == 0.0 { 0.0 } else { rounded })
}
