//! What ships is readable and complete.

use springline_drills::{Catalogue, template};

#[test]
fn every_shipped_drill_reads_without_problem() {
    let catalogue = Catalogue::shipped();
    for id in catalogue.drill_ids() {
        let text = template(id).expect("a shipped drill has its text");
        match springline_drills::read_drill(id, text.as_bytes()) {
            Ok(drill) => assert_eq!(drill.id, id),
            Err(problems) => panic!("{problems}"),
        }
    }
}
