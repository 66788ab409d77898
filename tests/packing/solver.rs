//! The choice of servings for whole races, against a general mixed-integer solver.
//!
//! `plans.py` beside this file asks the solver; it is run by hand, after
//! `cargo test --test sutler -- --ignored write_the_plans`.

use std::fmt::Write as _;
use std::path::Path;

use sutler::inputs::Inputs;
use sutler::packing::choose::{Had, Offer, ServingProblem, SharedLimit, StretchNeeds, choose};
use sutler::packing::{Losses, put_up};
use sutler::plan::Plan;

use crate::support::race::{PLANS, Planned};
use crate::support::reference::{Row, rows};

/// How far a choice may be from the best there is: of the cost that a choice can change, which is
/// what the best leaves to nothing eaten at all.
const FARTHEST: f64 = 0.0012;
/// On the average of all races.
const MEAN: f64 = 0.0003;
/// The solver's own tolerance: 1e-6 of each row, times some hundred rows.
const TOLERANCE: f64 = 0.01;

const WAYS: [(&str, Had); 2] = [("pocket", Had::Pocket), ("table", Had::Table)];

fn of_plan<'a>(rows: &'a [Row], plan: &'a str) -> impl Iterator<Item = &'a Row> {
    rows.iter().filter(move |row| row.text("plan") == plan)
}

fn stretch(row: &Row) -> StretchNeeds {
    StretchNeeds {
        carbs_g: row.number("carbs_g"),
        sodium_mg: row.number("sodium_mg"),
        kinds: row.number("kinds") as u32,
    }
}

fn offer(row: &Row) -> Offer {
    let way = WAYS.iter().find(|(name, _)| *name == row.text("way"));
    Offer {
        stretch: row.number("stretch") as usize,
        food: row.number("food") as usize,
        way: way.unwrap().1,
        carbs_g: row.number("carbs_g"),
        sodium_mg: row.number("sodium_mg"),
        cost: row.number("cost"),
        again: row.number("again"),
        least: row.number("least") as u32,
        most: row.number("most") as u32,
    }
}

fn limit(row: &Row) -> SharedLimit {
    let each = row.text("each").split(' ').map(|pair| {
        let (offer, one) = pair.split_once(':').unwrap();
        (offer.parse().unwrap(), one.parse().unwrap())
    });
    SharedLimit {
        left: row.number("left"),
        each: each.collect(),
    }
}

#[test]
fn a_general_solver_finds_little_that_is_better() {
    let stretches = rows("packing_plans_stretches.csv");
    let offers = rows("packing_plans_offers.csv");
    let limits = rows("packing_plans_limits.csv");
    let best = rows("packing_plans_best.csv");
    assert!(best.len() >= 12);
    let mut gaps = Vec::new();
    for row in &best {
        let plan = row.text("plan");
        let problem = ServingProblem {
            stretches: of_plan(&stretches, plan).map(stretch).collect(),
            offers: of_plan(&offers, plan).map(offer).collect(),
            limits: of_plan(&limits, plan).map(limit).collect(),
        };
        // the solver's own servings cost here what it says they cost
        let theirs: Vec<u32> = row
            .text("servings")
            .split(' ')
            .map(|n| n.parse().unwrap())
            .collect();
        row.assert_near("best", problem.cost(&theirs), TOLERANCE);
        let ours = problem.cost(&choose(&problem));
        let settled: Vec<u32> = problem.offers.iter().map(|offer| offer.least).collect();
        let nothing = problem.cost(&settled);
        let (best, bound) = (row.number("best"), row.number("bound"));
        assert!(
            ours >= bound - TOLERANCE,
            "{plan}: {ours} is below any choice, {bound}"
        );
        let gap = (ours - best) / (nothing - best);
        println!(
            "{plan}: {ours:.2}, best {best:.2}, nothing {nothing:.0}: {:.2} %",
            gap * 100.0
        );
        gaps.push((gap, plan));
    }
    let mean = gaps.iter().map(|(gap, _)| gap).sum::<f64>() / gaps.len() as f64;
    println!("mean {:.3} %", mean * 100.0);
    assert!(gaps.iter().all(|(gap, _)| *gap <= FARTHEST), "{gaps:?}");
    assert!(mean <= MEAN, "{mean}: {gaps:?}");
}

/// What is made scarce in a race.
type Scarce = (&'static str, fn(&mut Inputs, &mut Losses));

const SCARCE: [Scarce; 4] = [
    ("as it is", |_, _| ()),
    ("little stock", |inputs, _| {
        for food in &mut inputs.pantry {
            food.stock = Some(food.stock.unwrap_or(12) / 3);
        }
    }),
    ("small pockets", |inputs, _| {
        if let Some(grams) = &mut inputs.runner.food_capacity_g {
            grams.value = 250.0;
        }
    }),
    ("nothing at stations", |_, losses| {
        losses.offers = (2..60).collect()
    }),
];

#[test]
#[ignore = "writes the races that plans.py solves"]
fn write_the_plans() {
    let mut tables = [
        "plan,carbs_g,sodium_mg,kinds\n".to_owned(),
        "plan,stretch,food,way,carbs_g,sodium_mg,cost,again,least,most\n".to_owned(),
        "plan,left,each\n".to_owned(),
    ];
    for path in PLANS {
        let planned = Planned::shipped(path);
        let plan: &Plan = &planned.plans[0];
        let race = &planned.prepared.race;
        for (how, change) in SCARCE {
            let (mut inputs, mut losses) = (planned.prepared.inputs.clone(), Losses::default());
            change(&mut inputs, &mut losses);
            let problem = put_up(
                &losses,
                &race.course,
                &plan.schedule,
                &plan.fueling,
                &inputs,
            );
            let name = path.rsplit('/').next().unwrap().trim_end_matches(".toml");
            let folder = path.split('/').next().unwrap();
            write(&mut tables, &format!("{folder} {name} {how}"), &problem);
        }
    }
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference");
    let source =
        "# source: the shipped plans, as they are put up for choice; made scarce by solver.rs\n";
    for (name, table) in ["stretches", "offers", "limits"].iter().zip(tables) {
        let path = folder.join(format!("packing_plans_{name}.csv"));
        std::fs::write(path, format!("{source}{table}")).unwrap();
    }
}

fn write(tables: &mut [String; 3], name: &str, problem: &ServingProblem) {
    for s in &problem.stretches {
        let row = format!("{name},{:.3},{:.2},{}", s.carbs_g, s.sodium_mg, s.kinds);
        writeln!(tables[0], "{row}").unwrap();
    }
    for o in &problem.offers {
        let way = WAYS.iter().find(|(_, way)| *way == o.way).unwrap().0;
        let row = format!(
            "{name},{},{},{way},{},{},{:.4},{},{},{}",
            o.stretch,
            o.food,
            o.carbs_g,
            o.sodium_mg,
            o.cost,
            o.again,
            o.least,
            o.most.min(99)
        );
        writeln!(tables[1], "{row}").unwrap();
    }
    for limit in &problem.limits {
        let each: Vec<String> = limit
            .each
            .iter()
            .map(|(at, one)| format!("{at}:{one}"))
            .collect();
        writeln!(tables[2], "{name},{:.3},{}", limit.left, each.join(" ")).unwrap();
    }
}
