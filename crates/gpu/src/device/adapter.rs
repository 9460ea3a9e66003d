//! Which adapter is used, and opening it.

use std::fmt;
use std::sync::atomic::AtomicUsize;
use std::sync::{Arc, Mutex};

use super::{DeviceError, Gpu, Pipelines, Trouble, lock};

/// Which adapter is wanted.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum AdapterChoice {
    /// The best there is: hardware before software; none if there is none.
    #[default]
    Best,
    /// No adapter: the proof renders.
    None,
    /// A software adapter.
    Software,
    /// The adapter whose name contains this, ignoring case.
    Named(String),
}

impl AdapterChoice {
    /// As `GREYWRIGHT_ADAPTER` says: `none`, `software`, or a part of a name; the best if it is not set.
    pub fn from_environment() -> Self {
        match std::env::var("GREYWRIGHT_ADAPTER") {
            Ok(text) => Self::parse(&text),
            Err(_) => Self::Best,
        }
    }

    /// Reads `none`, `software`, or a part of a name; empty is the best.
    pub fn parse(text: &str) -> Self {
        match text.trim() {
            "" => Self::Best,
            "none" => Self::None,
            "software" => Self::Software,
            name => Self::Named(name.to_string()),
        }
    }
}

/// An adapter, described.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AdapterNote {
    /// Its name.
    pub name: String,
    /// `discrete`, `integrated`, `virtual`, `software` or `other`.
    pub kind: &'static str,
    /// The interface it is reached by.
    pub backend: String,
    /// Driver and version.
    pub driver: String,
    /// Whether it can time its own work.
    pub timestamps: bool,
}

impl fmt::Display for AdapterNote {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({}, {})", self.name, self.kind, self.backend)
    }
}

fn kind(kind: wgpu::DeviceType) -> (&'static str, u8) {
    match kind {
        wgpu::DeviceType::DiscreteGpu => ("discrete", 0),
        wgpu::DeviceType::IntegratedGpu => ("integrated", 1),
        wgpu::DeviceType::VirtualGpu => ("virtual", 2),
        wgpu::DeviceType::Other => ("other", 3),
        wgpu::DeviceType::Cpu => ("software", 4),
    }
}

fn note(adapter: &wgpu::Adapter) -> AdapterNote {
    let info = adapter.get_info();
    AdapterNote {
        name: info.name,
        kind: kind(info.device_type).0,
        backend: info.backend.to_string(),
        driver: format!("{} {}", info.driver, info.driver_info).trim().to_string(),
        timestamps: adapter.features().contains(wgpu::Features::TIMESTAMP_QUERY),
    }
}

/// Every adapter that can run our passes, hardware first.
fn usable() -> (wgpu::Instance, Vec<wgpu::Adapter>) {
    let mut descriptor = wgpu::InstanceDescriptor::new_without_display_handle();
    descriptor.backends = wgpu::Backends::VULKAN | wgpu::Backends::METAL | wgpu::Backends::DX12;
    descriptor.flags = wgpu::InstanceFlags::empty();
    let instance = wgpu::Instance::new(descriptor);
    let mut adapters = pollster::block_on(instance.enumerate_adapters(wgpu::Backends::all()));
    adapters.retain(|adapter| adapter.limits().max_compute_invocations_per_workgroup >= crate::assemble::WORKGROUP);
    adapters.sort_by_key(|adapter| kind(adapter.get_info().device_type).1);
    (instance, adapters)
}

/// Describes every adapter that can run our passes, hardware first.
pub fn adapters() -> Vec<AdapterNote> {
    usable().1.iter().map(note).collect()
}

impl Gpu {
    /// Opens the adapter of choice. None if none is wanted, or if the best is wanted and there is none.
    ///
    /// # Errors
    /// A named or software adapter that is not there; an adapter that gives no device.
    pub fn open(choice: &AdapterChoice) -> Result<Option<Arc<Self>>, DeviceError> {
        if *choice == AdapterChoice::None {
            return Ok(None);
        }
        let (instance, adapters) = usable();
        let found = || {
            let names: Vec<_> = adapters.iter().map(|adapter| note(adapter).to_string()).collect();
            if names.is_empty() { "none at all".to_string() } else { names.join("; ") }
        };
        let matches = |adapter: &&wgpu::Adapter| match choice {
            AdapterChoice::Software => adapter.get_info().device_type == wgpu::DeviceType::Cpu,
            AdapterChoice::Named(name) => adapter.get_info().name.to_lowercase().contains(&name.to_lowercase()),
            _ => true,
        };
        let wanted = match choice {
            AdapterChoice::Software => "software",
            AdapterChoice::Named(name) => name,
            _ => "",
        };
        match adapters.iter().find(matches) {
            Some(adapter) => Self::on(instance.clone(), adapter).map(Some),
            None if *choice == AdapterChoice::Best => Ok(None),
            None => Err(DeviceError::NoAdapter { wanted: wanted.to_string(), found: found() }),
        }
    }

    fn on(instance: wgpu::Instance, adapter: &wgpu::Adapter) -> Result<Arc<Self>, DeviceError> {
        let note = note(adapter);
        let shared_memory =
            matches!(adapter.get_info().device_type, wgpu::DeviceType::Cpu | wgpu::DeviceType::IntegratedGpu);
        let wanted = wgpu::Features::TIMESTAMP_QUERY
            | wgpu::Features::TIMESTAMP_QUERY_INSIDE_ENCODERS
            | if shared_memory { wgpu::Features::MAPPABLE_PRIMARY_BUFFERS } else { wgpu::Features::empty() };
        let features = adapter.features() & wanted;
        let limits = adapter.limits();
        let descriptor = wgpu::DeviceDescriptor {
            label: Some("greywright"),
            required_features: features,
            required_limits: limits.clone(),
            ..Default::default()
        };
        let (device, queue) = pollster::block_on(adapter.request_device(&descriptor))
            .map_err(|error| DeviceError::NoDevice { adapter: note.name.clone(), reason: error.to_string() })?;
        let trouble = Arc::new(Trouble::default());
        let seen = Arc::clone(&trouble);
        device.set_device_lost_callback(move |_, reason| {
            lock(&seen.lost).get_or_insert(if reason.is_empty() { "no reason given".to_string() } else { reason });
        });
        let seen = Arc::clone(&trouble);
        device.on_uncaptured_error(Arc::new(move |error: wgpu::Error| {
            lock(&seen.refused).get_or_insert(error.to_string());
        }));
        let pipelines = Pipelines::new(&device);
        Ok(Arc::new(Self {
            direct: features.contains(wgpu::Features::MAPPABLE_PRIMARY_BUFFERS),
            timestamps: features
                .contains(wgpu::Features::TIMESTAMP_QUERY | wgpu::Features::TIMESTAMP_QUERY_INSIDE_ENCODERS),
            instance,
            adapter: adapter.clone(),
            device,
            queue,
            note,
            limits,
            trouble,
            pipelines,
            uploads: AtomicUsize::new(0),
            heir: Mutex::default(),
        }))
    }
}
