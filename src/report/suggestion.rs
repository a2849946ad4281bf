//! What somebody may have meant: takes a name that is not known and the names that are, gives the nearest one.

/// More known names than this are not listed: a long list hides the suggestion, and without one the first of them show what is meant.
const LISTED: usize = 8;

/// The known name nearest to the given one, if it is near enough to be a slip of the finger.
///
/// Near enough is a Damerau–Levenshtein distance of at most a third of the given name's length, and at least 1,
/// letters compared without regard to case. Of several nearest names the alphabetically first one is chosen.
///
/// ```
/// use liftsheet::report::did_you_mean;
/// assert_eq!(did_you_mean("rial", ["board", "rail"].into_iter()).as_deref(), Some("rail"));
/// assert_eq!(did_you_mean("Rail", ["rail"].into_iter()).as_deref(), Some("rail"));
/// assert_eq!(did_you_mean("hose", ["rail"].into_iter()), None);
/// ```
pub fn did_you_mean<'a>(given: &str, known: impl Iterator<Item = &'a str>) -> Option<String> {
    let lower = given.to_lowercase();
    let length = lower.chars().count();
    let most = (length / 3).max(1);
    known
        .filter(|name| name.chars().count().abs_diff(length) <= most)
        .map(|name| {
            (
                strsim::damerau_levenshtein(&lower, &name.to_lowercase()),
                name,
            )
        })
        .filter(|(distance, _)| *distance <= most)
        .min()
        .map(|(_, name)| name.to_owned())
}

/// The known name of several words whose first letters are given: `NSW` for `new-south-wales`.
fn by_initials<'a>(given: &str, known: &[&'a str]) -> Option<&'a str> {
    let initials = |name: &str| -> String {
        let words = name.split(['-', '_', ' ']);
        words.filter_map(|word| word.chars().next()).collect()
    };
    let wanted = given.to_lowercase();
    let mut fits = known
        .iter()
        .filter(|name| wanted.len() > 1 && initials(name) == wanted);
    fits.next().filter(|_| fits.next().is_none()).copied()
}

/// The way out of an unknown name: the suggestion if there is one, and the known names if they are few. Where all of them are listed is
/// for the caller to say, who knows what they are names of.
///
/// ```
/// use liftsheet::report::unknown_help;
/// let known = ["rail", "board"];
/// assert_eq!(unknown_help("rial", known.into_iter()), "did you mean `rail`? known: board, rail");
/// assert_eq!(unknown_help("hose", known.into_iter()), "known: board, rail");
/// assert_eq!(unknown_help("hose", [].into_iter()), "none is known here");
/// ```
pub fn unknown_help<'a>(given: &str, known: impl Iterator<Item = &'a str>) -> String {
    let mut known: Vec<&str> = known.collect();
    known.sort_unstable();
    known.dedup();
    let meant = did_you_mean(given, known.iter().copied())
        .or_else(|| by_initials(given, &known).map(ToOwned::to_owned))
        .map(|name| format!("did you mean `{name}`?"));
    let list = match known.len() {
        0 => Some("none is known here".to_owned()),
        1..=LISTED => Some(format!("known: {}", known.join(", "))),
        _ if meant.is_some() => None,
        count => {
            let first: Vec<&str> = known.iter().copied().take(LISTED).collect();
            let first = first.join(", ");
            Some(format!(
                "{count} are known, and none is near to `{given}`; the first are {first}"
            ))
        }
    };
    [meant, list]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tie_goes_to_the_alphabetically_first() {
        let meant = |known: [&'static str; 3]| did_you_mean("cab", known.into_iter());
        assert_eq!(meant(["cat", "car", "can"]).as_deref(), Some("can"));
        assert_eq!(meant(["can", "cat", "car"]).as_deref(), Some("can"));
    }

    #[test]
    fn a_third_of_the_letters_may_be_wrong_and_no_more() {
        let meant = |given| did_you_mean(given, ["measured"].into_iter());
        assert_eq!(meant("mesured").as_deref(), Some("measured"));
        assert_eq!(meant("MEASURED").as_deref(), Some("measured"));
        assert_eq!(meant("misured").as_deref(), Some("measured"));
        assert_eq!(meant("mixued"), None);
    }

    #[test]
    fn first_letters_are_enough() {
        let known = ["new-south-wales", "new-jersey", "nevada"];
        let help = |given| unknown_help(given, known.into_iter());
        assert!(help("NSW").starts_with("did you mean `new-south-wales`?"));
        assert!(help("nj").starts_with("did you mean `new-jersey`?"));
        assert!(!help("n").contains("did you mean"));
    }

    #[test]
    fn many_known_names_are_not_listed() {
        let known: Vec<String> = (0..9).map(|n| format!("part-{n}")).collect();
        let help = |given| unknown_help(given, known.iter().map(String::as_str));
        assert_eq!(help("part-x"), "did you mean `part-0`?");
        assert_eq!(
            help("z"),
            "9 are known, and none is near to `z`; the first are part-0, part-1, part-2, part-3, part-4, part-5, part-6, part-7"
        );
    }
}
