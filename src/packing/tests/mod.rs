//! Tests of packing as a whole.

mod gear_properties;
mod properties;
mod rhythm;
mod scenarios;
pub(crate) mod testing;
