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
