//! The columns of the tables that the page edits.

use sutler::inputs::gear_csv::GearRule;
use sutler::inputs::limits::{self, Range, Unit};
use sutler::inputs::pantry_csv::FoodKind;
use sutler::inputs::stations_csv::{CutoffOn, StationKind};

use super::fields::names;
use super::role::Role;
use crate::cli::args::UnitsArg;

/// A column by the name it has in the file, with the usual unit.
pub(super) struct FileColumn {
    pub(super) key: &'static str,
    pub(super) label: &'static str,
    /// The words it may hold; none where anything may be typed.
    pub(super) choices: fn() -> Vec<&'static str>,
    /// True where a table that is begun here has it.
    is_usual: bool,
}

macro_rules! columns {
    ($( $name:ident { $( $when:ident $key:ident $label:literal $(($choices:expr))?; )* } )*) => {
        $(const $name: &[FileColumn] = &[$(FileColumn {
            key: stringify!($key),
            label: $label,
            choices: || Vec::<Vec<&'static str>>::from([$($choices)?]).concat(),
            is_usual: matches!(stringify!($when).as_bytes(), b"usual"),
        }),*];)*
    };
}

columns! {
    STATIONS {
        usual name "Name";
        usual place "Place, if passed again";
        usual distance_km "Official distance";
        usual kind "Kind" (names(&StationKind::NAMES));
        usual cutoff "Cutoff";
        other cutoff_on "Cutoff on" (names(&CutoffOn::NAMES));
        usual crew "Crew" (yes());
        usual drop_bag "Drop bag" (yes());
        usual pacer "Pacer" (yes());
        usual stop_min "Stop";
        usual offers "Offers (;)";
        other lat "Latitude";
        other lon "Longitude";
    }
    PANTRY {
        usual name "Name";
        usual kind "Kind" (names(&FoodKind::NAMES));
        usual serving "One serving";
        other unit "Counted in";
        usual mass_g "Mass";
        usual water_ml "Water";
        usual carbs_g "Carbs";
        usual sodium_mg "Sodium";
        usual energy_kcal "Energy";
        other protein_g "Protein";
        usual caffeine_mg "Caffeine";
        other stock "In stock";
        usual liking "Liking, 1–5";
        usual tested "Tested" (yes());
        usual own "Own" (yes());
    }
    GEAR {
        usual name "Name";
        usual when "When" (names(&GearRule::NAMES));
        usual after "After station";
        usual mass_g "Mass";
        usual burn_h "Burns";
    }
    WEATHER {
        usual time "Time there";
        usual temp_c "Air";
        usual humidity_pct "Humidity";
        usual wind_kmh "Wind";
        usual rain_mm "Rain";
        usual thunder "Thunder" (yes());
        other elevation_m "Height";
    }
    SURFACES {
        usual from_km "From";
        usual to_km "To";
        usual surface "Ground";
    }
    SEEN {
        usual station "Station";
        usual arrived "Came in";
        usual left "Left";
    }
}

fn yes() -> Vec<&'static str> {
    vec!["yes", "no"]
}

/// The columns that a table may have.
pub(super) fn columns_of(role: Role) -> &'static [FileColumn] {
    match role {
        Role::Stations => STATIONS,
        Role::Pantry => PANTRY,
        Role::Gear => GEAR,
        Role::Weather => WEATHER,
        Role::Surfaces => SURFACES,
        Role::Seen => SEEN,
        _ => &[],
    }
}

/// The column that a file calls so, in any unit.
pub(super) fn column_of(role: Role, name: &str) -> Option<&'static FileColumn> {
    let all = columns_of(role).iter();
    all.clone()
        .find(|own| own.key == name)
        .or_else(|| all.clone().find(|own| own.is_called(name)))
}

impl FileColumn {
    /// True for its name, in any unit.
    pub(super) fn is_called(&self, name: &str) -> bool {
        self.key == name || self.names().any(|own| own == name)
    }

    /// Its names: one for each unit.
    fn names(&self) -> impl Iterator<Item = String> {
        let range = range_of(self.key);
        range.into_iter().flat_map(Range::keys)
    }

    /// Its name in the units that the page shows.
    pub(super) fn key_in(&self, units: UnitsArg) -> String {
        range_of(self.key).map_or(self.key.to_owned(), |range| {
            range.key(usual_unit(range, units))
        })
    }

    /// True where a table with these columns has it.
    pub(super) fn is_in(&self, columns: &[String]) -> bool {
        columns.iter().any(|own| own == self.key) || self.names().any(|own| columns.contains(&own))
    }
}

/// The range of the numbers in a column, where it holds numbers.
pub(super) fn range_of(name: &str) -> Option<&'static Range> {
    let all = limits::ALL.iter().map(|(range, _)| range);
    all.into_iter().find(|range| {
        let is_own = |unit: &Unit| !unit.symbol.is_empty() && range.key(*unit) == name;
        range.units.iter().any(is_own)
    })
}

/// The unit of a range that goes with the units that the page shows.
pub(super) fn usual_unit(range: &Range, units: UnitsArg) -> Unit {
    const IMPERIAL: [&str; 7] = ["mi", "ft", "f", "mph", "floz", "lb", "in"];
    let is_imperial = |unit: &&Unit| IMPERIAL.contains(&unit.suffix);
    let imperial = range.units.iter().find(is_imperial);
    let imperial = imperial.filter(|_| matches!(units, UnitsArg::Imperial));
    *imperial.unwrap_or(&range.units[0])
}

/// The name of a column on the page, with its unit.
pub(super) fn label(role: Role, name: &str) -> String {
    let label = column_of(role, name).map_or(name, |own| own.label);
    let range = range_of(name);
    let unit = range.and_then(|range| range.units.iter().find(|unit| range.key(**unit) == name));
    unit.map_or(label.to_owned(), |unit| format!("{label}, {}", unit.symbol))
}

/// The line of column names of a table that is begun here.
pub(super) fn head_of(role: Role, units: UnitsArg) -> String {
    let usual = columns_of(role).iter().filter(|own| own.is_usual);
    let keys: Vec<String> = usual.map(|own| own.key_in(units)).collect();
    keys.join(",")
}
