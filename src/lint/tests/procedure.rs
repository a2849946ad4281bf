//! Neighbours of the sound procedure, each with one thing wrong.

use super::{expect, linted};
use crate::report::Code::{
    BadExpression, BadLevel, Cycle, DuplicateTask, MissingSource, StageNotClosed,
    TaskNeverTriggered, TwoGivers, UnknownAccess, UnknownName, UnknownTask, UnusedName, WrongOrder,
};

#[test]
fn names_of_the_procedure_are_those_of_its_occasion() {
    expect(
        &[("strip", "vehicle.diesel", "vehicle.deisel")],
        &[(UnknownName, "tasks[3].when")],
    );
    expect(
        &[("strip", "crosses.trial_lever", "crosses.trial-lever")],
        &[
            (UnknownName, "tasks[3].when"),
            (UnknownName, "tasks[3].when"),
        ],
    );
    expect(
        &[("raise", "bolts of {{ group }}", "bolts of {{ side }}")],
        &[(UnknownName, "tasks[0].task.title")],
    );
    // A refit belongs to no body.
    expect(
        &[(
            "strip",
            "{{ passes | number }}",
            "{{ passes | number }} {{ spacer | mm }}",
        )],
        &[(UnknownName, "tasks[0].refit.task.title")],
    );
    expect(
        &[(
            "strip",
            "title: Drain it",
            "title: \"Drain it, {{ vehicle.track | mm }}\"",
        )],
        &[(BadExpression, "tasks[3].task.title")],
    );
}

#[test]
fn what_is_called_needed_or_waited_for_is_there() {
    let problems = linted(&[("trial-lever", "calls: [bleed]", "calls: [bled]")]);
    let first = problems.first().unwrap();
    assert_eq!(
        (first.code, first.help.as_deref().unwrap()),
        (UnknownTask, "did you mean `bleed`?")
    );
    expect(
        &[("strip", "after: [bleed]", "after: [bled]")],
        &[(UnknownTask, "tasks[3].task.after[0]")],
    );
    let said = expect(
        &[("strip", "needs: [seats out]", "needs: [seat out]")],
        &[
            (UnknownAccess, "tasks[1].task.needs[0]"),
            (TaskNeverTriggered, "tasks[0].id"),
        ],
    );
    assert!(said.contains("did you mean `seats out`?"), "{said}");
    expect(
        &[(
            "strip",
            "gives: [console off]",
            "gives: [console off, seats out]",
        )],
        &[(TwoGivers, "tasks[1].task.gives[1]")],
    );
    expect(
        &[("strip", "id: drain", "id: bleed")],
        &[(DuplicateTask, "tasks[3].id"), (Cycle, "tasks[2].id")],
    );
}

#[test]
fn a_task_on_call_has_somebody_who_calls_it() {
    expect(
        &[("trial-lever", "          calls: [bleed]\n", "")],
        &[(TaskNeverTriggered, "tasks[2].id")],
    );
}

#[test]
fn each_level_is_closed_once_and_opened_at_most_once() {
    expect(
        &[("strip", "    closes: true\n", "")],
        &[(StageNotClosed, "tasks[0]")],
    );
    expect(
        &[(
            "strip",
            "  - id: drain\n",
            "  - id: drain\n    closes: true\n",
        )],
        &[(StageNotClosed, "tasks[4].closes")],
    );
    expect(
        &[(
            "strip",
            "    closes: true\n",
            "    closes: true\n    when: vehicle.petrol\n",
        )],
        &[(StageNotClosed, "tasks[4].when")],
    );
    expect(
        &[(
            "raise",
            "    per: group\n    closes: true\n",
            "    per: group\n    opens: true\n    closes: true\n",
        )],
        &[(BadLevel, "tasks[1].opens")],
    );
    expect(
        &[(
            "raise",
            "    per: side\n    closes: true\n",
            "    per: side\n",
        )],
        &[(StageNotClosed, "tasks[2]")],
    );
}

#[test]
fn bodies_are_raised_one_by_one_and_nothing_else_is_done_so() {
    expect(
        &[(
            "strip",
            "  - id: drain\n",
            "  - id: drain\n    per: group\n",
        )],
        &[(BadLevel, "tasks[3].per"), (StageNotClosed, "tasks[3]")],
    );
    expect(
        &[("raise", "per: group\n    opens", "per: vehicle\n    opens")],
        &[(BadLevel, "tasks[0].per"), (StageNotClosed, "tasks[0]")],
    );
    expect(
        &[
            (
                "raise",
                "  - id: lift\n    per: side",
                "  - id: lift\n    per: group",
            ),
            ("raise", "{{ side }}", ""),
        ],
        &[(BadLevel, "tasks[2].task.evidence[0].per")][..0]
            .iter()
            .copied()
            .chain([(StageNotClosed, "tasks[2].closes")])
            .collect::<Vec<_>>(),
    );
    expect(
        &[("raise", "stage: raise", "stage: space")],
        &[(BadLevel, "tasks[0].per"), (BadLevel, "tasks[1].per")],
    );
}

#[test]
fn nothing_waits_for_a_later_stage() {
    expect(
        &[("strip", "after: [bleed]", "after: [refitted]")],
        &[(WrongOrder, "tasks[3].task.after")],
    );
    // A side is raised after what is done for the whole body, and not before it.
    expect(
        &[(
            "raise",
            "      hold: supervisor\n",
            "      hold: supervisor\n      after: [lift]\n",
        )],
        &[(WrongOrder, "tasks[1].task.after")],
    );
}

#[test]
fn a_circle_is_told_whole() {
    let said = expect(
        &[(
            "strip",
            "      title: Bleed it\n",
            "      title: Bleed it\n      after: [drain]\n",
        )],
        &[(Cycle, "tasks[2].id")],
    );
    assert!(
        said.contains("`bleed` → `drain` (listed in `after`) → `bleed` (listed in `after`)"),
        "{said}"
    );
    let said = expect(
        &[(
            "strip",
            "      gives: [seats out]\n",
            "      gives: [seats out]\n      needs: [console off]\n",
        )],
        &[(Cycle, "tasks[1].id")],
    );
    assert!(said.contains("(access is made first)"), "{said}");
}

#[test]
fn procedure_files_and_settings_name_their_sources_and_are_read() {
    expect(
        &[(
            "strip",
            "source:\n  - {document: common practice, status: common practice}",
            "source: []",
        )],
        &[(MissingSource, "source")],
    );
    expect(
        &[(
            "settings",
            "source: {document: common practice,",
            "source: {document: \"\",",
        )],
        &[(MissingSource, "settings.tilt_limit.source")],
    );
    expect(
        &[("strip", "{{ passes | number }} passes", "passes")],
        &[(UnusedName, "settings.passes")],
    );
}
