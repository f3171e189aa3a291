//! A coach's own copy of a spec.

/// Stands for the author in a copy, until the coach puts a name there.
pub const YOUR_NAME: &str = "your name";

/// The text of a drill, made ready for a coach to change: `author` is a place to put a name, and a
/// note says what the copy was made after. `id` is the new one, if it gets one. Comments stay.
///
/// Works line by line on the keys above the first table, so a text that is no drill (a ladder has
/// neither author nor notes) only gets the id.
///
/// ```
/// use springline_drills::{Catalogue, own_copy, template};
///
/// let text = template("handspring-floor").expect("it ships");
/// let copy = own_copy(text, Some("my-handspring"));
/// let drill = Catalogue::shipped().read_drill("my-handspring.toml", copy.as_bytes()).expect("a good spec");
/// assert_eq!((drill.id.as_str(), drill.author.as_str()), ("my-handspring", "your name"));
/// assert_eq!(drill.notes[0], "After handspring-floor, version 1, by Springline.");
/// ```
#[must_use]
pub fn own_copy(text: &str, id: Option<&str>) -> String {
    let head: Vec<&str> = text.lines().take_while(|line| !line.starts_with('[')).collect();
    let author = simple(&head, "author").filter(|author| *author != YOUR_NAME);
    let note = author.and_then(|author| {
        let (id, version) = (simple(&head, "id")?, simple(&head, "version")?);
        Some(format!("\"After {id}, version {version}, by {author}.\""))
    });
    let has_notes = head.iter().any(|line| is_key(line, "notes"));
    let mut copy = String::with_capacity(text.len() + 100);
    for (index, line) in text.split_inclusive('\n').enumerate() {
        let inside_head = index < head.len();
        match (inside_head, id, &note) {
            (true, Some(id), _) if is_key(line, "id") => {
                copy.push_str(&line.replacen(simple(&head, "id").unwrap_or_default(), id, 1));
            }
            (true, _, Some(note)) if is_key(line, "author") => {
                copy.push_str(&format!("author = \"{YOUR_NAME}\"\n"));
                if !has_notes {
                    copy.push_str(&format!("notes = [{note}]\n"));
                }
            }
            (true, _, Some(note)) if is_key(line, "notes") => {
                let (key, rest) = line.split_once('[').unwrap_or((line, ""));
                let gap = if rest.trim().is_empty() { "\n  " } else { "" };
                let next = if rest.trim_start().starts_with(']') { "" } else { ", " };
                let next = if gap.is_empty() { next } else { "," };
                copy.push_str(&format!("{key}[{gap}{note}{next}{rest}"));
            }
            _ => copy.push_str(line),
        }
    }
    copy
}

fn is_key(line: &str, key: &str) -> bool {
    line.strip_prefix(key)
        .is_some_and(|rest| rest.trim_start().starts_with('='))
}

/// The value of a key that stands in one line as plain text in double quotes.
fn simple<'t>(head: &[&'t str], key: &str) -> Option<&'t str> {
    let line = head.iter().find(|line| is_key(line, key))?;
    let value = line.split_once('=')?.1.trim_start().strip_prefix('"')?;
    let (value, rest) = value.split_once('"')?;
    let plain = !value.contains('\\') && !value.is_empty();
    let ends = rest.trim_start().is_empty() || rest.trim_start().starts_with('#');
    (plain && ends).then_some(value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Catalogue, template};

    #[test]
    fn every_copy_is_a_good_spec_with_the_rest_untouched() {
        let catalogue = Catalogue::shipped();
        for id in catalogue.drill_ids() {
            let text = template(id).expect("it ships");
            let copy = own_copy(text, Some("mine"));
            let mut copied = catalogue.read_drill("mine.toml", copy.as_bytes()).expect("a good spec");
            assert_eq!(copied.author, YOUR_NAME);
            let shipped = catalogue.drill(id).expect("it ships");
            let after = format!("After {id}, version {}, by Springline.", shipped.version);
            assert_eq!(copied.notes.remove(0), after);
            copied.id.clone_from(&shipped.id);
            copied.author.clone_from(&shipped.author);
            copied.hash.clone_from(&shipped.hash);
            assert_eq!(&copied, shipped, "{id}");
            // A copy of the copy tells nothing of "your name".
            assert_eq!(own_copy(&copy, None), copy);
        }
    }

    #[test]
    fn a_ladder_only_gets_its_id() {
        let text = template("front-handspring").expect("it ships");
        let copy = own_copy(text, Some("mine"));
        assert_eq!(copy, text.replacen("id = \"front-handspring\"", "id = \"mine\"", 1));
        assert_eq!(own_copy(text, None), text);
    }

    #[test]
    fn notes_in_one_line_and_odd_texts() {
        let head = "id = \"a\"\nversion = \"2\"\nauthor = \"Ann\" # us\n";
        let one = own_copy(&format!("{head}notes = [\"x\"]\n"), None);
        assert!(one.ends_with("author = \"your name\"\nnotes = [\"After a, version 2, by Ann.\", \"x\"]\n"));
        let none = own_copy(&format!("{head}notes = []\n"), None);
        assert!(none.ends_with("notes = [\"After a, version 2, by Ann.\"]\n"));
        for odd in [
            "",
            "author",
            "author = 'Ann'\n",
            "author = \"\"\"\nid = 1",
            "notes = \n[\n",
        ] {
            assert_eq!(own_copy(odd, None), odd);
        }
    }
}
