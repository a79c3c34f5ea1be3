//! The size of a wire as people write it: a gauge number or an area. Pure.

use crate::calc::wire::gauge::{THICKEST, THINNEST, area_mm2, diameter_mm};
use crate::features::conversions::model::thousandths;
use crate::units::exact;
use serde::Serialize;

/// Thinnest and thickest area taken, µm².
const AREA_UM2: (i64, i64) = (5_000, 5_300_000);

/// A size: American wire gauge, or the copper's area.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum Gauge {
    /// American wire gauge, 10 to 40.
    #[serde(rename = "awg")]
    Awg(i64),
    /// Copper area, µm², 5 000 to 5 300 000.
    #[serde(rename = "area_um2")]
    Area(i64),
}

impl Gauge {
    /// Reads what was typed: `30`, `AWG 30`, `0.05 mm²`. Errors: one sentence.
    pub fn parse(text: &str) -> Result<Gauge, String> {
        let plain: String =
            text.to_lowercase().chars().filter(|c| !c.is_whitespace()).collect::<String>();
        let plain = plain.replace(',', ".");
        let area = plain
            .strip_suffix("mm²")
            .or_else(|| plain.strip_suffix("mm2"))
            .or_else(|| plain.strip_suffix("sqmm"));
        if let Some(number) = area {
            let um2 = square_microns(number).filter(|a| (AREA_UM2.0..=AREA_UM2.1).contains(a));
            return um2.map(Gauge::Area).ok_or_else(|| {
                format!("“{}” is no area from 0.005 to 5.3 mm². Write it as 0.05 mm².", text.trim())
            });
        }
        let number = plain.strip_prefix("awg").or_else(|| plain.strip_suffix("awg"));
        let number = number.unwrap_or(&plain).parse::<i64>().ok();
        let taken = number.filter(|n| (i64::from(THICKEST)..=i64::from(THINNEST)).contains(n));
        taken.map(Gauge::Awg).ok_or_else(|| {
            let short: String = text.trim().chars().take(40).collect();
            format!("“{short}” is no gauge from 10 to 40. Write it as AWG 30, or as 0.05 mm².")
        })
    }

    /// `AWG 30`, `0.05 mm²`.
    pub fn words(self) -> String {
        match self {
            Gauge::Awg(n) => format!("AWG\u{a0}{n}"),
            Gauge::Area(um2) => format!("{}\u{a0}mm²", exact(thousandths(um2) / 1000.0)),
        }
    }

    /// As typed into the form again.
    pub fn typed(self) -> String {
        self.words().replace('\u{a0}', " ")
    }

    /// Area of the copper, mm².
    pub fn mm2(self) -> f64 {
        match self {
            Gauge::Awg(n) => area_mm2(diameter_mm(thousandths(n * 1000))),
            Gauge::Area(um2) => thousandths(um2) / 1000.0,
        }
    }
}

/// A decimal number of mm² as µm², at most six decimals; `None` where it is no such number.
fn square_microns(text: &str) -> Option<i64> {
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let digits = |t: &str| t.chars().all(|c| c.is_ascii_digit());
    if part.len() > 6 || whole.len() > 4 || !digits(whole) || !digits(part) {
        return None;
    }
    if whole.is_empty() && part.is_empty() {
        return None;
    }
    format!("{whole}{part:0<6}").parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gauge_and_area_are_read_as_people_write_them() {
        for (typed, is) in [
            ("30", Gauge::Awg(30)),
            (" AWG 30 ", Gauge::Awg(30)),
            ("awg30", Gauge::Awg(30)),
            ("36 awg", Gauge::Awg(36)),
            ("0.05 mm²", Gauge::Area(50_000)),
            ("0,05mm2", Gauge::Area(50_000)),
            (".08 mm²", Gauge::Area(80_000)),
            ("1 mm²", Gauge::Area(1_000_000)),
        ] {
            assert_eq!(Gauge::parse(typed), Ok(is), "{typed}");
            assert_eq!(Gauge::parse(&is.typed()), Ok(is), "{typed}");
        }
    }

    #[test]
    fn what_is_no_size_is_refused_with_what_to_write() {
        for typed in ["", "7", "41", "thin", "0.05", "0 mm²", "9 mm²", "-1 mm²", "1e-2 mm²", "mm²"]
        {
            assert!(Gauge::parse(typed).unwrap_err().contains("0.05 mm²"), "{typed}");
        }
    }

    /// Published column of ASTM B258 sizes (read second-hand): gauge 30 is 0.0509 mm².
    #[test]
    fn a_gauge_has_its_published_area() {
        assert!((Gauge::Awg(30).mm2() - 0.0509).abs() < 0.00005);
        assert!((Gauge::Area(50_000).mm2() - 0.05).abs() < 1e-12);
    }
}
