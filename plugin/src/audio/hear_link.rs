//! The link between the Hear job and the audio thread: the newest order, finished orders, and the progress of
//! playback. Both directions are wait-free; only the job's side allocates and frees.

use atomic_float::AtomicF64;
use crossbeam::atomic::AtomicCell;
use overbar_core::output::hear::Player;
use overbar_core::time::Beat;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

/// An order to play something, or to fall silent.
pub struct HearOrder {
    /// Orders are numbered from 1.
    pub number: u64,
    /// What to play; `None` stops playback.
    pub player: Option<Player>,
    /// The order handed back before this one.
    before: Slot,
}

type Slot = Option<Box<HearOrder>>;

const _: () = assert!(AtomicCell::<Slot>::is_lock_free());

/// Shared by both sides.
pub struct HearLink {
    order: AtomicCell<Slot>,
    has_order: AtomicBool,
    done: AtomicCell<Slot>,
    begun: AtomicU64,
    ended: AtomicU64,
    /// NaN while nothing plays, or without a beat grid.
    beat: AtomicF64,
}

impl Default for HearLink {
    fn default() -> Self {
        Self {
            order: AtomicCell::new(None),
            has_order: AtomicBool::new(false),
            done: AtomicCell::new(None),
            begun: AtomicU64::new(0),
            ended: AtomicU64::new(0),
            beat: AtomicF64::new(f64::NAN),
        }
    }
}

impl HearLink {
    /// Hands an order over, in place of one still waiting, and frees finished ones.
    pub fn hand_over(&self, number: u64, player: Option<Player>) {
        self.free();
        let order = Box::new(HearOrder { number, player, before: None });
        drop(self.order.swap(Some(order)));
        self.has_order.store(true, Ordering::Release);
    }

    /// Takes back the waiting order, if there is one.
    pub fn withdraw(&self) {
        if let Some(order) = self.order.take() {
            self.ended.fetch_max(order.number, Ordering::Release);
        }
    }

    /// Frees the finished orders.
    pub fn free(&self) {
        let mut done = self.done.take();
        while let Some(mut order) = done {
            done = order.before.take();
        }
    }

    /// The number of the last order that the audio thread took.
    pub fn begun(&self) -> u64 {
        self.begun.load(Ordering::Acquire)
    }

    /// The number of the last order that has ended.
    pub fn ended(&self) -> u64 {
        self.ended.load(Ordering::Acquire)
    }

    /// The playback position in the song.
    pub fn playhead(&self) -> Option<Beat> {
        let beat = self.beat.load(Ordering::Relaxed);
        beat.is_finite().then_some(Beat(beat))
    }

    /// Whether an order may be waiting.
    ///
    /// # Realtime safety
    /// One load.
    pub fn has_order(&self) -> bool {
        self.has_order.load(Ordering::Acquire)
    }

    /// Takes the waiting order. For the audio thread only.
    ///
    /// # Realtime safety
    /// Wait-free.
    pub(super) fn take_order(&self) -> Slot {
        // An order handed over after this sets the flag again.
        self.has_order.store(false, Ordering::Relaxed);
        let order = self.order.take();
        if let Some(order) = &order {
            self.begun.fetch_max(order.number, Ordering::Release);
        }
        order
    }

    /// Hands back an order that has ended. For the audio thread only.
    ///
    /// # Realtime safety
    /// Wait-free. Nothing is freed, because no other thread fills the slot between the two steps.
    pub(super) fn hand_back(&self, mut order: Box<HearOrder>) {
        self.ended.fetch_max(order.number, Ordering::Release);
        self.beat.store(f64::NAN, Ordering::Relaxed);
        order.before = self.done.take();
        let none = self.done.swap(Some(order));
        debug_assert!(none.is_none(), "one thread hands back");
    }

    /// Sets the playback position.
    ///
    /// # Realtime safety
    /// Wait-free.
    pub(super) fn set_playhead(&self, beat: Option<Beat>) {
        self.beat.store(beat.map_or(f64::NAN, |beat| beat.0), Ordering::Relaxed);
    }
}
