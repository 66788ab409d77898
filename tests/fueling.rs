//! Tests of fueling: every formula against published or computed rows, against libraries, and what
//! must hold for any runner in any weather.

mod around;
mod dangers;
mod formulas;
mod heat;
mod limits;
mod needs;
mod own_sweat;
mod race;
mod scenarios;
mod sweat;
