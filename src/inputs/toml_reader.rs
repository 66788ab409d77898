//! TOML settings read key by key, unknown keys refused.
