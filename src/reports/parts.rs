//! A piece that most reports share.

/// A name and its value.
pub(super) fn fact(name: &str, value: impl Into<String>) -> (String, String) {
    (name.to_owned(), value.into())
}

/// A file of settings to change; why it is none, in words.
pub(super) fn toml(text: &str) -> Result<toml_edit::DocumentMut, String> {
    text.parse()
        .map_err(|error: toml_edit::TomlError| error.message().to_owned())
}
