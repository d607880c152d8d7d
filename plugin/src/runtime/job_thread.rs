//! A thread for long work, such as file I/O, that neither worker nor panel may wait for. It starts with the
//! first job and ends with its owner.

use crate::runtime::guard::guard;
use crate::runtime::lock::lock;
use std::sync::mpsc::{Sender, channel};
use std::sync::{Mutex, PoisonError};
use std::thread::{Builder, JoinHandle};

type Job = Box<dyn FnOnce() + Send>;

/// A thread that runs jobs in order.
#[derive(Default)]
pub struct JobThread(Mutex<Option<Running>>);

struct Running {
    jobs: Sender<Job>,
    thread: JoinHandle<()>,
}

impl JobThread {
    /// Runs `job` after the ones before it. A panic ends only that job.
    ///
    /// If the system cannot start a thread.
    /// If the system gives no thread.
    pub fn run(&self, job: impl FnOnce() + Send + 'static) -> std::io::Result<()> {
        let mut running = lock(&self.0);
        if running.as_ref().is_none_or(|running| running.thread.is_finished()) {
            let (jobs, queue) = channel::<Job>();
            let work = move || {
                for job in queue {
                    // The job reports its own result.
                    let _ = guard(job);
                }
            };
            let thread = Builder::new().name("overbar jobs".to_owned()).spawn(work)?;
            *running = Some(Running { jobs, thread });
        }
        match running.as_ref().map(|running| running.jobs.send(Box::new(job))) {
            Some(Ok(())) => Ok(()),
            _ => Err(std::io::Error::other("its thread has ended")),
        }
    }
}

impl Drop for JobThread {
    fn drop(&mut self) {
        let running = self.0.get_mut().unwrap_or_else(PoisonError::into_inner).take();
        if let Some(Running { jobs, thread }) = running {
            drop(jobs);
            if thread.join().is_err() {
                // It panicked outside its guard, and the panic hook has reported it.
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::runtime::job_thread::JobThread;
    use std::sync::mpsc::channel;

    #[test]
    fn jobs_run_in_order_and_a_panic_ends_only_one() {
        let thread = JobThread::default();
        let (sender, receiver) = channel();
        for number in 0..4 {
            let sender = sender.clone();
            let job = move || {
                assert!(number != 1, "injected");
                sender.send(number).unwrap();
            };
            thread.run(job).unwrap();
        }
        drop((thread, sender));
        assert_eq!(
            receiver.iter().collect::<Vec<_>>(),
            [0, 2, 3],
            "all is done when it is dropped"
        );
    }
}
