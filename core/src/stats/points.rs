//! Points of a distribution that are worked out once for each number of degrees of freedom.

use std::sync::OnceLock;

/// What was worked out so far, for fewer than `N` degrees.
pub(crate) struct Points<T, const N: usize>([OnceLock<T>; N]);

impl<T: Copy, const N: usize> Points<T, N> {
    /// Nothing was.
    pub const fn new() -> Self {
        Self([const { OnceLock::new() }; N])
    }

    /// What `work_out` gives for so many degrees.
    pub fn of(&self, degrees: u32, work_out: impl FnOnce(u32) -> T) -> T {
        let known = usize::try_from(degrees).ok().and_then(|degrees| self.0.get(degrees));
        match known {
            Some(known) => *known.get_or_init(|| work_out(degrees)),
            None => work_out(degrees),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_is_worked_out_once_as_far_as_there_is_room() {
        let points: Points<u32, 3> = Points::new();
        let work_out = |degrees| degrees * 10;
        assert_eq!(
            [0, 2, 3, u32::MAX / 10].map(|d| points.of(d, work_out)),
            [0, 20, 30, u32::MAX / 10 * 10]
        );
        assert_eq!([0, 2, 3].map(|degrees| points.of(degrees, |_| 7)), [0, 20, 7]);
    }
}
