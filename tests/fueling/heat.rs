//! Indices of heat and cold against pictures, formulas and libraries.

use sutler::conditions::wind_chill_c;
use sutler::fueling::heat::{
    ColdBand, Flag, HeatIndexBand, heat_index_c, heat_index_f, vapour_pressure_hpa, wbgt_shade_c,
    wbgt_sun_c, wet_bulb_c,
};

use crate::support::reference::rows;

/// Charts print whole degrees.
const CHART_TOLERANCE: f64 = 0.5;
/// Tables computed from a formula print hundredths.
const FORMULA_TOLERANCE: f64 = 0.01;
/// The Bureau's rows were computed with rounded vapour pressure.
const WBGT_TOLERANCE_C: f64 = 0.02;
/// Between two implementations of one formula that round its coefficients and units alike.
const LIBRARY_TOLERANCE_C: f64 = 0.02;
/// Stull gives -1.0 to +0.65 K for his fit against a psychrometer; the library's thermodynamic wet
/// bulb is another 0.2 K away in warm dry air.
const STULL_ERROR_C: (f64, f64) = (-1.2, 0.85);

#[test]
fn heat_index_meets_chart_and_equations() {
    for row in rows("fueling_heat_index.csv") {
        let ours = heat_index_f(row.number("temp_f"), row.number("humidity_pct"));
        row.assert_near("algorithm", ours, FORMULA_TOLERANCE);
        if row.maybe("chart").is_some() {
            row.assert_near("chart", ours, CHART_TOLERANCE);
        }
    }
}

#[test]
fn wind_chill_meets_chart_and_formula() {
    for row in rows("fueling_wind_chill.csv") {
        let ours = wind_chill_c(row.number("temp_c"), row.number("wind_kmh")).unwrap();
        row.assert_near("chart", ours, CHART_TOLERANCE);
        row.assert_near("formula", ours, FORMULA_TOLERANCE);
    }
}

#[test]
fn wind_chill_is_not_given_where_it_is_not_defined() {
    assert_eq!(wind_chill_c(10.1, 30.0), None);
    assert_eq!(wind_chill_c(-10.0, 4.0), None);
}

#[test]
fn wbgt_meets_the_bureau_s_approximation() {
    for row in rows("fueling_wbgt.csv") {
        let (temp_c, rh) = (row.number("temp_c"), row.number("humidity_pct"));
        row.assert_near(
            "vapour_hpa",
            vapour_pressure_hpa(temp_c, rh),
            WBGT_TOLERANCE_C,
        );
        row.assert_near("wbgt_c", wbgt_sun_c(temp_c, rh), WBGT_TOLERANCE_C);
    }
}

#[test]
fn wet_bulb_meets_stull() {
    for row in rows("fueling_wet_bulb.csv") {
        let (temp_c, rh) = (row.number("temp_c"), row.number("humidity_pct"));
        row.assert_near("wet_bulb_c", wet_bulb_c(temp_c, rh), FORMULA_TOLERANCE);
        row.assert_near("wbgt_shade_c", wbgt_shade_c(temp_c, rh), FORMULA_TOLERANCE);
    }
}

#[test]
fn indices_agree_with_libraries() {
    for row in rows("fueling_indices_library.csv") {
        let (temp_c, rh) = (row.number("temp_c"), row.number("humidity_pct"));
        if row.maybe("heat_index_c").is_some() {
            row.assert_near(
                "heat_index_c",
                heat_index_c(temp_c, rh),
                LIBRARY_TOLERANCE_C,
            );
        }
        if row.maybe("wind_chill_c").is_some() {
            let ours = wind_chill_c(temp_c, row.number("wind_kmh")).unwrap();
            row.assert_near("wind_chill_c", ours, LIBRARY_TOLERANCE_C);
        }
        if row.maybe("wbgt_sun_c").is_some() {
            row.assert_near("wbgt_sun_c", wbgt_sun_c(temp_c, rh), LIBRARY_TOLERANCE_C);
        }
    }
}

/// The library solves the psychrometric equations, so this checks Stull's fit with its own error.
#[test]
fn wet_bulb_is_as_near_as_stull_claims() {
    for row in rows("fueling_indices_library.csv") {
        let (temp_c, rh) = (row.number("temp_c"), row.number("humidity_pct"));
        let Some(theirs) = row.maybe("wet_bulb_c") else {
            continue;
        };
        let off = wet_bulb_c(temp_c, rh) - theirs;
        assert!(
            (STULL_ERROR_C.0..=STULL_ERROR_C.1).contains(&off),
            "{row}: off by {off}"
        );
    }
}

/// Without sun the globe adds nothing: the estimate lies between wet bulb and air, and below the
/// one for the sun.
#[test]
fn shade_is_cooler_than_sun() {
    for row in rows("fueling_wbgt.csv") {
        let (temp_c, rh) = (row.number("temp_c"), row.number("humidity_pct"));
        let shade = wbgt_shade_c(temp_c, rh);
        assert!(wet_bulb_c(temp_c, rh) < shade && shade < temp_c, "{row}");
        assert!(shade < wbgt_sun_c(temp_c, rh), "{row}");
    }
}

#[test]
fn bands_start_where_their_publishers_say() {
    for row in rows("fueling_bands.csv") {
        let value = row.number("value");
        let ours = match row.text("scale") {
            "flag" => format!("{:?}", Flag::at(value)),
            "heat" => format!("{:?}", HeatIndexBand::at_f(value)),
            _ => format!("{:?}", ColdBand::at(value)),
        };
        assert_eq!(ours, row.text("band"), "{row}");
    }
}
