//! Tables for a spreadsheet: RFC 4180, UTF-8, and no cell that a spreadsheet would take for a formula. Pure.

/// One cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Nothing.
    Empty,
    /// A number as it is written, with a point.
    Number(String),
    /// Text.
    Text(String),
}

impl Cell {
    /// Text, or nothing where it is empty.
    pub fn text(text: impl Into<String>) -> Cell {
        let text = text.into();
        if text.is_empty() { Cell::Empty } else { Cell::Text(text) }
    }

    /// A number; nothing where there is none or it is not finite.
    pub fn number(value: Option<f64>) -> Cell {
        value.filter(|v| v.is_finite()).map_or(Cell::Empty, |v| Cell::Number(v.to_string()))
    }

    /// A whole number; nothing where there is none.
    pub fn whole(value: Option<i64>) -> Cell {
        value.map_or(Cell::Empty, |v| Cell::Number(v.to_string()))
    }

    /// Hundredths with two decimals; nothing where there is none.
    pub fn hundredths(value: Option<i64>) -> Cell {
        let money = |v: i64| {
            let sign = if v < 0 { "-" } else { "" };
            format!("{sign}{}.{:02}", v.unsigned_abs() / 100, v.unsigned_abs() % 100)
        };
        value.map_or(Cell::Empty, |v| Cell::Number(money(v)))
    }
}

/// Characters a spreadsheet takes for the start of a formula, their full-width forms included
/// (OWASP, CSV Injection).
const FORMULA: [char; 11] = ['=', '+', '-', '@', '\t', '\r', '\0', '＝', '＋', '－', '＠'];

/// A table: the header, then the rows, each line ended by CR LF.
pub fn table(header: &[&str], rows: &[Vec<Cell>]) -> String {
    let header: Vec<Cell> = header.iter().map(|h| Cell::text(*h)).collect();
    let mut out = String::new();
    for row in std::iter::once(&header).chain(rows) {
        out += &row.iter().map(written).collect::<Vec<_>>().join(",");
        out += "\r\n";
    }
    out
}

fn written(cell: &Cell) -> String {
    match cell {
        Cell::Empty => String::new(),
        Cell::Number(n) => n.clone(),
        Cell::Text(t) if dangerous(t) => quoted(&format!("'{t}")),
        Cell::Text(t) if t.contains(['"', ',', ';', '\r', '\n']) || t.trim() != t => quoted(t),
        Cell::Text(t) => t.clone(),
    }
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('"', "\"\""))
}

/// Whether a text could be taken for a formula. A plain number with a sign is none.
fn dangerous(text: &str) -> bool {
    text.starts_with(FORMULA) && !is_number(text)
}

fn is_number(text: &str) -> bool {
    let digits = text.strip_prefix(['+', '-']).unwrap_or(text);
    let (whole, part) = digits.split_once('.').unwrap_or((digits, "0"));
    let all = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
    all(whole) && all(part)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A reader of RFC 4180, written apart from the writer.
    fn read(text: &str) -> Vec<Vec<String>> {
        let (mut rows, mut row, mut cell) = (Vec::new(), Vec::new(), String::new());
        let mut chars = text.chars().peekable();
        let mut inside = false;
        while let Some(c) = chars.next() {
            match c {
                '"' if inside && chars.peek() == Some(&'"') => {
                    chars.next();
                    cell.push('"');
                }
                '"' => inside = !inside,
                ',' if !inside => row.push(std::mem::take(&mut cell)),
                '\r' if !inside && chars.peek() == Some(&'\n') => {
                    chars.next();
                    row.push(std::mem::take(&mut cell));
                    rows.push(std::mem::take(&mut row));
                }
                c => cell.push(c),
            }
        }
        rows
    }

    #[test]
    fn what_looks_like_a_formula_gets_an_apostrophe_and_numbers_stay_numbers() {
        for (text, wanted) in [
            ("=1+1", "\"'=1+1\""),
            ("@SUM(A1)", "\"'@SUM(A1)\""),
            ("+cmd|' /C calc'!A0", "\"'+cmd|' /C calc'!A0\""),
            ("-2+3", "\"'-2+3\""),
            ("\tx", "\"'\tx\""),
            ("\rx", "\"'\rx\""),
            ("＝1", "\"'＝1\""),
            ("-3.5", "-3.5"),
            ("+12", "+12"),
            ("-", "\"'-\""),
            ("-1e5", "\"'-1e5\""),
            ("0.4 Ω", "0.4 Ω"),
            ("a \"b\", c", "\"a \"\"b\"\", c\""),
        ] {
            assert_eq!(written(&Cell::text(text)), wanted, "{text:?}");
        }
        assert_eq!(written(&Cell::number(Some(-0.25))), "-0.25");
        assert_eq!(written(&Cell::hundredths(Some(-1205))), "-12.05");
        assert_eq!(written(&Cell::number(Some(f64::NAN))), "");
    }

    proptest! {
        #[test]
        fn whatever_is_written_is_read_back_and_starts_no_formula(
            rows in proptest::collection::vec(proptest::collection::vec(".*|[=+@\t\r\n,\"-]{1,4}", 3), 0..5)
        ) {
            let cells: Vec<Vec<Cell>> =
                rows.iter().map(|r| r.iter().map(|t| Cell::text(t.as_str())).collect()).collect();
            let back = read(&table(&["a", "b", "c"], &cells));
            prop_assert_eq!(back.len(), rows.len() + 1);
            for (there, here) in rows.iter().flatten().zip(back.iter().skip(1).flatten()) {
                let plain = here.strip_prefix('\'').filter(|_| dangerous(there)).unwrap_or(here);
                prop_assert_eq!(plain, there);
                prop_assert!(!dangerous(here), "{:?}", here);
            }
        }
    }
}
