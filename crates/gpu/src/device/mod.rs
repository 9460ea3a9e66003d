//! The device: adapters, pipelines, frames through a program, time.

mod adapter;
mod buffers;
mod clock;
mod drawn;
mod held;
mod held_frames;
mod pass;
mod pipelines;
mod renderer;
mod runner;
mod scopes;
mod screen;
mod tiles;
mod timing;

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

pub use adapter::{AdapterChoice, AdapterNote, adapters};
pub use drawn::Drawn;
pub use held::Held;
pub use held_frames::HeldFrames;
pub use pipelines::{Compile, Pipelines};
pub use renderer::Renderer;
pub use runner::{Runner, Ticket};
pub use scopes::Scopes;
pub use screen::{OnScreen, SCREEN_EDGE, Screen, Sight, heat, seen};
pub use timing::{Job, Timing, time};

/// How often a lost device is opened again for the same frame before giving up.
const ATTEMPTS: u32 = 3;

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
    instance: wgpu::Instance,
    adapter: wgpu::Adapter,
    device: wgpu::Device,
    queue: wgpu::Queue,
    note: AdapterNote,
    limits: wgpu::Limits,
    /// Whether buffers that shaders use can be mapped, as on software and integrated adapters.
    direct: bool,
    timestamps: bool,
    trouble: Arc<Trouble>,
    pipelines: Pipelines,
    uploads: AtomicUsize,
    /// What stands in for this device since it was lost.
    heir: Mutex<Option<Arc<Gpu>>>,
}

/// The device by its parts, for a window.
#[derive(Debug, Clone)]
pub struct Parts {
    /// Makes surfaces.
    pub instance: wgpu::Instance,
    /// Says what surfaces can.
    pub adapter: wgpu::Adapter,
    /// Makes what is drawn with.
    pub device: wgpu::Device,
    /// Takes the work.
    pub queue: wgpu::Queue,
}

impl Gpu {
    /// The adapter it runs on.
    pub fn note(&self) -> &AdapterNote {
        &self.note
    }

    /// What a window needs to draw on the same device as the pictures.
    pub fn parts(&self) -> Parts {
        let Self { instance, adapter, device, queue, .. } = self;
        Parts { instance: instance.clone(), adapter: adapter.clone(), device: device.clone(), queue: queue.clone() }
    }

    /// The compiled programs.
    pub fn pipelines(&self) -> &Pipelines {
        &self.pipelines
    }

    /// The most bytes one buffer of a pass may have.
    pub fn largest_buffer(&self) -> u64 {
        self.limits.max_storage_buffer_binding_size.min(self.limits.max_buffer_size)
    }

    /// How many times stored pixels have been sent to it: once a frame, or once a tile of one.
    pub fn uploads(&self) -> usize {
        self.uploads.load(Ordering::Relaxed)
    }

    fn count_upload(&self) {
        self.uploads.fetch_add(1, Ordering::Relaxed);
    }

    /// Whether the device went away, as far as is known: what is on its way may have to end first.
    pub fn is_lost(&self) -> bool {
        let _ = self.device.poll(wgpu::PollType::Poll);
        lock(&self.trouble.lost).is_some()
    }

    /// Whether the device is there, for certain.
    fn still_there(&self) -> Result<(), DeviceError> {
        // Its callback is only heard when it is polled and nothing is on its way.
        let _ = self.device.poll(wgpu::PollType::Wait { submission_index: None, timeout: None });
        match lock(&self.trouble.lost).clone() {
            Some(reason) => Err(DeviceError::Lost { reason }),
            None => Ok(()),
        }
    }

    /// The device that stands in for this one, which was lost: opened for whoever asks first, the same for all who ask later,
    /// so that they go on sharing what they hold.
    ///
    /// # Errors
    /// As [`Gpu::open`]; [`DeviceError::Lost`] where there is no adapter any more.
    pub fn again(self: &Arc<Self>, choice: &AdapterChoice) -> Result<Arc<Self>, DeviceError> {
        // It may not have said so yet.
        lock(&self.trouble.lost).get_or_insert("it was given up".to_string());
        let mut gpu = Arc::clone(self);
        loop {
            let heir = gpu.heir_or_open(choice)?;
            if !heir.is_lost() {
                return Ok(heir);
            }
            gpu = heir;
        }
    }

    fn heir_or_open(&self, choice: &AdapterChoice) -> Result<Arc<Self>, DeviceError> {
        let mut heir = lock(&self.heir);
        if let Some(heir) = &*heir {
            return Ok(Arc::clone(heir));
        }
        let none = || DeviceError::Lost { reason: "there is no adapter any more".to_string() };
        let opened = Self::open(choice)?.ok_or_else(none)?;
        Ok(Arc::clone(heir.insert(opened)))
    }

    /// Waits until all that was submitted is done, or the device is lost.
    pub fn rest(&self) {
        let _ = self.device.poll(wgpu::PollType::Wait { submission_index: None, timeout: None });
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
        // What a lost device refuses, it refuses because it is lost.
        self.still_there()?;
        Err(DeviceError::Refused(reason))
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
