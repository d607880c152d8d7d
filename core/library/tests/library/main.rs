//! The library from outside: what must come back, whatever happens.

mod busy;
mod invented;
mod packed;
