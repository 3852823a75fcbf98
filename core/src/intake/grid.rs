//! Points laid over a picture of comb, to be judged one by one.
//!
//! # References
//! Systematic sampling with a random start: each place of the picture is as likely as any other to
//! lie under a point, so the share of points on capped honey estimates its share of the area
//! without bias (Gundersen and Jensen, J. Microscopy 147 (1987) 229, from memory).

/// Ends of the scale on which points are told: ten-thousandths of a width or a height.
pub const WHOLE_SIDE: u32 = 10_000;
/// Most points of one grid.
const POINTS_AT_MOST: u32 = 1_000;

/// A grid of points with square meshes, as nearly as whole rows and columns allow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PointGrid {
    columns: u32,
    rows: u32,
    start: [u16; 2],
}

impl PointGrid {
    /// About as many points as `wanted` over a picture of this shape. `start` is where in its mesh
    /// each point lies, from the left and the top edge (0) to the right and the bottom (65,535);
    /// it has to be drawn at random for every picture.
    pub fn over(width: u32, height: u32, wanted: u32, start: [u16; 2]) -> Self {
        let wanted = u64::from(wanted.clamp(1, POINTS_AT_MOST));
        let (width, height) = (u64::from(width.max(1)), u64::from(height.max(1)));
        // Rounded to the nearest: the root of four times the square, halved.
        let columns = (4 * wanted * width / height)
            .isqrt()
            .div_ceil(2)
            .clamp(1, wanted);
        let rows = ((2 * wanted + columns) / (2 * columns)).max(1);
        let short = |count: u64| u32::try_from(count).unwrap_or(POINTS_AT_MOST);
        Self {
            columns: short(columns),
            rows: short(rows),
            start,
        }
    }

    /// Every point, row by row from the top left, in ten-thousandths of width and height.
    pub fn points(self) -> Vec<[u32; 2]> {
        let at = |place: u32, meshes: u32, start: u16| {
            let within = u64::from(place) * 65_536 + u64::from(start);
            let side = u64::from(WHOLE_SIDE) * within / (u64::from(meshes) * 65_536);
            u32::try_from(side).unwrap_or(WHOLE_SIDE)
        };
        let [left, top] = self.start;
        (0..self.rows)
            .flat_map(|row| (0..self.columns).map(move |column| (column, row)))
            .map(|(column, row)| [at(column, self.columns, left), at(row, self.rows, top)])
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn meshes_are_nearly_square() {
        let counts = |width, height, wanted| {
            let grid = PointGrid::over(width, height, wanted, [0, 0]);
            (grid.columns, grid.rows)
        };
        assert_eq!(counts(4_000, 3_000, 48), (8, 6));
        assert_eq!(counts(3_000, 4_000, 48), (6, 8));
        assert_eq!(counts(1_000, 1_000, 64), (8, 8));
        assert_eq!(counts(100_000, 1, 60), (60, 1));
        assert_eq!(counts(1, 100_000, 60), (1, 60));
        assert_eq!(counts(0, 0, 0), (1, 1));
    }

    /// Over all starts, the points of one mesh cover it evenly: the whole picture is as likely.
    #[test]
    fn every_place_is_as_likely() {
        let mut hit = [0; 100];
        for start in (0..65_536_u32).step_by(64) {
            let start = u16::try_from(start).unwrap();
            for [x, _] in PointGrid::over(100, 100, 16, [start, 0]).points() {
                hit[usize::try_from(x * 100 / WHOLE_SIDE).unwrap()] += 1;
            }
        }
        // 1,024 starts, 16 points each, over a hundred strips: 163.84 a strip.
        assert!(
            hit.iter().all(|count| (160..=168).contains(count)),
            "{hit:?}"
        );
    }

    proptest! {
        #[test]
        fn points_lie_on_the_picture(
            width in 0..20_000_u32, height in 0..20_000_u32, wanted in 0..2_000_u32,
            left: u16, top: u16,
        ) {
            let points = PointGrid::over(width, height, wanted, [left, top]).points();
            prop_assert!(!points.is_empty());
            prop_assert!(points.len() <= 1_500);
            prop_assert!(points.iter().flatten().all(|side| *side < WHOLE_SIDE));
        }
    }
}
