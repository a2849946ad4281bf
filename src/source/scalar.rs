//! What a text without quotes means in YAML 1.2: null, a boolean, a number, or text. Takes the text; gives the meaning.
//!
//! Old traps stay text: `no`, `on`, `010`, `1:30`, `1_000`. A number that is too large to be finite stays text too.

/// The meaning of a plain scalar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Meaning<'a> {
    Null,
    Bool(bool),
    Unsigned(u64),
    Signed(i64),
    Float(f64),
    Text(&'a str),
}

/// What a plain scalar means.
pub(super) fn meaning(text: &str) -> Meaning<'_> {
    match text {
        "" | "~" | "null" | "Null" | "NULL" => Meaning::Null,
        "true" | "True" | "TRUE" => Meaning::Bool(true),
        "false" | "False" | "FALSE" => Meaning::Bool(false),
        _ => number(text).unwrap_or(Meaning::Text(text)),
    }
}

fn number(text: &str) -> Option<Meaning<'_>> {
    let looks = text.starts_with(|c: char| c.is_ascii_digit() || "+-.".contains(c));
    if !looks || has_leading_zero(text) {
        return None;
    }
    if let Ok(whole) = text.parse() {
        return Some(Meaning::Unsigned(whole));
    }
    let (negative, digits) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    if digits.starts_with(['+', '-']) {
        return None;
    }
    if let Some(whole) = whole(digits) {
        return signed(negative, whole);
    }
    match digits {
        ".inf" | ".Inf" | ".INF" if negative => Some(f64::NEG_INFINITY),
        ".inf" | ".Inf" | ".INF" => Some(f64::INFINITY),
        ".nan" | ".NaN" | ".NAN" if digits == text => Some(f64::NAN),
        _ => text.parse().ok().filter(|number: &f64| number.is_finite()),
    }
    .map(Meaning::Float)
}

fn whole(digits: &str) -> Option<u64> {
    let (radix, digits) = match digits.split_at_checked(2) {
        Some(("0x", rest)) => (16, rest),
        Some(("0o", rest)) => (8, rest),
        Some(("0b", rest)) => (2, rest),
        _ => (10, digits),
    };
    if digits.starts_with(['+', '-']) {
        return None;
    }
    u64::from_str_radix(digits, radix).ok()
}

fn signed<'a>(negative: bool, whole: u64) -> Option<Meaning<'a>> {
    if negative {
        0_i64.checked_sub_unsigned(whole).map(Meaning::Signed)
    } else {
        Some(Meaning::Unsigned(whole))
    }
}

/// `010`: octal to some readers, ten to others, so a number to none.
pub(super) fn has_leading_zero(text: &str) -> bool {
    let digits = text.strip_prefix(['-', '+']).unwrap_or(text);
    digits.len() > 1 && digits.starts_with('0') && digits.bytes().all(|byte| byte.is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn traps_stay_text() {
        for text in [
            "no",
            "on",
            "yes",
            "010",
            "-007",
            "1:30",
            "1_000",
            "1,5",
            "1e999",
            "nan",
            "inf",
            "0x",
            "0x-1",
            "--1",
            "+-1",
            "50 mm",
            "-",
            ".",
            "2026-01-01",
        ] {
            assert_eq!(meaning(text), Meaning::Text(text));
        }
    }

    #[test]
    fn numbers_are_numbers() {
        assert_eq!(meaning("0"), Meaning::Unsigned(0));
        assert_eq!(meaning("+12"), Meaning::Unsigned(12));
        assert_eq!(meaning("-12"), Meaning::Signed(-12));
        assert_eq!(meaning("0x1F"), Meaning::Unsigned(31));
        assert_eq!(meaning("0o17"), Meaning::Unsigned(15));
        assert_eq!(meaning("-0b11"), Meaning::Signed(-3));
        assert_eq!(meaning("-9223372036854775808"), Meaning::Signed(i64::MIN));
        assert_eq!(
            meaning("18446744073709551616"),
            Meaning::Float(18_446_744_073_709_551_616.0)
        );
        assert_eq!(meaning("-1.5e1"), Meaning::Float(-15.0));
        assert_eq!(meaning("+.5"), Meaning::Float(0.5));
        assert_eq!(meaning("-.inf"), Meaning::Float(f64::NEG_INFINITY));
        assert!(matches!(meaning(".nan"), Meaning::Float(nan) if nan.is_nan()));
    }
}
