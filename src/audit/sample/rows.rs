//! The rows of a sample, in the blocks in which they were read: a million rows are not copied into one list.

use crate::sample::row::Row;
use rayon::prelude::*;
use std::iter::Flatten;
use std::ops::Index;
use std::slice::Iter;

/// Rows in order, each with a place.
#[derive(Clone, PartialEq, Default)]
pub struct Rows {
    blocks: Vec<Vec<Row>>,
    /// The place of the first row of each block.
    starts: Vec<usize>,
}

impl Rows {
    /// The number of rows in all blocks.
    pub fn len(&self) -> usize {
        self.starts.last().zip(self.blocks.last()).map_or(0, |(start, block)| start + block.len())
    }

    /// Whether there is no row.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// All of them, in order.
    pub fn iter(&self) -> Flatten<Iter<'_, Vec<Row>>> {
        self.blocks.iter().flatten()
    }

    /// All of them with their places, on all cores.
    pub(crate) fn par_iter(&self) -> impl ParallelIterator<Item = (usize, &Row)> {
        let blocks = self.blocks.par_iter().zip(&self.starts);
        blocks.flat_map_iter(|(block, start)| (*start..).zip(block))
    }

    pub(crate) fn push(&mut self, block: Vec<Row>) {
        if !block.is_empty() {
            self.starts.push(self.len());
            self.blocks.push(block);
        }
    }

    /// Keeps those for which `keeps` holds, in order.
    pub(crate) fn retain(&mut self, mut keeps: impl FnMut(&Row) -> bool) {
        self.starts.clear();
        for mut block in std::mem::take(&mut self.blocks) {
            block.retain(&mut keeps);
            self.push(block);
        }
    }
}

/// INVARIANT: the place is below [`Rows::len`], as for a slice.
impl Index<usize> for Rows {
    type Output = Row;

    fn index(&self, place: usize) -> &Row {
        let block = self.starts.partition_point(|start| *start <= place).saturating_sub(1);
        &self.blocks[block][place - self.starts[block]]
    }
}

impl<'a> IntoIterator for &'a Rows {
    type Item = &'a Row;
    type IntoIter = Flatten<Iter<'a, Vec<Row>>>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

impl FromIterator<Row> for Rows {
    fn from_iter<I: IntoIterator<Item = Row>>(rows: I) -> Rows {
        let mut found = Rows::default();
        found.push(rows.into_iter().collect());
        found
    }
}

impl std::fmt::Debug for Rows {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_list().entries(self).finish()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::row::Reader;

    fn row(id: usize) -> Row {
        let line = format!(
            r#"{{"id":"{id}","edition":"e","tree":"t","call":"c","answers":{{}},"outcome":"o","called_at":"2026-05-09T19:42:11Z","duration_s":1}}"#
        );
        Reader::default().row(&line).expect("a record")
    }

    #[test]
    fn rows_have_their_places_whatever_the_blocks() {
        let mut rows = Rows::default();
        assert!(rows.is_empty() && rows.iter().next().is_none());
        for block in [0..3, 3..3, 3..4, 4..9] {
            rows.push(block.map(row).collect());
        }
        let as_slice: Vec<Row> = (0..9).map(row).collect();
        assert_eq!(rows.len(), 9);
        assert!((0..9).all(|place| rows[place] == as_slice[place]));
        assert!(rows.iter().eq(&as_slice));
        let on_all_cores: Vec<(usize, &Row)> = rows.par_iter().collect();
        assert!(on_all_cores.into_iter().eq(as_slice.iter().enumerate()));
        let is_even = |row: &Row| row.id().parse::<usize>().is_ok_and(|id| id.is_multiple_of(2));
        rows.retain(is_even);
        let left: Vec<&Row> = as_slice.iter().filter(|row| is_even(row)).collect();
        assert_eq!(rows.len(), left.len());
        assert!(left.iter().enumerate().all(|(place, row)| rows[place] == **row));
        rows.retain(|_| false);
        assert!(rows.is_empty());
    }
}
