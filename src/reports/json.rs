//! The data contract: plans as JSON, keys carrying their units. Types of its own, so that the
//! model can change without the contract.

use serde::Serialize;
use serde_json::{Value, json};

use crate::findings::{About, Caution, Finding, Weight};
use crate::packing::{Flask, Packed, Pickup, Serving, Source};
use crate::plan::Plan;
use crate::schedule::Split;
use crate::time::Elapsed;

use super::View;

/// Arrival and departure at one station; times in seconds from the runner's own start.
#[derive(Serialize)]
struct SplitOut<'a> {
    station: &'a str,
    place: &'a str,
    visit: u32,
    distance_m: f64,
    official_m: f64,
    arrival_s: i64,
    departure_s: i64,
    early_s: i64,
    late_s: i64,
    #[serde(skip_serializing_if = "Option::is_none")]
    arrival: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    departure: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cutoff_s: Option<i64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cutoff_on: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cutoff_chance: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    margin_s: Option<i64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    latest_departure_s: Option<i64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    binding: Option<&'a str>,
}

#[derive(Serialize)]
struct SegmentOut<'a> {
    from: &'a str,
    to: &'a str,
    length_m: f64,
    official_length_m: f64,
    climb_m: f64,
    descent_m: f64,
    steepest_up: f64,
    steepest_down: f64,
    moving_s: i64,
    pace_s_per_km: f64,
    walk_share: f64,
    dark_share: f64,
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    need: Option<NeedOut>,
}

/// For the segment and the stop before it.
#[derive(Serialize)]
struct NeedOut {
    fluid_ml: f64,
    carry_ml: f64,
    sodium_mg: f64,
    sodium_loss_mg: f64,
    carbs_g: f64,
    protein_g: f64,
    energy_kcal: f64,
    /// With what is packed.
    caffeine_mg: f64,
    caffeine_left_mg: f64,
    sweat_l_per_h: f64,
    sweat_low_l_per_h: f64,
    sweat_high_l_per_h: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    temp_c: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    wbgt_c: Option<f64>,
}

#[derive(Serialize)]
struct FindingOut<'a> {
    kind: &'a str,
    weight: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    station: Option<&'a str>,
    text: String,
    ways_out: Vec<String>,
}

#[derive(Serialize)]
struct ServingOut<'a> {
    food: &'a str,
    count: u32,
    source: &'static str,
}

/// `course --format json`
pub(super) fn course(view: &View<'_>) -> Value {
    let course = &view.race.course;
    let survey = &course.survey;
    let (climb_m, descent_m) = course.climb_and_descent_m();
    let stations: Vec<Value> = course
        .stations
        .iter()
        .map(|station| {
            json!({
                "station": station.name,
                "place": course.places[station.place].name,
                "visit": station.visit,
                "distance_m": tenth(station.distance_m),
                "official_m": tenth(station.official_m),
                "elevation_m": tenth(station.elevation_m),
                "lat": station.position_deg.0,
                "lon": station.position_deg.1,
                "crew": station.crew,
                "drop_bag": station.drop_bag,
                "pacer": station.pacer,
                "offers": station.offers,
            })
        })
        .collect();
    let segments: Vec<Value> = course
        .segments
        .iter()
        .map(|s| {
            json!({
                "from": course.stations[s.from].name,
                "to": course.stations[s.from + 1].name,
                "length_m": tenth(s.length_m),
                "official_length_m": tenth(s.official_length_m),
                "climb_m": tenth(s.climb_m),
                "descent_m": tenth(s.descent_m),
                "steepest_up": thousandth(s.steepest_up),
                "steepest_down": thousandth(s.steepest_down),
                "share_above_10": thousandth(s.share_above_10),
                "share_below_10": thousandth(s.share_below_10),
                "highest_m": tenth(s.highest_m),
            })
        })
        .collect();
    json!({
        "course": course.name,
        "route_length_m": tenth(survey.route_length_m),
        "official_length_m": survey.official_length_m,
        "climb_m": tenth(climb_m),
        "descent_m": tenth(descent_m),
        "raw_climb_m": tenth(survey.raw_climb_m),
        "raw_descent_m": tenth(survey.raw_descent_m),
        "filtered_climb_m": tenth(survey.filtered_climb_m),
        "filtered_descent_m": tenth(survey.filtered_descent_m),
        "stations": stations,
        "segments": segments,
    })
}

/// `splits --format json`: the contract that other tools read.
pub(super) fn splits(view: &View<'_>) -> Value {
    let Some(plan) = view.plans.first() else {
        return json!({});
    };
    let others: Vec<Value> = view.plans[1..]
        .iter()
        .map(
            |other| json!({ "finish_s": other.finish.as_secs(), "splits": splits_of(view, other) }),
        )
        .collect();
    let mut out = head(view, plan);
    out["splits"] = json!(splits_of(view, plan));
    if !others.is_empty() {
        out["other_finishes"] = json!(others);
    }
    out["findings"] = findings(view, plan.schedule.findings.iter());
    out
}

/// `fuel --format json`
pub(super) fn fuel(view: &View<'_>) -> Value {
    let Some(plan) = view.plans.first() else {
        return json!({});
    };
    let mut out = head(view, plan);
    out["segments"] = json!(segments_of(view, plan));
    let mass = &plan.fueling.finish_mass;
    out["finish_mass"] = json!({
        "start_kg": mass.start_kg,
        "expected_loss_kg": thousandth(mass.expected_loss_kg),
        "loss_low_pct": thousandth(mass.loss_window_pct.0),
        "loss_high_pct": thousandth(mass.loss_window_pct.1),
    });
    let assumed: Vec<String> = plan
        .fueling
        .assumed
        .iter()
        .map(|a| a.show(view.units))
        .collect();
    out["assumed"] = json!(assumed);
    let found = plan.fueling.findings.iter().chain(&plan.packing.findings);
    out["findings"] = findings(view, found);
    out["cautions"] = cautions(plan);
    out
}

/// `bags --format json`
pub(super) fn bags(view: &View<'_>) -> Value {
    let Some(plan) = view.plans.first() else {
        return json!({});
    };
    let mut out = head(view, plan);
    out["pickups"] = pickups_of(view, plan);
    out["bags"] = bags_of(view, plan);
    out["shopping"] = shopping_of(view, plan);
    out["findings"] = findings(view, plan.packing.findings.iter());
    out["cautions"] = cautions(plan);
    out
}

/// `crew --format json`
pub(super) fn crew(view: &View<'_>) -> Value {
    let Some(plan) = view.plans.first() else {
        return json!({});
    };
    let mut out = head(view, plan);
    out["crew"] = crew_of(view, plan);
    out["findings"] = findings(view, plan.crew.findings.iter());
    out["cautions"] = cautions(plan);
    out
}

/// `plan --format json`: all of it.
pub(super) fn plan(view: &View<'_>) -> Value {
    let Some(plan) = view.plans.first() else {
        return json!({});
    };
    let mut out = fuel(view);
    let splits = splits(view);
    for key in ["splits", "other_finishes"] {
        if !splits[key].is_null() {
            out[key] = splits[key].clone();
        }
    }
    out["pickups"] = pickups_of(view, plan);
    out["bags"] = bags_of(view, plan);
    out["shopping"] = shopping_of(view, plan);
    out["crew"] = crew_of(view, plan);
    out["unknowns"] = super::unknowns::json(view, plan);
    out["findings"] = findings(view, plan.findings());
    out
}

pub(super) fn head(view: &View<'_>, plan: &Plan) -> Value {
    let mut out = json!({
        "course": view.race.course.name,
        "finish_s": plan.finish.as_secs(),
        "level_speed_mps": thousandth(plan.pacing.level_speed_mps),
    });
    if let Some(evidence) = view.inputs.plan.windows.evidence {
        out["evidence"] = json!(evidence.name());
    }
    if let Some(clock) = view.race.clock {
        out["start"] = json!(clock.start().to_rfc3339());
    }
    if !view.warnings.is_empty() {
        let warnings: Vec<&str> = view.warnings.iter().map(|w| w.message.as_str()).collect();
        out["warnings"] = json!(warnings);
    }
    out
}

/// Every split of a plan, as the contract has it.
pub(super) fn splits_value(view: &View<'_>, plan: &Plan) -> Value {
    json!(splits_of(view, plan))
}

/// Every segment of a plan with its needs.
pub(super) fn segments_value(view: &View<'_>, plan: &Plan) -> Value {
    json!(segments_of(view, plan))
}

/// Servings with their sources.
pub(super) fn servings_value(servings: &[Serving]) -> Value {
    json!(servings_of(servings))
}

fn splits_of<'a>(view: &View<'a>, plan: &Plan) -> Vec<SplitOut<'a>> {
    plan.schedule
        .splits
        .iter()
        .map(|split| split_out(view, plan, split))
        .collect()
}

fn split_out<'a>(view: &View<'a>, plan: &Plan, split: &Split) -> SplitOut<'a> {
    let course = &view.race.course;
    let station = &course.stations[split.station];
    let instant = |elapsed: Elapsed| {
        plan.schedule
            .clock
            .map(|clock| clock.at(elapsed).to_rfc3339())
    };
    SplitOut {
        station: &station.name,
        place: &course.places[station.place].name,
        visit: station.visit,
        distance_m: tenth(station.distance_m),
        official_m: tenth(station.official_m),
        arrival_s: split.arrival.as_secs(),
        departure_s: split.departure.as_secs(),
        early_s: split.early.as_secs(),
        late_s: split.late.as_secs(),
        arrival: instant(split.arrival),
        departure: instant(split.departure),
        cutoff_s: split.cutoff.map(|limit| limit.elapsed.as_secs()),
        cutoff_on: split.cutoff.map(|limit| match limit.on {
            crate::inputs::stations_csv::CutoffOn::Arrival => "arrival",
            crate::inputs::stations_csv::CutoffOn::Departure => "departure",
        }),
        cutoff_chance: split.cutoff_chance.map(thousandth),
        margin_s: split.margin.map(Elapsed::as_secs),
        latest_departure_s: split.latest_departure.map(Elapsed::as_secs),
        binding: split
            .binding
            .map(|binding| course.stations[binding].name.as_str()),
    }
}

fn segments_of<'a>(view: &View<'a>, plan: &Plan) -> Vec<SegmentOut<'a>> {
    let course = &view.race.course;
    let caffeine = |segment: usize| {
        let share = plan.packing.caffeine.get(segment);
        share.copied().unwrap_or_default()
    };
    course
        .segments
        .iter()
        .zip(&plan.schedule.legs)
        .enumerate()
        .map(|(index, (segment, leg))| SegmentOut {
            from: &course.stations[segment.from].name,
            to: &course.stations[segment.from + 1].name,
            length_m: tenth(segment.length_m),
            official_length_m: tenth(segment.official_length_m),
            climb_m: tenth(segment.climb_m),
            descent_m: tenth(segment.descent_m),
            steepest_up: thousandth(segment.steepest_up),
            steepest_down: thousandth(segment.steepest_down),
            moving_s: leg.moving.as_secs(),
            pace_s_per_km: tenth(leg.pace_s_per_m * 1000.0),
            walk_share: thousandth(leg.walk_share),
            dark_share: thousandth(leg.dark_share),
            need: plan.fueling.segments.get(index).map(|need| NeedOut {
                fluid_ml: need.fluid_ml.round(),
                carry_ml: need.carry_ml.round(),
                sodium_mg: need.sodium_mg.round(),
                sodium_loss_mg: need.sodium_loss_mg.round(),
                carbs_g: tenth(need.carbs_g),
                protein_g: tenth(need.protein_g),
                energy_kcal: need.energy_kcal.round(),
                caffeine_mg: caffeine(index).mg.round(),
                caffeine_left_mg: caffeine(index).left_mg.round(),
                sweat_l_per_h: thousandth(need.sweat_l_per_h),
                sweat_low_l_per_h: thousandth(need.sweat_band_l_per_h.0),
                sweat_high_l_per_h: thousandth(need.sweat_band_l_per_h.1),
                temp_c: need.temp_c.map(tenth),
                wbgt_c: need.wbgt_c.map(tenth),
            }),
        })
        .collect()
}

pub(super) fn pickups_of(view: &View<'_>, plan: &Plan) -> Value {
    let name = |station: usize| view.race.course.stations[station].name.as_str();
    plan.packing
        .pickups
        .iter()
        .map(|pickup| {
            json!({
                "station": name(pickup.station),
                "until": name(pickup.until),
                "fluid_ml": pickup.fluid_ml.round(),
                "capacity_ml": pickup.capacity_ml.round(),
                "water_ml": pickup.water_ml.round(),
                "food_water_ml": pickup.food_water_ml.round(),
                "flasks": flasks_of(pickup),
                "food_g": pickup.food_g.round(),
                "take": servings_of(&pickup.take),
                "for_later": servings_of(&pickup.for_later),
                "here": servings_of(&pickup.here),
                "until_water": name(pickup.until_water),
                "carbs_g": tenth(pickup.carbs_g.0),
                "carbs_needed_g": tenth(pickup.carbs_g.1),
                "sodium_mg": pickup.sodium_mg.0.round(),
                "sodium_needed_mg": pickup.sodium_mg.1.round(),
                "caffeine_mg": pickup.caffeine_mg.0.round(),
                "here_carbs_g": tenth(pickup.spot.carbs_g),
                "here_sodium_mg": pickup.spot.sodium_mg.round(),
                "here_fluid_ml": pickup.spot.water_ml.round(),
                "gear_on": pickup.gear_on,
                "gear_off": pickup.gear_off,
            })
        })
        .collect()
}

fn flasks_of(pickup: &Pickup) -> Vec<Value> {
    let flask = |flask: &Flask| {
        json!({
            "size_ml": flask.size_ml,
            "fluid_ml": flask.fluid_ml.round(),
            "drink": flask.drink.as_ref().map(|(name, _)| name),
            "servings": flask.drink.as_ref().map(|(_, servings)| servings),
        })
    };
    pickup.flasks.iter().map(flask).collect()
}

fn shopping_of(view: &View<'_>, plan: &Plan) -> Value {
    let places = &view.race.course.places;
    plan.packing
        .shopping
        .iter()
        .map(|provision| {
            let packed = |packed: &Packed| {
                json!({
                    "place": places[packed.place].name,
                    "source": source_of(packed.source),
                    "count": packed.count,
                })
            };
            json!({
                "food": provision.food,
                "servings": provision.servings,
                "spare": provision.spare,
                "stock": provision.stock,
                "buy": provision.buy,
                "from_stations": provision.from_stations,
                "packed": provision.packed.iter().map(packed).collect::<Vec<_>>(),
            })
        })
        .collect()
}

pub(super) fn bags_of(view: &View<'_>, plan: &Plan) -> Value {
    let course = &view.race.course;
    plan.packing
        .bags
        .iter()
        .map(|bag| {
            let visits: Vec<Value> = bag
                .visits
                .iter()
                .map(|visit| {
                    json!({
                        "station": course.stations[visit.station].name,
                        "servings": servings_of(&visit.servings),
                        "in_order": visit.in_order.iter().map(|ration| json!({
                            "from": course.stations[ration.from].name,
                            "until": course.stations[ration.until].name,
                            "servings": servings_of(&ration.servings),
                        })).collect::<Vec<_>>(),
                        "gear": visit.gear,
                        "leave": visit.leave,
                    })
                })
                .collect();
            json!({
                "place": course.places[bag.place].name,
                "servings": servings_of(&bag.servings),
                "gear": bag.gear,
                "visits": visits,
                "returns": bag.returns,
            })
        })
        .collect()
}

pub(super) fn crew_of(view: &View<'_>, plan: &Plan) -> Value {
    let course = &view.race.course;
    plan.crew
        .meetings
        .iter()
        .map(|meeting| {
            let handover = meeting
                .handover
                .and_then(|index| plan.packing.handovers.get(index));
            json!({
                "station": course.stations[meeting.station].name,
                "be_there_s": meeting.be_there.as_secs(),
                "early_s": plan.schedule.splits[meeting.station].early.as_secs(),
                "likely_s": meeting.likely.as_secs(),
                "late_s": meeting.late.as_secs(),
                "departure_s": meeting.departure.as_secs(),
                "drive_s": meeting.drive_s,
                "leave_by_s": meeting.leave_by.map(Elapsed::as_secs),
                "servings": handover.map(|h| servings_of(&h.servings)),
                "water_ml": handover.map(|h| h.water_ml.round()),
                "gear": handover.map(|h| &h.gear),
                "take_back": handover.map(|h| &h.take_back),
                "bring": meeting.bring,
                "pacers_on": meeting.pacers_on,
                "pacers_off": meeting.pacers_off,
            })
        })
        .collect()
}

fn servings_of(servings: &[Serving]) -> Vec<ServingOut<'_>> {
    servings
        .iter()
        .map(|serving| ServingOut {
            food: &serving.food,
            count: serving.count,
            source: source_of(serving.source),
        })
        .collect()
}

fn source_of(source: Source) -> &'static str {
    match source {
        Source::Start => "start",
        Source::Station => "station",
        Source::Bag => "bag",
        Source::Crew => "crew",
    }
}

pub(super) fn findings<'a>(
    view: &View<'_>,
    findings: impl IntoIterator<Item = &'a Finding>,
) -> Value {
    let course = &view.race.course;
    let out: Vec<FindingOut<'_>> = findings
        .into_iter()
        .map(|finding| FindingOut {
            kind: finding.kind.name(),
            weight: match finding.weight {
                Weight::Note => "note",
                Weight::Warning => "warning",
                Weight::Failure => "failure",
            },
            station: match finding.about {
                About::Race => None,
                About::Station(station) => Some(course.stations[station].name.as_str()),
                // a segment is called by the station it leaves
                About::Segment(segment) => course.stations.get(segment).map(|s| s.name.as_str()),
            },
            text: finding.says.show(view.units),
            ways_out: finding
                .ways_out
                .iter()
                .map(|way| way.show(view.units))
                .collect(),
        })
        .collect();
    json!(out)
}

fn cautions(plan: &Plan) -> Value {
    cautions_value(&plan.fueling.cautions)
}

/// Cautions with their triggers.
pub(super) fn cautions_value(cautions: &[Caution]) -> Value {
    cautions
        .iter()
        .map(|caution| json!({ "kind": caution.kind.name(), "when": caution.when, "text": caution.text }))
        .collect()
}

pub(super) fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

pub(super) fn thousandth(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}
