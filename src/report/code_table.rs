//! What is said of every kind of problem: its name, a line that describes it, a text that explains it.
//!
//! A table, a row for each [`Code`] in the order of the enum.

use super::Code;

/// What is said of one kind of problem.
pub(super) struct Row {
    pub(super) code: Code,
    pub(super) name: &'static str,
    pub(super) description: &'static str,
    pub(super) explanation: &'static str,
}

/// Every kind.
pub(super) const ROWS: [Row; 104] = [
    Row {
        code: Code::UnreadableFile,
        name: "unreadable-file",
        description: "a file cannot be read",
        explanation: "The file does not exist, is a folder, or may not be read by this user. Check the name, and from which folder the program was started.",
    },
    Row {
        code: Code::NotUtf8,
        name: "not-utf8",
        description: "a file is not text in UTF-8",
        explanation: "Files are read as UTF-8 text. Some editors save another encoding: choose UTF-8 when saving, and look at the letters with accents and at signs such as ° and ± near the line that is named.",
    },
    Row {
        code: Code::EmptyFile,
        name: "empty-file",
        description: "a file holds no data",
        explanation: "The file is empty, or holds nothing but comments. Start from a file that `new` writes.",
    },
    Row {
        code: Code::TooLarge,
        name: "too-large",
        description: "a file is larger than the program accepts",
        explanation: "Files over 64 MiB, or with more than five million values, are refused before they use up the machine's memory. Split the work into several files.",
    },
    Row {
        code: Code::TooMany,
        name: "too-many",
        description: "there are more of something than the program accepts",
        explanation: "No vehicle and no workshop has so many of it, and working it out would take the machine's time and memory. The message names the limit. Usually a list was repeated by mistake, or what belongs to several vehicles stands in one file: give each vehicle its own job file, and each kind of connection its own rule file.",
    },
    Row {
        code: Code::ControlCharacter,
        name: "control-character",
        description: "a file holds a character that YAML does not allow",
        explanation: "YAML text holds printable characters, tabs and line breaks only. A control character usually comes from a damaged file, or from text copied out of a terminal. Delete it, or write it inside double quotes as an escape such as \\x1b.",
    },
    Row {
        code: Code::BadYaml,
        name: "bad-yaml",
        description: "a text is not valid YAML",
        explanation: "The text breaks a rule of YAML, so that nothing after it can be trusted. The usual reasons: a tab used to indent, an indentation that does not line up, a quote or bracket that is not closed, a colon without a space after it, or a text that needs quotes because it begins with one of @ ` % & * ! | > [ {.",
    },
    Row {
        code: Code::SeveralDocuments,
        name: "several-documents",
        description: "a file holds more than one YAML document",
        explanation: "A line of three dashes starts a second document in the same file. One file holds one job or one rule: put the other in its own file.",
    },
    Row {
        code: Code::TooDeep,
        name: "too-deep",
        description: "lists and maps are nested too deeply",
        explanation: "Nothing this program reads is nested more than 64 levels deep. The text is refused before it can exhaust the reader.",
    },
    Row {
        code: Code::AliasBomb,
        name: "alias-bomb",
        description: "aliases make a text grow out of all proportion",
        explanation: "An alias (*name) repeats everything that its anchor (&name) stands for. Aliases of aliases can make a short text grow to billions of values, so what they may add is limited. Write the repeated part out, or repeat less of it.",
    },
    Row {
        code: Code::MergeKey,
        name: "merge-key",
        description: "the merge key `<<` is not supported",
        explanation: "Some YAML readers copy the fields of another map in at `<<`. It is not part of YAML 1.2, and a reader of the file cannot see what it adds. Write the fields out.",
    },
    Row {
        code: Code::DuplicateKey,
        name: "duplicate-key",
        description: "a key stands twice in the same map",
        explanation: "The second entry would silently replace the first. Delete one of them, or give it its own key.",
    },
    Row {
        code: Code::UnknownField,
        name: "unknown-field",
        description: "a field that is not known here",
        explanation: "A misspelt field would otherwise be passed over without a word, and its value with it. `schema` prints every field that is known.",
    },
    Row {
        code: Code::MissingField,
        name: "missing-field",
        description: "a field that is needed is not there",
        explanation: "The item cannot be used without this field. `schema` prints every field with its meaning.",
    },
    Row {
        code: Code::WrongType,
        name: "wrong-type",
        description: "a value is of another kind than its field takes",
        explanation: "The field takes one kind of value, such as a number, a text or a list, and holds another. In YAML a text in quotes is never a number, and a key with nothing after it holds no value.",
    },
    Row {
        code: Code::UnknownChoice,
        name: "unknown-choice",
        description: "a word that is none of the choices of its field",
        explanation: "The field takes one word out of a short list. `schema` prints the list.",
    },
    Row {
        code: Code::BadValue,
        name: "bad-value",
        description: "a value that its field cannot take",
        explanation: "The value is of the right kind, but the field's own rule refuses it: the message says why.",
    },
    Row {
        code: Code::NotANumber,
        name: "not-a-number",
        description: "a quantity without a number",
        explanation: "The field takes a number with or without a unit, such as 40, 40 mm or 1 1/2 in, and a tolerance such as ±2. Decimals are written with a point.",
    },
    Row {
        code: Code::NotFinite,
        name: "not-finite",
        description: "a number that is not finite",
        explanation: "Infinity and not-a-number cannot be measured on a vehicle, and a calculation with them means nothing.",
    },
    Row {
        code: Code::WrongUnit,
        name: "wrong-unit",
        description: "a unit of another kind, or one that is not known",
        explanation: "A length cannot be given in kilograms, nor an angle in millimetres. The message lists the units that the field accepts; a bare number is in the unit that the field documents.",
    },
    Row {
        code: Code::OutOfRange,
        name: "out-of-range",
        description: "a number outside what can be real in its field",
        explanation: "The number, or an end of its tolerance, lies outside the range that the field allows. The usual reasons: another unit than meant, a slipped decimal point, or two fields changed round.",
    },
    Row {
        code: Code::BadId,
        name: "bad-id",
        description: "an id that cannot be one",
        explanation: "Ids stand in task names, file names and signatures, so they are kept to 64 letters, digits, - and _, beginning with a letter or digit.",
    },
    Row {
        code: Code::DuplicateId,
        name: "duplicate-id",
        description: "two things of one id",
        explanation: "Links, mounts, people and bodies are named by their ids, and a signature against an id must mean one thing. Give one of the two another id.",
    },
    Row {
        code: Code::UnknownPart,
        name: "unknown-part",
        description: "a part that the job does not list",
        explanation: "Every end of a link, everything that holds it and everything that a part is bolted to is a part of the same file, the chassis or a raised body. A misspelt id would silently take a link out of the cut.",
    },
    Row {
        code: Code::UnknownGroup,
        name: "unknown-group",
        description: "a mount of a body that is not raised",
        explanation: "Mounts are listed for the bodies that go up. A body that stays down is simply fixed to the chassis.",
    },
    Row {
        code: Code::UnknownSpan,
        name: "unknown-span",
        description: "a stretch that the link does not have",
        explanation: "Measurements of a span name two neighbouring fixings of the link, in their order: first end, what holds it, second end.",
    },
    Row {
        code: Code::RootIsFixed,
        name: "root-is-fixed",
        description: "the chassis or a raised body said to be fixed to something",
        explanation: "The chassis and the raised bodies are what everything else hangs on. Only the body mounts join them, and those are the cut itself.",
    },
    Row {
        code: Code::FloatingPart,
        name: "floating-part",
        description: "a part that hangs on nothing",
        explanation: "Followed bolt by bolt, every part hangs in the end on the chassis or on a raised body. One that does not would move with neither, so nobody could say what the lift does to its links.",
    },
    Row {
        code: Code::TooFewMounts,
        name: "too-few-mounts",
        description: "mounts that cannot carry or tip a body",
        explanation: "A raised body stands on three mounts or more that span a plane, some left and some right; it is raised one side at a time about the mounts of the other. List every mount with its place.",
    },
    Row {
        code: Code::UnitaryBody,
        name: "unitary-body",
        description: "a vehicle whose body is its chassis",
        explanation: "A body lift puts spacers between a body and a separate ladder chassis. In unitary construction there is no such joint: the suspension and drivetrain are bolted to the body itself. Such a vehicle is raised by other means, and not with this job sheet.",
    },
    Row {
        code: Code::UnknownRegion,
        name: "unknown-region",
        description: "a region that there are no limits for",
        explanation: "The region of a job names a file of limits in the rule set. A misspelt one would leave the lift unchecked against what the law there allows. Without a region no limit is checked, and the sheet says so.",
    },
    Row {
        code: Code::UnknownConsequence,
        name: "unknown-consequence",
        description: "a consequence that there is no rule for",
        explanation: "Under `consequences` stand measurements for what the lift brings about beside the connections, such as the aim of the headlamps. Each key names a file of the rule set.",
    },
    Row {
        code: Code::UnknownClass,
        name: "unknown-class",
        description: "a class of connection that there is no rule for",
        explanation: "The class of a link names a file of the rule set. Choose the class whose rule fits, or add a rule file of your own in a folder given with --rules.",
    },
    Row {
        code: Code::UnknownMeasurement,
        name: "unknown-measurement",
        description: "a measurement that the class does not ask for",
        explanation: "A misspelt measurement would be passed over, and the link would stay unmeasured. The class's rule lists what it asks for; survey prints it.",
    },
    Row {
        code: Code::CannotCalculate,
        name: "cannot-calculate",
        description: "numbers that a calculation refuses",
        explanation: "Each number is possible by itself, but together they describe something that cannot be there, such as a fan that already touches its shroud. Measure again, or correct the value.",
    },
    Row {
        code: Code::UnknownAccess,
        name: "unknown-access",
        description: "access that no task gives",
        explanation: "A task needs something off or open, and no task of the rules gives that access by this name. Correct the name, or add a task that gives it.",
    },
    Row {
        code: Code::DuplicateTask,
        name: "duplicate-task",
        description: "two tasks of one id",
        explanation: "Tasks are signed by their ids, so each must mean one task. Give one of the rule's tasks another id.",
    },
    Row {
        code: Code::Cycle,
        name: "cycle",
        description: "tasks that wait for one another",
        explanation: "Each task of the circle must come before the next, so none of them could ever begin. The message prints the whole circle with the rule behind each step: take one of them out.",
    },
    Row {
        code: Code::UnknownRuleFile,
        name: "unknown-rule-file",
        description: "a file in a rules folder that no rule is read from",
        explanation: "Rule files are found by where they stand: settings.yaml, and the files in connections, consequences, limits, patterns and procedure. A misspelt folder would otherwise be passed over without a word.",
    },
    Row {
        code: Code::BadRule,
        name: "bad-rule",
        description: "a rule that contradicts itself",
        explanation: "The rule file is readable, but a part of it cannot be followed. The message says which, and what to write.",
    },
    Row {
        code: Code::BadExpression,
        name: "bad-expression",
        description: "an expression or text that cannot be evaluated",
        explanation: "Conditions are minijinja expressions over the names of their rule, and yield yes or no; texts are minijinja templates over the same names. A name that is not there is an error, never an empty text.",
    },
    Row {
        code: Code::UnknownName,
        name: "unknown-name",
        description: "a name that a rule does not have where it is used",
        explanation: "Expressions and texts use the measurements and settings of their class, the facts of the job, and the results of the checks above. The name is misspelt, stands for something further down, or is read in a way that it does not have: a word is a yes/no for each of its choices in conditions, and the word itself everywhere else.",
    },
    Row {
        code: Code::UnknownInput,
        name: "unknown-input",
        description: "an input that a calculation does not take",
        explanation: "The calculation would refuse the call on every vehicle. `calc` prints what each calculation takes.",
    },
    Row {
        code: Code::MissingInput,
        name: "missing-input",
        description: "an input that a calculation must have and is not given",
        explanation: "Without it the calculation refuses. Give it under `with`; where it comes from a measurement that may not be given, make the check only when that is known.",
    },
    Row {
        code: Code::WrongInput,
        name: "wrong-input",
        description: "an input of another kind than a calculation takes",
        explanation: "A length is no angle, a yes is no number, and a word must be one that the calculation knows. Hand on something of the input's kind and unit.",
    },
    Row {
        code: Code::BadVerdicts,
        name: "bad-verdicts",
        description: "a list of verdicts that leaves something open",
        explanation: "The first branch whose condition holds gives the verdict, so the last has no condition and no other does without one. Work has a task, and a check with something written down; what is left alone has no task, and what stops the lift has neither. Every branch says why.",
    },
    Row {
        code: Code::BadTask,
        name: "bad-task",
        description: "a task that cannot be done or signed as it is written",
        explanation: "Minutes rise from low over likely to high, numbers that are written down have a unit, people and parts are at least one. The message says what is wrong with this task.",
    },
    Row {
        code: Code::VerdictUnreachable,
        name: "verdict-unreachable",
        description: "a branch that nothing leads to",
        explanation: "The check was tried at many points: every height, the ends, the middle and between of every range, both sides of every number in a condition, every answer. This branch held at none of them. Either a branch above it takes all its cases, or its condition cannot come true within the ranges.",
    },
    Row {
        code: Code::HeightNotCovered,
        name: "height-not-covered",
        description: "a height at which a check cannot be made at all",
        explanation: "At this rise the calculation refuses whatever is measured, so no vehicle could be judged there. Let the check apply only where it can be made, and let another one say what holds beyond.",
    },
    Row {
        code: Code::UnknownTask,
        name: "unknown-task",
        description: "a task that the procedure does not have",
        explanation: "`calls` and `after` name tasks of the procedure by their ids. A misspelt id would silently leave the task out, or let the work go on without waiting.",
    },
    Row {
        code: Code::TwoGivers,
        name: "two-givers",
        description: "an access that two tasks give",
        explanation: "Whoever needs an access brings in the one task that gives it. Of two, the second is never asked; so each access has one giver.",
    },
    Row {
        code: Code::TaskNeverTriggered,
        name: "task-never-triggered",
        description: "a task on call that nothing calls",
        explanation: "A task that is done on call is on a sheet only when another one calls it, or needs the access that it gives. This one will never be on any sheet.",
    },
    Row {
        code: Code::StageNotClosed,
        name: "stage-not-closed",
        description: "a stage that is not closed by exactly one task",
        explanation: "What follows a stage waits for the task that closes it. With none or several, or with one that is not done on every vehicle, the next stage could begin before this one is done.",
    },
    Row {
        code: Code::BadLevel,
        name: "bad-level",
        description: "something done for each body, side or mount where there is none",
        explanation: "Only raising, spacing and lowering are done body by body; blocks go in side by side; only the procedure's tasks for a body or a side have mounts of their own.",
    },
    Row {
        code: Code::WrongOrder,
        name: "wrong-order",
        description: "a task that waits for one of a later stage",
        explanation: "The stages come one after the other, so the task would be done without what it waits for. Move one of the two, or do not wait.",
    },
    Row {
        code: Code::MissingSource,
        name: "missing-source",
        description: "a rule that does not say where it comes from",
        explanation: "Every class, setting and stage names its source: a document and how it is known, or common practice. An invented source is a defect; common practice and memory are honest ones.",
    },
    Row {
        code: Code::BadSource,
        name: "bad-source",
        description: "a source that contradicts itself",
        explanation: "A document is read, seen in a secondary copy or known from memory. What the whole trade does is no document: it is common practice, or remembered.",
    },
    Row {
        code: Code::UnusedName,
        name: "unused-name",
        description: "something measured, set or worked out that nothing reads",
        explanation: "A fitter would measure it for nothing, or a workshop would change it without effect. Use it, or take it out.",
    },
    Row {
        code: Code::NobodyLicensed,
        name: "nobody-licensed",
        description: "licensed work and nobody of the crew with the licence",
        explanation: "Work that is for a licensed trade is planned for people who hold that licence, and nobody of the crew does. Add somebody with `licences` under `people`; a tradesperson comes on call unless the file says otherwise. A crew made with `--with` is given the licences it lacks.",
    },
    Row {
        code: Code::TooFewPeople,
        name: "too-few-people",
        description: "a task that takes more or other people than the crew has",
        explanation: "Raising takes two people and one who only watches, a hold point is signed by a supervisor who did not do it, and some work is not for an apprentice. Add people to the job, on call where they come only for that, or take another crew with `--with`.",
    },
    Row {
        code: Code::LongerThanADay,
        name: "longer-than-a-day",
        description: "work that may not be left half done and fits no day",
        explanation: "A task that somebody watches is not interrupted, and a body that stands on jacks alone is not left overnight. The hours of the people who may do it leave no day long enough. Give them longer hours on one day.",
    },
    Row {
        code: Code::EmptyCrew,
        name: "empty-crew",
        description: "nobody to do the work",
        explanation: "Without people nothing can be spread over time. List them in the job file under `people` with their roles, or name a crew on the command line: `--with fitter+apprentice`.",
    },
    Row {
        code: Code::UnknownRole,
        name: "unknown-role",
        description: "a role that no crew is made of",
        explanation: "A crew on the command line is made of `fitter`, `supervisor`, `apprentice` and the trades that the work takes, joined by `+`, with a number before those of which there are several: `2fitter+apprentice`.",
    },
    Row {
        code: Code::NeverThere,
        name: "never-there",
        description: "people who are never there for a task",
        explanation: "The hours, days and absences of those who may do a task leave no time for it within a year of the start of work. Somebody may be away without end, two people who must work together may never meet, or there is none of a thing that the task takes.",
    },
    Row {
        code: Code::UnknownPerson,
        name: "unknown-person",
        description: "a person who does not work on this job",
        explanation: "A signature is worth what is known of the person: the name, the roles and the licences under `people` in the job file. Add the person there, or let somebody sign who is listed.",
    },
    Row {
        code: Code::TaskNotInPlan,
        name: "task-not-in-plan",
        description: "a task that the plan does not have",
        explanation: "Signatures are given for the tasks of the plan as it is now. The sheet prints the id of each; when the job or the rules have changed, a task may have another one.",
    },
    Row {
        code: Code::ProvisionalPlan,
        name: "provisional-plan",
        description: "a plan that may still change",
        explanation: "While something is still to be measured, a verdict may change and with it the work. Measure first, so that nobody signs for work that turns out to be another.",
    },
    Row {
        code: Code::LiftStopped,
        name: "lift-stopped",
        description: "a lift that must not be done",
        explanation: "A connection or a limit says stop. Nothing on such a sheet is work that somebody may sign for. Change the lift, or leave the vehicle alone.",
    },
    Row {
        code: Code::RecordBroken,
        name: "record-broken",
        description: "a record that is not as it was written",
        explanation: "Every line of a record holds a digest of itself and of the line before it. One of them does not fit: a line was changed, left out, put in or moved. Nothing more is signed on it. Fetch the record from a copy, and ask how it came to be changed.",
    },
    Row {
        code: Code::RecordTorn,
        name: "record-torn",
        description: "a last line that was cut off",
        explanation: "The writing of the last line was cut off, as by a power cut, so whoever signed was never told that it is signed. It does not count. The next signature sets it aside in a file of its own; sign again what is not shown as signed.",
    },
    Row {
        code: Code::RecordNotWritten,
        name: "record-not-written",
        description: "a signature that could not be written",
        explanation: "The record stands beside the job file, and the folder or the disk did not take the line. Nothing of it is left in the record, and nothing is signed. Make room, or see who may write there, and sign again.",
    },
    Row {
        code: Code::DigestNotFound,
        name: "digest-not-found",
        description: "a printed digest that the record does not have",
        explanation: "The digest on a signed sheet is that of the last line when it was printed. A record that has no such line was cut short or written anew since.",
    },
    Row {
        code: Code::WrongRole,
        name: "wrong-role",
        description: "a signature that the person's role does not allow",
        explanation: "Fitters and licensed trades sign for what they do, an apprentice for what an apprentice may do; only a supervisor checks, signs hold points, refuses work or opens it again.",
    },
    Row {
        code: Code::OwnWork,
        name: "own-work",
        description: "work checked by the one who did it",
        explanation: "Nobody sees their own mistake a second time. Whoever checks is a supervisor who did not do the work.",
    },
    Row {
        code: Code::NoLicence,
        name: "no-licence",
        description: "licensed work signed by somebody without the licence",
        explanation: "Where local codes reserve work for a trade, only somebody who holds that licence does it and signs for it.",
    },
    Row {
        code: Code::NotForApprentice,
        name: "not-for-apprentice",
        description: "work that is not for an apprentice",
        explanation: "Where a mistake can hurt somebody, the rules keep the work for a fitter. The apprentice watches and learns.",
    },
    Row {
        code: Code::OutOfTurn,
        name: "out-of-turn",
        description: "a task signed before what it depends on",
        explanation: "The order is there because the other order tears something or hurts somebody. Do and sign what comes before; a hold point is signed by the second person before the work goes on.",
    },
    Row {
        code: Code::NotDone,
        name: "not-done",
        description: "a check of what is not done",
        explanation: "Whoever did the work signs for it first, so that it is known who did it and that somebody else looked.",
    },
    Row {
        code: Code::AlreadySigned,
        name: "already-signed",
        description: "a task that is signed off already",
        explanation: "What is signed off stays so until a supervisor refuses the work or opens it again, each with a reason that stays in the record.",
    },
    Row {
        code: Code::NothingSigned,
        name: "nothing-signed",
        description: "nothing there to refuse or to open",
        explanation: "Only what somebody signed for can be refused or opened again.",
    },
    Row {
        code: Code::ReasonMissing,
        name: "reason-missing",
        description: "a refusal, reopening or remark without words",
        explanation: "Whoever reads the record later must see why work was refused or opened again.",
    },
    Row {
        code: Code::BadEvidence,
        name: "bad-evidence",
        description: "a value that the task does not ask for",
        explanation: "Each task lists what is written down for it, by name. A value under another name would be in nobody's way and in nobody's check. What is worked out from other values is not given at all.",
    },
    Row {
        code: Code::EvidenceMissing,
        name: "evidence-missing",
        description: "something that is not written down",
        explanation: "A task is signed off against what was measured. All that it asks for is written down first, with the work, with a measurement or with the check.",
    },
    Row {
        code: Code::OutsideLimits,
        name: "outside-limits",
        description: "a value outside its limits signed as checked",
        explanation: "The value may be written down, but the work is not right with it, so it cannot be signed off. Put it right and measure again.",
    },
    Row {
        code: Code::WrenchMissing,
        name: "wrench-missing",
        description: "a torque without its wrench",
        explanation: "A torque is as good as the wrench that it was read on. With the wrench's number it can be found later which bolts were tightened with one that was out of calibration.",
    },
    Row {
        code: Code::OdometerMissing,
        name: "odometer-missing",
        description: "a retorque without the odometer",
        explanation: "What is due at a distance is signed with the odometer, so that anybody can see that it was done in time.",
    },
    Row {
        code: Code::OdometerRunsBack,
        name: "odometer-runs-back",
        description: "an odometer below one that was written down before",
        explanation: "An odometer does not run back, so one of the two readings is wrong. A wrong earlier one is put right by a supervisor who opens its task again; the reading itself stays visible.",
    },
    Row {
        code: Code::BadTime,
        name: "bad-time",
        description: "a time that cannot be that of the work",
        explanation: "A late entry gives the time at which the work was done, with its offset from UTC, and that time is past. The true time of the entry is kept beside it.",
    },
    Row {
        code: Code::TwoReadings,
        name: "two-readings",
        description: "a number that can be read in two ways",
        explanation: "What was typed means one thing to one reader and another to the next: `1/4` of a tank is a quarter and 0.25 %, `88.120` km is eighty-eight thousand where a point parts thousands, and eighty-eight elsewhere. Both readings are spelled out; write the one that is meant.",
    },
    Row {
        code: Code::TooEarly,
        name: "too-early",
        description: "a retorque before its distance",
        explanation: "What a retorque looks for shows only after the distance has been driven, counted from the odometer at the hand-over; a tenth less is let pass. A supervisor who has a reason writes it down, and then it is signed.",
    },
    Row {
        code: Code::NoIdentification,
        name: "no-identification",
        description: "a job without a vehicle's identification",
        explanation: "A record is one vehicle's for as long as it is kept, so the job file says which: the number plate or the identification number, as `identification:` under `vehicle`.",
    },
    Row {
        code: Code::OtherVehicle,
        name: "other-vehicle",
        description: "a record that is bound to another vehicle",
        explanation: "The first line of a record says whose it is, and the job file beside it names another vehicle or another job. Usually a folder was copied, or a record stands beside the wrong job file. Where it is the same vehicle and only a slip of the pen was corrected, a supervisor says so with `--act identified`; that stands on the signed sheet and opens nothing.",
    },
    Row {
        code: Code::RecordShared,
        name: "record-shared",
        description: "a record that two job files would share",
        explanation: "Which file is the record of a job goes by the name of the job file without its ending, and by the file that a link leads to. Two job files of one name would sign into one record, or a link has a record of its own besides. Give one of them another name.",
    },
    Row {
        code: Code::RecordHeld,
        name: "record-held",
        description: "a record that somebody else holds",
        explanation: "Another program has the record open and locked, and has not let go of it for half a minute. It may be waiting for somebody to answer a question. End it, or wait, and sign again; nothing was written.",
    },
    Row {
        code: Code::NotAdopted,
        name: "not-adopted",
        description: "a record that is bound to no vehicle",
        explanation: "Records of the first program did not say whose they are. They verify as they were written; before anything more is signed, a supervisor takes the record over for the vehicle of the job file beside it with `--act adopted`, and says why that is right. Signatures stand for tasks of the same name.",
    },
    Row {
        code: Code::JobChanged,
        name: "job-changed",
        description: "a job file or rules that are otherwise than was signed for",
        explanation: "What the job file or the workshop's own rules say was signed on, so a change is signed for, too: who, what it was, what it is. What falls open by it is shown at once. A role or licence that changes counts only once somebody signs who was a supervisor before.",
    },
    Row {
        code: Code::NotKept,
        name: "not-kept",
        description: "something that should be kept beside the record and is not",
        explanation: "The plan that was signed, the job file and photographs stand in a folder beside the record, each under its digest, and the record names them. One of them is not there, or is no longer what was kept. Fetch the folder from where the record came from.",
    },
    Row {
        code: Code::OtherSheet,
        name: "other-sheet",
        description: "a number of a sheet that is of another plan",
        explanation: "Task numbers count with the plan that printed them. Once the plan has changed, a number is taken only with the four characters of the sheet that it is read from. Print the sheet anew, or name tasks by their ids, which stay.",
    },
    Row {
        code: Code::BuiltOn,
        name: "built-on",
        description: "an act that cannot be taken back any more",
        explanation: "An act is taken back only by whoever signed it, and while nothing that was signed since rests on it. After that a value is put right with `--act corrected`, and a supervisor opens work again with `--act reopened`.",
    },
    Row {
        code: Code::MuchFallsOpen,
        name: "much-falls-open",
        description: "an act by which much falls open",
        explanation: "More than ten tasks would fall open and would have to be done and signed again. They are named, and nothing is written before somebody says that this is meant: with `--yes`, or when asked on a terminal.",
    },
    Row {
        code: Code::BadTable,
        name: "bad-table",
        description: "a table that cannot be signed by",
        explanation: "The table is no comma-separated text with the columns that `liftsheet record JOB -o to-sign.csv` writes, or signs nothing. A table is signed all or not at all.",
    },
    Row {
        code: Code::BadPhoto,
        name: "bad-photo",
        description: "a file that is no photograph",
        explanation: "A photograph is kept as JPEG or PNG, of at most 32 MiB. Cameras and telephones write the first; other kinds are saved as one of the two.",
    },
    Row {
        code: Code::PeopleAlike,
        name: "people-alike",
        description: "two people who look alike",
        explanation: "Who did a task and who checked it must be two people, also for somebody who reads the record on paper. Two names that are the same, or ids that differ only in capitals or in letters that look alike, cannot be told apart. Give one of them an initial or another id, or leave the second entry of one person out.",
    },
    Row {
        code: Code::TooManyProblems,
        name: "too-many-problems",
        description: "the rest of the problems is not shown",
        explanation: "Reading stopped after many problems in one file. They often have one cause: mend the first ones and check again.",
    },
];

// A kind without a row does not compile.
const _: () = assert!(ROWS.len() == Code::TooManyProblems as usize + 1);

/// The rows, in one place for the whole run.
pub(super) static TABLE: [Row; ROWS.len()] = ROWS;

/// The kinds alone.
// Worked out while compiling: an index out of bounds would not compile.
#[allow(clippy::indexing_slicing)]
pub(super) const ALL: [Code; ROWS.len()] = {
    let mut all = [Code::UnreadableFile; ROWS.len()];
    let mut at = 0;
    while at < ROWS.len() {
        all[at] = ROWS[at].code;
        at += 1;
    }
    all
};
