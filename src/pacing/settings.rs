//! What the runner and the plan chose, with defaults.
/// Pacing settings.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {}
