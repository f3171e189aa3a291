//! The front handspring: from the dials to a motion.

mod curves;
mod feet;
mod poses;

use crate::body::{Body, State, direction};
use crate::curve::Curve;
use crate::error::{Error, within};
use crate::motion::{JUST, Motion, Rule, mid_ankle};
use crate::params::Params;
use crate::story::Story;
use poses::Landing;
use springline_kinematics::{Joint, Landmark, Point, Side};

/// Builds the motion and says what it is.
pub(crate) fn build(params: &Params) -> Result<(Motion, Story), Error> {
    let mut builder = Builder::new(params)?;
    let mut made = builder.run();
    // Hands that would scrape the floor after leaving it stay flat for longer.
    for relax in [0.5, 0.9, 1.5] {
        let tip = [Landmark::LeftFingertip.id(), Landmark::RightFingertip.id()];
        match made {
            Err(Error::UnderFloor { point, time_s, .. }) if tip.contains(&point) && time_s > builder.plan.depart => {
                builder.relax = relax;
                made = builder.run();
            }
            _ => break,
        }
    }
    let motion = made?;
    let story = Story {
        first_foot: Some(builder.rear),
        step_out: Some(params.step_out),
        ..entry_story(params)
    };
    Ok((motion, story))
}

/// Up into a handstand and on from there: the departure pose (after `support_s`) stays for `flight_s`.
/// The hands stay down; the second value is when the pose is reached, s.
pub(crate) fn handstand(params: &Params) -> Result<(Motion, f64), Error> {
    let mut builder = Builder::new(params)?;
    builder.relax = 1e6;
    let gap = params.residual_gap;
    let mut motion = builder.leaning(|depart| {
        let mut held = *depart;
        held.0[State::hip_at(builder.push)] -= gap;
        Landing {
            touch: held,
            rest: held,
            stand: held,
        }
    })?;
    for hand in &mut motion.hands {
        hand.off = f64::INFINITY;
    }
    motion.end = builder.plan.touch;
    Ok((motion, builder.plan.depart))
}

/// Over the top and onto the back: the hands leave after `support_s`, mid-hip reaches that height in the
/// state given `flight_s` later and stays there. The second value is when, s.
pub(crate) fn onto_the_back(params: &Params, lying: State, height_m: f64) -> Result<(Motion, f64), Error> {
    let builder = Builder::new(params)?;
    let landing = Landing {
        touch: lying,
        rest: lying,
        stand: lying,
    };
    let mut motion = builder.leaning(|_| landing)?;
    let (off, touch) = (builder.plan.depart, builder.plan.touch);
    let hands: Vec<usize> = Side::BOTH.into_iter().map(State::hand_at).collect();
    motion.release(&hands, off, 0.2);
    let push = motion.launch(off, touch, |pose| pose.middle(Joint::Hip), None, height_m);
    within("upward push at hand departure, m/s", push.y, 0.0, 3.0)?;
    let rest = motion.instant(touch - JUST).root;
    let path = Rule::Path {
        x: Curve::through(&[(touch, rest.x)]),
        y: Curve::through(&[(touch, height_m)]),
    };
    motion.rules.push((touch, path));
    motion.end = touch + params.stand_after_s;
    motion.check()?;
    Ok((motion, touch))
}

/// The story of a handspring's entry.
pub(crate) fn entry_story(params: &Params) -> Story {
    let lunge_s = Some(params.stand_before_s + params.step_s);
    Story {
        push_off: Some(params.push_off),
        lunge_s,
        ..Story::default()
    }
}

/// The instants that the dials ask for, s.
#[derive(Clone, Copy, Debug)]
struct Plan {
    step: f64,
    lunge: f64,
    place: f64,
    depart: f64,
    touch: f64,
    /// The second foot lands.
    second: f64,
    rest: f64,
    /// Still resting.
    still: f64,
    stand: f64,
    end: f64,
}

struct Builder<'a> {
    p: &'a Params,
    body: Body,
    /// The leg that stands behind in the lunge, swings, and lands first.
    rear: Side,
    push: Side,
    front_toe: Point,
    /// Mean of the wrists while they are down.
    hands: Point,
    stand: State,
    lunge: State,
    place: State,
    plan: Plan,
    /// From hand departure until the hands hang loose again, s.
    relax: f64,
}

impl<'a> Builder<'a> {
    fn new(p: &'a Params) -> Result<Self, Error> {
        let body = p.body();
        let leg = body.leg_m();
        let (push, rear) = (p.push_off, p.push_off.other());
        let front_toe = Point::new(p.lunge_length * leg, 0.0);
        let stand = State::upright(&body, p.start_shoulder);
        let (lunge, lunge_root) = poses::lunge(p, &body, front_toe)?;
        let ahead = front_toe.x + p.hand_to_foot * leg;
        let hands = Point::new(ahead - body.palm_ahead(), body.wrist_height_m);
        let (place, place_root) = poses::placement(p, &body, front_toe, hands)?;
        let entry = (place_root.x - lunge_root.x) / p.travel_speed_m_s;
        let entry = entry.clamp(0.24, 0.9);

        let step = p.stand_before_s;
        let lunge_s = step + p.step_s;
        let place_s = lunge_s + entry;
        let depart = place_s + p.support_s;
        let touch = depart + p.flight_s;
        let rest = touch.max(depart) + p.landing_s;
        let plan = Plan {
            step,
            lunge: lunge_s,
            place: place_s,
            depart,
            touch,
            second: touch + p.second_foot_after_s,
            rest,
            still: rest + 0.12,
            stand: rest + 0.8,
            end: rest + p.stand_after_s.max(0.3),
        };
        if p.flight_s != 0.0 {
            within("flight or time in the bridge, s", p.flight_s.abs(), 0.008, 100.0)?;
        }
        within("touchdown after hand placement, s", touch - place_s, 0.1, 100.0)?;
        Ok(Self {
            p,
            body,
            rear,
            push,
            front_toe,
            hands,
            stand,
            lunge,
            place,
            plan,
            relax: 0.3,
        })
    }

    fn run(&self) -> Result<Motion, Error> {
        let motion = if self.p.flight_s > 0.0 {
            self.with_flight()?
        } else {
            self.through_bridge()?
        };
        motion.check()?;
        Ok(motion)
    }

    /// Off the hands and onto the feet.
    fn with_flight(&self) -> Result<Motion, Error> {
        let landing = self.landing(self.touchdown()?)?;
        self.fly(self.leaning(|_| landing)?)
    }

    /// Finds the trunk inclination at departure that gives the body-line lean asked for.
    fn leaning(&self, landing: impl Fn(&State) -> Landing) -> Result<Motion, Error> {
        let mut trunk = 180.0 + self.p.departure_lean;
        let mut lean = f64::NAN;
        for _ in 0..15 {
            let depart = self.departure(trunk);
            let motion = self.assemble(&depart, &landing(&depart))?;
            let pose = motion.pose(self.plan.depart);
            lean = direction(mid_ankle(&pose) - pose.middle(Joint::Wrist));
            if (lean - self.p.departure_lean).abs() < 1e-6 {
                return Ok(motion);
            }
            trunk += self.p.departure_lean - lean;
        }
        Err(Error::Implausible {
            what: "body-line lean at hand departure, degrees",
            found: lean,
            least: self.p.departure_lean - 1e-6,
            most: self.p.departure_lean + 1e-6,
        })
    }

    /// The feet land while the hands are still down.
    fn through_bridge(&self) -> Result<Motion, Error> {
        let touch = self.bridge_touchdown()?;
        let depart = self.bridge_departure(&touch)?;
        let landing: Landing = self.landing(touch.0)?;
        let motion = self.assemble(&depart, &landing)?;
        self.stand_up(motion)
    }
}

/// A bridge: its state, where both toes are and where both wrists are.
pub(crate) fn bridge(params: &Params) -> Result<(State, Point, Point), Error> {
    let builder = Builder::new(params)?;
    let (state, _, toe) = builder.bridge_touchdown()?;
    Ok((state, toe, builder.hands))
}
