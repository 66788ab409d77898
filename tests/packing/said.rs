//! What is packed is what is summed and said, in every report and on every sheet.

use sutler::facts::Facts;
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
fn packed_totals_stand_in_every_report_and_on_every_sheet() {
    for plan in PLANS {
        let planned = Planned::shipped(plan);
        let facts = planned.facts(Units::Metric);
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
        let mut texts: Vec<(&str, String)> = ["plan", "fuel", "bags", "crew", "splits"]
            .map(|name| (name, report(&facts, name)))
            .into();
        for name in ["card", "crew-sheet", "bag-sheet"] {
            texts.extend(page(&facts, name, CardSize::Pocket).map(|text| (name, text)));
        }
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

/// A dose has its hour, and its second gel is taken halfway.
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
        let on_card = format!("{} {}", dose.at.clock, dose.brief.as_deref().unwrap());
        for text in [&pocket, &band] {
            assert!(text.contains(&on_card), "{on_card}\n{text}");
        }
        let in_words = dose.words().unwrap();
        assert!(
            sheet.contains(&in_words) && sheet.contains(&dose.at.clock),
            "{sheet}"
        );
        assert!(fuel.contains(&in_words), "{in_words}\n{fuel}");
        let met = plan.crew.iter().any(|met| met.number == dose.number);
        let told = format!("caffeine: {in_words} {} (plan {})", dose.when, dose.at.text);
        assert_eq!(crew.contains(&told), met, "{told}\n{crew}");
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
