//! `[[rhythm]]` of `runner.toml`: how the runner eats and drinks by the hour, phase by phase.

use crate::diagnostics::{Diagnostic, Span, Spanned};
use crate::words::folded;

use super::asked::{Asked, By, section};
use super::limits;
use super::toml_reader::{Reading, Section};
use super::values::race_time;
use crate::time::Elapsed;
use crate::words::named;

section! {
    /// One phase. What a later phase does not name stays as the phases before it say.
    #[derive(Clone, Debug, Default, PartialEq)]
    pub struct RhythmPhase {
        /// `from`: `start`, race time such as `10:00:00`, or the name of a station.
        pub from: PhaseStart = By(start),
        /// `during`: `dark` or `heat`; at any time where missing.
        pub during: Option<During> = "during",
        /// `every_min`: minutes from one thing eaten on the move to the next.
        pub every_s: Option<Spanned<f64>> = &limits::RHYTHM_EVERY,
        /// `eat`: foods or kinds of food, and nothing else; empty is nothing but drink.
        pub eat: Option<Vec<Spanned<String>>> = Foods("eat"),
        /// `refuse`: foods or kinds of food that are never taken.
        pub refuse: Option<Vec<Spanned<String>>> = Foods("refuse"),
        /// `sip_ml_per_h`: what is drunk an hour, never planned above sweat.
        pub sip_ml_per_h: Option<Spanned<f64>> = &limits::RHYTHM_SIP,
        /// `mix_flasks`: how many flasks hold mix; the others hold water.
        pub mix_flasks: Option<u32> = &limits::RHYTHM_MIX_FLASKS,
        /// `at_most`: how often one food is taken in 24 hours; 10 where missing.
        pub at_most: Option<u32> = &limits::RHYTHM_AT_MOST,
        /// `taste`: `sweet`, `savoury` or `any`.
        pub taste: Option<Taste> = "taste",
        /// `caffeine`: `false` for none in this phase; `true` as the plan asks.
        pub caffeine: Option<bool> = "caffeine",
    }
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

named! {
    /// The times at which a phase holds, from its beginning on.
    pub enum During {
        /// `dark`
        Dark = "dark",
        /// `heat`
        Heat = "heat",
    }

    /// The taste of the runner.
    pub enum Taste {
        /// `sweet`
        Sweet = "sweet",
        /// `savoury`: salty and warm.
        Savoury = "savoury",
        /// `any`: sweet early, savoury at night and after long hours.
        Any = "any",
    }
}

/// Reads one phase.
pub(super) fn phase(section: &mut Section<'_>, r: &mut Reading) -> Option<RhythmPhase> {
    let span = section.span;
    let errors_before = r.notes.all().len();
    let phase = RhythmPhase::read(section, r)?;
    if r.notes.all().len() == errors_before && phase.is_silent() {
        r.notes.push(silent(span));
    }
    Some(phase)
}

fn start(section: &mut Section<'_>, r: &mut Reading) -> PhaseStart {
    let Some(text) = section.words("from", limits::NAME_CHARS, r) else {
        return PhaseStart::default();
    };
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
    Diagnostic::warning("a phase of the rhythm with nothing in it")
        .at(span, "expected what is eaten or drunk in it")
        .hint(
            "such as `every_min = 30`, `eat = [\"gel\"]`, `sip_ml_per_h = 450` or `mix_flasks = 1`",
        )
}

/// A list of foods, which may be empty.
struct Foods(&'static str);

impl Asked<Foods> for Option<Vec<Spanned<String>>> {
    fn asked(Foods(key): Foods, section: &mut Section<'_>, r: &mut Reading) -> Option<Self> {
        let entry = section.take(key, r);
        Some(entry.map(|entry| {
            entry.list("foods in quotes", r, |food, r| {
                food.words(limits::NAME_CHARS, r)
            })
        }))
    }
}
