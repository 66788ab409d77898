//! Days and weeks against published and library values.

use sutler::calendar::{CalendarRequest, lay_out};

use super::wishes::{date, request};
use crate::support::reference;

#[test]
fn weeks_are_those_of_the_standard() {
    for row in reference::rows("calendar_days.csv") {
        let race = date(row.text("day"));
        let calendar = lay_out(
            &CalendarRequest {
                from: race - chrono::Days::new(60),
                race,
                ..request()
            },
            &[],
        );
        let last = calendar.weeks.last().unwrap();
        assert_eq!(last.monday, date(row.text("monday")), "{row}");
        assert_eq!(last.iso_week(), row.text("iso_week"), "{row}");
        // every week follows the one before it, over the end of a year too
        for two in calendar.weeks.windows(2) {
            assert_eq!((two[1].monday - two[0].monday).num_days(), 7, "{row}");
        }
    }
}
