//! A film becomes pictures with exact times, and such a folder is a clip again.

#![allow(clippy::unwrap_used)]

mod bench;

use bench::{Bench, names_in, root};
use springline_footage::{Clip, Picture, PictureForm};

fn film(name: &str) -> Vec<u8> {
    std::fs::read(root().join("fixtures/film").join(name)).unwrap()
}

/// A picture of one colour as a file.
fn plain(width: u32, height: u32, grey: u8) -> Vec<u8> {
    let picture = Picture::new(width, height, vec![grey; 3 * (width * height) as usize]).unwrap();
    picture.encoded(PictureForm::Png).unwrap()
}

#[test]
fn every_frame_with_its_time() {
    let bench = Bench::new();
    bench.put("turn.mp4", &film("h264.mp4"));
    let run = bench.run(&["frames", "turn.mp4", "--out", "pictures"]);
    run.ended(0).quiet();
    assert_eq!(
        run.stdout,
        "wrote pictures: 12 pictures of 64 x 48 px, and index.csv with their times\n"
    );
    let index = bench.get("pictures/index.csv");
    let rows: Vec<&str> = index.lines().collect();
    assert_eq!(rows[0], "frame,time_s,file");
    assert_eq!(rows[4], "3,0.1,frame-000003.png");
    assert_eq!(rows.len(), 13);
    assert_eq!(names_in(&bench.path("pictures")).len(), 13);

    // The folder is the same clip, to the bit.
    let mut before = Clip::open(&bench.path("turn.mp4")).unwrap();
    let mut after = Clip::open(&bench.path("pictures")).unwrap();
    assert_eq!(before.times(), after.times());
    assert_eq!(after.codec(), "pictures");
    assert!((after.frames_per_second() - 30.0).abs() < 1e-9);
    for frame in 0..12 {
        assert_eq!(before.picture(frame).unwrap(), after.picture(frame).unwrap());
    }
    // Nothing is written over without being asked for.
    bench.run(&["frames", "turn.mp4", "--out", "pictures"]).failed(
        "error: pictures/index.csv: found a file that is there already, expected a new file\n\
         hint: another name, or --force to write over it\n",
    );
    bench
        .run(&["frames", "turn.mp4", "--out", "pictures", "--force"])
        .ended(0);
    bench
        .run(&["frames", "pictures", "--out", "pictures", "--force"])
        .failed(
            "error: pictures: found pictures, which is read here, expected another file to write to\n\
         hint: another name or folder for what is written\n",
        );
    bench
        .run(&["frames", "turn.mp4", "--out", "turn.mp4"])
        .failed("error: turn.mp4: found a file, expected a folder\nhint: another name with --out\n");
}

#[test]
fn some_frames_of_a_folder_of_frames() {
    let bench = Bench::new();
    bench.put("turn.mov", &film("hevc.mov"));
    bench
        .run(&["frames", "turn.mov", "--out", "all", "--format", "jpeg"])
        .ended(0)
        .quiet();
    let run = bench.run(&[
        "frames", "all", "--out", "few", "--every", "3", "--from", "0.1", "--to", "0.31",
    ]);
    run.ended(0).quiet();
    assert_eq!(
        bench.get("few/index.csv"),
        "frame,time_s,file\n3,0.1,frame-000003.png\n6,0.2,frame-000006.png\n9,0.3,frame-000009.png\n"
    );
    assert_eq!(Clip::open(&bench.path("few")).unwrap().times(), [0.1, 0.2, 0.3]);
    bench
        .run(&["frames", "all", "--out", "none", "--from", "9"])
        .failed("error: all: found no frame between --from and --to, expected times from 0.000 to 0.367 s\n");
    assert!(!bench.path("none").exists());
}

#[test]
fn turned_and_varying_films_keep_their_way_up_and_times() {
    let bench = Bench::new();
    bench.put("turned.mp4", &film("turned.mp4"));
    let run = bench.run(&["frames", "turned.mp4", "--out", "upright"]);
    assert!(
        run.ended(0).stdout.contains("12 pictures of 48 x 64 px"),
        "{}",
        run.stdout
    );
    bench.put("varying.mp4", &film("varying.mp4"));
    bench
        .run(&["frames", "varying.mp4", "--out", "varying"])
        .ended(0)
        .quiet();
    let clip = Clip::open(&bench.path("varying")).unwrap();
    let thirtieths: Vec<f64> = clip
        .times()
        .iter()
        .map(|time| (time * 30.0 * 1e6).round() / 1e6)
        .collect();
    assert_eq!(thirtieths, [0.0, 1.0, 2.0, 4.0, 5.0, 6.0, 7.0, 9.0, 10.0, 11.0]);
}

#[test]
fn numbered_pictures_at_a_rate() {
    let bench = Bench::new();
    for number in [7, 8, 9, 10] {
        bench.put(&format!("shots/beam_{number}.png"), &plain(8, 6, number));
    }
    bench.put("shots/notes.txt", b"not a picture");
    bench.run(&["frames", "shots", "--out", "out"]).failed(
        "error: shots: found no index.csv, expected the times of its pictures; give the frames per second of numbered pictures\n\
         hint: --rate FRAMES_PER_SECOND\n",
    );
    bench
        .run(&["frames", "shots", "--out", "out", "--rate", "50"])
        .ended(0)
        .quiet();
    let mut clip = Clip::open(&bench.path("out")).unwrap();
    assert_eq!(clip.times(), [0.0, 0.02, 0.04, 0.06]);
    let greys: Vec<u8> = (0..4).map(|frame| clip.picture(frame).unwrap().rgb()[0]).collect();
    assert_eq!(greys, [7, 8, 9, 10]);

    // A picture of another size, a hole, a number twice.
    bench.put("shots/beam_9.png", &plain(8, 7, 9));
    let rated = ["frames", "shots", "--out", "more", "--rate", "50"];
    bench
        .run(&rated)
        .failed("error: shots/beam_9.png: found 8 x 7 px, expected 8 x 6 px like the first picture\n");
    std::fs::remove_file(bench.path("shots/beam_9.png")).unwrap();
    bench
        .run(&rated)
        .failed("error: shots: found no picture 9 between beam_8.png and beam_10.png, expected one for each number\n");
    bench.put("shots/beam_009.jpg", &plain(8, 6, 9));
    bench.put("shots/beam_9.png", &plain(8, 6, 9));
    bench
        .run(&rated)
        .failed("error: shots: found beam_009.jpg and beam_9.png, expected one picture for each number\n");
    std::fs::create_dir(bench.path("empty")).unwrap();
    bench
        .run(&["frames", "empty", "--out", "more", "--rate", "50"])
        .failed("error: empty: found no picture, expected numbered PNG or JPEG files\n");
}

#[test]
fn an_index_that_is_wrong_is_told_by_line() {
    let bench = Bench::new();
    bench.put("shots/a.png", &plain(8, 6, 1));
    for (index, told) in [
        (
            "frame,time,file\n",
            "line 1: found frame,time,file, expected the columns frame,time_s,file",
        ),
        (
            "frame,time_s,file\n0,0,a.png\n0,1,a.png\n",
            "line 3: found 0, expected a frame number, higher than the one before",
        ),
        (
            "frame,time_s,file\n0,1,a.png\n1,1,a.png\n",
            "line 3: found 1, expected a time in seconds, later than the one before",
        ),
        (
            "frame,time_s,file\n0,nan,a.png\n",
            "line 2: found nan, expected a time in seconds, later than the one before",
        ),
        (
            "frame,time_s,file\n0,0,../a.png\n",
            "line 2: found ../a.png, expected the name of a picture in the folder",
        ),
        (
            "frame,time_s,file\n0,0\n",
            "line 2: found a row of another length, expected three entries",
        ),
    ] {
        bench.put("shots/index.csv", index.as_bytes());
        bench
            .run(&["frames", "shots", "--out", "out"])
            .failed(&format!("error: shots/index.csv: {told}\n"));
    }
    bench.put("shots/index.csv", b"frame,time_s,file\n0,0,a.png\n4,1,b.png\n");
    let run = bench.run(&["frames", "shots", "--out", "out"]);
    run.ended(2);
    assert!(
        run.stderr.starts_with("error: shots/b.png: cannot be read: "),
        "{}",
        run.stderr
    );
}

#[test]
fn a_film_that_breaks_off_gives_what_is_there() {
    let bench = Bench::new();
    let whole = film("fragments.mp4");
    bench.put("turn.mp4", &whole[..whole.len() - 900]);
    let run = bench.run(&["frames", "turn.mp4", "--out", "pictures"]);
    run.ended(0);
    assert!(run.stderr.starts_with("note: the file breaks off"), "{}", run.stderr);
    let frames = bench.get("pictures/index.csv").lines().count() - 1;
    assert!((6..12).contains(&frames), "{frames}");
    bench.put("turn.mp4", &film("h264.mp4")[..900]);
    bench.run(&["frames", "turn.mp4", "--out", "more"]).failed(
        "error: turn.mp4: found no table of contents (moov), expected one; recording or copying it was not finished\n\
         hint: copy the film from the camera again\n",
    );
}
