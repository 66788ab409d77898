//! Contents of the pockets on leaving each point, as things are added one after the other.

/// Grams in the pockets, by point.
#[derive(Clone, Debug)]
pub(super) struct Pockets {
    load_g: Vec<f64>,
    /// The most they hold; `None` where nobody said.
    capacity_g: Option<f64>,
}

impl Pockets {
    /// Empty ones.
    pub(super) fn new(points: usize, capacity_g: Option<f64>) -> Pockets {
        Pockets {
            load_g: vec![0.0; points],
            capacity_g,
        }
    }

    /// Sets what they hold, whatever is in them.
    pub(super) fn limit(&mut self, capacity_g: Option<f64>) {
        self.capacity_g = capacity_g;
    }

    /// Puts something in at one point, to be taken out before another; whether it fits.
    pub(super) fn put(&mut self, from: usize, until: usize, mass_g: f64) -> bool {
        let held = &mut self.load_g[from..until.max(from)];
        let fits = held.iter().all(|load_g| {
            self.capacity_g
                .is_none_or(|most_g| load_g + mass_g <= most_g + 1e-9)
        });
        if fits {
            held.iter_mut().for_each(|load_g| *load_g += mass_g);
        }
        fits
    }
}
