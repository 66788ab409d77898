//! caffeine
