//! bags
