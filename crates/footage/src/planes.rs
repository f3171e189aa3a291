//! Decoded brightness and colour planes, and the picture made of them.

use crate::limits::size_is_taken;
use crate::picture::Picture;
use crate::way_up::WayUp;

/// Samples of one plane, row by row without gaps.
pub(crate) enum Samples {
    /// 8 bits.
    Bytes(Vec<u8>),
    /// More than 8 bits.
    Words(Vec<u16>),
}

impl Samples {
    fn len(&self) -> usize {
        match self {
            Self::Bytes(list) => list.len(),
            Self::Words(list) => list.len(),
        }
    }

    fn bytes(&self) -> usize {
        match self {
            Self::Bytes(list) => list.len(),
            Self::Words(list) => 2 * list.len(),
        }
    }
}

/// What the numbers of the planes mean.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Colour {
    /// Code of the matrix; 2 is unspecified.
    pub matrix: u8,
    /// Code of the transfer curve; 2 is unspecified.
    pub transfer: u8,
    /// Black is 0 rather than 16.
    pub full: bool,
}

impl Colour {
    /// Nothing is said.
    pub const UNSAID: Self = Self {
        matrix: 2,
        transfer: 2,
        full: false,
    };

    /// What the stream says, else what the file says.
    pub fn or(self, other: Option<Self>) -> Self {
        match other {
            Some(other) if self.matrix == 2 => Self {
                matrix: other.matrix,
                transfer: if self.transfer == 2 {
                    other.transfer
                } else {
                    self.transfer
                },
                full: self.full || other.full,
            },
            _ => self,
        }
    }

    /// Shares of red and blue in brightness. Without a word of the stream: BT.709 from 720 rows on, BT.601 below.
    pub fn shares(self, height: u32) -> (f64, f64) {
        match self.matrix {
            1 => (0.2126, 0.0722),
            4..=6 => (0.299, 0.114),
            7 => (0.212, 0.087),
            9 | 10 => (0.2627, 0.0593),
            _ if height >= 720 => (0.2126, 0.0722),
            _ => (0.299, 0.114),
        }
    }
}

/// A decoded frame as stored: not turned.
pub(crate) struct Planes {
    pub width: u32,
    pub height: u32,
    /// Halvings of the colour planes across and down.
    pub halved: (u32, u32),
    pub bits: u32,
    pub y: Samples,
    pub u: Samples,
    pub v: Samples,
    pub colour: Colour,
}

impl Planes {
    /// Itself, if the planes are as large as they must be.
    pub fn checked(self) -> Result<Self, String> {
        let (across, down) = self.halved;
        let bright = self.width as usize * self.height as usize;
        let coloured = (self.width >> across) as usize * (self.height >> down) as usize;
        let fits = size_is_taken(self.width, self.height)
            && (8..=12).contains(&self.bits)
            && self.width.is_multiple_of(1 << across)
            && self.height.is_multiple_of(1 << down)
            && self.y.len() == bright
            && self.u.len() == coloured
            && self.v.len() == coloured;
        if fits {
            Ok(self)
        } else {
            Err(format!(
                "the decoder gave planes that are not {} x {} px",
                self.width, self.height
            ))
        }
    }

    /// Memory taken, bytes.
    pub fn bytes(&self) -> usize {
        self.y.bytes() + self.u.bytes() + self.v.bytes()
    }

    /// The upright picture.
    pub fn picture(&self, way: WayUp) -> Option<Picture> {
        let (width, height) = way.size(self.width, self.height);
        let rgb = match (&self.y, &self.u, &self.v) {
            (Samples::Bytes(y), Samples::Bytes(u), Samples::Bytes(v)) => self.full(y, u, v, way),
            (Samples::Words(y), Samples::Words(u), Samples::Words(v)) => self.full(y, u, v, way),
            _ => return None,
        };
        Picture::new(width, height, rgb)
    }

    /// The upright picture with `factor` × `factor` pixels made one by their mean.
    pub fn reduced(&self, way: WayUp, factor: u32) -> Option<Picture> {
        if factor < 2 {
            return self.picture(way);
        }
        let (width, height) = way.size(self.width, self.height);
        let rgb = match (&self.y, &self.u, &self.v) {
            (Samples::Bytes(y), Samples::Bytes(u), Samples::Bytes(v)) => self.means(y, u, v, way, factor),
            (Samples::Words(y), Samples::Words(u), Samples::Words(v)) => self.means(y, u, v, way, factor),
            _ => return None,
        };
        Picture::new(width.div_ceil(factor), height.div_ceil(factor), rgb)
    }

    fn full<S: Copy + Into<usize>>(&self, y: &[S], u: &[S], v: &[S], way: WayUp) -> Vec<u8> {
        let (wide, high) = (self.width as usize, self.height as usize);
        let (across, down) = self.halved;
        let coloured = wide >> across;
        let tables = Tables::new(self);
        let (origin, x_step, y_step) = way.steps(wide, high);
        let mut rgb = vec![0u8; 3 * wide * high];
        for (row, line) in y.chunks_exact(wide).enumerate() {
            let from = (row >> down) * coloured;
            let (u, v) = (&u[from..from + coloured], &v[from..from + coloured]);
            let mut at = origin + row as isize * y_step;
            if x_step == 1 {
                let out = &mut rgb[3 * at as usize..][..3 * wide];
                tables.line(line, u, v, across, out);
                continue;
            }
            for (x, bright) in line.iter().enumerate() {
                let pixel = tables.pixel(*bright, u[x >> across], v[x >> across]);
                rgb[3 * at as usize..][..3].copy_from_slice(&pixel);
                at += x_step;
            }
        }
        rgb
    }

    fn means<S: Copy + Into<usize>>(&self, y: &[S], u: &[S], v: &[S], way: WayUp, factor: u32) -> Vec<u8> {
        let (wide, high) = (self.width as usize, self.height as usize);
        let (across, down) = self.halved;
        let coloured = wide >> across;
        let columns = cells(wide, factor as usize, way.against_x);
        let rows = cells(high, factor as usize, way.against_y);
        let tables = Tables::new(self);
        let (origin, x_step, y_step) = way.steps(columns.len(), rows.len());
        let mut rgb = vec![0u8; 3 * columns.len() * rows.len()];
        let mut sums = vec![[0u64; 3]; columns.len()];
        for (row, &(top, bottom)) in rows.iter().enumerate() {
            sums.fill([0; 3]);
            for line in top..=bottom {
                let line = &y[line * wide..][..wide];
                for (sum, (left, right)) in sums.iter_mut().zip(&columns) {
                    sum[0] += total(&line[*left..=*right]);
                }
            }
            let lines = (top >> down)..=(bottom >> down);
            for line in lines.clone() {
                let (u, v) = (&u[line * coloured..][..coloured], &v[line * coloured..][..coloured]);
                for (sum, (left, right)) in sums.iter_mut().zip(&columns) {
                    sum[1] += total(&u[left >> across..=right >> across]);
                    sum[2] += total(&v[left >> across..=right >> across]);
                }
            }
            let mut at = origin + row as isize * y_step;
            for (sum, (left, right)) in sums.iter().zip(&columns) {
                let bright = (bottom - top + 1) * (right - left + 1);
                let colours = lines.clone().count() * ((right >> across) - (left >> across) + 1);
                let mean = |sum: u64, count: usize| sum as f64 / count as f64;
                let pixel = tables.of_means(mean(sum[0], bright), mean(sum[1], colours), mean(sum[2], colours));
                rgb[3 * at as usize..][..3].copy_from_slice(&pixel);
                at += x_step;
            }
        }
        rgb
    }
}

fn total<S: Copy + Into<usize>>(list: &[S]) -> u64 {
    list.iter().map(|sample| (*sample).into() as u64).sum()
}

/// First and last sample of each cell along a side; the cell that is left over lies at the upright end.
fn cells(length: usize, factor: usize, against: bool) -> Vec<(usize, usize)> {
    let mut list: Vec<(usize, usize)> = (0..length)
        .step_by(factor)
        .map(|first| (first, (first + factor).min(length) - 1))
        .collect();
    if against {
        list.reverse();
        for (first, last) in &mut list {
            (*first, *last) = (length - 1 - *last, length - 1 - *first);
        }
    }
    list
}

/// What each value of brightness and colour adds to red, green and blue, in 1/65536.
struct Tables {
    bright: Vec<i32>,
    red_v: Vec<i32>,
    green_u: Vec<i32>,
    green_v: Vec<i32>,
    blue_u: Vec<i32>,
    last: usize,
    scale: [f64; 7],
}

impl Tables {
    fn new(planes: &Planes) -> Self {
        let (red, blue) = planes.colour.shares(planes.height);
        let green = 1.0 - red - blue;
        let unit = f64::from(1u32 << (planes.bits - 8));
        let top = f64::from((1u32 << planes.bits) - 1);
        let (black, bright, colour) = if planes.colour.full {
            (0.0, 255.0 / top, 255.0 / top)
        } else {
            (16.0 * unit, 255.0 / (219.0 * unit), 255.0 / (224.0 * unit))
        };
        let middle = 128.0 * unit;
        let scale = [
            black,
            middle,
            bright,
            2.0 * (1.0 - red) * colour,
            -2.0 * (1.0 - blue) * blue / green * colour,
            -2.0 * (1.0 - red) * red / green * colour,
            2.0 * (1.0 - blue) * colour,
        ];
        let values = 1usize << planes.bits;
        let table = |from: f64, factor: f64, more: f64| -> Vec<i32> {
            let entry = |value: usize| ((value as f64 - from) * factor * 65_536.0 + more).round() as i32;
            (0..values).map(entry).collect()
        };
        Self {
            bright: table(black, bright, 32_768.0),
            red_v: table(middle, scale[3], 0.0),
            green_u: table(middle, scale[4], 0.0),
            green_v: table(middle, scale[5], 0.0),
            blue_u: table(middle, scale[6], 0.0),
            last: values - 1,
            scale,
        }
    }

    #[inline(always)]
    fn pixel<S: Copy + Into<usize>>(&self, y: S, u: S, v: S) -> [u8; 3] {
        let (y, u, v) = (y.into() & self.last, u.into() & self.last, v.into() & self.last);
        let bright = self.bright[y];
        let byte = |sum: i32| (sum >> 16).clamp(0, 255) as u8;
        [
            byte(bright + self.red_v[v]),
            byte(bright + self.green_u[u] + self.green_v[v]),
            byte(bright + self.blue_u[u]),
        ]
    }

    fn line<S: Copy + Into<usize>>(&self, y: &[S], u: &[S], v: &[S], across: u32, out: &mut [u8]) {
        let byte = |sum: i32| (sum >> 16).clamp(0, 255) as u8;
        let wide = 1usize << across;
        let colours = u.iter().zip(v);
        for ((bright, (u, v)), out) in y.chunks_exact(wide).zip(colours).zip(out.chunks_exact_mut(3 * wide)) {
            let (u, v) = ((*u).into() & self.last, (*v).into() & self.last);
            let (red, green, blue) = (self.red_v[v], self.green_u[u] + self.green_v[v], self.blue_u[u]);
            for (bright, out) in bright.iter().zip(out.chunks_exact_mut(3)) {
                let bright = self.bright[(*bright).into() & self.last];
                out[0] = byte(bright + red);
                out[1] = byte(bright + green);
                out[2] = byte(bright + blue);
            }
        }
    }

    fn of_means(&self, y: f64, u: f64, v: f64) -> [u8; 3] {
        let [black, middle, bright, red_v, green_u, green_v, blue_u] = self.scale;
        let (y, u, v) = ((y - black) * bright, u - middle, v - middle);
        let byte = |value: f64| value.round().clamp(0.0, 255.0) as u8;
        [
            byte(y + red_v * v),
            byte(y + green_u * u + green_v * v),
            byte(y + blue_u * u),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flat(bits: u32, [y, u, v]: [u16; 3], colour: Colour) -> Planes {
        let list = |value: u16, count: usize| match bits {
            8 => Samples::Bytes(vec![value as u8; count]),
            _ => Samples::Words(vec![value; count]),
        };
        let planes = Planes {
            width: 4,
            height: 2,
            halved: (1, 1),
            bits,
            y: list(y, 8),
            u: list(u, 2),
            v: list(v, 2),
            colour,
        };
        planes.checked().unwrap()
    }

    fn colour(matrix: u8, full: bool) -> Colour {
        Colour {
            matrix,
            transfer: 2,
            full,
        }
    }

    #[test]
    fn plain_colours_by_each_matrix_range_and_depth() {
        // Red, worked out by hand: y = 16 + 219 share, v = 240, u from the shares.
        for (matrix, yuv) in [(5, [81, 90, 240]), (1, [63, 102, 240]), (9, [74, 97, 240])] {
            let planes = flat(8, yuv, colour(matrix, false));
            let rgb = planes.picture(WayUp::AS_STORED).unwrap().rgb()[..3].to_vec();
            assert!(rgb[0] >= 253 && rgb[1] <= 2 && rgb[2] <= 2, "{matrix}: {rgb:?}");
            let wide = flat(10, yuv.map(|value| 4 * value), colour(matrix, false));
            assert_eq!(wide.picture(WayUp::AS_STORED).unwrap().rgb()[..3], rgb[..]);
        }
        let white = |bits, y, full| {
            let middle = 128u16 << (bits - 8);
            let planes = flat(bits, [y, middle, middle], colour(1, full));
            planes.picture(WayUp::AS_STORED).unwrap().rgb()[0]
        };
        assert_eq!(
            (white(8, 235, false), white(8, 16, false), white(8, 0, false)),
            (255, 0, 0)
        );
        assert_eq!((white(8, 255, true), white(8, 16, true)), (255, 16));
        assert_eq!((white(10, 1_023, true), white(10, 940, false)), (255, 255));
    }

    #[test]
    fn the_file_speaks_where_the_stream_is_silent() {
        let said = colour(1, false);
        assert_eq!(Colour::UNSAID.or(Some(colour(9, true))), colour(9, true));
        assert_eq!(said.or(Some(colour(9, true))), said);
        assert_eq!(Colour::UNSAID.shares(719).0, 0.299);
        assert_eq!(Colour::UNSAID.shares(720).0, 0.2126);
    }

    #[test]
    fn a_reduced_picture_is_that_of_the_full_one_however_it_is_turned() {
        let (wide, high) = (38u32, 22u32);
        let ramp = |count: usize, by: usize, from: usize| -> Samples {
            Samples::Bytes((0..count).map(|k| (from + k * by % 61) as u8).collect())
        };
        let planes = Planes {
            width: wide,
            height: high,
            halved: (1, 1),
            bits: 8,
            y: ramp(38 * 22, 7, 90),
            u: ramp(19 * 11, 3, 110),
            v: ramp(19 * 11, 5, 110),
            colour: colour(5, false),
        };
        for matrix in [
            [1.0, 0.0, 0.0, 1.0],
            [0.0, 1.0, -1.0, 0.0],
            [-1.0, 0.0, 0.0, -1.0],
            [0.0, -1.0, 1.0, 0.0],
        ] {
            let way = WayUp::from_matrix(matrix).unwrap();
            for factor in [2, 4, 8] {
                let quick = planes.reduced(way, factor).unwrap();
                let slow = planes.picture(way).unwrap().reduced(factor);
                assert_eq!((quick.width(), quick.height()), (slow.width(), slow.height()));
                let apart = quick.rgb().iter().zip(slow.rgb()).map(|(a, b)| a.abs_diff(*b)).max();
                assert!(apart <= Some(1), "{matrix:?} {factor}: {apart:?}");
            }
            assert_eq!(
                planes.reduced(way, 3).unwrap().width(),
                way.size(wide, high).0.div_ceil(3)
            );
        }
    }
}
