//! Pictures of the whole vehicle: what is drawn is as long as it says, says what the plan says, and can be read.

use std::collections::{BTreeMap, BTreeSet};

use liftsheet::job;
use liftsheet::picture::vehicle::cut_graph;
use liftsheet::pipeline;
use liftsheet::report::Report;
use liftsheet::rules::{self, Area, Files, Wanted};
use liftsheet::source::Source;
use serde_json::Value;
use strum::IntoEnumIterator;
use svg::parser::Event;

use crate::support::run::{Bench, case};

/// One piece of an SVG: a line or shape by its points, a circle by its middle, or words.
#[derive(Debug, Default, Clone)]
struct Piece {
    kind: String,
    /// The class of the group that it stands in.
    group: String,
    /// How many groups came before it.
    turn: usize,
    points: Vec<(f64, f64)>,
    fill: String,
    words: String,
    bold: bool,
}

struct Drawn {
    pieces: Vec<Piece>,
}

fn points(text: &str) -> Vec<(f64, f64)> {
    let pairs = text.split_whitespace();
    let pair = |pair: &str| {
        let (x, y) = pair.split_once(',').unwrap();
        (x.parse().unwrap(), y.parse().unwrap())
    };
    pairs.map(pair).collect()
}

/// The pieces of an SVG, as a reader of its own finds them.
fn drawn(svg: &str) -> Drawn {
    let mut pieces = Vec::<Piece>::new();
    let (mut group, mut turn, mut inside) = (String::new(), 0, String::new());
    for event in svg::read(svg).unwrap() {
        match event {
            Event::Error(error) => panic!("{error}"),
            Event::Tag(tag, kind, attributes) => {
                let get = |name: &str| attributes.get(name).map(ToString::to_string);
                let number = |name: &str| get(name).unwrap_or_default().parse().unwrap_or(0.0);
                let ends = kind == svg::node::element::tag::Type::End;
                if tag == "g" {
                    group = if ends {
                        String::new()
                    } else {
                        get("class").unwrap()
                    };
                    turn += 1;
                }
                inside = if ends { String::new() } else { tag.to_owned() };
                if ends || !["polyline", "polygon", "circle", "text"].contains(&tag) {
                    continue;
                }
                pieces.push(Piece {
                    kind: tag.to_owned(),
                    group: group.clone(),
                    turn,
                    points: match tag {
                        "circle" => vec![(number("cx"), number("cy"))],
                        "text" => vec![(number("x"), number("y"))],
                        _ => points(&get("points").unwrap()),
                    },
                    fill: get("fill").unwrap_or_default(),
                    words: String::new(),
                    bold: get("font-weight").is_some(),
                });
            }
            Event::Text(text) if inside == "text" => {
                pieces.last_mut().unwrap().words.push_str(text);
            }
            _ => {}
        }
    }
    Drawn { pieces }
}

impl Drawn {
    fn words(&self) -> impl Iterator<Item = &Piece> {
        self.pieces.iter().filter(|piece| piece.kind == "text")
    }

    fn says(&self, words: &str) -> bool {
        self.words().any(|piece| piece.words == words)
    }

    /// The measured groups: class, drawn length, words.
    fn measures(&self) -> Vec<(String, f64, String)> {
        let mut groups: BTreeMap<usize, Vec<&Piece>> = BTreeMap::new();
        for piece in self.pieces.iter().filter(|piece| !piece.group.is_empty()) {
            groups.entry(piece.turn).or_default().push(piece);
        }
        let measure = |pieces: &Vec<&Piece>| {
            let [from, to] = pieces[0].points[..] else {
                panic!("a dimension is a line between two points");
            };
            let words = pieces.iter().find(|piece| piece.kind == "text").unwrap();
            let length = (to.0 - from.0).hypot(to.1 - from.1);
            (pieces[0].group.clone(), length, words.words.clone())
        };
        groups.values().map(measure).collect()
    }
}

/// The first length of a text, in millimetres.
fn length(words: &str) -> f64 {
    let mut before = "";
    for word in words.split_whitespace() {
        let unit = match word {
            "mm" => Some(1.0),
            "in" => Some(25.4),
            _ => None,
        };
        if let (Some(unit), Ok(number)) = (unit, before.parse::<f64>()) {
            return number * unit;
        }
        before = word;
    }
    panic!("no length in `{words}`")
}

/// The page of reasons, whose headings carry the numbers of the connections.
fn reasons(job: Option<&str>) -> String {
    let bench = Bench::new();
    match job {
        Some(text) => bench.file("job.yaml", text).run(["reasons", "job.yaml"]),
        None => bench.run(["reasons"]),
    }
    .code(0)
    .stdout
}

/// The job sheet and its reasons as a folder of files: the SVGs by name, and the Markdown of both.
fn files(job: Option<&str>, more: &[&str]) -> (BTreeMap<String, String>, String) {
    let bench = Bench::new();
    let bench = match job {
        Some(text) => bench.file("the job.yaml", text),
        None => bench,
    };
    let (mut svgs, mut sheet) = (BTreeMap::new(), String::new());
    for command in ["reasons", "sheet"] {
        let folder = format!("{command}/");
        let mut call = vec![command];
        call.extend(job.map(|_| "the job.yaml"));
        call.extend(["-o", &folder, "--format", "md"]);
        call.extend(more);
        bench.run(call).code(0);
        for entry in std::fs::read_dir(bench.path().join(&folder)).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            let text = std::fs::read_to_string(&path).unwrap();
            if let Some(stem) = name.strip_suffix(".svg") {
                assert!(text.contains("Made with liftsheet"), "{name}");
                svgs.insert(stem.rsplit('.').next().unwrap().to_owned(), (text, name));
            } else {
                sheet.push_str(&text);
            }
        }
    }
    for (_, name) in svgs.values() {
        // A link holds no space.
        let named = format!("]({})", name.replace(' ', "%20"));
        assert!(sheet.contains(&named), "{name} is not named");
    }
    let svgs = svgs.into_iter().map(|(name, (text, _))| (name, text));
    let mut svgs: BTreeMap<String, String> = svgs.collect();
    // What is drawn of single connections is held in `connection_pictures`.
    svgs.retain(|name, _| of_the_vehicle(name));
    assert!(svgs.len() >= 3, "{:?}", svgs.keys());
    (svgs, sheet)
}

/// Whether a picture of the sheet shows the whole vehicle.
fn of_the_vehicle(name: &str) -> bool {
    matches!(name, "side-view" | "mounts") || name.starts_with("tipped-")
}

fn json(job: Option<&str>) -> Value {
    let bench = Bench::new();
    let out = match job {
        Some(text) => {
            bench
                .file("job.yaml", text)
                .run(["sheet", "job.yaml", "--format", "json"])
                .code(0)
                .stdout
        }
        None => bench.run(["sheet", "--format", "json"]).code(0).stdout,
    };
    serde_json::from_str(&out).unwrap()
}

fn sixty() -> String {
    std::fs::read_to_string(case("jobs/sixty-links.yaml")).unwrap()
}

fn demo() -> String {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/rules/demo/forestry-crew.yaml");
    std::fs::read_to_string(path).unwrap()
}

/// Every SVG of the demo and of the large job, metric and in inches, with the cut graph of the large job.
fn all() -> Vec<(String, String)> {
    let sixty = sixty();
    let mut all = Vec::new();
    for job in [None, Some(sixty.as_str())] {
        for units in ["mm", "in"] {
            let (svgs, _) = files(job, &["--units", units]);
            let named = svgs
                .into_iter()
                .map(|(name, svg)| (format!("{name} {units}"), svg));
            all.extend(named);
        }
    }
    for (name, job) in [("demo", demo()), ("sixty", sixty)] {
        // No local limits are read here, so no region is named.
        let lines = job.lines().filter(|line| !line.starts_with("region:"));
        let job = lines.collect::<Vec<_>>().join("\n");
        let svg = cut_graph_of(&job);
        all.push((format!("cut-graph {name}"), svg));
    }
    all
}

/// The cut graph of a job by the shipped rules.
fn cut_graph_of(yaml: &str) -> String {
    let mut report = Report::new();
    let files = Files::overlaid(BTreeMap::new(), true);
    let classes = files.class_ids();
    let wanted = Wanted {
        classes: classes.iter().map(String::as_str).collect(),
        regions: BTreeSet::new(),
    };
    let rules = rules::load(&files, &wanted, &mut report);
    let job = job::read(&Source::from_text("job.yaml", yaml), false, &mut report).unwrap();
    let svg = pipeline::run(&job, &rules, &mut report, |made| {
        cut_graph(&made).unwrap().svg()
    });
    svg.unwrap()
}

#[test]
fn every_dimension_is_as_long_as_it_says() {
    let mut seen = 0;
    for (name, svg) in all() {
        if name.starts_with("cut-graph") {
            continue;
        }
        let drawn = drawn(&svg);
        let measures = drawn.measures();
        let (_, bar, words) = measures
            .iter()
            .find(|(class, ..)| class == "scale")
            .unwrap();
        let factor = bar / length(words);
        let text: Vec<&str> = drawn.words().map(|piece| piece.words.as_str()).collect();
        let text = text.join(" ");
        let tall = text.split_once("heights drawn ").map_or(1.0, |(_, rest)| {
            rest.split_whitespace().next().unwrap().parse().unwrap()
        });
        for (class, pixels, words) in &measures {
            let times = if class == "height" { tall } else { 1.0 };
            let wanted = length(words) * factor * times;
            assert!(
                (pixels - wanted).abs() < 0.5,
                "{name}: {words}: {pixels} for {wanted}"
            );
            seen += usize::from(class != "scale");
        }
    }
    assert!(seen >= 20, "{seen}");
}

#[test]
fn the_numbers_in_the_side_view_are_those_of_the_tables() {
    let sixty = sixty();
    for job in [None, Some(sixty.as_str())] {
        let (svgs, _) = files(job, &[]);
        let reasons = reasons(job);
        let plan = json(job);
        let mut links: Vec<&Value> = plan["links"].as_array().unwrap().iter().collect();
        // Walking order, worked out anew.
        links.sort_by_key(|link| {
            let area = link["area"].as_str().unwrap();
            let place = Area::iter().position(|known| known.word() == area).unwrap();
            (place, link["id"].as_str().unwrap().to_owned())
        });
        let crossing: BTreeSet<usize> = links
            .iter()
            .zip(1..)
            .filter(|(link, _)| link["disturbed"] == true)
            .filter(|(link, _)| link["kind"] == "link" || link["kind"] == "bridge")
            .map(|(_, number)| number)
            .collect();
        let drawn = drawn(&svgs["side-view"]);
        let bold = drawn.words().filter(|piece| piece.bold);
        let found: BTreeSet<usize> = bold.filter_map(|piece| piece.words.parse().ok()).collect();
        assert_eq!(found, crossing);
        for (link, number) in links.iter().zip(1..) {
            let title = link["title"].as_str().unwrap();
            if link["kind"] != "link" || job.is_none() && title.contains(',') {
                continue;
            }
            let row = reasons.lines().find(|line| {
                line.starts_with("## ") && line.to_lowercase().contains(&title.to_lowercase())
            });
            let row = row.unwrap_or_else(|| panic!("no heading for {title}"));
            let cell = row.rsplit_once("(no. ").unwrap().1.trim_end_matches(')');
            let covers = cell.split(", ").any(|run| {
                let (from, to) = run.split_once(" to ").unwrap_or((run, run));
                let (from, to): (usize, usize) = (from.parse().unwrap(), to.parse().unwrap());
                (from..=to).contains(&number)
            });
            assert!(covers, "{title} is {number}, not {cell}");
        }
    }
}

#[test]
fn every_mount_is_labelled_with_the_numbers_of_the_plan() {
    let (svgs, _) = files(None, &[]);
    let drawn = drawn(&svgs["mounts"]);
    let plan = json(None);
    let links = plan["links"].as_array().unwrap();
    let mounts: Vec<&Value> = links
        .iter()
        .filter(|link| link["kind"] == "mount")
        .collect();
    assert_eq!(mounts.len(), 12);
    let mut orders = BTreeSet::new();
    for mount in mounts {
        let id = mount["id"].as_str().unwrap().trim_start_matches("mount-");
        let rise = mount["spans"][0]["rise"]["value"].as_f64().unwrap();
        assert!(drawn.says(&format!("{id}: {rise} mm")), "{id}");
        let result = |name: &str| {
            let results = mount["results"].as_object().unwrap();
            let found = results.iter().find(|(key, _)| key.ends_with(name));
            found.map(|(_, value)| value["value"].as_f64().unwrap())
        };
        let order = result(".order_length").unwrap();
        orders.insert(order.to_string());
    }
    // What most have is said once, beside what is different; no number of ours is printed over the maker's.
    let all: Vec<&str> = drawn.words().map(|piece| piece.words.as_str()).collect();
    let all = all.join(" ");
    for order in orders {
        assert!(all.contains(&format!("M12x1.25 × {order} mm")), "{order}");
    }
    assert!(all.contains("class 10.9; 65 N·m, the maker's."), "{all}");
    let count = |start: &str| {
        drawn
            .words()
            .filter(|piece| piece.words.starts_with(start))
            .count()
    };
    assert_eq!((count("! captive nut"), count("! torn rubber")), (2, 1));
}

/// The cab of the demo turns about C2R at y = −610 while C1L at y = 430 is held 40 mm + 15 mm up; the brake master cylinder sits on
/// its bulkhead at (380, 620). Plain trigonometry, apart from the program's own.
#[test]
fn the_tipped_cab_is_where_trigonometry_puts_it() {
    let (svgs, _) = files(None, &[]);
    let drawn = drawn(&svgs["tipped-1"]);
    let (across, held): (f64, f64) = (430.0 + 610.0, 55.0);
    let angle = (held / across).asin();
    let (y, z) = (380.0 + 610.0, 620.0);
    // Turning the left side up is turning clockwise when seen from behind, with the left on the left.
    let after = (
        y * angle.cos() - z * angle.sin(),
        y * angle.sin() + z * angle.cos(),
    );
    let (sideways, up) = (after.0 - y, after.1 - z);
    let tilt = (angle.to_degrees() * 10.0).round() / 10.0;
    assert!(drawn.says(&format!("tilt {tilt}°")), "{tilt}");
    let moved = (sideways.abs() * 10.0).round() / 10.0;
    assert!(
        drawn.says(&format!("{moved} mm to the side at brake master cylinder")),
        "{moved}"
    );
    let measures = drawn.measures();
    let (_, bar, words) = measures
        .iter()
        .find(|(class, ..)| class == "scale")
        .unwrap();
    let factor = bar / length(words);
    let circles: Vec<&Piece> = drawn.pieces.iter().filter(|p| p.kind == "circle").collect();
    let white = circles
        .iter()
        .find(|circle| circle.fill == "#fff")
        .unwrap()
        .points[0];
    let black = circles.last().unwrap().points[0];
    assert!(
        ((black.0 - white.0) + sideways * factor).abs() < 0.05,
        "sideways"
    );
    assert!(((white.1 - black.1) - up * factor).abs() < 0.05, "up");
    // The plan's hold point before raising reads the same tilt out.
    let sheet = Bench::new().run(["sheet"]).done().stdout;
    assert!(
        sheet.contains(&format!("knows the tilt, {tilt}°")),
        "{tilt}"
    );
}

#[test]
fn sides_that_are_not_alike_have_a_picture_each() {
    let job = demo().replace(
        "{id: T1R, group: tub, at: [-1780, -520, 0]",
        "{id: T1R, group: tub, spacer: 45 mm, at: [-1780, -520, 0]",
    );
    assert_ne!(job, demo());
    let (svgs, _) = files(Some(&job), &[]);
    let names: Vec<&str> = svgs.keys().map(String::as_str).collect();
    assert_eq!(
        names,
        [
            "mounts",
            "side-view",
            "tipped-1",
            "tipped-2",
            "tipped-2-right"
        ]
    );
    let side = drawn(&svgs["side-view"]);
    let gaps = side
        .measures()
        .into_iter()
        .filter(|(class, ..)| class == "height");
    let gaps: Vec<String> = gaps.map(|(.., words)| words).collect();
    assert_eq!(gaps.len(), 2, "{gaps:?}");
    assert!(drawn(&svgs["tipped-2-right"]).says("held 60 mm up"));
}

#[test]
fn what_people_type_is_text_and_the_same_job_gives_the_same_picture() {
    let hostile = "</text><script>alert(1)</script>&\\\"]]><b>\\e";
    let job = demo()
        .replace(
            "cab: {title: cab}",
            &format!("cab: {{title: \"{hostile}\"}}"),
        )
        .replace(
            "{title: brake master cylinder,",
            &format!("{{title: \"{hostile}\","),
        );
    assert_ne!(job, demo());
    let (svgs, _) = files(Some(&job), &[]);
    for (name, svg) in &svgs {
        drawn(svg);
        for tag in ["<script", "<b>", "\u{1b}"] {
            assert!(!svg.contains(tag), "{tag} in {name}");
        }
    }
    assert!(svgs["side-view"].contains("&lt;script"));
    assert_eq!(files(Some(&job), &[]).0, svgs);
}

#[test]
fn every_id_of_a_page_is_there_once() {
    for (command, known) in [("sheet", "side-view-title"), ("reasons", "tipped-2-says")] {
        let html = Bench::new()
            .run([command, "--format", "html"])
            .done()
            .stdout;
        let mut ids = BTreeSet::new();
        for part in html.split(" id=\"").skip(1) {
            let id = part.split('"').next().unwrap();
            assert!(ids.insert(id), "{id} stands there twice");
        }
        assert!(ids.contains(known), "{command}");
    }
}
