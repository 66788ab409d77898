//! Facts of an explanation: where one printed number comes from.

use super::value::record;

record! {
    /// Where one printed number comes from.
    pub struct ExplainFacts {
        /// What is explained, such as `carry`.
        pub what: &'static str,
        /// Of which station or segment.
        pub of: String,
        /// The number as printed.
        pub printed: String,
        /// What it means, in a sentence.
        pub meaning: &'static str,
        /// Inputs and intermediate values, in the order they are used.
        pub steps: Vec<ExplainStepFacts>,
        /// The formula in words.
        pub formula: &'static str,
        /// Where the formula is published, or that it is common practice or our own.
        pub source: String,
    }
}

record! {
    /// One input or intermediate value.
    pub struct ExplainStepFacts {
        /// What it is.
        pub name: String,
        /// Its value as printed.
        pub value: String,
        /// Where it is written, such as `stations.csv:7`; nothing for what is computed.
        pub at: Option<String>,
    }
}
