//! Photographs: kept under their digest, asked for by rules, and carried by the signed page small, upright and without their place.

use std::io::Cursor;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use crate::record::desk::{Desk, RULES};
use crate::record::refused::refused;
use crate::support::http::Served;
use crate::support::run::case;

/// A PNG picture of one grey.
pub(crate) fn picture(grey: u8, (width, height): (u32, u32)) -> Vec<u8> {
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, width, height);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::Eight);
    let mut writer = encoder.write_header().unwrap();
    let pixels = vec![grey; usize::try_from(width * height).unwrap()];
    writer.write_image_data(&pixels).unwrap();
    writer.finish().unwrap();
    file
}

fn desk_with(name: &str, bytes: &[u8]) -> Desk {
    let desk = Desk::new();
    std::fs::write(desk.bench.path().join(name), bytes).unwrap();
    desk
}

/// A photograph that the signed page carries.
struct Carried {
    file: Vec<u8>,
    size: (u32, u32),
    pixels: Vec<u8>,
}

fn carried(desk: &Desk) -> Vec<Carried> {
    desk.call("record", &["-o", "signed.html", "--force"])
        .run()
        .code(1);
    let page = std::fs::read_to_string(desk.bench.path().join("signed.html")).unwrap();
    let photos = page.split("href=\"data:image/png;base64,").skip(1);
    let photos = photos.map(|rest| {
        let text = rest.split('"').next().unwrap();
        let file = STANDARD.decode(text).unwrap();
        let mut reader = png::Decoder::new(Cursor::new(&file)).read_info().unwrap();
        let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
        reader.next_frame(&mut pixels).unwrap();
        let size = (reader.info().width, reader.info().height);
        Carried { file, size, pixels }
    });
    photos.collect()
}

#[test]
fn a_photograph_is_kept_under_its_digest_and_verified() {
    let wheel = picture(90, (12, 8));
    let desk = desk_with("wheel.png", &wheel);
    let path = |name: &str| desk.bench.path().join(name);
    desk.sign("chocks", "ash", &["--ticks", "--photo", "wheel.png"])
        .done();
    let photo = &desk.signed()[0]["photos"][0];
    assert_eq!(photo["kind"], "png");
    assert_eq!(photo["bytes"], wheel.len());
    let digest = photo["sha256"].as_str().unwrap();
    let own = path(&format!("job.kept/{digest}.png"));
    assert_eq!(std::fs::read(&own).unwrap(), wheel);
    desk.call("record", &[]).run().code(1);
    std::fs::write(&own, picture(91, (12, 8))).unwrap();
    desk.call("record", &[])
        .run()
        .code(4)
        .complains("error[not-kept]");
    std::fs::remove_file(&own).unwrap();
    desk.bench
        .run(["backup", "job.yaml", "-o", "copy.tar"])
        .done()
        .prints("not there, or not as kept: 1 photograph; `liftsheet record` says which");
    desk.call("record", &[])
        .run()
        .code(4)
        .complains("the photograph of task 1, ")
        .complains("cannot be read");
    // Paper and page tell it, too, and a signed sheet is this program's to write again.
    for _ in 0..2 {
        let sheet = ["-o", "signed.md"];
        desk.call("record", &sheet).run().code(4);
        let sheet = std::fs::read_to_string(path("signed.md")).unwrap();
        assert!(sheet.contains("other than they were signed: task 1, "));
    }
    let served = Served::open_by(&desk.bench, &RULES);
    served
        .device()
        .get("/job/job/record")
        .is(200)
        .says("The photograph of task 1");
}

#[test]
fn a_photograph_that_was_given_before_is_said() {
    let desk = desk_with("wheel.png", &picture(90, (12, 8)));
    let sign = |note| {
        let words = ["--act", "noted", "--note", note, "--photo", "wheel.png"];
        desk.sign("chocks", "ash", &words).done()
    };
    assert!(!sign("as it stood").stdout.contains("given before"));
    sign("as it stands").prints("this photograph was given before, with entry 2");
}

#[test]
fn what_cannot_be_shown_is_refused_while_it_can_be_taken_again() {
    let whole = picture(90, (12, 8));
    let desk = desk_with("words.txt", b"no picture");
    refused(
        "bad-photo",
        &desk,
        ("chocks", "ash"),
        &["--ticks", "--photo", "words.txt"],
    );
    for (name, bytes) in [
        ("cut.png", &whole[..whole.len() / 2]),
        ("head.jpg", &[0xff, 0xd8, 0xff, 0xe0]),
    ] {
        let desk = desk_with(name, bytes);
        desk.sign("chocks", "ash", &["--ticks", "--photo", name])
            .failed()
            .complains("error[bad-photo]");
    }
}

#[test]
fn a_rule_may_ask_for_a_photograph() {
    let desk = desk_with("wheel.png", &picture(90, (12, 8)));
    let rule = desk
        .bench
        .path()
        .join("signing/procedure/10-make-safe.yaml");
    let text = std::fs::read_to_string(&rule).unwrap();
    let more = text.replace(
        "kind: \"yes\"}]",
        "kind: \"yes\"}, {name: wheels, ask: every wheel, kind: photo}]",
    );
    assert_ne!(more, text);
    std::fs::write(&rule, more).unwrap();
    desk.sign("chocks", "ash", &["--ticks"])
        .done()
        .prints("wheels (every wheel)");
    desk.sign("chocks", "birch", &["--act", "checked"])
        .failed()
        .complains("error[evidence-missing]")
        .complains("--photo wheels=FILE");
    desk.sign(
        "chocks",
        "ash",
        &["--act", "measured", "--photo", "wheel.png"],
    )
    .done();
    desk.sign("chocks", "birch", &["--act", "checked"]).done();
    assert_eq!(carried(&desk).len(), 1);
}

/// `lying.jpg` is 32 by 16 pixels, black on its left and white on its right, with an Exif directory that says "row 0 is on the right, column 0
/// at the top" (orientation 6) and a place at 42°30′ S.
#[test]
fn the_signed_page_carries_it_upright_and_without_its_place() {
    let file = std::fs::read(case("records/lying.jpg")).unwrap();
    let desk = desk_with("lying.jpg", &file);
    assert_eq!(carried(&desk).len(), 0);
    let page = || std::fs::read_to_string(desk.bench.path().join("signed.html")).unwrap();
    assert!(!page().contains("img-src"));
    desk.sign("chocks", "ash", &["--ticks", "--photo", "lying.jpg"])
        .done();
    let photos = carried(&desk);
    let [photo] = photos.as_slice() else {
        panic!("{} photographs", photos.len())
    };
    assert_eq!(photo.size, (16, 32));
    let (top, bottom) = photo.pixels.split_at(photo.pixels.len() / 2);
    assert!(top.iter().all(|grey| *grey < 8), "{top:?}");
    assert!(bottom.iter().all(|grey| *grey > 247), "{bottom:?}");
    let kinds = [&b"eXIf"[..], b"tEXt", b"iTXt", b"zTXt"];
    assert!(!photo.file.windows(4).any(|four| kinds.contains(&four)));
    assert!(page().contains("default-src 'none'; style-src 'unsafe-inline'; img-src data:"));
}

#[test]
fn a_large_photograph_is_carried_small() {
    let desk = desk_with("large.png", &picture(90, (1000, 500)));
    desk.sign("chocks", "ash", &["--ticks", "--photo", "large.png"])
        .done();
    let photos = carried(&desk);
    let [photo] = photos.as_slice() else {
        panic!("{} photographs", photos.len())
    };
    assert_eq!(photo.size, (320, 160));
    assert!(photo.pixels.iter().all(|grey| *grey == 90));
}
