//! Cautions, each with what makes it print. They defer to the race, to authorities and to licensed
//! practitioners, and say nothing that would stand in for them.

use super::surroundings::HIGH_M;
use super::{HighWay, SegmentNeed, cold};
use crate::exposure::Exposure;
use crate::findings::{Caution, CautionKind};
use crate::inputs::RunnerFile;

/// The facts that a caution depends on.
struct CautionBasis<'a> {
    exposures: &'a [Exposure],
    segments: &'a [SegmentNeed],
    high: &'a [HighWay],
    runner: &'a RunnerFile,
}

/// The cases in which a caution is printed.
type Trigger = fn(&CautionBasis<'_>) -> bool;

/// The cautions that apply, those for always first.
pub(super) fn that_apply(
    exposures: &[Exposure],
    segments: &[SegmentNeed],
    high: &[HighWay],
    runner: &RunnerFile,
) -> Vec<Caution> {
    let seen = CautionBasis {
        exposures,
        segments,
        high,
        runner,
    };
    TABLE
        .iter()
        .filter(|(holds, _)| holds(&seen))
        .map(|(_, caution)| *caution)
        .collect()
}

/// Every caution there is, those for always first.
pub fn all_cautions() -> impl Iterator<Item = Caution> {
    TABLE.iter().map(|(_, caution)| *caution)
}

/// Every caution with what makes it print, those for always first.
///
/// Sources: low blood sodium, muscle breakdown and flags in a runner's history: McDermott and
/// others 2017 (J. Athl. Train. 52:877); mass at the finish: Hoffman and others 2013 (Med. Sci.
/// Sports Exerc. 45:784) and Hoffman, Goulet and Maughan 2018; painkillers: Lipman and others 2017
/// (Emerg. Med. J. 34:637); heat: Roberts and others 2021 (Curr. Sports Med. Rep.), DeMartini and
/// others 2015 (Med. Sci. Sports Exerc.), American College of Sports Medicine flags; a stomach that
/// turns: common practice, no source; cold: American College of Sports Medicine 2006, Wilderness
/// Medical Society 2019; height: Wilderness Medical Society 2019 (Luks and others, Wilderness
/// Environ. Med. 30:S3, from memory); frost: common practice, and for frostbite Wilderness Medical
/// Society 2019 (McIntosh and others, Wilderness Environ. Med. 30:S19, from memory); caffeine: European Food Safety Authority 2015; lightning:
/// Davis and others 2014 (Wilderness Environ. Med. 25:S86).
const TABLE: &[(Trigger, Caution)] = &[
    caution(
        always,
        CautionKind::EstimatesOnly,
        "always",
        "These are estimates for planning, not measurements and not medical advice. Race \
               rules, race officials, local authorities and licensed practitioners come before \
               them. Test every number on long runs first.",
    ),
    caution(
        always,
        CautionKind::OverDrinking,
        "always",
        "Thirst overrides the plan: drink less than planned when not thirsty, and never force \
               down what was missed. Weighing as much as at the start or more means too much fluid: \
               stop drinking and ask the medical crew. Salt does not make more drinking safe.",
    ),
    caution(
        always,
        CautionKind::LowBloodSodium,
        "always",
        "A headache that gets worse, bloating, swollen hands, vomiting, confusion or a seizure \
               can be low blood sodium: call for medical help at once, and give no water. Heat \
               stroke and low blood sugar look alike and can come with it; let medical staff tell \
               them apart.",
    ),
    caution(
        always,
        CautionKind::MassLoss,
        "always",
        "Being 2 to 5 % lighter at the end of a very long race can be normal. A loss does not \
               rule out low blood sodium: more than a third of the runners who had it in one study \
               had lost over 3 %.",
    ),
    caution(
        always,
        CautionKind::Painkillers,
        "always",
        "Take no ibuprofen or other anti-inflammatory painkiller before or during the race: \
               in one trial more runners on it had kidney injury (52 against 34 of 100, a trend). \
               Ask a doctor or pharmacist about any medicine.",
    ),
    caution(
        always,
        CautionKind::MuscleBreakdown,
        "always",
        "Very dark urine, or severe muscle pain or swelling: stop and get checked by medical \
               staff. Overdrinking and drying out both raise the risk.",
    ),
    caution(
        always,
        CautionKind::StomachTurns,
        "always",
        "When the stomach turns: slow down or walk first, and take nothing for a quarter \
               of an hour; then sips of plain water, then sips of cola or broth, then small bites \
               of something bland, and run again once it stays down. Vomiting that does not end, \
               blood, black stool, strong belly pain or fainting: medical help at once.",
    ),
    caution(
        |seen| seen.wbgt_reaches(|c| c >= 23.0),
        CautionKind::HeatIllness,
        "estimated wet-bulb globe temperature 23 °C or more",
        "Slow down, use shade, ice and wet clothing; drinking more does not replace that. \
               Someone confused or collapsed in the heat may have heat stroke: call for help, cool \
               first and fast, in cold water where there is some. Follow what race officials decide \
               about starting, shortening or stopping.",
    ),
    caution(
        |seen| seen.wbgt_reaches(|c| c > 28.0),
        CautionKind::ExtremeHeat,
        "estimated wet-bulb globe temperature above 28 °C",
        "At this level races are called off or runners are advised not to start. No plan for \
               drinking makes it safe; starting another day is a good result.",
    ),
    caution(
        |seen| seen.is_chilling(),
        CautionKind::Cold,
        "wind chill at freezing or below, rain with a cold wind, or a cold night at a walk",
        "Wet, wind and slow going together chill runners within the hour, more so once they \
               stop. Carry shell, warm layer, hat and gloves whatever the forecast, and all of the \
               mandatory kit; keep eating. Stumbling, mumbling or shivering that will not stop: get \
               out of the wind, insulate from the ground, call for help.",
    ),
    caution(
        |seen| seen.segments.iter().any(|need| need.frost_c().is_some()),
        CautionKind::Frost,
        "air of -5 °C or colder",
        "Skin that turns white, grey, hard or numb is freezing: cover it at once, warm \
               it in an armpit or under a dry layer, never rub it or hold it to a flame, and get \
               inside. Skin that does not come back needs medical help; do not thaw what may \
               freeze again. Wet gloves and socks freeze first: have dry ones.",
    ),
    caution(
        |seen| seen.is_high(),
        CautionKind::Altitude,
        "the route goes above 2500 m",
        "Headache, nausea, dizziness or poor sleep up high can be mountain sickness: stop \
               climbing, and go down if it gets worse. Stumbling, confusion, or breathlessness at rest \
               are an emergency: go down at once, and call for help. Cold, sun and thirst are stronger \
               up there. Ask a physician before the race about heart, lungs, pregnancy and medicines.",
    ),
    caution(
        |seen| seen.segments.iter().any(|s| s.caffeine_mg > 0.0),
        CautionKind::Caffeine,
        "caffeine is planned",
        "No more than 200 mg at once and 400 mg in 24 hours from all sources, cola, tea, \
               coffee and gels included; 200 mg a day in pregnancy or breast-feeding, about 3 mg \
               per kilogram a day under 18. It can disturb sleep for hours. With palpitations, \
               chest pain, heart disease or medicines, take none before a doctor agrees.",
    ),
    caution(
        |seen| {
            seen.forecast().any(|w| w.thunder) || seen.high.iter().any(|way| way.storms.is_some())
        },
        CautionKind::Thunderstorm,
        "storms are forecast, or an afternoon on high ground",
        "If you hear thunder, lightning is near: leave ridges, summits, lone trees and \
                   open ground, go to a building or a closed car, and wait. Officials may stop the \
                   race; no cutoff is worth a ridge in a storm.",
    ),
    caution(
        |seen| !seen.runner.conditions.is_empty(),
        CautionKind::HealthConditions,
        "the runner file names a health condition",
        "With diabetes, kidney or heart disease, high blood pressure, sickle cell trait, \
               pregnancy, or medicines that act on fluid, salt, heart or sleep, these general rates \
               may be wrong or harmful. Use only a plan agreed with your own physician.",
    ),
    caution(
        |seen| seen.runner.age_years.is_some_and(|age| age.value > 50.0),
        CautionKind::AgeOver50,
        "the runner is over 50",
        "Past 50, thirst is a weaker signal and kidneys are slower with both water and \
                   salt. Compare body mass before and after long runs, and talk the plan over with \
                   a physician.",
    ),
    caution(
        |seen| seen.runner.age_years.is_some_and(|age| age.value < 18.0),
        CautionKind::Minor,
        "the runner is under 18",
        "These rates are for adults. A runner under 18 needs a plan agreed with a \
                   physician and a parent or guardian, and a race whose rules admit minors.",
    ),
];

const fn caution(
    holds: Trigger,
    kind: CautionKind,
    when: &'static str,
    text: &'static str,
) -> (Trigger, Caution) {
    (holds, Caution { kind, when, text })
}

fn always(_: &CautionBasis<'_>) -> bool {
    true
}

impl CautionBasis<'_> {
    fn forecast(&self) -> impl Iterator<Item = crate::conditions::Weather> {
        let steps = self.exposures.iter().flat_map(Exposure::steps);
        steps.filter_map(|step| step.weather)
    }

    fn wbgt_reaches(&self, level: fn(f64) -> bool) -> bool {
        let mut known = self.segments.iter().filter_map(|s| s.wbgt_c);
        known.any(level)
    }

    fn is_chilling(&self) -> bool {
        let unknown_night = |e: &Exposure| {
            let known = e.steps().all(|step| step.weather.is_some());
            !known && e.dark_share > 0.0 && e.walk_share > 0.5
        };
        let exposures = self.exposures;
        exposures
            .iter()
            .any(|e| cold::is_felt(e) || unknown_night(e))
    }

    fn is_high(&self) -> bool {
        let mut steps = self.exposures.iter().flat_map(Exposure::steps);
        steps.any(|step| step.elevation_m >= HIGH_M)
    }
}
