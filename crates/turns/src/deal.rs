//! Whose attempt is whose: by the turn order, and again from a correction on; the colour of the clothing as a second hint.

use std::collections::BTreeMap;

use crate::colour::Colour;
use crate::error::Error;
use crate::list::List;

/// Gymnasts of one station.
const MOST_GYMNASTS: usize = 60;
/// Letters of one name.
const MOST_LETTERS: usize = 60;
/// Clothing as unlike as this may be of one gymnast in another light.
const SAME: f64 = 25.0;
/// Another's clothing must be so many times nearer than one's own to be told.
const NEARER: f64 = 1.8;

/// The order in which gymnasts take their turns.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Order(Vec<String>);

impl Order {
    /// From names with commas between them.
    ///
    /// # Errors
    /// [`Error::Order`] for no name, an empty or overlong one, one that is there twice, or too many.
    pub fn new(names: &str) -> Result<Self, Error> {
        let refuse = |found: String, expected| Err(Error::Order { found, expected });
        let names: Vec<String> = names.split(',').map(|name| name.trim().to_owned()).collect();
        if names.len() > MOST_GYMNASTS {
            return refuse(format!("{} names", names.len()), "at most 60");
        }
        for (index, name) in names.iter().enumerate() {
            if name.is_empty() {
                return refuse(
                    "an empty name".to_owned(),
                    "names with commas between them, such as Ada,Ben,Cleo",
                );
            }
            if name.chars().count() > MOST_LETTERS || name.contains(char::is_control) {
                return refuse(
                    "a name that is too long or has control characters".to_owned(),
                    "at most 60 letters",
                );
            }
            if names[..index].contains(name) {
                return refuse(format!("{name} twice"), "each name once");
            }
        }
        Ok(Self(names))
    }

    /// The names of a list in the order in which they first appear.
    #[must_use]
    pub fn of(list: &List) -> Option<Self> {
        let mut names: Vec<String> = Vec::new();
        for row in &list.rows {
            if !row.athlete.is_empty() && !names.contains(&row.athlete) {
                names.push(row.athlete.clone());
            }
        }
        (!names.is_empty() && names.len() <= MOST_GYMNASTS).then_some(Self(names))
    }

    /// The names.
    #[must_use]
    pub fn names(&self) -> &[String] {
        &self.0
    }

    /// Who comes after somebody; the first after nobody or a guest.
    fn after(&self, name: Option<&str>) -> &str {
        let place = name.and_then(|name| self.0.iter().position(|other| other == name));
        &self.0[place.map_or(0, |place| (place + 1) % self.0.len())]
    }
}

/// Gives every attempt to a gymnast, in turn.
pub fn deal(list: &mut List, order: &Order) {
    for (index, row) in list.rows.iter_mut().enumerate() {
        row.athlete = order.0[index % order.0.len()].clone();
    }
}

/// Deals again from a correction on: the attempts after it follow the corrected one in turn. An attempt without a name is
/// nobody's, and stays so.
///
/// # Inputs
/// `turn`: the turn that was corrected; left out, the last whose name departs from the order both before and after it, or that
/// follows an attempt whose name was taken out.
/// # Returns
/// How many names were changed.
/// # Errors
/// [`Error::NoTurn`], [`Error::NothingCorrected`].
pub fn deal_on(list: &mut List, order: &Order, turn: Option<usize>) -> Result<usize, Error> {
    let at = match turn {
        Some(turn) => {
            let at = list.rows.iter().position(|row| row.turn == turn);
            at.ok_or(Error::NoTurn {
                turn,
                turns: list.rows.len(),
            })?
        }
        None => corrected(list, order).ok_or(Error::NothingCorrected)?,
    };
    let named = list.rows[..=at].iter().rev().find(|row| !row.athlete.is_empty());
    let mut last = named.map(|row| row.athlete.clone());
    let mut changed = 0;
    for row in list.rows[at + 1..].iter_mut().filter(|row| !row.athlete.is_empty()) {
        let next = order.after(last.as_deref()).to_owned();
        changed += usize::from(row.athlete != next);
        row.athlete.clone_from(&next);
        last = Some(next);
    }
    Ok(changed)
}

/// The last row that a coach corrected and that was not dealt on from.
fn corrected(list: &List, order: &Order) -> Option<usize> {
    let rows = &list.rows;
    let named: Vec<usize> = (0..rows.len()).filter(|at| !rows[*at].athlete.is_empty()).collect();
    let departs = |k: usize| {
        let before = k.checked_sub(1).map(|k| rows[named[k]].athlete.as_str());
        rows[named[k]].athlete != order.after(before)
    };
    (0..named.len().saturating_sub(1)).rev().find_map(|k| {
        let gap = named[k + 1] > named[k] + 1;
        (departs(k + 1) && (gap || departs(k))).then_some(named[k])
    })
}

/// Tells in each row whose clothing it looks like, where that is somebody else's than the order says. Earlier hints are renewed.
///
/// # Returns
/// How many rows disagree.
pub fn hints(list: &mut List) -> usize {
    let mut worn: BTreeMap<&str, Vec<(usize, Colour)>> = BTreeMap::new();
    for (at, row) in list.rows.iter().enumerate() {
        if let (false, Some(colour)) = (row.athlete.is_empty(), row.colour) {
            worn.entry(&row.athlete).or_default().push((at, colour));
        }
    }
    let usual = |name: &str, but: usize| {
        let others: Vec<Colour> = worn[name]
            .iter()
            .filter(|(at, _)| *at != but)
            .map(|(_, c)| *c)
            .collect();
        // One attempt alone tells of nobody what is usual.
        (others.len() >= 2).then(|| Colour::middle(&others)).flatten()
    };
    let mut looks = vec![String::new(); list.rows.len()];
    for (at, row) in list.rows.iter().enumerate() {
        let Some(colour) = row.colour else { continue };
        let own = match row.athlete.as_str() {
            "" => None,
            name => usual(name, at).map(|usual| usual.unlike(colour)),
        };
        let nearest = worn
            .keys()
            .filter(|name| **name != row.athlete)
            .filter_map(|name| Some((usual(name, at)?.unlike(colour), *name)))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        if let (Some(own), Some((near, name))) = (own, nearest)
            && own > SAME
            && near * NEARER < own
        {
            looks[at] = format!("dressed like {name}");
        }
    }
    for (row, look) in list.rows.iter_mut().zip(&looks) {
        row.look.clone_from(look);
    }
    looks.iter().filter(|look| !look.is_empty()).count()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::list::Row;

    fn list(names: &str) -> List {
        let row = |(index, name): (usize, &str)| Row {
            turn: index + 1,
            athlete: name.trim_matches('-').to_owned(),
            colour: Some(match name {
                "A" => Colour([200.0, 30.0, 30.0]),
                "B" => Colour([30.0, 30.0, 200.0]),
                _ => Colour([30.0, 160.0, 30.0]),
            }),
            ..Row::default()
        };
        List {
            rows: names.split(' ').enumerate().map(row).collect(),
            own_columns: Vec::new(),
        }
    }

    fn names(list: &List) -> String {
        let name = |row: &Row| {
            if row.athlete.is_empty() {
                "-".to_owned()
            } else {
                row.athlete.clone()
            }
        };
        list.rows.iter().map(name).collect::<Vec<_>>().join(" ")
    }

    fn shifted(before: &str, turn: Option<usize>) -> String {
        let mut list = list(before);
        let order = Order::new("A,B,C").expect("three names");
        deal_on(&mut list, &order, turn).expect("a correction");
        names(&list)
    }

    #[test]
    fn one_correction_shifts_the_rest() {
        let order = Order::new("A, B,C").expect("three names");
        let mut plain = list("- - - - -");
        deal(&mut plain, &order);
        assert_eq!(names(&plain), "A B C A B");
        // The third turn was A's: C passed.
        assert_eq!(shifted("A B A A B C", None), "A B A B C A");
        assert_eq!(shifted("A B A A B C", Some(3)), "A B A B C A");
        // A second correction, after the first was dealt on from.
        assert_eq!(shifted("A B A B C C B C", None), "A B A B C C A B");
        // The second attempt was nobody's.
        assert_eq!(shifted("A - C A B", None), "A - B C A");
        assert_eq!(shifted("A - C A B", Some(2)), "A - B C A");
        // What was nobody's stays so; a guest is followed by the first.
        assert_eq!(shifted("A B A - A B", None), "A B A - B C");
        assert_eq!(shifted("A Guest C A", Some(2)), "A Guest A B");
        assert_eq!(shifted("B B C A", Some(1)), "B C A B");
    }

    #[test]
    fn without_a_correction_nothing_is_dealt() {
        let order = Order::new("A,B,C").expect("three names");
        let refused = |mut list: List, turn| deal_on(&mut list, &order, turn).expect_err("refused").to_string();
        assert!(refused(list("A B C A"), None).starts_with("found no turn whose name departs"));
        assert_eq!(
            refused(list("A B C"), Some(9)),
            "found no turn 9, expected one of the 3 in the list"
        );
        for wrong in ["", "A,,B", "A,B,A", "A,\u{7}"] {
            assert!(Order::new(wrong).is_err(), "{wrong:?}");
        }
        assert_eq!(
            Order::of(&list("B - A B C")).map(|order| order.0.join(",")).as_deref(),
            Some("B,A,C")
        );
        assert_eq!(Order::of(&list("- -")), None);
    }

    #[test]
    fn clothing_of_another_is_told_and_never_a_name_changed() {
        let mut dealt = list("A B C A B C A B C");
        assert_eq!(hints(&mut dealt), 0);
        // The order says B, the clothing A.
        dealt.rows[4].colour = Some(Colour([190.0, 35.0, 30.0]));
        assert_eq!(hints(&mut dealt), 1);
        assert_eq!(dealt.rows[4].look, "dressed like A");
        assert_eq!(names(&dealt), "A B C A B C A B C");
        // Nobody's counts for nobody.
        dealt.rows[4].athlete.clear();
        assert_eq!(hints(&mut dealt), 0);
        assert_eq!(dealt.rows[4].look, "");
    }
}
