use colour::{aces2::Aces2, primaries};
fn main() {
    for (n, p) in [
        (100.0, primaries::BT709),
        (100.0, primaries::P3_D65),
        (1000.0, primaries::P3_D65),
        (1000.0, primaries::BT2020),
        (4000.0, primaries::P3_D65),
        (4000., primaries::BT2020),
        (10000., primaries::BT2020),
    ] {
        let t = Aces2::new(n, &p);
        let k = 33;
        let mut worst = (0.0, [0.0; 3], [0.0; 3], [0.0; 3]);
        let mut sum = 0.0;
        let mut big = [0usize; 5];
        let mut clipped = 0;
        let mut worst_in = (0.0, [0.0; 3]);
        for i in 0..k * k * k {
            let f = |j: usize| (j as f64 / (k - 1) as f64).powf(2.4);
            let rgb = [f(i % k), f(i / k % k), f(i / k / k)];
            let ap1 = t.scene(rgb);
            let back = t.rendered(ap1);
            let d = (0..3).map(|c| (rgb[c].powf(1. / 2.4) - back[c].powf(1. / 2.4)).abs()).fold(0.0, f64::max);
            for (b, l) in [1e-9, 1e-4, 1e-3, 1e-2, 3e-2].iter().enumerate() {
                if d > *l {
                    big[b] += 1;
                }
            }
            let at_edge = ap1.iter().any(|&c| c <= 0.0);
            if at_edge {
                clipped += 1;
            } else if d > worst_in.0 {
                worst_in = (d, rgb);
            }
            sum += d;
            if d > worst.0 {
                worst = (d, rgb, back, ap1);
            }
        }
        println!(
            "{n} {}: mean {:.1e} over {big:?} of {} clipped {clipped}; worst {:?}; worst unclipped {:?}",
            p.name,
            sum / (k * k * k) as f64,
            k * k * k,
            worst,
            worst_in
        );
    }
}
