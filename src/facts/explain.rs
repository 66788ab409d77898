//! Facts of an explanation: where one printed number comes from.

use super::value::record;

record! {
    /// The origin of one printed number.
    pub struct ExplainFacts {
        /// The quantity explained, such as `carry`.
        pub what: &'static str,
        /// Of which station or segment.
        pub of: String,
        /// The number as printed.
        pub printed: String,
        /// Its meaning, in a sentence.
        pub meaning: &'static str,
        /// Inputs and intermediate values, in the order they are used.
        pub steps: Vec<ExplainStepFacts>,
        /// The formula in words.
        pub formula: &'static str,
        /// The publication of the formula, or that it is common practice or our own.
        pub source: String,
    }

    /// One input or intermediate value.
    pub struct ExplainStepFacts {
        /// Its name.
        pub name: String,
        /// Its value as printed.
        pub value: String,
        /// The place where it is written, such as `stations.csv:7`; nothing for what is computed.
        pub at: Option<String>,
    }
}
