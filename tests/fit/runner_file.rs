//! `runner.toml` with figures pack: nothing else in it changes.

use sutler::diagnostics::{Notes, SourceFile, Sources};
use sutler::fit::Fit;
use sutler::inputs::runner_toml;
use sutler::reports::with_pacing;

use super::{days, fitted};
use crate::support::recorded::Runner;

fn fit() -> Fit {
    let mut fit = fitted(days(Runner::USUAL, 0..2));
    fit.own.fade.value = 0.876;
    fit.runs[0].recording.finish_s = 6.04 * 3600.0;
    fit.runs[1].recording.finish_s = 11.5 * 3600.0;
    fit
}

const FIGURES: &str = "\
# Fitted to 2 recordings of 6.0 to 11.5 h, 2026-05-03 to 2026-05-10.
fade = 0.88
stop_multiplier = 1.0
measured_on = 2026-05-10
runs = 2
";

#[track_caller]
fn check(old: &str, expected: &str) {
    let new = with_pacing(old, &fit()).expect("it is TOML");
    assert_eq!(new, expected);
    // a second time changes nothing
    assert_eq!(with_pacing(&new, &fit()).as_deref(), Ok(expected));
    let (file, mut notes) = (SourceFile::new("runner.toml", new), Notes::new());
    let id = Sources::default().add(file.clone());
    let runner = runner_toml::read(&file, id, &mut notes);
    assert!(notes.is_empty(), "{notes:?}");
    let pacing = runner.pacing;
    let values = [pacing.fade, pacing.stop_multiplier];
    let expected = [0.88, 1.0].map(Some);
    assert_eq!(values.map(|v| v.map(|v| v.value)), expected);
}

#[test]
fn an_empty_file_gets_the_section_alone() {
    check("", &format!("[pacing]\n{FIGURES}"));
}

#[test]
fn a_missing_section_is_added_after_everything() {
    let old = "# me\nmass_kg = 64\n\n[carry]\nfood_g = 600\n\n# the last word\n# fade = 1.0\n";
    check(old, &format!("{old}\n[pacing]\n{FIGURES}"));
    check(
        "mass_kg = 64 # no line end",
        &format!("mass_kg = 64 # no line end\n\n[pacing]\n{FIGURES}"),
    );
}

#[test]
fn values_change_and_all_around_them_stays() {
    check(
        "# top\n\n[pacing] # mine\n# Fitted to 1 recording of 5.0 h.\n\
         fade    =   1.0   # a guess\n# a cap\ndownhill_cap = 1.2\nclimb_multiplier = 1\n\n[carry]\nfood_g = 600\n",
        "# top\n\n[pacing] # mine\n# Fitted to 2 recordings of 6.0 to 11.5 h, 2026-05-03 to 2026-05-10.\n\
         fade    =   0.88   # a guess\n# a cap\ndownhill_cap = 1.2\nclimb_multiplier = 1\n\
         stop_multiplier = 1.0\nmeasured_on = 2026-05-10\nruns = 2\n\n\
         [carry]\nfood_g = 600\n",
    );
}

#[test]
fn a_section_in_braces_or_of_dotted_keys_stays_one() {
    let figures = "fade = 0.88, \
                   stop_multiplier = 1.0, measured_on = 2026-05-10, runs = 2";
    check(
        "pacing = { fade = 1.0 }\n[carry]\nfood_g = 600\n",
        &format!("pacing = {{ {figures} }}\n[carry]\nfood_g = 600\n"),
    );
    check(
        "pacing.fade = 1.0 # so far\nmass_kg = 64\n",
        "pacing.fade = 0.88 # so far\npacing.stop_multiplier = 1.0\n\
         pacing.measured_on = 2026-05-10\npacing.runs = 2\nmass_kg = 64\n",
    );
}

#[test]
fn what_is_no_section_is_left_alone() {
    assert_eq!(
        with_pacing("pacing = 3\n", &fit()),
        Err("`pacing` is not a section".to_owned())
    );
    assert!(with_pacing("mass_kg = = 3\n", &fit()).is_err());
}
