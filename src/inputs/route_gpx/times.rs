//! The time at which a point was recorded: `xsd:dateTime`, as devices write it and as people edit it.

use chrono::{DateTime, NaiveDate, NaiveDateTime};

use super::values::short;
use crate::diagnostics::Diagnostic;
use crate::words::count;

/// Times that were left out.
#[derive(Debug, Default)]
pub(super) struct Times {
    unusable: usize,
    /// As written, and the number of its point, from 1.
    first: Option<(String, usize)>,
}

impl Times {
    /// The time that an element of a point says; an empty one says nothing.
    pub(super) fn parse(&mut self, written: &str, point: usize) -> Option<f64> {
        let written = written.trim();
        if written.is_empty() {
            return None;
        }
        let seconds = moment_s(written);
        if seconds.is_none() {
            self.unusable += 1;
            self.first
                .get_or_insert_with(|| (short(written).into_owned(), point));
        }
        seconds
    }

    /// One warning for all of them.
    pub(super) fn warning(&self, file_name: &str) -> Option<Diagnostic> {
        let (written, point) = self.first.as_ref()?;
        let times = count(self.unusable, "unusable time");
        Some(
            Diagnostic::warning(format!(
                "`{file_name}` has {times}, left out; the first is `{written}` \
                 at point {point}"
            ))
            .hint(
                "a time is written as `2026-06-06T05:00:00Z`; a route needs none, and a recording \
                 is read without the points that have none",
            ),
        )
    }
}

/// Seconds since 1970 of a moment; without an offset it is UTC, as GPX wants it.
fn moment_s(text: &str) -> Option<f64> {
    usual_s(text.as_bytes()).or_else(|| unusual_s(text))
}

/// `2026-06-06T05:00:00` with or without decimals, then `Z`: what all devices write, so worth
/// reading fast.
fn usual_s(text: &[u8]) -> Option<f64> {
    let text = text.strip_suffix(b"Z")?;
    let (whole, decimals) = text.split_at_checked(19)?;
    for (at, expected) in [(4, b'-'), (7, b'-'), (10, b'T'), (13, b':'), (16, b':')] {
        if whole[at] != expected {
            return None;
        }
    }
    let date = NaiveDate::from_ymd_opt(
        i32::try_from(digits(&whole[..4])?).ok()?,
        digits(&whole[5..7])?,
        digits(&whole[8..10])?,
    )?;
    let (hour, minute, second) = (
        digits(&whole[11..13])?,
        digits(&whole[14..16])?,
        digits(&whole[17..19])?,
    );
    let moment = date.and_hms_opt(hour, minute, second)?;
    Some(moment.and_utc().timestamp() as f64 + fraction(decimals)?)
}

fn digits(text: &[u8]) -> Option<u32> {
    text.iter().try_fold(0, |number, byte| {
        byte.is_ascii_digit()
            .then(|| number * 10 + u32::from(byte - b'0'))
    })
}

/// The part that `.123` or `,123` adds; nothing where there are no decimals.
fn fraction(text: &[u8]) -> Option<f64> {
    let Some((point, decimals)) = text.split_first() else {
        return Some(0.0);
    };
    if !matches!(point, b'.' | b',') || decimals.is_empty() || decimals.len() > 9 {
        return None;
    }
    Some(f64::from(digits(decimals)?) / 10_f64.powi(decimals.len() as i32))
}

/// With an offset, without any, or with a blank for the `T`.
fn unusual_s(text: &str) -> Option<f64> {
    let seconds = |moment: NaiveDateTime| {
        let moment = moment.and_utc();
        moment.timestamp() as f64 + f64::from(moment.timestamp_subsec_nanos()) * 1e-9
    };
    let plain = ["%Y-%m-%dT%H:%M:%S%.f", "%Y-%m-%d %H:%M:%S%.f"];
    DateTime::parse_from_rfc3339(text)
        .map(|moment| moment.naive_utc())
        .ok()
        .or_else(|| {
            let text = text.trim_end_matches('Z');
            plain
                .iter()
                .find_map(|form| NaiveDateTime::parse_from_str(text, form).ok())
        })
        .map(seconds)
}

#[cfg(test)]
mod tests;
