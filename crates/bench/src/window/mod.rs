//! The real window: winit's loop, a surface on the pictures' own device, egui on top.

mod surface;

use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

use egui_winit::accesskit_winit;
use gpu::device::Gpu;
use session::Fault;
use winit::application::ApplicationHandler;
use winit::event::WindowEvent;
use winit::event_loop::{ActiveEventLoop, ControlFlow, EventLoop, EventLoopProxy};
use winit::window::{Window, WindowId};

use crate::aside::Aside;
use crate::pictures::{Pictures, SOON};
use crate::shell;
use crate::state::{Action, Bench};
use surface::Surface;

/// How old unsaved work may get before it is kept beside the project.
const KEPT_EVERY: Duration = Duration::from_secs(5);

/// What wakes the loop from outside.
enum Wake {
    /// Something new is to be seen.
    Paint,
    /// Somebody who reads the window aloud, or acts on it, asks.
    Access(accesskit_winit::Event),
}

impl From<accesskit_winit::Event> for Wake {
    fn from(event: accesskit_winit::Event) -> Self {
        Self::Access(event)
    }
}

/// Whether there is likely a display to open a window on.
pub fn has_display() -> bool {
    let named = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    cfg!(any(windows, target_os = "macos")) || named("WAYLAND_DISPLAY") || named("DISPLAY")
}

/// Opens the window and stays until it is closed.
///
/// # Errors
/// No display, no surface on this adapter.
pub fn run(bench: Bench, gpu: Arc<Gpu>) -> Result<(), Fault> {
    let events = EventLoop::<Wake>::with_user_event().build().map_err(|error| {
        Fault::failed(format!("there is no display to open a window on ({error}); every other command works without"))
    })?;
    let context = egui::Context::default();
    crate::look::dress(&context);
    let proxy = events.create_proxy();
    let wake = events.create_proxy();
    context.set_request_repaint_callback(move |info| {
        // Delayed repaints are kept by the loop's own clock; here only those that are due count.
        if info.delay <= SOON {
            let _ = wake.send_event(Wake::Paint);
        }
    });
    let pictures = Pictures::new(Arc::clone(&gpu), context.clone());
    let aside = Aside::new(Some(Arc::clone(&gpu)), context.clone());
    let mut app = App {
        bench,
        aside,
        gpu,
        context,
        pictures,
        proxy,
        view: None,
        fault: None,
        again: None,
        unkept_since: None,
        dropped: Vec::new(),
    };
    events.run_app(&mut app).map_err(Fault::failed)?;
    // How the window stood, and what was left unsaved on purpose.
    app.bench.keep_aside();
    app.fault.map_or(Ok(()), Err)
}

/// A window with what draws in it.
struct View {
    window: Arc<Window>,
    surface: Surface,
    input: egui_winit::State,
}

struct App {
    bench: Bench,
    aside: Aside,
    gpu: Arc<Gpu>,
    context: egui::Context,
    pictures: Pictures,
    proxy: EventLoopProxy<Wake>,
    view: Option<View>,
    fault: Option<Fault>,
    /// When something that takes its time is to be drawn on.
    again: Option<Instant>,
    /// When something was done first that is not kept yet.
    unkept_since: Option<Instant>,
    /// What was let go over the window and not looked at yet.
    dropped: Vec<PathBuf>,
}

impl ApplicationHandler<Wake> for App {
    fn resumed(&mut self, events: &ActiveEventLoop) {
        if self.view.is_none()
            && let Err(fault) = self.open(events)
        {
            self.fault = Some(fault);
            events.exit();
        }
    }

    fn user_event(&mut self, _: &ActiveEventLoop, wake: Wake) {
        let Some(view) = &mut self.view else { return };
        match wake {
            Wake::Paint => {}
            Wake::Access(event) => {
                if let accesskit_winit::WindowEvent::ActionRequested(request) = event.window_event {
                    view.input.on_accesskit_action_request(request);
                }
            }
        }
        view.window.request_redraw();
    }

    fn window_event(&mut self, events: &ActiveEventLoop, _: WindowId, event: WindowEvent) {
        let Some(view) = &mut self.view else { return };
        let response = view.input.on_window_event(&view.window, &event);
        match event {
            WindowEvent::Resized(size) => {
                let _rest = self.pictures.at_rest();
                view.surface.resize(size.width, size.height);
            }
            WindowEvent::CloseRequested => {
                self.bench.apply(Action::Close);
                view.window.request_redraw();
            }
            WindowEvent::DroppedFile(path) => self.dropped.push(path),
            WindowEvent::RedrawRequested => {
                if let Err(fault) = self.paint() {
                    self.fault = Some(fault);
                    events.exit();
                    return;
                }
            }
            _ => {}
        }
        if self.bench.closing {
            events.exit();
        } else if response.repaint
            && let Some(view) = &self.view
        {
            view.window.request_redraw();
        }
    }

    fn about_to_wait(&mut self, events: &ActiveEventLoop) {
        if self.again.is_some_and(|then| then <= Instant::now()) {
            self.again = None;
            self.context.request_repaint_after(SOON);
        }
        // Several files that are let go at once come one by one; the first of them says what is meant.
        if let Some(path) = self.dropped.drain(..).next() {
            self.bench.apply(Action::Open(path));
            self.context.request_repaint();
        }
        let then = self.keep(Instant::now()).into_iter().chain(self.again).min();
        events.set_control_flow(then.map_or(ControlFlow::Wait, ControlFlow::WaitUntil));
    }
}

impl App {
    fn open(&mut self, events: &ActiveEventLoop) -> Result<(), Fault> {
        let attributes = Window::default_attributes()
            .with_title("Greywright")
            .with_inner_size(winit::dpi::LogicalSize::new(1600.0, 1000.0))
            .with_min_inner_size(winit::dpi::LogicalSize::new(1000.0, 640.0))
            // AccessKit must be there before the window is seen.
            .with_visible(false);
        let window = Arc::new(events.create_window(attributes).map_err(Fault::failed)?);
        let scale = Some(window.scale_factor() as f32);
        let viewport = egui::ViewportId::ROOT;
        let mut input = egui_winit::State::new(self.context.clone(), viewport, events, scale, None, None);
        input.init_accesskit(events, &window, self.proxy.clone());
        let surface = Surface::new(&self.gpu, &window)?;
        window.set_visible(true);
        window.request_redraw();
        self.view = Some(View { window, surface, input });
        Ok(())
    }

    /// Keeps what is unsaved once it is old enough, and says when to come again.
    fn keep(&mut self, now: Instant) -> Option<Instant> {
        if !self.bench.is_to_be_kept() {
            self.unkept_since = None;
            return None;
        }
        let due = *self.unkept_since.get_or_insert(now) + KEPT_EVERY;
        if now < due {
            return Some(due);
        }
        self.bench.keep_aside();
        self.unkept_since = None;
        None
    }

    /// Draws the window once and does what was asked for in it.
    fn paint(&mut self) -> Result<(), Fault> {
        let Some(view) = &mut self.view else { return Ok(()) };
        let input = view.input.take_egui_input(&view.window);
        let mut actions = Vec::new();
        self.aside.follow(&self.bench).into_iter().for_each(|action| self.bench.apply(action));
        self.pictures.follow(&self.bench);
        self.pictures.heard(&self.bench).into_iter().for_each(|action| self.bench.apply(action));
        let (bench, pictures) = (&self.bench, &self.pictures);
        let output = self.context.run_ui(input, |ui| shell::show(ui, bench, pictures, &mut actions));
        view.input.handle_platform_output(&view.window, output.platform_output);
        // What asks for much later, or for never, waits for whatever comes first.
        let later = output.viewport_output.get(&egui::ViewportId::ROOT).map(|output| output.repaint_delay);
        self.again = later.filter(|delay| *delay < Duration::from_secs(3600)).map(|delay| Instant::now() + delay);
        let scale = output.pixels_per_point;
        let shapes = self.context.tessellate(output.shapes, scale);
        view.surface.draw(&shapes, output.textures_delta, scale, pictures)?;
        let acted = !actions.is_empty();
        actions.into_iter().for_each(|action| self.bench.apply(action));
        if acted {
            // What was asked for is seen at once.
            self.context.request_repaint();
        }
        Ok(())
    }
}
