//! Text in the encodings that people have.

use super::*;

fn utf16(text: &str, order: fn(u16) -> [u8; 2]) -> Vec<u8> {
    text.encode_utf16().flat_map(order).collect()
}

#[test]
fn text_is_read_in_every_encoding_people_have() {
    let text = text_of("plain_1_1").replace("Ridge loop", "Crête « 4 € »");
    let expected = Expected {
        name: Some("Crête « 4 € »"),
        ..RIDGE
    };
    let wide = text.replace("UTF-8", "UTF-16");
    let marked = format!("\u{feff}{text}");
    let marked_wide = format!("\u{feff}{wide}");
    let marked_after = text.replacen("?>", "?>\u{feff}", 1);
    let mislabelled = text.replace("UTF-8", "ISO-8859-1");
    for bytes in [
        text.clone().into_bytes(),
        marked.into_bytes(),
        marked_after.into_bytes(),
        mislabelled.into_bytes(),
        text.replace("UTF-8", "utf-16").into_bytes(),
        utf16(&wide, u16::to_le_bytes),
        utf16(&wide, u16::to_be_bytes),
        utf16(&marked_wide, u16::to_le_bytes),
        utf16(&marked_wide, u16::to_be_bytes),
    ] {
        clean_bytes(&bytes, &expected);
    }
}

#[test]
fn older_single_byte_text_is_read_as_declared_or_guessed() {
    // From the code chart of windows-1252: ê is EA, « is AB, » is BB, € is 80.
    let bytes_with = |label: &str, name: &[u8]| {
        let text = text_of("plain_1_1").replace("UTF-8", label);
        let (before, after) = text.split_once("Ridge loop").unwrap();
        [before.as_bytes(), name, after.as_bytes()].concat()
    };
    let expected = Expected {
        name: Some("Crête « 4 € »"),
        ..RIDGE
    };
    for label in ["ISO-8859-1", "windows-1252", "Windows-1252", "UTF-8"] {
        clean_bytes(&bytes_with(label, b"Cr\xeate \xab 4 \x80 \xbb"), &expected);
    }
    // Half UTF-8, half not.
    clean_bytes(
        &bytes_with("UTF-8", b"Cr\xc3\xaate \xab 4 \xe2\x82\xac \xbb"),
        &expected,
    );
    let (_, _, messages, _) = read("route.gpx", &bytes_with("Shift_JIS", b"\x8e\x52"));
    told(
        &messages,
        r"
    error: `route.gpx` is in encoding `Shift_JIS`, which is not read
    hint: save it as UTF-8
    ",
    );
}

#[test]
fn a_lost_character_in_a_name_is_said() {
    let text = text_of("waypoints_last").replace("UTF-8", "windows-1252");
    let (before, after) = text.split_once("Spring").unwrap();
    let bytes = [before.as_bytes(), b"Sp\x81ing", after.as_bytes()].concat();
    let (track, _, messages, _) = read("route.gpx", &bytes);
    assert_eq!(track.points.len(), 3);
    told(
        &messages,
        r#"
    warning: 1 waypoint name has characters that cannot be read
      --> route.gpx:11:67
       |
    11 |   <wpt lat="10.0020" lon="20.0015"><desc>in the shade</desc><name>Sp�ing</name></wpt>
       |                                                                   ^^^^^^ expected readable text
    hint: save the file as UTF-8, or write the name again
    "#,
    );
}
