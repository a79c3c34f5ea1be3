//! Wheel arrangements: `0-6-0`, `2-6-0`, `Bo-Bo`, `1'C1'`, `(A1A)(A1A)`, `2-axle` read into axles.
//!
//! Two notations are read. *Wheels counted* (Whyte): leading-driven-trailing, every number a count
//! of wheels, front first, at least three numbers. *Axles counted* (UIC, and the form with hyphens
//! used in English): a number counts carrying axles, a letter coupled driven axles (A 1, B 2, C 3…),
//! a small `o` after it axles driven one by one, a prime or brackets a frame of its own (a bogie).
//! Source: both notations as generally known, from memory (UIC leaflet 650; Whyte, 1900).

/// What could not be read, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unreadable {
    /// What was given.
    pub given: String,
    /// One plain sentence: what to write instead.
    pub sentence: String,
}

/// Axles that share a frame, front first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Group {
    /// For every axle whether it is driven.
    pub axles: Vec<bool>,
    /// The driven axles are coupled with each other (rods or gears), not driven one by one.
    pub coupled: bool,
    /// A bogie or pony truck of its own, not the main frame.
    pub bogie: bool,
}

/// One vehicle: engine, tender, half of a railcar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Vehicle {
    /// Groups from front to back.
    pub groups: Vec<Group>,
}

/// A whole arrangement, at least one vehicle with at least one axle.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Arrangement {
    /// Vehicles from front to back.
    pub vehicles: Vec<Vehicle>,
}

impl Vehicle {
    /// Number of axles.
    pub fn axles(&self) -> usize {
        self.groups.iter().map(|g| g.axles.len()).sum()
    }
}

impl Arrangement {
    /// Number of axles of all vehicles.
    pub fn axles(&self) -> usize {
        self.vehicles.iter().map(Vehicle::axles).sum()
    }

    /// Number of driven axles.
    pub fn driven(&self) -> usize {
        let groups = self.vehicles.iter().flat_map(|v| &v.groups);
        groups.flat_map(|g| &g.axles).filter(|d| **d).count()
    }

    /// In words: `3 axles, 3 driven`.
    pub fn words(&self) -> String {
        let (all, driven) = (self.axles(), self.driven());
        let word = if all == 1 { "axle" } else { "axles" };
        format!("{all} {word}, {driven} driven")
    }
}

/// Most axles a vehicle may have; more is taken for a slip of the pen.
const MOST_AXLES: usize = 24;

/// Reads an arrangement. Spaces, letters of the kind of engine (`T`, `ST`, `h2`, `-dh`) and words
/// after it (`and tender`) are passed over; `+` parts vehicles.
///
/// Refuses what has no axle, an odd count of wheels, an unknown sign, or more than 24 axles in one
/// vehicle.
pub fn parse(given: &str) -> Result<Arrangement, Unreadable> {
    let refuse = |why: &str| Unreadable { given: given.to_owned(), sentence: why.to_owned() };
    let text = plain(given);
    if let Some(axles) = counted(&text) {
        return build(vec![rigid(axles)]).map_err(refuse);
    }
    let mut vehicles = Vec::new();
    for part in text.split('+') {
        let spaced = spaced(part);
        let core = core(&spaced);
        let vehicle = if let Some(numbers) = whyte_numbers(core) {
            whyte(&numbers).map_err(&refuse)?
        } else {
            uic(core).ok_or_else(|| refuse(HOW))?
        };
        vehicles.push(vehicle);
    }
    build(vehicles).map_err(refuse)
}

const HOW: &str = "Write wheels such as 0-6-0, Bo-Bo, 1'C1' or 2-axle.";

fn build(vehicles: Vec<Vehicle>) -> Result<Arrangement, &'static str> {
    if vehicles.is_empty() || vehicles.iter().any(|v| v.axles() == 0) {
        return Err(HOW);
    }
    if vehicles.iter().any(|v| v.axles() > MOST_AXLES) {
        return Err("More than 24 axles in one vehicle. Part vehicles with +.");
    }
    Ok(Arrangement { vehicles })
}

/// One kind of prime, hyphen and space; outer blanks gone.
fn plain(given: &str) -> String {
    given
        .trim()
        .chars()
        .map(|c| match c {
            '\u{2019}' | '\u{2032}' | '\u{b4}' | '`' | '\u{2018}' => '\'',
            '\u{2010}'..='\u{2014}' | '\u{2212}' => '-',
            '\u{a0}' | '\u{202f}' => ' ',
            c => c,
        })
        .collect()
}

/// `2-axle`, `two axles`, `3 axles`, `4w`, `4wDM`, `4-wheel`: a rigid vehicle by its count.
fn counted(text: &str) -> Option<usize> {
    let lower = text.to_ascii_lowercase();
    let words = ["one", "two", "three", "four", "five", "six"];
    let (count, rest) = if let Some(i) = words.iter().position(|w| lower.starts_with(w)) {
        (i + 1, lower.trim_start_matches(words[i]))
    } else {
        let end = lower.find(|c: char| !c.is_ascii_digit())?;
        (lower[..end].parse().ok()?, &lower[end..])
    };
    let rest = rest.trim_start_matches([' ', '-']);
    if rest.starts_with("axle") {
        Some(count)
    } else if (rest.starts_with("wheel") || rest.starts_with('w')) && count % 2 == 0 {
        Some(count / 2)
    } else {
        None
    }
}

/// A rigid vehicle with all axles driven.
fn rigid(axles: usize) -> Vehicle {
    let axles = vec![true; axles.min(MOST_AXLES + 1)];
    Vehicle { groups: vec![Group { axles, coupled: false, bogie: false }] }
}

/// `Bo Bo` as `Bo-Bo`: a second word that begins with a driven axle belongs to the first.
fn spaced(part: &str) -> String {
    let mut out = String::new();
    for word in part.split_whitespace() {
        let more = word.starts_with(|c: char| matches!(c, 'A'..='I' | '('));
        let more = more && word.chars().all(is_sign);
        if !out.is_empty() {
            out.push(if more { '-' } else { ' ' });
        }
        out.push_str(word);
    }
    out
}

/// Whether a sign belongs to the notation that counts axles.
fn is_sign(c: char) -> bool {
    matches!(c, 'A'..='I' | 'o' | '0'..='9' | '\'' | '(' | ')' | '-')
}

/// The arrangement itself, without the kind of engine behind it.
fn core(part: &str) -> &str {
    let part = part.trim();
    let part = part.split(' ').next().unwrap_or(part);
    let digits = |c: char| c.is_ascii_digit() || c == '-';
    let wheels = part.trim_start_matches(digits);
    let is_whyte = part[..part.len() - wheels.len()].matches('-').count() >= 2;
    if is_whyte {
        return part[..part.len() - wheels.len()].trim_end_matches('-');
    }
    match part.find(|c: char| !is_sign(c)) {
        Some(0) | None => part,
        Some(at) => part[..at].trim_end_matches('-'),
    }
}

/// The counts of wheels, when the text is digits with at least two hyphens.
fn whyte_numbers(core: &str) -> Option<Vec<usize>> {
    let numbers: Option<Vec<usize>> = core.split('-').map(|n| n.parse().ok()).collect();
    numbers.filter(|n| n.len() >= 3)
}

/// First number leading, last trailing, those between driven groups; wheels in pairs.
fn whyte(numbers: &[usize]) -> Result<Vehicle, &'static str> {
    if numbers.iter().any(|n| n % 2 == 1) {
        return Err("Wheels are counted in pairs: write an even number.");
    }
    let last = numbers.len() - 1;
    let mut groups = Vec::new();
    for (i, n) in numbers.iter().enumerate().filter(|(_, n)| **n > 0) {
        let driven = i != 0 && i != last;
        let bogie = !driven || (numbers.len() > 3 && i == 1);
        let axles = vec![driven; (n / 2).min(MOST_AXLES + 1)];
        groups.push(Group { axles, coupled: driven, bogie });
    }
    Ok(Vehicle { groups })
}

/// Reads letters and numbers; `None` for a sign that means nothing here.
fn uic(core: &str) -> Option<Vehicle> {
    let hyphens = core.contains('-');
    let mut groups: Vec<Group> = Vec::new();
    // With hyphens every piece that holds a driven axle beside another piece is a bogie.
    for piece in core.split('-') {
        let before = groups.len();
        let mut signs = piece.chars().peekable();
        let mut bracket: Option<Group> = None;
        while let Some(sign) = signs.next() {
            match sign {
                '(' if bracket.is_none() => bracket = Some(empty(true)),
                ')' => groups.push(bracket.take()?),
                '\'' => groups.last_mut()?.bogie = true,
                'A'..='I' | '1'..='9' => {
                    let single = signs.next_if_eq(&'o').is_some();
                    let (axles, driven) = count(sign)?;
                    let group = bracket.get_or_insert_with(|| empty(false));
                    group.axles.extend(std::iter::repeat_n(driven, axles));
                    group.coupled |= driven && axles > 1 && !single;
                    let inside = group.bogie;
                    if !inside {
                        groups.extend(bracket.take());
                    }
                }
                _ => return None,
            }
            if bracket.is_some() && signs.peek().is_none() {
                return None;
            }
        }
        if hyphens {
            join(&mut groups, before);
        }
    }
    if groups.iter().any(|g| g.axles.is_empty()) {
        return None;
    }
    settle(&mut groups);
    frames(&mut groups);
    let vehicle = Vehicle { groups };
    (vehicle.axles() > 0).then_some(vehicle)
}

fn empty(bogie: bool) -> Group {
    Group { axles: Vec::new(), coupled: false, bogie }
}

/// How many axles a sign stands for, and whether they are driven.
fn count(sign: char) -> Option<(usize, bool)> {
    match sign {
        '1'..='9' => Some((usize::try_from(sign.to_digit(10)?).ok()?, false)),
        'A'..='I' => Some((usize::from(u8::try_from(sign).ok()? - b'A' + 1), true)),
        _ => None,
    }
}

/// Puts the groups of one hyphenated piece into one bogie: `A1A` is one frame.
fn join(groups: &mut Vec<Group>, from: usize) {
    let tail: Vec<Group> = groups.drain(from..).collect();
    if tail.is_empty() {
        return;
    }
    let coupled = tail.iter().any(|g| g.coupled);
    let axles = tail.into_iter().flat_map(|g| g.axles).collect();
    groups.push(Group { axles, coupled, bogie: true });
}

/// Neighbours in the main frame become one group, but for carrying axles beside coupled ones,
/// which keep their own place (`1C1` is a pony truck, six coupled, a pony truck).
fn settle(groups: &mut Vec<Group>) {
    let mut out: Vec<Group> = Vec::new();
    for group in groups.drain(..) {
        match out.last_mut() {
            Some(last) if !last.bogie && !group.bogie && !last.coupled && !group.coupled => {
                last.axles.extend(group.axles);
            }
            _ => out.push(group),
        }
    }
    *groups = out;
}

/// Two habits of writing: `2-C-2` means a middle part in the main frame between two trucks, and
/// `BB` or `CC` without any sign between means bogies.
fn frames(groups: &mut [Group]) {
    let driven = |g: &Group| g.axles.contains(&true);
    let frame_between = matches!(&*groups, [a, b, c] if !driven(a) && driven(b) && !driven(c));
    let pair = groups.len() >= 2 && groups.iter().all(|g| driven(g) && g.coupled);
    if frame_between && groups.iter().all(|g| g.bogie) {
        groups[1].bogie = false;
    } else if pair {
        for group in groups {
            group.bogie = true;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Groups as text: `*` driven, `o` carried, brackets for a bogie, `=` after coupled ones.
    fn shown(a: &Arrangement) -> String {
        let group = |g: &Group| {
            let axles: String = g.axles.iter().map(|d| if *d { '*' } else { 'o' }).collect();
            let rods = if g.coupled { "=" } else { "" };
            if g.bogie { format!("({axles}{rods})") } else { format!("{axles}{rods}") }
        };
        let vehicle = |v: &Vehicle| v.groups.iter().map(group).collect::<Vec<_>>().join(" ");
        a.vehicles.iter().map(vehicle).collect::<Vec<_>>().join(" + ")
    }

    /// From memory: Whyte notation and UIC classification as generally known. Names of the same
    /// wheels in both stand beside each other where both exist.
    const TABLE: &[(&str, &str)] = &[
        ("0-4-0", "**="),
        ("B", "**="),
        ("0-6-0", "***="),
        ("C", "***="),
        ("0-6-0T", "***="),
        ("0-6-0ST", "***="),
        ("0-8-0", "****="),
        ("0-10-0", "*****="),
        ("E", "*****="),
        ("0-4-2", "**= (o)"),
        ("2-4-0", "(o) **="),
        ("2-6-0", "(o) ***="),
        ("1'C", "(o) ***="),
        ("2-6-0 and tender", "(o) ***="),
        ("2-6-2", "(o) ***= (o)"),
        ("1'C1'", "(o) ***= (o)"),
        ("1C1", "o ***= o"),
        ("4-4-0", "(oo) **="),
        ("4-4-2", "(oo) **= (o)"),
        ("2'B1'", "(oo) **= (o)"),
        ("4-6-2", "(oo) ***= (o)"),
        ("2\u{2019}C1\u{2019} h3", "(oo) ***= (o)"),
        ("2-8-2", "(o) ****= (o)"),
        ("2-10-0", "(o) *****="),
        ("1'E h2", "(o) *****="),
        ("0-4-4-0", "(**=) **="),
        ("2-6-6-2", "(o) (***=) ***= (o)"),
        ("4-6-2+2-6-4", "(oo) ***= (o) + (o) ***= (oo)"),
        ("1'C h2 + 2'2'", "(o) ***= + (oo) (oo)"),
        ("0-6-0+3", "***= + ooo"),
        ("Bo-Bo", "(**) (**)"),
        ("Bo'Bo'", "(**) (**)"),
        ("Bo\u{2032}Bo\u{2032}", "(**) (**)"),
        ("B-B", "(**=) (**=)"),
        ("B'B'", "(**=) (**=)"),
        ("B'B'-dh", "(**=) (**=)"),
        ("Co-Co", "(***) (***)"),
        ("Co'Co'", "(***) (***)"),
        ("C-C", "(***=) (***=)"),
        ("A1A-A1A", "(*o*) (*o*)"),
        ("(A1A)(A1A)", "(*o*) (*o*)"),
        ("1Co-Co1", "(o***) (***o)"),
        ("(1A)'(A1)'", "(o*) (*o)"),
        ("Bo'Bo'Bo'", "(**) (**) (**)"),
        ("Bo-Bo-Bo", "(**) (**) (**)"),
        ("BB", "(**=) (**=)"),
        ("Bo Bo", "(**) (**)"),
        ("2-C-2", "(oo) ***= (oo)"),
        ("B-2", "(**=) (oo)"),
        ("B'2'", "(**=) (oo)"),
        ("2'2'", "(oo) (oo)"),
        ("Bo'2'Bo'", "(**) (oo) (**)"),
        ("1A", "o*"),
        ("A1", "*o"),
        ("AA", "**"),
        ("Bo", "**"),
        ("2-axle", "**"),
        ("two axles", "**"),
        ("3 axles", "***"),
        ("4w", "**"),
        ("4wDM", "**"),
        ("4-wheel", "**"),
    ];

    #[test]
    fn arrangements_are_read_as_the_notations_say() {
        for (given, expected) in TABLE {
            let read = parse(given).unwrap_or_else(|e| panic!("{e:?}"));
            assert_eq!(&shown(&read), expected, "{given}");
        }
    }

    #[test]
    fn what_is_no_arrangement_is_refused_with_what_to_write() {
        for given in [
            "", "  ", "0-0-0", "0-5-0", "six", "Z", "()", "(A1A", "Bo)", "'", "+", "x-y-z",
            "99-axle", "0-98-0", "-", "Bo++Bo", "0-6-0+",
        ] {
            let refused = parse(given).expect_err(given);
            assert_eq!(refused.given, given);
            assert!(refused.sentence.ends_with('.'));
        }
    }

    #[test]
    fn axles_and_driven_axles_are_counted() {
        let read = parse("2-6-0 + 3").unwrap();
        assert_eq!((read.axles(), read.driven()), (7, 3));
        assert_eq!(read.words(), "7 axles, 3 driven");
        assert_eq!(parse("A").unwrap().words(), "1 axle, 1 driven");
    }

    #[test]
    fn odd_text_never_breaks_the_reader() {
        for nasty in crate::draw::checks::NASTY {
            assert!(parse(nasty).is_err(), "{nasty}");
        }
        let _ = parse("ÄÖ-é-ß");
        let _ = parse("18446744073709551615-2-0");
        let _ = parse("99999999999999999999 axles");
    }
}
