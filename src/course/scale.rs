//! Two distances: the organiser's count and the route file, piecewise linear between the points
//! where both are known.

/// Pairs of official and route distance, metres, both rising; the first is the start, the last
/// the finish.
#[derive(Clone, Debug)]
pub(super) struct Scale {
    pub(super) anchors: Vec<(f64, f64)>,
}

impl Scale {
    /// The distance along the route of an official one; those beyond an end fall on it.
    pub(super) fn route_m(&self, official_m: f64) -> f64 {
        piecewise(&self.anchors, |a| a.0, |a| a.1, official_m)
    }

    /// The official distance of one along the route; those beyond an end fall on it.
    pub(super) fn official_m(&self, route_m: f64) -> f64 {
        piecewise(&self.anchors, |a| a.1, |a| a.0, route_m)
    }
}

/// Between the knots of a rising row, linear from one of their coordinates to the other.
pub(super) fn piecewise<T>(
    knots: &[T],
    from: impl Fn(&T) -> f64,
    to: impl Fn(&T) -> f64,
    at: f64,
) -> f64 {
    let after = knots.partition_point(|knot| from(knot) <= at);
    match (
        after.checked_sub(1).and_then(|i| knots.get(i)),
        knots.get(after),
    ) {
        (Some(a), Some(b)) => to(a) + (to(b) - to(a)) * (at - from(a)) / (from(b) - from(a)),
        (Some(only), None) | (None, Some(only)) => to(only),
        (None, None) => at,
    }
}
