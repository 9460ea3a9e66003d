//! The real window: winit's loop, a surface on the pictures' own device, egui on top.

mod keeping;
mod lost;
mod pace;
mod second;
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
use crate::originals::Originals;
use crate::pictures::{Pictures, SOON};
use crate::renders::Renders;
use crate::shell;
use crate::state::{Action, Bench, OnSecond};
use crate::trust::Trust;
use keeping::{Keeping, Then};
pub use pace::Paced;
use pace::Pacer;
use second::Second;
use surface::Surface;

/// How long a drawing waits for the pictures of what was asked for in it; the device goes on meanwhile.
const PATIENCE: Duration = Duration::from_millis(8);

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
    open_and_stay(bench, gpu, None).map(|_| ())
}

/// Opens the window, moves a setting of the active tile's candidate so many times, measures how soon each move is seen, and
/// closes it again. Nothing that is moved is kept.
///
/// # Errors
/// As [`run`]; a window that was closed before the end, a candidate with nothing to move.
pub fn pace(bench: Bench, gpu: Arc<Gpu>, moves: usize) -> Result<Paced, Fault> {
    let paced = open_and_stay(bench, gpu, Some(Pacer::new(moves)))?.filter(|paced| paced.seen.len() == moves);
    paced
        .ok_or_else(|| Fault::failed("the moves did not come to their end; is there a shot, and a number on its rail?"))
}

fn open_and_stay(bench: Bench, gpu: Arc<Gpu>, pacer: Option<Pacer>) -> Result<Option<Paced>, Fault> {
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
    let trust = Trust::new(Arc::clone(&gpu), context.clone());
    let renders = Renders::new(context.clone(), pictures.busy());
    let originals = Originals::new(context.clone());
    let mut app = App {
        bench,
        aside,
        trust,
        renders,
        originals,
        gpu,
        context,
        pictures,
        proxy,
        view: None,
        pacer,
        second: None,
        fault: None,
        again: None,
        keeping: Keeping::default(),
        dropped: Vec::new(),
    };
    events.run_app(&mut app).map_err(Fault::failed)?;
    // How the window stood, and what was left unsaved on purpose.
    app.bench.keep_aside();
    app.fault.map_or(Ok(app.pacer.map(|pacer| pacer.paced)), Err)
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
    trust: Trust,
    renders: Renders,
    originals: Originals,
    gpu: Arc<Gpu>,
    context: egui::Context,
    pictures: Pictures,
    proxy: EventLoopProxy<Wake>,
    view: Option<View>,
    /// What measures how soon moves are seen, where that is asked for.
    pacer: Option<Pacer>,
    second: Option<Second>,
    fault: Option<Fault>,
    /// When something that takes its time is to be drawn on.
    again: Option<Instant>,
    /// Since when there is something that is not kept yet.
    keeping: Keeping,
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
            Wake::Access(event) if event.window_id != view.window.id() => {
                if let Some(second) = self.second.as_mut().filter(|second| second.id() == event.window_id) {
                    second.access(event.window_event);
                }
                return;
            }
            Wake::Access(event) => {
                if let accesskit_winit::WindowEvent::ActionRequested(request) = event.window_event {
                    view.input.on_accesskit_action_request(request);
                }
            }
        }
        view.window.request_redraw();
    }

    fn window_event(&mut self, events: &ActiveEventLoop, id: WindowId, event: WindowEvent) {
        if self.second.as_ref().is_some_and(|second| second.id() == id) {
            self.second_event(events, &event);
            return;
        }
        let Some(view) = &mut self.view else { return };
        let response = view.input.on_window_event(&view.window, &event);
        // Drawing asks for no other drawing, whatever egui's part says of it: so a window in which nothing happens comes to rest.
        let repaint = response.repaint && event != WindowEvent::RedrawRequested;
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
        } else if repaint && let Some(view) = &self.view {
            view.window.request_redraw();
        }
    }

    fn about_to_wait(&mut self, events: &ActiveEventLoop) {
        if self.again.is_some_and(|then| then <= Instant::now()) {
            self.again = None;
            // Not asked of egui, which draws once more for everything it is asked for, and so would never come to rest.
            if let Some(view) = &self.view {
                view.window.request_redraw();
            }
        }
        // Several files that are let go at once come one by one; the first of them says what is meant.
        if let Some(path) = self.dropped.drain(..).next() {
            let beside = self.context.input(|input| input.modifiers.shift);
            self.bench.apply(Action::Dropped(path, beside));
            self.context.request_repaint();
        }
        self.follow_second(events);
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
        self.bench.surface_bits = Some(surface.bits());
        window.set_visible(true);
        window.request_redraw();
        self.view = Some(View { window, surface, input });
        Ok(())
    }

    /// Opens and closes the second window as the state says.
    fn follow_second(&mut self, events: &ActiveEventLoop) {
        if !self.bench.second.open {
            self.second = None;
            return;
        }
        if self.second.is_none() && self.view.is_some() {
            match Second::open(events, &self.gpu, &self.proxy) {
                Ok(second) => self.second = Some(second),
                Err(fault) => {
                    // The main window goes on without it.
                    self.bench.apply(Action::Second(OnSecond::Open(false)));
                    self.bench.apply(Action::Fault(fault.to_string()));
                    self.context.request_repaint();
                }
            }
        }
        if let Some(second) = &mut self.second {
            second.follow(&self.bench, &self.pictures);
        }
    }

    fn second_event(&mut self, events: &ActiveEventLoop, event: &WindowEvent) {
        let Some(second) = &mut self.second else { return };
        let actions = match event {
            WindowEvent::CloseRequested => Ok(vec![Action::Second(OnSecond::Open(false))]),
            WindowEvent::DroppedFile(path) => {
                self.dropped.push(path.clone());
                Ok(Vec::new())
            }
            event => second.event(event, &self.bench, &self.pictures),
        };
        match actions {
            Ok(actions) if actions.is_empty() => {}
            Ok(actions) => {
                actions.into_iter().for_each(|action| self.bench.apply(action));
                self.context.request_repaint();
            }
            Err(fault) => {
                self.fault = Some(fault);
                events.exit();
            }
        }
    }

    /// Keeps what is unsaved once it is old enough, and says when to come again.
    fn keep(&mut self, now: Instant) -> Option<Instant> {
        match self.keeping.then(self.bench.is_to_be_kept(), now) {
            Then::Keep => self.bench.keep_aside(),
            Then::Wait(due) => return Some(due),
            Then::Nothing => {}
        }
        None
    }

    /// Draws the window once and does what was asked for in it.
    fn paint(&mut self) -> Result<(), Fault> {
        if self.gpu.is_lost() {
            self.renew()?;
        }
        let Some(view) = &mut self.view else { return Ok(()) };
        if let Some(pacer) = &mut self.pacer {
            pacer.wake();
        }
        let input = view.input.take_egui_input(&view.window);
        let mut actions = Vec::new();
        self.aside.follow(&self.bench).into_iter().for_each(|action| self.bench.apply(action));
        if let Some(action) = self.originals.follow(&self.bench) {
            self.bench.apply(action);
        }
        if let Some(seen) = self.renders.follow(&self.bench) {
            self.bench.see(seen);
        }
        self.pictures.follow(&self.bench);
        self.pictures.heard(&self.bench).into_iter().for_each(|action| self.bench.apply(action));
        self.trust.follow(&self.bench, &mut self.pictures).into_iter().for_each(|action| self.bench.apply(action));
        if let Some(pacer) = &mut self.pacer {
            pacer.begin(&self.bench, &self.pictures);
        }
        let again = egui::RawInput { events: Vec::new(), ..input.clone() };
        let mut output = self.laid_out(input, &mut actions);
        if let Some(pacer) = &mut self.pacer {
            pacer.ask(&self.bench, &mut actions);
        }
        if !actions.is_empty() {
            // What is asked for is seen in the same drawing, and its pictures are made while that goes on.
            actions.drain(..).for_each(|action| self.bench.apply(action));
            self.pictures.follow(&self.bench);
            self.pictures.wait_for(&self.bench, PATIENCE);
            self.pictures.follow(&self.bench);
            output.append(self.laid_out(again, &mut actions));
        }
        if let Some(pacer) = &mut self.pacer {
            pacer.asked(&self.bench);
        }
        let Some(view) = &mut self.view else { return Ok(()) };
        view.input.handle_platform_output(&view.window, output.platform_output);
        // What asks for much later, or for never, waits for whatever comes first.
        let later = output.viewport_output.get(&egui::ViewportId::ROOT).map(|output| output.repaint_delay);
        self.again = later.filter(|delay| *delay < Duration::from_secs(3600)).map(|delay| Instant::now() + delay);
        let scale = output.pixels_per_point;
        let shapes = self.context.tessellate(output.shapes, scale);
        if !view.surface.draw(&self.gpu, &shapes, output.textures_delta, scale, &self.pictures)? {
            view.window.request_redraw();
        }
        self.pictures.drawn();
        if let Some(pacer) = &mut self.pacer
            && pacer.drawn(&self.bench, &self.pictures, &self.gpu)
        {
            self.bench.closing = true;
        }
        if !actions.is_empty() {
            actions.into_iter().for_each(|action| self.bench.apply(action));
            self.context.request_repaint();
        }
        Ok(())
    }

    /// Lays the window out once.
    fn laid_out(&self, input: egui::RawInput, actions: &mut Vec<Action>) -> egui::FullOutput {
        let (bench, pictures) = (&self.bench, &self.pictures);
        self.context.run_ui(input, |ui| shell::show(ui, bench, pictures, actions))
    }
}
