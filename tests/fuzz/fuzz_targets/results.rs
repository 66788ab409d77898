#![no_main]
libfuzzer_sys::fuzz_target!(|bytes: &[u8]| sutler_fuzz::read(bytes, "results.csv", |texts| &mut texts.results));
