//! Colours on light and on dark paper. Words reach a contrast of 4.5 to 1 (WCAG 2.2, criterion
//! 1.4.3); what colours say, lightness, dashes or shapes say too, for a printer without colours.

/// Colours of a picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Theme {
    /// Its name in file names: `light`, `dark` or `paper`.
    pub name: &'static str,
    /// Width of a picture, in the units of its words' sizes, unless it needs more.
    pub(super) wide: f64,
    /// Behind everything.
    pub(super) paper: &'static str,
    /// Words and axes.
    pub(super) ink: &'static str,
    /// Words that matter less.
    pub(super) faint: &'static str,
    /// Lines to read values by.
    pub(super) grid: &'static str,
    /// Level ground.
    pub(super) level: &'static str,
    /// Darkness: civil night.
    pub(super) night: &'static str,
    /// The plan.
    pub(super) plan: &'static str,
    /// The plan by the clock, the first hours the least; each of the hue of the plan.
    pub(super) hours: [&'static str; 5],
    /// Limits of the organiser.
    pub(super) limit: &'static str,
    /// The crew on the road and on the spot.
    pub(super) crew: &'static str,
    /// Uphill by steepness, the gentlest first.
    pub(super) uphill: [&'static str; 4],
    /// Long runs by their part in training, the least first; nothing else has this colour.
    pub(super) training: [&'static str; 4],
    /// Downhill by steepness; each as light as its twin uphill.
    pub(super) downhill: [&'static str; 4],
}

impl Theme {
    /// True where a picture is for a sheet of paper, where its words are larger against it.
    pub(super) fn is_paper(&self) -> bool {
        self.wide < LIGHT.wide
    }
}

/// For screens by day and for paper.
pub const LIGHT: Theme = Theme {
    name: "light",
    wide: 1160.0,
    paper: "#ffffff",
    ink: "#1d2530",
    faint: "#566070",
    grid: "#dde1e6",
    level: "#f7f4ed",
    night: "#d0d6e6",
    plan: "#6a1b66",
    hours: ["#c979c0", "#a6599e", "#84397e", "#63195f", "#3f003c"],
    limit: "#a63c06",
    crew: "#0b6358",
    uphill: ["#f1dfc0", "#e5b878", "#c8823a", "#8a4a18"],
    training: ["#e6ead0", "#bfc98a", "#87944a", "#4f5a1d"],
    downhill: ["#d9e6ee", "#a8c6da", "#6d98b8", "#34607f"],
};

/// For screens at night.
pub const DARK: Theme = Theme {
    name: "dark",
    wide: 1160.0,
    paper: "#1a1f27",
    ink: "#edf0f4",
    faint: "#a9b3c1",
    grid: "#343c48",
    level: "#2d333b",
    night: "#0c0f14",
    plan: "#d89af0",
    hours: ["#89579d", "#aa76bf", "#cd97e1", "#edbbff", "#faeaff"],
    limit: "#ffa366",
    crew: "#5fd0bd",
    uphill: ["#55482f", "#7d6135", "#bd8742", "#f3c382"],
    training: ["#3d4228", "#616a36", "#949f54", "#d2dc92"],
    downhill: ["#354a5c", "#48657b", "#6b9abb", "#aed6f0"],
};

/// For a page in a book: as wide as its sheet of 182 mm, words are 7.5 pt or more.
pub const PAPER: Theme = Theme {
    name: "paper",
    wide: 820.0,
    ..LIGHT
};

/// Both for screens.
pub const THEMES: [Theme; 2] = [LIGHT, DARK];
