//! `[[rhythm]]` of `runner.toml`: how the runner eats and drinks by the hour, phase by phase.

use crate::diagnostics::{Diagnostic, Span, Spanned};
use crate::words::folded;

use super::limits;
use super::toml_reader::{Reading, Section};
use super::values::race_time;
use crate::time::Elapsed;

/// One phase. What a later phase does not name stays as the phases before it say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RhythmPhase {
    /// `from`: `start`, race time such as `10:00:00`, or the name of a station.
    pub from: PhaseStart,
    /// `during`: `dark` or `heat`; at any time where missing.
    pub during: Option<During>,
    /// `every_min`: minutes from one thing eaten on the move to the next.
    pub every_s: Option<Spanned<f64>>,
    /// `eat`: foods or kinds of food, and nothing else; empty is nothing but drink.
    pub eat: Option<Vec<Spanned<String>>>,
    /// `refuse`: foods or kinds of food that are never taken.
    pub refuse: Option<Vec<Spanned<String>>>,
    /// `sip_ml_per_h`: what is drunk an hour, never planned above sweat.
    pub sip_ml_per_h: Option<Spanned<f64>>,
    /// `mix_flasks`: how many flasks hold mix; the others hold water.
    pub mix_flasks: Option<u32>,
    /// `taste`: `sweet`, `savoury` or `any`.
    pub taste: Option<Taste>,
    /// `caffeine`: `false` for none in this phase; `true` as the plan asks.
    pub caffeine: Option<bool>,
}

/// The beginning of a phase.
#[derive(Clone, Debug, PartialEq)]
pub enum PhaseStart {
    /// Race time.
    At(Elapsed),
    /// On leaving a station, by its name.
    Station(Spanned<String>),
}

impl Default for PhaseStart {
    fn default() -> Self {
        PhaseStart::At(Elapsed::ZERO)
    }
}

/// The times at which a phase holds, from its beginning on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum During {
    /// `dark`
    Dark,
    /// `heat`
    Heat,
}

impl During {
    /// Both with their names in files.
    pub const NAMES: [(&'static str, During); 2] = [("dark", During::Dark), ("heat", During::Heat)];
}

/// The taste of the runner.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Taste {
    /// `sweet`
    Sweet,
    /// `savoury`: salty and warm.
    Savoury,
    /// `any`: sweet early, savoury at night and after long hours.
    Any,
}

impl Taste {
    /// Each with its name in files.
    pub const NAMES: [(&'static str, Taste); 3] = [
        ("sweet", Taste::Sweet),
        ("savoury", Taste::Savoury),
        ("any", Taste::Any),
    ];
}

/// Reads one phase.
pub(super) fn phase(section: &mut Section<'_>, r: &mut Reading) -> Option<RhythmPhase> {
    let span = section.span;
    let from = section.text("from", r).map(start).unwrap_or_default();
    let during = section.choice("during", &During::NAMES, r);
    let errors_before = r.notes.all().len();
    let words = |section: &mut Section<'_>, key: &str, r: &mut Reading| {
        let entry = section.take(key, r)?;
        Some(entry.list("foods in quotes", r, |food, r| {
            food.words(limits::NAME_CHARS, r)
        }))
    };
    let phase = RhythmPhase {
        from,
        during,
        every_s: section.number(&limits::RHYTHM_EVERY, r),
        eat: words(section, "eat", r),
        refuse: words(section, "refuse", r),
        sip_ml_per_h: section.number(&limits::RHYTHM_SIP, r),
        mix_flasks: section.whole(&limits::RHYTHM_MIX_FLASKS, r),
        taste: section.choice("taste", &Taste::NAMES, r),
        caffeine: section.maybe_flag("caffeine", r),
    };
    if r.notes.all().len() == errors_before && phase.is_silent() {
        r.notes.push(silent(span));
    }
    Some(phase)
}

fn start(text: Spanned<String>) -> PhaseStart {
    let written = text.value.trim_start_matches('+');
    match race_time(written) {
        _ if folded(&text.value) == "start" => PhaseStart::default(),
        Ok(at) => PhaseStart::At(at),
        Err(_) => PhaseStart::Station(text),
    }
}

impl RhythmPhase {
    /// True where it says only when it holds.
    fn is_silent(&self) -> bool {
        let only_when = RhythmPhase {
            from: self.from.clone(),
            during: self.during,
            ..RhythmPhase::default()
        };
        *self == only_when
    }
}

fn silent(span: Option<Span>) -> Diagnostic {
    Diagnostic::warning("a phase of the rhythm that says nothing")
        .at(span, "expected what is eaten or drunk in it")
        .hint(
            "such as `every_min = 30`, `eat = [\"gel\"]`, `sip_ml_per_h = 450` or `mix_flasks = 1`",
        )
}
