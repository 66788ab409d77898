//! From sweat and time to what to plan for: fluid, sodium, carbohydrate and protein per hour.
//! Published rates with the limits that must hold whatever anybody asks for.

use super::energy::KCAL_PER_G_CARB_OR_PROTEIN;
use crate::inputs::runner_toml::GutTraining;

/// Fluid above this rate gets a warning, L/h: the upper end for ultra races (Tiller and others
/// 2019, 450 to 750 ml/h) and near the most that stomachs were measured to empty in running (0.72
/// to 0.74 L/h, Lambert and others 2008, year from memory).
pub const WARN_FLUID_L_PER_H: f64 = 0.75;
/// The most fluid planned for anybody, L/h (our choice): a third more than stomachs were measured
/// to empty in running, whatever was measured or rehearsed.
pub const MOST_FLUID_L_PER_H: f64 = 1.0;
/// Own figures that ask for more than this are refused, L/h (our choice): near the rates at which
/// drinking is by itself a risk for low blood sodium (1.5 L/h, Rosner and Kirven 2007).
pub const REFUSED_FLUID_L_PER_H: f64 = 1.2;
/// Share of body mass that likely goes as water: half of the 2 % that are to be avoided (Sawka and
/// others 2007, Med. Sci. Sports Exerc. 39:377). With burned fuel and the water of glycogen a long
/// race then ends about 3 % lighter, as finishers of 161 km do whatever their drinking (2.0 to 3.1
/// %, Hoffman and Stuempfle 2014, Res. Sports Med.).
pub const WATER_DEFICIT_SHARE: f64 = 0.01;
/// Water set free with glycogen over a long race, litres: the middle of what Hoffman, Goulet and
/// Maughan 2018 (Sports Med. 48:243, volume from memory) use.
pub const GLYCOGEN_WATER_L: f64 = 0.8;
/// Share of sweat that people replace who drink as they like (McDermott and others 2017).
pub const FREELY_DRUNK_SHARE: f64 = 0.67;

/// Urine that a body passes whatever it lacks, litres per kilogram and hour: less than 0.5 ml is
/// too little (Kidney Disease: Improving Global Outcomes 2012, from memory).
pub const URINE_L_PER_KG_H: f64 = 0.0005;

/// Fluid to plan for, litres per hour: `min(S, max(0.67 S, S + U - (0.01 m + 0.8) / T))`.
///
/// Water lost by sweat and urine, less a water deficit of 1 % of body mass and the water that
/// glycogen sets free, spread over the race, but not less than people drink by thirst, and never
/// more than is sweated. The water that goes with breath is what burning fuel makes (Cheuvront and
/// Montain 2017). Thirst decides below it. The combination is ours, the parts are published: see
/// [`WATER_DEFICIT_SHARE`], [`GLYCOGEN_WATER_L`], [`FREELY_DRUNK_SHARE`], [`URINE_L_PER_KG_H`].
///
/// # Units
/// Sweat and urine in L/h, body mass in kg, the whole race in hours.
///
/// ```
/// use sutler::fueling::needs::fluid_l_per_h;
/// // 0.60 less 1.5 L over 10 h, and the urine of 70 kg
/// assert!((fluid_l_per_h(0.60, 0.035, 70.0, 10.0) - 0.485).abs() < 1e-9);
/// ```
#[must_use]
pub fn fluid_l_per_h(sweat_l_per_h: f64, urine_l_per_h: f64, mass_kg: f64, race_h: f64) -> f64 {
    let spare_l = WATER_DEFICIT_SHARE * mass_kg + GLYCOGEN_WATER_L;
    (sweat_l_per_h + urine_l_per_h - spare_l / race_h)
        .max(FREELY_DRUNK_SHARE * sweat_l_per_h)
        .min(sweat_l_per_h)
}

/// Milligrams in a millimole of sodium (standard atomic weight 22.990, IUPAC).
pub const MG_PER_MMOL_SODIUM: f64 = 22.990;
/// Sodium in sweat where nobody measured it, mg/L: 40 mmol/L, what Barnes and others 2019 (J.
/// Sports Sci., 1303 athletes) comes to for endurance.
pub const SWEAT_SODIUM_MG_PER_L: f64 = 920.0;
/// Sodium to plan with each litre of fluid, mg/L: inside 460 to 690 (20 to 30 mmol/L; ACSM 2007)
/// and above 575 (Tiller and others 2019 for ultras).
pub const DRINK_SODIUM_MG_PER_L: f64 = 600.0;
/// Range of sodium per litre for those with measured sweat, mg/L: the low end of ACSM 2007 and the
/// high end of the German Nutrition Society (Mosler and others 2020, 400 to 1100).
pub const DRINK_SODIUM_RANGE_MG_PER_L: (f64, f64) = (460.0, 1100.0);

/// Sodium to plan with each litre of fluid, mg/L: [`DRINK_SODIUM_MG_PER_L`], and in proportion for
/// someone whose own sweat was measured, within [`DRINK_SODIUM_RANGE_MG_PER_L`].
///
/// Salt does not allow more drinking and does not prevent low blood sodium.
#[must_use]
pub fn drink_sodium_mg_per_l(own_sweat_sodium_mg_per_l: Option<f64>) -> f64 {
    let (low, high) = DRINK_SODIUM_RANGE_MG_PER_L;
    own_sweat_sodium_mg_per_l.map_or(DRINK_SODIUM_MG_PER_L, |own| {
        (DRINK_SODIUM_MG_PER_L * own / SWEAT_SODIUM_MG_PER_L).clamp(low, high)
    })
}

/// The most carbohydrate planned for anybody, g/h (Thomas, Erdman and Burke 2016; Jeukendrup 2014:
/// up to 90).
pub const MOST_CARBS_G_PER_H: f64 = 90.0;
/// The most of the energy spent that is planned to be eaten (our choice): 20 of 55 MJ were eaten in
/// races over 24 hours (Costa and others 2014), and fat in food comes on top of what is planned.
pub const MOST_EATEN_SHARE: f64 = 0.85;

/// Carbohydrate by how well the gut is trained, g/h: the rate to plan and the highest that such a
/// gut is expected to bear.
///
/// Untrained 40 of 30 to 50 (Tiller and others 2019), some training 60 of 50 to 70, trained 75 of
/// 60 to 90, glucose and fructose about 2:1 (Jeukendrup 2014; Costa and others 2017).
#[must_use]
pub fn carbs_for_gut_g_per_h(gut: GutTraining) -> (f64, f64) {
    match gut {
        GutTraining::Untrained => (40.0, 50.0),
        GutTraining::Some => (60.0, 70.0),
        GutTraining::Trained => (75.0, 90.0),
    }
}

/// The highest carbohydrate rate worth planning by how long the race is, g/h: none below 45
/// minutes, little to 75, 60 to two and a half hours, then [`MOST_CARBS_G_PER_H`] (Thomas, Erdman
/// and Burke 2016).
#[must_use]
pub fn carbs_for_duration_g_per_h(race_h: f64) -> f64 {
    match race_h {
        h if h < 0.75 => 0.0,
        h if h < 1.25 => 30.0,
        h if h <= 2.5 => 60.0,
        _ => MOST_CARBS_G_PER_H,
    }
}

/// The carbohydrate rate that is planned when one is asked for, g/h: no more than
/// [`MOST_CARBS_G_PER_H`], and with the protein no more energy than [`MOST_EATEN_SHARE`] of what is
/// spent.
#[must_use]
pub fn carbs_allowed_g_per_h(
    asked_g_per_h: f64,
    protein_g_per_h: f64,
    spent_kcal_per_h: f64,
) -> f64 {
    let eaten_g_per_h = MOST_EATEN_SHARE * spent_kcal_per_h / KCAL_PER_G_CARB_OR_PROTEIN;
    asked_g_per_h
        .min(MOST_CARBS_G_PER_H)
        .min(eaten_g_per_h - protein_g_per_h)
        .max(0.0)
}

/// Protein, g/h: the middle of 5 to 10 for ultra races (Tiller and others 2019), none below four
/// hours (our choice).
#[must_use]
pub fn protein_g_per_h(race_h: f64) -> f64 {
    if race_h < 4.0 { 0.0 } else { 7.5 }
}

/// Planned energy below this for hours on end gets a warning, kcal/h: the lower end of 150 to 400
/// (Tiller and others 2019). Runners of 24 hours ate 199 with a standard deviation of 119 (20 and
/// 12 MJ; Costa and others 2014), so it is where to look, and no limit.
pub const LEAST_ENERGY_KCAL_PER_H: f64 = 150.0;
/// The same as a share of what is spent, for who spends little: 20 of 55 MJ (Costa and others
/// 2014).
pub const LEAST_EATEN_SHARE: f64 = 20.0 / 55.0;
