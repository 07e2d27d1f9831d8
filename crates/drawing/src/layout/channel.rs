//! Tracks within a channel, so that streams that run side by side do not touch.

/// A horizontal run of a stream within a channel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Number of the stream.
    pub stream: usize,
    /// Left end, points.
    pub left: f32,
    /// Right end, points.
    pub right: f32,
}

/// Gap between runs on one track, points.
const GAP: f32 = 4.0;

/// Gives each run a track, short ones first, so that no two on one track touch; the number of tracks comes too.
#[must_use]
pub fn tracks(runs: &[Run]) -> (Vec<usize>, usize) {
    let mut order: Vec<usize> = (0..runs.len()).collect();
    order.sort_by(|&a, &b| {
        let length = |r: &Run| r.right - r.left;
        length(&runs[a])
            .total_cmp(&length(&runs[b]))
            .then(runs[a].left.total_cmp(&runs[b].left))
    });
    let mut at = vec![0; runs.len()];
    let mut filled: Vec<Vec<usize>> = Vec::new();
    for i in order {
        let touches =
            |&j: &usize| runs[i].left < runs[j].right + GAP && runs[j].left < runs[i].right + GAP;
        let free = filled.iter().position(|track| !track.iter().any(touches));
        let track = free.unwrap_or_else(|| {
            filled.push(Vec::new());
            filled.len() - 1
        });
        filled[track].push(i);
        at[i] = track;
    }
    (at, filled.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_on_one_track_never_touch() {
        let run = |left: f32, right: f32| Run {
            stream: 0,
            left,
            right,
        };
        let runs = [
            run(0.0, 10.0),
            run(20.0, 30.0),
            run(5.0, 25.0),
            run(8.0, 9.0),
            run(40.0, 40.0),
        ];
        let (at, count) = tracks(&runs);
        assert_eq!(count, 3);
        for i in 0..runs.len() {
            for j in 0..i {
                let apart = runs[i].left >= runs[j].right || runs[j].left >= runs[i].right;
                assert!(at[i] != at[j] || apart, "{i} and {j}: {at:?}");
            }
        }
    }
}
