//! What the coach knows, from the attempt file to the inner type.

use std::ops::RangeInclusive;

use springline_kinematics::{EventKind, Side};

use crate::attempt_file::{AttemptFile, GivenFile, LeftRight};
use crate::error::Error;
use crate::marks::{GIVEN_SCALE_SD, KNOWN_LENGTHS_M, METRES_PER_PX, STATURES_M, SURFACE_HEIGHTS_M};
use crate::{Facing, Given, KnownLength, SurfaceAt};

/// Reads entries of `given` and says where one is wrong.
struct Entries<'a> {
    file: &'a str,
    given: &'a GivenFile,
}

impl<F> AttemptFile<F> {
    /// What the coach gave, as the inner type.
    ///
    /// # Errors
    /// [`Error::Shape`] for values that cannot be: an unknown event, a size of zero, a stature in cm.
    pub(crate) fn given(&self, file: &str) -> Result<Given, Error> {
        let entries = Entries {
            file,
            given: &self.given,
        };
        let given = &self.given;
        Ok(Given {
            athlete: given.athlete.clone(),
            date: given.date.clone(),
            drill: given.drill.clone(),
            floor_line: entries.floor_line()?,
            floor_line_sd_px: entries.positive("floor_line_sd_px", given.floor_line_sd_px)?,
            facing: given.facing.map(|way| match way {
                LeftRight::Left => Facing::Left,
                LeftRight::Right => Facing::Right,
            }),
            near_side: given.near_side.map(|side| match side {
                LeftRight::Left => Side::Left,
                LeftRight::Right => Side::Right,
            }),
            metres_per_px: entries.metres_per_px()?,
            known_length: entries.known_length()?,
            scale_by_gravity: given.scale_by_gravity,
            stature_m: entries.within("stature_m", given.stature_m, &STATURES_M, "m")?,
            stature_px: entries.positive("stature_px", given.stature_px)?,
            hand_surface: entries.surface("hand_surface", given.hand_surface_m, given.hand_surface_at)?,
            foot_surface: entries.surface("foot_surface", given.foot_surface_m, given.foot_surface_at)?,
            spotted: given.spotted,
            events: entries.events()?,
        })
    }
}

impl Entries<'_> {
    fn shape(&self, key: &str, found: impl Into<String>, expected: impl Into<String>) -> Error {
        Error::Shape {
            file: self.file.to_owned(),
            place: format!("given.{key}"),
            found: found.into(),
            expected: expected.into(),
        }
    }

    fn positive(&self, key: &str, value: Option<f64>) -> Result<Option<f64>, Error> {
        match value {
            Some(number) if !(number.is_finite() && number > 0.0) => {
                Err(self.shape(key, number.to_string(), "a number above 0"))
            }
            _ => Ok(value),
        }
    }

    fn within(
        &self,
        key: &str,
        value: Option<f64>,
        range: &RangeInclusive<f64>,
        unit: &str,
    ) -> Result<Option<f64>, Error> {
        match value {
            Some(number) if !range.contains(&number) => Err(self.shape(
                key,
                format!("{number} {unit}"),
                format!("{} to {} {unit}", range.start(), range.end()),
            )),
            _ => Ok(value),
        }
    }

    fn events(&self) -> Result<Vec<(EventKind, f64)>, Error> {
        let mut events = Vec::with_capacity(self.given.events.len());
        for (id, time) in &self.given.events {
            let key = format!("events.{id}");
            let kind = EventKind::from_id(id).ok_or_else(|| {
                let known: Vec<&str> = EventKind::ALL.iter().map(|kind| kind.id()).collect();
                self.shape(&key, format!("{id:?}"), format!("one of {}", known.join(", ")))
            })?;
            if !time.is_finite() {
                return Err(self.shape(&key, time.to_string(), "a time in s"));
            }
            events.push((kind, *time));
        }
        events.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
        Ok(events)
    }

    fn floor_line(&self) -> Result<Option<[(f64, f64); 2]>, Error> {
        self.given
            .floor_line
            .map(|ends| self.two_points("floor_line", ends))
            .transpose()
    }

    fn two_points(&self, key: &str, [a, b]: [[f64; 2]; 2]) -> Result<[(f64, f64); 2], Error> {
        if a == b {
            return Err(self.shape(key, "the same point twice", "two points apart from each other"));
        }
        Ok([(a[0], a[1]), (b[0], b[1])])
    }

    fn metres_per_px(&self) -> Result<Option<(f64, f64)>, Error> {
        let scale = self.within(
            "metres_per_px",
            self.given.metres_per_px,
            &METRES_PER_PX,
            "metres per px",
        )?;
        match (scale, self.given.metres_per_px_sd) {
            (_, Some(sd)) if !(sd.is_finite() && sd >= 0.0) => {
                Err(self.shape("metres_per_px_sd", sd.to_string(), "0 or more"))
            }
            (None, Some(_)) => Err(self.shape("metres_per_px_sd", "no metres_per_px", "metres_per_px with it")),
            (None, None) => Ok(None),
            (Some(scale), sd) => Ok(Some((scale, sd.map_or(GIVEN_SCALE_SD, |sd| sd / scale)))),
        }
    }

    fn known_length(&self) -> Result<Option<KnownLength>, Error> {
        let Some(entry) = self.given.known_length else {
            return Ok(None);
        };
        self.within("known_length.m", Some(entry.m), &KNOWN_LENGTHS_M, "m")?;
        Ok(Some(KnownLength {
            metres: entry.m,
            ends: self.two_points("known_length.ends", entry.ends)?,
            sd_px: self.positive("known_length.sd_px", entry.sd_px)?,
        }))
    }

    fn surface(&self, key: &str, height: Option<f64>, at: Option<[f64; 2]>) -> Result<Option<SurfaceAt>, Error> {
        let height = self.within(&format!("{key}_m"), height, &SURFACE_HEIGHTS_M, "m")?;
        match (height, at) {
            (Some(_), Some(_)) => Err(self.shape(
                &format!("{key}_at"),
                format!("{key}_m as well"),
                "the height or a marked point, not both",
            )),
            (Some(height), None) => Ok(Some(SurfaceAt::OverFloorM(height))),
            (None, at) => Ok(at.map(|[x, y]| SurfaceAt::Marked((x, y)))),
        }
    }
}
