#![no_main]
libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    let known = sutler::inputs::pasted::PasteContext::default();
    let _ = sutler::inputs::pasted::read(&text, &known);
});
