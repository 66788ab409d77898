//! cutoffs
/// x
pub fn resolve_cutoffs() {}
