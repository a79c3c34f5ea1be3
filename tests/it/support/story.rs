//! Notebooks with something in them.

use super::App;

/// A notebook in mid-build, and the numbers and ids of what is in it.
pub struct Story {
    /// The notebook.
    pub app: App,
    /// The conversion everything below belongs to.
    pub no: i64,
    /// A multimeter.
    pub instrument: String,
    /// An open snag.
    pub snag: i64,
    /// A snag that was put right.
    pub closed_snag: i64,
    /// A note.
    pub note: String,
    /// An open review.
    pub review: i64,
    /// A planned load.
    pub load: String,
}

/// What is said about a Bo-Bo with a can motor.
pub const CENTRE_CAB: [(&str, &str); 6] = [
    ("wheels", "Bo-Bo"),
    ("drive", "two_bogies"),
    ("motor", "can"),
    ("pickup", "bogies"),
    ("frame", "cast_metal"),
    ("track_v", "13.4"),
];

/// A decoder with every rating measured.
pub const ONE_AMP: [(&str, &str); 5] = [
    ("motor_continuous", "1.0"),
    ("motor_peak", "1.5"),
    ("motor_peak_s", "2"),
    ("total_continuous", "1.0"),
    ("function", "0.1"),
];

/// One of everything that has a page: written by Ines on a Wednesday evening.
pub fn in_mid_build() -> Story {
    let app = App::new();
    app.write_as("Ines");
    let no = app.open_conversion_with("Centre cab", &CENTRE_CAB);
    let instrument = app.own_multimeter("multimeter 1");
    app.lay_out_wheels(no);
    app.read_wheel(no, "L1", "picks-up");
    app.read_wheel(no, "R4", "open");
    app.choose_decoder(no, &ONE_AMP);
    app.plan_load(no, "front lamp", "20 mA");
    app.write_load_test(no, "12", ["0.27", "0.32", "0.80"]);
    app.read_pair(no, "brush_a:rail_left@in_frame", "open");
    app.read_pair(no, "brush_a:frame@in_frame", "0.4");
    let closed_snag = app.open_snag(no, "wiper bent", "must_fix", "close");
    app.close_snag(no, closed_snag, "bent back");
    let snag = app.open_snag(no, "buffer beam loose", "small", "");
    let note = app.write_note(no, "oiled the *rear* worm");
    let review = app.write_review(no, "click");
    let load = super::person::dashed(&app.text("SELECT lower(hex(id)) FROM planned_load LIMIT 1"));
    app.write_wire(no, &[("terminal", "track_right"), ("to", "rail_right"), ("state", "done")]);
    app.change(no, "wheels_changed", "new wheelset at the rear");
    Story { app, no, instrument, snag, closed_snag, note, review, load }
}
