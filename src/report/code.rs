//! The kinds of problem, each with a name that never changes, a line that describes it and a text that explains it.
//!
//! A kind is added here: the first line of what is written over it describes it, the rest explains it, and its name in kebab case is the
//! one that scripts and `explain` know. Takes and gives nothing else; which problem is raised where is left to the stages.

use std::str::FromStr;

use strum::{EnumIter, EnumMessage, IntoEnumIterator as _, IntoStaticStr};

use super::unknown_help;

/// A kind of problem. The name in kebab case is stable: scripts and `explain` may rely on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[derive(strum::Display, EnumIter, EnumMessage, IntoStaticStr)]
#[strum(serialize_all = "kebab-case")]
pub enum Code {
    // Reading a file.
    /// a file cannot be read
    ///
    /// The file does not exist, is a folder, or may not be read by this user. Check the name, and from which folder the program was
    /// started.
    UnreadableFile,
    /// a file is not text in UTF-8
    ///
    /// Files are read as UTF-8 text. Some editors save another encoding: choose UTF-8 when saving, and look at the letters with accents
    /// and at signs such as ° and ± near the line that is named.
    NotUtf8,
    /// a file holds no data
    ///
    /// The file is empty, or holds nothing but comments. Start from a file that `new` writes.
    EmptyFile,
    /// a file or a text is larger than the program accepts
    ///
    /// Files over 2 MiB, files of more than 100,000 values, and texts of more than 4,000 bytes are refused before they use up the
    /// machine's memory. No job and no rule comes near that: look whether it is the right file, and whether a quote is closed where it
    /// should be.
    TooLarge,
    /// there are more of something than the program accepts
    ///
    /// No vehicle and no workshop has so many of it, and working it out would take the machine's time and memory. The message names the
    /// limit. Usually a list was repeated by mistake, or what belongs to several vehicles stands in one file: give each vehicle its own
    /// job file, and each kind of connection its own rule file.
    TooMany,
    /// a file holds a character that YAML does not allow
    ///
    /// YAML text holds printable characters, tabs and line breaks only. A control character usually comes from a damaged file, or from
    /// text copied out of a terminal. Delete it, or write it inside double quotes as an escape such as \x1b.
    ControlCharacter,
    // Reading YAML.
    /// a text is not valid YAML
    ///
    /// The text breaks a rule of YAML, so that nothing after it can be trusted. The usual reasons: a tab used to indent, an indentation
    /// that does not line up, a quote or bracket that is not closed, a colon without a space after it, or a text that needs quotes
    /// because it begins with a backtick or one of @ % & * ! | > [ {.
    BadYaml,
    /// a file holds more than one YAML document
    ///
    /// A line of three dashes starts a second document in the same file. One file holds one job or one rule: put the other in its own
    /// file.
    SeveralDocuments,
    /// lists and maps are nested too deeply
    ///
    /// Nothing this program reads is nested more than 64 levels deep. The text is refused before it can exhaust the reader.
    TooDeep,
    /// aliases make a text grow out of all proportion
    ///
    /// An alias (*name) repeats everything that its anchor (&name) stands for. Aliases of aliases can make a short text grow to billions
    /// of values, so what they may add is limited. Write the repeated part out, or repeat less of it.
    AliasBomb,
    /// the merge key `<<` is not supported
    ///
    /// Some YAML readers copy the fields of another map in at `<<`. It is not part of YAML 1.2, and a reader of the file cannot see what
    /// it adds. Write the fields out.
    MergeKey,
    /// a key stands twice in the same map
    ///
    /// The second entry would silently replace the first. Delete one of them, or give it its own key.
    DuplicateKey,
    // Reading fields.
    /// a field that is not known here
    ///
    /// A misspelt field would otherwise be passed over without a word, and its value with it. `schema` prints every field that is known.
    UnknownField,
    /// a field that is needed is not there
    ///
    /// The item cannot be used without this field. `schema` prints every field with its meaning.
    MissingField,
    /// a value is of another kind than its field takes
    ///
    /// The field takes one kind of value, such as a number, a text or a list, and holds another. In YAML a text in quotes is never a
    /// number, and a key with nothing after it holds no value.
    WrongType,
    /// a word that is none of the choices of its field
    ///
    /// The field takes one word out of a short list. `schema` prints the list.
    UnknownChoice,
    /// a value that its field cannot take
    ///
    /// The value is of the right kind, but the field's own rule refuses it: the message says why.
    BadValue,
    // Quantities.
    /// a quantity without a number
    ///
    /// The field takes a number with or without a unit, such as 40, 40 mm or 1 1/2 in, and a tolerance such as ±2. Decimals are written
    /// with a point.
    NotANumber,
    /// a number that is not finite
    ///
    /// Infinity and not-a-number cannot be measured on a vehicle, and a calculation with them means nothing.
    NotFinite,
    /// a unit of another kind, or one that is not known
    ///
    /// A length cannot be given in kilograms, nor an angle in millimetres. The message lists the units that the field accepts; a bare
    /// number is in the unit that the field documents, but for a block's height so small that it could be inches.
    WrongUnit,
    /// a number outside what can be real in its field
    ///
    /// The number, or an end of its tolerance, lies outside the range that the field allows. The usual reasons: another unit than meant,
    /// a slipped decimal point, or two fields changed round. A number with which nothing is worked out over a tolerance, such as the height
    /// of the blocks, takes none.
    OutOfRange,
    // The job.
    /// an id that cannot be one
    ///
    /// Ids stand in task names, file names and signatures, so they are kept to 64 letters, digits, - and _, beginning with a letter or
    /// digit.
    BadId,
    /// two things of one id
    ///
    /// Links, mounts, people and bodies are named by their ids, and a signature against an id must mean one thing. Give one of the two
    /// another id.
    DuplicateId,
    /// a part that the job does not list
    ///
    /// Every end of a link, everything that holds it and everything that a part is bolted to is a part of the same file, the chassis or a
    /// raised body. A misspelt id would silently take a link out of the cut.
    UnknownPart,
    /// a mount of a body that is not raised
    ///
    /// Mounts are listed for the bodies that go up. A body that stays down is simply fixed to the chassis.
    UnknownGroup,
    /// a stretch that the link does not have
    ///
    /// Measurements of a span name two neighbouring fixings of the link, in their order: first end, what holds it, second end.
    UnknownSpan,
    /// the chassis or a raised body said to be fixed to something
    ///
    /// The chassis and the raised bodies are what everything else hangs on. Only the body mounts join them, and those are the cut itself.
    RootIsFixed,
    /// a part that hangs on nothing
    ///
    /// Followed bolt by bolt, every part hangs in the end on the chassis or on a raised body. One that does not would move with neither,
    /// so nobody could say what the lift does to its links.
    FloatingPart,
    /// mounts that cannot carry or tip a body
    ///
    /// A raised body stands on three mounts or more that span a plane, some left and some right; it is raised one side at a time about
    /// the mounts of the other. List every mount with its place.
    TooFewMounts,
    /// two mounts of one body in one place
    ///
    /// Two mounts of a body that stand closer than their blocks are wide are one mount written twice, or one whose place has lost its
    /// minus sign or a digit. Its block would be put in with those of the other side.
    SamePlace,
    /// a mount on the other side than its name says
    ///
    /// Of two mounts that differ in name by left and right alone, the left one stands left of the body's middle and the right one right
    /// of it. A lost minus sign puts both on one side, and the body would be lowered onto a mount without its block.
    WrongSide,
    /// a body with all its mounts on one side of the vehicle
    ///
    /// Places count from one point of the vehicle: x forward, y to the left, z up. Where the mounts of one body show that this point is
    /// in the middle, a body whose mounts are all on one side of it was measured from somewhere else, or has lost its minus signs.
    OneSided,
    /// a place and a measurement that contradict each other
    ///
    /// The distance between two fixings was measured, and their places in the same file give another one, farther off than a tape is. One
    /// of the two is wrong: a sign, a digit, or the measurement was taken of another stretch than the one that its label names.
    PlacesDisagree,
    /// a vehicle whose body is its chassis
    ///
    /// A body lift puts spacers between a body and a separate ladder chassis. In unitary construction there is no such joint: the
    /// suspension and drivetrain are bolted to the body itself. Such a vehicle is raised by other means, and not with this job sheet.
    UnitaryBody,
    /// a region that there are no limits for
    ///
    /// The region of a job names a file of limits in the rule set. A misspelt one would leave the lift unchecked against what the law
    /// there allows. Without a region no limit is checked, and the sheet says so.
    UnknownRegion,
    /// a consequence that there is no rule for
    ///
    /// Under `consequences` stand measurements for what the lift brings about beside the connections, such as the aim of the headlamps.
    /// Each key names a file of the rule set.
    UnknownConsequence,
    /// a class of connection that there is no rule for
    ///
    /// The class of a link names a file of the rule set. Choose the class whose rule fits, or add a rule file of your own in a folder
    /// given with --rules.
    UnknownClass,
    /// a measurement that the class does not ask for
    ///
    /// A misspelt measurement would be passed over, and the link would stay unmeasured. The class's rule lists what it asks for; survey
    /// prints it.
    UnknownMeasurement,
    /// numbers that a calculation refuses
    ///
    /// Each number is possible by itself, but together they describe something that cannot be there, such as a fan that already touches
    /// its shroud. Measure again, or correct the value.
    CannotCalculate,
    // Rules.
    /// a state or step that there is not
    ///
    /// A task makes or needs a step of a course, and `states.yaml` has no state or no step of that name. Correct the name, or add the step.
    UnknownState,
    /// two tasks of one id
    ///
    /// Tasks are signed by their ids, so each must mean one task. Give one of the rule's tasks another id.
    DuplicateTask,
    /// tasks that wait for one another
    ///
    /// Each task of the circle must come before the next, so none of them could ever begin. The message prints the whole circle with the
    /// rule behind each step: take one of them out.
    Cycle,
    /// a file in a rules folder that no rule is read from
    ///
    /// Rule files are found by where they stand: settings.yaml, and the files in connections, consequences, limits, patterns and
    /// procedure. A misspelt folder would otherwise be passed over without a word.
    UnknownRuleFile,
    /// a rule that contradicts itself
    ///
    /// The rule file is readable, but a part of it cannot be followed. The message says which, and what to write.
    BadRule,
    /// an expression or text that cannot be evaluated
    ///
    /// Conditions are expressions over the names of their rule, and yield yes or no; texts hold expressions over the same names in
    /// `{{ }}`, and alternatives in `{% if %}`. A name that is not there is an error, never an empty text.
    BadExpression,
    /// a name that a rule does not have where it is used
    ///
    /// Expressions and texts use the measurements and settings of their class, the facts of the job, and the results of the checks above.
    /// The name is misspelt, stands for something further down, or is read in a way that it does not have: a word is a yes/no for each of
    /// its choices in conditions, and the word itself everywhere else.
    UnknownName,
    /// an input that a calculation does not take
    ///
    /// The calculation would refuse the call on every vehicle. `calc` prints what each calculation takes.
    UnknownInput,
    /// an input that a calculation must have and is not given
    ///
    /// Without it the calculation refuses. Give it under `with`; where it comes from a measurement that may not be given, make the check
    /// only when that is known.
    MissingInput,
    /// an input of another kind than a calculation takes
    ///
    /// A length is no angle, a yes is no number, and a word must be one that the calculation knows. Hand on something of the input's kind
    /// and unit.
    WrongInput,
    /// a list of verdicts that leaves something open
    ///
    /// The first branch whose condition holds gives the verdict, so the last has no condition and no other does without one. Work has a
    /// task, and a check with something written down; what is left alone has no task, and what stops the lift has neither. Every branch
    /// says why. Wherever a connection may stand, some check applies to it, or would once something more was measured.
    BadVerdicts,
    /// a task that cannot be done or signed as it is written
    ///
    /// Minutes rise from low over likely to high, numbers that are written down have a unit, people and parts are at least one. The
    /// message says what is wrong with this task.
    BadTask,
    /// a branch that nothing leads to
    ///
    /// The check was tried at many points: every height, the ends, the middle and between of every range, both sides of every number in a
    /// condition, every answer. This branch held at none of them. Either a branch above it takes all its cases, or its condition cannot
    /// come true within the ranges.
    VerdictUnreachable,
    /// a height at which a check cannot be made at all
    ///
    /// At this rise the calculation refuses whatever is measured, so no vehicle could be judged there. Let the check apply only where it
    /// can be made, and let another one say what holds beyond.
    HeightNotCovered,
    /// a task that the procedure does not have
    ///
    /// `calls` and `after` name tasks of the procedure by their ids. A misspelt id would silently leave the task out, or let the work go
    /// on without waiting.
    UnknownTask,
    /// a task that nothing needs
    ///
    /// A task that is not always done is on a sheet only when a later step needs what it makes, or something was left that it brings to its
    /// end. This one will never be on any sheet.
    TaskNeverTriggered,
    /// a stage that is not closed by exactly one task
    ///
    /// What follows a stage waits for the task that closes it. With none or several, or with one that is not done on every vehicle, the
    /// next stage could begin before this one is done.
    StageNotClosed,
    /// something done for each body, side or mount where there is none
    ///
    /// Only raising, spacing and lowering are done body by body; blocks go in side by side; only the procedure's tasks for a body or a
    /// side have mounts of their own.
    BadLevel,
    /// a task that waits for one of a later stage
    ///
    /// The stages come one after the other, so the task would be done without what it waits for. Move one of the two, or do not wait.
    WrongOrder,
    /// a rule that does not say where it comes from
    ///
    /// Every class, setting and stage names its source: a document and how it is known, or common practice. An invented source is a
    /// defect; common practice and memory are honest ones.
    MissingSource,
    /// a source that contradicts itself
    ///
    /// A document is read, seen in a secondary copy or known from memory. What the whole trade does is no document: it is common
    /// practice, or remembered.
    BadSource,
    /// something measured, set or worked out that nothing reads
    ///
    /// A fitter would measure it for nothing, or a workshop would change it without effect. Use it, or take it out.
    UnusedName,
    // Who does what when.
    /// licensed work and nobody of the crew with the licence
    ///
    /// Work that is for a licensed trade is planned for people who hold that licence, and nobody of the crew does. Add somebody with
    /// `licences` under `people`, or with `liftsheet people` where the folder has a list of its own; a tradesperson comes on call unless the
    /// file says otherwise. A crew made with `--with` is given the licences it lacks.
    NobodyLicensed,
    /// a task that takes more or other people than the crew has
    ///
    /// Raising takes two people and one who only watches, a hold point is signed by a supervisor who did not do it, and some work is not
    /// for an apprentice. Add people to the job, on call where they come only for that, or take another crew with `--with`.
    TooFewPeople,
    /// work that may not be left half done and fits no day
    ///
    /// A task that somebody watches is not interrupted, and a body that stands on jacks alone is not left overnight. The hours of the
    /// people who may do it leave no day long enough. Give them longer hours on one day.
    LongerThanADay,
    /// nobody to do the work
    ///
    /// Without people nothing can be spread over time. List them in the job file under `people` with their roles, or name a crew on the
    /// command line: `--with fitter+apprentice`.
    EmptyCrew,
    /// a role that no crew is made of
    ///
    /// A crew on the command line is made of `fitter`, `supervisor`, `apprentice` and the trades that the work takes, joined by `+`, with
    /// a number before those of which there are several: `2fitter+apprentice`.
    UnknownRole,
    /// people who are never there for a task
    ///
    /// The hours, days and absences of those who may do a task leave no time for it within a year of the start of work. Somebody may be
    /// away without end, two people who must work together may never meet, or there is none of a thing that the task takes.
    NeverThere,
    // Signing.
    /// a person who does not work on this job
    ///
    /// A signature is worth what is known of the person: the name, the roles and the licences under `people` in the job file. Add the
    /// person there, or let somebody sign who is listed.
    UnknownPerson,
    /// a task that the plan does not have
    ///
    /// Signatures are given for the tasks of the plan as it is now. The sheet prints the id of each; when the job or the rules have
    /// changed, a task may have another one.
    TaskNotInPlan,
    /// a plan that may still change
    ///
    /// While something is still to be measured, a verdict may change and with it the work. Measure first, so that nobody signs for work
    /// that turns out to be another.
    ProvisionalPlan,
    /// a lift that must not be done
    ///
    /// A connection or a limit says stop. Nothing on such a sheet is work that somebody may sign for. Change the lift, or leave the
    /// vehicle alone.
    LiftStopped,
    /// a record that is not as it was written
    ///
    /// Every line of a record holds a digest of itself and of the line before it. One of them does not fit: a line was changed, left out,
    /// put in or moved. Nothing more is signed on it. Fetch the record from a copy, and ask how it came to be changed.
    RecordBroken,
    /// a last line that was cut off
    ///
    /// The writing of the last line was cut off, as by a power cut, so whoever signed was never told that it is signed. It does not
    /// count. The next signature sets it aside in a file of its own; sign again what is not shown as signed.
    RecordTorn,
    /// a signature that could not be written
    ///
    /// The record stands beside the job file, and the folder or the disk did not take the line. Nothing of it is left in the record, and
    /// nothing is signed. Make room, or see who may write there, and sign again.
    RecordNotWritten,
    /// a printed digest that the record does not have
    ///
    /// The digest on a signed sheet is that of the last line when it was printed. A record that has no such line was cut short or written
    /// anew since.
    DigestNotFound,
    /// a signature that the person's role does not allow
    ///
    /// Fitters and licensed trades sign for what they do, an apprentice for what an apprentice may do; only a supervisor checks, signs
    /// hold points, refuses work or opens it again.
    WrongRole,
    /// work checked by the one who did it
    ///
    /// Nobody sees their own mistake a second time. Whoever checks is a supervisor who did not do the work.
    OwnWork,
    /// licensed work signed by somebody without the licence
    ///
    /// Where local codes reserve work for a trade, only somebody who holds that licence does it and signs for it.
    NoLicence,
    /// work that is not for an apprentice
    ///
    /// Where a mistake can hurt somebody, the rules keep the work for a fitter. The apprentice watches and learns.
    NotForApprentice,
    /// a task signed before what it depends on
    ///
    /// The order is there because the other order tears something or hurts somebody. Do and sign what comes before; a hold point is
    /// signed by the second person before the work goes on.
    OutOfTurn,
    /// a check of what is not done
    ///
    /// Whoever did the work signs for it first, so that it is known who did it and that somebody else looked.
    NotDone,
    /// a task that is signed off already
    ///
    /// What is signed off stays so until a supervisor refuses the work or opens it again, each with a reason that stays in the record.
    AlreadySigned,
    /// nothing there to refuse or to open
    ///
    /// Only what somebody signed for can be refused or opened again.
    NothingSigned,
    /// a refusal, reopening or remark without words
    ///
    /// Whoever reads the record later must see why work was refused or opened again.
    ReasonMissing,
    /// a value that the task does not ask for
    ///
    /// Each task lists what is written down for it, by name. A value under another name would be in nobody's way and in nobody's check.
    /// What is worked out from other values is not given at all.
    BadEvidence,
    /// something that is not written down
    ///
    /// A task is signed off against what was measured. All that it asks for is written down first, with the work, with a measurement or
    /// with the check.
    EvidenceMissing,
    /// a value outside its limits signed as checked
    ///
    /// The value may be written down, but the work is not right with it, so it cannot be signed off. Put it right and measure again.
    OutsideLimits,
    /// a torque without its wrench
    ///
    /// A torque is as good as the wrench that it was read on. With the wrench's number it can be found later which bolts were tightened
    /// with one that was out of calibration.
    WrenchMissing,
    /// a retorque without the odometer
    ///
    /// What is due at a distance is signed with the odometer, so that anybody can see that it was done in time.
    OdometerMissing,
    /// an odometer below one that was written down before
    ///
    /// An odometer does not run back, so one of the two readings is wrong. A wrong earlier one is put right by a supervisor who opens its
    /// task again; the reading itself stays visible.
    OdometerRunsBack,
    /// a time that cannot be that of the work
    ///
    /// A late entry gives the time at which the work was done, with its offset from UTC, and that time is past. The true time of the
    /// entry is kept beside it.
    BadTime,
    /// a number that can be read in two ways
    ///
    /// What was typed means one thing to one reader and another to the next: `1/4` of a tank is a quarter and 0.25 %, `88.120` km is
    /// eighty-eight thousand where a point parts thousands, and eighty-eight elsewhere. Both readings are spelled out; write the one
    /// that is meant.
    TwoReadings,
    /// a retorque before its distance
    ///
    /// What a retorque looks for shows only after the distance has been driven, counted from the odometer at the hand-over; a tenth
    /// less is let pass. A supervisor who has a reason writes it down, and then it is signed.
    TooEarly,
    /// a job without a vehicle's identification
    ///
    /// A record is one vehicle's for as long as it is kept, so the job file says which: the number plate or the identification number,
    /// as `identification:` under `vehicle`.
    NoIdentification,
    /// a record that is bound to another vehicle
    ///
    /// The first line of a record says whose it is, and the job file beside it names another vehicle or another job. Usually a folder
    /// was copied, or a record stands beside the wrong job file. Where it is the same vehicle and only a slip of the pen was corrected,
    /// a supervisor says so with `--act identified`; that stands on the signed sheet and opens nothing.
    OtherVehicle,
    /// a record that two job files would share
    ///
    /// Which file is the record of a job goes by the name of the job file without its ending, and by the file that a link leads to. Two
    /// job files of one name would sign into one record, or a link has a record of its own besides. Give one of them another name.
    RecordShared,
    /// a record that somebody else holds
    ///
    /// Another program has the record open and locked, and has not let go of it for half a minute. It may be waiting for somebody to
    /// answer a question. End it, or wait, and sign again; nothing was written.
    RecordHeld,
    /// a record that is bound to no vehicle
    ///
    /// Records of the first program did not say whose they are. They verify as they were written; before anything more is signed, a
    /// supervisor takes the record over for the vehicle of the job file beside it with `--act adopted`, and says why that is right.
    /// Signatures stand for tasks of the same name.
    NotAdopted,
    /// a job file or rules that are otherwise than was signed for
    ///
    /// What the job file or the workshop's own rules say was signed on, so a change is signed for, too: who, what it was, what it is.
    /// What falls open by it is shown at once. A role or licence that changes counts only once somebody signs who was a supervisor
    /// before.
    JobChanged,
    /// work that was signed as taken apart, and a plan that does not put it back
    ///
    /// What was opened, taken off or parted stays in the plan until it is closed and checked. A reading, a class or a connection was
    /// changed since, so that the plan has none of that work any more. With `apart: yes` the connection is put together and checked
    /// whatever is measured on it. Where nothing was taken apart, a supervisor opens the signed task before the job file is changed.
    LeftApart,
    /// something that should be kept beside the record and is not
    ///
    /// The plan that was signed, the job file and photographs stand in a folder beside the record, each under its digest, and the
    /// record names them. One of them is not there, or is no longer what was kept. Fetch the folder from where the record came from.
    NotKept,
    /// a number of a sheet that is of another plan
    ///
    /// Task numbers count with the plan that printed them. Once the plan has changed, a number is taken only with the four characters
    /// of the sheet that it is read from. Print the sheet anew, or name tasks by their ids, which stay.
    OtherSheet,
    /// an act that cannot be taken back any more
    ///
    /// An act is taken back only by whoever signed it, and while nothing that was signed since rests on it. After that a value is put
    /// right with `--act corrected`, and a supervisor opens work again with `--act reopened`.
    BuiltOn,
    /// an act by which much falls open
    ///
    /// More than ten tasks would fall open and would have to be done and signed again. They are named, and nothing is written before
    /// somebody says that this is meant: with `--yes`, or when asked on a terminal.
    MuchFallsOpen,
    /// a table that cannot be read back
    ///
    /// The table is no comma-separated text with the columns that `liftsheet record JOB -o to-sign.csv` or `liftsheet survey JOB -o
    /// survey.csv` writes, or there is nothing in it. A table is taken whole or not at all.
    BadTable,
    /// a place that a job file does not have
    ///
    /// A value is written where it belongs by the id of its connection, mount or part and its own name: `filler-hose.overlap`,
    /// `mounts.C1L.grip`, `vehicle.body_mass`. `liftsheet survey` names the place of every value that is still missing.
    UnknownPlace,
    /// a value that could not be written into a job file
    ///
    /// After a value is written the whole file is read again; it must say what it said before, and the value. It did not, or somebody
    /// changed the file meanwhile, or the value makes a mistake of it. Nothing was written.
    NotFilled,
    /// a reading that is far from what another vehicle of the kind had there
    ///
    /// It differs by more than a quarter, by more than it may be off, and by more than 5 mm from what stands under `last_time` in the job file.
    /// Often two digits are swapped, or it is the reading of another place. It was written as it is: vehicles differ.
    FarFromLastTime,
    /// a reading that was taken before it was known what holds the connection
    ///
    /// Slack, and what else is read between two fixings, is asked for of each stretch that the lift pulls apart. Now that clips or guides are
    /// known, that is another stretch than the one that was read. The reading stands as it was until it is taken again.
    ReadElsewhere,
    /// a file that is no photograph
    ///
    /// A photograph is kept as JPEG or PNG, of at most 32 MiB. Cameras and telephones write the first; other kinds are saved as one of
    /// the two.
    BadPhoto,
    /// two people who look alike
    ///
    /// Who did a task and who checked it must be two people, also for somebody who reads the record on paper. Two names that are the
    /// same, or ids that differ only in capitals or in letters that look alike, cannot be told apart. Give one of them an initial or
    /// another id, or leave the second entry of one person out.
    PeopleAlike,
    /// an act of somebody who has a PIN, without it
    ///
    /// Once a person has a PIN, a name alone is not believed any more. On a terminal the PIN is asked for; a script gives it on standard
    /// input with `--pin-stdin`.
    PinNeeded,
    /// a PIN that is not that person's
    ///
    /// The attempt stands in the record of the workshop's people. The first three cost nothing, each after them takes a longer wait at
    /// that device. A forgotten PIN is reset by a second person: `liftsheet pin FOLDER PERSON --by …`.
    WrongPin,
    /// a PIN that is given too soon after wrong ones
    ///
    /// After three wrong PINs the next attempt at that device waits ten seconds, and each after it twice as long, up to a quarter of an
    /// hour. At another device, and at the machine itself, the same person waits for nothing.
    PinWait,
    /// a passphrase that is easily guessed
    ///
    /// A passphrase has at least eight characters and is none of the common ones, no row of keys, and not the person's own name. Without
    /// `--passphrase` the program draws six digits.
    WeakPin,
    /// a PIN that cannot be looked at
    ///
    /// What PINs are compared with stands in two places: in the folder, and in a secret of this machine outside it. One of them is not
    /// there or is another. Copy the folder that `LIFTSHEET_HOME` names, or `people.pins.json`, from where it was kept; or a second
    /// person resets the PIN; or a supervisor begins anew with `liftsheet people FOLDER --new-secret`.
    PinLost,
    /// a list of people that was changed by hand
    ///
    /// Who may do what is in the record of the workshop's people; `people.yaml` shows it, and what is changed there gives nobody a role.
    /// Roles and licences are changed with `liftsheet people`, by a supervisor.
    PeopleChanged,
    /// a record that has lost lines since this machine saw it
    ///
    /// Every line is as it was written, but there are fewer than there were, or others: usually an older copy was put back. What is
    /// missing was signed. Fetch the longer record from a copy; where it is gone, a supervisor says why with `--act adopted`, and goes on.
    RecordCutShort,
    /// a record that another machine signs
    ///
    /// Entries that are made with a PIN are signed by a key of the machine. This record is signed by another key than this machine has for
    /// the workshop: it comes from elsewhere, or the key was lost. A supervisor takes it over with `--act adopted` and says why. What was
    /// signed before still verifies.
    OtherKey,
    /// what belongs outside the folder cannot be kept
    ///
    /// The secret for PINs, the key and how far each record was are kept in a folder of this user, or in the one that `LIFTSHEET_HOME`
    /// names. It cannot be read or written. Signing by name goes on; PINs cannot be set or looked at, and a record that loses lines is
    /// not noticed.
    KeysNotKept,
    /// the rest of the problems is not shown
    ///
    /// Reading stopped after many problems in one file. They often have one cause: mend the first ones and check again.
    TooManyProblems,
}

impl Code {
    /// Every kind, in the order of the enum.
    pub fn all() -> impl Iterator<Item = Self> {
        Self::iter()
    }

    /// The stable name, in kebab case.
    pub fn as_str(self) -> &'static str {
        self.into()
    }

    /// What the kind is, in one line.
    pub fn description(self) -> &'static str {
        self.written().next().unwrap_or_default()
    }

    /// Why it is a problem and what to do, in a few sentences.
    pub fn explanation(self) -> String {
        self.written().skip(2).collect::<Vec<_>>().join(" ")
    }

    /// The lines that are written over the kind in the enum.
    fn written(self) -> std::str::Lines<'static> {
        self.get_documentation().unwrap_or_default().lines()
    }
}

impl FromStr for Code {
    /// The way out, as one sentence.
    type Err = String;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Self::all()
            .find(|code| code.as_str() == text)
            .ok_or_else(|| unknown_help(text, Self::all().map(Self::as_str)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_name_is_in_kebab_case_and_is_read_back() {
        assert_eq!(Code::NotUtf8.as_str(), "not-utf8");
        assert_eq!(Code::LongerThanADay.to_string(), "longer-than-a-day");
        for code in Code::all() {
            assert_eq!(code.as_str().parse(), Ok(code));
        }
    }

    #[test]
    fn texts_keep_to_their_form() {
        for code in Code::all() {
            let (line, text) = (code.description(), code.explanation());
            assert!(!line.ends_with('.') && line.len() < 80, "{code}");
            assert!(text.ends_with('.') && text.len() > line.len(), "{code}");
        }
    }
}
