//! Clicks.
