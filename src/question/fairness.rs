//! Which versions of a question are alike enough to be set side by side.
//!
//! Takes a question and a spread of its choices, the same whatever is printed; gives a
//! test of a choice. All that pass it have the same steps, conversions and readings,
//! figures within one of each other and an index within 2 %. (Standards for Educational
//! and Psychological Testing, 2014, 5.12 and 5.13, ask for interchangeable forms; the
//! numbers are common practice.)

use crate::reading::model::Checked;

use super::profile::{Frame, Profile};

/// How far an index may lie from the middle one, so that any two lie within twice that.
const ASTRAY: f64 = 0.01;
/// How many choices say what is usual.
const SPREAD: u64 = 64;

#[derive(Debug)]
pub struct Fairness<'a> {
    frame: Frame<'a>,
    usual: Option<Usual>,
}

#[derive(Debug, Clone, Copy)]
struct Usual {
    /// Least figures; one more is as good.
    digits: u32,
    between: u32,
    index: f64,
}

impl Usual {
    fn likes(&self, profile: &Profile) -> bool {
        (self.digits..=self.digits + 1).contains(&profile.digits)
            && profile.between == self.between
            && (profile.index() / self.index - 1.0).abs() <= ASTRAY
    }
}

impl<'a> Fairness<'a> {
    /// What is usual among the choices that can be (`slots_of` gives their solved slots).
    pub fn of(
        checked: &'a Checked,
        slots_of: &mut dyn FnMut(&[usize]) -> Option<Vec<f64>>,
    ) -> Fairness<'a> {
        let frame = Frame::of(checked);
        let profiles: Vec<Profile> = spread(&checked.axes())
            .iter()
            .filter_map(|choice| Some(frame.profile(choice, &slots_of(choice)?)))
            .collect();
        let usual = usual(&profiles);
        Fairness { frame, usual }
    }

    /// Whether a version is like the others.
    pub fn likes(&self, choice: &[usize], slots: &[f64]) -> bool {
        self.usual.is_none_or(|usual| usual.likes(&self.frame.profile(choice, slots)))
    }

    pub fn profile(&self, choice: &[usize], slots: &[f64]) -> Profile {
        self.frame.profile(choice, slots)
    }
}

/// The commonest readings, then the commonest figures among those, then the middle index.
fn usual(profiles: &[Profile]) -> Option<Usual> {
    let most = |values: &dyn Fn(&Profile) -> u32, of: &[Profile], width: u32| {
        let mut known: Vec<u32> = of.iter().map(values).collect();
        known.sort_unstable();
        known.dedup();
        let count =
            |from: u32| of.iter().filter(|p| (from..=from + width).contains(&values(p))).count();
        // The smallest of those that are as common.
        known.into_iter().rev().max_by_key(|from| count(*from))
    };
    let between = most(&|p| p.between, profiles, 0)?;
    let like: Vec<Profile> = profiles.iter().copied().filter(|p| p.between == between).collect();
    let digits = most(&|p| p.digits, &like, 1)?;
    let mut indices: Vec<f64> = like
        .iter()
        .filter(|p| (digits..=digits + 1).contains(&p.digits))
        .map(Profile::index)
        .collect();
    indices.sort_by(f64::total_cmp);
    let index = *indices.get(indices.len() / 2)?;
    Some(Usual { digits, between, index })
}

/// Choices spread over all there are, or all of them if they are few.
pub fn spread(axes: &[usize]) -> Vec<Vec<usize>> {
    let all = axes.iter().fold(1u128, |all, n| all.saturating_mul((*n).max(1) as u128));
    match u64::try_from(all).ok().filter(|all| *all <= SPREAD) {
        Some(all) => (0..all).map(|number| numbered(axes, number)).collect(),
        None => (0..SPREAD).map(|number| strewn(axes, number)).collect(),
    }
}

/// The choice with this number among all.
fn numbered(axes: &[usize], mut number: u64) -> Vec<usize> {
    let of_axis = |count: &usize| {
        let count = (*count).max(1) as u64;
        let index = number % count;
        number /= count;
        usize::try_from(index).unwrap_or(0)
    };
    axes.iter().map(of_axis).collect()
}

/// A choice that on each axis stands in another of `SPREAD` equal shares: odd steps go
/// round all of them, and each axis has a step of its own.
fn strewn(axes: &[usize], number: u64) -> Vec<usize> {
    let of_axis = |(axis, count): (usize, &usize)| {
        let step = (1 + 26 * axis as u64) % SPREAD;
        let share = u128::from(number * step % SPREAD);
        usize::try_from(share * (*count as u128) / u128::from(SPREAD)).unwrap_or(0)
    };
    axes.iter().enumerate().map(of_axis).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_spread_takes_all_of_few_and_some_of_many() {
        let few = spread(&[2, 3]);
        assert_eq!(few.len(), 6);
        let mut apart = few.clone();
        apart.sort();
        apart.dedup();
        assert_eq!(apart.len(), 6);
        let many = spread(&[40, 50, 60]);
        assert_eq!(many.len(), 64);
        for axis in 0..3 {
            let mut taken: Vec<usize> = many.iter().map(|choice| choice[axis]).collect();
            taken.sort_unstable();
            taken.dedup();
            assert!(taken.len() > 15, "axis {axis}: {taken:?}");
        }
        assert_eq!(spread(&[]).len(), 1);
    }

    #[test]
    fn the_commonest_figures_are_usual() {
        let of = |digits| Profile { steps: 4, digits, words: 50, ..Profile::default() };
        let some: Vec<Profile> = [3, 3, 3, 4, 4, 2, 6].into_iter().map(of).collect();
        let usual = usual(&some).expect("there are some");
        assert!(usual.likes(&of(3)) && usual.likes(&of(4)));
        assert!(!usual.likes(&of(2)) && !usual.likes(&of(6)));
        assert!(!usual.likes(&Profile { between: 1, ..of(3) }));
    }
}
