//! Order statistics of a growing set of values.

/// A bucket with more values is split in two.
const FULL: usize = 1024;

/// Sorted values in buckets. Inserting, removing and finding by rank take time proportional to the
/// number of buckets, not of values.
#[derive(Debug, Clone, Default)]
pub struct Ranks {
    buckets: Vec<Vec<f64>>,
    len: usize,
}

impl Ranks {
    pub fn len(&self) -> usize {
        self.len
    }

    pub fn is_empty(&self) -> bool {
        self.len == 0
    }

    pub fn insert(&mut self, value: f64) {
        let index = self.bucket_of(value).min(self.buckets.len().saturating_sub(1));
        if self.buckets.is_empty() {
            self.buckets.push(Vec::new());
        }
        let Some(bucket) = self.buckets.get_mut(index) else { return };
        let index_in_bucket = bucket.partition_point(|v| v.total_cmp(&value).is_lt());
        bucket.insert(index_in_bucket, value);
        self.len += 1;
        if bucket.len() > FULL {
            let upper = bucket.split_off(FULL / 2);
            self.buckets.insert(index + 1, upper);
        }
    }

    /// Removes one value equal to this, if there is one.
    pub fn remove(&mut self, value: f64) {
        let index = self.bucket_of(value);
        let Some(bucket) = self.buckets.get_mut(index) else { return };
        let index_in_bucket = bucket.partition_point(|v| v.total_cmp(&value).is_lt());
        if bucket.get(index_in_bucket).is_some_and(|v| v.total_cmp(&value).is_eq()) {
            bucket.remove(index_in_bucket);
            self.len -= 1;
            if bucket.is_empty() {
                self.buckets.remove(index);
            }
        }
    }

    /// The value of this rank, from 0.
    pub fn at(&self, rank: usize) -> Option<f64> {
        let mut before = 0;
        for bucket in &self.buckets {
            if let Some(value) = bucket.get(rank - before) {
                return Some(*value);
            }
            before += bucket.len();
        }
        None
    }

    /// The first bucket whose last value is not below `value`.
    fn bucket_of(&self, value: f64) -> usize {
        self.buckets
            .partition_point(|b| b.last().is_some_and(|last| last.total_cmp(&value).is_lt()))
    }
}

impl FromIterator<f64> for Ranks {
    fn from_iter<I: IntoIterator<Item = f64>>(values: I) -> Self {
        let mut ranks = Self::default();
        values.into_iter().for_each(|value| ranks.insert(value));
        ranks
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranks_are_those_of_a_sorted_list() {
        let mut ranks = Ranks::default();
        let mut list = Vec::new();
        // A permutation, with every value twice.
        for n in 0..6_007_u32 {
            let value = f64::from(n * 2_741 % 6_007 / 2);
            ranks.insert(value);
            list.push(value);
        }
        list.sort_unstable_by(f64::total_cmp);
        assert!(ranks.buckets.len() > 3);
        for removed in [0.0, 17.0, 17.0, 17.0, 1_500.0] {
            ranks.remove(removed);
            if let Some(found) = list.iter().position(|v| *v == removed) {
                list.remove(found);
            }
        }
        assert_eq!(ranks.len(), list.len());
        for (rank, value) in list.iter().enumerate() {
            assert_eq!(ranks.at(rank), Some(*value));
        }
        assert_eq!(ranks.at(list.len()), None);
    }
}
