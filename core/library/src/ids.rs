//! New ids. They sort by the date they were made, and are random beyond that (UUID version 7,
//! RFC 9562).

use overbar_core::take::TakeId;

/// An id unlike any other.
#[must_use]
pub fn new_take_id() -> TakeId {
    TakeId(uuid::Uuid::now_v7().as_u128())
}

/// The id of a second version of a take: always the same for the same content, so that the
/// same two versions met twice make no third.
#[must_use]
pub(crate) fn id_of_version(id: TakeId, content: &[u8]) -> TakeId {
    let own = u128::from(crc32fast::hash(content)) << 16 ^ (content.len() as u128) << 80;
    TakeId(id.0 ^ own)
}
