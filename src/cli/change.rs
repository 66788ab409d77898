//! The change of a file, line by line.

/// So far ahead is looked for lines that both files have again; beyond it all of them are shown.
const AHEAD: usize = 300;

/// Lines that go, with `-`, and lines that come, with `+`; what stays is not shown. Takes no more
/// memory than the two files.
pub(crate) fn between(old: &str, new: &str) -> String {
    let (old, new): (Vec<&str>, Vec<&str>) = (old.lines().collect(), new.lines().collect());
    let (mut old, mut new) = (old.as_slice(), new.as_slice());
    let mut shown = String::new();
    while !old.is_empty() || !new.is_empty() {
        let (gone, come) = differing(old, new);
        for (mark, lines) in [("- ", &old[..gone]), ("+ ", &new[..come])] {
            (lines.iter()).for_each(|line| shown.extend([mark, line, "\n"]));
        }
        let kept = (old[gone..].iter().zip(&new[come..]))
            .take_while(|(old, new)| old == new)
            .count();
        (old, new) = (&old[gone + kept..], &new[come + kept..]);
    }
    shown
}

/// The number of lines of either before the nearest that both have.
fn differing(old: &[&str], new: &[&str]) -> (usize, usize) {
    let most = |lines: &[&str]| lines.len().min(AHEAD);
    let ways =
        (0..=most(old) + most(new)).flat_map(|sum| (0..=sum).map(move |gone| (gone, sum - gone)));
    let met = |(gone, come): &(usize, usize)| match (old.get(*gone), new.get(*come)) {
        (Some(old), Some(new)) => old == new,
        (None, None) => (old.len(), new.len()) == (*gone, *come),
        _ => false,
    };
    let near = |(gone, come): &(usize, usize)| *gone <= most(old) && *come <= most(new);
    ways.filter(near)
        .find(met)
        .unwrap_or((most(old), most(new)))
}

#[cfg(test)]
mod tests;
