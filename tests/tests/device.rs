//! What the device must survive: moved settings, a lost device, tiles, other sizes, wrong frames.

use std::sync::Arc;
use std::time::{Duration, Instant};

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use gpu::assemble::{Edge, Place, Program, assemble};
use gpu::device::{AdapterChoice, Compile, DeviceError, Gpu, Renderer, Runner};
use graph::Original;
use plan::{Level, Plan};
use tests::cases::Subject;
use tests::gpu::adapter;
use tests::pixels::Random;

const TEN: Layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
const HALF: Layout = Layout::new(Channels::Rgb, Samples::Half, ByteOrder::Little);

/// A device of the test's own, since it will be counted or lost; none where there is no adapter.
fn own() -> Option<(Arc<Gpu>, AdapterChoice)> {
    adapter()?;
    let choice = AdapterChoice::from_environment();
    let gpu = Gpu::open(&choice).expect("it opened before").expect("it was there before");
    Some((gpu, choice))
}

fn ten_to(chain: &str, result: Layout) -> Program {
    let elaborated = Subject::chain(chain, &Original::SceneRows).elaborated;
    let plan = Plan::new(&elaborated, Level::Full);
    assemble(&plan, Edge::Stored(TEN, Range::Full), Edge::Stored(result, Range::Full)).expect("it assembles")
}

fn noise(width: u32, height: u32, seed: u64) -> Arc<Frame> {
    let size = Size::new(width, height);
    let mut random = Random::new(seed);
    let bytes = (0..size.pixels()).flat_map(|_| (random.bits() as u32).to_be_bytes()).collect();
    Arc::new(Frame::new(size, TEN, bytes, 0).expect("the size is right"))
}

fn chain_of(stops: f64, white: &str) -> String {
    format!(
        "input-transform encoding=LogC3 | exposure stops={stops} domain=camera-linear | exposure stops={stops} \
         | white-balance from={white} domain=log | output-transform peak={} rendering=plain",
        100.0 + stops.abs()
    )
}

#[test]
fn moving_a_setting_compiles_nothing_through_neutral_too() {
    let Some((gpu, choice)) = own() else { return };
    let frame = noise(33, 17, 1);
    let mut renderer = Renderer::new(gpu, choice, ten_to(&chain_of(1.0, "3200K"), HALF), None);
    let first = renderer.frame(Arc::clone(&frame)).expect("it renders");
    let compiled = renderer.gpu().pipelines().compiled();
    assert!(compiled > 0);
    for (stops, white) in [(0.5, "3200K"), (0.0, "D65"), (0.0, "4000K"), (-2.0, "D65"), (1.0, "3200K")] {
        renderer.set(ten_to(&chain_of(stops, white), HALF)).expect("settings are taken");
        let frame = renderer.frame(Arc::clone(&frame)).expect("it renders");
        // Back at the first settings the picture must be the first one: nothing was left behind.
        assert_eq!(frame == first, (stops, white) == (1.0, "3200K"), "{stops} {white}");
    }
    assert_eq!(renderer.gpu().pipelines().compiled(), compiled);
}

#[test]
fn another_shape_compiles_and_is_counted() {
    let Some((gpu, choice)) = own() else { return };
    let mut renderer = Renderer::new(gpu, choice, ten_to("exposure stops=1", HALF), None);
    renderer.frame(noise(8, 8, 2)).expect("it renders");
    let compiled = renderer.gpu().pipelines().compiled();
    renderer.set(ten_to("exposure stops=1 | encode encoding=LogC3", HALF)).expect("settings are taken");
    renderer.frame(noise(8, 8, 2)).expect("it renders");
    assert_eq!(renderer.gpu().pipelines().compiled(), compiled + 1);
}

#[test]
fn a_lost_device_is_opened_again_and_no_frame_is_lost() {
    let Some((gpu, choice)) = own() else { return };
    let program = ten_to(&chain_of(0.7, "A"), TEN);
    let frames: Vec<_> = (0..3).map(|seed| noise(61, 40, seed)).collect();
    let mut quiet = Renderer::new(Arc::clone(&gpu), choice.clone(), program.clone(), None);
    let wanted: Vec<_> = frames.iter().map(|frame| quiet.frame(Arc::clone(frame)).expect("it renders")).collect();
    let mut renderer = Renderer::new(gpu, choice, program, None);
    for frame in &frames {
        renderer.send(Arc::clone(frame), 0).expect("it is sent");
    }
    renderer.gpu().lose();
    for wanted in &wanted {
        assert_eq!(renderer.receive().expect("it comes back").as_ref(), Some(wanted));
    }
    assert_eq!(renderer.reopened(), 1);
    assert!(renderer.is_empty());
    // Lost again while nothing is on its way.
    renderer.gpu().lose();
    assert_eq!(&renderer.frame(Arc::clone(&frames[1])).expect("it renders"), &wanted[1]);
    assert_eq!(renderer.reopened(), 2);
}

#[test]
fn a_device_lost_amid_tiles_gives_the_same_picture() {
    let Some((gpu, choice)) = own() else { return };
    let program = ten_to(&chain_of(-0.4, "5000K"), TEN);
    let frame = noise(40, 30, 9);
    let wanted = Renderer::new(Arc::clone(&gpu), choice.clone(), program.clone(), None)
        .frame(Arc::clone(&frame))
        .expect("it renders");
    gpu.lose();
    let mut renderer = Renderer::new(gpu, choice, program, Some(16));
    assert_eq!(renderer.frame(frame).expect("it renders"), wanted);
    assert_eq!(renderer.reopened(), 1);
}

#[test]
fn tiles_change_no_byte() {
    let Some((gpu, choice)) = own() else { return };
    for result in [TEN, HALF] {
        let program = ten_to(&chain_of(0.3, "2800K"), result);
        for (width, height) in [(1, 1), (200, 3), (65, 71), (129, 64)] {
            let frame = noise(width, height, u64::from(width));
            let render = |tile| {
                Renderer::new(Arc::clone(&gpu), choice.clone(), program.clone(), tile)
                    .frame(Arc::clone(&frame))
                    .expect("it renders")
            };
            let whole = render(None);
            for tile in [7, 64, 100_000] {
                assert_eq!(render(Some(tile)), whole, "{width}x{height} in tiles of {tile}");
            }
        }
    }
}

#[test]
fn frames_of_another_size_follow_on_the_same_renderer() {
    let Some((gpu, choice)) = own() else { return };
    let program = ten_to(&chain_of(0.3, "2800K"), HALF);
    let mut renderer = Renderer::new(Arc::clone(&gpu), choice.clone(), program.clone(), None);
    for (width, height) in [(16, 16), (31, 3), (1, 1), (16, 16)] {
        let frame = noise(width, height, 5);
        let fresh = Renderer::new(Arc::clone(&gpu), choice.clone(), program.clone(), None)
            .frame(Arc::clone(&frame))
            .expect("it renders");
        assert_eq!(renderer.frame(frame).expect("it renders"), fresh);
    }
}

#[test]
fn frames_of_two_sizes_on_their_way_at_once() {
    let Some((gpu, choice)) = own() else { return };
    let program = ten_to(&chain_of(0.3, "2800K"), HALF);
    let mut renderer = Renderer::new(Arc::clone(&gpu), choice.clone(), program.clone(), None);
    let frames = [noise(16, 16, 5), noise(31, 3, 6)];
    for frame in &frames {
        renderer.send(Arc::clone(frame), 0).expect("it is sent");
    }
    for frame in &frames {
        let wanted = Renderer::new(Arc::clone(&gpu), choice.clone(), program.clone(), None)
            .frame(Arc::clone(frame))
            .expect("it renders");
        assert_eq!(renderer.receive().expect("it comes back"), Some(wanted));
    }
}

#[test]
fn a_pass_compiles_in_the_background_once() {
    let Some((gpu, _)) = own() else { return };
    let program = ten_to(&chain_of(0.3, "2800K"), HALF);
    let wgsl = &program.passes[0].wgsl;
    let begun = Instant::now();
    let mut asked = 0;
    loop {
        asked += 1;
        match gpu.prepare(wgsl) {
            Compile::Ready => break,
            Compile::Running => std::thread::sleep(Duration::from_millis(1)),
            Compile::Failed(error) => panic!("{error}"),
        }
        // A generous time: a software adapter compiles a pass in well under a second.
        assert!(begun.elapsed() < Duration::from_secs(60), "never ready");
    }
    assert!(asked > 1, "the first answer must not wait for the compiler");
    assert_eq!(gpu.pipelines().compiled(), 1);
    assert!(matches!(gpu.prepare("no WGSL"), Compile::Running | Compile::Failed(_)));
    while gpu.prepare("no WGSL") == Compile::Running {
        assert!(begun.elapsed() < Duration::from_secs(60), "never failed");
        std::thread::sleep(Duration::from_millis(1));
    }
    assert!(matches!(gpu.prepare("no WGSL"), Compile::Failed(_)));
}

#[test]
fn a_frame_of_the_wrong_length_is_refused() {
    let Some((gpu, choice)) = own() else { return };
    let program = ten_to("exposure stops=1", HALF);
    let mut runner = Runner::new(&gpu, &program, 64, 1).expect("it runs");
    let place = Place::whole(Size::new(8, 8), 0);
    for length in [0, 4, 64 * 4 - 16, 64 * 4 + 4] {
        let refused = runner.send(&vec![0; length], place);
        assert!(matches!(refused, Err(DeviceError::WrongSize { found, wanted: 256 }) if found == length), "{length}");
    }
    assert!(runner.send(&[0; 256], place).is_ok());
    // The only buffer is in use now.
    assert!(matches!(runner.send(&[0; 256], place), Err(DeviceError::Refused(_))));
    // A layout other than the program's is refused as well, whatever its size.
    let pixels = vec![[0.5, 0.5, 0.5, 1.0]; 64];
    let other = Frame::from_pixels(&pixels, Size::new(8, 8), HALF, Range::Full);
    let mut renderer = Renderer::new(gpu, choice, program, None);
    assert!(renderer.frame(Arc::new(other)).is_err());
}

#[test]
fn an_adapter_that_is_not_there_is_named_with_those_that_are() {
    let error = Gpu::open(&AdapterChoice::Named("no such adapter".to_string())).expect_err("there is none");
    assert!(error.to_string().contains("no such adapter") && error.to_string().contains("GREYWRIGHT_ADAPTER"));
    assert!(Gpu::open(&AdapterChoice::None).expect("none is no error").is_none());
}
