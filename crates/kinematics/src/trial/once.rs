//! Measures taken once per attempt: distances between contact points, and times.

use crate::contact::Contact;
use crate::trial::{NotSeen, Trial, Value};
use crate::{EventKind, Joint, Landmark, Measure, Point, Side, TemporalError, Unit, Vector};

/// The rear foot of a lunge may leave the floor this long before the front foot is down, seconds.
const LUNGE_SLACK_S: f64 = 0.15;

impl Trial {
    /// A measure that carries its own instants.
    ///
    /// # Errors
    /// What is missing, in [`NotSeen`].
    pub fn once(&self, measure: Measure, unit: Unit) -> Result<Value, NotSeen> {
        if !self.knows_facing() && !self.frontal && measure == Measure::HandToFootDistance {
            return Err(NotSeen::Facing);
        }
        let value = match measure {
            Measure::HandToFootDistance => self.hand_to_foot(),
            Measure::LungeLength => self.lunge_length(),
            Measure::HandStagger => self.hand_stagger(),
            Measure::SupportTime => self.between(EventKind::HandPlacement, EventKind::HandDeparture),
            Measure::FlightTime => self.between(EventKind::HandDeparture, EventKind::FeetTouchdown),
            Measure::HandFlightTime => self.between(EventKind::HandDeparture, EventKind::HandsReturn),
            Measure::HoldTime => self.between(EventKind::HoldStart, EventKind::HoldEnd),
            Measure::LegsTogetherBeforeInverted => self.between(EventKind::LegsTogether, EventKind::Inverted),
            Measure::LegsTogetherBeforeDeparture => self.between(EventKind::LegsTogether, EventKind::HandDeparture),
            Measure::HandsLeaveApart => self.hands_apart(|contact| contact.stop, EventKind::HandDeparture),
            Measure::HandsLandApart => self.hands_apart(|contact| contact.start, EventKind::HandPlacement),
            Measure::RiseAfterDeparture => self.rise_after_departure(unit),
            _ => Err(NotSeen::Undefined("taken at an instant or over a phase, not once")),
        }?;
        self.convert(value, unit)
    }

    /// Seconds from one event to another.
    ///
    /// # Errors
    /// Names the event that is missing.
    pub fn between(&self, from: EventKind, to: EventKind) -> Result<Value, NotSeen> {
        let from = self.found.event(from).ok_or(NotSeen::Event(from))?;
        let to = self.found.event(to).ok_or(NotSeen::Event(to))?;
        Ok(self.plain(
            to.time - from.time,
            from.sd.hypot(to.sd),
            Unit::Seconds,
            (from.frame.min(to.frame), from.frame.max(to.frame)),
        ))
    }

    fn plain(&self, value: f64, sd: f64, unit: Unit, frames: (usize, usize)) -> Value {
        Value {
            value,
            sd,
            unit,
            fold: None,
            frames,
            remarks: Vec::new(),
            timing_share: if unit == Unit::Seconds { 1.0 } else { 0.0 },
            tilt_share: 0.0,
            gradient: None,
            own_variance: sd * sd,
        }
    }

    /// What is missing where an event's contact is not there: the event, or what else, if the coach gave the event.
    pub(crate) fn lacks(&self, kind: EventKind) -> NotSeen {
        if self.found.event(kind).is_none() {
            return NotSeen::Event(kind);
        }
        NotSeen::Undefined(match kind {
            EventKind::PushOffFootDown | EventKind::PushOffFootLeaves => "the push-off foot is not seen on the floor",
            EventKind::HandPlacement | EventKind::HandDeparture => "the hands are not seen on the floor",
            _ => "what this is measured on is not seen then",
        })
    }

    fn hands_apart(
        &self,
        end: impl Fn(&Contact) -> Option<crate::contact::Instant>,
        kind: EventKind,
    ) -> Result<Value, NotSeen> {
        let support = self.found.support.as_ref().ok_or_else(|| self.lacks(kind))?;
        let [left, right] = support
            .both()
            .ok_or(NotSeen::Undefined("one hand only was seen on the floor"))?;
        let (left, right) = (
            end(left).ok_or_else(|| self.lacks(kind))?,
            end(right).ok_or_else(|| self.lacks(kind))?,
        );
        let frames = (left.frame.min(right.frame), left.frame.max(right.frame));
        Ok(self.plain(
            (left.time - right.time).abs(),
            left.sd.hypot(right.sd),
            Unit::Seconds,
            frames,
        ))
    }

    /// Mean of the hands' contact points (fingertip, else wrist; each the median while down).
    pub(crate) fn contact_of_hands(&self) -> Option<Point> {
        let support = self.found.support.as_ref()?;
        let joint = support.stand_in.unwrap_or(Joint::Fingertip);
        let points: Vec<Point> = Side::BOTH
            .into_iter()
            .zip(&support.hands)
            .filter_map(|(side, contact)| {
                let contact = contact.as_ref()?;
                self.series
                    .median_while(Landmark::of(joint, side), contact.first, contact.end)
            })
            .collect();
        let sum = points.iter().fold(Vector::zeros(), |sum, point| sum + point.coords);
        (!points.is_empty()).then(|| Point::from(sum / points.len() as f64))
    }

    /// Sd per axis of the median of a landmark while down: √(π/2 / n) of one frame's, shared errors whole.
    fn contact_sd(&self, landmark: Landmark, contact: &Contact) -> f64 {
        let sd = self.series.raw().sd_at(landmark, contact.first);
        let n = (contact.end - contact.first).max(1) as f64;
        let independent = match self.series.raw().temporal_error {
            TemporalError::Independent => n,
            TemporalError::Correlated(rho) => (n * (1.0 - rho) / (1.0 + rho)).max(1.0),
            TemporalError::Shared => return sd,
        };
        sd * (std::f64::consts::FRAC_PI_2 / independent).sqrt().min(1.0)
    }

    fn hand_to_foot(&self) -> Result<Value, NotSeen> {
        let support = self
            .found
            .support
            .as_ref()
            .ok_or_else(|| self.lacks(EventKind::HandPlacement))?;
        let hands = self
            .contact_of_hands()
            .ok_or_else(|| self.lacks(EventKind::HandPlacement))?;
        let feet = &self.found.feet;
        let side = feet.push_off.ok_or_else(|| self.lacks(EventKind::PushOffFootLeaves))?;
        let contact = feet
            .push_off_contact
            .ok_or_else(|| self.lacks(EventKind::PushOffFootLeaves))?;
        let joint = if feet.stand_in.is_some() {
            Joint::Ankle
        } else {
            Joint::Toe
        };
        let landmark = Landmark::of(joint, side);
        let foot = self
            .series
            .median_while(landmark, contact.first, contact.end)
            .ok_or_else(|| self.lacks(EventKind::PushOffFootLeaves))?;
        let hand_joint = support.stand_in.unwrap_or(Joint::Fingertip);
        let hand_sds: Vec<f64> = Side::BOTH
            .into_iter()
            .zip(&support.hands)
            .filter_map(|(side, contact)| Some(self.contact_sd(Landmark::of(hand_joint, side), contact.as_ref()?)))
            .collect();
        let hands_sd = hand_sds.iter().map(|s| s * s).sum::<f64>().sqrt() / hand_sds.len() as f64;
        let points = self.contact_sd(landmark, &contact).hypot(hands_sd);
        let tilt = (hands.y - foot.y) * self.tilt_sd;
        let mut value = self.plain(
            hands.x - foot.x,
            points.hypot(tilt),
            Unit::Pixels,
            (contact.first, support.end().saturating_sub(1)),
        );
        if feet.stand_in.is_some() {
            value.remarks.push("from the ankle: no toe seen".to_owned());
        }
        if support.stand_in.is_some() {
            value.remarks.push("to the wrists: no fingertip seen".to_owned());
        }
        Ok(value)
    }

    fn lunge_length(&self) -> Result<Value, NotSeen> {
        let missing = self.lacks(EventKind::PushOffFootDown);
        let feet = &self.found.feet;
        let side = feet.push_off.ok_or(missing.clone())?;
        let front = feet.push_off_contact.ok_or(missing.clone())?;
        let down = front.start.ok_or(missing)?;
        let joint = if feet.stand_in.is_some() {
            Joint::Ankle
        } else {
            Joint::Toe
        };
        let rear_side = side.other();
        let k = if rear_side == Side::Left { 0 } else { 1 };
        let times = &self.series.raw().times;
        let rear = feet.contacts[k]
            .iter()
            .rfind(|contact| contact.first <= down.frame && contact.stop_time(times) >= down.time - LUNGE_SLACK_S)
            .ok_or(NotSeen::Undefined(
                "the rear foot is off the floor when the push-off foot comes down",
            ))?;
        let place = |side, contact: &Contact| {
            let landmark = Landmark::of(joint, side);
            let point = self.series.median_while(landmark, contact.first, contact.end);
            point.map(|point| (point, self.contact_sd(landmark, contact)))
        };
        let undefined = NotSeen::Undefined("a toe is not seen while down");
        let (front_at, front_sd) = place(side, &front).ok_or(undefined.clone())?;
        let (rear_at, rear_sd) = place(rear_side, rear).ok_or(undefined)?;
        let tilt = (front_at.y - rear_at.y) * self.tilt_sd;
        let sd = front_sd.hypot(rear_sd).hypot(tilt);
        let mut value = self.plain(
            (front_at.x - rear_at.x).abs(),
            sd,
            Unit::Pixels,
            (down.frame, down.frame),
        );
        if feet.stand_in.is_some() {
            value.remarks.push("between ankles: no toe seen".to_owned());
        }
        Ok(value)
    }

    fn hand_stagger(&self) -> Result<Value, NotSeen> {
        let support = self
            .found
            .support
            .as_ref()
            .ok_or_else(|| self.lacks(EventKind::HandPlacement))?;
        let [left, right] = support
            .both()
            .ok_or(NotSeen::Undefined("one hand only was seen on the floor"))?;
        let joint = support.stand_in.unwrap_or(Joint::Fingertip);
        let place = |side, contact: &Contact| {
            let landmark = Landmark::of(joint, side);
            let point = self.series.median_while(landmark, contact.first, contact.end);
            point.map(|point| (point, self.contact_sd(landmark, contact)))
        };
        let missing = self.lacks(EventKind::HandPlacement);
        let (left_at, left_sd) = place(Side::Left, left).ok_or(missing.clone())?;
        let (right_at, right_sd) = place(Side::Right, right).ok_or(missing)?;
        let frames = (left.first.min(right.first), left.end.max(right.end).saturating_sub(1));
        let mut value = self.plain(
            (left_at.x - right_at.x).abs(),
            left_sd.hypot(right_sd),
            Unit::Pixels,
            frames,
        );
        value.fold = Some(crate::trial::Fold::FromZero);
        if support.stand_in.is_some() {
            value.remarks.push("between wrists: no fingertip seen".to_owned());
        }
        Ok(value)
    }
}
