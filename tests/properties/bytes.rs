//! The same bytes give the same result to the last bit; so does another order of names, and so do more threads.

use std::path::Path;
use std::sync::atomic::AtomicBool;

use proptest::prelude::*;
use springline_drills::Catalogue;
use springline_review::Settings;
use springline_review::batch::{ATTEMPTS, Batch, MEASURES, REVIEWS, find_attempts, run};

use crate::reading::read;
use crate::scene::{Scene, cases, reordered, review, review_bytes, scenes};

proptest! {
    #![proptest_config(cases(8))]

    #[test]
    fn twice(scene in scenes()) {
        let bytes = serde_json::to_vec(&scene.file()).unwrap();
        let (one, two) = (review_bytes(&bytes, scene.what.drill()), review_bytes(&bytes, scene.what.drill()));
        prop_assert_eq!(springline_report::to_json(&one.record), springline_report::to_json(&two.record));
        prop_assert_eq!(&one.assessment, &two.assessment);
        prop_assert_eq!(read(&one), read(&two));
    }

    #[test]
    fn names_in_another_order(scene in scenes(), order in proptest::collection::vec(any::<u64>(), 23)) {
        let file = scene.file();
        let other = reordered(&file, &order);
        prop_assert_ne!(&other.points, &file.points);
        let (one, two) = (review(&file, scene.what.drill()), review(&other, scene.what.drill()));
        prop_assert_eq!(&one.record, &two.record);
        prop_assert_eq!(&one.assessment, &two.assessment);
        prop_assert_eq!(read(&one), read(&two));
    }
}

proptest! {
    #![proptest_config(cases(2))]

    #[test]
    fn more_threads(scenes in proptest::collection::vec(scenes(), 9)) {
        let folder = tempfile::tempdir().unwrap();
        let put = |(index, scene): (usize, &Scene)| {
            let mut file = scene.file();
            file.given.drill = Some(scene.what.drill().to_owned());
            let path = folder.path().join(format!("in/{index}.json"));
            std::fs::write(path, serde_json::to_vec(&file).unwrap()).unwrap();
        };
        std::fs::create_dir(folder.path().join("in")).unwrap();
        scenes.iter().enumerate().for_each(put);
        let one = tables(folder.path(), 1);
        prop_assert!(one.iter().all(|table| table.len() > 1000));
        for threads in [2, 5] {
            prop_assert!(tables(folder.path(), threads) == one, "{} threads", threads);
        }
    }
}

/// The three tables of a batch over the folder `in`.
fn tables(folder: &Path, threads: usize) -> [Vec<u8>; 3] {
    let catalogue = Catalogue::shipped();
    let settings = Settings::default();
    let out = folder.join(format!("out-{threads}"));
    let work = find_attempts(&folder.join("in"), None, &settings.import).unwrap();
    let batch = Batch {
        catalogue: &catalogue,
        settings,
        out: out.clone(),
        threads,
        jsonl: true,
        fresh: false,
        force: false,
    };
    run(&batch, &work, &AtomicBool::new(false), |_| {}).unwrap();
    [ATTEMPTS, MEASURES, REVIEWS].map(|table| std::fs::read(out.join(table)).unwrap())
}
