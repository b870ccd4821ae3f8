//! Where the parts of one tree go: layers from top to bottom, few crossings, long edges around the boxes.
//!
//! The method is Sugiyama's: layers by the longest way from the start, an unseen place in every layer that an
//! edge passes, an order within each layer by the mean of the neighbours, then places as near to the
//! neighbours as the widths allow. Whole pixels in, and the same picture every time.

use super::super::tree::{Target, Tree};

/// Pixels between two boxes beside each other.
const GAP: i64 = 26;
/// Pixels between two layers, without the labels.
const RISE: i64 = 44;
/// Pixels for each label of the answers that leave a layer.
pub(crate) const LABEL: i64 = 15;
/// Sweeps down and up; the order of trees of this size does not change after a few.
const SWEEPS: usize = 12;

/// The size of a box, in pixels.
#[derive(Debug, Clone, Copy)]
pub struct Size {
    pub width: i64,
    pub height: i64,
}

/// An arrow: the answers that lead from one node to another. Steps come first among nodes, then findings.
#[derive(Debug, Clone)]
pub struct Arrow {
    pub from: usize,
    pub to: usize,
    pub answers: Vec<String>,
    /// For each layer that it passes: x of its middle there, top and bottom of the layer.
    pub past: Vec<(i64, i64, i64)>,
}

/// A tree laid out, in pixels.
#[derive(Debug)]
pub struct Layout {
    /// The middle of the top edge of each node.
    pub places: Vec<(i64, i64)>,
    pub arrows: Vec<Arrow>,
    pub width: i64,
    pub height: i64,
}

/// One place of a layer: a node, or an arrow that passes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Slot {
    Node(usize),
    Past { arrow: usize, layer: usize },
}

/// Lays out a tree whose nodes have these sizes.
pub fn layout(tree: &Tree, sizes: &[Size]) -> Layout {
    let mut arrows = arrows(tree);
    let layer_of = layers(tree, &arrows, sizes.len());
    let mut grid = Grid::new(&arrows, &layer_of, sizes);
    for sweep in 0..SWEEPS {
        grid.order(sweep % 2 == 0);
    }
    for sweep in 0..SWEEPS {
        grid.place(sweep % 2 == 0);
    }
    let left = grid.left();
    let mut places = vec![(0, 0); sizes.len()];
    let (mut top, mut width) = (0, 0);
    for (layer, slots) in grid.layers.iter().enumerate() {
        let height = slots.iter().map(|cell| cell.size.height).max().unwrap_or(0);
        for cell in slots {
            let middle = cell.middle - left;
            width = width.max(middle + cell.size.width / 2);
            match cell.slot {
                Slot::Node(node) => places[node] = (middle, top),
                Slot::Past { arrow, .. } => arrows[arrow].past.push((middle, top, top + height)),
            }
        }
        let labels = most_labels(&arrows, &layer_of, layer);
        top += height + RISE + LABEL * labels;
    }
    let lowest = places.iter().zip(sizes).map(|((_, top), size)| top + size.height).max().unwrap_or(0);
    Layout { places, arrows, width, height: lowest }
}

fn arrows(tree: &Tree) -> Vec<Arrow> {
    let mut arrows: Vec<Arrow> = Vec::new();
    for (from, step) in tree.steps.iter().enumerate() {
        for choice in &step.options {
            let to = match choice.to {
                Target::Step(step) => step,
                Target::Find(finding) => tree.steps.len() + finding,
            };
            match arrows.iter_mut().find(|arrow| (arrow.from, arrow.to) == (from, to)) {
                Some(arrow) => arrow.answers.push(choice.name.clone()),
                None => {
                    arrows.push(Arrow { from, to, answers: vec![choice.name.clone()], past: Vec::new() });
                }
            }
        }
    }
    arrows
}

/// The longest way to each node. INVARIANT: a checked tree has no cycle, so this many rounds are enough.
fn layers(tree: &Tree, arrows: &[Arrow], nodes: usize) -> Vec<usize> {
    let mut layers = vec![0; nodes];
    for _ in 0..=tree.steps.len() {
        for arrow in arrows {
            layers[arrow.to] = layers[arrow.to].max((layers[arrow.from] + 1).min(tree.steps.len()));
        }
    }
    layers
}

fn most_labels(arrows: &[Arrow], layer_of: &[usize], layer: usize) -> i64 {
    let leaving = |node: usize| arrows.iter().filter(|arrow| arrow.from == node).count();
    let nodes = layer_of.iter().enumerate().filter(|(_, of)| **of == layer);
    nodes.map(|(node, _)| leaving(node) as i64).max().unwrap_or(0)
}

#[derive(Debug, Clone)]
struct Cell {
    slot: Slot,
    size: Size,
    middle: i64,
    /// Cells of the layer above and of the layer below, by their slots.
    above: Vec<Slot>,
    below: Vec<Slot>,
}

struct Grid {
    layers: Vec<Vec<Cell>>,
}

impl Grid {
    fn new(arrows: &[Arrow], layer_of: &[usize], sizes: &[Size]) -> Grid {
        let deepest = layer_of.iter().copied().max().unwrap_or(0);
        let mut layers: Vec<Vec<Cell>> = vec![Vec::new(); deepest + 1];
        let cell = |slot, size| Cell { slot, size, middle: 0, above: Vec::new(), below: Vec::new() };
        for (node, (layer, size)) in layer_of.iter().zip(sizes).enumerate() {
            layers[*layer].push(cell(Slot::Node(node), *size));
        }
        let mut links = Vec::new();
        for (index, arrow) in arrows.iter().enumerate() {
            let mut last = (layer_of[arrow.from], Slot::Node(arrow.from));
            let between = layer_of[arrow.from] + 1..layer_of[arrow.to];
            for (layer, cells) in layers.iter_mut().enumerate().filter(|(layer, _)| between.contains(layer)) {
                let slot = Slot::Past { arrow: index, layer };
                cells.push(cell(slot, Size { width: 12, height: 0 }));
                links.push((last, (layer, slot)));
                last = (layer, slot);
            }
            links.push((last, (layer_of[arrow.to], Slot::Node(arrow.to))));
        }
        for ((upper, from), (lower, to)) in links {
            layers[upper].iter_mut().filter(|cell| cell.slot == from).for_each(|cell| cell.below.push(to));
            layers[lower].iter_mut().filter(|cell| cell.slot == to).for_each(|cell| cell.above.push(from));
        }
        let mut grid = Grid { layers };
        grid.layers.iter_mut().for_each(|layer| pack(layer));
        grid
    }

    fn middle(&self, layer: usize, slot: Slot) -> Option<i64> {
        self.layers.get(layer)?.iter().find(|cell| cell.slot == slot).map(|cell| cell.middle)
    }

    /// The mean middle of a cell's neighbours on one side; its own if it has none.
    fn wanted(&self, layer: usize, cell: &Cell, down: bool) -> i64 {
        let (slots, other) = match (down, layer) {
            (true, 0) => return cell.middle,
            (true, layer) => (&cell.above, layer - 1),
            (false, layer) => (&cell.below, layer + 1),
        };
        let middles: Vec<i64> = slots.iter().filter_map(|slot| self.middle(other, *slot)).collect();
        let count = middles.len() as i64;
        if count == 0 { cell.middle } else { middles.iter().sum::<i64>() / count }
    }

    fn walk(&self, down: bool) -> Vec<usize> {
        let layers = 0..self.layers.len();
        if down { layers.collect() } else { layers.rev().collect() }
    }

    fn order(&mut self, down: bool) {
        for layer in self.walk(down) {
            let mut cells: Vec<(i64, Cell)> = self.layers[layer]
                .iter()
                .map(|cell| (self.wanted(layer, cell, down), cell.clone()))
                .collect();
            cells.sort_by_key(|(wanted, _)| *wanted);
            let mut cells: Vec<Cell> = cells.into_iter().map(|(_, cell)| cell).collect();
            pack(&mut cells);
            self.layers[layer] = cells;
        }
    }

    /// As near to what is wanted as the order and the widths allow: the mean of pushing right and pushing left.
    fn place(&mut self, down: bool) {
        for layer in self.walk(down) {
            let cells = &self.layers[layer];
            let wanted: Vec<i64> = cells.iter().map(|cell| self.wanted(layer, cell, down)).collect();
            let apart = |left: usize| (cells[left].size.width + cells[left + 1].size.width) / 2 + GAP;
            let (mut right, mut left) = (wanted.clone(), wanted);
            for index in 1..cells.len() {
                right[index] = right[index].max(right[index - 1] + apart(index - 1));
            }
            for index in (1..cells.len()).rev() {
                left[index - 1] = left[index - 1].min(left[index] - apart(index - 1));
            }
            let middles: Vec<i64> = right.iter().zip(&left).map(|(right, left)| (right + left) / 2).collect();
            for (cell, middle) in self.layers[layer].iter_mut().zip(middles) {
                cell.middle = middle;
            }
        }
    }

    fn left(&self) -> i64 {
        let edges = self.layers.iter().flatten().map(|cell| cell.middle - cell.size.width / 2);
        edges.min().unwrap_or(0)
    }
}

/// Side by side, around the middle.
fn pack(cells: &mut [Cell]) {
    let whole: i64 = cells.iter().map(|cell| cell.size.width + GAP).sum::<i64>() - GAP;
    let mut at = -whole / 2;
    for cell in cells {
        cell.middle = at + cell.size.width / 2;
        at += cell.size.width + GAP;
    }
}
