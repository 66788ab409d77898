//! Heights: filled where missing, cleaned where noisy, summed by turning points.

/// What had to be done to the heights of a route, so that reports can say it.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct HeightRepair {
    /// Points without a height, or zero-filled, that were interpolated.
    pub filled: usize,
    /// Points that jumped and were replaced.
    pub spikes: usize,
    /// Whether there were no usable heights at all and the course is taken as flat.
    pub flat: bool,
    /// Turning points closer than this in height do not count as climb, metres.
    pub threshold_m: f64,
    /// Window over which heights were averaged, metres; 0 where they were not.
    pub window_m: f64,
}
