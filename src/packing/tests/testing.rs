//! Small races for tests, built without the stages before packing.
#![allow(clippy::unwrap_used)]

use crate::course::tests::segment;
use crate::course::{Course, Place, Profile, RouteComparison, Segment, Station, StationRole};
use crate::diagnostics::Spanned;
use crate::fueling::{FinishMass, Fueling, SegmentNeed};
use crate::inputs::Inputs;
use crate::inputs::crew_toml::CrewFile;
use crate::inputs::gear_csv::{GearItem, GearRule};
use crate::inputs::pantry_csv::{Food, FoodKind};
use crate::inputs::stations_csv::StationKind;
use crate::inputs::surfaces_csv::Surface;
use crate::schedule::{Leg, Schedule, Split};
use crate::time::Elapsed;

use crate::exposure::{WindowExposure, WindowExposures};
use crate::packing::{Given, Losses, Packing, pack};

/// Everything that packing is given.
#[derive(Clone, Debug)]
pub(crate) struct Race {
    pub(crate) course: Course,
    pub(crate) schedule: Schedule,
    pub(crate) fueling: Fueling,
    pub(crate) inputs: Inputs,
    pub(super) sky: WindowExposures,
}

/// One station on the way, in short.
#[derive(Clone, Debug, Default)]
pub(crate) struct Stop<'a> {
    /// `name`, or `name@place`.
    pub(crate) name: &'a str,
    pub(crate) km: f64,
    pub(crate) kind: StationKind,
    pub(crate) offers: &'a [&'a str],
    pub(crate) bag: bool,
    pub(crate) crew: bool,
    pub(crate) pacer: bool,
    pub(crate) stop_min: i64,
}

impl Race {
    /// A race over these stations; the last is the finish, the start is added. An hour is 6 km
    /// and asks for 60 g of carbohydrate, 400 ml and 240 mg of sodium; mild day all along.
    pub(crate) fn over(stops: &[Stop<'_>]) -> Race {
        let mut stations = vec![station(&Stop {
            name: "Start",
            ..Stop::default()
        })];
        stations.extend(stops.iter().map(station));
        let last = stations.len() - 1;
        stations[0].role = StationRole::Start;
        stations[last].role = StationRole::Finish;
        let places = places(&mut stations, stops);
        let segments: Vec<Segment> = stations.windows(2).enumerate().map(segment).collect();
        let stops_s: Vec<i64> = [0]
            .into_iter()
            .chain(stops.iter().map(|s| s.stop_min * 60))
            .collect();
        let schedule = schedule(&stations, &stops_s);
        let fueling = Fueling {
            segments: (0..last).map(|i| need(&schedule, i)).collect(),
            finish_mass: FinishMass {
                start_kg: 70.0,
                ..FinishMass::default()
            },
            ..Fueling::default()
        };
        Race {
            sky: WindowExposures {
                segments: vec![WindowExposure::default(); segments.len()],
                knows_daylight: true,
                knows_weather: true,
            },
            course: course(stations, segments, places),
            schedule,
            fueling,
            inputs: Inputs {
                pantry: pantry(),
                ..Inputs::default()
            },
        }
    }

    pub(crate) fn pack(&self) -> Packing {
        self.pack_without(&Losses::default())
    }

    pub(super) fn pack_without(&self, losses: &Losses) -> Packing {
        pack(
            &self.given(),
            &self.sky,
            losses,
            crate::packing::choose::choose,
            true,
        )
    }

    pub(super) fn given(&self) -> Given<'_> {
        Given {
            course: &self.course,
            schedule: &self.schedule,
            fueling: &self.fueling,
            inputs: &self.inputs,
        }
    }

    pub(crate) fn with_crew(mut self, crew: CrewFile) -> Race {
        self.inputs.crew = Some(crew);
        self
    }

    pub(crate) fn with_flasks(mut self, flasks_ml: &[f64]) -> Race {
        let flasks = flasks_ml.iter().copied().map(Spanned::unwritten);
        self.inputs.runner.flasks_ml = flasks.collect();
        self
    }

    pub(crate) fn with_gear(mut self, gear: &[(&str, GearRule)]) -> Race {
        let items = gear.iter().map(|(name, when)| gear_item(name, *when));
        self.inputs.gear.extend(items);
        self
    }

    /// Marks segments in the sky.
    pub(super) fn with_sky(mut self, segments: &[usize], mark: fn(&mut WindowExposure)) -> Race {
        for segment in segments {
            mark(&mut self.sky.segments[*segment]);
        }
        self
    }
}

pub(crate) fn gear_item(name: &str, when: GearRule) -> GearItem {
    GearItem {
        name: Spanned::unwritten(name.to_owned()),
        when,
        after: None,
        mass_g: None,
        burn_h: None,
        span: None,
    }
}

/// Generic foods; carbohydrate, sodium, water and mass from USDA Standard Reference 26 by record
/// number and grams, drinks by composition.
pub(crate) fn pantry() -> Vec<Food> {
    use FoodKind::{Drink, Food as Solid, Gel, Salt, Station};
    let mut cola = food("cola", Drink, [26.3, 10.0, 223.0, 249.0]); // 14148, 249 g
    cola.caffeine_mg = 22.0;
    cola.own = false;
    let mut broth = food("broth", Station, [0.6, 917.0, 237.0, 240.0]); // 06475, 240 g
    broth.own = false;
    let mut melon = food("watermelon", Station, [11.5, 2.0, 139.0, 152.0]); // 09326, 152 g
    melon.own = false;
    vec![
        food("banana", Solid, [27.0, 1.0, 88.0, 118.0]), // 09040, 118 g
        food("potato", Solid, [25.0, 301.0, 97.0, 125.0]), // 11833, 125 g
        food("pretzels", Solid, [22.7, 326.0, 1.0, 28.0]), // 19047, 28 g
        food("date", Solid, [18.0, 0.0, 5.0, 24.0]),     // 09421, 24 g
        food("rice ball", Solid, [28.7, 194.0, 69.0, 100.5]), // 20053 100 g, 02047 0.5 g
        food("honey", Gel, [17.3, 1.0, 4.0, 21.0]),      // 19296, 21 g
        food("salt", Salt, [0.0, 194.0, 0.0, 0.5]),      // 02047, 0.5 g
        food("mix", Drink, [30.0, 230.0, 500.0, 32.0]),  // 6 %, 20 mmol/l of sodium
        cola,
        broth,
        melon,
    ]
}

pub(crate) fn food(name: &str, kind: FoodKind, numbers: [f64; 4]) -> Food {
    let [carbs_g, sodium_mg, water_ml, mass_g] = numbers;
    Food {
        name: Spanned::unwritten(name.to_owned()),
        kind,
        serving: "1".to_owned(),
        unit: None,
        mass_g,
        water_ml,
        carbs_g,
        sodium_mg,
        energy_kcal: 4.0 * carbs_g,
        protein_g: 0.0,
        caffeine_mg: 0.0,
        stock: None,
        liking: 3,
        tested: true,
        own: true,
        span: None,
    }
}

fn station(stop: &Stop<'_>) -> Station {
    Station {
        name: stop.name.split('@').next().unwrap().to_owned(),
        place: 0,
        visit: 1,
        role: StationRole::Between(stop.kind),
        distance_m: stop.km * 1000.0,
        official_m: stop.km * 1000.0,
        elevation_m: 0.0,
        position_deg: (47.0, 11.0),
        cutoff: None,
        crew: stop.crew,
        drop_bag: stop.bag,
        pacer: stop.pacer,
        stop_s: None,
        has_water: match stop.kind {
            StationKind::Water => true,
            StationKind::Aid if stop.offers.is_empty() => true,
            _ => stop.offers.contains(&"water"),
        },
        offers: (stop.offers.iter().filter(|offer| **offer != "water"))
            .map(|offer| (*offer).to_owned())
            .collect(),
        span: None,
    }
}

fn places(stations: &mut [Station], stops: &[Stop<'_>]) -> Vec<Place> {
    let mut places: Vec<Place> = Vec::new();
    let names = ["Start"].into_iter().chain(stops.iter().map(|s| s.name));
    for (index, name) in names.enumerate() {
        let name = name.split('@').next_back().unwrap();
        let known = places.iter().position(|p| p.name == name);
        let place = known.unwrap_or_else(|| {
            places.push(Place {
                name: name.to_owned(),
                visits: Vec::new(),
            });
            places.len() - 1
        });
        places[place].visits.push(index);
        stations[index].place = place;
        stations[index].visit = places[place].visits.len() as u32;
    }
    places
}

/// 6 km an hour between stops; one in ten is 5 % earlier, nine in ten are at most 10 % later.
fn schedule(stations: &[Station], stops_s: &[i64]) -> Schedule {
    let mut splits = Vec::new();
    let mut stopped_s = 0;
    for (index, station) in stations.iter().enumerate() {
        let arrival_s = (station.distance_m * 0.6).round() as i64 + stopped_s;
        stopped_s += stops_s[index];
        let at = |share: f64| Elapsed::from_s(arrival_s as f64 * share);
        splits.push(Split {
            station: index,
            arrival: at(1.0),
            departure: Elapsed::from_secs(arrival_s + stops_s[index]),
            early: at(0.95),
            likely: at(1.0),
            late: at(1.1),
            late_in_race: at(1.1),
            cutoff: None,
            cutoff_chance: None,
            chance_so_far: None,
            margin: None,
            latest_departure: None,
            latest_on_plan: None,
            binding: None,
        });
    }
    let legs = splits
        .windows(2)
        .map(|ends| Leg {
            moving: ends[1].arrival - ends[0].departure,
            pace_s_per_m: 0.6,
            dark_share: 0.0,
            walk_share: 0.0,
        })
        .collect();
    Schedule {
        latest_as_likely: false,
        clock: None,
        on_target: false,
        chance: None,
        weakest: None,
        chance_of_target: 1.0,
        splits,
        legs,
        findings: Vec::new(),
    }
}

fn need(schedule: &Schedule, segment: usize) -> SegmentNeed {
    let splits = &schedule.splits;
    let hours = (splits[segment + 1].arrival - splits[segment].arrival).as_hours();
    SegmentNeed {
        hours,
        sweat_l_per_h: 0.5,
        fluid_ml: 400.0 * hours,
        way_ml: 400.0 * hours,
        carry_ml: 500.0 * hours,
        sodium_mg: 240.0 * hours,
        sodium_loss_mg: 460.0 * hours,
        carbs_g: 60.0 * hours,
        ..SegmentNeed::default()
    }
}

fn course(stations: Vec<Station>, segments: Vec<Segment>, places: Vec<Place>) -> Course {
    let route_length_m = stations.last().unwrap().distance_m;
    Course {
        name: "Test".to_owned(),
        origin: None,
        official_start: None,
        profile: Profile {
            spacing_m: route_length_m,
            elevation_m: vec![0.0; 2],
            position_deg: vec![(47.0, 11.0); 2],
            surface: vec![Surface::default()],
        },
        stations,
        segments,
        places,
        survey: RouteComparison {
            route_length_m,
            jitter: 0.0,
            official_length_m: None,
            raw_climb_m: 0.0,
            raw_descent_m: 0.0,
            filtered_climb_m: 0.0,
            filtered_descent_m: 0.0,
            official_climb_m: None,
            points: 2,
            repairs: crate::course::HeightRepair::default(),
        },
        mandatory_kit: Vec::new(),
        hand_in: None,
        rules: Vec::new(),
    }
}
