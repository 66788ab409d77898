//! Errors by class, as a Markdown table.

/// Some of all that was scored.
pub(crate) struct Class<'a, T> {
    name: String,
    holds: Box<dyn Fn(&T) -> bool + 'a>,
}

impl<'a, T> Class<'a, T> {
    pub(crate) fn new(name: impl Into<String>, holds: impl Fn(&T) -> bool + 'a) -> Self {
        Class {
            name: name.into(),
            holds: Box::new(holds),
        }
    }
}

/// Prints the size of errors (median, 90th percentile) and their mean for each class that has any.
pub(crate) fn print<T>(scored: &[T], classes: &[Class<'_, T>], error_pct: impl Fn(&T) -> f64) {
    println!("\n| | marks | median % | 90th % | bias % |");
    println!("|---|---:|---:|---:|---:|");
    for class in classes {
        let own = scored.iter().filter(|one| (class.holds)(one));
        let errors: Vec<f64> = own.map(&error_pct).collect();
        if errors.is_empty() {
            continue;
        }
        let mut sizes: Vec<f64> = errors.iter().map(|e| e.abs()).collect();
        println!(
            "| {} | {} | {:.2} | {:.2} | {:+.2} |",
            class.name,
            errors.len(),
            quantile(&mut sizes, 0.5),
            quantile(&mut sizes, 0.9),
            errors.iter().sum::<f64>() / errors.len() as f64
        );
    }
}

/// The value that a share of all lies below, between the two nearest by their distance.
fn quantile(values: &mut [f64], share: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    let at = share * (values.len() - 1) as f64;
    let (below, above) = (at.floor() as usize, at.ceil() as usize);
    values[below] + (values[above] - values[below]) * (at - below as f64)
}
