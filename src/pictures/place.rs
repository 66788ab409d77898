//! Where labels stand: each as near as can be to what it names, none over its neighbour.

/// Places labels on a line: in the order given, at least `apart` between one and the next, within
/// `low` and `high`, with the least sum of squared shifts.
///
/// Shifted by their own number of gaps, the places only have to keep their order: that is isotonic
/// regression, solved by pooling adjacent violators (Ayer and others 1955, Ann. Math. Stat. 26:641).
/// Where there is no room for all, they run over `high`.
pub(super) fn spread(wanted: &[f64], apart: f64, low: f64, high: f64) -> Vec<f64> {
    let gaps = wanted.len().saturating_sub(1) as f64;
    let top = (high - gaps * apart).max(low);
    // pools of labels that stand as close as they may: the mean of what they want, and how many
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for (index, want) in wanted.iter().enumerate() {
        let mut pool = (want - index as f64 * apart, 1);
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
        .enumerate()
        .map(|(index, place)| place + index as f64 * apart)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_with_room_stay_where_they_want_to_be() {
        assert_eq!(
            spread(&[10.0, 40.0, 90.0], 20.0, 0.0, 100.0),
            [10.0, 40.0, 90.0]
        );
    }

    #[test]
    fn crowded_labels_share_their_shift() {
        // three that want 50 stand around it
        assert_eq!(
            spread(&[50.0, 50.0, 50.0], 10.0, 0.0, 100.0),
            [40.0, 50.0, 60.0]
        );
        // at the edge they are pushed inwards
        assert_eq!(spread(&[0.0, 1.0], 10.0, 0.0, 100.0), [0.0, 10.0]);
        assert_eq!(spread(&[99.0, 100.0], 10.0, 0.0, 100.0), [90.0, 100.0]);
    }

    #[test]
    fn no_two_are_nearer_than_allowed() {
        let wanted: Vec<f64> = (0..40).map(|i| f64::from((i * i) % 90)).collect();
        let mut sorted = wanted;
        sorted.sort_by(f64::total_cmp);
        let placed = spread(&sorted, 2.5, 0.0, 100.0);
        assert!(
            placed
                .windows(2)
                .all(|pair| pair[1] - pair[0] >= 2.5 - 1e-9)
        );
        assert!(placed[0] >= 0.0 && placed[39] <= 100.0);
    }
}
