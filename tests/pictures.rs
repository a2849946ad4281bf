//! Every picture of every page, and of the place of every connection, of every demo, whole job and pattern: no word on a word, none crossed by a line, none out of the frame.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use liftsheet::crew;
use liftsheet::document::{self, Look, Picture};
use liftsheet::heights::{self, AskedHeights};
use liftsheet::job;
use liftsheet::picture::layout;
use liftsheet::picture::vehicle::whereabouts;
use liftsheet::pipeline;
use liftsheet::quantity::Units;
use liftsheet::report::Report;
use liftsheet::rules::{self, Files, Rules, Wanted};
use liftsheet::source::Source;
use liftsheet::study;
use svg::node::element::tag::Type;
use svg::parser::Event;

use crate::support::run::{Bench, case};

/// The size of letters in pictures.
const LETTERS: f64 = 12.5;
/// Rounding of what is written.
const NEAR: f64 = 0.02;

type At = (f64, f64);
/// Left, top, right, bottom.
type Area = [f64; 4];

/// What is drawn, in its order.
enum Drawn {
    /// Straight lines, and the outline that is filled with something that words cannot be read on.
    Lines(Vec<(At, At)>, Option<Vec<At>>),
    /// A white rectangle: what is under it cannot be seen.
    Plate(Area),
    Words(String, Area),
}

fn points(text: &str) -> Vec<At> {
    let pairs = text.split_whitespace();
    let pair = |pair: &str| {
        let (x, y) = pair.split_once(',').unwrap();
        (x.parse().unwrap(), y.parse().unwrap())
    };
    pairs.map(pair).collect()
}

/// The box of words, by one width for each kind of letter, which no typeface of the pages exceeds.
fn around(at: At, words: &str, anchor: &str, bold: bool) -> Area {
    let wide = if bold {
        layout::bold_width(words)
    } else {
        layout::width(words)
    };
    let left = match anchor {
        "start" => at.0,
        "middle" => at.0 - wide / 2.0,
        _ => at.0 - wide,
    };
    [
        left,
        at.1 - LETTERS * 0.8,
        left + wide,
        at.1 + LETTERS * 0.25,
    ]
}

/// The frame of a picture and what is in it.
fn read(svg: &str) -> (Area, Vec<Drawn>) {
    let (mut frame, mut drawn, mut open) = ([0.0; 4], Vec::new(), None);
    for event in svg::read(svg).unwrap() {
        let (tag, attributes) = match event {
            Event::Error(error) => panic!("{error}"),
            Event::Tag("text", Type::End, _) => {
                let (at, anchor, bold, words): (At, String, bool, String) = open.take().unwrap();
                drawn.push(Drawn::Words(
                    words.clone(),
                    around(at, &words, &anchor, bold),
                ));
                continue;
            }
            Event::Text(text) => {
                if let Some((.., words)) = &mut open {
                    words.push_str(
                        &text
                            .replace("&lt;", "<")
                            .replace("&gt;", ">")
                            .replace("&amp;", "&"),
                    );
                }
                continue;
            }
            Event::Tag(tag, Type::Start | Type::Empty, attributes) => (tag, attributes),
            _ => continue,
        };
        let get = |name: &str| attributes.get(name).map_or("", |value| &**value);
        let number = |name: &str| get(name).parse::<f64>().unwrap();
        match tag {
            "svg" => {
                let sides: Vec<f64> = get("viewBox")
                    .split(' ')
                    .map(|side| side.parse().unwrap())
                    .collect();
                frame = [sides[0], sides[1], sides[0] + sides[2], sides[1] + sides[3]];
                assert_eq!(number("font-size"), LETTERS);
                assert_eq!((number("width"), number("height")), (sides[2], sides[3]));
                assert!(sides[2] <= 690.0, "wider than the paper");
            }
            "text" => {
                assert_eq!(get("font-size"), "", "words of a size of their own");
                let at = (number("x"), number("y"));
                open = Some((
                    at,
                    get("text-anchor").to_owned(),
                    !get("font-weight").is_empty(),
                    String::new(),
                ));
            }
            "polyline" | "polygon" | "circle" => drawn.extend(shape(tag, &get)),
            _ => {}
        }
    }
    (frame, drawn)
}

/// A line or shape: a white rectangle, and what is seen of its outline.
fn shape<'a>(tag: &str, get: &dyn Fn(&str) -> &'a str) -> Vec<Drawn> {
    let number = |name: &str| get(name).parse::<f64>().unwrap();
    let mut corners = if tag == "circle" {
        let (x, y, radius) = (number("cx"), number("cy"), number("r"));
        let turns = (0..72).map(|step| (f64::from(step) * 5.0).to_radians());
        turns
            .map(|angle| (x + radius * angle.cos(), y + radius * angle.sin()))
            .collect()
    } else {
        points(get("points"))
    };
    let dark = get("fill").starts_with("url") || get("fill") == "#000";
    let filled = dark.then(|| corners.clone());
    let mut drawn = Vec::new();
    let (xs, ys): (Vec<f64>, Vec<f64>) = corners.iter().copied().unzip();
    let least = |of: &[f64]| of.iter().copied().fold(f64::MAX, f64::min);
    let most = |of: &[f64]| of.iter().copied().fold(f64::MIN, f64::max);
    let area = [least(&xs), least(&ys), most(&xs), most(&ys)];
    let corner = |(x, y): &At| (*x == area[0] || *x == area[2]) && (*y == area[1] || *y == area[3]);
    if tag == "polygon" && get("fill") == "#fff" && corners.iter().all(corner) {
        drawn.push(Drawn::Plate(area));
    }
    if tag != "polyline" {
        corners.push(corners[0]);
    }
    if dark || !get("stroke").is_empty() {
        let lines = corners.windows(2).map(|pair| (pair[0], pair[1]));
        drawn.push(Drawn::Lines(lines.collect(), filled));
    }
    drawn
}

/// Whether a line runs through a box: cut off at each side in turn (the clipping of Liang and Barsky, from memory).
fn crosses((from, to): (At, At), area: Area) -> bool {
    let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
    let (x, y) = (to.0 - from.0, to.1 - from.1);
    for (way, room) in [
        (-x, from.0 - area[0] - NEAR),
        (x, area[2] - from.0 - NEAR),
        (-y, from.1 - area[1] - NEAR),
        (y, area[3] - from.1 - NEAR),
    ] {
        if way == 0.0 {
            if room <= 0.0 {
                return false;
            }
        } else if way < 0.0 {
            enters = enters.max(room / way);
        } else {
            leaves = leaves.min(room / way);
        }
    }
    enters < leaves
}

/// Whether a place lies in an outline: a ray from it leaves once more often than it enters.
fn within((x, y): At, outline: &[At]) -> bool {
    let mut inside = false;
    for (index, (ax, ay)) in outline.iter().enumerate() {
        let (bx, by) = outline[(index + 1) % outline.len()];
        if (*ay > y) != (by > y) && x < (bx - ax) * (y - ay) / (by - ay) + ax {
            inside = !inside;
        }
    }
    inside
}

/// Everything that keeps a word from being read.
fn faults(svg: &str) -> Vec<String> {
    let (frame, drawn) = read(svg);
    let mut faults = Vec::new();
    let mut before: Vec<(&str, Area)> = Vec::new();
    for (turn, one) in drawn.iter().enumerate() {
        let Drawn::Words(words, area) = one else {
            continue;
        };
        let holds = |outer: &Area| {
            outer[0] <= area[0] + NEAR
                && outer[1] <= area[1] + NEAR
                && outer[2] >= area[2] - NEAR
                && outer[3] >= area[3] - NEAR
        };
        if !holds(&frame) {
            faults.push(format!("`{words}` leaves the frame"));
        }
        for (other, b) in &before {
            let apart = area[2] <= b[0] || b[2] <= area[0] || area[3] <= b[1] || b[3] <= area[1];
            if !apart {
                faults.push(format!("`{words}` lies on `{other}`"));
            }
        }
        before.push((words, *area));
        let plate = drawn[..turn]
            .iter()
            .rposition(|under| matches!(under, Drawn::Plate(plate) if holds(plate)));
        for other in &drawn[plate.unwrap_or(0)..] {
            let Drawn::Lines(lines, filled) = other else {
                continue;
            };
            let middle = (
                f64::midpoint(area[0], area[2]),
                f64::midpoint(area[1], area[3]),
            );
            let hidden = filled
                .as_ref()
                .is_some_and(|outline| within(middle, outline));
            if hidden || lines.iter().any(|line| crosses(*line, *area)) {
                faults.push(format!("`{words}` is crossed: {lines:.0?}"));
                break;
            }
        }
    }
    faults
}

const PATTERNS: [&str; 5] = ["cab-chassis", "dual-cab", "extra-cab", "soft-top", "wagon"];

/// Every job there is: the demos, the whole jobs, and a blank one of each pattern.
fn bench() -> (Bench, Vec<String>) {
    let mut bench = Bench::new();
    let mut jobs = Vec::new();
    let demos = concat!(env!("CARGO_MANIFEST_DIR"), "/rules/demo");
    for folder in [Path::new(demos).to_owned(), case("jobs")] {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            if let Some(text) = path
                .extension()
                .is_some_and(|ending| ending == "yaml")
                .then(|| std::fs::read(&path).unwrap())
            {
                bench = bench.file(&name, text);
                jobs.push(name);
            }
        }
    }
    for pattern in PATTERNS {
        bench.run(["new", pattern, "--pattern", pattern]).done();
        jobs.push(format!("{pattern}.yaml"));
    }
    jobs.sort();
    (bench, jobs)
}

/// The pictures of every page of a job in both systems of units; what a page is drawn from is found once for both. Of a blank job only those
/// that are quickly made: its heights and hours are nearly nothing but what is still to be measured.
fn of_job(yaml: &str, blank: bool, rules: &Rules) -> Vec<(Units, Picture)> {
    let mut report = Report::new();
    let job = job::read(&Source::from_text("job.yaml", yaml), false, &mut report);
    let drawn = job.and_then(|job| {
        pipeline::run(&job, rules, &mut report, |made| {
            // Not every job has the tyre that another is compared with.
            let asked = [Some("31x10.5R15"), None]
                .into_iter()
                .find_map(|tyre| AskedHeights::read(["30mm", "60mm", "30mm"], tyre, &job).ok());
            let asked = asked.unwrap();
            let slow = (!blank).then(|| {
                let crew = crew::crew(&made, None, None);
                let crew =
                    crew.or_else(|_| crew::crew(&made, Some("fitter+fitter+apprentice"), None));
                let study = study::study(&made, 1, &BTreeSet::new());
                (heights::heights(&made, asked), crew.unwrap(), study)
            });
            let mut drawn = Vec::new();
            for units in [Units::Metric, Units::Inch] {
                let look = Look {
                    units,
                    ..Look::default()
                };
                let mut pages = vec![
                    document::sheet(&made, look),
                    document::reasons(&made, look),
                    document::brief(&made, look),
                    document::survey(&made, look),
                ];
                if let Some((heights, crew, study)) = &slow {
                    pages.push(document::heights(&made, heights, look));
                    pages.push(document::crew(&made, crew, look));
                    pages.push(document::study(&made, study, look));
                }
                let pictures = pages.into_iter().flat_map(|page| page.unwrap().pictures);
                let links = made.assessment.links.keys();
                let places = links.filter_map(|link| whereabouts(&made, link, units));
                let pictures: Vec<Picture> = pictures.chain(places).collect();
                drawn.extend(pictures.into_iter().map(|picture| (units, picture)));
            }
            drawn
        })
    });
    drawn.unwrap_or_else(|| panic!("{:?}", report.problems))
}

/// The faults of some jobs' pictures, and how many there are of each kind.
fn looked_at(
    jobs: &[(&String, String)],
    rules: &Rules,
) -> (Vec<String>, BTreeMap<&'static str, usize>) {
    let (mut faulty, mut kinds) = (Vec::new(), BTreeMap::new());
    for (job, yaml) in jobs {
        for (units, picture) in of_job(
            yaml,
            PATTERNS.contains(&job.trim_end_matches(".yaml")),
            rules,
        ) {
            let name = &picture.name;
            for kind in KINDS.into_iter().filter(|kind| name.contains(kind)) {
                *kinds.entry(kind).or_default() += 1;
            }
            let found = faults(&picture.svg()).into_iter();
            faulty.extend(found.map(|fault| format!("{job} {units:?} {name}: {fault}")));
        }
    }
    (faulty, kinds)
}

/// Every kind of picture, by what its name holds.
const KINDS: [&str; 14] = [
    "side-view",
    "whereabouts",
    "mounts",
    "tipped-",
    "cut-graph",
    "heights-",
    "day-",
    "whole-job",
    "-lever",
    "-shaft",
    "-speed",
    "-fan",
    "-spigot",
    "-bracket",
];

#[test]
fn no_word_of_any_picture_is_covered_crossed_or_cut_off() {
    let (bench, jobs) = bench();
    let files = Files::overlaid(BTreeMap::new(), true);
    let classes = files.class_ids();
    let wanted = Wanted {
        classes: classes.iter().map(String::as_str).collect(),
        regions: BTreeSet::from(["california", "queensland"]),
    };
    let rules = rules::load(&files, &wanted, &mut Report::new());
    let read = |job: &String| std::fs::read_to_string(bench.path().join(job)).unwrap();
    let jobs: Vec<(&String, String)> = jobs.iter().map(|job| (job, read(job))).collect();
    let looked_at = std::thread::scope(|scope| {
        let halves = jobs.chunks(jobs.len().div_ceil(2));
        let halves: Vec<_> = halves
            .map(|half| scope.spawn(|| looked_at(half, &rules)))
            .collect();
        let done = halves.into_iter().map(|half| half.join().unwrap());
        done.collect::<Vec<_>>()
    });
    let faulty: Vec<&str> = looked_at
        .iter()
        .flat_map(|(faulty, _)| faulty)
        .map(String::as_str)
        .collect();
    assert!(faulty.is_empty(), "{}", faulty.join("\n"));
    for kind in KINDS {
        let seen: usize = looked_at
            .iter()
            .filter_map(|(_, kinds)| kinds.get(kind))
            .sum();
        assert!(seen >= 2, "{kind}: {seen}");
    }
}

/// The check itself finds what it is for.
#[test]
fn a_word_that_is_covered_crossed_or_cut_off_is_found() {
    let bench = Bench::new();
    bench.run(["sheet", "-o", "demo/", "--format", "md"]).done();
    let svg = std::fs::read_to_string(bench.path().join("demo/demo.sheet.side-view.svg")).unwrap();
    assert_eq!(faults(&svg), Vec::<String>::new());
    let injected = |piece: &str| faults(&svg.replace("</svg>", &format!("{piece}</svg>")));
    let (frame, drawn) = read(&svg);
    let (word, area) = drawn
        .iter()
        .find_map(|drawn| match drawn {
            Drawn::Words(words, area) => Some((words, *area)),
            _ => None,
        })
        .unwrap();
    let text =
        |x: f64, y: f64| format!("<text x=\"{x}\" y=\"{y}\" text-anchor=\"start\">spare</text>");
    let found = injected(&text(area[0] + 3.0, area[3]));
    assert!(
        found
            .iter()
            .any(|fault| fault.contains(&format!("`spare` lies on `{word}`"))),
        "{found:?}"
    );
    let line = format!(
        "<polyline points=\"{},{} {},{}\" fill=\"none\" stroke=\"#000\"/>",
        area[0] - 5.0,
        area[1] + 4.0,
        area[2] + 5.0,
        area[3] - 4.0
    );
    let found = injected(&line);
    assert!(
        found
            .iter()
            .any(|fault| fault.contains(&format!("`{word}` is crossed"))),
        "{found:?}"
    );
    let hatched = format!(
        "<polygon points=\"{0},{1} {2},{1} {2},{3} {0},{3}\" fill=\"url(#x-hatched)\" stroke=\"#000\"/>",
        area[0] - 9.0,
        area[1] - 9.0,
        area[2] + 9.0,
        area[3] + 9.0
    );
    let found = injected(&hatched);
    assert!(
        found
            .iter()
            .any(|fault| fault.contains(&format!("`{word}` is crossed"))),
        "{found:?}"
    );
    let found = injected(&text(frame[2] - 8.0, frame[3] - 9.0));
    assert!(
        found
            .iter()
            .any(|fault| fault == "`spare` leaves the frame"),
        "{found:?}"
    );
}
