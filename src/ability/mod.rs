//! The basis of a target finish, and the spread of the true finish around it.

mod basis;
mod estimate;
mod field;
mod law;
mod spread;
#[cfg(test)]
mod tests;
mod unproven;

pub use basis::{Basis, Rests, Unaware};
pub use estimate::{Carried, ERRORS, Errors, Estimate, FRESH_Y, FromPast, RaceAhead, estimate};
pub use field::{FEWEST, Field};
pub use law::{
    EARLY, LATE, LIKELY, Law, RIEGEL_RANGE_S, exponent_between, riegel_s, sustainable_share,
};
pub use spread::{MOST, Spread, T_90, students_t};
pub use unproven::{naismith_s, unproven};
