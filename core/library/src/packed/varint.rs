//! Variable-length integers (LEB128).

use super::PackError;

pub fn put(bytes: &mut Vec<u8>, mut value: u64) {
    loop {
        let [low, ..] = value.to_le_bytes();
        value >>= 7;
        if value == 0 {
            bytes.push(low & 0x7f);
            return;
        }
        bytes.push(low | 0x80);
    }
}

/// Zigzag encoding: a signed number with its sign in the lowest bit.
pub fn folded(value: i64) -> u64 {
    (value.cast_unsigned() << 1) ^ (value >> 63).cast_unsigned()
}

/// The inverse of [`folded`].
pub fn unfolded(value: u64) -> i64 {
    (value >> 1).cast_signed() ^ -(value & 1).cast_signed()
}

/// Reads from the front of some bytes.
#[derive(Debug, Clone, Copy)]
pub struct Reader<'a>(pub &'a [u8]);

impl<'a> Reader<'a> {
    /// The next number, of at most 64 bits.
    pub fn number(&mut self) -> Result<u64, PackError> {
        let mut value = 0_u64;
        for shift in (0..64).step_by(7) {
            let [byte] = self.array()?;
            let bits = u64::from(byte & 0x7f);
            if (bits << shift) >> shift != bits {
                return Err(PackError::Damaged("invalid number"));
            }
            value |= bits << shift;
            if byte & 0x80 == 0 {
                return Ok(value);
            }
        }
        Err(PackError::Damaged("invalid number"))
    }

    /// The next number as a length or count: at most the number of bytes left, as each item takes at least
    /// one.
    pub fn count(&mut self) -> Result<usize, PackError> {
        usize::try_from(self.number()?)
            .ok()
            .filter(|count| *count <= self.0.len())
            .ok_or(PackError::Damaged("invalid count"))
    }

    /// The next `N` bytes.
    pub fn array<const N: usize>(&mut self) -> Result<[u8; N], PackError> {
        let (taken, rest) =
            self.0.split_first_chunk().ok_or(PackError::Damaged("data ends too early"))?;
        self.0 = rest;
        Ok(*taken)
    }

    /// The next bytes, after their length.
    pub fn run(&mut self) -> Result<&'a [u8], PackError> {
        let length = self.count()?;
        let (taken, rest) =
            self.0.split_at_checked(length).ok_or(PackError::Damaged("data ends too early"))?;
        self.0 = rest;
        Ok(taken)
    }

    /// Checks that no bytes are left.
    pub fn finish(self) -> Result<(), PackError> {
        if self.0.is_empty() { Ok(()) } else { Err(PackError::Damaged("too much data")) }
    }
}

/// Appends bytes after their length.
pub fn put_run(bytes: &mut Vec<u8>, run: &[u8]) {
    put(bytes, run.len() as u64);
    bytes.extend_from_slice(run);
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn every_number_round_trips(value: i64) {
            let mut bytes = Vec::new();
            put(&mut bytes, folded(value));
            let mut reader = Reader(&bytes);
            prop_assert_eq!(unfolded(reader.number().unwrap()), value);
            prop_assert!(reader.finish().is_ok());
        }
    }

    #[test]
    fn small_numbers_are_short_and_endless_ones_end() {
        for (value, length) in [(0, 1), (-64, 1), (63, 1), (64, 2), (-8192, 2), (i64::MIN, 10)] {
            let mut bytes = Vec::new();
            put(&mut bytes, folded(value));
            assert_eq!(bytes.len(), length, "{value}");
        }
        assert!(Reader(&[0x80; 20]).number().is_err());
        assert!(
            Reader(&[0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x02]).number().is_err()
        );
        assert!(Reader(&[0x80]).number().is_err());
        assert!(Reader(&[5, 1]).count().is_err());
    }
}
