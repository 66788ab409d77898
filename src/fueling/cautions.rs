//! cautions
