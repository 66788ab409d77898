//! Each single loss in turn: what is said to break the plan does, what is said to save it does, and
//! what is not said breaks nothing.

use rand::{RngExt as _, SeedableRng};
use rand_chacha::ChaCha8Rng;
use sutler::diagnostics::{Notes, Spanned};
use sutler::findings::{Finding, Weight};
use sutler::inputs::{GearItem, Inputs};
use sutler::losses::{self, Loss};
use sutler::packing::{Losses, Source};
use sutler::plan::{Plan, Race};

use crate::support::demo;

fn prepare(inputs: &Inputs) -> (Race, Plan) {
    let mut notes = Notes::new();
    let finish = inputs.plan.finish.expect("the plan has a finish");
    let race = Race::prepare(inputs, finish.value, &mut notes);
    let race = race.unwrap_or_else(|| panic!("{:?}", notes.all()));
    let plan = race.plan(inputs, finish, &mut notes);
    let plan = plan.unwrap_or_else(|| panic!("{:?}", notes.all()));
    (race, plan)
}

fn without(race: &Race, inputs: &Inputs, plan: &Plan, losses: Losses) -> Plan {
    let mut race = race.clone();
    race.losses = losses;
    race.packed_again(inputs, plan)
}

/// Losses as they are met on the day.
fn met(loss: &Loss) -> Losses {
    let mut losses = Losses::default();
    match loss {
        Loss::Bag(place) => losses.bags.push(*place),
        Loss::Crew(place) => losses.crew.push(*place),
        Loss::WholeCrew => losses.crew = (0..100).collect(),
        Loss::Offers(place) => losses.offers.push(*place),
        Loss::Item(name) => losses.items.push(name.clone()),
        Loss::Flask => losses.flasks = 1,
    }
    losses.unforeseen = loss.is_found_out();
    losses
}

/// Failures of one plan that another does not have.
fn fresh<'a>(before: &Plan, now: &'a Plan) -> Vec<&'a Finding> {
    let known = |finding: &Finding| {
        finding.subjects().all(|about| {
            let mut own = before.packing.findings.iter();
            own.any(|own| {
                let same = (own.kind, own.weight) == (finding.kind, finding.weight);
                same && own.subjects().any(|at| at == about)
            })
        })
    };
    let failures = now.packing.findings.iter();
    failures
        .filter(|finding| finding.weight == Weight::Failure && !known(finding))
        .collect()
}

/// Supply points from which there is less than half of the carbohydrate.
fn hungry(plan: &Plan) -> usize {
    let pickups = plan.packing.pickups.iter();
    let few = |(have_g, need_g): (f64, f64)| have_g < 0.5 * need_g && need_g - have_g >= 30.0;
    let short = pickups.filter(|p| few(p.carbs_g));
    short.count()
}

/// The hundred miles with other flasks and offers each time.
fn variant(seed: u64) -> Inputs {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let mut inputs = demo::hundred_miles();
    let flasks = [250.0, 500.0, 500.0, 750.0];
    let count = rng.random_range(1..=4);
    let flasks = flasks[..count].iter().copied();
    inputs.runner.flasks_ml = flasks.map(Spanned::unwritten).collect();
    if rng.random_bool(0.7) {
        for station in &mut inputs.stations {
            let offers = &mut station.offers;
            offers.retain(|offer| offer.value == "water" || rng.random_bool(0.2));
        }
    }
    inputs
}

#[test]
fn what_is_listed_breaks_and_its_insurance_holds() {
    let mut insured = 0;
    for seed in 0..6 {
        let inputs = variant(seed);
        let (race, plan) = prepare(&inputs);
        let survey = losses::survey(&race, &inputs, &plan);
        let hours: Vec<f64> = survey.broken.iter().map(|b| b.hours).collect();
        assert!(hours.is_sorted_by(|a, b| a >= b), "worst first: {hours:?}");
        for breaks in &survey.broken {
            let now = without(&race, &inputs, &plan, met(&breaks.loss));
            let said = format!("{seed}: {:?}", breaks.loss);
            assert!(!breaks.failures.is_empty(), "{said}");
            for failure in &breaks.failures {
                assert_eq!(failure.weight, Weight::Failure);
                match failure.kind.name() {
                    "food-lost" => assert!(hungry(&now) > 0, "{said}"),
                    // what waits in a bag or with a crew is no part of packing
                    "gear-lost" if met(&breaks.loss).unforeseen => {}
                    // the plan says several of a kind in one
                    _ => {
                        let said_of = |found: &&Finding| {
                            let mut subjects = found.subjects();
                            found.kind == failure.kind && subjects.any(|at| at == failure.about)
                        };
                        let found = fresh(&plan, &now).into_iter().any(|f| said_of(&f));
                        assert!(found, "{said} {failure:?}");
                    }
                }
            }
            if let Some(insurance) = &breaks.insurance {
                insured += 1;
                let (more, losses) = with_insurance(&inputs, &breaks.loss, insurance);
                let saved = without(&race, &more, &plan, losses);
                assert!(fresh(&plan, &saved).is_empty(), "{said}: {insurance:?}");
                assert!(hungry(&saved) <= hungry(&plan), "{said}: {insurance:?}");
            }
        }
    }
    assert!(insured > 5, "{insured}");
}

fn with_insurance(inputs: &Inputs, loss: &Loss, insurance: &losses::Insurance) -> (Inputs, Losses) {
    let (mut more, mut losses) = (inputs.clone(), met(loss));
    let flasks = &mut more.runner.flasks_ml;
    if *loss == Loss::Flask {
        let largest = flasks.iter().map(|f| f.value).fold(0.0, f64::max);
        let at = flasks.iter().position(|f| f.value == largest);
        flasks.remove(at.expect("a flask"));
        losses.flasks = 0;
    }
    flasks.extend((0..insurance.flasks).map(|_| Spanned::unwritten(500.0)));
    let seconds = insurance.spares.iter().flat_map(|spare| &spare.gear);
    if let Loss::Item(lost) = loss {
        let own = inputs.gear.iter().find(|item| item.name.value == *lost);
        more.gear.extend(seconds.map(|name| GearItem {
            name: Spanned::unwritten(name.clone()),
            ..own.expect("a lost piece is in the list").clone()
        }));
    }
    // with its spares packed elsewhere, the bag is not missed
    losses.unforeseen &= insurance.spares.is_empty();
    (more, losses)
}

#[test]
fn what_is_not_listed_breaks_nothing() {
    for seed in 0..4 {
        let inputs = variant(seed);
        let (race, plan) = prepare(&inputs);
        let survey = losses::survey(&race, &inputs, &plan);
        let listed = |loss: &Loss| survey.broken.iter().any(|b| b.loss == *loss);
        let mut all = vec![Loss::Flask];
        for station in &race.course.stations[1..race.course.stations.len() - 1] {
            all.extend(station.drop_bag.then_some(Loss::Bag(station.place)));
            all.extend(station.crew.then_some(Loss::Crew(station.place)));
            all.push(Loss::Offers(station.place));
        }
        for loss in all.iter().filter(|loss| !listed(loss)) {
            let now = without(&race, &inputs, &plan, met(loss));
            assert!(fresh(&plan, &now).is_empty(), "{seed}: {loss:?}");
        }
    }
}

#[test]
fn one_flask_less_is_insured_by_a_flask() {
    // about a litre is likely drunk from Moosgatter back: two flasks of 500 ml hold it, one does not,
    // and the smallest flask sold that makes up for it is another of 500 ml
    let mut inputs = demo::hundred_miles();
    inputs.runner.flasks_ml.truncate(2);
    let (race, plan) = prepare(&inputs);
    let survey = losses::survey(&race, &inputs, &plan);
    let flask = survey.broken.iter().find(|b| b.loss == Loss::Flask);
    let flask = flask.expect("a lost flask breaks the plan");
    let kinds = flask.failures.iter().map(|failure| failure.kind.name());
    assert!(kinds.clone().count() > 0 && kinds.clone().all(|kind| kind == "carry-short"));
    let insurance = flask.insurance.as_ref().expect("a flask helps");
    assert_eq!(insurance.flasks, 1);
    assert!(insurance.spares.is_empty());
}

#[test]
fn a_lamp_that_waits_with_the_crew_breaks_the_plan_and_a_spare_saves_it() {
    // by a start in daylight the lamp is first needed at dusk, and waits at the last place before
    let mut inputs = demo::hundred_miles();
    let start = inputs.course.start.as_mut().expect("a start");
    start.value += chrono::Duration::minutes(120);
    inputs.course.mandatory_kit.clear();
    let (race, plan) = prepare(&inputs);
    let takes = plan.packing.pickups.iter();
    let mut takes = takes.filter(|p| p.gear_on.iter().any(|gear| gear == "lamp"));
    let station = takes.next().expect("the lamp is taken up").station;
    assert!(station > 0, "not from the start");
    let place = race.course.stations[station].place;
    let survey = losses::survey(&race, &inputs, &plan);
    let is_there = |loss: &Loss| matches!(loss, Loss::Bag(at) | Loss::Crew(at) if *at == place);
    let lost = survey
        .broken
        .iter()
        .find(|b| is_there(&b.loss) && b.failures.iter().any(|f| f.kind.name() == "gear-lost"));
    let lost = lost.expect("without it the plan is broken");
    let insurance = lost.insurance.as_ref().expect("a spare helps");
    let mut spares = insurance.spares.iter();
    let spare = spares.find(|spare| spare.gear.iter().any(|gear| gear == "lamp"));
    let spare = spare.expect("a spare lamp");
    assert!(spare.station <= station);
    // not where it was lost
    let there = race.course.stations[spare.station].place == place;
    match lost.loss {
        Loss::Bag(_) => assert!(!there || spare.source != Source::Bag),
        _ => assert!(!there || spare.source != Source::Crew),
    }
}

/// Without jacket, phone or kit that the organiser demands nobody goes on: each is tried, whether
/// the gear list has it or the race alone.
#[test]
fn jacket_phone_and_mandatory_kit_are_tried() {
    let mut inputs = demo::hundred_miles();
    let kit = ["whistle", "bivvy bag"].map(str::to_owned);
    inputs.course.mandatory_kit = kit.clone().map(Spanned::unwritten).to_vec();
    let (race, plan) = prepare(&inputs);
    let survey = losses::survey(&race, &inputs, &plan);
    for name in ["rain jacket", "phone", "whistle", "bivvy bag"] {
        let lost = Loss::Item(name.to_owned());
        let broken = survey.broken.iter().find(|breaks| breaks.loss == lost);
        let broken = broken.unwrap_or_else(|| panic!("{name} is tried and breaks the plan"));
        let says = broken.failures[0].says.show(sutler::units::Units::Metric);
        let demanded = kit.iter().any(|one| one == name);
        assert_eq!(says.contains("race rules may stop you"), demanded, "{says}");
    }
    let cup = Loss::Item("cup".to_owned());
    assert!(survey.broken.iter().all(|breaks| breaks.loss != cup));
}
