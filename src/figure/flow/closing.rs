//! Height that nothing uses, taken out.
//!
//! Takes the stretches of height that words, symbols and level lines use; gives a
//! new height for every old one. Where only upright lines run, they become shorter.

/// What is left of an empty stretch, in mm.
const KEPT: f64 = 3.0;

/// Old heights to new ones.
pub(super) struct Closing {
    /// The start of each used stretch: old and new.
    stretches: Vec<(f64, f64)>,
    ends: Vec<f64>,
    pub(super) height: f64,
}

impl Closing {
    pub(super) fn of(mut used: Vec<(f64, f64)>) -> Closing {
        used.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut joined: Vec<(f64, f64)> = Vec::new();
        for (from, to) in used {
            match joined.last_mut() {
                // Less between them than is kept of an empty stretch stays as it is.
                Some(last) if from <= last.1 + KEPT => last.1 = last.1.max(to),
                _ => joined.push((from, to)),
            }
        }
        let mut stretches = Vec::new();
        let mut at = 0.0;
        for (i, (from, to)) in joined.iter().enumerate() {
            if i > 0 {
                at += KEPT;
            }
            stretches.push((*from, at));
            at += to - from;
        }
        Closing { stretches, ends: joined.iter().map(|s| s.1).collect(), height: at }
    }

    pub(super) fn place(&self, y: f64) -> f64 {
        let after = self.stretches.partition_point(|(from, _)| *from <= y + 1e-9);
        let Some(i) = after.checked_sub(1) else { return 0.0 };
        let (from, at) = self.stretches[i];
        let (end, end_at) = (self.ends[i], at + self.ends[i] - from);
        match self.stretches.get(i + 1) {
            _ if y <= end => at + y - from,
            // In an empty stretch: in proportion.
            Some((next, next_at)) => end_at + (y - end) / (next - end) * (next_at - end_at),
            None => end_at,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_used_keeps_its_height_and_what_is_empty_loses_it() {
        let closing = Closing::of(vec![(40.0, 50.0), (10.0, 20.0), (18.0, 22.0), (23.0, 24.0)]);
        assert_eq!(closing.place(10.0), 0.0);
        assert_eq!(closing.place(24.0), 14.0);
        assert_eq!(closing.place(32.0), 15.5);
        assert_eq!(closing.place(40.0), 17.0);
        assert_eq!(closing.place(45.0), 22.0);
        assert_eq!(closing.height, 27.0);
    }
}
