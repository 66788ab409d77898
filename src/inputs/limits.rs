//! Every allowed range, in one table, with the words messages use.
