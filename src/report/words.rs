//! Small pieces of grammar for messages: takes counts and names, gives text.

/// A count with its noun, in the plural where it needs one.
///
/// ```
/// use liftsheet::report::numbered;
/// assert_eq!(numbered(1, "problem"), "1 problem");
/// assert_eq!(numbered(3, "problem"), "3 problems");
/// assert_eq!(numbered(2, "entry"), "2 entries");
/// assert_eq!(numbered(0, "pass"), "0 passes");
/// ```
pub fn numbered(count: usize, noun: &str) -> String {
    if count == 1 {
        format!("1 {noun}")
    } else {
        format!("{count} {}", plural(noun))
    }
}

fn plural(noun: &str) -> String {
    let sibilant = ["s", "x", "ch", "sh"];
    match noun.strip_suffix('y') {
        Some(stem) if !stem.ends_with(['a', 'e', 'o', 'u']) => format!("{stem}ies"),
        _ if sibilant.iter().any(|end| noun.ends_with(end)) => format!("{noun}es"),
        _ => format!("{noun}s"),
    }
}

/// Names in back ticks, joined as alternatives; empty for none.
///
/// ```
/// use liftsheet::report::or_list;
/// assert_eq!(or_list(&["a"]), "`a`");
/// assert_eq!(or_list(&["a", "b"]), "`a` or `b`");
/// assert_eq!(or_list(&["a", "b", "c"]), "`a`, `b` or `c`");
/// ```
pub fn or_list<S: AsRef<str>>(names: &[S]) -> String {
    let ticked: Vec<String> = names
        .iter()
        .map(|name| format!("`{}`", name.as_ref()))
        .collect();
    listed(&ticked, "or")
}

/// Words one after the other, the last behind this one: `a, b and c`; empty for none.
pub(crate) fn listed<S: std::borrow::Borrow<str>>(words: &[S], before_last: &str) -> String {
    match words {
        [others @ .., last] if !others.is_empty() => {
            format!("{} {before_last} {}", others.join(", "), last.borrow())
        }
        _ => words.concat(),
    }
}

/// Numbers with neighbours drawn together; they come in any order, and a number that comes twice counts once.
///
/// ```
/// use liftsheet::report::number_runs;
/// assert_eq!(number_runs(vec![7, 1, 2, 3, 9, 10, 7]), "1 to 3, 7, 9, 10");
/// assert_eq!(number_runs(Vec::new()), "");
/// ```
pub fn number_runs(mut numbers: Vec<usize>) -> String {
    numbers.sort_unstable();
    numbers.dedup();
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for number in numbers {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == number => *last = number,
            _ => runs.push((number, number)),
        }
    }
    let texts = runs.iter().map(|(first, last)| match last - first {
        0 => first.to_string(),
        1 => format!("{first}, {last}"),
        _ => format!("{first} to {last}"),
    });
    texts.collect::<Vec<_>>().join(", ")
}
