//! Compiled pipelines, kept by their text.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, OnceLock};

use super::{DeviceError, Gpu, lock};

/// A pipeline that is compiled once, by whoever comes first; the others wait for it.
type Slot = Arc<OnceLock<Result<wgpu::ComputePipeline, DeviceError>>>;

/// Where a pipeline asked for in the background is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Compile {
    /// Still being compiled: show the old picture.
    Running,
    /// Ready to run.
    Ready,
    /// It did not compile.
    Failed(String),
}

/// The cache, and the layout that all passes share.
#[derive(Debug)]
pub struct Pipelines {
    device: wgpu::Device,
    bind_layout: wgpu::BindGroupLayout,
    layout: wgpu::PipelineLayout,
    slots: Mutex<BTreeMap<String, Slot>>,
    compiled: AtomicUsize,
}

impl Pipelines {
    pub(super) fn new(device: &wgpu::Device) -> Self {
        let entry = |binding, ty| wgpu::BindGroupLayoutEntry {
            binding,
            visibility: wgpu::ShaderStages::COMPUTE,
            ty: wgpu::BindingType::Buffer { ty, has_dynamic_offset: false, min_binding_size: None },
            count: None,
        };
        let storage = |read_only| wgpu::BufferBindingType::Storage { read_only };
        let bind_layout = device.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
            label: Some("settings, tables, source, result"),
            entries: &[
                entry(0, wgpu::BufferBindingType::Uniform),
                entry(1, storage(true)),
                entry(2, storage(true)),
                entry(3, storage(false)),
            ],
        });
        let layout = device.create_pipeline_layout(&wgpu::PipelineLayoutDescriptor {
            label: Some("pass"),
            bind_group_layouts: &[Some(&bind_layout)],
            immediate_size: 0,
        });
        Self { device: device.clone(), bind_layout, layout, slots: Mutex::default(), compiled: AtomicUsize::new(0) }
    }

    pub(super) fn bind_layout(&self) -> &wgpu::BindGroupLayout {
        &self.bind_layout
    }

    /// How many pipelines have been compiled so far. Moving a setting does not change it.
    pub fn compiled(&self) -> usize {
        self.compiled.load(Ordering::Relaxed)
    }

    fn slot(&self, wgsl: &str) -> Slot {
        let mut slots = lock(&self.slots);
        if let Some(slot) = slots.get(wgsl) {
            return Arc::clone(slot);
        }
        Arc::clone(slots.entry(wgsl.to_string()).or_default())
    }

    /// The pipeline of a text, compiled now if it is not there yet.
    pub(super) fn get(&self, wgsl: &str) -> Result<wgpu::ComputePipeline, DeviceError> {
        self.slot(wgsl).get_or_init(|| self.compile(wgsl)).clone()
    }

    fn compile(&self, wgsl: &str) -> Result<wgpu::ComputePipeline, DeviceError> {
        self.compiled.fetch_add(1, Ordering::Relaxed);
        let scope = self.device.push_error_scope(wgpu::ErrorFilter::Validation);
        let module = self.device.create_shader_module(wgpu::ShaderModuleDescriptor {
            label: Some("pass"),
            source: wgpu::ShaderSource::Wgsl(wgsl.into()),
        });
        let pipeline = self.device.create_compute_pipeline(&wgpu::ComputePipelineDescriptor {
            label: Some("pass"),
            layout: Some(&self.layout),
            module: &module,
            entry_point: Some("main"),
            // Kernels that hold counts empty them themselves, all threads at once.
            compilation_options: wgpu::PipelineCompilationOptions {
                zero_initialize_workgroup_memory: false,
                ..wgpu::PipelineCompilationOptions::default()
            },
            cache: None,
        });
        match pollster::block_on(scope.pop()) {
            Some(error) => Err(DeviceError::Compile(error.to_string())),
            None => Ok(pipeline),
        }
    }
}

impl Gpu {
    /// Compiles a text in the background if need be, and says how far it is. Ask again to learn more.
    pub fn prepare(self: &Arc<Self>, wgsl: &str) -> Compile {
        let slot = self.pipelines.slot(wgsl);
        match slot.get() {
            Some(Ok(_)) => return Compile::Ready,
            Some(Err(error)) => return Compile::Failed(error.to_string()),
            None => {}
        }
        // The slot is held by the cache and by whoever compiles it; a third holder is us.
        let running = Arc::strong_count(&slot) > 2;
        if !running {
            let (gpu, wgsl) = (Arc::clone(self), wgsl.to_string());
            let name = "compile a pass".to_string();
            let started = std::thread::Builder::new().name(name).spawn(move || {
                slot.get_or_init(|| gpu.pipelines.compile(&wgsl));
            });
            if let Err(error) = started {
                return Compile::Failed(error.to_string());
            }
        }
        Compile::Running
    }
}
