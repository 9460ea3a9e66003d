//! One pass with its settings and tables on the device.

use super::buffers::buffer;
use super::{DeviceError, Gpu};
use crate::assemble::{Edge, WORKGROUP, group_of};

/// Workgroups of one row of the dispatch; more rows follow.
const GROUPS_A_ROW: u32 = 32768;

/// A compiled pass and what it reads beside pictures.
#[derive(Debug)]
pub(super) struct Pass {
    pipeline: wgpu::ComputePipeline,
    settings: wgpu::Buffer,
    tables: wgpu::Buffer,
}

impl Pass {
    /// Compiles a text if need be, and makes room for settings and tables of these lengths.
    pub(super) fn new(gpu: &Gpu, wgsl: &str, settings: &[u8], tables: &[f32]) -> Result<Self, DeviceError> {
        use wgpu::BufferUsages as Usage;
        let pipeline = gpu.pipelines.get(wgsl)?;
        tables_fit(gpu, tables)?;
        let settings = buffer(gpu, "settings", settings.len() as u64, Usage::UNIFORM | Usage::COPY_DST);
        let tables = buffer(gpu, "tables", tables.len() as u64 * 4, Usage::STORAGE | Usage::COPY_DST);
        Ok(Self { pipeline, settings, tables })
    }

    /// Writes settings from byte `at` on, in the order of submissions: work that is on its way keeps what it had.
    pub(super) fn write_settings(&self, gpu: &Gpu, at: u64, bytes: &[u8]) {
        gpu.queue.write_buffer(&self.settings, at, bytes);
    }

    /// Writes all settings of a pass over so many pixels, which stand in front.
    pub(super) fn write_settings_for(&self, gpu: &Gpu, settings: &[u8], pixels: u64) {
        let mut bytes = settings.to_vec();
        if let Some(head) = bytes.get_mut(..4) {
            head.copy_from_slice(&pixel_word(pixels));
        }
        self.write_settings(gpu, 0, &bytes);
    }

    /// Writes how many pixels there are.
    pub(super) fn write_pixels(&self, gpu: &Gpu, pixels: u64) {
        self.write_settings(gpu, 0, &pixel_word(pixels));
    }

    /// Writes tables, as many numbers as before.
    pub(super) fn write_tables(&self, gpu: &Gpu, tables: &[f32]) {
        gpu.queue.write_buffer(&self.tables, 0, bytemuck::cast_slice(tables));
    }

    /// Its buffers with the picture it reads and the one it writes.
    pub(super) fn bind(&self, gpu: &Gpu, from: &wgpu::Buffer, to: &wgpu::Buffer) -> wgpu::BindGroup {
        let entries = [
            wgpu::BindGroupEntry { binding: 0, resource: self.settings.as_entire_binding() },
            wgpu::BindGroupEntry { binding: 1, resource: self.tables.as_entire_binding() },
            wgpu::BindGroupEntry { binding: 2, resource: from.as_entire_binding() },
            wgpu::BindGroupEntry { binding: 3, resource: to.as_entire_binding() },
        ];
        gpu.device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some("pass"),
            layout: gpu.pipelines.bind_layout(),
            entries: &entries,
        })
    }

    /// Encodes it over so many workgroups.
    pub(super) fn encode(
        &self,
        encoder: &mut wgpu::CommandEncoder,
        bind: &wgpu::BindGroup,
        [x, y]: [u32; 2],
        timestamp_writes: Option<wgpu::ComputePassTimestampWrites<'_>>,
    ) {
        let descriptor = wgpu::ComputePassDescriptor { label: Some("pass"), timestamp_writes };
        let mut pass = encoder.begin_compute_pass(&descriptor);
        pass.set_pipeline(&self.pipeline);
        pass.set_bind_group(0, bind, &[]);
        pass.dispatch_workgroups(x, y, 1);
    }
}

fn pixel_word(pixels: u64) -> [u8; 4] {
    u32::try_from(pixels).unwrap_or(u32::MAX).to_le_bytes()
}

/// Rows and columns of workgroups that cover the pixels.
pub(super) fn grid(pixels: u64, result: Edge) -> [u32; 2] {
    let threads = pixels.div_ceil(u64::from(group_of(result)));
    let groups = u32::try_from(threads.div_ceil(u64::from(WORKGROUP))).unwrap_or(u32::MAX);
    if groups <= GROUPS_A_ROW { [groups.max(1), 1] } else { [GROUPS_A_ROW, groups.div_ceil(GROUPS_A_ROW)] }
}

/// Whether a pass's tables fit into one buffer of the device.
fn tables_fit(gpu: &Gpu, tables: &[f32]) -> Result<(), DeviceError> {
    let (bytes, most) = (tables.len() as u64 * 4, gpu.largest_buffer());
    if bytes <= most {
        return Ok(());
    }
    let mebibytes = |bytes: u64| bytes.div_ceil(1 << 20);
    Err(DeviceError::Refused(format!(
        "the LUTs and curves of one pass take {} MiB, and {} takes {} MiB at once; use smaller LUTs, or set \
         GREYWRIGHT_ADAPTER=none",
        mebibytes(bytes),
        gpu.note.name,
        most >> 20
    )))
}
