//! A piece that most reports share.

/// A name and its value.
pub(super) fn fact(name: &str, value: impl Into<String>) -> (String, String) {
    (name.to_owned(), value.into())
}
