//! Published and computed check values, row by row, through the face that page, API and command line
//! share. Each row says where its figure comes from; figures worked out from a published formula say
//! “computed”.

use serde_json::{Value, json};
use undershell::calc;

/// One row: source, calculation, input, then each value that must come out, and how near.
type Row = (&'static str, &'static str, Value, &'static [(&'static str, f64, f64)]);

/// The values of an answer by name.
fn values(name: &str, input: &Value) -> Vec<(String, f64)> {
    let c = calc::find(name).unwrap_or_else(|| panic!("{name}"));
    let answer = (c.run)(&input.to_string()).unwrap_or_else(|r| panic!("{name} {input}: {r:?}"));
    answer.values.into_iter().map(|v| (v.name, v.value)).collect()
}

fn assert_rows(rows: Vec<Row>) {
    for (source, name, input, wanted) in rows {
        let values = values(name, &input);
        for (field, value, within) in wanted {
            let ours = values.iter().find(|(n, _)| n == field).map(|(_, v)| *v);
            let near = ours.is_some_and(|v| (v - value).abs() <= *within);
            assert!(near, "{source}: {field} is {ours:?}, wanted {value} ± {within}; {input}");
        }
    }
}

/// A capacitor without tolerance, ageing or resistance, charged to a voltage.
fn ideal(farad: f64, series: u32, full_v: f64, load: Value) -> Value {
    let mut load = load;
    load["cutoff_v"] = json!(7.0);
    load["diode_v"] = json!(0.0);
    json!({
        "store": {
            "kind": "electrolytic", "cell_f": farad, "series": series, "parallel": 1, "esr_ohm": 0,
            "tolerance_low_percent": 0, "tolerance_high_percent": 0,
            "aged_capacity_percent": 100, "aged_esr_factor": 1, "rating_v": 25
        },
        "supply": { "track_v": full_v, "full_v": full_v },
        "load": load
    })
}

#[test]
fn the_motor_and_its_headroom() {
    let check = |output: f64| {
        json!({
            "test_v": 12, "free_a": 0.27, "slipping_a": 0.32, "held_a": 0.80, "decoder_output_v": output
        })
    };
    let motor = json!({ "test_v": 12, "held_a": 0.6, "decoder_output_v": 12, "winding_c": 20 });
    let budget = json!({
        "load": check(12.0), "decoder": { "motor_continuous_a": 1.0, "total_continuous_a": 1.0 }
    });
    assert_rows(vec![
        (
            "common practice, computed: 12 V, 0.27 / 0.32 / 0.80 A",
            "load",
            check(12.0),
            &[
                ("resistance_ohm", 15.0, 1e-9),
                ("friction_share", 0.84375, 1e-9),
                ("back_emf_free_v", 7.95, 1e-9),
                ("copper_loss_free_w", 1.0935, 1e-9),
                ("friction_power_w", 2.1465, 1e-9),
            ],
        ),
        (
            "computed: the same motor at 14.6 V",
            "load",
            check(14.6),
            &[("held_at_output_a", 0.97333, 5e-6)],
        ),
        ("computed: U/R of 20 Ω at 12 V", "load", motor, &[("held_at_output_a", 0.60, 1e-9)]),
        (
            "computed: 0.80 A and 0.32 A of 1.0 A",
            "budget",
            budget,
            &[
                ("motor_continuous_held_headroom", 0.20, 1e-9),
                ("motor_continuous_slipping_headroom", 0.68, 1e-9),
            ],
        ),
    ]);
    // copper by the 234.5 K rule: worked examples of two formula pages, and an electrical portal
    let ratio = calc::load::copper_ratio;
    assert!((1.21 * ratio(20.0, 75.0) - 1.4715).abs() < 5e-4);
    assert!((20.0 * ratio(20.0, 100.0) - 26.288).abs() < 1e-3);
    assert!((calc::load::COPPER_PER_K - 1.0 / (234.5 + 20.0)).abs() < 1e-5);
}

#[expect(clippy::too_many_lines, reason = "a table of published values")]
#[test]
fn capacitor_ride_through() {
    let current = |amps: f64| json!({ "current_a": amps });
    let five = || ideal(1.0, 5, 13.5, json!({ "power_w": 3.0 }));
    let mut charged = five();
    charged["charge"] = json!({ "ohm": 100 });
    charged["store"]["rating_v"] = json!(2.7);
    charged["store"]["leakage_a"] = json!(10e-6);
    let mut published = ideal(0.001, 1, 15.0, current(0.25));
    published["charge"] = json!({ "ohm": 1000 });
    let mut booster = ideal(0.2, 1, 13.5, current(0.25));
    booster["charge"] = json!({ "ohm": 100 });
    booster["booster"] = json!({ "count": 10, "trip_a": 3 });
    assert_rows(vec![
        (
            "published: 1000 µF with 1 kΩ is 1.000 s; computed: 15 to 7 V at 0.25 A",
            "holdup",
            published,
            &[
                ("charge_tau_s", 1.0, 1e-9),
                ("charge_95_s", 2.9957, 5e-5),
                ("charge_99_s", 4.6052, 5e-5),
                ("hold_s", 0.0320, 1e-6),
            ],
        ),
        (
            "computed: 2200 µF",
            "holdup",
            ideal(0.0022, 1, 15.0, current(0.25)),
            &[("hold_s", 0.0704, 1e-6)],
        ),
        (
            "computed: 4700 µF",
            "holdup",
            ideal(0.0047, 1, 15.0, current(0.25)),
            &[("hold_s", 0.1504, 1e-6)],
        ),
        (
            "computed: 10000 µF",
            "holdup",
            ideal(0.010, 1, 15.0, current(0.25)),
            &[("hold_s", 0.320, 1e-6)],
        ),
        (
            "computed: 1000 µF, 15 to 7 V, 3.75 W",
            "holdup",
            ideal(0.001, 1, 15.0, json!({ "power_w": 3.75 })),
            &[("hold_s", 0.0235, 5e-5)],
        ),
        (
            "computed: 1000 µF, 15 to 7 V into 60 Ω",
            "holdup",
            ideal(0.001, 1, 15.0, json!({ "resistance_ohm": 60.0 })),
            &[("hold_s", 0.0457, 5e-5)],
        ),
        (
            "computed: five 1 F cells, 13.5 to 7 V at 3 W; charged through 100 Ω; 27 kΩ balance",
            "holdup",
            charged,
            &[
                ("store_f", 0.2, 1e-9),
                ("usable_j", 13.325, 1e-6),
                ("hold_s", 4.4417, 5e-4),
                ("energy_j", 18.225, 1e-6),
                ("inrush_a", 0.135, 1e-9),
                ("charge_tau_s", 20.0, 1e-9),
                ("charge_99_s", 92.103, 5e-4),
                ("charge_peak_w", 1.8225, 1e-6),
                ("charge_j", 18.225, 1e-6),
                ("balance_ohm", 27_000.0, 1e-6),
                ("balance_w", 0.000_27, 1e-9),
            ],
        ),
        (
            "computed: the same at 0.25 A",
            "holdup",
            ideal(1.0, 5, 13.5, current(0.25)),
            &[("hold_s", 5.2, 1e-6)],
        ),
        ("computed: ten at 135 mA", "holdup", booster, &[("line_up_peak_a", 1.35, 1e-9)]),
    ]);
}

#[expect(clippy::too_many_lines, reason = "a table of computed values")]
#[test]
fn gaps_speeds_and_the_least_store() {
    let mut wanted = ideal(1.0, 1, 12.0, json!({ "current_a": 0.3 }));
    wanted["crossing"] = json!({ "wanted_s": 0.325 });
    let crossing = |speed: Value| {
        let mut input = ideal(1.0, 1, 12.0, json!({ "power_w": 3.6 }));
        input["crossing"] = json!({ "gap_mm": 1000, "speed": speed });
        input
    };
    let mut gap = crossing(json!({ "scale_mph": 30, "scale_ratio": 87.1 }));
    gap["crossing"]["gap_mm"] = json!(50);
    assert_rows(vec![
        (
            "computed: 0.325 s, 0.3 A, 5 V allowed fall",
            "holdup",
            wanted,
            &[("least_store_f", 0.0195, 5e-6)],
        ),
        (
            "computed: 50 mm at 154 mm/s; 3.6 W, 12 to 7 V",
            "holdup",
            gap,
            &[("wanted_s", 0.325, 5e-4), ("least_store_f", 0.0246, 5e-5)],
        ),
        (
            "computed: 60 mph HO, 1 m in 3.247 s",
            "holdup",
            crossing(json!({ "scale_mph": 60, "scale_ratio": 87.1 })),
            &[("wanted_s", 3.247, 1e-3)],
        ),
        (
            "computed: 60 mph N is 167.6 mm/s",
            "holdup",
            crossing(json!({ "scale_mph": 60, "scale_ratio": 160 })),
            &[("wanted_s", 1000.0 / 167.6, 2e-3)],
        ),
        (
            "computed: 60 mph O is 558.8 mm/s",
            "holdup",
            crossing(json!({ "scale_mph": 60, "scale_ratio": 48 })),
            &[("wanted_s", 1000.0 / 558.8, 2e-3)],
        ),
        (
            "computed: 45 mph OO is 264.0 mm/s",
            "holdup",
            crossing(json!({ "scale_mph": 45, "scale_ratio": 76.2 })),
            &[("wanted_s", 1000.0 / 264.0, 2e-3)],
        ),
        (
            "computed: 100 km/h H0, 3.132 s per metre",
            "holdup",
            crossing(json!({ "scale_kmh": 100, "scale_ratio": 87 })),
            &[("wanted_s", 3.132, 1e-3)],
        ),
        (
            "computed: 80 km/h N is 138.9 mm/s",
            "holdup",
            crossing(json!({ "scale_kmh": 80, "scale_ratio": 160 })),
            &[("wanted_s", 1000.0 / 138.9, 3e-3)],
        ),
        (
            "computed: 60 km/h 0 is 370.4 mm/s",
            "holdup",
            crossing(json!({ "scale_kmh": 60, "scale_ratio": 45 })),
            &[("wanted_s", 1000.0 / 370.4, 1e-3)],
        ),
    ]);
}

/// V_s, LEDs, V_f, wanted A; R exact, E12, E24, E96; mA and mW with E12.
const LIGHTS: [(f64, u32, f64, f64, [f64; 6]); 7] = [
    (5.0, 1, 2.0, 0.020, [150.0, 150.0, 150.0, 150.0, 20.0, 60.0]),
    (12.0, 1, 3.2, 0.010, [880.0, 1000.0, 910.0, 887.0, 8.80, 77.4]),
    (12.0, 1, 3.2, 0.020, [440.0, 470.0, 470.0, 442.0, 18.72, 164.8]),
    (12.0, 3, 3.2, 0.010, [240.0, 270.0, 240.0, 243.0, 8.89, 21.3]),
    (14.0, 1, 3.2, 0.005, [2160.0, 2200.0, 2200.0, 2210.0, 4.91, 53.0]),
    (16.0, 1, 3.0, 0.010, [1300.0, 1500.0, 1300.0, 1300.0, 8.67, 112.7]),
    (20.0, 1, 3.3, 0.010, [1670.0, 1800.0, 1800.0, 1690.0, 9.28, 154.9]),
];

/// The first row is published, the others computed; E-series by IEC 60063.
#[test]
fn resistors_of_lights() {
    for (supply, leds, forward_v, wanted_a, [exact, e12, e24, e96, ma, mw]) in LIGHTS {
        let string = json!({
            "name": "s", "light": { "led": { "forward_v": forward_v, "wanted_a": wanted_a } },
            "in_series": leds, "copies": 1
        });
        let input = json!({
            "track_v": supply, "drop_v": 0, "series": "e12",
            "outputs": [{ "name": "white", "strings": [string] }]
        });
        let values = values("lights", &input);
        for (field, wanted, within) in [
            ("exact_ohm", exact, 1e-6),
            ("e12_ohm", e12, 1e-6),
            ("e24_ohm", e24, 1e-6),
            ("e96_ohm", e96, 1e-6),
            ("current_a", ma / 1000.0, 5e-6),
            ("resistor_w", mw / 1000.0, 5e-5),
        ] {
            let name = format!("output_1_string_1_{field}");
            let ours = values.iter().find(|(n, _)| *n == name).map(|(_, v)| *v);
            let near = ours.is_some_and(|v| (v - wanted).abs() <= within);
            assert!(near, "{supply} V, {leds} × {forward_v} V: {field} {ours:?}, wanted {wanted}");
        }
    }
}

#[test]
fn loudspeakers_and_the_sealed_box() {
    let speaker =
        |ohm: f64| json!({ "speaker": { "name": format!("{ohm} Ω"), "impedance_ohm": ohm } });
    let load = |network: Value| json!({ "network": network, "output_v": 2.828 });
    let boxed = |qts: f64, vas: f64, inside: f64, wanted: f64| {
        let mut input = load(speaker(8.0));
        input["closed_box"] = json!({
            "fs_hz": 35, "qts": qts, "vas_cm3": vas, "box_cm3": inside, "spread_percent": 0,
            "wanted_qtc": wanted
        });
        input
    };
    assert_rows(vec![
        ("computed: 2.828 V into 8 Ω", "sound", load(speaker(8.0)), &[("power_w", 1.0, 5e-4)]),
        ("computed: into 4 Ω", "sound", load(speaker(4.0)), &[("power_w", 2.0, 1e-3)]),
        (
            "computed: 8 ‖ 8",
            "sound",
            load(json!({ "parallel": [speaker(8.0), speaker(8.0)] })),
            &[("load_ohm", 4.0, 1e-9)],
        ),
        (
            "computed: 8 + 8",
            "sound",
            load(json!({ "series": [speaker(8.0), speaker(8.0)] })),
            &[("load_ohm", 16.0, 1e-9)],
        ),
        (
            "computed: 8 ‖ 4; power inversely as the impedance",
            "sound",
            load(json!({ "parallel": [speaker(8.0), speaker(4.0)] })),
            &[
                ("load_ohm", 2.667, 5e-4),
                ("speaker_1_share", 1.0 / 3.0, 1e-9),
                ("speaker_2_share", 2.0 / 3.0, 1e-9),
            ],
        ),
        (
            "computed: 4 + 4",
            "sound",
            load(json!({ "series": [speaker(4.0), speaker(4.0)] })),
            &[("load_ohm", 8.0, 1e-9)],
        ),
        (
            "published: 35 Hz, 0.65, 45 l in 30 l (1.03, 55.34 Hz, 43 Hz)",
            "sound",
            boxed(0.65, 45_000.0, 30_000.0, std::f64::consts::FRAC_1_SQRT_2),
            &[("qtc", 1.0277, 5e-5), ("fc_hz", 55.34, 5e-3), ("f3_hz", 42.99, 5e-3)],
        ),
        (
            "computed: 0.5, V_as = V_b: 0.7071, f_3 = f_c = 1.4142 f_s",
            "sound",
            boxed(0.5, 45_000.0, 45_000.0, std::f64::consts::FRAC_1_SQRT_2),
            &[
                ("qtc", std::f64::consts::FRAC_1_SQRT_2, 5e-5),
                ("fc_hz", 49.497, 5e-3),
                ("f3_hz", 49.497, 5e-3),
            ],
        ),
    ]);
}

#[test]
fn wire_drop_and_warm_copper() {
    assert_rows(vec![
        (
            "computed by ASTM B258: AWG 30, 0.5 m out and back, 1 A",
            "wire",
            json!({ "awg": 30, "loop_mm": 1000, "current_a": 1 }),
            &[("drop_v", 0.339, 5e-4), ("careful_a", 0.144, 5e-4), ("generous_a", 0.86, 1e-9)],
        ),
        (
            "computed: AWG 34, 0.3 m loop, 1 A",
            "wire",
            json!({ "awg": 34, "loop_mm": 300, "current_a": 1 }),
            &[("drop_v", 0.257, 5e-4)],
        ),
        (
            "computed: AWG 30 at 60 °C",
            "wire",
            json!({ "awg": 30, "loop_mm": 1000, "current_a": 1, "copper_c": 60 }),
            &[("ohm_per_km", 391.8, 0.05)],
        ),
        (
            "ASTM B258 fixed point: 36 is 0.005 in",
            "wire",
            json!({ "awg": 36, "loop_mm": 1000, "current_a": 0.01 }),
            &[("diameter_mm", 0.127, 1e-9)],
        ),
    ]);
}

/// Ambient 22 °C, rise 40 K, time constant 10 min: 37.74 °C at 5 min … 60.01 °C at 30 min, 50 °C at
/// 12.04 min (computed).
#[test]
fn a_first_order_rise() {
    let points: Vec<Value> = [(0, 22.0), (300, 37.74), (600, 47.28), (1200, 56.59), (1800, 60.01)]
        .into_iter()
        .map(|(s, c)| json!({ "time_s": s, "temp_c": c }))
        .collect();
    assert_rows(vec![(
        "computed: first-order rise",
        "heat",
        json!({ "points": points, "limit_c": 50 }),
        &[
            ("ambient_c", 22.0, 0.01),
            ("rise_k", 40.0, 0.02),
            ("tau_s", 600.0, 1.0),
            ("time_to_limit_s", 12.04 * 60.0, 0.6),
        ],
    )]);
}

/// T_j = T_a + P × sum of thermal resistances: published worked examples (one prints 252 for 252.5).
#[test]
fn thermal_resistances() {
    for (ambient, watt, path, settles) in [
        (25.0, 3.5, vec![65.0], 252.5),
        (25.0, 3.5, vec![5.0, 1.0, 10.0], 81.0),
        (50.0, 2.0, vec![60.0], 170.0),
        (50.0, 2.0, vec![16.0], 82.0),
        (25.0, 5.0, vec![3.0, 1.0, 8.0], 85.0),
    ] {
        let ours = calc::heat::steady_c(ambient, watt, &path);
        assert!((ours - settles).abs() < 1e-9, "{watt} W over {path:?}: {ours}, {settles}");
    }
}
