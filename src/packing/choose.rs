//! choose
