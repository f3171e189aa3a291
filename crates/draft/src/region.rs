//! A turned square of the picture: what the model gets to see.

/// A square of the picture, turned. Image plane: px, x right, y down; positive turns are clockwise on screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Region {
    pub x: f64,
    pub y: f64,
    /// Side, px.
    pub size: f64,
    /// The direction that is up in the square, rad from up in the picture.
    pub turn: f64,
}

impl Region {
    /// From the square (0 to 1 each way) to the picture.
    pub fn to_picture(self, u: f64, v: f64) -> (f64, f64) {
        let (u, v) = ((u - 0.5) * self.size, (v - 0.5) * self.size);
        let (sin, cos) = self.turn.sin_cos();
        (self.x + u * cos - v * sin, self.y + u * sin + v * cos)
    }

    pub fn turned(self, by: f64) -> Self {
        Self {
            turn: self.turn + by,
            ..self
        }
    }

    pub fn resized(self, by: f64) -> Self {
        Self {
            size: self.size * by,
            ..self
        }
    }
}

/// An angle brought between -π and π.
pub(crate) fn wrapped(angle: f64) -> f64 {
    use std::f64::consts::PI;
    (angle + PI).rem_euclid(2.0 * PI) - PI
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_2;

    #[test]
    fn a_quarter_turn_clockwise_puts_up_to_the_right() {
        let region = Region {
            x: 100.0,
            y: 50.0,
            size: 20.0,
            turn: FRAC_PI_2,
        };
        let (x, y) = region.to_picture(0.5, 0.0);
        assert!((x - 110.0).abs() < 1e-9 && (y - 50.0).abs() < 1e-9, "{x} {y}");
        assert_eq!(region.to_picture(0.5, 0.5), (100.0, 50.0));
    }

    #[test]
    fn angles_are_brought_home() {
        assert!((wrapped(3.0 * FRAC_PI_2) + FRAC_PI_2).abs() < 1e-12);
        assert!((wrapped(-7.0 * FRAC_PI_2) - FRAC_PI_2).abs() < 1e-12);
    }
}
