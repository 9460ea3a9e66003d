//! A picture on its tile, by the device that has it.

use std::sync::Arc;

use egui::{PaintCallbackInfo, Rect, Ui};
use egui_wgpu::{Callback, CallbackResources, CallbackTrait, ScreenDescriptor, wgpu};
use gpu::device::{Drawn, OnScreen, Screen, Sight};

use super::placing::Placing;

/// What of two pictures is seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parts {
    /// From where on the second one is seen, in points; beyond the tile where only the first is.
    pub seam: f32,
    /// There its difference from the first is seen, on a scale up to so many 10-bit codes.
    pub difference: Option<f32>,
}

/// Paints a picture on its tile, or two of one size.
pub fn paint(ui: &Ui, tile: Rect, placed: Placing, pictures: [&Arc<Drawn>; 2], parts: Parts) {
    let seen = placed.picture.intersect(tile).intersect(ui.clip_rect());
    if !seen.is_positive() {
        return;
    }
    let pixels_per_point = ui.pixels_per_point();
    // The surface's own corner is where places are counted from, whatever part of it is painted.
    let corner = -placed.picture.min.to_vec2() / placed.scale;
    let step = [placed.scale.x, placed.scale.y].map(|scale| 1.0 / (scale * pixels_per_point));
    let sight =
        Sight { corner: corner.into(), step, seam: parts.seam * pixels_per_point, difference: parts.difference };
    let [first, second] = pictures.map(Arc::clone);
    ui.painter().add(Callback::new_paint_callback(seen, Job { first, second, sight }));
}

/// Paints one picture and nothing on it.
pub fn paint_alone(ui: &Ui, tile: Rect, placed: Placing, picture: &Arc<Drawn>) {
    paint(ui, tile, placed, [picture; 2], Parts { seam: f32::INFINITY, difference: None });
}

/// A picture to be painted.
struct Job {
    first: Arc<Drawn>,
    second: Arc<Drawn>,
    sight: Sight,
}

/// What painting needs on the device, made once for a surface.
pub struct Painting {
    screen: Screen,
    /// What is ready, by the picture that it is of.
    ready: Vec<(usize, OnScreen)>,
}

impl Painting {
    /// For surfaces of a format.
    pub fn new(gpu: &Arc<gpu::device::Gpu>, format: wgpu::TextureFormat) -> Self {
        Self { screen: Screen::new(gpu, format), ready: Vec::new() }
    }

    /// Forgets what was painted in the last frame.
    pub fn clear(&mut self) {
        self.ready.clear();
    }
}

impl Job {
    /// A number that no other job of the same frame has.
    fn key(&self) -> usize {
        std::ptr::from_ref(self).addr()
    }
}

impl CallbackTrait for Job {
    fn prepare(
        &self,
        _: &wgpu::Device,
        _: &wgpu::Queue,
        _: &ScreenDescriptor,
        _: &mut wgpu::CommandEncoder,
        resources: &mut CallbackResources,
    ) -> Vec<wgpu::CommandBuffer> {
        if let Some(painting) = resources.get_mut::<Painting>()
            && let Some(ready) = painting.screen.ready(&self.first, Some(&self.second))
        {
            painting.screen.set(&ready, &self.sight);
            painting.ready.push((self.key(), ready));
        }
        Vec::new()
    }

    fn paint(&self, _: PaintCallbackInfo, pass: &mut wgpu::RenderPass<'static>, resources: &CallbackResources) {
        let Some(painting) = resources.get::<Painting>() else { return };
        if let Some((_, ready)) = painting.ready.iter().find(|(key, _)| *key == self.key()) {
            painting.screen.paint(ready, pass);
        }
    }
}
