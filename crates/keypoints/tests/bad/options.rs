//! Options out of range.

use std::path::Path;

use springline_keypoints::{ImportOptions, Layout, import};

#[test]
fn options_out_of_range_are_refused() {
    let good = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/keypoints/good/coco-results-17.json");
    let base = || ImportOptions {
        rate_hz: Some(50.0),
        ..ImportOptions::default()
    };
    for (options, variant) in [
        (
            ImportOptions {
                rate_hz: Some(0.0),
                ..base()
            },
            "BadRate",
        ),
        (
            ImportOptions {
                rate_hz: Some(f64::NAN),
                ..base()
            },
            "BadRate",
        ),
        (
            ImportOptions {
                picture: Some((0.0, 10.0)),
                ..base()
            },
            "Option",
        ),
        (
            ImportOptions {
                picture: Some((f64::NAN, 10.0)),
                ..base()
            },
            "Option",
        ),
        (
            ImportOptions {
                min_score: 1.5,
                ..base()
            },
            "Option",
        ),
        (
            ImportOptions {
                sd: Some(springline_keypoints::SdChoice::Px(-1.0)),
                ..base()
            },
            "Option",
        ),
        (
            ImportOptions {
                error: Some(springline_kinematics::TemporalError::Correlated(1.0)),
                ..base()
            },
            "Option",
        ),
        (
            ImportOptions {
                person: Some(2),
                ..base()
            },
            "NoSuchPerson",
        ),
        (
            ImportOptions {
                person: Some(0),
                ..base()
            },
            "NoSuchPerson",
        ),
        (
            ImportOptions {
                from_s: Some(5.0),
                ..base()
            },
            "NoFrames",
        ),
        (
            ImportOptions {
                from_s: Some(0.1),
                to_s: Some(0.05),
                ..base()
            },
            "NoFrames",
        ),
        (
            ImportOptions {
                from_s: Some(f64::NAN),
                ..base()
            },
            "Option",
        ),
        (
            ImportOptions {
                layout: Layout::builtin("points-25"),
                ..base()
            },
            "PointCount",
        ),
    ] {
        let error = import(&good, &options).unwrap_err();
        assert_eq!(
            format!("{error:?}").split([' ', '{']).next().unwrap(),
            variant,
            "{error}"
        );
    }
    assert!(import(&good, &base()).is_ok());
}
