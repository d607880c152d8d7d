//! Mutations: a few random changes to an input.

use fastrand::Rng;

/// Maximum length of an input.
const LONGEST: usize = 1 << 16;

/// Numbers at the limits of their types.
const EDGES: [u64; 9] = [0, 1, 0x7f, 0x80, 0xff, 0x7fff, 0xffff, 0x7fff_ffff, u64::MAX];

/// A mutation of one of `corpus`, or occasionally an unchanged one.
pub fn mutated(corpus: &[Vec<u8>], words: &[&str], random: &mut Rng) -> Vec<u8> {
    let mut input = corpus[random.usize(0..corpus.len())].clone();
    for _ in 0..random.u32(0..8) {
        change(&mut input, corpus, words, random);
    }
    input.truncate(LONGEST);
    input
}

fn change(input: &mut Vec<u8>, corpus: &[Vec<u8>], words: &[&str], random: &mut Rng) {
    let at = random.usize(0..=input.len());
    let until = (at + random.usize(0..=32)).min(input.len());
    match random.u8(0..9) {
        0 if at < input.len() => input[at] ^= 1 << random.u8(0..8),
        1 if at < input.len() => input[at] = random.u8(..),
        2 => drop(input.drain(at..until)),
        3 => {
            let copy = input[at..until].to_vec();
            let to = random.usize(0..=input.len());
            input.splice(to..to, copy);
        }
        4 => {
            let edge = EDGES[random.usize(0..EDGES.len())];
            let width = [1, 2, 4, 8][random.usize(0..4)];
            let bytes = edge.to_be_bytes();
            for (place, byte) in input[at..].iter_mut().zip(&bytes[8 - width..]) {
                *place = *byte;
            }
        }
        5 => input.truncate(at),
        6 => {
            let other = &corpus[random.usize(0..corpus.len())];
            let from = random.usize(0..=other.len());
            let part = &other[from..(from + random.usize(0..=256)).min(other.len())];
            input.splice(at..until, part.iter().copied());
        }
        7 if !words.is_empty() => {
            let word = words[random.usize(0..words.len())];
            input.splice(at..until, word.bytes());
        }
        _ => {
            let bytes: Vec<u8> = (0..random.usize(1..9)).map(|_| random.u8(..)).collect();
            input.splice(at..at, bytes);
        }
    }
}
