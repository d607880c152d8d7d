//! New ids: UUIDs of version 7 (RFC 9562), random but in order of date.

use overbar_core::take::TakeId;

/// A new take id.
pub fn new_take_id() -> TakeId {
    TakeId(uuid::Uuid::now_v7().as_u128())
}

/// The id of a second version of a take. It depends only on the content, so the same two versions
/// met twice do not make a third.
pub(crate) fn id_of_version(id: TakeId, content: &[u8]) -> TakeId {
    let own = u128::from(crc32fast::hash(content)) << 16 ^ (content.len() as u128) << 80;
    TakeId(id.0 ^ own)
}
