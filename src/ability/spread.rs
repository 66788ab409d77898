//! The spread of a finish around what is likely.

/// Chance of a finish: its logarithm is spread about the likely one by Student's t with 4 degrees
/// of freedom, each half by a scale of its own; bad days are very bad.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Half of all races finish before this, seconds.
    pub likely_s: f64,
    /// Scale of the logarithm on the early side.
    pub early: f64,
    /// Scale of the logarithm on the late side.
    pub late: f64,
}

/// The 90 % quantile of Student's t with 4 degrees of freedom (any table).
pub const T_90: f64 = 1.533_206;
/// Beyond so many scales a spread is cut: nobody crawls for ever.
pub const MOST: f64 = 8.0;

impl Spread {
    /// The spread whose 10 % and 90 % quantiles lie so far from the likely finish, as differences
    /// of logarithms, both positive.
    #[must_use]
    pub fn between(likely_s: f64, early: f64, late: f64) -> Spread {
        Spread {
            likely_s,
            early: early / T_90,
            late: late / T_90,
        }
    }

    /// The finish that a share of races is faster than, seconds.
    #[must_use]
    pub fn quantile_s(&self, share: f64) -> f64 {
        let t = students_t(share);
        let scale = if t < 0.0 { self.early } else { self.late };
        self.likely_s * (scale * t).exp()
    }

    /// The chance of a finish by then.
    ///
    /// ```
    /// use sutler::ability::Spread;
    /// let spread = Spread::between(100_000.0, 0.1, 0.2);
    /// for share in [0.02, 0.1, 0.5, 0.8, 0.97] {
    ///     let by = spread.chance_by(spread.quantile_s(share));
    ///     assert!((by - share).abs() < 1e-9, "{by}");
    /// }
    /// ```
    #[must_use]
    pub fn chance_by(&self, finish_s: f64) -> f64 {
        let off = (finish_s / self.likely_s).ln();
        let scale = if off < 0.0 { self.early } else { self.late };
        if scale <= 0.0 {
            return if off < 0.0 { 0.0 } else { 1.0 };
        }
        // the distribution function of Student's t with 4 degrees of freedom (any table)
        let t = off / scale;
        let square = t * t / (1.0 + 0.25 * t * t);
        0.5 + 0.375 * square.sqrt().copysign(t) * (1.0 - square / 12.0)
    }

    /// The density of the logarithm of a finish, up to a constant.
    #[must_use]
    pub fn density(&self, finish_s: f64) -> f64 {
        let off = (finish_s / self.likely_s).ln();
        let scale = if off < 0.0 { self.early } else { self.late };
        if scale <= 0.0 {
            return if off == 0.0 { 1.0 } else { 0.0 };
        }
        let t = off / scale;
        (1.0 + 0.25 * t * t).powf(-2.5) / scale
    }
}

/// Student's t with 4 degrees of freedom, the value that a share lies below. Closed form by Shaw
/// 2006 (J Comput Finance 9(4):37-73); cut at [`MOST`].
#[must_use]
pub fn students_t(share: f64) -> f64 {
    let alpha = (4.0 * share * (1.0 - share)).clamp(1e-12, 1.0).sqrt();
    let t = 2.0 * ((alpha.acos() / 3.0).cos() / alpha - 1.0).max(0.0).sqrt();
    t.min(MOST).copysign(share - 0.5)
}
