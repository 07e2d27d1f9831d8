//! Labels at the ends of curves, pushed apart so that each can be read.

/// Places labels of height `height` as near as possible to where they want to be, in order, within `top` and `bottom`. Returns the centres in the
/// order given. When they do not all fit they are spread evenly.
#[must_use]
pub fn spread(wanted: &[f32], height: f32, (top, bottom): (f32, f32)) -> Vec<f32> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|&a, &b| wanted[a].total_cmp(&wanted[b]));
    let mut at = vec![0.0; wanted.len()];
    let mut next = top + 0.5 * height;
    for &i in &order {
        at[i] = wanted[i].max(next);
        next = at[i] + height;
    }
    let mut limit = bottom - 0.5 * height;
    for &i in order.iter().rev() {
        at[i] = at[i].min(limit);
        limit = at[i] - height;
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_never_overlap_and_stay_near() {
        let wanted = [50.0, 52.0, 10.0, 51.0, 198.0];
        let at = spread(&wanted, 14.0, (0.0, 200.0));
        let mut sorted = at.clone();
        sorted.sort_by(f32::total_cmp);
        assert!(
            sorted.windows(2).all(|w| w[1] - w[0] >= 13.999),
            "{sorted:?}"
        );
        assert!(sorted[0] >= 7.0 && sorted[4] <= 193.0);
        assert_eq!(at[2], 10.0);
        assert!(
            at[0] < at[3] && at[3] < at[1],
            "order of heights is kept: {at:?}"
        );
    }
}
