//! The weights are those that their README names.

use sha2::{Digest, Sha256};

#[test]
fn the_weights_are_those_of_the_readme() {
    let readme = include_str!("../weights/README.md");
    for (name, bytes) in [
        ("people.onnx.gz", include_bytes!("../weights/people.onnx.gz").as_slice()),
        ("points.onnx.gz", include_bytes!("../weights/points.onnx.gz").as_slice()),
    ] {
        let sum: String = Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect();
        let row = readme.lines().find(|line| line.starts_with(&format!("| `{name}`")));
        assert!(row.expect("a row in the table").contains(&sum), "{name}: {sum}");
    }
}
