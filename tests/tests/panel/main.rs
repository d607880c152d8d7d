//! What the panel shows: pictures, the lie of its text, its colours, and what it tells a screen
//! reader.
#![cfg(feature = "pictures")]

mod bench_errands;
mod bench_scenes;
mod colours;
mod copy_errands;
mod drill_errands;
mod errands;
mod grip;
mod hear_errands;
mod help;
mod keys;
mod lie_of_the_text;
mod listen_scenes;
mod notices_errands;
mod pictures;
mod practice_scenes;
mod progress_scenes;
mod scene;
mod scenes;
mod screen_reader;
mod soloist;
mod stage;
mod steppers;
mod stored;
mod system_errands;
mod takes_errands;
mod takes_scenes;
mod tap_errands;
mod tap_scenes;
mod tasks;
mod typeface;
mod undo_errands;
mod used_area;
mod views;
mod words;
