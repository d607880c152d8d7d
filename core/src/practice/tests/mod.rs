//! Every drill on invented performances with a known answer, and on their opposite.

mod endings;
mod entries;
mod felt_pulse;
mod files;
mod landings;
mod lines;
mod live;
mod player;
mod story;
mod tempos;
