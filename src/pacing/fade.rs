//! fade
