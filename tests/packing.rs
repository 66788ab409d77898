//! Tests of packing: the choice of servings, against every other choice there is.
//!
//! Foods are generic; their values per serving are computed from the USDA National Nutrient
//! Database for Standard Reference, release 26 (public domain), by record number and grams.

mod solver;
mod totals;

use rand::seq::SliceRandom;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use sutler::diagnostics::{Notes, SourceFile, Sources, Spanned, render};
use sutler::inputs::Texts;
use sutler::inputs::pantry_csv::FoodKind;
use sutler::packing::Pickup;
use sutler::packing::choose::{Candidate, Choice, Flasks, Room, Supply, Want, choose, cost};
use sutler::plan::{Plan, Race};
use sutler::time::Elapsed;

use crate::support::race::{PLANS, Planned};

/// A tested food of middling liking, without end.
fn food(id: usize, kind: FoodKind, numbers: [f64; 4]) -> Candidate {
    let [carbs_g, sodium_mg, water_ml, mass_g] = numbers;
    let held = matches!(kind, FoodKind::Drink | FoodKind::Station);
    Candidate {
        food: id,
        kind,
        carbs_g,
        sodium_mg,
        caffeine_mg: 0.0,
        water_ml,
        pocket_g: if held { 0.0 } else { mass_g },
        held: 0,
        carried_kg_km: mass_g / 1000.0,
        most: None,
        liking: 3,
        tested: true,
        own: false,
        eaten: 0,
        price: 0.0,
    }
}

const BANANA: usize = 0;
const POTATO: usize = 1;
const DATE: usize = 3;
const BROTH: usize = 4;
const MELON: usize = 5;
const COLA: usize = 6;
const SALT: usize = 7;
const MIX: usize = 9;

/// Carbohydrate, sodium, water and mass by record number of Standard Reference 26 and grams.
fn larder() -> Vec<Candidate> {
    use FoodKind::{Drink, Food, Gel, Salt, Station};
    let mut cola = food(COLA, Drink, [26.3, 10.0, 223.0, 249.0]); // 14148, 249 g
    cola.caffeine_mg = 22.0; // 8 fl oz of cola, as hospital tables based on USDA data have it
    vec![
        food(BANANA, Food, [27.0, 1.0, 88.0, 118.0]), // 09040, medium, 118 g
        food(POTATO, Food, [25.0, 301.0, 97.0, 125.0]), // 11833, boiled with salt, 125 g
        food(2, Food, [22.7, 326.0, 1.0, 28.0]),      // 19047, pretzels, hard, salted, 28 g
        food(DATE, Food, [18.0, 0.0, 5.0, 24.0]),     // 09421, large, pitted, 24 g
        food(BROTH, Station, [0.6, 917.0, 237.0, 240.0]), // 06475, from powder, 240 g
        food(MELON, Station, [11.5, 2.0, 139.0, 152.0]), // 09326, watermelon, diced, 152 g
        cola,
        food(SALT, Salt, [0.0, 388.0, 0.0, 1.0]), // 02047, table salt, 1 g
        food(8, Gel, [17.3, 1.0, 4.0, 21.0]),     // 19296, honey, tablespoon, 21 g
        // by composition: 6 % carbohydrate and 20 mmol/l of sodium in 500 ml
        food(MIX, Drink, [30.0, 230.0, 500.0, 32.0]),
    ]
}

/// So many hours at 60 g and 400 ml an hour, with sodium by the litre.
fn hours(h: f64) -> Want {
    Want {
        carbs_g: 60.0 * h,
        sodium_mg: 240.0 * h,
        sodium_loss_mg: 460.0 * h,
        fluid_ml: 400.0 * h,
        fluid_ceiling_ml: 500.0 * h,
        caffeine_mg: 0.0,
    }
}

/// A random stretch, what is on offer and the room for it.
fn random_case(rng: &mut ChaCha8Rng, kinds: usize, most: u32) -> (Want, Vec<Candidate>, Room) {
    let mut offers = larder();
    offers.shuffle(rng);
    offers.truncate(kinds);
    for offer in &mut offers {
        offer.most = Some(rng.random_range(0..=most));
        offer.liking = rng.random_range(1..=5);
        offer.tested = rng.random_bool(0.8);
        offer.own = rng.random_bool(0.5);
        offer.eaten = rng.random_range(0..10);
        offer.held = rng.random_range(0..3);
        offer.carried_kg_km *= rng.random_range(0.0..20.0);
    }
    let mut want = hours(rng.random_range(0.3..4.0));
    want.sodium_mg *= rng.random_range(0.5..1.8);
    want.caffeine_mg = if rng.random_bool(0.3) { 50.0 } else { 0.0 };
    let flasks = rng.random_bool(0.8).then(|| {
        let sizes = [250.0, 500.0, 500.0, 750.0, 1000.0];
        let many = rng.random_range(1..=4);
        Flasks {
            sizes_ml: (0..many).map(|_| sizes[rng.random_range(0..5)]).collect(),
            must_hold_ml: rng.random_range(0.0..1.3) * want.fluid_ml,
        }
    });
    let levels = if rng.random_bool(0.5) {
        0
    } else {
        rng.random_range(1..=3)
    };
    let room = Room {
        flasks,
        pockets_g: (0..levels).map(|_| rng.random_range(50.0..800.0)).collect(),
        spot_servings: rng.random_range(0..=2),
    };
    (want, offers, room)
}

/// The cheapest choice of all, by counting through every one of them.
fn cheapest(want: &Want, offers: &[Candidate], room: &Room) -> f64 {
    let mut servings = vec![0; offers.len()];
    let mut best = cost(want, offers, room, &servings);
    loop {
        let mut wheel = 0;
        while wheel < offers.len() && offers[wheel].most == Some(servings[wheel]) {
            servings[wheel] = 0;
            wheel += 1;
        }
        if wheel == offers.len() {
            return best;
        }
        servings[wheel] += 1;
        best = best.min(cost(want, offers, room, &servings));
    }
}

#[test]
fn no_choice_is_cheaper() {
    let mut rng = ChaCha8Rng::seed_from_u64(20_260_730);
    for case in 0..2000 {
        let (want, offers, room) = random_case(&mut rng, 6, 3);
        let best = cheapest(&want, &offers, &room);
        let ours = choose(&want, &offers, &room);
        assert!(best.is_finite());
        assert!(
            (ours.cost - best).abs() < 1e-6,
            "{case}: {ours:?}, but {best}"
        );
        assert!(ours.is_cheapest(), "{case}: {ours:?}");
    }
}

#[test]
fn no_choice_breaks_a_limit() {
    let mut rng = ChaCha8Rng::seed_from_u64(11);
    for _ in 0..500 {
        let (want, mut offers, room) = random_case(&mut rng, 10, 6);
        for offer in &mut offers {
            offer.most = offer.most.filter(|_| rng.random_bool(0.6));
        }
        let Choice {
            servings, supply, ..
        } = choose(&want, &offers, &room);
        for (offer, count) in offers.iter().zip(&servings) {
            assert!(offer.most.is_none_or(|most| *count <= most));
            let salt = offer.kind == FoodKind::Salt && *count > 0;
            assert!(!salt || supply.sodium_mg <= want.sodium_loss_mg);
            assert!(!salt || supply.sodium_mg - offer.sodium_mg < want.sodium_mg);
        }
        let fluid_ml = supply.flask_ml + supply.food_water_ml;
        assert!(fluid_ml <= want.fluid_ceiling_ml);
        assert!(supply.flask_ml <= want.fluid_ml);
        assert!(
            room.flasks
                .as_ref()
                .is_none_or(|f| supply.flask_ml <= f.capacity_ml())
        );
        assert!(supply.caffeine_mg <= want.caffeine_mg);
        assert!(supply.spot_servings <= room.spot_servings);
        assert_eq!(supply, Supply::of(&offers, &servings));
    }
}

#[test]
fn limits_cost_more_than_anything() {
    let offers = larder();
    let room = Room {
        flasks: Some(Flasks {
            sizes_ml: vec![1000.0],
            must_hold_ml: 0.0,
        }),
        pockets_g: Vec::new(),
        spot_servings: 1,
    };
    let with = |food: usize, count: u32, want: Want| {
        let mut servings = vec![0; offers.len()];
        servings[food] = count;
        cost(&want, &offers, &room, &servings)
    };
    let want = hours(2.0); // 800 ml, 480 mg of sodium, 920 mg lost
    assert!(with(MIX, 1, want).is_finite());
    assert!(
        with(MIX, 2, want).is_infinite(),
        "1000 ml of drink for 800 ml planned"
    );
    assert!(
        with(MIX, 3, hours(5.0)).is_infinite(),
        "1500 ml into 1000 ml of flasks"
    );
    assert!(with(BROTH, 1, want).is_finite());
    assert!(
        with(BROTH, 2, want).is_infinite(),
        "more than the stop allows"
    );
    assert!(with(COLA, 1, want).is_infinite(), "caffeine nobody planned");
    let awake = Want {
        caffeine_mg: 25.0,
        ..want
    };
    assert!(with(COLA, 1, awake).is_finite());
    assert!(
        with(COLA, 2, awake).is_infinite(),
        "44 mg of caffeine for 25 mg"
    );
    assert!(with(SALT, 2, want).is_finite(), "388 mg do not meet 480 mg");
    assert!(
        with(SALT, 3, want).is_infinite(),
        "776 mg do without the third"
    );
    let little_loss = Want {
        sodium_loss_mg: 700.0,
        ..want
    };
    assert!(
        with(SALT, 2, little_loss).is_infinite(),
        "776 mg for a loss of 700 mg"
    );
    assert!(
        with(MELON, 1, hours(0.25)).is_infinite(),
        "139 ml for 125 ml of sweat"
    );
}

/// Servings of one of two foods that differ in one thing only.
fn preferred(better: Candidate, worse: Candidate) -> bool {
    let (mut better, mut worse) = (better, worse);
    (better.food, worse.food) = (20, 21);
    let want = Want {
        carbs_g: 25.0,
        ..hours(1.0)
    };
    let chosen = choose(&want, &[worse, better], &Room::default()).servings;
    chosen[1] > chosen[0]
}

#[test]
fn other_things_equal_the_runner_gets_what_they_would_want() {
    let plain = food(20, FoodKind::Food, [25.0, 0.0, 0.0, 40.0]);
    let but = |change: fn(&mut Candidate)| {
        let mut other = plain;
        change(&mut other);
        other
    };
    assert!(preferred(plain, but(|f| f.tested = false)));
    assert!(preferred(plain, but(|f| f.liking = 2)));
    assert!(preferred(plain, but(|f| f.own = true)));
    assert!(preferred(plain, but(|f| f.eaten = 5)));
    assert!(!preferred(but(|f| f.tested = false), plain));
}

#[test]
fn a_long_stretch_is_not_one_food_over_and_over() {
    let larder = larder();
    let offers = [larder[BANANA], larder[DATE], larder[POTATO]];
    let servings = choose(&hours(4.0), &offers, &Room::default()).servings;
    assert!(servings.iter().all(|n| *n > 0), "{servings:?}");
}

#[test]
fn needs_are_met_where_there_is_plenty() {
    let offers = larder();
    for quarters in 4..=24 {
        let want = hours(f64::from(quarters) / 4.0);
        let supply = choose(&want, &offers, &Room::default()).supply;
        let carbs = supply.carbs_g / want.carbs_g;
        assert!((0.9..=1.1).contains(&carbs), "{quarters}: {supply:?}");
        assert!(
            supply.sodium_mg >= 0.8 * want.sodium_mg,
            "{quarters}: {supply:?}"
        );
        assert!(
            supply.sodium_mg <= want.sodium_loss_mg,
            "{quarters}: {supply:?}"
        );
    }
}

#[test]
fn nothing_on_offer_is_no_reason_to_fail() {
    let choice = choose(&hours(2.0), &[], &Room::default());
    assert!(choice.servings.is_empty() && choice.cost.is_finite());
    let nothing = choose(&Want::default(), &larder(), &Room::default());
    assert!(nothing.servings.iter().all(|n| *n == 0), "{nothing:?}");
}

/// Nothing but kilometres: due east at 46.7° N, level, one point every 100 m.
pub fn level_route(km: u32) -> String {
    // metres in a degree of longitude at 46.7° N on the WGS84 ellipsoid, to 0.1 %
    const M_PER_DEGREE: f64 = 76_470.0;
    let mut gpx = String::from(
        "<?xml version=\"1.0\"?><gpx version=\"1.1\" creator=\"test\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>",
    );
    for point in 0..=km * 10 {
        let lon = 13.0 + f64::from(point) * 100.0 / M_PER_DEGREE;
        gpx += &format!("<trkpt lat=\"46.7\" lon=\"{lon:.7}\"><ele>600</ele></trkpt>");
    }
    gpx + "</trkseg></trk></gpx>"
}

/// The whole way from files to packing, for a race of 60 km in ten hours from a given start.
fn plan_from(start: &str, gear: &str) -> (Race, Plan) {
    let stations = "name,distance_km,kind,drop_bag\nMeadow,20,aid,yes\nFord,30,water,\n\
                    Chapel,40,aid,yes\nBarn,50,aid,yes\nEnd,60,aid,\n";
    let course = format!("timezone = \"Europe/Vienna\"\nstart = {start}\n");
    let text = |name: &str, text: String| Some(SourceFile::new(name, text));
    let texts = Texts {
        route: text("route.gpx", level_route(60)),
        stations: text("stations.csv", stations.to_owned()),
        course: text("course.toml", course),
        // even effort, so that kilometres tell the hour
        plan: text("plan.toml", "[pacing]\nfade = 0.0\n".to_owned()),
        gear: text("gear.csv", gear.to_owned()),
        ..Texts::default()
    };
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let mut inputs = sutler::inputs::read(texts, &mut sources, &mut notes);
    // the hours below are those of a runner who finishes on target
    inputs.plan.windows.on_target = true;
    let finish = Elapsed::from_secs(10 * 3600);
    let race = Race::prepare(&inputs, finish, &mut notes);
    let plan = race
        .as_ref()
        .and_then(|race| race.plan(&inputs, Spanned::unwritten(finish), &mut notes));
    let problems = render(&sources, notes.all(), false);
    (race.expect(&problems), plan.expect(&problems))
}

#[test]
fn the_lamp_is_in_hand_before_dusk_and_goes_into_the_first_bag_after_dawn() {
    // By hand: at 13° E the sun is highest at 13:01 summer time on 20 September (13:08 less 7 min
    // of the equation of time), the day lasts 12 h 18 min and civil twilight 29 min: dark until
    // about 06:23 and from about 19:39.
    let gear = "name,when\nlamp,dark\nwhistle,always\n";
    let on = |plan: &Plan, station: usize, list: fn(&Pickup) -> &Vec<String>| {
        let pickups = &plan.packing.pickups;
        let at = pickups.iter().find(|p| p.station == station);
        at.is_some_and(|p| list(p).iter().any(|name| name == "lamp"))
    };
    // 13:00 and 6 km an hour: dusk 6 h 39 min on, at the bag at 40 km or before: the last chance
    // is the bag at 20 km
    let (_, plan) = plan_from("2026-09-20T13:00", gear);
    assert!(on(&plan, 1, |p| &p.gear_on), "{:?}", plan.packing.pickups);
    // 10:40: dusk 8 h 59 min on, at 54 km, after the last bag at 50 km
    let (_, plan) = plan_from("2026-09-20T10:40", gear);
    assert!(on(&plan, 4, |p| &p.gear_on), "{:?}", plan.packing.pickups);
    // 03:00: dawn 3 h 24 min on, at 20.5 km, after the first bag: left at the second
    let (_, plan) = plan_from("2026-09-20T03:00", gear);
    assert!(on(&plan, 0, |p| &p.gear_on) && on(&plan, 3, |p| &p.gear_off));
    // 07:00: never dark
    let (_, plan) = plan_from("2026-09-20T07:00", gear);
    assert!(
        plan.packing
            .pickups
            .iter()
            .all(|p| !p.gear_on.contains(&"lamp".to_owned()))
    );
}

/// Follows every piece that the organiser demands from departure to departure.
#[test]
fn the_mandatory_kit_is_in_hand_at_every_departure() {
    for plan in PLANS {
        let planned = Planned::shipped(plan);
        let course = &planned.prepared.race.course;
        assert!(!course.mandatory_kit.is_empty(), "{plan}");
        for kit in &course.mandatory_kit {
            let mut in_hand = false;
            for pickup in &planned.plans[0].packing.pickups {
                let among = |list: &[String]| list.iter().any(|name| name == kit);
                in_hand = (in_hand && !among(&pickup.gear_off)) || among(&pickup.gear_on);
                let name = &course.stations[pickup.station].name;
                assert!(
                    in_hand,
                    "{plan}: `{kit}` is not in hand on leaving `{name}`"
                );
            }
        }
    }
}

#[test]
fn the_demo_plans_meet_every_need() {
    // what the demo data shows is no shortfall that a little more stock would have put right
    for plan in PLANS.iter().filter(|plan| plan.starts_with("demo-data")) {
        let planned = Planned::shipped(plan);
        for finding in &planned.plans[0].packing.findings {
            let known = ["gear-not-needed", "gear-in-doubt"];
            assert!(known.contains(&finding.kind.name()), "{plan}: {finding:?}");
        }
        for pickup in &planned.plans[0].packing.pickups {
            let (have, need) = pickup.carbs_g;
            assert!(
                (have - need).abs() <= 0.1 * need + 10.0,
                "{plan}: {pickup:?}"
            );
        }
    }
}
