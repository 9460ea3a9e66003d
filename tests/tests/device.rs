//! What the device must survive: moved settings, a lost device, tiles, other sizes, wrong frames. What is held on it is the
//! same as what is sent, is sent once, and is there again after a loss.

use std::sync::Arc;
use std::time::{Duration, Instant};

use frame::{ByteOrder, Channels, Dither, Frame, Layout, Range, Samples, Size};
use gpu::assemble::{Edge, Place, Program, assemble};
use gpu::device::{AdapterChoice, Compile, DeviceError, Gpu, Held, HeldFrames, Renderer, Runner};
use graph::Original;
use plan::{Level, Plan};
use tests::cases::Subject;
use tests::gpu::adapter;
use tests::pixels::Random;
use tests::program::greywright;

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
    program(chain, Level::Full, Edge::Stored(result, Range::Full))
}

fn program(chain: &str, level: Level, result: Edge) -> Program {
    let elaborated = Subject::chain(chain, &Original::SceneRows).elaborated;
    assemble(&Plan::new(&elaborated, level), Edge::Stored(TEN, Range::Full), result).expect("it assembles")
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
    let sent = runner.send(&[0; 256], place).expect("it fits");
    // The only buffer is in use now.
    assert!(!runner.has_room() && matches!(runner.send(&[0; 256], place), Err(DeviceError::Refused(_))));
    // Until nobody wants the result any more.
    drop(sent);
    assert!(runner.has_room() && runner.send(&[0; 256], place).is_ok());
    // A layout other than the program's is refused as well, whatever its size.
    let pixels = vec![[0.5, 0.5, 0.5, 1.0]; 64];
    let other = Frame::from_pixels(&pixels, Size::new(8, 8), HALF, Range::Full);
    let other = Arc::new(other);
    let mut renderer = Renderer::new(Arc::clone(&gpu), choice, program, None);
    let held = Held::new(&gpu, Arc::clone(&other), None).expect("it is held");
    let refused = [
        renderer.frame(other).expect_err("it is stored otherwise"),
        renderer.send_held(&held, 0).expect_err("it is stored otherwise"),
        renderer.draw(&held, 0).expect_err("it is stored otherwise"),
    ];
    for refused in refused.map(|error| error.to_string()) {
        assert!(refused.contains(&TEN.name()) && refused.contains(&HALF.name()), "{refused}");
    }
}

#[test]
fn an_adapter_that_is_not_there_is_named_with_those_that_are() {
    let error = Gpu::open(&AdapterChoice::Named("no such adapter".to_string())).expect_err("there is none");
    assert!(error.to_string().contains("no such adapter") && error.to_string().contains("GREYWRIGHT_ADAPTER"));
    assert!(Gpu::open(&AdapterChoice::None).expect("none is no error").is_none());
}

/// Frames of any size through programs of one and of several passes, dithered or not.
fn candidates() -> Vec<Program> {
    let dithered = Edge::Dithered(TEN, Range::Full, Dither::BlueNoise);
    vec![
        ten_to(&chain_of(0.3, "2800K"), HALF),
        program(&chain_of(-1.0, "A"), Level::Full, dithered),
        program(&chain_of(0.6, "4000K"), Level::None, Edge::Stored(TEN, Range::Full)),
        program("exposure stops=0.1", Level::Full, Edge::Between),
    ]
}

#[test]
fn a_held_frame_is_sent_once_and_gives_the_same_pictures() {
    let Some((gpu, choice)) = own() else { return };
    let candidates = candidates();
    assert!(candidates[2].passes.len() > 1);
    for (width, height, tile) in [(200, 3, None), (65, 71, None), (65, 71, Some(16)), (1, 1, None), (40, 30, Some(40))]
    {
        let frame = noise(width, height, u64::from(width));
        let renderer =
            |candidate: &Program, tile| Renderer::new(Arc::clone(&gpu), choice.clone(), candidate.clone(), tile);
        let sent = |candidate: &Program| {
            let mut renderer = renderer(candidate, None);
            renderer.send(Arc::clone(&frame), 7).expect("it is sent");
            renderer.receive().expect("it comes back").expect("one was sent")
        };
        let wanted: Vec<_> = candidates.iter().map(sent).collect();
        let before = gpu.uploads();
        let held = Held::new(&gpu, Arc::clone(&frame), tile).expect("it is held");
        let uploads = tile.map_or(1, |tile: u32| width.div_ceil(tile) * height.div_ceil(tile)) as usize;
        assert_eq!(gpu.uploads() - before, uploads);
        assert_eq!((held.size(), held.layout(), held.is_lost()), (frame.size(), TEN, false));
        // Words of four pixels, a piece at a time.
        assert!(held.byte_len() >= frame.bytes().len() as u64, "{}", held.byte_len());
        assert_eq!(held.byte_len(), Held::byte_len_of(&gpu, frame.size(), TEN, tile));
        for (candidate, wanted) in candidates.iter().zip(&wanted) {
            let mut renderer = renderer(candidate, tile);
            let drawn = renderer.draw(&held, 7).expect("it is drawn");
            assert_eq!((drawn.size(), drawn.pieces().count()), (held.size(), uploads));
            renderer.send_held(&held, 7).expect("it is sent");
            assert_eq!(renderer.receive().expect("it comes back").as_ref(), Some(wanted), "{width}x{height} {tile:?}");
            assert_eq!(&drawn.read().expect("it is fetched"), wanted, "{width}x{height} {tile:?}, drawn");
        }
        assert_eq!(gpu.uploads() - before, uploads, "nothing was sent again");
    }
}

#[test]
fn held_frames_follow_each_other_while_settings_move() {
    let Some((gpu, choice)) = own() else { return };
    let frames = [noise(33, 20, 1), noise(16, 16, 2), noise(33, 20, 3)];
    let chains = [(0.5, "3200K"), (0.0, "D65"), (-1.0, "4000K")].map(|(stops, white)| chain_of(stops, white));
    let mut sending = Renderer::new(Arc::clone(&gpu), choice.clone(), ten_to(&chains[0], TEN), None);
    let mut wanted = Vec::new();
    for chain in &chains {
        sending.set(ten_to(chain, TEN)).expect("settings are taken");
        wanted.push(frames.each_ref().map(|frame| sending.frame(Arc::clone(frame)).expect("it renders")));
    }
    let compiled = gpu.pipelines().compiled();
    let held = frames.map(|frame| Held::new(&gpu, frame, None).expect("it is held"));
    let mut renderer = Renderer::new(Arc::clone(&gpu), choice, ten_to(&chains[0], TEN), None);
    // All is drawn before anything is looked at; what was drawn with other settings stays as it is.
    let mut drawn = Vec::new();
    for chain in &chains {
        renderer.set(ten_to(chain, TEN)).expect("settings are taken");
        drawn.push(held.each_ref().map(|held| renderer.draw(held, 0).expect("it is drawn")));
    }
    // Frames on their way among what stays.
    for held in &held {
        renderer.send_held(held, 0).expect("it is sent");
    }
    for (drawn, wanted) in drawn.iter().flatten().zip(wanted.iter().flatten()) {
        assert_eq!(&drawn.read().expect("it is fetched"), wanted);
    }
    for wanted in &wanted[2] {
        assert_eq!(renderer.receive().expect("it comes back").as_ref(), Some(wanted));
    }
    assert_eq!(gpu.pipelines().compiled(), compiled);
}

#[test]
fn what_was_drawn_gives_its_buffer_back() {
    let Some((gpu, choice)) = own() else { return };
    let held = Held::new(&gpu, noise(33, 20, 1), None).expect("it is held");
    let mut renderer = Renderer::new(gpu, choice, ten_to(&chain_of(0.5, "A"), TEN), None);
    let mut draw = || renderer.draw(&held, 0).expect("it is drawn");
    let (one, other) = (draw(), draw());
    let buffer = |drawn: &gpu::device::Drawn| drawn.pieces().next().expect("a piece").1.clone();
    let (first, second) = (buffer(&one), buffer(&other));
    assert!(first != second);
    drop(one);
    assert!(buffer(&draw()) == first);
    assert_eq!(draw().pieces().next().expect("a piece").0.pixels(), 33 * 20);
}

#[test]
fn a_held_frame_is_there_again_after_a_loss_once_for_all() {
    let Some((gpu, choice)) = own() else { return };
    for tile in [None, Some(16)] {
        let gpu = Gpu::open(&choice).expect("it opened before").unwrap_or_else(|| Arc::clone(&gpu));
        let frame = noise(61, 40, 4);
        let held = Held::new(&gpu, Arc::clone(&frame), tile).expect("it is held");
        let mut renderers: Vec<_> = candidates()
            .into_iter()
            .map(|candidate| Renderer::new(Arc::clone(&gpu), choice.clone(), candidate, tile))
            .collect();
        let wanted: Vec<_> = renderers
            .iter_mut()
            .map(|one| one.draw(&held, 3).expect("it is drawn").read().expect("it is there"))
            .collect();
        let drawn = renderers[0].draw(&held, 3).expect("it is drawn");
        renderers[0].send_held(&held, 3).expect("it is sent");
        gpu.lose();
        assert!(matches!(drawn.read(), Err(DeviceError::Lost { .. })));
        assert!(gpu.is_lost() && held.is_lost() && drawn.is_lost() && held.clone().is_lost());
        for (renderer, wanted) in renderers.iter_mut().zip(&wanted) {
            let drawn = renderer.draw(&held, 3).expect("it is drawn again");
            assert_eq!(&drawn.read().expect("it is there"), wanted);
            assert_eq!(renderer.reopened(), 1);
            assert!(Arc::ptr_eq(renderer.gpu(), &gpu.again(&choice).expect("it is open")), "one device for all");
        }
        assert_eq!(renderers[0].receive().expect("it comes back").as_ref(), Some(&wanted[0]));
        assert!(!held.is_lost());
        // Tiles are sent each by itself; nobody sends them a second time.
        let once = if tile.is_some() { 4 * 3 } else { 1 };
        assert_eq!(renderers[0].gpu().uploads(), once);
    }
}

#[test]
fn a_frame_held_on_another_device_is_refused_in_words() {
    let Some((gpu, choice)) = own() else { return };
    let other = Gpu::open(&choice).expect("it opened before").expect("it was there before");
    let held = Held::new(&other, noise(8, 8, 1), None).expect("it is held");
    let mut renderer = Renderer::new(gpu, choice, ten_to("exposure stops=1", TEN), None);
    let refused = renderer.draw(&held, 0).expect_err("it is elsewhere").to_string();
    assert!(refused.contains("held on another device") && refused.contains("upload it"), "{refused}");
}

#[test]
fn frames_are_held_on_threads_beside_work() {
    let Some((gpu, choice)) = own() else { return };
    let program = ten_to(&chain_of(0.3, "2800K"), TEN);
    let frames: Vec<_> = (0..6).map(|seed| noise(97, 60, seed)).collect();
    let mut renderer = Renderer::new(Arc::clone(&gpu), choice, program, None);
    let wanted: Vec<_> = frames.iter().map(|frame| renderer.frame(Arc::clone(frame)).expect("it renders")).collect();
    let (give, take) = std::sync::mpsc::sync_channel(2);
    std::thread::scope(|scope| {
        scope.spawn(move || {
            for frame in frames {
                give.send(Held::new(&gpu, frame, None).expect("it is held")).expect("it is wanted");
            }
        });
        for wanted in &wanted {
            let held = take.recv().expect("it comes");
            let drawn = renderer.draw(&held, 0).expect("it is drawn");
            // It may go while it is still being read.
            drop(held);
            assert_eq!(&drawn.read().expect("it is there"), wanted);
        }
    });
}

#[test]
fn held_frames_keep_to_their_budget() {
    let Some((gpu, _)) = own() else { return };
    let frame = noise(16, 16, 1);
    let one = Held::byte_len_of(&gpu, frame.size(), TEN, None);
    assert_eq!(one, 16 * 16 * 4);
    let hold = || Held::new(&gpu, Arc::clone(&frame), None).expect("it is held");
    let mut cache = HeldFrames::new(3 * one + one / 2);
    let numbers = |cache: &HeldFrames| cache.numbers().collect::<Vec<_>>();
    // Playing forwards from 10 in a loop of twenty frames.
    let distance = |head: i64| move |number: i64| (number - head).rem_euclid(20) as u64;
    for number in 10..13 {
        assert!(cache.make_room(number, one, distance(10)) && cache.insert(number, hold()));
    }
    assert_eq!((numbers(&cache), cache.bytes()), (vec![10, 11, 12], 3 * one));
    // What is farther than all that is held is not worth it; what is nearer than one of them is.
    assert!(!cache.make_room(13, one, distance(10)) && !cache.insert(13, hold()));
    assert_eq!(numbers(&cache), [10, 11, 12]);
    assert!(cache.make_room(13, one, distance(11)) && cache.insert(13, hold()));
    assert_eq!((numbers(&cache), cache.bytes()), (vec![11, 12, 13], 3 * one));
    // Backwards, the last ones go.
    let back = |number: i64| (11 - number).rem_euclid(20) as u64;
    assert!(cache.make_room(9, 2 * one, back) && cache.insert(9, hold()));
    assert_eq!(numbers(&cache), [9, 11]);
    // What is in use elsewhere counts on, until it is let go there too.
    let used = cache.get(11).cloned().expect("it is held");
    assert!(cache.evict(11).is_some() && cache.get(11).is_none());
    assert_eq!((numbers(&cache), cache.bytes()), (vec![9], 2 * one));
    assert!(!cache.make_room(20, 3 * one, |_| 0));
    // Taken again it counts once, under another number or in its own place.
    assert!(cache.insert(11, used.clone()) && cache.insert(11, used.clone()));
    assert_eq!(cache.bytes(), 2 * one);
    cache.evict(11);
    drop(used);
    assert_eq!(cache.bytes(), one);
    // One frame alone is always held.
    let mut small = HeldFrames::new(1);
    assert!(small.make_room(5, one, |_| 0) && small.insert(5, hold()));
    assert!(!small.insert(6, hold()));
    assert!(small.make_room(6, one, |number| number.abs_diff(6)) && small.insert(6, hold()));
    assert_eq!(numbers(&small), [6]);
}

#[test]
fn pace_times_what_is_held() {
    if adapter().is_none() {
        return;
    }
    let answer = greywright("pace --held --size 160x90 --repeats 2 --sets 1 --json").done().json();
    let rows = answer["rows"].as_array().expect("rows");
    assert_eq!(rows.len(), 9, "{answer}");
    let time = |row: usize, of: &str| rows[row][of].as_f64();
    // Each pass alone is told by the device's clock, where it has one; the others by the wall's.
    for (row, is_pass_alone) in [false, false, true, true, true, true, true, false, false].into_iter().enumerate() {
        let wall = time(row, "wall_microseconds");
        assert!(if is_pass_alone { wall.is_none() } else { wall.is_some_and(|time| time > 0.0) }, "{answer}");
    }
    assert!(rows[2]["what"].as_str().is_some_and(|what| what.contains("window")), "{answer}");
    if let Some(all) = time(7, "device_microseconds") {
        let alone = [1, 3, 4, 5, 6];
        let sum: f64 = alone.into_iter().filter_map(|row| time(row, "device_microseconds")).sum();
        assert!((sum / all - 1.0).abs() < 1e-9, "{answer}");
    }
    for chain in ["chain", "other"] {
        assert_eq!(answer[chain].as_str().map(|chain| chain.split('|').count()), Some(12), "{answer}");
    }
    greywright("pace --held").chain("exposure").fails(2, &["--held"]);
}
