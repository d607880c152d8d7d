//! The stretches of a comp, with the source of the beats of each.

use super::PackError;
use overbar_core::take::performance::Performance;
use overbar_core::take::piece::Piece;

/// The stretches as JSON; empty if all are on the host's beats, which is the default.
pub fn encode_pieces(take: &Performance) -> Vec<u8> {
    let pieces = &take.pieces;
    let tell = pieces.iter().any(|piece| piece.source.is_some()) && are_sound(pieces);
    if tell { serde_json::to_vec(pieces).unwrap_or_default() } else { Vec::new() }
}

/// The inverse of [`encode_pieces`], for bytes that are not empty.
pub fn read_pieces(bytes: &[u8]) -> Result<Vec<Piece>, PackError> {
    let pieces: Option<Vec<Piece>> = serde_json::from_slice(bytes).ok();
    pieces
        .filter(|pieces| are_sound(pieces))
        .ok_or(PackError::Damaged("invalid stretches of a comp"))
}

/// Whether they can belong to a comp: each has a length, and they are in order.
fn are_sound(pieces: &[Piece]) -> bool {
    pieces.iter().all(Piece::is_sound) && pieces.is_sorted_by(|one, next| one.from <= next.from)
}
