//! Finds the attempts in a long film of a station, and deals them to the gymnasts.
//!
//! A phone on a tripod films a station for twenty minutes. [`find_attempts`] looks for bodies on their way over, [`List`] is the
//! list that comes of it: a table for a coach to correct, and for a batch to review. [`deal`] gives the attempts to the
//! gymnasts by their turn order, [`deal_on`] again from a correction on, and [`hints`] tells where the colour of the
//! clothing disagrees. No face is ever looked at.
//!
//! ```no_run
//! use springline_footage::Clip;
//! use springline_turns::{List, Order, deal, find_attempts};
//!
//! let mut film = Clip::open("station.mp4".as_ref())?;
//! let found = find_attempts(&mut film, &mut |_| ())?;
//! let mut list = List::new("station.mp4", &found, Some("handspring-floor"));
//! deal(&mut list, &Order::new("Ada,Ben,Cleo")?);
//! print!("{}", list.to_csv());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod moving;
mod scan;
pub use scan::Film;

mod propose;
pub use propose::{Attempt, Found, find_attempts};

mod colour;
pub use colour::Colour;

mod list;
pub use list::{List, Row};

mod deal;
pub use deal::{Order, deal, deal_on, hints};

mod error;
pub use error::Error;
