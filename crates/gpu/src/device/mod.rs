//! The device: adapters, pipelines, frames through a program, time.

mod adapter;
mod pipelines;
mod renderer;
mod runner;
mod scopes;
mod tiles;
mod timing;

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

pub use adapter::{AdapterChoice, AdapterNote, adapters};
pub use pipelines::{Compile, Pipelines};
pub use renderer::Renderer;
pub use runner::{Runner, Ticket};
pub use scopes::Scopes;
pub use timing::{Job, Timing, time};

/// Why the device did not do what was asked.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DeviceError {
    /// The adapter asked for is not there.
    #[error(
        "there is no adapter '{wanted}'; there are: {found}. Set GREYWRIGHT_ADAPTER to one of them, to software, or to none"
    )]
    NoAdapter {
        /// What was asked for.
        wanted: String,
        /// What there is.
        found: String,
    },
    /// The adapter gives no device.
    #[error(
        "the adapter {adapter} gives no device: {reason}; set GREYWRIGHT_ADAPTER=software or none to go on without it"
    )]
    NoDevice {
        /// The adapter.
        adapter: String,
        /// Why.
        reason: String,
    },
    /// The device went away: driver reset, unplugged, taken.
    #[error("the graphics device was lost: {reason}")]
    Lost {
        /// What the driver says.
        reason: String,
    },
    /// A pipeline did not compile.
    #[error("a pipeline did not compile: {0}")]
    Compile(String),
    /// The device refused some work.
    #[error("the graphics device refused the work: {0}")]
    Refused(String),
    /// The frame does not fit the layout that the program was made for.
    #[error("the frame has {found} bytes where {wanted} are wanted")]
    WrongSize {
        /// Bytes of the frame.
        found: usize,
        /// Bytes wanted.
        wanted: usize,
    },
    /// The device cannot time its work.
    #[error("this adapter has no timestamps")]
    NoTimestamps,
}

/// Locks even when another thread panicked while it held the lock: what is behind these locks is always whole.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// What went wrong on a device, as its callbacks report it.
#[derive(Debug, Default)]
struct Trouble {
    lost: Mutex<Option<String>>,
    refused: Mutex<Option<String>>,
}

/// An open device with its pipelines.
#[derive(Debug)]
pub struct Gpu {
    device: wgpu::Device,
    queue: wgpu::Queue,
    note: AdapterNote,
    limits: wgpu::Limits,
    /// Whether buffers that shaders use can be mapped, as on software and integrated adapters.
    direct: bool,
    timestamps: bool,
    trouble: Arc<Trouble>,
    pipelines: Pipelines,
}

impl Gpu {
    /// The adapter it runs on.
    pub fn note(&self) -> &AdapterNote {
        &self.note
    }

    /// The compiled programs.
    pub fn pipelines(&self) -> &Pipelines {
        &self.pipelines
    }

    /// The most bytes one buffer of a pass may have.
    pub fn largest_buffer(&self) -> u64 {
        self.limits.max_storage_buffer_binding_size.min(self.limits.max_buffer_size)
    }

    /// Gives the device up, as a driver reset would: for tests of what happens then.
    pub fn lose(&self) {
        self.device.destroy();
    }

    /// What has gone wrong since the last call, a lost device first.
    fn trouble(&self) -> Result<(), DeviceError> {
        if let Some(reason) = lock(&self.trouble.lost).clone() {
            return Err(DeviceError::Lost { reason });
        }
        let Some(reason) = lock(&self.trouble.refused).take() else { return Ok(()) };
        // What a lost device refuses, it refuses because it is lost; its callback is only heard when it is polled.
        let _ = self.device.poll(wgpu::PollType::Poll);
        match lock(&self.trouble.lost).clone() {
            Some(reason) => Err(DeviceError::Lost { reason }),
            None => Err(DeviceError::Refused(reason)),
        }
    }

    /// Waits until everything submitted is done.
    fn wait(&self, submission: Option<wgpu::SubmissionIndex>) -> Result<(), DeviceError> {
        let waited = self.device.poll(wgpu::PollType::Wait { submission_index: submission, timeout: None });
        self.trouble()?;
        match waited {
            Ok(_) => Ok(()),
            // Work that was never taken: a device that is gone takes none, and may not have said so yet.
            Err(wgpu::PollError::WrongSubmissionIndex(..)) => {
                Err(DeviceError::Lost { reason: "it took no work".to_string() })
            }
            Err(error) => Err(DeviceError::Refused(error.to_string())),
        }
    }
}
