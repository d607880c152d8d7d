//! Overbar as a CLAP and VST3 plugin: captures on the audio thread, analyses on a worker,
//! draws a snapshot in the panel.
//!
//! The audio thread ([`capture`]) stamps events and queues them; the [`worker`] feeds them to
//! `overbar-core`; the [`panel`] draws what it publishes in [`shared`]. The project's copy of
//! the takes is in [`state`].

pub mod ask;
mod audio;
pub mod capture;
pub mod editor;
#[cfg(feature = "faults")]
pub mod faults;
mod guard;
pub mod headline;
mod job;
pub mod knobs;
pub mod library_browser;
mod lock;
pub mod out;
mod own_time;
pub mod panel;
pub mod params;
mod plugin;
pub mod practice;
pub mod progress_job;
pub mod repaint;
pub mod shared;
pub mod state;
pub mod view_model;
pub mod worker;

pub use plugin::Overbar;

nice_plug::nice_export_clap!(Overbar);
nice_plug::nice_export_vst3!(Overbar);
