//! `gear.csv`: what may be worn or carried besides food.

use crate::diagnostics::{FileId, Notes, SourceFile, Span, Spanned};

/// One piece of gear.
#[derive(Clone, Debug, PartialEq)]
pub struct GearItem {
    /// `name`, as in the course's mandatory kit.
    pub name: Spanned<String>,
    /// `when`: what calls for it.
    pub when: GearRule,
    /// `after`: for `after-station`, the station's name.
    pub after: Option<Spanned<String>>,
    /// `mass_g`
    pub mass_g: Option<f64>,
    /// `burn_h`: hours a lamp or battery lasts.
    pub burn_h: Option<f64>,
    /// The row.
    pub span: Option<Span>,
}

/// What calls for a piece of gear.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GearRule {
    /// `always`: from start to finish.
    Always,
    /// `dark`: before dusk until after dawn.
    Dark,
    /// `cold`
    Cold,
    /// `rain`
    Rain,
    /// `sun`
    Sun,
    /// `heat`
    Heat,
    /// `after-station`: put on or changed at one station, such as dry socks.
    AfterStation,
}

impl GearRule {
    /// Every rule with its name in files.
    pub const NAMES: [(&'static str, GearRule); 7] = [
        ("always", GearRule::Always),
        ("dark", GearRule::Dark),
        ("cold", GearRule::Cold),
        ("rain", GearRule::Rain),
        ("sun", GearRule::Sun),
        ("heat", GearRule::Heat),
        ("after-station", GearRule::AfterStation),
    ];
}

/// Reads `gear.csv`.
pub fn read(_file: &SourceFile, _id: FileId, _notes: &mut Notes) -> Vec<GearItem> {
    Vec::new()
}
