//! Supply points: where something can be had, and how far it must last.

use crate::course::{Course, Station, StationRole};
use crate::inputs::Inputs;
use crate::inputs::pantry_csv::Food;
use crate::schedule::Schedule;
use crate::words::same_name;

use super::losses::Losses;
use super::packed::Source;

/// Things eaten or drunk standing, in a stop of five minutes or more and in a shorter one: common
/// practice, no source.
const AT_A_LONG_STOP: u32 = 3;
const AT_A_SHORT_STOP: u32 = 1;
/// A stop from which on it is long, seconds.
const LONG_STOP_S: i64 = 300;
/// The most that is had on the spot at one stop, water in food included, millilitres: a stomach
/// empties best with 400 to 600 ml in it (McDermott et al. 2017, J Athl Train 52:877), and nothing
/// is made up for by forced drinking at a station.
pub(super) const MOST_ON_THE_SPOT_ML: f64 = 450.0;

/// A station where something can be had, and the stretch until the next one.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct SupplyPoint {
    /// The station.
    pub(super) station: usize,
    /// The next supply point, or the finish.
    pub(super) until: usize,
    /// True where flasks can be filled here.
    pub(super) water: bool,
    /// True where the crew brings that water because the station has none.
    pub(super) crew_water: bool,
    /// The next station with water, or the finish.
    pub(super) until_water: usize,
    /// The way that the runner's own food for this stretch comes into their hands.
    pub(super) own: Source,
    /// The station where it does: the last one with own food up to here.
    pub(super) own_at: usize,
    /// True where that own food is there: not where a bag or crew on the way did not come,
    /// unforeseen.
    pub(super) has_own: bool,
    /// Servings that can be had on the spot here.
    pub(super) spot_servings: u32,
    /// Foods in the pantry that the station offers, by index.
    pub(super) offers: Vec<usize>,
}

/// Supplies by place: the course with the crew and what the organiser has, less any losses.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Access {
    /// One per station.
    stations: Vec<SupplySpot>,
    /// True where there is a crew, who waits at the finish at least.
    pub(super) crew: bool,
}

/// Supplies at one station.
#[derive(Clone, Debug, Default, PartialEq)]
struct SupplySpot {
    own: Option<Source>,
    /// True where own things packed for here did not come.
    bereft: bool,
    meets: bool,
    water: bool,
    offers: Vec<usize>,
}

impl Access {
    pub(super) fn of(course: &Course, inputs: &Inputs, pantry: &[Food], losses: &Losses) -> Access {
        let crew = inputs.crew.is_some();
        let crew_first = crew && inputs.plan.crew_before_bags;
        let spot = |station: &Station| {
            let lost = |places: &[usize]| places.contains(&station.place);
            let meets = crew && station.crew && !lost(&losses.crew);
            let packed = match station.role {
                StationRole::Start => Some(Source::Start),
                _ if crew_first && station.crew => Some(Source::Crew),
                _ if station.drop_bag => Some(Source::Bag),
                _ if crew && station.crew => Some(Source::Crew),
                _ => None,
            };
            let is_there = |source: &Source| !losses.has_source(*source, station.place);
            // each has what it was given, not what the other was to have
            let bag = station.drop_bag && station.role != StationRole::Start;
            let others = [(bag, Source::Bag), (meets, Source::Crew)];
            let mut others = others
                .into_iter()
                .filter(|(is_open, _)| *is_open && !losses.unforeseen);
            let instead = others.find(|(_, source)| is_there(source));
            let own = packed
                .filter(is_there)
                .or(instead.map(|(_, source)| source));
            let bereft = losses.unforeseen && own != packed && station.role != StationRole::Finish;
            if lost(&losses.offers) {
                return SupplySpot {
                    own,
                    bereft,
                    meets,
                    ..SupplySpot::default()
                };
            }
            SupplySpot {
                own,
                bereft,
                meets,
                water: station.has_water,
                offers: offered(station, pantry),
            }
        };
        Access {
            stations: course.stations.iter().map(spot).collect(),
            crew: crew && losses.crew.len() < course.places.len(),
        }
    }

    /// The way that the runner's own things can come into their hands at a station: by the bag
    /// before the crew, for it cannot be stuck on the road, unless the plan says otherwise. `None`
    /// where there is neither.
    pub(super) fn own(&self, station: usize) -> Option<Source> {
        self.stations[station].own
    }

    /// True where the crew meets the runner there.
    pub(super) fn meets(&self, station: usize) -> bool {
        self.stations[station].meets
    }

    /// True where flasks can be filled there.
    pub(super) fn water(&self, station: usize) -> bool {
        self.stations[station].water || self.stations[station].meets
    }

    /// As if there were water at a station.
    pub(super) fn with_water_at(&self, station: usize) -> Access {
        let mut access = self.clone();
        access.stations[station].water = true;
        access
    }

    /// As if the crew came to every station that lets them.
    pub(super) fn with_crew(&self, course: &Course) -> Access {
        let mut access = self.clone();
        access.crew = true;
        for (spot, station) in access.stations.iter_mut().zip(&course.stations) {
            spot.meets |= station.crew;
            spot.own = spot.own.or(station.crew.then_some(Source::Crew));
        }
        access
    }
}

/// Every supply point in course order; the start is the first, the finish is none.
pub(super) fn points(course: &Course, schedule: &Schedule, access: &Access) -> Vec<SupplyPoint> {
    let finish = course.stations.len() - 1;
    let mut points: Vec<SupplyPoint> = Vec::new();
    for index in 0..finish {
        let spot = &access.stations[index];
        let water = access.water(index);
        if !water && spot.offers.is_empty() && spot.own.is_none() && !spot.bereft {
            continue;
        }
        let before = points.last().map_or((Source::Start, 0, true), |p| {
            (p.own, p.own_at, p.has_own && !spot.bereft)
        });
        let here = |source| (source, index, true);
        let (own, own_at, has_own) = spot.own.map_or(before, here);
        let spot_servings = match schedule.stop(index).as_secs() {
            LONG_STOP_S.. => AT_A_LONG_STOP,
            1.. => AT_A_SHORT_STOP,
            _ => 0,
        };
        points.push(SupplyPoint {
            station: index,
            until: finish,
            water,
            crew_water: water && !spot.water,
            until_water: finish,
            own,
            own_at,
            has_own,
            spot_servings,
            offers: spot.offers.clone(),
        });
    }
    link(&mut points);
    points
}

/// Tells each point which is the next one, and the next one with water.
fn link(points: &mut [SupplyPoint]) {
    for index in 1..points.len() {
        points[index - 1].until = points[index].station;
    }
    let mut next_water = None;
    for point in points.iter_mut().rev() {
        if let Some(station) = next_water {
            point.until_water = station;
        }
        if point.water {
            next_water = Some(point.station);
        }
    }
}

/// The foods of the pantry that a station offers.
fn offered(station: &Station, pantry: &[Food]) -> Vec<usize> {
    let mut foods: Vec<usize> = station
        .offers
        .iter()
        .filter_map(|offer| pantry.iter().position(|f| same_name(&f.name.value, offer)))
        .collect();
    foods.sort_unstable();
    foods.dedup();
    foods
}

/// Offers of a station without an entry in the pantry.
pub(super) fn undescribed<'a>(station: &'a Station, pantry: &[Food]) -> Vec<&'a str> {
    station
        .offers
        .iter()
        .map(String::as_str)
        .filter(|offer| !pantry.iter().any(|f| same_name(&f.name.value, offer)))
        .collect()
}
