//! CSV tables read by column name.
