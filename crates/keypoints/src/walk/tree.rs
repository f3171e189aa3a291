//! The places of a layout as one tree, to be followed through a file.

use crate::path::{Path, Step};
use crate::shape::{JsonShape, Where};

/// What a value is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mark {
    Frame,
    Person,
    FrameNumber,
    Time,
    PersonNumber,
    Points,
    Scores,
    Rate,
    Width,
    Height,
    FrameWidth,
    FrameHeight,
}

/// A value on the way to what is wanted.
#[derive(Clone, Debug, Default)]
pub(super) struct Node {
    keys: Vec<(String, usize)>,
    members: Option<usize>,
    each: Option<usize>,
    entries: Vec<(usize, usize)>,
    pub(super) marks: Vec<Mark>,
}

impl Node {
    pub(super) fn has(&self, mark: Mark) -> bool {
        self.marks.contains(&mark)
    }

    /// The child to go to for an object's member.
    pub(super) fn member(&self, key: &str) -> Option<usize> {
        self.keys
            .iter()
            .find(|(name, _)| name == key)
            .map(|(_, node)| *node)
            .or(self.members)
    }

    /// The child to go to for a list's entry.
    pub(super) fn entry(&self, index: usize) -> Option<usize> {
        self.entries
            .iter()
            .find(|(at, _)| *at == index)
            .map(|(_, node)| *node)
            .or(self.each)
    }
}

/// Every place of a shape as one tree; node 0 is the whole file.
#[derive(Clone, Debug)]
pub(super) struct Tree(pub(super) Vec<Node>);

impl Tree {
    pub(super) fn of(shape: &JsonShape) -> Self {
        let mut tree = Tree(vec![Node::default()]);
        let frame = tree.grow(0, &shape.frames, Mark::Frame);
        let person = tree.grow(frame, &shape.people, Mark::Person);
        tree.grow(person, &shape.points, Mark::Points);
        let number = |place: &Option<Where>| match place {
            Some(Where::Path(path)) => Some(path.clone()),
            _ => None,
        };
        for (from, path, mark) in [
            (frame, number(&shape.frame), Mark::FrameNumber),
            (frame, shape.time.clone(), Mark::Time),
            (frame, shape.frame_width.clone(), Mark::FrameWidth),
            (frame, shape.frame_height.clone(), Mark::FrameHeight),
            (person, number(&shape.person), Mark::PersonNumber),
            (person, shape.scores.clone(), Mark::Scores),
            (0, shape.rate.clone(), Mark::Rate),
            (0, shape.width.clone(), Mark::Width),
            (0, shape.height.clone(), Mark::Height),
        ] {
            if let Some(path) = path {
                tree.grow(from, &path, mark);
            }
        }
        tree
    }

    fn grow(&mut self, from: usize, path: &Path, mark: Mark) -> usize {
        let mut at = from;
        for step in &path.0 {
            let new = self.0.len();
            let node = &mut self.0[at];
            let known = match step {
                Step::Key(key) => node.keys.iter().find(|(name, _)| name == key).map(|(_, node)| *node),
                Step::Each => node.each,
                Step::Members => node.members,
                Step::Index(index) => node.entries.iter().find(|(at, _)| at == index).map(|(_, node)| *node),
            };
            if let Some(known) = known {
                at = known;
                continue;
            }
            match step {
                Step::Key(key) => node.keys.push((key.clone(), new)),
                Step::Each => node.each = Some(new),
                Step::Members => node.members = Some(new),
                Step::Index(index) => node.entries.push((*index, new)),
            }
            self.0.push(Node::default());
            at = new;
        }
        self.0[at].marks.push(mark);
        at
    }
}
