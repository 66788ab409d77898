//! Tests of packing as a whole.

mod gaps;
mod gear_properties;
mod properties;
mod scenarios;
pub(crate) mod testing;
