//! How stored pictures are turned to be looked at.

/// Stored rows and columns to upright ones: first `swap` sides, then mirror.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct WayUp {
    /// Columns become rows.
    pub swap: bool,
    /// Stored x runs against the upright side that it lies along.
    pub against_x: bool,
    /// Stored y runs against the upright side that it lies along.
    pub against_y: bool,
}

impl WayUp {
    /// As stored.
    pub const AS_STORED: Self = Self {
        swap: false,
        against_x: false,
        against_y: false,
    };

    /// From the matrix of a film, x' = a x + c y and y' = b x + d y; `None` if it turns by no quarter.
    pub fn from_matrix([a, b, c, d]: [f64; 4]) -> Option<Self> {
        let size = a.abs().max(b.abs()).max(c.abs()).max(d.abs());
        let none = |value: f64| value.abs() < 0.02 * size;
        if size > 0.0 && none(b) && none(c) && !none(a) && !none(d) {
            Some(Self {
                swap: false,
                against_x: a < 0.0,
                against_y: d < 0.0,
            })
        } else if size > 0.0 && none(a) && none(d) && !none(b) && !none(c) {
            Some(Self {
                swap: true,
                against_x: b < 0.0,
                against_y: c < 0.0,
            })
        } else {
            None
        }
    }

    /// Upright width and height.
    pub fn size(self, width: u32, height: u32) -> (u32, u32) {
        if self.swap { (height, width) } else { (width, height) }
    }

    /// Where the stored pixel (0, 0) goes in an upright picture, and the steps of stored x and y there, in pixels.
    pub fn steps(self, width: usize, height: usize) -> (isize, isize, isize) {
        let (wide, high) = (width as isize, height as isize);
        let (mut x_step, mut y_step) = if self.swap { (high, 1) } else { (1, wide) };
        let mut origin = 0;
        if self.against_x {
            origin += (wide - 1) * x_step;
            x_step = -x_step;
        }
        if self.against_y {
            origin += (high - 1) * y_step;
            y_step = -y_step;
        }
        (origin, x_step, y_step)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The upright picture of a stored one of 3 x 2 pixels, a letter each.
    fn upright(way: WayUp) -> String {
        let (origin, x_step, y_step) = way.steps(3, 2);
        let mut out = ['-'; 6];
        for (index, letter) in "abcdef".chars().enumerate() {
            let (x, y) = ((index % 3) as isize, (index / 3) as isize);
            out[(origin + x * x_step + y * y_step) as usize] = letter;
        }
        out.iter().collect()
    }

    #[test]
    fn quarters_and_mirrors() {
        let way = |matrix| WayUp::from_matrix(matrix).unwrap();
        assert_eq!(upright(WayUp::AS_STORED), "abcdef");
        // Clockwise: the left column, read upwards, is the first row.
        assert_eq!(upright(way([0.0, 1.0, -1.0, 0.0])), "daebfc");
        assert_eq!(upright(way([-1.0, 0.0, 0.0, -1.0])), "fedcba");
        assert_eq!(upright(way([0.0, -1.0, 1.0, 0.0])), "cfbead");
        assert_eq!(upright(way([-1.0, 0.0, 0.0, 1.0])), "cbafed");
        assert_eq!(WayUp::from_matrix([0.7, 0.7, -0.7, 0.7]), None);
        assert_eq!(WayUp::from_matrix([0.0; 4]), None);
    }
}
