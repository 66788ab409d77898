//! Codes that a phone's camera reads.

use std::fmt::Write;

use fast_qr::qr::QRBuilder;

/// Light modules around a code (ISO/IEC 18004: four).
const QUIET: usize = 4;

/// The width of a code with its quiet zone, and its dark modules as the outline of unit squares;
/// nothing where the words do not fit into one.
pub(crate) fn code(words: &str) -> Option<(usize, String)> {
    let code = QRBuilder::new(words).build().ok()?;
    let mut outline = String::new();
    for row in 0..code.size {
        let modules = code[row].iter().take(code.size).enumerate();
        for (column, _) in modules.filter(|(_, module)| module.value()) {
            // writing to a string does not fail
            let _ = write!(outline, "M{} {}h1v1h-1z", column + QUIET, row + QUIET);
        }
    }
    Some((code.size + 2 * QUIET, outline))
}
