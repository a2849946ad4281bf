//! The kinds of problem, each with a name that never changes, a line that describes it and a text that explains it.
//!
//! Adding a kind is adding it here and a row to the table beside this file. Takes and gives nothing else; which problem is raised where
//! is left to the stages.

use std::fmt;
use std::str::FromStr;

use super::code_table::{self, Row, TABLE};
use super::unknown_help;

/// A kind of problem. The name in kebab case is stable: scripts and `explain` may rely on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Code {
    // Reading a file.
    /// A file cannot be read.
    UnreadableFile,
    /// A file is not text in UTF-8.
    NotUtf8,
    /// A file holds no data.
    EmptyFile,
    /// A file is larger than the program accepts.
    TooLarge,
    /// There are more of something than the program accepts.
    TooMany,
    /// A file holds a character that YAML does not allow.
    ControlCharacter,
    // Reading YAML.
    /// A text is not valid YAML.
    BadYaml,
    /// A file holds more than one YAML document.
    SeveralDocuments,
    /// Lists and maps are nested too deeply.
    TooDeep,
    /// Aliases make a text grow out of all proportion.
    AliasBomb,
    /// The merge key `<<` is not supported.
    MergeKey,
    /// A key stands twice in the same map.
    DuplicateKey,
    // Reading fields.
    /// A field that is not known here.
    UnknownField,
    /// A field that is needed is not there.
    MissingField,
    /// A value is of another kind than its field takes.
    WrongType,
    /// A word that is none of the choices of its field.
    UnknownChoice,
    /// A value that its field cannot take.
    BadValue,
    // Quantities.
    /// A quantity without a number.
    NotANumber,
    /// A number that is not finite.
    NotFinite,
    /// A unit of another kind, or one that is not known.
    WrongUnit,
    /// A number outside what can be real in its field.
    OutOfRange,
    // The job.
    /// An id that cannot be one.
    BadId,
    /// Two things of one id.
    DuplicateId,
    /// A part that the job does not list.
    UnknownPart,
    /// A mount of a body that is not raised.
    UnknownGroup,
    /// A stretch that the link does not have.
    UnknownSpan,
    /// The chassis or a raised body said to be fixed to something.
    RootIsFixed,
    /// A part that hangs on nothing.
    FloatingPart,
    /// Mounts that cannot carry or tip a body.
    TooFewMounts,
    /// A vehicle whose body is its chassis.
    UnitaryBody,
    /// A region that there are no limits for.
    UnknownRegion,
    /// A consequence that there is no rule for.
    UnknownConsequence,
    /// A class of connection that there is no rule for.
    UnknownClass,
    /// A measurement that the class does not ask for.
    UnknownMeasurement,
    /// Numbers that a calculation refuses.
    CannotCalculate,
    // Rules.
    /// Access that no task gives.
    UnknownAccess,
    /// Two tasks of one id.
    DuplicateTask,
    /// Tasks that wait for one another.
    Cycle,
    /// A file in a rules folder that no rule is read from.
    UnknownRuleFile,
    /// A rule that contradicts itself.
    BadRule,
    /// An expression or text that cannot be evaluated.
    BadExpression,
    /// A name that a rule does not have where it is used.
    UnknownName,
    /// An input that a calculation does not take.
    UnknownInput,
    /// An input that a calculation must have and is not given.
    MissingInput,
    /// An input of another kind than a calculation takes.
    WrongInput,
    /// A list of verdicts that leaves something open.
    BadVerdicts,
    /// A task that cannot be done or signed as it is written.
    BadTask,
    /// A branch that nothing leads to.
    VerdictUnreachable,
    /// A height at which a check cannot be made at all.
    HeightNotCovered,
    /// A task that the procedure does not have.
    UnknownTask,
    /// An access that two tasks give.
    TwoGivers,
    /// A task on call that nothing calls.
    TaskNeverTriggered,
    /// A stage that is not closed by exactly one task.
    StageNotClosed,
    /// Something done for each body, side or mount where there is none.
    BadLevel,
    /// A task that waits for one of a later stage.
    WrongOrder,
    /// A rule that does not say where it comes from.
    MissingSource,
    /// A source that contradicts itself.
    BadSource,
    /// Something measured, set or worked out that nothing reads.
    UnusedName,
    // Who does what when.
    /// Licensed work and nobody of the crew with the licence.
    NobodyLicensed,
    /// A task that takes more or other people than the crew has.
    TooFewPeople,
    /// Work that may not be left half done and fits no day.
    LongerThanADay,
    /// Nobody to do the work.
    EmptyCrew,
    /// A role that no crew is made of.
    UnknownRole,
    /// People who are never there for a task.
    NeverThere,
    // Signing.
    /// A person who does not work on this job.
    UnknownPerson,
    /// A task that the plan does not have.
    TaskNotInPlan,
    /// A plan that may still change.
    ProvisionalPlan,
    /// A lift that must not be done.
    LiftStopped,
    /// A record that is not as it was written.
    RecordBroken,
    /// A last line that was cut off.
    RecordTorn,
    /// A signature that could not be written.
    RecordNotWritten,
    /// A printed digest that the record does not have.
    DigestNotFound,
    /// A signature that the person's role does not allow.
    WrongRole,
    /// Work checked by the one who did it.
    OwnWork,
    /// Licensed work signed by somebody without the licence.
    NoLicence,
    /// Work that is not for an apprentice.
    NotForApprentice,
    /// A task signed before what it depends on.
    OutOfTurn,
    /// A check of what is not done.
    NotDone,
    /// A task that is signed off already.
    AlreadySigned,
    /// Nothing there to refuse or to open.
    NothingSigned,
    /// A refusal, reopening or remark without words.
    ReasonMissing,
    /// A value that the task does not ask for.
    BadEvidence,
    /// Something that is not written down.
    EvidenceMissing,
    /// A value outside its limits signed as checked.
    OutsideLimits,
    /// A torque without its wrench.
    WrenchMissing,
    /// A retorque without the odometer.
    OdometerMissing,
    /// An odometer below one that was written down before.
    OdometerRunsBack,
    /// A time that cannot be that of the work.
    BadTime,
    /// A number that can be read in two ways.
    TwoReadings,
    /// A retorque before its distance.
    TooEarly,
    /// A job without a vehicle's identification.
    NoIdentification,
    /// A record that is bound to another vehicle.
    OtherVehicle,
    /// A record that two job files would share.
    RecordShared,
    /// A record that somebody else holds.
    RecordHeld,
    /// A record that is bound to no vehicle.
    NotAdopted,
    /// A job file or rules that are otherwise than was signed for.
    JobChanged,
    /// Something that should be kept beside the record and is not.
    NotKept,
    /// A number of a sheet that is of another plan.
    OtherSheet,
    /// An act that cannot be taken back any more.
    BuiltOn,
    /// An act by which much falls open.
    MuchFallsOpen,
    /// A table that cannot be signed by.
    BadTable,
    /// A file that is no photograph.
    BadPhoto,
    /// Two people who look alike.
    PeopleAlike,
    /// The rest of the problems is not shown.
    TooManyProblems,
}

impl Code {
    /// Every kind, in the order of the table.
    pub const ALL: &'static [Self] = &code_table::ALL;

    /// The stable name, in kebab case.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        self.row().name
    }

    /// What the kind is, in one line.
    #[must_use]
    pub fn description(self) -> &'static str {
        self.row().description
    }

    /// Why it is a problem and what to do, in a few sentences.
    #[must_use]
    pub fn explanation(self) -> &'static str {
        self.row().explanation
    }

    fn row(self) -> &'static Row {
        // The table has a row for every kind, in the order of the enum; a test holds it to that.
        let [first, ..] = &TABLE;
        TABLE.get(self as usize).unwrap_or(first)
    }
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
    fn the_table_stands_in_the_order_of_the_enum() {
        for (number, row) in TABLE.iter().enumerate() {
            assert_eq!(row.code as usize, number, "{:?}", row.code);
        }
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
