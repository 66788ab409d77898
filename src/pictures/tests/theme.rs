use crate::pictures::theme::*;

/// Lightness as a printer without colours shows it: luma of `#rrggbb` (ITU-R BT.601, from
/// memory), 0 to 255.
fn grey(colour: &str) -> f64 {
    let channel = |at: usize| u8::from_str_radix(&colour[at..at + 2], 16).map_or(0.0, f64::from);
    0.299 * channel(1) + 0.587 * channel(3) + 0.114 * channel(5)
}

#[test]
fn steepness_is_told_without_colours() {
    for theme in THEMES {
        let towards_ink = grey(theme.ink) - grey(theme.paper);
        for ramp in [theme.uphill, theme.downhill] {
            let from_level = (grey(ramp[0]) - grey(theme.level)) * towards_ink.signum();
            assert!(from_level > 12.0, "{}: {from_level}", theme.name);
            for step in ramp.windows(2) {
                let further = (grey(step[1]) - grey(step[0])) * towards_ink.signum();
                assert!(further > 20.0, "{}: {step:?} by {further}", theme.name);
            }
        }
        for (up, down) in theme.uphill.iter().zip(theme.downhill) {
            let apart = (grey(up) - grey(down)).abs();
            assert!(apart < 20.0, "{}: {up} {down} by {apart}", theme.name);
        }
        assert!((grey(theme.night) - grey(theme.paper)).abs() > 12.0);
    }
}
