//! The kinds of value a fact can have, each written beside the way it is printed.
//!
//! A record made with `record!` has one field for each thing that is said. In data a field
//! becomes one key, or several that begin alike: a [`Measure`] called `climb` is `climb_m` (the SI
//! value) and `climb_text` (as printed); a [`Moment`] called `arrival` is `arrival_s` (race time),
//! `arrival` (RFC 3339, where date and zone are known) and `arrival_text`.

use chrono::{DateTime, Duration, Utc};
use chrono_tz::Tz;
use serde::Serialize;
use serde::ser::SerializeMap;

use crate::schedule::Schedule;
use crate::time::{Elapsed, RaceClock, day_name};
use crate::units::{Quantity, Units};

/// A number in its SI unit, with the way it is printed.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Measure {
    /// The value in `unit`.
    pub value: f64,
    /// The end of the key in data, such as `m`; empty for a share or a count.
    pub unit: &'static str,
    /// The printed number without its unit, as tables have it.
    pub number: String,
    /// The printed number with its unit, as sentences have it.
    pub text: String,
}

/// A point in race time, with the ways it is printed.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Moment {
    /// Race time from the runner's own start.
    pub elapsed: Elapsed,
    /// The instant on the organiser's clock; `None` without date and zone.
    pub at: Option<DateTime<Tz>>,
    /// The day, such as `Sat`; `None` without date and zone.
    pub day: Option<&'static str>,
    /// The clock without its day, such as `21:13`; race time without date and zone.
    pub clock: String,
    /// With its day, such as `Sat 21:13`; race time without date and zone.
    pub text: String,
}

impl Moment {
    /// A race time on a clock, or without one.
    #[must_use]
    pub fn on(clock: Option<&RaceClock>, elapsed: Elapsed) -> Moment {
        let Some(clock) = clock else {
            let text = elapsed.to_string();
            return Moment {
                elapsed,
                clock: text.clone(),
                text,
                ..Moment::default()
            };
        };
        Moment {
            elapsed,
            at: Some(clock.at(elapsed)),
            day: Some(day_name(&clock.at(elapsed.to_minute()))),
            clock: clock.show_time(elapsed),
            text: clock.show(elapsed),
        }
    }

    /// A race time of a schedule.
    #[must_use]
    pub fn of(schedule: &Schedule, elapsed: Elapsed) -> Moment {
        Moment::on(schedule.clock.as_ref(), elapsed)
    }

    /// The instant to the minute, as it is printed; `None` without date and zone.
    #[must_use]
    pub fn minute(&self) -> Option<DateTime<Tz>> {
        let rounding = self.elapsed.to_minute() - self.elapsed;
        self.at.map(|at| at + Duration::seconds(rounding.as_secs()))
    }

    /// The instant in UTC; `None` without date and zone.
    #[must_use]
    pub fn utc(&self) -> Option<DateTime<Utc>> {
        self.at.map(|at| at.with_timezone(&Utc))
    }

    /// The printed time, with its day only where that is not the day of `other`.
    #[must_use]
    pub fn beside(&self, other: &Moment) -> &str {
        if self.day == other.day {
            &self.clock
        } else {
            &self.text
        }
    }
}

impl Measure {
    fn new(value: f64, unit: &'static str, number: String, symbol: &str) -> Measure {
        let text = format!("{number} {symbol}");
        Measure {
            value,
            unit,
            number,
            text,
        }
    }

    fn shown(value: f64, unit: &'static str, text: String) -> Measure {
        let number = text.split(' ').next().unwrap_or_default().to_owned();
        Measure {
            value,
            unit,
            number,
            text,
        }
    }

    /// A distance along the course, metres.
    #[must_use]
    pub fn distance(units: Units, m: f64) -> Measure {
        let number = units.distance_number(m);
        Measure::new(tenth(m), "m", number, units.distance_symbol())
    }

    /// A height, climb or descent, metres.
    #[must_use]
    pub fn height(units: Units, m: f64) -> Measure {
        let number = units.height_number(m);
        Measure::new(tenth(m), "m", number, units.height_symbol())
    }

    /// A volume, millilitres.
    #[must_use]
    pub fn volume(units: Units, ml: f64) -> Measure {
        let number = units.volume_number(ml);
        Measure::new(ml.round(), "ml", number, units.volume_symbol())
    }

    /// A volume per hour, millilitres per hour.
    #[must_use]
    pub fn volume_rate(units: Units, ml_per_h: f64) -> Measure {
        let number = units.volume_number(ml_per_h);
        let symbol = format!("{}/h", units.volume_symbol());
        Measure::new(ml_per_h.round(), "ml_per_h", number, &symbol)
    }

    /// A temperature, degrees Celsius.
    #[must_use]
    pub fn temperature(units: Units, c: f64) -> Measure {
        let number = units.temperature_number(c);
        Measure::new(tenth(c), "c", number, units.temperature_symbol())
    }

    /// A body or pack mass, kilograms.
    #[must_use]
    pub fn mass(units: Units, kg: f64) -> Measure {
        Measure::shown(thousandth(kg), "kg", units.show(Quantity::Mass { kg }))
    }

    /// A wind speed, kilometres per hour.
    #[must_use]
    pub fn wind(units: Units, kmh: f64) -> Measure {
        Measure::shown(tenth(kmh), "kmh", units.show(Quantity::WindSpeed { kmh }))
    }

    /// A pace, seconds per kilometre.
    #[must_use]
    pub fn pace(units: Units, s_per_m: f64) -> Measure {
        let number = units.pace_number(s_per_m);
        let text = units.show(Quantity::Pace { s_per_m });
        Measure {
            value: tenth(s_per_m * 1000.0),
            unit: "s_per_km",
            number,
            text,
        }
    }

    /// A share of 1, printed as whole percent.
    #[must_use]
    pub fn share(share: f64) -> Measure {
        // adding zero takes the sign off a rounded minus nothing
        let number = format!("{:.0}", (share * 100.0).round() + 0.0);
        let text = format!("{number} %");
        Measure {
            value: thousandth(share),
            unit: "",
            number,
            text,
        }
    }

    /// A chance, printed as percent; a simulation knows neither never nor always.
    #[must_use]
    pub fn chance(chance: f64) -> Measure {
        let text = match (100.0 * chance).round() {
            percent if percent < 1.0 => "< 1 %".to_owned(),
            percent if percent > 99.0 => "> 99 %".to_owned(),
            percent => format!("{percent:.0} %"),
        };
        Measure {
            value: thousandth(chance),
            unit: "",
            number: text.clone(),
            text,
        }
    }

    /// A whole number of some unit, the same in every system of units: `g`, `mg`, `kcal`.
    #[must_use]
    pub fn whole(value: f64, unit: &'static str) -> Measure {
        let number = format!("{:.0}", value.round() + 0.0);
        Measure::new(tenth(value), unit, number, unit)
    }

    /// Carbohydrate, grams per hour.
    #[must_use]
    pub fn carbs_rate(g_per_h: f64) -> Measure {
        let number = format!("{:.0}", g_per_h.round() + 0.0);
        Measure::new(tenth(g_per_h), "g_per_h", number, "g/h")
    }

    /// A length of time, seconds, printed as hours and minutes.
    #[must_use]
    pub fn time(elapsed: Elapsed) -> Measure {
        Measure::of_time(elapsed, elapsed.to_string())
    }

    /// Time in hand, seconds, printed with its sign.
    #[must_use]
    pub fn margin(elapsed: Elapsed) -> Measure {
        Measure::of_time(elapsed, elapsed.to_margin_text())
    }

    /// A length of time between two moments, as the printed moments differ, so that pages add up.
    #[must_use]
    pub fn between(from: &Moment, to: &Moment) -> Measure {
        let printed = to.elapsed.to_minute() - from.elapsed.to_minute();
        Measure::of_time(to.elapsed - from.elapsed, printed.to_string())
    }

    /// A plain number of so many decimals.
    #[must_use]
    pub fn decimal(value: f64, decimals: usize) -> Measure {
        let number = format!("{value:.decimals$}");
        Measure {
            value,
            unit: "",
            text: number.clone(),
            number,
        }
    }

    /// A ratio, to two decimals.
    #[must_use]
    pub fn ratio(value: f64) -> Measure {
        Measure::decimal((value * 1e4).round() / 1e4, 2)
    }

    /// A percentage of so many decimals.
    #[must_use]
    pub fn percent(percent: f64, decimals: usize) -> Measure {
        let number = format!("{percent:.decimals$}");
        Measure::new((percent * 1e4).round() / 1e4, "pct", number, "%")
    }

    /// A length of time, seconds, printed as minutes; one decimal below five.
    #[must_use]
    pub fn minutes(seconds: f64) -> Measure {
        let decimals = usize::from(seconds < 300.0);
        let number = format!("{:.decimals$}", seconds / 60.0);
        Measure::new(seconds.round(), "s", number, "min")
    }

    fn of_time(elapsed: Elapsed, text: String) -> Measure {
        Measure {
            value: elapsed.as_s(),
            unit: "s",
            number: text.clone(),
            text,
        }
    }

    /// The value as data formats write it.
    #[must_use]
    pub fn raw(&self) -> String {
        // adding zero takes the sign off a rounded minus nothing
        (self.value + 0.0).to_string()
    }

    /// The number as tables print it where nothing is a dash.
    #[must_use]
    pub fn or_dash(&self) -> String {
        if matches!(self.number.as_str(), "0" | "-0") {
            "–".to_owned()
        } else {
            self.number.clone()
        }
    }
}

/// A value that becomes one or several keys of a data record.
pub trait Fact {
    /// Writes the keys of a field with this name.
    ///
    /// # Errors
    /// The text of the writer.
    fn put<M: SerializeMap>(&self, name: &str, map: &mut M) -> Result<(), M::Error>;

    /// The keys of a field with this name.
    fn keys(name: &str) -> Vec<String> {
        vec![name.to_owned()]
    }

    /// Adds the records that it holds, each once.
    fn describe(_met: &mut Vec<Record>) {}
}

impl Fact for Measure {
    fn put<M: SerializeMap>(&self, name: &str, map: &mut M) -> Result<(), M::Error> {
        let key = match self.unit {
            "" => name.to_owned(),
            unit => format!("{name}_{unit}"),
        };
        // whole numbers are written as such
        if self.value.fract() == 0.0 && self.value.abs() < 1e15 {
            map.serialize_entry(&key, &(self.value as i64))?;
        } else {
            map.serialize_entry(&key, &self.value)?;
        }
        map.serialize_entry(&format!("{name}_text"), &self.text)
    }

    fn keys(name: &str) -> Vec<String> {
        vec![format!("{name}_UNIT"), format!("{name}_text")]
    }
}

impl Fact for Moment {
    fn put<M: SerializeMap>(&self, name: &str, map: &mut M) -> Result<(), M::Error> {
        map.serialize_entry(&format!("{name}_s"), &self.elapsed.as_secs())?;
        if let Some(at) = &self.at {
            map.serialize_entry(name, &at.to_rfc3339())?;
        }
        map.serialize_entry(&format!("{name}_text"), &self.text)
    }

    fn keys(name: &str) -> Vec<String> {
        vec![format!("{name}_s"), name.to_owned(), format!("{name}_text")]
    }
}

impl<T: Fact> Fact for Option<T> {
    fn put<M: SerializeMap>(&self, name: &str, map: &mut M) -> Result<(), M::Error> {
        self.as_ref().map_or(Ok(()), |value| value.put(name, map))
    }

    fn keys(name: &str) -> Vec<String> {
        T::keys(name)
    }

    fn describe(met: &mut Vec<Record>) {
        T::describe(met);
    }
}

impl<T: Serialize + Fact> Fact for Vec<T> {
    fn put<M: SerializeMap>(&self, name: &str, map: &mut M) -> Result<(), M::Error> {
        map.serialize_entry(name, self)
    }

    fn describe(met: &mut Vec<Record>) {
        T::describe(met);
    }
}

/// Kinds of value that are one key under their own name.
macro_rules! plain {
    ($($kind:ty),+ $(,)?) => { $(
        impl Fact for $kind {
            fn put<M: SerializeMap>(&self, name: &str, map: &mut M) -> Result<(), M::Error> {
                map.serialize_entry(name, self)
            }
        }
    )+ };
}
plain!(
    String,
    &'static str,
    bool,
    u32,
    usize,
    i64,
    f64,
    serde_json::Value,
    (f64, f64),
    (i64, i64),
    (i64, i32, String),
    [i64; 3],
    [Vec<Vec<i64>>; 3],
);

/// Records whose keys stand among those of the record around them.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Flat<T>(pub T);

/// A field of a record, for readers of the data.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecordField {
    /// Its keys in data; `UNIT` stands for the unit.
    pub keys: Vec<String>,
    /// Its type in the library.
    pub kind: &'static str,
    /// Its kind.
    pub about: String,
}

/// A record of facts, for readers of the data.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Record {
    /// Its type in the library.
    pub name: &'static str,
    /// Its meaning.
    pub about: String,
    /// Its fields.
    pub fields: Vec<RecordField>,
}

/// Records of facts: structs, how they are written as data, what their fields are, and what each
/// is made of: `pub field: Type = value`, from what is known after the fields, if anything is.
///
/// Every field needs a doc comment; it is what `sutler help facts` prints.
macro_rules! record {
    () => {};
    (
        $(#[doc = $about:literal])+
        pub struct $name:ident {
            $( $(#[doc = $doc:literal])+ pub $field:ident : $kind:ty = $value:expr, )+
        } from $seen:vis fn $make:ident($($given:tt)*) { $($known:tt)* }
        $($more:tt)*
    ) => {
        record! {
            $(#[doc = $about])+
            pub struct $name { $( $(#[doc = $doc])+ pub $field: $kind, )+ }
            $($more)*
        }

        impl $name {
            /// The record, made of what is known.
            $seen fn $make($($given)*) -> $name {
                $($known)*
                $name { $( $field: $value, )+ }
            }
        }
    };
    (
        $(#[doc = $about:literal])+
        pub struct $name:ident {
            $( $(#[doc = $doc:literal])+ pub $field:ident : $kind:ty, )+
        }
        $($more:tt)*
    ) => {
        $(#[doc = $about])+
        #[derive(Clone, Debug, Default, PartialEq)]
        pub struct $name {
            $( $(#[doc = $doc])+ pub $field: $kind, )+
        }

        impl $name {
            fn fields() -> Vec<crate::facts::RecordField> {
                vec![ $( crate::facts::RecordField {
                    keys: <$kind as crate::facts::Fact>::keys(stringify!($field)),
                    kind: stringify!($kind),
                    about: [$($doc),+].map(str::trim).join(" "),
                } ),+ ]
            }

            fn put_all<M: serde::ser::SerializeMap>(&self, map: &mut M) -> Result<(), M::Error> {
                $( crate::facts::Fact::put(&self.$field, stringify!($field), map)?; )+
                Ok(())
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                use serde::ser::SerializeMap as _;
                let mut map = to.serialize_map(None)?;
                self.put_all(&mut map)?;
                map.end()
            }
        }

        impl crate::facts::Fact for $name {
            fn put<M: serde::ser::SerializeMap>(&self, name: &str, map: &mut M) -> Result<(), M::Error> {
                map.serialize_entry(name, self)
            }

            fn describe(met: &mut Vec<crate::facts::Record>) {
                if met.iter().all(|record| record.name != stringify!($name)) {
                    met.push(crate::facts::Record {
                        name: stringify!($name),
                        about: [$($about),+].map(str::trim).join(" "),
                        fields: $name::fields(),
                    });
                    $( <$kind as crate::facts::Fact>::describe(met); )+
                }
            }
        }

        impl crate::facts::Fact for crate::facts::Flat<$name> {
            fn put<M: serde::ser::SerializeMap>(&self, _name: &str, map: &mut M) -> Result<(), M::Error> {
                self.0.put_all(map)
            }

            fn keys(_name: &str) -> Vec<String> {
                $name::fields().into_iter().flat_map(|field| field.keys).collect()
            }

            fn describe(met: &mut Vec<crate::facts::Record>) {
                <$name as crate::facts::Fact>::describe(met);
            }
        }

        record! { $($more)* }
    };
}
pub(crate) use record;

/// A fact of each thing of a list.
pub(super) fn each<'a, T, F>(list: &'a [T], of: impl FnMut(&'a T) -> F) -> Vec<F> {
    list.iter().map(of).collect()
}

pub(crate) fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

pub(crate) fn thousandth(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}
