//! What is packed is what is summed and said, in every report and on every sheet.

use sutler::facts::{CheckFacts, Facts};
use sutler::losses::Survey;
use sutler::pages::{self, CardSize, Wishes};
use sutler::units::Units;

use crate::pages::words;
use crate::support::race::{self, PLANS, Planned};

fn report(facts: &Facts, name: &str) -> String {
    race::report(facts, name, "table")
}

fn page(facts: &Facts, name: &str, size: CardSize) -> Option<String> {
    let page = pages::by_name(name).unwrap();
    let wishes = Wishes {
        size,
        ..Wishes::default()
    };
    (page.has_use)(facts).then(|| words(&page.html(facts, &wishes)))
}

/// Carbohydrate, sodium and energy of what is packed beside the need, counted again from the
/// pick-ups.
#[test]
fn packed_totals_stand_in_every_report_and_on_the_bag_sheet() {
    for plan in PLANS {
        let planned = Planned::shipped(plan);
        let mut facts = planned.facts(Units::Metric);
        let view = planned.view(Units::Metric);
        facts.check = Some(CheckFacts::of(&view, 0, &Survey::default()));
        let pickups = &planned.plans[0].packing.pickups;
        let sums: [f64; 3] = [
            pickups.iter().map(|pickup| pickup.carbs_g.0).sum(),
            pickups.iter().map(|pickup| pickup.sodium_mg.0).sum(),
            pickups.iter().map(|pickup| pickup.energy_kcal).sum(),
        ];
        let [carbs, sodium, energy] = sums.map(|sum| format!("{sum:.0}"));
        let said = [
            format!("{carbs} g of carbohydrate for "),
            format!("{sodium} mg of sodium for "),
            format!("{energy} kcal of "),
        ];
        let mut texts: Vec<(&str, String)> = ["plan", "fuel", "bags", "crew", "splits", "check"]
            .map(|name| (name, report(&facts, name)))
            .into();
        let sheet = page(&facts, "bag-sheet", CardSize::Pocket);
        texts.extend(sheet.map(|text| ("bag-sheet", text)));
        for (name, text) in texts {
            if name == "crew" && text.contains("No meetings") {
                continue;
            }
            for words in &said {
                assert!(text.contains(words), "{plan}, {name}: {words}\n{text}");
            }
        }
    }
}

/// A dose has its hour, and the second of its two gels of 50 mg is taken halfway.
#[test]
fn every_dose_of_caffeine_has_its_hour_on_card_and_crew_sheet() {
    let planned = Planned::shipped(PLANS[0]);
    let facts = planned.facts(Units::Metric);
    let plan = facts.planned().unwrap();
    let pocket = page(&facts, "card", CardSize::Pocket).unwrap();
    let band = page(&facts, "card", CardSize::Wrist).unwrap();
    let sheet = page(&facts, "crew-sheet", CardSize::Pocket).unwrap();
    let (fuel, crew) = (report(&facts, "fuel"), report(&facts, "crew"));
    let doses = plan.body.caffeine_doses.iter();
    let doses: Vec<_> = doses
        .filter_map(|dose| Some((dose, dose.what.as_ref()?)))
        .collect();
    assert!(doses.len() >= 2, "a night has several doses");
    for (dose, what) in doses {
        let on_card = format!("{} {}", dose.at.clock, dose.what.as_deref().unwrap());
        for text in [&pocket, &band] {
            assert!(text.contains(&on_card), "{on_card}\n{text}");
        }
        let in_words = dose.words().unwrap();
        // none is counted twice
        let halfway = in_words.contains("1 halfway");
        assert!(
            !halfway || in_words == "1 caffeine gel on leaving, 1 halfway (100 mg in all)",
            "{in_words}"
        );
        // the crew reads it on a late day too: no clock of the plan
        let on_top = format!("{what} {}", dose.by_plan);
        assert!(sheet.contains(&on_top), "{sheet}");
        assert!(fuel.contains(&in_words), "{in_words}\n{fuel}");
        let met = plan.crew.iter().any(|met| met.number == dose.number);
        let told = dose.told().unwrap();
        assert!(told.contains("by the plan"), "{told}");
        let in_crew = crew.contains(&format!("caffeine: {told}"));
        assert!(!met || (in_crew && sheet.contains(&told)), "{told}\n{crew}");
        let pickup = plan.pickup_at(&dose.number).unwrap();
        assert!(!pickup.eat.contains("caffeine gel"), "{}", pickup.eat);
        assert!(
            pickup
                .watch
                .starts_with(&format!("at {} {what}", dose.at.text)),
            "{}",
            pickup.watch
        );
    }
}

/// Before the light goes out there is a station to put the spare in, said on all that is carried.
#[test]
fn the_next_battery_has_its_place_on_card_sheet_and_gear_report() {
    let mut told = 0;
    for plan in PLANS {
        let planned = Planned::shipped(plan);
        let facts = planned.facts(Units::Metric);
        let pocket = page(&facts, "card", CardSize::Pocket).unwrap();
        let sheet = page(&facts, "crew-sheet", CardSize::Pocket).unwrap();
        let (bags, crew) = (report(&facts, "bags"), report(&facts, "crew"));
        for change in &facts.planned().unwrap().lamp_changes {
            assert!(bags.contains(&change.words), "{bags}");
            assert!(pocket.contains(&format!("Lamp: {}", change.brief)));
            // before the first meeting it is the runner's alone
            let splits = &facts.planned().unwrap().splits;
            let place = |number: &String| splits.iter().position(|split| split.number == *number);
            let met = facts.planned().unwrap().crew.first();
            let met = met.is_some_and(|met| place(&met.number) <= place(&change.number));
            for text in [&sheet, &crew] {
                assert!(!met || text.contains(&change.brief), "{plan}: {text}");
            }
            told += 1;
        }
    }
    // 8 h of lamp in nights of 10 and 13 h; the day race has no night
    assert_eq!(told, 2);
}
