//! Random candidates with forks: the optimiser keeps their meaning, and fused on the GPU they are what the proof says.

use plan::{Level, Plan};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use reference::Proof;
use tests::gpu::{adapter, render};
use tests::pixels;
use tests::plain::{evaluate, reach};
use tests::random;
use tests::tolerance::Standard;

/// Light beyond this is no picture's; see `optimiser.rs`.
const BEYOND_PICTURES: f64 = 1e20;

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_level_means_what_the_proof_says(
        candidate in random::candidates(),
        pixels in proptest::collection::vec(proptest::array::uniform3(-0.1f64..1.2), 1..8),
    ) {
        let elaborated = candidate.elaborated();
        let proof = Proof::new(&elaborated);
        let plans = [Level::None, Level::Full].map(|level| Plan::new(&elaborated, level));
        prop_assert_eq!(plans[1].passes.len(), 1, "all work is on pixels alone");
        for rgb in pixels {
            let reach = reach(&elaborated, rgb);
            if reach.largest > BEYOND_PICTURES {
                continue;
            }
            let wanted = proof.pixel(rgb);
            for plan in &plans {
                let found = evaluate(plan, rgb);
                for channel in 0..3 {
                    // Mixes, merged matrices and cancelled pairs round elsewhere; see `optimiser.rs`.
                    let allowed = reach.deviation[channel] + 1e-9 * wanted[channel].abs().max(1.0);
                    let off = (found[channel] - wanted[channel]).abs();
                    prop_assert!(off <= allowed, "{candidate}{rgb:?}: {found:?} for {wanted:?}\n{plan}");
                }
            }
        }
    }
}

/// As many as the software adapter compiles in some seconds.
const ON_THE_GPU: u32 = 48;

/// They are drawn with this seed unless `GREYWRIGHT_SEED` says another.
const SEED: u64 = 7;

/// Pixels that may keep the proof's bound alone.
const STEEP: f64 = 1e-3;

#[test]
fn fused_on_the_gpu_they_are_what_the_proof_says() {
    let Some(gpu) = adapter() else { return };
    let seed = std::env::var("GREYWRIGHT_SEED").ok().and_then(|text| text.parse().ok()).unwrap_or(SEED);
    println!("GREYWRIGHT_SEED={seed}");
    let mut bytes = [0; 32];
    bytes[..8].copy_from_slice(&seed.to_le_bytes());
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &bytes);
    let config = Config { cases: ON_THE_GPU, failure_persistence: None, ..Config::default() };
    let forks = std::cell::Cell::new(0u32);
    let result = TestRunner::new_with_rng(config, rng).run(&random::candidates(), |candidate| {
        let elaborated = candidate.elaborated();
        forks.set(forks.get() + u32::from(elaborated.nodes.iter().any(|node| node.side.is_some())));
        // A chain of anything on numbers that no picture holds soon comes to where single floats end.
        let mut pixels = pixels::fitting(&elaborated.original, &pixels::breaks(&elaborated));
        pixels.retain(|pixel| reach(&elaborated, pixel.map(f64::from)).largest <= BEYOND_PICTURES);
        let standard = Standard::new(candidate.to_string(), &elaborated, &pixels).with_steep(STEEP);
        for level in [Level::Full, Level::None] {
            let verdict = standard.judge(&render(&gpu, &elaborated, level, &pixels));
            if verdict.steep > 0 {
                println!("{level:?}: {}", verdict.line());
            }
            prop_assert!(verdict.holds(), "{:?}\n{candidate}", verdict.failure());
        }
        Ok(())
    });
    let forks = forks.get();
    println!("{forks} candidates with a siding");
    if let Err(error) = result {
        panic!("{error}");
    }
    assert!(forks * 3 >= ON_THE_GPU, "{forks} of {ON_THE_GPU} have a siding");
}
