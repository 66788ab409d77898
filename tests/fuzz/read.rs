//! One reader, alone: bytes as a file has them, to their end, and everything that is said about them.

use sutler::diagnostics::{Notes, SourceFile, Sources, render};
use sutler::inputs::{self, Texts, route_gpx};

/// Reads bytes as one of the files of a plan.
pub fn read(bytes: &[u8], name: &str, slot: fn(&mut Texts) -> &mut Option<SourceFile>) {
    let Ok(file) = route_gpx::decode(name, bytes.to_vec()) else {
        return;
    };
    let mut texts = Texts::default();
    *slot(&mut texts) = Some(file);
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let inputs = inputs::read(texts, &mut sources, &mut notes);
    let _ = render(&sources, notes.all(), false);
    for run in &inputs.record {
        assert!(run.hours().is_finite() && run.per_h(1.0).is_finite() || run.hours() == 0.0);
    }
}
