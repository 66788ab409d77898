//! Every integration test of sutler, in one binary.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    clippy::missing_panics_doc,
    unreachable_pub
)]

mod support;
