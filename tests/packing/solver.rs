//! The choice of servings, against a general mixed-integer solver on stretches too large to count
//! through.

use sutler::inputs::pantry_csv::FoodKind;
use sutler::packing::choose::{Candidate, Flasks, Room, Want, choose};

use crate::support::reference::{Row, rows};

/// The solver's own tolerances: 1e-6 on each binary and each row, times costs below 100.
const TOLERANCE: f64 = 1e-3;

fn list(row: &Row, column: &str) -> Option<Vec<f64>> {
    let text = row.text(column);
    (text != "-").then(|| text.split(' ').map(|n| n.parse().unwrap()).collect())
}

fn offer(row: &Row, food: usize) -> Candidate {
    let kind = FoodKind::NAMES
        .iter()
        .find(|(name, _)| *name == row.text("kind"));
    Candidate {
        food,
        kind: kind.unwrap().1,
        carbs_g: row.number("carbs_g"),
        sodium_mg: row.number("sodium_mg"),
        caffeine_mg: row.number("caffeine_mg"),
        water_ml: row.number("water_ml"),
        pocket_g: row.number("pocket_g"),
        held: row.number("held") as usize,
        carried_kg_km: row.number("carried_kg_km"),
        most: Some(row.number("most") as u32),
        liking: row.number("liking") as u8,
        tested: row.text("tested") == "yes",
        own: row.text("own") == "yes",
        eaten: row.number("eaten") as u32,
        price: row.number("price"),
    }
}

#[test]
fn a_general_solver_finds_nothing_cheaper() {
    let offers = rows("packing_solver_offers.csv");
    let cases = rows("packing_solver_cases.csv");
    assert!(cases.len() >= 100);
    for case in &cases {
        let of_it = offers
            .iter()
            .filter(|row| row.text("case") == case.text("case"));
        let offers: Vec<Candidate> = of_it.enumerate().map(|(at, row)| offer(row, at)).collect();
        assert!(offers.len() >= 9, "{case}");
        let want = Want {
            carbs_g: case.number("carbs_g"),
            sodium_mg: case.number("sodium_mg"),
            sodium_loss_mg: case.number("sodium_loss_mg"),
            fluid_ml: case.number("fluid_ml"),
            fluid_ceiling_ml: case.number("fluid_ceiling_ml"),
            caffeine_mg: case.number("caffeine_mg"),
        };
        let room = Room {
            flasks: list(case, "flasks_ml").map(|sizes_ml| Flasks {
                sizes_ml,
                must_hold_ml: case.number("must_hold_ml"),
            }),
            pockets_g: list(case, "pockets_g").unwrap_or_default(),
            spot_servings: case.number("spot_servings") as u32,
        };
        let choice = choose(&want, &offers, &room);
        case.assert_near("cost", choice.cost, TOLERANCE);
        assert!(choice.is_cheapest(), "{case}: {choice:?}");
    }
}
