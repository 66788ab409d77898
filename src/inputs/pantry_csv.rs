//! `pantry.csv`: foods the runner owns or stations offer, one serving a row.

use crate::diagnostics::{FileId, Notes, SourceFile, Span, Spanned};

/// One food or drink, per serving.
#[derive(Clone, Debug, PartialEq)]
pub struct Food {
    /// `name`, as in a station's offers.
    pub name: Spanned<String>,
    /// `kind`
    pub kind: FoodKind,
    /// `serving`: what one serving is, such as `1 gel` or `500 ml bottle`.
    pub serving: String,
    /// `mass_g`: what one serving weighs to carry, dry for a powder.
    pub mass_g: f64,
    /// `water_ml` (or `_floz`): for a drink, the water one serving is mixed with; for a food, the
    /// water in it.
    pub water_ml: f64,
    /// `carbs_g`
    pub carbs_g: f64,
    /// `sodium_mg`: sodium, not salt.
    pub sodium_mg: f64,
    /// `energy_kcal`; 4 kcal per gram of carbohydrate where missing.
    pub energy_kcal: f64,
    /// `protein_g`
    pub protein_g: f64,
    /// `caffeine_mg`
    pub caffeine_mg: f64,
    /// `stock`: servings the runner has; `None` is as many as needed.
    pub stock: Option<u32>,
    /// `liking`: 1 (only if I must) to 5 (always welcome); 3 by default.
    pub liking: u8,
    /// `tested`: `yes` where it was eaten on a long run.
    pub tested: bool,
    /// `own`: `no` for what only stations have; `yes` by default.
    pub own: bool,
    /// The row.
    pub span: Option<Span>,
}

/// What a serving is, which decides how it is carried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FoodKind {
    /// `drink`: carried in a flask; a powder or tablet takes its `water_ml`.
    Drink,
    /// `gel`
    Gel,
    /// `food`: carried in a pocket.
    Food,
    /// `salt`: capsules, tablets or sachets of salt.
    Salt,
    /// `station`: eaten or drunk on the spot, such as broth or melon; never carried.
    Station,
}

impl FoodKind {
    /// Every kind with its name in files.
    pub const NAMES: [(&'static str, FoodKind); 5] = [
        ("drink", FoodKind::Drink),
        ("gel", FoodKind::Gel),
        ("food", FoodKind::Food),
        ("salt", FoodKind::Salt),
        ("station", FoodKind::Station),
    ];
}

/// Reads `pantry.csv`.
pub fn read(_file: &SourceFile, _id: FileId, _notes: &mut Notes) -> Vec<Food> {
    Vec::new()
}
