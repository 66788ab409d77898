//! The limit of points, which no file of a test reaches.

use super::document;
use super::found::EarlyEnd;
use crate::diagnostics::SourceFile;
use crate::diagnostics::Sources;

#[test]
fn reading_stops_at_the_point_that_is_one_too_many() {
    let text = "<gpx><wpt lat='1' lon='2'/><trk><trkseg><trkpt lat='1' lon='3'/>\
                <trkpt lat='1' lon='4'/></trkseg></trk></gpx>";
    let id = Sources::default().add(SourceFile::new("route.gpx", text));
    let found = document::read(text, 0, id, 2);
    let Some(EarlyEnd::TooMany { at, most: 2 }) = &found.stop else {
        panic!("it read on");
    };
    assert_eq!(&text[at.clone()], "<trkpt lat='1' lon='4'/>");
    assert_eq!(found.tracks.points.len(), 1);
    assert!(document::read(text, 0, id, 3).stop.is_none());
}
