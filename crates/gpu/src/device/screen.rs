//! Drawn pictures on a window: they go from the device's memory to its surface and never through the CPU.

use std::sync::Arc;

use frame::{ByteOrder, Channels, Layout, Range, Samples, Size};

use super::buffers::{Reading, buffer};
use super::{DeviceError, Drawn, Gpu};
use crate::assemble::Edge;

/// The bytes of the struct `Screen` of `passes/screen.wgsl`.
const SETTINGS: u64 = 48;
/// The bytes of a pixel of what [`seen`] gives.
const PIXEL_BYTES: u32 = 16;

/// How the results of programs are stored that a screen takes: 10-bit codes of the full range, a word a pixel.
pub const SCREEN_EDGE: Edge = Edge::Stored(Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Little), Range::Full);

/// Draws pictures on surfaces of one format.
#[derive(Debug)]
pub struct Screen {
    gpu: Arc<Gpu>,
    pipeline: wgpu::RenderPipeline,
    layout: wgpu::BindGroupLayout,
}

/// What is to be seen of a picture, or of two.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sight {
    /// The place in the picture, in its own pixels, that lies at the left upper corner of the surface.
    pub corner: [f32; 2],
    /// Picture pixels to a surface pixel, across and down: they differ where pixels are not square.
    pub step: [f32; 2],
    /// Where the second picture begins, in surface pixels from the left; beyond the surface where there is none.
    pub seam: f32,
    /// Right of the seam, how far the second picture is from the first is seen in its place: the 10-bit codes that the scale
    /// of differences reaches to.
    pub difference: Option<f32>,
}

/// One picture, or two of one size, ready to be drawn.
#[derive(Debug)]
pub struct OnScreen {
    pieces: Vec<Piece>,
    // Buffers go back to their renderer when the last hold of them goes.
    _held: [Arc<Drawn>; 2],
}

#[derive(Debug)]
struct Piece {
    place: [u32; 4],
    settings: wgpu::Buffer,
    bind: wgpu::BindGroup,
}

/// The ink of a difference, as display code: `share` is the difference by what the scale of differences reaches to, 0 to 1.
///
/// One hue that gets lighter: nothing is black, the end of the scale and all beyond it near white.
pub fn heat(share: f32) -> [f32; 3] {
    const MIDDLE: [f32; 3] = [0.05, 0.25, 0.55];
    const END: [f32; 3] = [0.85, 0.93, 1.0];
    let share = share.clamp(0.0, 1.0) * 2.0;
    let (low, high) = (share.min(1.0), (share - 1.0).max(0.0));
    std::array::from_fn(|at| {
        let middle = MIDDLE[at] * low;
        middle + (END[at] - middle) * high
    })
}

impl Screen {
    /// A screen for surfaces of a format, which must not encode codes once more.
    pub fn new(gpu: &Arc<Gpu>, format: wgpu::TextureFormat) -> Self {
        let source = wgpu::ShaderSource::Wgsl(include_str!("../../../../shaders/passes/screen.wgsl").into());
        let module = gpu.device.create_shader_module(wgpu::ShaderModuleDescriptor { label: Some("screen"), source });
        let entry = |binding, ty| wgpu::BindGroupLayoutEntry {
            binding,
            visibility: wgpu::ShaderStages::FRAGMENT,
            ty: wgpu::BindingType::Buffer { ty, has_dynamic_offset: false, min_binding_size: None },
            count: None,
        };
        let storage = wgpu::BufferBindingType::Storage { read_only: true };
        let layout = gpu.device.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
            label: Some("screen"),
            entries: &[entry(0, wgpu::BufferBindingType::Uniform), entry(1, storage), entry(2, storage)],
        });
        let pipeline_layout = gpu.device.create_pipeline_layout(&wgpu::PipelineLayoutDescriptor {
            label: Some("screen"),
            bind_group_layouts: &[Some(&layout)],
            immediate_size: 0,
        });
        let pipeline = gpu.device.create_render_pipeline(&wgpu::RenderPipelineDescriptor {
            label: Some("screen"),
            layout: Some(&pipeline_layout),
            vertex: wgpu::VertexState {
                module: &module,
                entry_point: Some("corners"),
                compilation_options: wgpu::PipelineCompilationOptions::default(),
                buffers: &[],
            },
            fragment: Some(wgpu::FragmentState {
                module: &module,
                entry_point: Some("shade"),
                compilation_options: wgpu::PipelineCompilationOptions::default(),
                targets: &[Some(format.into())],
            }),
            primitive: wgpu::PrimitiveState::default(),
            depth_stencil: None,
            multisample: wgpu::MultisampleState::default(),
            multiview_mask: None,
            cache: None,
        });
        Self { gpu: Arc::clone(gpu), pipeline, layout }
    }

    /// Makes pictures ready; without a second one the first stands in. None where a picture is stored otherwise than
    /// [`SCREEN_EDGE`] says, lies on another device, or the two differ in size.
    pub fn ready(&self, first: &Arc<Drawn>, second: Option<&Arc<Drawn>>) -> Option<OnScreen> {
        let second = second.unwrap_or(first);
        let fits = |drawn: &Drawn| drawn.edge() == SCREEN_EDGE && Arc::ptr_eq(drawn.gpu(), &self.gpu);
        if !fits(first) || !fits(second) || first.size() != second.size() {
            return None;
        }
        let pieces = first.pieces().zip(second.pieces()).map(|((region, a), (_, b))| {
            let settings = self.gpu.device.create_buffer(&wgpu::BufferDescriptor {
                label: Some("screen"),
                size: SETTINGS,
                usage: wgpu::BufferUsages::UNIFORM | wgpu::BufferUsages::COPY_DST,
                mapped_at_creation: false,
            });
            let bind = self.gpu.device.create_bind_group(&wgpu::BindGroupDescriptor {
                label: Some("screen"),
                layout: &self.layout,
                entries: &[
                    wgpu::BindGroupEntry { binding: 0, resource: settings.as_entire_binding() },
                    wgpu::BindGroupEntry { binding: 1, resource: a.as_entire_binding() },
                    wgpu::BindGroupEntry { binding: 2, resource: b.as_entire_binding() },
                ],
            });
            Piece { place: [region.x(), region.y(), region.width(), region.height()], settings, bind }
        });
        Some(OnScreen { pieces: pieces.collect(), _held: [Arc::clone(first), Arc::clone(second)] })
    }

    /// Says what is to be seen from the next submission on.
    pub fn set(&self, picture: &OnScreen, sight: &Sight) {
        for piece in &picture.pieces {
            let mut bytes = Vec::with_capacity(SETTINGS as usize);
            piece.place.iter().for_each(|value| bytes.extend_from_slice(&value.to_le_bytes()));
            let [corner, step] = [sight.corner, sight.step];
            let floats = [corner[0], corner[1], step[0], step[1], sight.seam];
            floats.iter().for_each(|value| bytes.extend_from_slice(&value.to_le_bytes()));
            bytes.extend_from_slice(&u32::from(sight.difference.is_some()).to_le_bytes());
            bytes.extend_from_slice(&sight.difference.unwrap_or(1.0).max(1.0).to_le_bytes());
            bytes.resize(SETTINGS as usize, 0);
            self.gpu.queue.write_buffer(&piece.settings, 0, &bytes);
        }
    }

    /// Draws a picture in a pass, within the viewport that is set.
    pub fn paint(&self, picture: &OnScreen, pass: &mut wgpu::RenderPass<'_>) {
        pass.set_pipeline(&self.pipeline);
        for piece in &picture.pieces {
            pass.set_bind_group(0, &piece.bind, &[]);
            pass.draw(0..3, 0..1);
        }
    }
}

/// What a surface of `size` pixels would show, row by row as `[red, green, blue, 1]` (code 0 to 1), four zeros where no picture
/// is. None where [`Screen::ready`] makes none.
///
/// # Errors
/// A lost device; work that the device refused.
pub fn seen(
    first: &Arc<Drawn>,
    second: Option<&Arc<Drawn>>,
    sight: &Sight,
    size: Size,
) -> Result<Option<Vec<[f32; 4]>>, DeviceError> {
    let gpu = first.gpu();
    let format = wgpu::TextureFormat::Rgba32Float;
    let screen = Screen::new(gpu, format);
    let Some(picture) = screen.ready(first, second) else { return Ok(None) };
    screen.set(&picture, sight);
    let extent = wgpu::Extent3d { width: size.width, height: size.height, depth_or_array_layers: 1 };
    let texture = gpu.device.create_texture(&wgpu::TextureDescriptor {
        label: Some("seen"),
        size: extent,
        mip_level_count: 1,
        sample_count: 1,
        dimension: wgpu::TextureDimension::D2,
        format,
        usage: wgpu::TextureUsages::RENDER_ATTACHMENT | wgpu::TextureUsages::COPY_SRC,
        view_formats: &[],
    });
    let row_bytes = (size.width * PIXEL_BYTES).next_multiple_of(wgpu::COPY_BYTES_PER_ROW_ALIGNMENT);
    let bytes = u64::from(row_bytes) * u64::from(size.height);
    let target = Arc::new(buffer(gpu, "seen", bytes, wgpu::BufferUsages::MAP_READ | wgpu::BufferUsages::COPY_DST));
    let view = texture.create_view(&wgpu::TextureViewDescriptor::default());
    let mut encoder = gpu.device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
    {
        let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
            label: Some("seen"),
            color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                view: &view,
                depth_slice: None,
                resolve_target: None,
                ops: wgpu::Operations {
                    load: wgpu::LoadOp::Clear(wgpu::Color::TRANSPARENT),
                    store: wgpu::StoreOp::Store,
                },
            })],
            ..Default::default()
        });
        screen.paint(&picture, &mut pass);
    }
    let layout = wgpu::TexelCopyBufferLayout { offset: 0, bytes_per_row: Some(row_bytes), rows_per_image: None };
    let into = wgpu::TexelCopyBufferInfo { buffer: &target, layout };
    encoder.copy_texture_to_buffer(texture.as_image_copy(), into, extent);
    let submission = gpu.queue.submit([encoder.finish()]);
    let mut pixels = Vec::with_capacity(size.pixels());
    Reading::of(target, submission).finish(gpu, bytes, |bytes| {
        for row in bytes.chunks_exact(row_bytes as usize) {
            let used = row.get(..(size.width * PIXEL_BYTES) as usize).unwrap_or_default();
            pixels.extend_from_slice(bytemuck::cast_slice::<u8, [f32; 4]>(used));
        }
    })?;
    Ok(Some(pixels))
}
