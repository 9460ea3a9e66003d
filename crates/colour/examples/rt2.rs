use colour::{aces2::Aces2, primaries};
fn main() {
    let t = Aces2::new(10000.0, &primaries::BT2020);
    for b in [0.0001, 0.000244140625, 0.0005, 0.001, 0.01, 0.1] {
        let rgb = [0.0, 0.0, b];
        let jmh = t.limiting_model().jmh_from_rgb(rgb.map(|v| v * 100.0));
        println!("{rgb:?} {jmh:?} scene {:?} back {:?}", t.scene(rgb), t.rendered(t.scene(rgb)));
    }
    let t = Aces2::new(10000.0, &primaries::BT2020);
    let mut bad = 0;
    for k in 0..20000 {
        let b = (k as f64 / 20000.0).powi(4);
        for rgb in [[b, 0., 0.], [0., b, 0.], [0., 0., b], [b, b, 0.], [0., b, b], [b, 0., b]] {
            let back = t.rendered(t.scene(rgb));
            let d = (0..3).map(|c| (back[c] - rgb[c]).abs()).fold(0., f64::max);
            if d > 0.1 {
                bad += 1;
                if bad < 20 {
                    println!("{rgb:?} {back:?}");
                }
            }
        }
    }
    println!("bad {bad}");
}
