//! What a run remembers: the vector at chosen times.

use dragback_plant::Plant;
use dragback_plant::ids::VesselId;

/// The vector at chosen times, row by row; states are read from a row, means from the difference of two.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trace {
    width: usize,
    times_s: Vec<f64>,
    rows: Vec<f64>,
}

impl Trace {
    /// An empty trace for vectors of `width` entries.
    #[must_use]
    pub fn new(width: usize) -> Self {
        Self {
            width,
            times_s: Vec::new(),
            rows: Vec::new(),
        }
    }

    /// Makes room for more moments.
    pub fn reserve(&mut self, moments: usize) {
        self.times_s.reserve(moments);
        self.rows.reserve(moments * self.width);
    }

    /// Appends a moment.
    pub fn push(&mut self, t_s: f64, y: &[f64]) {
        self.times_s.push(t_s);
        self.rows.extend_from_slice(y);
    }

    /// Times, s, rising.
    #[must_use]
    pub fn times_s(&self) -> &[f64] {
        &self.times_s
    }

    /// Number of moments.
    #[must_use]
    pub fn len(&self) -> usize {
        self.times_s.len()
    }

    /// Whether nothing was recorded.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.times_s.is_empty()
    }

    /// The vector at moment `i`.
    #[must_use]
    pub fn row(&self, i: usize) -> &[f64] {
        &self.rows[i * self.width..(i + 1) * self.width]
    }

    /// One entry through all moments.
    pub fn column(&self, entry: usize) -> impl Iterator<Item = f64> + '_ {
        (0..self.len()).map(move |i| self.row(i)[entry])
    }

    /// Moment whose time is the last not after `t_s`.
    #[must_use]
    pub fn at(&self, t_s: f64) -> usize {
        self.times_s
            .partition_point(|&t| t <= t_s)
            .saturating_sub(1)
    }

    /// Mean rate of an accumulated entry between two moments, per second; `None` when they coincide.
    #[must_use]
    pub fn rate(&self, entry: usize, from: usize, to: usize) -> Option<f64> {
        let dt = self.times_s[to] - self.times_s[from];
        (dt > 0.0).then(|| (self.row(to)[entry] - self.row(from)[entry]) / dt)
    }

    /// Temperature of a vessel through all moments, °C.
    pub fn temperatures<'a>(
        &'a self,
        plant: &'a Plant,
        v: VesselId,
    ) -> impl Iterator<Item = f64> + 'a {
        (0..self.len()).map(move |i| plant.holdup(v, self.row(i)).1)
    }

    /// Bytes that the trace occupies.
    #[must_use]
    pub fn bytes(&self) -> usize {
        (self.rows.capacity() + self.times_s.capacity()) * size_of::<f64>()
    }
}
