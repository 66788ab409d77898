//! `pantry.csv`: foods the runner owns or stations offer, one serving a row.

use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile, Span, Spanned};

use super::headings::{KnownColumn, Shape};
use super::limits::{self, Range};
use super::table::{CellTable, TableRow};
use super::values::quoted;
use crate::words::named;

/// One food or drink, per serving.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Food {
    /// `name`, as in a station's offers.
    pub name: Spanned<String>,
    /// `kind`
    pub kind: FoodKind,
    /// `serving`: what one serving is, such as `1 gel` or `500 ml bottle`.
    pub serving: String,
    /// `unit`: one serving as it is counted, such as `half banana` or `cup of broth`; by default
    /// what `serving` and the name make likely.
    pub unit: Option<String>,
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

named! {
    /// The kind of a serving, which decides how it is carried.
    #[derive(Default)]
    pub enum FoodKind {
        /// `drink`: carried in a flask; a powder or tablet takes its `water_ml`.
        Drink = "drink",
        /// `gel`
        Gel = "gel",
        /// `food`: carried in a pocket.
        #[default]
        Food = "food",
        /// `salt`: capsules, tablets or sachets of salt.
        Salt = "salt",
        /// `station`: eaten or drunk on the spot, such as broth or melon; never carried.
        Station = "station",
    }
}

/// Energy of a gram of carbohydrate, by the general Atwater factor.
const KCAL_PER_G_CARBS: f64 = 4.0;

const SHAPE: Shape = Shape {
    columns: &[
        KnownColumn::text("name").required(),
        KnownColumn::text("kind").required(),
        KnownColumn::text("serving"),
        KnownColumn::text("unit"),
        KnownColumn::number(&limits::SERVING_MASS),
        KnownColumn::number(&limits::SERVING_WATER),
        KnownColumn::number(&limits::CARBS),
        KnownColumn::number(&limits::SODIUM),
        KnownColumn::number(&limits::ENERGY),
        KnownColumn::number(&limits::PROTEIN),
        KnownColumn::number(&limits::CAFFEINE),
        KnownColumn::number(&limits::STOCK),
        KnownColumn::number(&limits::LIKING),
        KnownColumn::text("tested"),
        KnownColumn::text("own"),
    ],
    most_rows: limits::PANTRY_ROWS,
};

/// Reads `pantry.csv`.
pub fn read(file: &SourceFile, id: FileId, notes: &mut Notes) -> Vec<Food> {
    CellTable::read(file, id, &SHAPE, notes).records(notes, food)
}

fn food(row: &TableRow, notes: &mut Notes) -> Option<Food> {
    let name = row.name("name", notes);
    let mut amount = |range: &Range| row.number(range, notes).map(|number| number.value);
    let mass_g = amount(&limits::SERVING_MASS);
    let water_ml = amount(&limits::SERVING_WATER).unwrap_or(0.0);
    let carbs_g = amount(&limits::CARBS).unwrap_or(0.0);
    let sodium_mg = amount(&limits::SODIUM).unwrap_or(0.0);
    let energy_kcal = amount(&limits::ENERGY).unwrap_or(KCAL_PER_G_CARBS * carbs_g);
    let protein_g = amount(&limits::PROTEIN).unwrap_or(0.0);
    let caffeine_mg = amount(&limits::CAFFEINE).unwrap_or(0.0);
    let kind = row.needed_choice("kind", &FoodKind::NAMES, notes);
    let food = Food {
        kind: kind.unwrap_or(FoodKind::Food),
        serving: row
            .text("serving", notes)
            .map_or_else(|| "1 serving".to_owned(), |serving| serving.value),
        unit: row.text("unit", notes).map(|unit| unit.value),
        mass_g: mass_g.unwrap_or_else(|| carried_mass_g(kind, carbs_g + protein_g, water_ml)),
        water_ml,
        carbs_g,
        sodium_mg,
        energy_kcal,
        protein_g,
        caffeine_mg,
        stock: row.whole(&limits::STOCK, notes),
        liking: row
            .whole(&limits::LIKING, notes)
            .and_then(|liking| u8::try_from(liking).ok())
            .unwrap_or(3),
        tested: row.yes("tested", notes).unwrap_or(false),
        own: row.yes("own", notes).unwrap_or(true),
        span: Some(row.span),
        name: name?,
    };
    if kind.is_some() && !row.ragged {
        doubt(&food, row, mass_g, notes);
        if mass_g.is_some_and(|mass_g| mass_g > 0.0) {
            impossible(&food, row, notes);
        }
    }
    Some(food)
}

/// The weight of a serving where the row does not say: what is in it. A drink's water is carried in
/// the flask and counted there.
fn carried_mass_g(kind: Option<FoodKind>, dry_g: f64, water_ml: f64) -> f64 {
    match kind {
        Some(FoodKind::Gel | FoodKind::Food) => dry_g + water_ml,
        _ => dry_g,
    }
}

/// Says what cannot be or is hardly meant.
fn doubt(food: &Food, row: &TableRow, mass_g: Option<f64>, notes: &mut Notes) {
    let name = quoted(&food.name.value);
    let dry_g = food.carbs_g + food.protein_g;
    let (what, heavy) = match food.protein_g > 0.0 && food.carbs_g <= food.mass_g {
        true => ("carbohydrate and protein", "protein"),
        false => ("carbohydrate", "carbs"),
    };
    // Labels round to half a gram.
    if mass_g.is_some_and(|mass_g| 0.0 < mass_g && mass_g + 0.5 < dry_g) {
        let at = row.cell(heavy).or_else(|| row.cell("carbs"));
        notes.push(
            Diagnostic::error(format!(
                "{name} holds {dry_g} g of {what} and weighs {} g",
                food.mass_g
            ))
            .at(
                at.map(|cell| cell.span),
                format!("expected at most {} g", food.mass_g),
            )
            .hint("both are for one serving; the mass of a powder is its dry mass"),
        );
    }
    if mass_g.is_none() && food.own && matches!(food.kind, FoodKind::Gel | FoodKind::Food) {
        notes.push(Diagnostic::warning(format!("{name} has no `mass_g`")).at(
            food.name.span,
            format!("counted as {} g to carry", food.mass_g),
        ));
    }
    let counted = food.unit.as_ref().unwrap_or(&food.serving);
    let part = ["half", "quarter", "1/2", "0.5"]
        .iter()
        .find(|part| counted.starts_with(*part));
    if let Some(part) = part.filter(|_| food.kind == FoodKind::Gel) {
        let at = row.cell(if food.unit.is_some() {
            "unit"
        } else {
            "serving"
        });
        notes.push(
            Diagnostic::error(format!("{name} is counted by the {part}"))
                .at(at.map(|cell| cell.span), "expected a whole gel")
                .hint("an open gel is not carried: write `1 gel`, and what the whole gel holds"),
        );
    }
    if food.kind == FoodKind::Salt && food.sodium_mg < LEAST_SODIUM_MG {
        let at = row.cell("sodium").map(|cell| cell.span).or(food.name.span);
        notes.push(
            Diagnostic::warning(format!(
                "{name} is salt with {} mg of sodium",
                food.sodium_mg
            ))
            .at(at, format!("expected at least {LEAST_SODIUM_MG} mg"))
            .hint("1 g of sodium is 1000 mg; 1 g of salt holds 393 mg of sodium"),
        );
    }
}

/// Says amounts that no food has.
fn impossible(food: &Food, row: &TableRow, notes: &mut Notes) {
    let name = quoted(&food.name.value);
    // a drink's mass may be its powder's
    let most_kcal = FAT_KCAL_PER_G * food.mass_g + 5.0;
    if let Some(cell) = row.cell("energy").filter(|_| food.energy_kcal > most_kcal) {
        notes.push(
            Diagnostic::error(format!(
                "{name} has {} kcal and weighs {} g",
                food.energy_kcal, food.mass_g
            ))
            .at(
                cell.span,
                format!("expected at most {most_kcal:.0} kcal, the energy of pure fat"),
            )
            .hint("4.184 kJ are 1 kcal; both are for one serving"),
        );
    }
    let most_mg = SALT_SODIUM_MG_PER_G * food.mass_g + 5.0;
    if let Some(cell) = row.cell("sodium").filter(|_| food.sodium_mg > most_mg) {
        notes.push(
            Diagnostic::error(format!(
                "{name} has {} mg of sodium and weighs {} g",
                food.sodium_mg, food.mass_g
            ))
            .at(
                cell.span,
                format!("expected at most {most_mg:.0} mg, the sodium of pure salt"),
            )
            .hint("1 g of salt holds 393 mg of sodium; both are for one serving"),
        );
    }
    let cell = row.cell("sodium").filter(|_| food.kind != FoodKind::Salt);
    if let Some(cell) = cell.filter(|_| food.sodium_mg > 0.0 && food.sodium_mg < 1.0) {
        notes.push(
            Diagnostic::warning(format!("{name} has {} mg of sodium", food.sodium_mg))
                .at(cell.span, "expected milligrams")
                .hint("1 g of sodium is 1000 mg; write 0 where there is none"),
        );
    }
}

/// Fat, kilocalories per gram, the densest that food can be (Atwater's general factor is 9; 9.4
/// is heat of combustion, from memory).
const FAT_KCAL_PER_G: f64 = 9.4;
/// Sodium's share of salt: 22.99 of 58.44 g/mol.
const SALT_SODIUM_MG_PER_G: f64 = 393.4;
/// No capsule or sachet is sold with less; a smaller figure is grams.
const LEAST_SODIUM_MG: f64 = 5.0;
