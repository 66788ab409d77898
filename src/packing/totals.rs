//! The energy and the sodium of everything that is packed, beside what is spent and needed.

use crate::findings::{About, Finding, FindingKind, Weight};
use crate::fueling::needs::{LEAST_EATEN_SHARE, LEAST_ENERGY_KCAL_PER_H};
use crate::inputs::pantry_csv::FoodKind;
use crate::units::Phrase;

use super::choose::CARBS_BAND;
use super::given::Given;
use super::meals::Supply;
use super::menu::Feeding;

/// Races up to this are run on little food, hours.
const LONG_H: f64 = 3.0;
/// Sodium that differs from the need by this share and by so much is said, milligrams.
const SODIUM_SHARE: f64 = 0.15;
const SODIUM_MG: f64 = 300.0;

/// With so much of the carbohydrate that is needed it is the need that is small, not what is
/// packed.
const MET_SHARE: f64 = 0.9;

/// Findings of the totals; nothing where no food is chosen.
pub(super) fn findings(given: &Given<'_>, day: &Feeding<'_>) -> Vec<Finding> {
    let needs = &given.fueling.segments;
    let hours: f64 = needs.iter().map(|need| need.hours).sum();
    if hours <= 0.0 {
        return Vec::new();
    }
    let spent_kcal: f64 = needs.iter().map(|need| need.energy_kcal).sum();
    if day.stores.pantry.is_empty() {
        return Vec::new();
    }
    let packed =
        |of: fn(&Supply) -> f64| -> f64 { day.meals.iter().map(|meal| of(&meal.supply)).sum() };
    let packed_kcal = packed(|supply| supply.energy_kcal);
    let needed_g: f64 = needs.iter().map(|need| need.carbs_g).sum();
    let packed_g = packed(|supply| supply.carbs_g);
    let way = if packed_g >= MET_SHARE * needed_g {
        "train the gut: 10 g/h more carbohydrate a week on long runs".to_owned()
    } else {
        format!(
            "the plan asks for {:.0} g/h of carbohydrate and {:.0} is packed: more of your own food \
             in pockets, bags or with the crew, more flasks of mix, or the offers of stations that \
             are not known yet",
            needed_g / hours,
            packed_g / hours
        )
    };
    let mut findings = energy(packed_kcal, spent_kcal, hours, way);
    let needed_mg: f64 = needs.iter().map(|need| need.sodium_mg).sum();
    findings.extend(sodium(
        packed(|supply| supply.sodium_mg),
        needed_mg,
        has_salt(day),
    ));
    findings
}

/// Energy eaten beside energy spent, kilocalories.
fn energy(eaten_kcal: f64, spent_kcal: f64, hours: f64, way: String) -> Vec<Finding> {
    let mut findings = Vec::new();
    let about = About::Race;
    let per_h = eaten_kcal / hours;
    let least = LEAST_ENERGY_KCAL_PER_H.min(LEAST_EATEN_SHARE * spent_kcal / hours);
    if per_h < (1.0 - CARBS_BAND) * least && hours > LONG_H {
        let says = Phrase::new(format!(
            "packed food gives {per_h:.0} kcal/h, less than the {least:.0} usual in ultra races"
        ));
        let finding = Finding::new(FindingKind::EnergyLow, Weight::Warning, about, says);
        findings.push(finding.way_out(Phrase::new(way)));
    }
    let of = format!("packed food gives {eaten_kcal:.0} of about {spent_kcal:.0} kcal burned");
    findings.push(if eaten_kcal <= spent_kcal {
        let says = Phrase::new(format!("{of}; a deficit is normal, do not try to close it"));
        Finding::new(FindingKind::EnergyDeficit, Weight::Note, about, says)
    } else {
        let says = Phrase::new(format!("{of}: more than you burn"));
        let finding = Finding::new(FindingKind::EnergySurplus, Weight::Warning, about, says);
        finding.way_out(Phrase::new("plan fewer grams of carbohydrate an hour"))
    });
    findings
}

/// True where any salt is packed as such.
fn has_salt(day: &Feeding<'_>) -> bool {
    let mut picks = day.meals.iter().flat_map(|meal| &meal.picks);
    picks.any(|pick| day.stores.pantry[pick.food].kind == FoodKind::Salt)
}

/// Sodium packed beside sodium needed, milligrams, where the two differ.
fn sodium(packed_mg: f64, needed_mg: f64, has_salt: bool) -> Option<Finding> {
    let off_mg = (packed_mg - needed_mg).abs();
    (off_mg > SODIUM_MG && off_mg > SODIUM_SHARE * needed_mg).then(|| {
        let says = format!(
            "packed food and drink hold {packed_mg:.0} mg of sodium, {needed_mg:.0} mg is needed"
        );
        let kind = FindingKind::SodiumPacked;
        let finding = Finding::of_race(kind, Weight::Note, Phrase::new(says));
        match packed_mg > needed_mg {
            true => finding.way_out(Phrase::new(if has_salt {
                "take no salt beyond what is packed"
            } else {
                "take no extra salt"
            })),
            false => finding,
        }
    })
}
