//! The galley: a pane beyond the sensor in blue alone, a card in each light, and a shot with next to no cast.

use colour::cct::cct_duv;
use colour::transfer::Form;
use demo::as_read;

use crate::film::{FILM, mean, number};

#[test]
fn the_pane_is_full_in_blue_alone() {
    let shot = FILM.shot("galley_010");
    let ceiling = (shot.encoding.transfer.encode(Form::Published, shot.truth.sensor.full) * 1023.0).round() as u16;
    let (codes, maps) = (shot.codes(1), shot.map(&shot.truth.pictures.maps, 1));
    let of_pane = shot.mostly("night glass", 1);
    let clipped = |which: u16| of_pane.iter().filter(|place| maps[**place][1] == which).count();
    let full: Vec<[u16; 3]> = of_pane.iter().filter(|place| maps[**place][1] == 4).map(|place| codes[*place]).collect();
    let [red, green, blue] = mean(full.iter().map(|code| code.map(f64::from)));
    println!(
        "galley_010: {} of {} pixels of glass are full in blue, at code {ceiling}; their mean is {red:.0} {green:.0} {blue:.0}",
        full.len(),
        of_pane.len()
    );
    assert!(full.len() > 300, "{} pixels", full.len());
    assert!([1, 2, 3, 5, 6, 7].iter().all(|which| clipped(*which) == 0), "a pane that is full in another channel");
    // A channel is not full if it is further under the ceiling than five deviations of the noise there, by the stated model,
    // and a rounding.
    let sensor = &shot.truth.sensor;
    let deviation = (sensor.noise_read.powi(2) + sensor.noise_light * sensor.full).sqrt();
    let under = shot.encoding.transfer.encode(Form::Published, sensor.full - 5.0 * deviation) * 1023.0;
    let clear = f64::from(ceiling) - under + 0.5;
    let nearest = full.iter().map(|code| ceiling - code[0].max(code[1])).min().expect("pixels");
    println!("galley_010: green or red comes to {nearest} codes under the ceiling; noise could hide {clear:.2}");
    assert!(f64::from(nearest) > clear, "{nearest} {clear}");
    assert!(full.iter().all(|code| f64::from(ceiling - code[2]) <= clear), "{full:?}");
}

#[test]
fn three_cards_read_each_light_and_a_mix() {
    let shot = FILM.shot("galley_010");
    let white = shot.truth.materials.iter().find(|own| own.name == "perfect white").expect("a perfect white");
    let picture = shot.linear(1);
    let mut mireds = Vec::new();
    for (name, lamp) in [("grey card", 0.9..1.0), ("grey card, edge", 0.2..0.8), ("grey card, window", 0.0..0.2)] {
        let mark = shot.mark(name);
        // The mean of all pixels: `probe` leaves out what is far from the median, on the edge one of the two lights.
        let read = as_read(&shot.encoding, shot.mean(&picture, mark.rect));
        let sum = [0, 1, 2].map(|c| mark.shares.iter().zip(&white.camera).map(|(share, rgb)| share * rgb[c]).sum());
        let told = as_read(&shot.encoding, sum);
        let kelvin = cct_duv(read).expect("near the locus").0;
        println!(
            "galley_010: {name} has {:.2} of lamp, reads {kelvin:.0} K, {read:.4?}; told {told:.4?}",
            mark.shares[0]
        );
        assert!(lamp.contains(&mark.shares[0]), "{name}: {:?}", mark.shares);
        assert!((read.x - told.x).abs() < 0.002 && (read.y - told.y).abs() < 0.002, "{name}: {read:?} {told:?}");
        mireds.push(1e6 / kelvin);
    }
    assert!(mireds.windows(2).all(|pair| pair[0] > pair[1] + 20.0), "each is bluer than the one before: {mireds:?}");
}

#[test]
fn the_control_has_a_cast_of_twelve_mired_at_most() {
    let shot = FILM.shot("galley_020");
    let read = &shot.probed(shot.mark("grey card").rect)[0];
    let mired = number(&read["white"]["mired"]);
    println!("galley_020: the card reads {mired:+.2} mired from D65, {:+.4} Duv", number(&read["white"]["duv"]));
    assert!(mired.abs() <= 12.0, "{mired}");
}
