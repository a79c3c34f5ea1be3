//! What a person does, in their words; each goes through the page a person would use.

use super::{Answer, App, Form};
use serde_json::Value;

impl App {
    /// Says who is writing on this device; adds the name.
    pub fn write_as(&self, name: &str) {
        self.submit(&self.get("/people").ok().form("/people").with("name", name)).wrote();
    }

    /// The form of a new conversion: a title, the rest as offered.
    pub fn new_conversion(&self, title: &str) -> Form {
        self.get("/conversions/new").ok().form("/conversions").with("title", title)
    }

    /// Opens a conversion with more said about it; gives its number.
    #[track_caller]
    pub fn open_conversion_with(&self, title: &str, said: &[(&str, &str)]) -> i64 {
        let to = self.submit(&self.new_conversion(title).filled(said)).wrote();
        to.strip_prefix("/c/").and_then(|n| n.parse().ok()).expect("the conversion’s address")
    }

    /// Opens a conversion; gives its number.
    #[track_caller]
    pub fn open_conversion(&self, title: &str) -> i64 {
        self.open_conversion_with(title, &[])
    }

    /// The load test form of a bench.
    pub fn load_test_form(&self, no: i64) -> Form {
        self.get(&format!("/c/{no}/bench")).ok().form(&format!("/c/{no}/bench/load-test"))
    }

    /// Writes a load test down: volts, and the three currents.
    #[track_caller]
    pub fn write_load_test(
        &self,
        no: i64,
        volts: &str,
        [free, slipping, held]: [&str; 3],
    ) -> String {
        let form = self.load_test_form(no);
        let form = form.filled(&[
            ("volts", volts),
            ("free", free),
            ("slipping", slipping),
            ("held", held),
        ]);
        self.submit(&form).wrote()
    }

    /// Lays the pickup map out as the wheel arrangement offers it.
    #[track_caller]
    pub fn lay_out_wheels(&self, no: i64) {
        let address = format!("/c/{no}/wheels");
        self.submit(&self.get(&address).ok().form(&address)).wrote();
    }

    /// The id of a wheel on the map, by its label: `L2`.
    #[track_caller]
    pub fn wheel(&self, no: i64, label: &str) -> String {
        let page = self.get(&format!("/c/{no}/bench")).ok();
        page.one(&format!("input[name=wheel][id={label}]"))
            .attribute("value")
            .unwrap_or("")
            .to_owned()
    }

    /// Reads a wheel to its lead: `picks-up`, `unsteady`, `open`, or a number.
    #[track_caller]
    pub fn read_wheel(&self, no: i64, label: &str, reads: &str) -> String {
        let wheel = self.wheel(no, label);
        let form = self.get(&format!("/c/{no}/bench")).ok().form(&format!("/c/{no}/bench/wheel"));
        let form = form.with("wheel", &wheel);
        let form = match reads {
            "picks-up" | "unsteady" | "open" => form.with("reads", reads),
            number => form.with("reads", "number").with("number", number),
        };
        self.submit(&form).wrote()
    }

    /// Walks the isolation: every pair asked for reads open. Gives how many were asked.
    #[track_caller]
    pub fn walk_isolation(&self, no: i64) -> usize {
        let address = format!("/c/{no}/isolation");
        for asked in 0..100 {
            let page = self.get(&address).ok();
            if !page.has_form(&address) {
                return asked;
            }
            self.submit(&page.form(&address).with("reads", "open")).wrote();
        }
        panic!("the walk has no end");
    }

    /// Reads one pair: `brush_a:rail_right@in_frame`, `open`, `joined` or ohms.
    #[track_caller]
    pub fn read_pair(&self, no: i64, what: &str, reads: &str) -> String {
        let said = match reads {
            "open" | "joined" => vec![("what", what), ("reads", reads)],
            number => vec![("what", what), ("reads", "number"), ("number", number)],
        };
        self.post(&format!("/c/{no}/bench/reading"), &said).wrote()
    }

    /// Says that something was changed on the model: `motor_changed`.
    #[track_caller]
    pub fn change(&self, no: i64, kind: &str, what: &str) {
        let address = format!("/c/{no}/changed");
        let form = self.get(&address).ok().form(&address);
        self.submit(&form.filled(&[("kind", kind), ("what", what)])).wrote();
    }

    /// Writes a wire down: soldered, sleeved, AWG 28, proved unless said otherwise; gives its address.
    #[track_caller]
    pub fn write_wire(&self, no: i64, said: &[(&str, &str)]) -> String {
        let address = format!("/c/{no}/wiring");
        let form = self.get(&address).ok().form(&address);
        let plain = [
            ("sleeved", "1"),
            ("joint", "solder"),
            ("state", "proved"),
            ("gauge", "AWG 28"),
            ("colour", ""),
            ("to", ""),
        ];
        self.submit(&form.filled(&plain).filled(said)).wrote();
        format!("{address}/{}", self.number("SELECT max(no) FROM wire"))
    }

    /// Changes the motor.
    #[track_caller]
    pub fn change_motor(&self, no: i64) {
        self.change(no, "motor_changed", "a can motor on a printed cradle");
    }

    /// Writes a decoder's ratings down.
    #[track_caller]
    pub fn choose_decoder(&self, no: i64, said: &[(&str, &str)]) {
        let page = self.get(&format!("/c/{no}/decoder")).ok();
        let form = page.form(&format!("/c/{no}/decoder"));
        self.submit(&form.with("name", "small decoder").with("basis", "measured").filled(said))
            .wrote();
    }

    /// Plans a load besides the motor.
    #[track_caller]
    pub fn plan_load(&self, no: i64, name: &str, each: &str) {
        let page = self.get(&format!("/c/{no}/decoder")).ok();
        let form = page.form(&format!("/c/{no}/loads"));
        self.submit(&form.filled(&[("name", name), ("each", each)])).wrote();
    }

    /// Does a test card: its key, `off` or `on`, and the answers by field (`a0`, `a0-tap`).
    #[track_caller]
    pub fn do_card(&self, no: i64, card: &str, shell: &str, said: &[(&str, &str)]) -> String {
        let address = format!("/c/{no}/cards/{card}");
        let form = self.get(&format!("{address}?shell={shell}")).ok().form(&address);
        self.submit(&form.filled(said)).wrote()
    }

    /// Measures a datum, the rest as offered.
    #[track_caller]
    pub fn measure(&self, no: i64, said: &[(&str, &str)]) {
        let address = format!("/c/{no}/datums");
        let form = self.get(&address).ok().form(&address);
        self.submit(&form.filled(said)).wrote();
    }

    /// Opens a snag; gives its number.
    #[track_caller]
    pub fn open_snag(&self, no: i64, what: &str, severity: &str, blocks: &str) -> i64 {
        let address = format!("/c/{no}/snags");
        let form = self.get(&address).ok().form(&address);
        self.submit(&form.filled(&[("what", what), ("severity", severity), ("blocks", blocks)]))
            .wrote();
        self.number("SELECT max(no) FROM snag")
    }

    /// Closes a snag: how it was put right.
    #[track_caller]
    pub fn close_snag(&self, no: i64, snag: i64, how: &str) {
        let page = self.get(&format!("/c/{no}/snags")).ok();
        let form = page.form(&format!("/c/{no}/snags/{snag}/close"));
        self.submit(&form.with("how", how)).wrote();
    }

    /// Writes a note; gives its id.
    #[track_caller]
    pub fn write_note(&self, no: i64, text: &str) -> String {
        let address = format!("/c/{no}/notes");
        let form = self.get(&address).ok().form(&address);
        self.submit(&form.with("text", text)).wrote();
        let hex = self.text("SELECT lower(hex(id)) FROM note ORDER BY rowid DESC LIMIT 1");
        dashed(&hex)
    }

    /// Writes a review: what was seen; gives its number.
    #[track_caller]
    pub fn write_review(&self, no: i64, symptom: &str) -> i64 {
        let form = self.get(&format!("/c/{no}/reviews/new")).ok().form(&format!("/c/{no}/reviews"));
        self.submit(&form.with("symptom", symptom)).wrote();
        self.number("SELECT max(no) FROM review")
    }

    /// Looks or tries: `nothing_pinched`, yes or no.
    #[track_caller]
    pub fn look(&self, no: i64, key: &str, answer: &str) -> String {
        let address = format!("/c/{no}/look/{key}");
        let form = self.get(&address).ok().form(&address).with("answer", answer);
        let form = if key == "supply_limited" { form.with("amount", "0.25") } else { form };
        self.submit(&form).wrote()
    }

    /// Signs a judgement on a check of a gate, through its form.
    #[track_caller]
    pub fn judge(&self, no: i64, gate: &str, check: &str, reason: &str) -> Answer {
        let page = self.get(&format!("/c/{no}/gates/{gate}")).ok();
        let action = format!("/c/{no}/gates/{gate}/judgements");
        let wanted = page.all("form").into_iter().find(|f| {
            f.attribute("action") == Some(&action)
                && f.all("input[name=check]").iter().any(|i| i.attribute("value") == Some(check))
        });
        let found =
            wanted.unwrap_or_else(|| panic!("{check} can’t be judged on the page of {gate}"));
        let value = |name: &str| {
            let field = found.all(&format!("input[name={name}]"));
            field.first().and_then(|i| i.attribute("value")).unwrap_or("").to_owned()
        };
        let [fingerprint, token] = [value("fingerprint"), value("token")];
        self.post(
            &action,
            &[
                ("check", check),
                ("fingerprint", &fingerprint),
                ("token", &token),
                ("reason", reason),
            ],
        )
    }

    /// Writes an instrument down: a multimeter with one current range; gives its id.
    #[track_caller]
    pub fn own_multimeter(&self, name: &str) -> String {
        let form = self.get("/instruments/new").ok().form("/instruments");
        let said = [
            ("name", name),
            ("kind", "multimeter"),
            ("measures-1", "current"),
            ("up_to-1", "10"),
            ("percent-1", "1.5"),
            ("digits-1", "3"),
            ("step-1", "0.01"),
            ("jack-1", "10 A"),
        ];
        self.submit(&form.filled(&said)).wrote();
        dashed(&self.text("SELECT lower(hex(id)) FROM instrument ORDER BY rowid DESC LIMIT 1"))
    }

    /// The five gates as the API gives them.
    pub fn gates(&self, no: i64) -> Value {
        self.get(&format!("/api/v1/conversions/{no}/gates")).json()
    }

    /// One gate.
    #[track_caller]
    pub fn gate(&self, no: i64, name: &str) -> Value {
        let gates = self.gates(no);
        let all = gates.as_array().expect("a list of gates");
        all.iter().find(|g| g["name"] == name).unwrap_or_else(|| panic!("no gate {name}")).clone()
    }

    /// One check of a gate.
    #[track_caller]
    pub fn check(&self, no: i64, gate: &str, key: &str) -> Value {
        let gate = self.gate(no, gate);
        let all = gate["checks"].as_array().expect("a list of checks");
        let known: Vec<_> = all.iter().map(|c| c["key"].as_str().unwrap_or("")).collect();
        all.iter()
            .find(|c| c["key"] == key)
            .unwrap_or_else(|| panic!("no check {key} in {known:?}"))
            .clone()
    }

    /// The aspect of one check.
    #[track_caller]
    pub fn aspect(&self, no: i64, gate: &str, key: &str) -> String {
        self.check(no, gate, key)["finding"]["aspect"].as_str().unwrap_or("").to_owned()
    }
}

/// An id as its address has it, from 32 hex letters.
pub fn dashed(hex: &str) -> String {
    let cut = [0..8, 8..12, 12..16, 16..20, 20..32].map(|r| &hex[r]);
    cut.join("-")
}
