//! The kinds of problem, each with a name that never changes, a line that describes it and a text that explains it.
//!
//! One table makes the enum, its names and its texts, so that adding a kind is adding one entry to it. Takes and
//! gives nothing else; which problem is raised where is left to the stages.

use std::fmt;
use std::str::FromStr;

use super::unknown_help;

/// Turns the table below into [`Code`]: `Variant "name" "description" "explanation";` an entry.
macro_rules! codes {
    ($($variant:ident $name:literal $description:literal $explanation:literal;)*) => {
        /// A kind of problem. The name in kebab case is stable: scripts and `explain` may rely on it.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Code {
            $(#[doc = $description] $variant,)*
        }

        impl Code {
            /// Every kind, in the order of the table.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)*];

            /// The stable name, in kebab case.
            #[must_use]
            pub fn as_str(self) -> &'static str {
                match self { $(Self::$variant => $name,)* }
            }

            /// What the kind is, in one line.
            #[must_use]
            pub fn description(self) -> &'static str {
                match self { $(Self::$variant => $description,)* }
            }

            /// Why it is a problem and what to do, in a few sentences.
            #[must_use]
            pub fn explanation(self) -> &'static str {
                match self { $(Self::$variant => $explanation,)* }
            }
        }
    };
}

codes! {
    // Reading a file.
    UnreadableFile "unreadable-file" "a file cannot be read"
        "The file does not exist, is a folder, or may not be read by this user. Check the name, and from which folder the program was started.";
    NotUtf8 "not-utf8" "a file is not text in UTF-8"
        "Files are read as UTF-8 text. Some editors save another encoding: choose UTF-8 when saving, and look at the letters with accents and at signs such as ° and ± near the line that is named.";
    EmptyFile "empty-file" "a file holds no data"
        "The file is empty, or holds nothing but comments. Start from a file that `new` writes.";
    TooLarge "too-large" "a file is larger than the program accepts"
        "Files over 64 MiB, or with more than five million values, are refused before they use up the machine's memory. Split the work into several files.";
    ControlCharacter "control-character" "a file holds a character that YAML does not allow"
        "YAML text holds printable characters, tabs and line breaks only. A control character usually comes from a damaged file, or from text copied out of a terminal. Delete it, or write it inside double quotes as an escape such as \\x1b.";
    // Reading YAML.
    BadYaml "bad-yaml" "a text is not valid YAML"
        "The text breaks a rule of YAML, so that nothing after it can be trusted. The usual reasons: a tab used to indent, an indentation that does not line up, a quote or bracket that is not closed, a colon without a space after it, or a text that needs quotes because it begins with one of @ ` % & * ! | > [ {.";
    SeveralDocuments "several-documents" "a file holds more than one YAML document"
        "A line of three dashes starts a second document in the same file. One file holds one job or one rule: put the other in its own file.";
    TooDeep "too-deep" "lists and maps are nested too deeply"
        "Nothing this program reads is nested more than 64 levels deep. The text is refused before it can exhaust the reader.";
    AliasBomb "alias-bomb" "aliases make a text grow out of all proportion"
        "An alias (*name) repeats everything that its anchor (&name) stands for. Aliases of aliases can make a short text grow to billions of values, so what they may add is limited. Write the repeated part out, or repeat less of it.";
    MergeKey "merge-key" "the merge key `<<` is not supported"
        "Some YAML readers copy the fields of another map in at `<<`. It is not part of YAML 1.2, and a reader of the file cannot see what it adds. Write the fields out.";
    DuplicateKey "duplicate-key" "a key stands twice in the same map"
        "The second entry would silently replace the first. Delete one of them, or give it its own key.";
    // Reading fields.
    UnknownField "unknown-field" "a field that is not known here"
        "A misspelt field would otherwise be passed over without a word, and its value with it. `schema` prints every field that is known.";
    MissingField "missing-field" "a field that is needed is not there"
        "The item cannot be used without this field. `schema` prints every field with its meaning.";
    WrongType "wrong-type" "a value is of another kind than its field takes"
        "The field takes one kind of value, such as a number, a text or a list, and holds another. In YAML a text in quotes is never a number, and a key with nothing after it holds no value.";
    UnknownChoice "unknown-choice" "a word that is none of the choices of its field"
        "The field takes one word out of a short list. `schema` prints the list.";
    BadValue "bad-value" "a value that its field cannot take"
        "The value is of the right kind, but the field's own rule refuses it: the message says why.";
    TooManyProblems "too-many-problems" "the rest of the problems is not shown"
        "Reading stopped after many problems in one file. They often have one cause: mend the first ones and check again.";
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl FromStr for Code {
    /// The way out, as one sentence.
    type Err = String;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Self::ALL
            .iter()
            .copied()
            .find(|code| code.as_str() == text)
            .ok_or_else(|| unknown_help(text, Self::ALL.iter().map(|code| code.as_str())))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `NotUtf8` → `not-utf8`, so that the two names of one kind cannot drift apart.
    fn kebab(name: &str) -> String {
        let mut kebab = String::new();
        for c in name.chars() {
            if c.is_uppercase() && !kebab.is_empty() {
                kebab.push('-');
            }
            kebab.extend(c.to_lowercase());
        }
        kebab
    }

    #[test]
    fn each_name_is_its_variant_in_kebab_case_and_is_read_back() {
        for code in Code::ALL {
            assert_eq!(code.as_str(), kebab(&format!("{code:?}")));
            assert_eq!(code.as_str().parse(), Ok(*code));
        }
    }

    #[test]
    fn texts_keep_to_their_form() {
        for code in Code::ALL {
            let (line, text) = (code.description(), code.explanation());
            assert!(
                !line.ends_with('.') && line.len() < 80 && !line.contains('\n'),
                "{code}"
            );
            assert!(text.ends_with('.') && text.len() > line.len(), "{code}");
        }
    }

    #[test]
    fn an_unknown_name_is_refused_with_the_nearest() {
        assert_eq!(
            "bad-yml".parse::<Code>(),
            Err("did you mean `bad-yaml`?".to_owned())
        );
    }
}
