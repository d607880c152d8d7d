//! Whole numbers in as few bytes as they need: seven bits a byte, lowest first (LEB128).

use super::PackError;

/// Appends `value`.
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

/// A signed number with its sign in the lowest bit, so that small ones stay short.
#[must_use]
pub fn folded(value: i64) -> u64 {
    (value.cast_unsigned() << 1) ^ (value >> 63).cast_unsigned()
}

/// Undoes [`folded`].
#[must_use]
pub fn unfolded(value: u64) -> i64 {
    (value >> 1).cast_signed() ^ -(value & 1).cast_signed()
}

/// Reads from the front of a run of bytes.
#[derive(Debug, Clone, Copy)]
pub struct Reader<'a>(pub &'a [u8]);

impl<'a> Reader<'a> {
    /// The next number.
    ///
    /// # Errors
    /// [`PackError::Damaged`] where the bytes end in it, or it needs more than 64 bits.
    pub fn number(&mut self) -> Result<u64, PackError> {
        let mut value = 0_u64;
        for shift in (0..64).step_by(7) {
            let [byte] = self.array()?;
            let bits = u64::from(byte & 0x7f);
            if (bits << shift) >> shift != bits {
                return Err(PackError::Damaged("a number too long"));
            }
            value |= bits << shift;
            if byte & 0x80 == 0 {
                return Ok(value);
            }
        }
        Err(PackError::Damaged("a number too long"))
    }

    /// The next number, as a length or count.
    ///
    /// # Errors
    /// As [`Reader::number`]; and where there are fewer bytes left than that, for each thing
    /// that is counted here takes at least one.
    pub fn count(&mut self) -> Result<usize, PackError> {
        usize::try_from(self.number()?)
            .ok()
            .filter(|count| *count <= self.0.len())
            .ok_or(PackError::Damaged("a count of more than there is"))
    }

    /// The next `length` bytes.
    ///
    /// # Errors
    /// [`PackError::Damaged`] where there are fewer.
    pub fn bytes(&mut self, length: usize) -> Result<&'a [u8], PackError> {
        let (taken, rest) =
            self.0.split_at_checked(length).ok_or(PackError::Damaged("it ends too early"))?;
        self.0 = rest;
        Ok(taken)
    }

    /// The next `N` bytes.
    ///
    /// # Errors
    /// As [`Reader::bytes`].
    pub fn array<const N: usize>(&mut self) -> Result<[u8; N], PackError> {
        let (taken, rest) =
            self.0.split_first_chunk().ok_or(PackError::Damaged("it ends too early"))?;
        self.0 = rest;
        Ok(*taken)
    }

    /// A run of bytes with its length before it.
    ///
    /// # Errors
    /// As [`Reader::count`].
    pub fn run(&mut self) -> Result<&'a [u8], PackError> {
        let length = self.count()?;
        self.bytes(length)
    }

    /// # Errors
    /// [`PackError::Damaged`] where bytes are left over.
    pub fn finish(self) -> Result<(), PackError> {
        if self.0.is_empty() { Ok(()) } else { Err(PackError::Damaged("there is too much of it")) }
    }
}

/// Appends a run of bytes with its length before it.
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
        fn every_number_comes_back(value: i64) {
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
