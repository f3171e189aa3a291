//! The points of the body, and which side they are on.

/// The athlete's own left or right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// The athlete's left.
    Left,
    /// The athlete's right.
    Right,
}

impl Side {
    /// Left, then right.
    pub const BOTH: [Side; 2] = [Side::Left, Side::Right];

    /// The other side.
    #[must_use]
    pub fn other(self) -> Side {
        match self {
            Side::Left => Side::Right,
            Side::Right => Side::Left,
        }
    }

    /// `left` or `right`.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Right => "right",
        }
    }
}

/// A kind of point that the body has once or on each side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Joint {
    /// Eye.
    Eye,
    /// Ear canal.
    Ear,
    /// Shoulder joint.
    Shoulder,
    /// Elbow joint.
    Elbow,
    /// Wrist joint.
    Wrist,
    /// Tip of the middle (or index) finger.
    Fingertip,
    /// Hip joint.
    Hip,
    /// Knee joint.
    Knee,
    /// Ankle joint.
    Ankle,
    /// Back of the heel.
    Heel,
    /// Tip of the big toe.
    Toe,
}

macro_rules! landmarks {
    ($($name:ident = $id:literal, $joint:expr, $side:expr;)*) => {
        /// A point of the body. `Nose` is the only one without a side.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[repr(u8)]
        pub enum Landmark { $(#[doc = $id] $name,)* }

        impl Landmark {
            /// Every landmark, in the order in which arrays are indexed.
            pub const ALL: [Landmark; Landmark::COUNT] = [$(Landmark::$name,)*];
            /// The snake-case name used in files.
            #[must_use]
            pub fn id(self) -> &'static str {
                match self { $(Landmark::$name => $id,)* }
            }
            /// Which joint this is; `None` for the nose.
            #[must_use]
            pub fn joint(self) -> Option<Joint> {
                match self { $(Landmark::$name => $joint,)* }
            }
            /// Which side this is on; `None` for the nose.
            #[must_use]
            pub fn side(self) -> Option<Side> {
                match self { $(Landmark::$name => $side,)* }
            }
        }
    };
}

landmarks! {
    Nose = "nose", None, None;
    LeftEye = "left_eye", Some(Joint::Eye), Some(Side::Left);
    RightEye = "right_eye", Some(Joint::Eye), Some(Side::Right);
    LeftEar = "left_ear", Some(Joint::Ear), Some(Side::Left);
    RightEar = "right_ear", Some(Joint::Ear), Some(Side::Right);
    LeftShoulder = "left_shoulder", Some(Joint::Shoulder), Some(Side::Left);
    RightShoulder = "right_shoulder", Some(Joint::Shoulder), Some(Side::Right);
    LeftElbow = "left_elbow", Some(Joint::Elbow), Some(Side::Left);
    RightElbow = "right_elbow", Some(Joint::Elbow), Some(Side::Right);
    LeftWrist = "left_wrist", Some(Joint::Wrist), Some(Side::Left);
    RightWrist = "right_wrist", Some(Joint::Wrist), Some(Side::Right);
    LeftHip = "left_hip", Some(Joint::Hip), Some(Side::Left);
    RightHip = "right_hip", Some(Joint::Hip), Some(Side::Right);
    LeftKnee = "left_knee", Some(Joint::Knee), Some(Side::Left);
    RightKnee = "right_knee", Some(Joint::Knee), Some(Side::Right);
    LeftAnkle = "left_ankle", Some(Joint::Ankle), Some(Side::Left);
    RightAnkle = "right_ankle", Some(Joint::Ankle), Some(Side::Right);
    LeftHeel = "left_heel", Some(Joint::Heel), Some(Side::Left);
    RightHeel = "right_heel", Some(Joint::Heel), Some(Side::Right);
    LeftToe = "left_toe", Some(Joint::Toe), Some(Side::Left);
    RightToe = "right_toe", Some(Joint::Toe), Some(Side::Right);
    LeftFingertip = "left_fingertip", Some(Joint::Fingertip), Some(Side::Left);
    RightFingertip = "right_fingertip", Some(Joint::Fingertip), Some(Side::Right);
}

impl Landmark {
    /// How many there are; the 17 of the COCO layout come first, in its order.
    pub const COUNT: usize = 23;

    /// Position in arrays indexed by landmark.
    #[must_use]
    pub fn index(self) -> usize {
        self as usize
    }

    /// The landmark of that name in files.
    #[must_use]
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|landmark| landmark.id() == id)
    }

    /// The joint on that side.
    #[must_use]
    pub fn of(joint: Joint, side: Side) -> Self {
        let left = match joint {
            Joint::Eye => Landmark::LeftEye,
            Joint::Ear => Landmark::LeftEar,
            Joint::Shoulder => Landmark::LeftShoulder,
            Joint::Elbow => Landmark::LeftElbow,
            Joint::Wrist => Landmark::LeftWrist,
            Joint::Fingertip => Landmark::LeftFingertip,
            Joint::Hip => Landmark::LeftHip,
            Joint::Knee => Landmark::LeftKnee,
            Joint::Ankle => Landmark::LeftAnkle,
            Joint::Heel => Landmark::LeftHeel,
            Joint::Toe => Landmark::LeftToe,
        };
        match side {
            Side::Left => left,
            Side::Right => Self::ALL[left.index() + 1],
        }
    }

    /// The same joint on the other side; the nose is its own.
    #[must_use]
    pub fn mirrored(self) -> Self {
        match (self.joint(), self.side()) {
            (Some(joint), Some(side)) => Self::of(joint, side.other()),
            _ => self,
        }
    }

    /// Landmarks in words, both sides of a joint as one: `both wrists, left ankle`.
    ///
    /// # Example
    /// ```
    /// use springline_kinematics::Landmark as L;
    /// assert_eq!(L::in_words(&[L::LeftWrist, L::LeftAnkle, L::RightWrist]), "both wrists, left ankle");
    /// ```
    #[must_use]
    pub fn in_words(landmarks: &[Landmark]) -> String {
        let words: Vec<String> = landmarks
            .iter()
            .filter_map(|landmark| {
                let other = landmark.mirrored();
                let both = other != *landmark && landmarks.contains(&other);
                match (both, landmark.side()) {
                    (true, Some(Side::Right)) => None,
                    (true, _) => Some(format!("both {}s", landmark.joint()?.word())),
                    _ => Some(landmark.id().replace('_', " ")),
                }
            })
            .collect();
        words.join(", ")
    }
}

impl Joint {
    /// The word for it: `wrist`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Joint::Eye => "eye",
            Joint::Ear => "ear",
            Joint::Shoulder => "shoulder",
            Joint::Elbow => "elbow",
            Joint::Wrist => "wrist",
            Joint::Fingertip => "fingertip",
            Joint::Hip => "hip",
            Joint::Knee => "knee",
            Joint::Ankle => "ankle",
            Joint::Heel => "heel",
            Joint::Toe => "toe",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_sides_agree() {
        for (index, landmark) in Landmark::ALL.into_iter().enumerate() {
            assert_eq!(landmark.index(), index);
            assert_eq!(Landmark::from_id(landmark.id()), Some(landmark));
            assert_eq!(landmark.mirrored().mirrored(), landmark);
            if let (Some(joint), Some(side)) = (landmark.joint(), landmark.side()) {
                assert_eq!(Landmark::of(joint, side), landmark);
                assert!(landmark.id().starts_with(side.id()));
            }
        }
    }
}
