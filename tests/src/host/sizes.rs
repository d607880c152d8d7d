//! Irregular block sizes, as from hosts with uneven buffers.

/// Block sizes that vary between 1 and `longest`, reproducible by seed.
pub fn ragged(seed: u64, longest: usize) -> impl Iterator<Item = usize> {
    let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
    std::iter::repeat_with(move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        1 + (state % longest.max(1) as u64) as usize
    })
}
