//! A device that goes away takes the window's surface with it, and all that egui draws with. All of it is made anew on the one
//! that stands in for it; pictures are drawn again.

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::Arc;

use egui::epaint::ImageDelta;
use egui::{ImageData, TextureId, TexturesDelta};
use egui_wgpu::wgpu;
use gpu::device::{AdapterChoice, Gpu};
use session::Fault;

use super::surface::Surface;
use super::{App, View};
use crate::state::Action;
use crate::trust::Trust;

/// Draws on a device; none where it went away in the middle of that. egui's painter panics then, as it can say it in no other way.
pub fn guarded<T>(gpu: &Gpu, draw: impl FnOnce() -> T) -> Option<T> {
    let drawn = catch_unwind(AssertUnwindSafe(draw));
    drawn.map(Some).unwrap_or_else(|panic| {
        // A device says that it is lost once nothing is on its way any more.
        settle(gpu);
        if gpu.is_lost() { None } else { resume_unwind(panic) }
    })
}

/// Waits until nothing is on its way on a device.
fn settle(gpu: &Gpu) {
    let _ = gpu.parts().device.poll(wgpu::PollType::Wait { submission_index: None, timeout: None });
}

impl App {
    /// Goes on with the device that stands in for the one that was lost.
    ///
    /// # Errors
    /// There is no adapter any more, or it draws no window here.
    pub(super) fn renew(&mut self) -> Result<(), Fault> {
        // What was submitted has a surface's picture in use until it is done, on a lost device too.
        settle(&self.gpu);
        self.gpu = self.gpu.again(&AdapterChoice::from_environment())?;
        self.pictures.renew(&self.gpu);
        // It opens again by itself.
        self.second = None;
        if let Some(View { window, surface, input }) = self.view.take() {
            // A window has one surface at a time: the old one goes first.
            let textures = surface.give_up();
            // The new one may go as well meanwhile.
            let surface = loop {
                match guarded(&self.gpu, || Surface::with(&self.gpu, &window, textures.clone())) {
                    Some(surface) => break surface?,
                    None => self.gpu = self.gpu.again(&AdapterChoice::from_environment())?,
                }
            };
            self.pictures.renew(&self.gpu);
            self.view = Some(View { window, surface, input });
        }
        self.trust = Trust::new(Arc::clone(&self.gpu), self.context.clone());
        let words = "the graphics device was lost and opened again; pictures are drawn anew";
        self.bench.apply(Action::Say(words.to_string()));
        Ok(())
    }
}

/// The pictures that egui has sent to a device, whole, so that another device can have them.
#[derive(Default, Clone)]
pub struct Textures(BTreeMap<TextureId, ImageDelta>);

impl Textures {
    /// Keeps what is sent, and forgets what is no longer drawn.
    #[expect(clippy::iter_over_hash_type, reason = "textures do not depend on each other")]
    pub fn follow(&mut self, sent: &TexturesDelta) {
        for (id, deltas) in &sent.set {
            deltas.iter().for_each(|delta| self.set(*id, delta));
        }
        for id in &sent.free {
            self.0.remove(id);
        }
    }

    /// Keeps a whole picture, or a part of one.
    fn set(&mut self, id: TextureId, delta: &ImageDelta) {
        let Some([left, top]) = delta.pos else {
            self.0.insert(id, delta.clone());
            return;
        };
        let Some(ImageDelta { image: ImageData::Color(whole), .. }) = self.0.get_mut(&id) else { return };
        let ImageData::Color(part) = &delta.image;
        let whole = Arc::make_mut(whole);
        let width = whole.width();
        let rows = whole.pixels.chunks_exact_mut(width.max(1)).skip(top);
        for (row, from) in rows.zip(part.pixels.chunks_exact(part.width().max(1))) {
            if let Some(to) = row.get_mut(left..left + from.len()) {
                to.copy_from_slice(from);
            }
        }
    }

    /// All of them.
    pub fn iter(&self) -> impl Iterator<Item = (TextureId, &ImageDelta)> {
        self.0.iter().map(|(id, delta)| (*id, delta))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{Color32, ColorImage, TextureOptions};

    #[test]
    fn parts_are_kept_in_their_places() {
        let filled = |size, grey| ColorImage::filled(size, Color32::from_gray(grey));
        let mut textures = Textures::default();
        let id = TextureId::Managed(0);
        textures.set(id, &ImageDelta::full(filled([4, 3], 10), TextureOptions::LINEAR));
        textures.set(id, &ImageDelta::partial([1, 1], filled([2, 2], 200), TextureOptions::LINEAR));
        let (_, delta) = textures.iter().next().unwrap();
        let ImageData::Color(image) = &delta.image;
        let greys: Vec<u8> = image.pixels.iter().map(Color32::r).collect();
        assert_eq!(greys, [10, 10, 10, 10, 10, 200, 200, 10, 10, 200, 200, 10]);
        assert_eq!(delta.pos, None, "it is sent as a whole");
        let mut freed = TexturesDelta::default();
        freed.free.insert(id);
        textures.follow(&freed);
        freed.clear();
        assert_eq!(textures.iter().count(), 0);
    }
}
