//! Of a comp: the stretches of takes that it is cut from, with where the beats of each come from.

use super::PackError;
use overbar_core::take::performance::Performance;
use overbar_core::take::piece::Piece;

/// The stretches as JSON; nothing where all are on the host's beats, as that is what is said without them.
pub fn encode_pieces(take: &Performance) -> Vec<u8> {
    let pieces = &take.pieces;
    let tell = pieces.iter().any(|piece| piece.source.is_some()) && are_sound(pieces);
    if tell { serde_json::to_vec(pieces).unwrap_or_default() } else { Vec::new() }
}

/// The inverse of [`encode_pieces`], of bytes that hold some.
pub fn read_pieces(bytes: &[u8]) -> Result<Vec<Piece>, PackError> {
    let pieces: Option<Vec<Piece>> = serde_json::from_slice(bytes).ok();
    pieces
        .filter(|pieces| are_sound(pieces))
        .ok_or(PackError::Damaged("invalid stretches of a comp"))
}

/// Whether they can be those of a comp: each of some length, in order.
fn are_sound(pieces: &[Piece]) -> bool {
    pieces.iter().all(Piece::is_sound) && pieces.is_sorted_by(|one, next| one.from <= next.from)
}
