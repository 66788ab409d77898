//! Facts of things: what is carried from where, what lies in bags, what is bought.

use crate::course::Course;
use crate::inputs::pantry_csv::FoodKind;
use crate::inputs::{Food, counted};
use crate::packing::{Bag, BagVisit, Flask, Packed, Pickup, Provision, Ration, Serving, Source};
use crate::plan::Plan;
use crate::units::Units;
use crate::words::same_name;

use super::View;
use super::alerts::AlertFacts;
use super::flasks::{SIP_ML, fill_mark, flasks_words};
use super::race::number;
use super::value::{Measure, Moment, each, record};
use super::watch;

record! {
    /// Servings of one food from one source.
    pub struct ServingFacts {
        /// The food's name in the pantry.
        pub food: String,
        /// The number of servings.
        pub count: u32,
        /// `start`, `station`, `bag` or `crew`: where they come from.
        pub source: &'static str,
        /// True where they are in the pockets already when the runner comes.
        pub carried: bool,
        /// As printed, such as `2 half bananas`.
        pub text: String,
    }

    /// A flask on leaving a station.
    pub struct FlaskFacts {
        /// Its size.
        pub size: Measure,
        /// Its contents.
        pub fluid: Measure,
        /// Its level: 0, 0.25, 0.5, 0.75 or 1.
        pub fill: f64,
        /// The fill as a card has it: `¼`, `½`, `¾` or `full`; nothing where it is carried empty.
        pub fill_mark: Option<&'static str>,
        /// `water`, the name of a drink, or nothing where it is carried empty.
        pub holds: Option<String>,
        /// Servings of the drink, which may be shared with the next flask of the same drink.
        pub servings: Option<u32>,
    }

    /// Fills and servings to leave a supply point with, to last until the next.
    pub struct PickupFacts {
        /// The station's number.
        pub number: String,
        /// The station.
        pub station: String,
        /// The next supply point.
        pub until: String,
        /// Its number.
        pub until_number: String,
        /// The next station with water, or the finish.
        pub until_water: String,
        /// Distance to the next supply point.
        pub length: Measure,
        /// Planned departure.
        pub departure: Moment,
        /// Food and drink until the next supply point, by the watch.
        pub watch: String,
        /// Food until there, and the times for it.
        pub eat: String,
        /// Sips an hour; nothing where it is a mouthful.
        pub sip: Option<Measure>,
        /// The difference from the need; nothing where it is met.
        pub differs: Option<String>,
        /// Fluid to leave with.
        pub fluid: Measure,
        /// The fluid in all flasks.
        pub capacity: Measure,
        /// Plain water of it.
        pub water: Measure,
        /// Water in the food eaten until the next supply point.
        pub food_water: Measure,
        /// Flask by flask.
        pub flasks: Vec<FlaskFacts>,
        /// The flasks in words, such as `1 full of drink mix (500 ml: 1 scoop), 1 half full of
        /// water`.
        pub flasks_words: Option<String>,
        /// Mass of the food in the pockets.
        pub food: Measure,
        /// Mass of the gear worn and carried, as far as its masses are known.
        pub gear: Measure,
        /// All that is worn and carried on leaving: food, fluid and gear.
        pub load: Measure,
        /// The same in words.
        pub load_words: String,
        /// Servings that go into the flasks here, said with the flasks.
        pub poured: Vec<ServingFacts>,
        /// Servings to leave with in the pockets and eat before the next supply point.
        pub take: Vec<ServingFacts>,
        /// Servings to pick up here for later.
        pub for_later: Vec<ServingFacts>,
        /// All servings that go into the pockets here, to eat now or later, the same ones together.
        pub pockets: Vec<ServingFacts>,
        /// Servings to eat or drink on the spot.
        pub here: Vec<ServingFacts>,
        /// Servings in the pockets in case of need, counted nowhere.
        pub reserve: Vec<ServingFacts>,
        /// Carbohydrate in the servings.
        pub carbs: Measure,
        /// Carbohydrate needed until the next supply point.
        pub carbs_needed: Measure,
        /// Sodium in the servings.
        pub sodium: Measure,
        /// Sodium needed until the next supply point.
        pub sodium_needed: Measure,
        /// Caffeine in the servings.
        pub caffeine: Measure,
        /// Carbohydrate of what is eaten on the spot.
        pub here_carbs: Measure,
        /// Sodium of what is eaten on the spot.
        pub here_sodium: Measure,
        /// Fluid of what is had on the spot.
        pub here_fluid: Measure,
        /// Dangers of the way to the next supply point, each with what to do.
        pub alerts: Vec<AlertFacts>,
        /// Gear to put on or take up.
        pub gear_on: Vec<String>,
        /// Gear no longer needed from here.
        pub gear_off: Vec<String>,
    }

    /// A drop bag: one per place, serving every visit.
    pub struct BagFacts {
        /// The place.
        pub place: String,
        /// Servings to put in before the race.
        pub servings: Vec<ServingFacts>,
        /// Gear to put in before the race.
        pub gear: Vec<String>,
        /// Contents taken out, visit by visit.
        pub visits: Vec<BagVisitFacts>,
        /// Gear that comes home with the bag.
        pub returns: Vec<String>,
    }

    /// Contents taken out of a bag on one visit.
    pub struct BagVisitFacts {
        /// The station's number.
        pub number: String,
        /// The station.
        pub station: String,
        /// Distance by the organiser's count.
        pub official: Measure,
        /// The early arrival.
        pub early: Moment,
        /// The planned arrival.
        pub arrival: Moment,
        /// Servings to take out.
        pub servings: Vec<ServingFacts>,
        /// The same by the stretch they are eaten on.
        pub in_order: Vec<RationFacts>,
        /// Gear to take out.
        pub gear: Vec<String>,
        /// Gear to leave behind.
        pub leave: Vec<String>,
    }

    /// Food for one stretch out of one visit to a bag.
    pub struct RationFacts {
        /// The supply point that the stretch leaves.
        pub from: String,
        /// The one it leads to, or the finish.
        pub until: String,
        /// Its number.
        pub until_number: String,
        /// Servings.
        pub servings: Vec<ServingFacts>,
    }

    /// Stock of one food that there should be before the race.
    pub struct ProvisionFacts {
        /// The food.
        pub food: String,
        /// Own servings in the plan.
        pub servings: u32,
        /// Of them, carried from the start.
        pub from_start: u32,
        /// Of them, in drop bags.
        pub in_bags: u32,
        /// Of them, with the crew.
        pub with_crew: u32,
        /// Spare servings to have besides.
        pub spare: u32,
        /// Servings the runner has, where they were counted.
        pub stock: Option<u32>,
        /// Servings to buy, where the stock is known.
        pub buy: Option<u32>,
        /// Servings that stations give.
        pub from_stations: u32,
        /// Places where the own servings are packed.
        pub packed: Vec<PackedFacts>,
    }

    /// Own servings of one food at one place.
    pub struct PackedFacts {
        /// The place.
        pub place: String,
        /// `start`, `bag` or `crew`: in whose hands.
        pub source: &'static str,
        /// The number of servings.
        pub count: u32,
    }

    /// Things that go into one pair of hands before the race.
    pub struct HeapFacts {
        /// `start`, `bag`, `crew` or `spare`.
        pub hands: &'static str,
        /// The hands: a place, or words.
        pub name: String,
        /// Food as printed.
        pub food: Vec<String>,
        /// Gear.
        pub gear: Vec<String>,
    }
}

impl ServingFacts {
    /// Such as `2 dates`, and `pretzels` for one handful of them.
    #[must_use]
    pub fn briefly(&self) -> &str {
        let has_unit = self.count == 1 && self.text.contains(" of ");
        if has_unit { &self.food } else { &self.text }
    }

    /// Servings that are had at a station or after.
    pub(crate) fn all(servings: &[Serving], station: usize, pantry: &[Food]) -> Vec<ServingFacts> {
        let of = |serving: &Serving| ServingFacts {
            food: serving.food.clone(),
            count: serving.count,
            source: serving.source.name(),
            carried: serving.at < station,
            text: counted(serving.count, &serving.food, pantry),
        };
        servings.iter().map(of).collect()
    }
}

impl FlaskFacts {
    fn of(flask: &Flask, units: Units) -> FlaskFacts {
        let drink = flask.drink.as_ref();
        let water = (flask.fluid_ml >= SIP_ML).then(|| "water".to_owned());
        let holds = drink.map(|(name, _)| name.clone()).or(water);
        FlaskFacts {
            size: Measure::volume(units, flask.size_ml),
            fluid: Measure::volume(units, flask.fluid_ml),
            fill: (flask.fluid_ml / flask.size_ml.max(1.0) * 100.0).round() / 100.0,
            fill_mark: holds.is_some().then(|| fill_mark(flask)),
            holds,
            servings: drink.map(|(_, servings)| *servings),
        }
    }
}

impl PickupFacts {
    /// Servings that go from the station's table into the pockets.
    pub fn from_the_table(&self) -> impl Iterator<Item = &ServingFacts> {
        let tabled = |serving: &&ServingFacts| serving.source == Source::Station.name();
        self.pockets.iter().filter(tabled)
    }

    /// True where the way has a danger of a kind.
    #[must_use]
    pub fn is_alerted(&self, kind: &str) -> bool {
        self.alerts.iter().any(|alert| alert.kind == kind)
    }

    /// Every pick-up of a plan.
    pub(crate) fn all(view: &View<'_>, plan: &Plan) -> Vec<PickupFacts> {
        let pickups = plan.packing.pickups.iter();
        pickups
            .map(|pickup| PickupFacts::of(view, plan, pickup))
            .collect()
    }

    fn of(view: &View<'_>, plan: &Plan, pickup: &Pickup) -> PickupFacts {
        let (course, units) = (&view.race.course, view.units);
        let name = |station: usize| course.stations[station].name.clone();
        let official_m = |station: usize| course.stations[station].official_m;
        let volume = |ml: f64| Measure::volume(units, ml);
        let servings =
            |list: &[Serving]| ServingFacts::all(list, pickup.station, &view.inputs.pantry);
        let leave = plan.schedule.splits[pickup.station].departure;
        let pours = |serving: &Serving| is_drink(&view.inputs.pantry, &serving.food);
        let (poured, eaten): (Vec<Serving>, Vec<Serving>) =
            pickup.take.iter().cloned().partition(pours);
        PickupFacts {
            number: number(course, pickup.station),
            station: name(pickup.station),
            until: name(pickup.until),
            until_number: number(course, pickup.until),
            until_water: name(pickup.until_water),
            length: Measure::distance(units, official_m(pickup.until) - official_m(pickup.station)),
            departure: Moment::of(&plan.schedule, leave),
            watch: watch::words(view, plan, pickup),
            eat: watch::eaten(view, plan, pickup),
            sip: watch::sip(view, plan, pickup),
            differs: watch::differs(view, pickup),
            fluid: volume(pickup.fluid_ml),
            capacity: volume(pickup.capacity_ml),
            water: volume(pickup.water_ml),
            food_water: volume(pickup.food_water_ml),
            flasks: each(&pickup.flasks, |flask| FlaskFacts::of(flask, units)),
            flasks_words: flasks_words(pickup, units, &view.inputs.pantry),
            food: Measure::whole(pickup.food_g, "g"),
            gear: Measure::mass(units, kg(pickup.gear_g)),
            load: Measure::mass(units, kg(pickup.food_g + pickup.fluid_ml + pickup.gear_g)),
            load_words: load_words(pickup, units),
            poured: servings(&poured),
            take: servings(&eaten),
            for_later: servings(&pickup.for_later),
            pockets: servings(&pockets(pickup, &eaten)),
            here: servings(&pickup.here),
            reserve: servings(&pickup.reserve),
            carbs: Measure::whole(pickup.carbs_g.0, "g"),
            carbs_needed: Measure::whole(pickup.carbs_g.1, "g"),
            sodium: Measure::whole(pickup.sodium_mg.0, "mg"),
            sodium_needed: Measure::whole(pickup.sodium_mg.1, "mg"),
            caffeine: Measure::whole(pickup.caffeine_mg.0, "mg"),
            here_carbs: Measure::whole(pickup.spot.carbs_g, "g"),
            here_sodium: Measure::whole(pickup.spot.sodium_mg, "mg"),
            here_fluid: volume(pickup.spot.water_ml),
            alerts: AlertFacts::all(view, plan, pickup),
            gear_on: pickup.gear_on.clone(),
            gear_off: pickup.gear_off.clone(),
        }
    }
}

/// Servings taken up on the spot, now or for later, each food from each hand once.
fn pockets(pickup: &Pickup, eaten: &[Serving]) -> Vec<Serving> {
    let mut together: Vec<Serving> = Vec::new();
    let all = eaten.iter().chain(&pickup.for_later);
    for serving in all.filter(|serving| serving.at >= pickup.station) {
        let same = |one: &&mut Serving| one.food == serving.food && one.source == serving.source;
        match together.iter_mut().find(same) {
            Some(one) => one.count += serving.count,
            None => together.push(serving.clone()),
        }
    }
    together
}

fn is_drink(pantry: &[Food], name: &str) -> bool {
    let known = pantry.iter().find(|food| food.name.value == name);
    known.is_some_and(|food| food.kind == FoodKind::Drink)
}

/// Food, fluid and gear on leaving, such as `2.3 kg: food 0.4, fluid 0.6, gear 1.3`.
fn load_words(pickup: &Pickup, units: Units) -> String {
    let mass = |g: f64| Measure::mass(units, kg(g));
    let (food, fluid, gear) = (pickup.food_g, pickup.fluid_ml, pickup.gear_g);
    let all = mass(food + fluid + gear).text;
    let gear = match gear > 0.0 {
        true => format!(", gear {}", mass(gear).number),
        false => " (gear without its mass)".to_owned(),
    };
    let (food, fluid) = (mass(food).number, mass(fluid).number);
    format!("{all}: food {food}, fluid {fluid}{gear}")
}

fn kg(g: f64) -> f64 {
    g / 1000.0
}

impl BagFacts {
    /// Every drop bag of a plan.
    pub(super) fn all(view: &View<'_>, plan: &Plan) -> Vec<BagFacts> {
        let bag = |bag: &Bag| BagFacts {
            place: view.race.course.places[bag.place].name.clone(),
            servings: ServingFacts::all(&bag.servings, 0, &view.inputs.pantry),
            gear: bag.gear.clone(),
            visits: each(&bag.visits, |visit| BagVisitFacts::of(view, plan, visit)),
            returns: bag.returns.clone(),
        };
        plan.packing.bags.iter().map(bag).collect()
    }
}

impl BagVisitFacts {
    fn of(view: &View<'_>, plan: &Plan, visit: &BagVisit) -> BagVisitFacts {
        let course = &view.race.course;
        let pantry = &view.inputs.pantry;
        let split = &plan.schedule.splits[visit.station];
        let station = &course.stations[visit.station];
        BagVisitFacts {
            number: number(course, visit.station),
            station: station.name.clone(),
            official: Measure::distance(view.units, station.official_m),
            early: Moment::of(&plan.schedule, split.early),
            arrival: Moment::of(&plan.schedule, split.arrival),
            servings: ServingFacts::all(&visit.servings, visit.station, pantry),
            in_order: each(&visit.in_order, |ration| {
                RationFacts::of(course, ration, pantry)
            }),
            gear: visit.gear.clone(),
            leave: visit.leave.clone(),
        }
    }
}

impl RationFacts {
    fn of(course: &Course, ration: &Ration, pantry: &[Food]) -> RationFacts {
        RationFacts {
            from: course.stations[ration.from].name.clone(),
            until: course.stations[ration.until].name.clone(),
            until_number: number(course, ration.until),
            servings: ServingFacts::all(&ration.servings, ration.from, pantry),
        }
    }
}

impl ProvisionFacts {
    /// Every food of a plan, in the order of the pantry.
    pub(super) fn all(view: &View<'_>, plan: &Plan) -> Vec<ProvisionFacts> {
        let places = &view.race.course.places;
        let packed = |packed: &Packed| PackedFacts {
            place: places[packed.place].name.clone(),
            source: packed.source.name(),
            count: packed.count,
        };
        let of = |food: &Provision| ProvisionFacts {
            food: food.food.clone(),
            servings: food.servings,
            from_start: food.with(Source::Start),
            in_bags: food.with(Source::Bag),
            with_crew: food.with(Source::Crew),
            spare: food.spare,
            stock: food.stock,
            buy: food.buy,
            from_stations: food.from_stations,
            packed: food.packed.iter().map(packed).collect(),
        };
        plan.packing.shopping.iter().map(of).collect()
    }
}

impl HeapFacts {
    /// Things by the hands they go into: the runner's at the start, each bag, the crew's; then
    /// spares.
    pub(super) fn all(view: &View<'_>, plan: &Plan) -> Vec<HeapFacts> {
        let (course, packing) = (&view.race.course, &plan.packing);
        let pantry = &view.inputs.pantry;
        let texts = |list: &[Serving]| -> Vec<String> {
            let all = ServingFacts::all(list, 0, pantry).into_iter();
            all.map(|serving| serving.text).collect()
        };
        let mut heaps = Vec::new();
        if let Some(start) = packing.pickups.first() {
            let eaten = packing.shopping.iter().filter_map(|food| {
                let eaten = food.with(Source::Start) - food.reserve;
                (eaten > 0).then(|| counted(eaten, &food.food, pantry))
            });
            let reserve = texts(&start.reserve).into_iter();
            let reserve = reserve.map(|text| format!("{text} in reserve"));
            heaps.push(HeapFacts {
                hands: "start",
                name: course.stations[start.station].name.clone(),
                food: eaten.chain(reserve).collect(),
                gear: start.gear_on.clone(),
            });
        }
        heaps.extend(packing.bags.iter().map(|bag| HeapFacts {
            hands: "bag",
            name: course.places[bag.place].name.clone(),
            food: texts(&bag.servings),
            gear: bag.gear.clone(),
        }));
        let brought = packing.crew_gear();
        heaps.extend(
            packing
                .handovers
                .iter()
                .zip(brought)
                .map(|(over, gear)| HeapFacts {
                    hands: "crew",
                    name: course.stations[over.station].name.clone(),
                    food: texts(&over.servings),
                    gear: gear.into_iter().map(str::to_owned).collect(),
                }),
        );
        heaps.extend(in_the_car(view, plan));
        let spares = packing.shopping.iter().filter(|food| food.spare > 0);
        heaps.push(HeapFacts {
            hands: "spare",
            name: "where there is room".to_owned(),
            food: spares
                .map(|food| counted(food.spare, &food.food, pantry))
                .collect(),
            gear: Vec::new(),
        });
        heaps.retain(|heap| !(heap.food.is_empty() && heap.gear.is_empty()));
        heaps
    }
}

/// Things that the crew lays out at its stops, each once, and water for stations without any.
fn in_the_car(view: &View<'_>, plan: &Plan) -> Option<HeapFacts> {
    let mut gear: Vec<String> = Vec::new();
    for thing in plan.crew.meetings.iter().flat_map(|met| &met.bring) {
        if !gear.iter().any(|known| same_name(known, thing)) {
            gear.push(thing.clone());
        }
    }
    let brought = plan
        .packing
        .handovers
        .iter()
        .filter(|over| over.water_ml > 0.0);
    gear.extend(brought.map(|over| {
        let station = &view.race.course.stations[over.station].name;
        format!(
            "{} of water for {station}",
            Measure::volume(view.units, over.water_ml).text
        )
    }));
    (!gear.is_empty()).then(|| HeapFacts {
        hands: "crew",
        name: "in the car".to_owned(),
        food: Vec::new(),
        gear,
    })
}
