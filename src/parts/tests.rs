//! Lines of parts: what is the same is summed once, what is shared is not, what differs in size stays apart.

use super::*;
use crate::rules::Stage;

fn part(what: &str, kind: PartKind, count: u32, length: Option<f64>) -> BenchPart {
    BenchPart {
        what: Text::plain(what),
        count,
        counted: "piece",
        kind,
        sizes: length
            .map(|length| (Size::Length, Sized::Mm(length)))
            .into_iter()
            .collect(),
        shared: false,
    }
}

fn task(id: &str, link: &str, parts: Vec<BenchPart>) -> Task {
    Task {
        id: id.to_owned(),
        slot: 1,
        stage: Stage::Correct,
        title: Text::plain(id),
        links: vec![link.to_owned()],
        parts,
        people: 1,
        number: 1,
        ..Task::default()
    }
}

fn block() -> Block {
    Block {
        material: Some("aluminium".to_owned()),
        outer: Some(70.0),
        inner: Some(14.0),
        bearing_limit: None,
    }
}

#[test]
fn only_the_job_s_own_blocks_have_its_material() {
    let sized = |outer: f64| BenchPart {
        sizes: BTreeMap::from([
            (Size::Outer, Sized::Mm(outer)),
            (Size::Inner, Sized::Mm(14.0)),
        ]),
        ..part("block", PartKind::Spacer, 1, None)
    };
    assert_eq!(material(&sized(70.0), &block()), Some("aluminium"));
    assert_eq!(material(&sized(60.0), &block()), None);
}

#[test]
fn the_same_part_is_one_line_with_every_task_that_uses_it() {
    let hose = |count, length| part("heater hose", PartKind::Hose, count, Some(length));
    let tasks = [
        task("a", "x", vec![hose(1, 150.0)]),
        task("b", "y", vec![hose(2, 150.0), hose(1, 90.0)]),
    ];
    let block = block();
    let lines = lines(&tasks, &block);
    let told: Vec<(u32, Option<f64>, Vec<&str>)> = lines
        .iter()
        .map(|line| (line.count, line.to_cut(), line.links()))
        .collect();
    // The shorter length first.
    assert_eq!(
        told,
        [(1, Some(90.0), vec!["y"]), (3, Some(450.0), vec!["x", "y"])]
    );
}

#[test]
fn one_tin_serves_every_task_that_shares_it() {
    let tin = BenchPart {
        shared: true,
        ..part("sealant", PartKind::Consumable, 1, None)
    };
    let tasks = [task("a", "x", vec![tin.clone()]), task("b", "y", vec![tin])];
    let block = block();
    let lines = lines(&tasks, &block);
    assert_eq!(lines.len(), 1);
    let line = lines.first().unwrap();
    assert_eq!((line.count, line.tasks.len()), (1, 2));
}

#[test]
fn kinds_stand_in_the_order_of_the_bench() {
    let tasks = [task(
        "a",
        "x",
        vec![
            part("sealant", PartKind::Consumable, 1, None),
            part("bolt", PartKind::Bolt, 1, Some(110.0)),
            part("bolt", PartKind::Bolt, 1, Some(90.0)),
            part("block", PartKind::Spacer, 1, None),
        ],
    )];
    let kinds: Vec<&str> = lines(&tasks, &block())
        .iter()
        .map(|line| line.part.kind.word())
        .collect();
    assert_eq!(kinds, ["spacer", "bolt", "bolt", "consumable"]);
}

#[test]
fn a_bolt_is_not_cut_by_the_metre() {
    let tasks = [task(
        "a",
        "x",
        vec![part("bolt", PartKind::Bolt, 2, Some(110.0))],
    )];
    assert_eq!(lines(&tasks, &block()).first().unwrap().to_cut(), None);
}
