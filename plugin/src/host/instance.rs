//! What both plugins have in common: their shared state, the library and the worker.

use crate::audio::capture::Capture;
use crate::audio::hear::HearOutput;
use crate::worker::shared::Shared;
use crate::worker::{ParameterValues, Worker};
use overbar_library::default_path;
use std::sync::Arc;

/// The common part of a plugin instance.
pub struct Instance {
    shared: Arc<Shared>,
    worker: Option<Worker>,
}

impl Instance {
    /// A new instance, and its ends on the audio thread, with queues for audio if it `listens`.
    pub fn new(listens: bool) -> (Self, Capture, HearOutput) {
        let (shared, audio_end) = Shared::new(listens);
        let shared = Arc::new(shared);
        #[cfg(feature = "faults")]
        crate::host::inspect::made(&shared);
        let hear = HearOutput::new(shared.publisher.hear.link().clone());
        (Self { shared, worker: None }, Capture::new(audio_end), hear)
    }

    /// The state shared by its threads.
    pub fn shared(&self) -> &Arc<Shared> {
        &self.shared
    }

    /// Starts library and worker if they are not running.
    pub fn start(&mut self, values: impl Fn() -> ParameterValues + Send + 'static) {
        self.start_library();
        if self.worker.as_ref().is_none_or(Worker::is_dead) {
            match Worker::start(self.shared.clone(), values) {
                Ok(worker) => self.worker = Some(worker),
                Err(error) => {
                    self.shared.panel.notice(format!("Couldn't start the analysis: {error}."))
                }
            }
        }
    }

    /// Opens the library only once the plugin is in use, so that a host that scans it leaves no file.
    fn start_library(&self) {
        let started = match default_path() {
            Some(path) => self.shared.take_store().start(path).map_err(|error| error.to_string()),
            None => Err("no folder for data found".to_owned()),
        };
        if let Err(why) = started {
            self.shared.panel.notice(format!(
                "No library available ({why}): takes are saved in the project only."
            ));
        }
    }
}
