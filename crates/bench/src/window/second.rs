//! The second window on the pictures' device.

use std::sync::Arc;

use egui_winit::accesskit_winit;
use gpu::device::{Drawn, Gpu};
use session::Fault;
use winit::event::WindowEvent;
use winit::event_loop::{ActiveEventLoop, EventLoopProxy};
use winit::window::{Fullscreen, Window, WindowId};

use super::Wake;
use super::surface::Surface;
use crate::pictures::Pictures;
use crate::second::{self, Page};
use crate::state::{Action, Bench};

/// The window with what draws in it. Its context is its own, since its pixels may be other ones to a point.
pub struct Second {
    window: Arc<Window>,
    surface: Surface,
    input: egui_winit::State,
    context: egui::Context,
    page: Option<(Page, f32, Arc<Drawn>)>,
    /// What it showed last: the state, and the pictures that it may have been of.
    drawn: Option<(u64, [Option<usize>; 2])>,
}

impl Second {
    /// Opens it.
    ///
    /// # Errors
    /// No window, no surface on this adapter.
    pub fn open(events: &ActiveEventLoop, gpu: &Arc<Gpu>, proxy: &EventLoopProxy<Wake>) -> Result<Self, Fault> {
        let attributes = Window::default_attributes()
            .with_title("Greywright: picture")
            .with_inner_size(winit::dpi::LogicalSize::new(1280.0, 720.0))
            .with_visible(false);
        let window = Arc::new(events.create_window(attributes).map_err(Fault::failed)?);
        let context = egui::Context::default();
        crate::look::dress(&context);
        let wake = proxy.clone();
        context.set_request_repaint_callback(move |info| {
            if info.delay.is_zero() {
                // Nobody listens any more once the loop has ended.
                let _ = wake.send_event(Wake::Paint);
            }
        });
        let scale = Some(window.scale_factor() as f32);
        let mut input = egui_winit::State::new(context.clone(), egui::ViewportId::ROOT, events, scale, None, None);
        input.init_accesskit(events, &window, proxy.clone());
        let surface = Surface::new(gpu, &window)?;
        window.set_visible(true);
        window.request_redraw();
        Ok(Self { window, surface, input, context, page: None, drawn: None })
    }

    pub fn id(&self) -> WindowId {
        self.window.id()
    }

    pub fn access(&mut self, event: accesskit_winit::WindowEvent) {
        if let accesskit_winit::WindowEvent::ActionRequested(request) = event {
            self.input.on_accesskit_action_request(request);
            self.window.request_redraw();
        }
    }

    /// Asks to be drawn where something else is to be seen than was drawn last.
    pub fn follow(&mut self, bench: &Bench, pictures: &Pictures) {
        if self.drawn != Some(seen(bench, pictures)) {
            self.window.request_redraw();
        }
        let is_full = self.window.fullscreen().is_some();
        if is_full != bench.second.full {
            self.window.set_fullscreen(bench.second.full.then_some(Fullscreen::Borderless(None)));
        }
    }

    /// Takes an event and gives what is asked for by it.
    ///
    /// # Errors
    /// It cannot be drawn any more.
    pub fn event(&mut self, event: &WindowEvent, bench: &Bench, pictures: &Pictures) -> Result<Vec<Action>, Fault> {
        let response = self.input.on_window_event(&self.window, event);
        match event {
            WindowEvent::Resized(size) => {
                let _rest = pictures.at_rest();
                self.surface.resize(size.width, size.height);
            }
            WindowEvent::RedrawRequested => return self.paint(bench, pictures),
            _ => {}
        }
        if response.repaint {
            self.window.request_redraw();
        }
        Ok(Vec::new())
    }

    fn paint(&mut self, bench: &Bench, pictures: &Pictures) -> Result<Vec<Action>, Fault> {
        self.drawn = Some(seen(bench, pictures));
        self.lay_page(bench, pictures)?;
        let input = self.input.take_egui_input(&self.window);
        let page = self.page.as_ref().map(|(page, _, drawn)| (page, drawn));
        let mut actions = Vec::new();
        let output = self.context.run_ui(input, |ui| second::show(ui, bench, pictures, page, &mut actions));
        self.input.handle_platform_output(&self.window, output.platform_output);
        let scale = output.pixels_per_point;
        let shapes = self.context.tessellate(output.shapes, scale);
        let Some(gpu) = pictures.gpu() else { return Ok(actions) };
        if !self.surface.draw(gpu, &shapes, output.textures_delta, scale, pictures)? {
            self.window.request_redraw();
        }
        Ok(actions)
    }

    /// Has the page at hand while it is shown, in the window's own size.
    fn lay_page(&mut self, bench: &Bench, pictures: &Pictures) -> Result<(), Fault> {
        if !bench.second.page {
            self.page = None;
            return Ok(());
        }
        let (size, scale) = (self.surface.size(), self.window.scale_factor() as f32);
        let fits = |(page, own, _): &(Page, f32, Arc<Drawn>)| page.size == size && *own == scale;
        if !self.page.as_ref().is_some_and(fits) {
            let page = Page::new(size, scale);
            let drawn = pictures.draw_codes(page.frame())?;
            self.page = drawn.map(|drawn| (page, scale, drawn));
        }
        Ok(())
    }
}

/// What tells one sight from the next.
fn seen(bench: &Bench, pictures: &Pictures) -> (u64, [Option<usize>; 2]) {
    let of = [pictures.of(bench.wall.active), pictures.clean()];
    let address = |drawn: &Arc<Drawn>| Arc::as_ptr(drawn).addr();
    (bench.revision(), of.map(|outcome| Some(address(&outcome?.shown.as_ref()?.drawn))))
}
