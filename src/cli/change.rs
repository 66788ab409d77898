//! The change of a file, line by line.

/// Beyond so many pairs of lines they are not matched any more: it would take a gigabyte.
const MOST_PAIRS: usize = 1 << 22;

/// Lines that go, with `-`, and lines that come, with `+`; what stays is not shown.
pub(crate) fn between(old: &str, new: &str) -> String {
    let (old, new): (Vec<&str>, Vec<&str>) = (old.lines().collect(), new.lines().collect());
    let same = |(a, b): &(&&str, &&str)| a == b;
    let head = old.iter().zip(&new).take_while(same).count();
    let (old, new) = (&old[head..], &new[head..]);
    let tail = old
        .iter()
        .rev()
        .zip(new.iter().rev())
        .take_while(same)
        .count();
    let (old, new) = (&old[..old.len() - tail], &new[..new.len() - tail]);
    if old.len().saturating_mul(new.len()) > MOST_PAIRS {
        let gone = old.iter().map(|line| format!("- {line}\n"));
        return gone
            .chain(new.iter().map(|line| format!("+ {line}\n")))
            .collect();
    }
    let common = common_lengths(old, new);
    let (mut i, mut j) = (0, 0);
    let mut shown = String::new();
    while i < old.len() || j < new.len() {
        if i < old.len() && j < new.len() && old[i] == new[j] {
            i += 1;
            j += 1;
        } else if j == new.len() || (i < old.len() && common[i + 1][j] >= common[i][j + 1]) {
            shown += &format!("- {}\n", old[i]);
            i += 1;
        } else {
            shown += &format!("+ {}\n", new[j]);
            j += 1;
        }
    }
    shown
}

/// The number of lines of the rest of one file that the rest of the other has in the same order.
fn common_lengths(old: &[&str], new: &[&str]) -> Vec<Vec<usize>> {
    let mut lengths = vec![vec![0; new.len() + 1]; old.len() + 1];
    for i in (0..old.len()).rev() {
        for j in (0..new.len()).rev() {
            lengths[i][j] = if old[i] == new[j] {
                lengths[i + 1][j + 1] + 1
            } else {
                lengths[i + 1][j].max(lengths[i][j + 1])
            };
        }
    }
    lengths
}

#[cfg(test)]
mod tests;
