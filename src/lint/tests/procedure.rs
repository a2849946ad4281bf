//! Neighbours of the sound procedure, each with one thing wrong.

use super::expect;
use crate::report::Code::{
    BadExpression, BadLevel, Cycle, DuplicateTask, MissingSource, StageNotClosed,
    TaskNeverTriggered, UnknownName, UnknownState, UnknownTask, UnusedName, WrongOrder,
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
    // A task of the vehicle belongs to no body's side.
    expect(
        &[(
            "strip",
            "{{ passes | number }}",
            "{{ passes | number }} {{ side }}",
        )],
        &[(UnknownName, "tasks[0].task.title")],
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
fn what_is_made_needed_or_waited_for_is_there() {
    expect(
        &[("strip", "task: bleed", "task: bled")],
        &[(UnknownTask, "tasks[3].task.after[0].task")],
    );
    let said = expect(
        &[("strip", "while: {seats: out}", "while: {seat: out}")],
        &[
            (UnknownState, "tasks[1].task.while.seat"),
            (TaskNeverTriggered, "tasks[0].id"),
        ],
    );
    assert!(said.contains("did you mean `seats`?"), "{said}");
    let said = expect(
        &[("strip", "while: {seats: out}", "while: {seats: outside}")],
        &[
            (UnknownState, "tasks[1].task.while.seats"),
            (TaskNeverTriggered, "tasks[0].id"),
        ],
    );
    assert!(said.contains("has no step `outside`"), "{said}");
    expect(
        &[("strip", "id: drain", "id: bleed")],
        &[(DuplicateTask, "tasks[3].id"), (Cycle, "tasks[3].task")],
    );
}

#[test]
fn a_task_that_is_not_always_done_is_needed_by_something() {
    expect(
        &[("trial-lever", ", lines: bled", "")],
        &[(TaskNeverTriggered, "tasks[2].id")],
    );
    expect(
        &[
            ("trial-lever", ", lines: bled", ""),
            (
                "strip",
                "  - id: bleed\n",
                "  - id: bleed\n    always: true\n",
            ),
        ],
        &[],
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
        &[("strip", "task: bleed", "task: refitted")],
        &[(WrongOrder, "tasks[3].task")],
    );
    // A side is raised after what is done for the whole body, and not before it.
    expect(
        &[(
            "raise",
            "      hold: supervisor\n",
            "      hold: supervisor\n      after: [{task: lift, because: it is wrong}]\n",
        )],
        &[(WrongOrder, "tasks[1].task")],
    );
    // What a later stage makes is not there yet.
    expect(
        &[(
            "raise",
            "      title: Look round\n",
            "      title: Look round\n      makes: {seats: out}\n",
        )],
        &[
            (StageNotClosed, "tasks[1].id"),
            (WrongOrder, "tasks[1].task"),
        ],
    );
}

#[test]
fn a_circle_is_told_whole() {
    let said = expect(
        &[(
            "strip",
            "      title: Bleed it\n",
            "      title: Bleed it\n      after: [{task: drain, because: it drips}]\n",
        )],
        &[(Cycle, "tasks[2].task")],
    );
    assert!(
        said.contains("`bleed` → `drain` (listed in `after`) → `bleed` (listed in `after`)"),
        "{said}"
    );
    let said = expect(
        &[(
            "strip",
            "      makes: {seats: out}\n",
            "      makes: {seats: out}\n      while: {console: taken off}\n",
        )],
        &[(Cycle, "tasks[0].task")],
    );
    assert!(said.contains("only goes forward"), "{said}");
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
