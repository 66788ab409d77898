//! Places of labels: each as near as can be to what it names, none over its neighbour.

/// Places labels on a line: in the order given, at least `apart` between one and the next, within
/// `low` and `high`, with the least sum of squared shifts.
///
/// Shifted by their own number of gaps, the places only have to keep their order: that is isotonic
/// regression, solved by pooling adjacent violators (Ayer and others 1955, Ann. Math. Stat. 26:641).
/// Where there is no room for all, they run over `high`.
pub(super) fn spread(wanted: &[f64], apart: f64, low: f64, high: f64) -> Vec<f64> {
    let below = vec![apart; wanted.len().saturating_sub(1)];
    spread_by(wanted, &below, low, high)
}

/// The same with a gap of its own below each but the last.
pub(super) fn spread_by(wanted: &[f64], below: &[f64], low: f64, high: f64) -> Vec<f64> {
    let mut shifts = vec![0.0; wanted.len()];
    for (index, gap) in below.iter().enumerate() {
        shifts[index + 1] = shifts[index] + gap;
    }
    let top = (high - shifts.last().unwrap_or(&0.0)).max(low);
    // pools of labels that stand as close as they may: the mean of what they want, and how many
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for (want, shift) in wanted.iter().zip(&shifts) {
        let mut pool = (want - shift, 1);
        while let Some((mean, count)) = pools.pop_if(|(mean, _)| *mean > pool.0) {
            let all = (count + pool.1) as f64;
            pool = (
                (mean * count as f64 + pool.0 * pool.1 as f64) / all,
                count + pool.1,
            );
        }
        pools.push(pool);
    }
    pools
        .iter()
        .flat_map(|(mean, count)| std::iter::repeat_n(mean.clamp(low, top), *count))
        .zip(&shifts)
        .map(|(place, shift)| place + shift)
        .collect()
}

/// Words and marks that stand already, so that others find room beside them.
#[derive(Default)]
pub(super) struct TakenRoom {
    /// Left, top, right and foot of each.
    boxes: Vec<[f64; 4]>,
}

impl TakenRoom {
    /// Keeps a box free of others.
    pub(super) fn keep(&mut self, own: [f64; 4]) {
        self.boxes.push(own);
    }

    /// Keeps a line free of others, by so much to each side.
    pub(super) fn keep_line(&mut self, from: (f64, f64), to: (f64, f64), by: f64) {
        let steps = ((to.0 - from.0).hypot(to.1 - from.1) / 6.0).ceil().max(1.0);
        let at = |step: f64| {
            let t = step / steps;
            (from.0 + (to.0 - from.0) * t, from.1 + (to.1 - from.1) * t)
        };
        for step in 0..steps as u32 {
            let (a, b) = (at(f64::from(step)), at(f64::from(step) + 1.0));
            let (left, right) = (a.0.min(b.0), a.0.max(b.0));
            let (top, foot) = (a.1.min(b.1), a.1.max(b.1));
            self.keep([left - by, top - by, right + by, foot + by]);
        }
    }

    /// True where a box lies over none that is kept.
    pub(super) fn is_free(&self, own: [f64; 4]) -> bool {
        let over = |other: &[f64; 4]| {
            own[0] < other[2] && other[0] < own[2] && own[1] < other[3] && other[1] < own[3]
        };
        !self.boxes.iter().any(over)
    }

    /// The first of several middles around which a box of a size is free and within a frame; kept
    /// from then on.
    pub(super) fn first_free(
        &mut self,
        middles: impl IntoIterator<Item = (f64, f64)>,
        (wide, high): (f64, f64),
        frame: [f64; 4],
    ) -> Option<(f64, f64)> {
        let fits = |middle: &(f64, f64)| self.fits(boxed(*middle, (wide, high)), frame);
        let found = middles.into_iter().find(fits)?;
        self.keep(boxed(found, (wide, high)));
        Some(found)
    }

    /// True where a box is free and within a frame.
    pub(super) fn fits(&self, own: [f64; 4], frame: [f64; 4]) -> bool {
        let inside =
            frame[0] <= own[0] && frame[1] <= own[1] && own[2] <= frame[2] && own[3] <= frame[3];
        inside && self.is_free(own)
    }
}

/// Left, top, right and foot of a size around a middle.
pub(super) fn boxed((x, y): (f64, f64), (wide, high): (f64, f64)) -> [f64; 4] {
    [
        x - wide / 2.0,
        y - high / 2.0,
        x + wide / 2.0,
        y + high / 2.0,
    ]
}

/// Spots around a point, the nearest first.
pub(super) fn around((x, y): (f64, f64), dx: f64, dy: f64) -> impl Iterator<Item = (f64, f64)> {
    (0..6).flat_map(move |ring| {
        let (dx, dy) = (dx + 12.0 * f64::from(ring), dy + 12.0 * f64::from(ring));
        let sides = [
            (dx, 0.0),
            (-dx, 0.0),
            (0.0, -dy),
            (0.0, dy),
            (0.8 * dx, -dy),
            (-0.8 * dx, -dy),
            (0.8 * dx, dy),
            (-0.8 * dx, dy),
        ];
        sides.map(move |(dx, dy)| (x + dx, y + dy))
    })
}

/// Positions at which a name touches the number that it belongs to.
pub(super) fn name_spots((x, y): (f64, f64), apart: f64, wide: f64) -> [(f64, f64); 8] {
    let aside = (apart + wide) / 2.0 + 1.0;
    // above or below, it may begin or end with the number
    let flush = (wide - apart) / 2.0;
    let shifts = [
        (aside, 0.0),
        (-aside, 0.0),
        (0.0, -18.0),
        (0.0, 18.0),
        (flush, -18.0),
        (-flush, -18.0),
        (flush, 18.0),
        (-flush, 18.0),
    ];
    shifts.map(|(dx, dy)| (x + dx, y + dy))
}
