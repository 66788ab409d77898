#![no_main]
use sutler::diagnostics::{Notes, Sources};
use sutler::fit::{Fit, Recording};
use sutler::inputs::{self, Texts, route_gpx};

// A track with times: read, made a run on foot, and asked what it says of the runner.
libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let Ok(route) = route_gpx::decode("run.gpx", bytes.to_vec()) else {
        return;
    };
    let texts = Texts { route: Some(route), ..Texts::default() };
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let inputs = inputs::read(texts, &mut sources, &mut notes);
    if notes.has_errors() {
        return;
    }
    if let Ok(run) = Recording::read("run.gpx", &inputs.track) {
        assert!(run.finish_s.is_finite() && run.finish_s > 0.0);
        let _ = Fit::of(vec![run], &mut Vec::new());
    }
});
