//! Neighbours of the sound class, each with one thing wrong.

use super::{expect, linted};
use crate::report::Code;
use crate::report::Code::{
    BadExpression, BadLevel, BadRule, BadSource, BadTask, BadVerdicts, DuplicateTask,
    HeightNotCovered, MissingInput, MissingSource, UnknownChoice, UnknownInput, UnknownName,
    UnknownState, UnusedName, VerdictUnreachable, WrongInput,
};

/// One change of the class, and what must be said of it.
#[track_caller]
fn change(from: &str, to: &str, wanted: &[(Code, &str)]) -> String {
    expect(&[("trial-lever", from, to)], wanted)
}

const FIRST: &str = "checks[0].verdicts[0]";
const WORK: &str = "checks[0].verdicts[1]";

#[test]
fn misspelt_names_are_told_with_the_nearest() {
    let when = format!("{FIRST}.when");
    let said = change(
        "when: room.gap_after",
        "when: room.gap_aftr",
        &[(UnknownName, &when)],
    );
    assert!(said.contains("did you mean `room.gap_after`?"), "{said}");
    let said = change(
        "when: play >",
        "when: plai >",
        &[(UnknownName, "checks[1].verdicts[0].when")],
    );
    assert!(said.contains("did you mean `play`?"), "{said}");
    change(
        "{{ thread }}",
        "{{ thred }}",
        &[
            (UnknownName, "checks[0].verdicts[0].because"),
            (UnusedName, "measurements.thread"),
        ],
    );
    let said = change(
        "least: least_gap,",
        "least: least_gp,",
        &[
            (UnknownName, "checks[0].verdicts[1].check.evidence[0].least"),
            (UnknownName, "checks[0].verdicts[2].check.evidence[0].least"),
        ],
    );
    assert!(said.contains("did you mean `least_gap`?"), "{said}");
}

#[test]
fn names_are_read_only_where_they_stand_for_something() {
    let when = format!("{FIRST}.when");
    let said = change("or not at_end", "or way", &[(UnknownName, &when)]);
    assert!(said.contains("such as `way.opens`"), "{said}");
    let said = change(
        "or not at_end",
        "or thread == 'M10'",
        &[(UnknownName, &when)],
    );
    assert!(said.contains("is a designation"), "{said}");
    let said = change(
        "or not at_end",
        "or swing.shortfall > 0",
        &[(UnknownName, &when)],
    );
    assert!(said.contains("below its calculation only"), "{said}");
    change(
        "it is loose",
        "\"{{ key }} is loose\"",
        &[(UnknownName, "checks[0].verdicts[1].because")],
    );
    change(
        "it is loose",
        "\"{{ way.opens }}\"",
        &[(UnknownName, "checks[0].verdicts[1].because")],
    );
    change(
        "for: swings",
        "for: loose",
        &[
            (UnknownName, "checks[1].for"),
            (UnknownName, "checks[1].with.gap"),
            (UnknownName, "checks[1].verdicts[0].when"),
            (UnknownName, "checks[1].verdicts[0].because"),
            (UnknownName, "checks[1].verdicts[0].because"),
            (UnknownName, "checks[1].verdicts[1].because"),
            (UnusedName, "measurements.swings"),
        ],
    );
    change(
        "      play:\n",
        "      gap:\n",
        &[
            (BadRule, "measurements.swings.fields.gap"),
            (UnknownName, "checks[1].with.gap"),
            (UnknownName, "checks[1].verdicts[0].when"),
            (UnknownName, "checks[1].verdicts[0].because"),
        ],
    );
}

#[test]
fn expressions_and_texts_give_what_their_place_needs() {
    let when = format!("{FIRST}.when");
    let said = change(
        "room.gap_after >= least_gap or not at_end",
        "room.gap_after - least_gap",
        &[(BadExpression, &when)],
    );
    assert!(said.contains("not yes or no"), "{said}");
    let said = change(
        "{{ thread }} stays",
        "{{ thread | shout }} stays",
        &[(BadExpression, "checks[0].verdicts[0].because")],
    );
    assert!(said.contains("shout"), "{said}");
    change(
        "{{ play | mm }}",
        "{{ key | mm }}",
        &[(BadExpression, "checks[1].verdicts[0].because")],
    );
    change(
        "{% endif %}",
        "",
        &[
            (BadExpression, "checks[0].verdicts[1].task.steps[0]"),
            (BadExpression, "checks[0].verdicts[2].task.steps[0]"),
            (UnusedName, "measurements.shim"),
        ],
    );
    change(
        "most: gap + lift.spacer",
        "most: way",
        &[(
            BadExpression,
            "checks[0].verdicts[1].check.evidence[0].most",
        )],
    );
}

#[test]
fn what_may_not_be_given_stands_only_behind_a_test() {
    let because = format!("{WORK}.because");
    let said = change(
        "it is loose",
        "\"{{ shim | mm }} of shim\"",
        &[(BadExpression, &because)],
    );
    assert!(said.contains("known."), "{said}");
    change(
        "when: loose",
        "when: shim > 5",
        &[
            (BadExpression, "checks[0].verdicts[1].when"),
            (UnusedName, "measurements.loose"),
        ],
    );
    // No expression asks for a fact of this name, so a job may leave it out.
    change(
        "it is loose",
        "\"{{ vehicle.track | mm }}\"",
        &[(BadExpression, &because)],
    );
    change(
        "      gap: gap\n",
        "      gap: shim\n",
        &[
            (
                BadExpression,
                "checks[0].verdicts[1].check.evidence[0].most",
            ),
            (MissingInput, "checks[0].with.gap"),
        ],
    );
}

#[test]
fn calculations_get_what_they_take() {
    let said = change(
        "      gap: gap\n",
        "      gab: gap\n",
        &[
            (MissingInput, "checks[0].calc"),
            (UnknownInput, "checks[0].with.gab"),
        ],
    );
    assert!(said.contains("gap between the parts now"), "{said}");
    let said = change(
        "direction: way",
        "direction: \"'shuts'\"",
        &[(WrongInput, "checks[0].with.direction")],
    );
    assert!(said.contains("the word `shuts`"), "{said}");
    let said = change(
        "choices: [opens, closes]",
        "choices: [opens, closes, sticks]",
        &[(WrongInput, "checks[0].with.direction")],
    );
    assert!(said.contains("the word `sticks`"), "{said}");
    change(
        "      gap: gap\n",
        "      gap: loose\n",
        &[(WrongInput, "checks[0].with.gap")],
    );
    let said = change(
        "label: gap now\n    how: Measure it.\n    unit: mm",
        "label: gap now\n    how: Measure it.\n    unit: deg",
        &[(WrongInput, "checks[0].with.gap")],
    );
    assert!(said.contains("`gap` is in deg"), "{said}");
    change(
        "    calc: gap\n    applies: at_end\n",
        "    applies: at_end\n",
        &[
            (UnknownName, "checks[1].verdicts[0].when"),
            (UnknownInput, "checks[1].with.direction"),
        ],
    );
}

#[test]
fn verdict_lists_are_whole() {
    change(
        "      - verdict: fabricate\n",
        "      - when: way.opens\n        verdict: fabricate\n",
        &[(BadVerdicts, "checks[0].verdicts[2].when")],
    );
    change(
        "      - when: loose\n        verdict: refer",
        "      - verdict: refer",
        &[(BadVerdicts, WORK), (UnusedName, "measurements.loose")],
    );
    change(
        "because: it is loose",
        "because: \" \"",
        &[(BadVerdicts, "checks[0].verdicts[1].because")],
    );
    change(
        "        also:\n",
        "        trade: fuel\n        also:\n",
        &[],
    );
    change(
        "        task: *work\n",
        "",
        &[(BadVerdicts, "checks[0].verdicts[2].verdict")],
    );
    change(
        "        check: *look\n",
        "",
        &[(BadVerdicts, "checks[0].verdicts[2].verdict")],
    );
    change(
        "        check: *look\n",
        "        check: {title: Look, minutes: [1, 1, 1]}\n",
        &[(BadVerdicts, "checks[0].verdicts[2].check")],
    );
    change(
        "verdict: stop",
        "verdict: stop\n        task: *work",
        &[
            (UnknownName, "checks[1].verdicts[1].task.steps[0]"),
            (BadVerdicts, "checks[1].verdicts[1].task"),
        ][1..],
    );
    change(
        "id: paint",
        "id: check",
        &[(DuplicateTask, "checks[0].verdicts[2].also[0].id")],
    );
    change(
        "trade: engineer",
        "trade: plumber",
        &[(UnknownChoice, "checks[0].verdicts[1].trade")],
    );
}

/// What is put into a task, the code that answers it, and at which of its fields; nothing answers what is sound.
const TASKS: &[(&str, Option<(Code, &str)>)] = &[
    ("people: 2", None),
    ("people: 0", Some((BadTask, "people"))),
    ("area: cab", None),
    ("area: attic", Some((UnknownChoice, "area"))),
    ("hold: supervisor", None),
    ("hold: foreman", Some((UnknownChoice, "hold"))),
    ("raised: true", None),
    ("moment: idling", None),
    ("moment: tomorrow", Some((UnknownChoice, "moment"))),
    ("while: {seats: out}", None),
    ("while: {seat: out}", Some((UnknownState, "while.seat"))),
    ("makes: {seats: gone}", Some((UnknownState, "makes.seats"))),
    ("uses: [hoist]", None),
    ("uses: [crane]", Some((UnknownChoice, "uses[0]"))),
    ("trade: restraint", None),
    ("trade: plumber", Some((UnknownChoice, "trade"))),
    ("parts: [{what: oil, kind: fluid, in: litre}]", None),
    (
        "parts: [{what: oil, kind: fluid}]",
        Some((BadTask, "parts[0]")),
    ),
    (
        "parts: [{what: oil, kind: fluid, in: bucket}]",
        Some((UnknownChoice, "parts[0].in")),
    ),
    (
        "parts: [{what: hose, kind: hose, size: {length: \"2 * 30\"}}]",
        None,
    ),
    (
        "parts: [{what: hose, kind: hose, size: {girth: 3}}]",
        Some((UnknownChoice, "parts[0].size.girth")),
    ),
    (
        "parts: [{what: paint, kind: liquid}]",
        Some((UnknownChoice, "parts[0].kind")),
    ),
    (
        "parts: [{what: paint, kind: fluid, in: tin, count: 0}]",
        Some((BadTask, "parts[0].count")),
    ),
    ("due: {km: 100}", None),
    ("due: {every: each service}", None),
    ("due: {km: 0}", Some((BadTask, "due"))),
    ("due: {}", Some((BadTask, "due"))),
    ("due: {km: 5, every: each service}", Some((BadTask, "due"))),
];

/// The same of one thing that is written down.
const EVIDENCE: &[(&str, Option<(Code, &str)>)] = &[
    ("kind: text", None),
    ("kind: maybe", Some((UnknownChoice, "evidence[0].kind"))),
    ("kind: number, unit: mm, least: 3", None),
    ("kind: number", Some((BadTask, "evidence[0]"))),
    (
        "kind: number, unit: furlong",
        Some((UnknownChoice, "evidence[0].unit")),
    ),
    ("kind: text, unit: mm", Some((BadTask, "evidence[0].unit"))),
    ("kind: text, least: 3", Some((BadTask, "evidence[0].least"))),
    ("kind: text, most: 3", Some((BadTask, "evidence[0].most"))),
    (
        "kind: text, per: mount",
        Some((BadLevel, "evidence[0].per")),
    ),
];

/// Puts something into the task that is called `Paint it`.
#[track_caller]
fn paint(from: &str, to: &str, wanted: Option<(Code, &str)>) {
    let at =
        |(code, key): (Code, &str)| (code, format!("checks[0].verdicts[2].also[0].task.{key}"));
    let wanted = wanted.map(at);
    let wanted: Vec<(Code, &str)> = wanted
        .iter()
        .map(|(code, at)| (*code, at.as_str()))
        .collect();
    change(from, to, &wanted);
}

#[test]
fn tasks_can_be_done_and_signed() {
    let title = "title: Paint it,";
    for (put, wanted) in TASKS {
        paint(title, &format!("{title} {put},"), *wanted);
    }
    for (put, wanted) in EVIDENCE {
        let put = format!("{title} evidence: [{{name: a, ask: a, {put}}}],");
        paint(title, &put, *wanted);
    }
    paint(title, "title: \"\",", Some((BadTask, "title")));
    for wrong in ["[2, 1, 3]", "[-1, 1, 3]", "[1, 3, 2]"] {
        let from = format!("{title} minutes: [1, 1, 1]");
        paint(
            &from,
            &format!("{title} minutes: {wrong}"),
            Some((BadTask, "minutes")),
        );
    }
    let twice = [
        (BadTask, "checks[0].verdicts[1].check.evidence[1].name"),
        (BadTask, "checks[0].verdicts[2].check.evidence[1].name"),
    ];
    change("{name: free,", "{name: gap,", &twice);
}

#[test]
fn a_branch_that_nothing_leads_to_is_told() {
    // Within 0 to 200 mm, and falling with the height, nothing is left above 400 mm.
    let said = change(
        "when: loose",
        "when: loose and gap > 400",
        &[(VerdictUnreachable, WORK)],
    );
    assert!(said.contains("`loose and gap > 400`"), "{said}");
    // Everything short of the least gap is also short of twice that.
    change(
        "when: loose",
        "when: loose and room.gap_after > 2 * least_gap",
        &[(VerdictUnreachable, WORK)],
    );
    // A window of half a millimetre is found by narrowing the change round it down.
    change(
        "when: loose",
        "when: loose and room.gap_after > 2.2 and room.gap_after < 2.7",
        &[],
    );
}

#[test]
fn a_class_of_which_nothing_is_said_somewhere_is_told() {
    let only = |room: &str, swing: &str| {
        let first = format!("applies: {room}\n    calc: gap\n    with:\n      gap: gap");
        let changes = [
            (
                "trial-lever",
                "calc: gap\n    with:\n      gap: gap",
                first.as_str(),
            ),
            ("trial-lever", "applies: at_end", swing),
        ];
        let silent = linted(&changes).into_iter();
        let silent = silent.filter(|problem| problem.code == BadVerdicts);
        silent.map(|problem| problem.message).collect::<String>()
    };
    let said = only("rise > 1000", "applies: rise > 2000");
    assert!(said.contains("can ever apply"), "{said}");
    let said = only("rise > 30 and at_end", "applies: rise > 60 and at_end");
    assert!(said.contains("such as at a rise of 1 mm"), "{said}");
    // Between them these two cover every case, and what is still to be measured decides which.
    assert_eq!(only("known.shim", "applies: not known.shim"), "");
}

#[test]
fn heights_at_which_a_check_cannot_be_made_are_told() {
    // The calculation wants a least gap above 0, and from 90 mm of rise on there is none.
    let said = change(
        "      least_gap: least_gap\n      rise: rise\n    verdicts:\n      - when: room",
        "      least_gap: 90 - rise + 0 * least_gap\n      rise: rise\n    verdicts:\n      - when: room",
        &[(HeightNotCovered, "checks[0]")],
    );
    assert!(said.contains("from 90 to 150 mm"), "{said}");
}

#[test]
fn sources_are_named_and_agree_with_themselves() {
    let class = "source:\n  - {document: common practice, status: common practice}";
    change(class, "source: []", &[(MissingSource, "source")]);
    change(
        class,
        "source: [{document: \" \", status: read}]",
        &[(MissingSource, "source[0]")],
    );
    change(
        class,
        "source: [{document: A book, status: heard}]",
        &[(UnknownChoice, "source[0].status")],
    );
    change(
        class,
        "source: [{document: common practice, status: read}]",
        &[(BadSource, "source[0].status")],
    );
    change(
        class,
        "source: [{document: A book, status: common practice}]",
        &[(BadSource, "source[0].status")],
    );
    change(
        class,
        "source: [{document: A book, status: from memory}]",
        &[],
    );
    change(
        "source: {document: common practice, status: from memory}",
        "source: {document: \"\", status: from memory}",
        &[(MissingSource, "settings.least_gap.source")],
    );
}

#[test]
fn what_nobody_reads_is_told() {
    change(
        "; {{ thread }} stays",
        "",
        &[(UnusedName, "measurements.thread")],
    );
    change(
        "settings:\n",
        "settings:\n  spare:\n    label: spare\n    unit: mm\n    value: 1\n    source: {document: common practice, status: common practice}\n",
        &[(UnusedName, "settings.spare")],
    );
    change(
        "when: play > swing.shortfall",
        "when: play > 10",
        &[(UnusedName, "checks[1].id")],
    );
}
