//! `record.toml` with one more run: what stands in it already stays as it is.

use toml_edit::{Array, DocumentMut, Value};

use crate::diagnostics::{Notes, Severity, SourceFile, Sources};
use crate::inputs::RunRecord;
use crate::inputs::record_toml::{self, PacingSeen, Tested};

use super::parts;

/// The first lines of a new record.
const HEAD: &str = "\
# What each long run showed, one [[run]] each. `sutler debrief` adds them; `sutler check` and
# `sutler plan` read them. They may be edited by hand: leave out what nobody measured.
# Figures that end in _uncertainty are one standard deviation.
";

/// The text of a record with one more run at its end.
///
/// # Errors
/// In words, where the text is no record that can be added to.
pub fn with_run(text: &str, run: &RunRecord) -> Result<String, String> {
    let before = match text.trim_end() {
        "" => HEAD.trim_end(),
        kept => kept,
    };
    let new = format!("{before}\n\n{}", entry(run));
    // a record that cannot be read again would stop every plan
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let file = SourceFile::new("record.toml", new.as_str());
    record_toml::read(&file, sources.add(file.clone()), &mut notes);
    let error = (notes.all().iter()).find(|note| note.severity == Severity::Error);
    match error {
        Some(error) => Err(error.message.clone()),
        None => Ok(new),
    }
}

/// The text of a record without one of its runs.
///
/// # Errors
/// In words, where the text is no record or does not hold the run.
pub fn without_run(text: &str, run: &RunRecord) -> Result<String, String> {
    let mut document = parts::toml(text)?;
    let runs = runs(&mut document)?;
    let of = |own: &toml_edit::Table, key: &str| own.get(key).map(|item| item.to_string());
    let date = run.date.to_string();
    let is_it = |own: &toml_edit::Table| {
        let name = own.get("name").and_then(|name| name.as_str());
        let print = own.get("fingerprint").and_then(|print| print.as_str());
        of(own, "date").is_some_and(|own| own.trim() == date)
            && name == Some(&run.name.value)
            && print == run.fingerprint.as_deref()
    };
    let at = runs.iter().position(is_it).ok_or("the run is not in it")?;
    runs.remove(at);
    Ok(document.to_string())
}

/// The text of a record in which one run keeps lines of `runner.toml` that it replaced.
///
/// # Errors
/// In words, where the text is no record or does not hold the run.
pub fn with_replaced(text: &str, fingerprint: &str, lines: &[String]) -> Result<String, String> {
    let mut document = parts::toml(text)?;
    let runs = runs(&mut document)?;
    let run = runs
        .iter_mut()
        .find(|run| run.get("fingerprint").and_then(|f| f.as_str()) == Some(fingerprint))
        .ok_or("the run is not in it")?;
    let mut kept = run
        .get("replaced")
        .and_then(|item| item.as_array())
        .cloned()
        .unwrap_or_default();
    for line in lines {
        if !kept.iter().any(|old| old.as_str() == Some(line)) {
            kept.push(line.as_str());
        }
    }
    if !kept.is_empty() {
        run.insert("replaced", toml_edit::value(kept));
    }
    Ok(document.to_string())
}

fn runs(record: &mut DocumentMut) -> Result<&mut toml_edit::ArrayOfTables, String> {
    let runs = record.get_mut("run");
    let runs = runs.and_then(|item| item.as_array_of_tables_mut());
    runs.ok_or_else(|| "there is no run in it".to_owned())
}

fn entry(run: &RunRecord) -> String {
    let mut lines = RecordLines(vec!["[[run]]".to_owned()]);
    lines.raw("date", &run.date.to_string());
    lines.text("name", Some(&run.name.value));
    lines.text("recording", run.recording.as_ref());
    lines.text("fingerprint", run.fingerprint.as_ref());
    lines.text("time", Some(&run.time.to_seconds_text()));
    lines.number("stopped_min", Some(run.stopped_s / 60.0), 1);
    lines.number("stops", run.stops.map(f64::from), 0);
    way_and_sky(&mut lines, run);
    body_and_intake(&mut lines, run);
    lines.number("stomach", run.stomach, 1);
    lines.list("hot_spots", run.hot_spots.iter().map(String::as_str));
    let names = Tested::NAMES.iter();
    lines.list(
        "tested",
        names
            .filter(|(_, one)| run.tested.contains(one))
            .map(|(name, _)| *name),
    );
    lines.list("replaced", run.replaced.iter().map(String::as_str));
    for food in &run.foods {
        lines.0.push("\n[[run.food]]".to_owned());
        lines.text("name", Some(&food.name.value));
        lines.number("servings", Some(food.servings), 2);
        lines.number("most_in_3h", food.most_in_3h, 2);
        if food.refused {
            lines.raw("refused", "true");
        }
    }
    for gear in &run.gear {
        lines.0.push("\n[[run.gear]]".to_owned());
        lines.text("name", Some(&gear.name.value));
        let names = crate::inputs::gear_csv::GearRule::NAMES.iter();
        let met = names.filter(|(_, rule)| gear.met.contains(rule));
        lines.list("met", met.map(|(name, _)| *name));
        lines.text("note", gear.note.as_ref());
    }
    pacing(&mut lines, &run.pacing);
    lines.0.join("\n") + "\n"
}

fn way_and_sky(lines: &mut RecordLines, run: &RunRecord) {
    let ground = &run.ground;
    lines.number("distance_km", ground.distance_m.map(|m| m / 1000.0), 2);
    lines.number("climb_m", ground.climb_m, 0);
    lines.number("descent_m", ground.descent_m, 0);
    lines.number("longest_climb_m", ground.longest_climb_m, 0);
    lines.number("longest_descent_m", ground.longest_descent_m, 0);
    lines.number("steepest_climb_pct", ground.steepest_climb_pct, 0);
    lines.number("steepest_descent_pct", ground.steepest_descent_pct, 0);
    let sky = &run.sky;
    lines.number("temp_c", sky.temp_c, 1);
    lines.number("humidity_pct", sky.humidity_pct, 0);
    lines.number("wind_kmh", sky.wind_kmh, 0);
    lines.number("rain_mm_per_h", sky.rain_mm_per_h, 1);
    lines.number("dark_min", sky.dark_s.map(|s| s / 60.0), 0);
}

fn body_and_intake(lines: &mut RecordLines, run: &RunRecord) {
    let body = &run.body;
    lines.number("mass_before_kg", body.before_kg, 2);
    lines.number("mass_after_kg", body.after_kg, 2);
    lines.number("scale_resolution_kg", body.scale_resolution_kg, 3);
    lines.number("urine_ml", body.urine_ml, 0);
    lines.number("energy_kcal_per_h", body.energy_kcal_per_h, 0);
    lines.number("sweat_l_per_h", body.sweat_l_per_h, 3);
    lines.number(
        "sweat_uncertainty_l_per_h",
        body.sweat_uncertainty_l_per_h,
        3,
    );
    let intake = &run.intake;
    lines.number("drank_ml", intake.drank_ml, 0);
    lines.number("food_water_ml", intake.food_water_ml, 0);
    lines.number("eaten_g", intake.eaten_g, 0);
    lines.number("sodium_mg", intake.sodium_mg, 0);
    lines.number("carbs_g", intake.carbs_g, 1);
    lines.number("caffeine_mg", intake.caffeine_mg, 0);
}

fn pacing(lines: &mut RecordLines, seen: &PacingSeen) {
    if seen.fade.is_some() {
        lines.0.push("\n[run.pacing]".to_owned());
    }
    lines.number("fade", seen.fade, 3);
    lines.number("fade_uncertainty", seen.fade_uncertainty, 3);
}

/// Lines of an entry; what is `None` or empty has none.
struct RecordLines(Vec<String>);

impl RecordLines {
    fn raw(&mut self, key: &str, value: &str) {
        self.0.push(format!("{key} = {value}"));
    }

    fn text(&mut self, key: &str, text: Option<&String>) {
        if let Some(text) = text {
            self.raw(key, &Value::from(text.as_str()).to_string());
        }
    }

    /// Without zeros at its end, or a sign on nothing.
    fn number(&mut self, key: &str, number: Option<f64>, decimals: usize) {
        let Some(number) = number.filter(|number| number.is_finite()) else {
            return;
        };
        let mut text = format!("{number:.decimals$}");
        if decimals > 0 {
            text = text.trim_end_matches('0').trim_end_matches('.').to_owned();
        }
        let text = if text == "-0" { "0".to_owned() } else { text };
        self.raw(key, &text);
    }

    fn list<'t>(&mut self, key: &str, texts: impl Iterator<Item = &'t str>) {
        let list: Array = texts.collect();
        if !list.is_empty() {
            self.raw(key, &Value::from(list).to_string());
        }
    }
}
