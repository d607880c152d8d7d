//! What the tests of the commands share.

pub mod command;
