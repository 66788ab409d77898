//! heat
