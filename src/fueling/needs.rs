//! needs
