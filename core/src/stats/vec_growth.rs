//! Growth of long vectors by 25 % instead of doubling, to bound unused capacity.

/// Shorter vectors double as usual.
const LONG: usize = 4_096;

/// Reserves capacity for another element if there is none left.
pub fn reserve_one<T>(vec: &mut Vec<T>) {
    if vec.len() == vec.capacity() && vec.len() >= LONG {
        vec.reserve_exact(vec.len() / 4);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_vector_has_little_unused_capacity_and_is_seldom_moved() {
        let mut vec = Vec::new();
        let mut moved = 0;
        for n in 0..300_000_u32 {
            let before = vec.capacity();
            reserve_one(&mut vec);
            vec.push(n);
            moved += u32::from(vec.capacity() != before);
        }
        assert!(vec.capacity() * 4 <= vec.len() * 5, "{}", vec.capacity());
        assert!(moved < 40, "{moved}");
    }
}
