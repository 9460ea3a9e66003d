//! The surface that the window is drawn on.

use std::future::Future as _;
use std::pin::pin;
use std::sync::Arc;
use std::task::{Context, Poll, Waker};

use egui::TexturesDelta;
use egui_wgpu::{Renderer, RendererOptions, ScreenDescriptor, wgpu};
use gpu::device::{Gpu, Parts};
use session::Fault;
use winit::window::Window;

use super::lost::{self, Textures};
use crate::pictures::Pictures;
use crate::wall::Painting;

/// Codes are shown as they are: a surface that would encode them once more is not taken.
const FORMATS: [wgpu::TextureFormat; 3] =
    [wgpu::TextureFormat::Rgb10a2Unorm, wgpu::TextureFormat::Bgra8Unorm, wgpu::TextureFormat::Rgba8Unorm];

/// A surface with egui's painter.
pub struct Surface {
    parts: Parts,
    surface: wgpu::Surface<'static>,
    configuration: wgpu::SurfaceConfiguration,
    /// Whether the device took the configuration: it does not while it has work that takes its time.
    is_laid_out: bool,
    painter: Renderer,
    textures: Textures,
}

impl Surface {
    /// A surface of a window, on the device of the pictures.
    pub fn new(gpu: &Arc<Gpu>, window: &Arc<Window>) -> Result<Self, Fault> {
        Self::with(gpu, window, Textures::default())
    }

    /// The same, with what egui has sent to another one before.
    pub fn with(gpu: &Arc<Gpu>, window: &Arc<Window>, textures: Textures) -> Result<Self, Fault> {
        let parts = gpu.parts();
        let refused = |why: &str| Fault::failed(format!("{} draws no window here: {why}", gpu.note().name));
        let surface = parts.instance.create_surface(Arc::clone(window)).map_err(|error| refused(&error.to_string()))?;
        let able = surface.get_capabilities(&parts.adapter);
        let format = FORMATS.into_iter().find(|format| able.formats.contains(format));
        let format = format.ok_or_else(|| refused("it offers no surface that takes codes as they are"))?;
        let size = window.inner_size();
        let mut configuration = surface
            .get_default_config(&parts.adapter, size.width.max(1), size.height.max(1))
            .ok_or_else(|| refused("the display belongs to another adapter; set GREYWRIGHT_ADAPTER to its name"))?;
        configuration.format = format;
        configuration.present_mode = wgpu::PresentMode::AutoVsync;
        let options = RendererOptions { dithering: false, ..RendererOptions::default() };
        let mut painter = Renderer::new(&parts.device, format, options);
        painter.callback_resources.insert(Painting::new(gpu, format));
        for (id, delta) in textures.iter() {
            painter.update_texture(&parts.device, &parts.queue, id, delta);
        }
        let mut laid = Self { parts, surface, configuration, is_laid_out: false, painter, textures };
        laid.lay_out();
        Ok(laid)
    }

    /// Gives up what lay on the device; what egui has sent to it is left.
    pub fn give_up(self) -> Textures {
        self.textures
    }

    /// Bits of a channel that it takes.
    pub fn bits(&self) -> u32 {
        if self.configuration.format == wgpu::TextureFormat::Rgb10a2Unorm { 10 } else { 8 }
    }

    /// Its width and height, in pixels.
    pub fn size(&self) -> [u32; 2] {
        [self.configuration.width, self.configuration.height]
    }

    /// Follows the window's size, in pixels.
    pub fn resize(&mut self, width: u32, height: u32) {
        if width > 0 && height > 0 {
            (self.configuration.width, self.configuration.height) = (width, height);
            self.lay_out();
        }
    }

    /// Lays it out as it is configured. Where that is refused it is tried again before anything is drawn.
    fn lay_out(&mut self) {
        let scope = self.parts.device.push_error_scope(wgpu::ErrorFilter::Validation);
        self.surface.configure(&self.parts.device, &self.configuration);
        // Outside a browser the answer is there at once.
        let mut answer = pin!(scope.pop());
        let answer = answer.as_mut().poll(&mut Context::from_waker(Waker::noop()));
        self.is_laid_out = matches!(answer, Poll::Ready(None));
    }

    /// Draws what egui made of a frame, and says whether it did: a surface or a device that is not there just now skips it. What
    /// egui sent is kept whatever becomes of the device meanwhile.
    pub fn draw(
        &mut self,
        gpu: &Gpu,
        shapes: &[egui::ClippedPrimitive],
        mut textures: TexturesDelta,
        pixels_per_point: f32,
        pictures: &Pictures,
    ) -> Result<bool, Fault> {
        self.textures.follow(&textures);
        let drawn = lost::guarded(gpu, || self.draw_unguarded(shapes, &textures, pixels_per_point, pictures));
        textures.clear();
        drawn.unwrap_or(Ok(false))
    }

    #[expect(clippy::iter_over_hash_type, reason = "textures do not depend on each other")]
    fn draw_unguarded(
        &mut self,
        shapes: &[egui::ClippedPrimitive],
        textures: &TexturesDelta,
        pixels_per_point: f32,
        pictures: &Pictures,
    ) -> Result<bool, Fault> {
        let Parts { device, queue, .. } = &self.parts.clone();
        for (id, deltas) in &textures.set {
            deltas.iter().for_each(|delta| self.painter.update_texture(device, queue, *id, delta));
        }
        if !self.is_laid_out {
            let _rest = pictures.at_rest();
            self.lay_out();
        }
        if !self.is_laid_out {
            return Ok(false);
        }
        let target = match self.surface.get_current_texture() {
            wgpu::CurrentSurfaceTexture::Success(target) | wgpu::CurrentSurfaceTexture::Suboptimal(target) => target,
            wgpu::CurrentSurfaceTexture::Outdated | wgpu::CurrentSurfaceTexture::Lost => {
                let _rest = pictures.at_rest();
                self.lay_out();
                return Ok(false);
            }
            _ => {
                return Ok(true);
            }
        };
        let screen = ScreenDescriptor {
            size_in_pixels: [self.configuration.width, self.configuration.height],
            pixels_per_point,
        };
        let mut encoder = device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
        if let Some(painting) = self.painter.callback_resources.get_mut::<Painting>() {
            painting.clear();
        }
        let mut work = self.painter.update_buffers(device, queue, &mut encoder, shapes, &screen);
        let view = target.texture.create_view(&wgpu::TextureViewDescriptor::default());
        {
            let pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
                label: Some("window"),
                color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                    view: &view,
                    depth_slice: None,
                    resolve_target: None,
                    ops: wgpu::Operations { load: wgpu::LoadOp::Clear(ground()), store: wgpu::StoreOp::Store },
                })],
                ..Default::default()
            });
            self.painter.render(&mut pass.forget_lifetime(), shapes, &screen);
        }
        work.push(encoder.finish());
        queue.submit(work);
        queue.present(target);
        for id in &textures.free {
            self.painter.free_texture(id);
        }
        Ok(true)
    }
}

/// What the window is emptied to, as code.
fn ground() -> wgpu::Color {
    let [r, g, b, _] = crate::look::GROUND.to_array().map(|code| f64::from(code) / 255.0);
    wgpu::Color { r, g, b, a: 1.0 }
}
