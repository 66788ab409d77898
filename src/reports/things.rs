//! Servings and gear in lists.

use crate::facts::ServingFacts;

/// A verb with its things; nothing where there are none.
pub(super) fn said(verb: &str, things: Vec<String>) -> Option<String> {
    (!things.is_empty()).then(|| format!("{verb} {}", things.join(", ")))
}

/// Servings and gear as one list.
pub(super) fn things(servings: &[ServingFacts], gear: &[String]) -> Vec<String> {
    let servings = servings.iter().map(|serving| serving.text.clone());
    servings.chain(gear.iter().cloned()).collect()
}
