//! The `overbar` program as a user calls it.

mod approximate;
mod band_folders;
mod bands;
mod calls;
mod commands;
mod documents;
mod expected;
mod grid_folders;
mod grids;
mod imports;
mod overwriting;
mod recordings;
mod support;
