//! Colours. None means anything by itself: they part the figure from its angles and the near side from the far one, and
//! keep apart in grey as well.

/// Red, green, blue.
pub(crate) type Colour = [u8; 3];

/// The plain ground.
pub(crate) const GROUND: Colour = [250, 249, 246];
/// Behind the figure.
pub(crate) const FIELD: Colour = [255, 255, 255];
/// Words.
pub(crate) const INK: Colour = [28, 30, 38];
/// Words of less weight.
pub(crate) const FAINT: Colour = [92, 96, 108];
/// Lines that part.
pub(crate) const RULE: Colour = [205, 206, 212];
/// Limbs of the near side.
pub(crate) const NEAR: Colour = [58, 68, 98];
/// Trunk, neck and head.
pub(crate) const TRUNK: Colour = [112, 123, 155];
/// Limbs of the far side.
pub(crate) const FAR: Colour = [188, 195, 212];
/// Edges of limbs.
pub(crate) const EDGE: Colour = [255, 255, 255];
/// Angles and distances.
pub(crate) const ANGLE: Colour = [140, 28, 110];
/// The wedge of an angle.
pub(crate) const WEDGE: Colour = [238, 216, 232];
/// Floor.
pub(crate) const FLOOR: Colour = [120, 124, 134];
