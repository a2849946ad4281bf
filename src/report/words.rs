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
#[must_use]
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
#[must_use]
pub fn or_list<S: AsRef<str>>(names: &[S]) -> String {
    let ticked: Vec<String> = names
        .iter()
        .map(|name| format!("`{}`", name.as_ref()))
        .collect();
    match ticked.split_last() {
        None => String::new(),
        Some((last, [])) => last.clone(),
        Some((last, others)) => format!("{} or {last}", others.join(", ")),
    }
}
