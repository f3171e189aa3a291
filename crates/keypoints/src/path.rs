//! Paths into a JSON file: `frames[*].people[*].pts`.

use std::fmt;

/// One step of a path.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Step {
    /// The member of that name.
    Key(String),
    /// Every entry of a list: `[*]`.
    Each,
    /// Every member of an object: `.*`.
    Members,
    /// One entry of a list, from 0: `[2]`.
    Index(usize),
}

/// Steps from an outer value to inner ones; none: the value itself.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Path(pub Vec<Step>);

impl Path {
    /// Reads a path. Keys with dots, brackets or stars stand in double quotes: `a."b.c"[*]`.
    /// A leading `$` for the whole value may be written.
    pub(crate) fn parse(text: &str) -> Result<Path, String> {
        let mut steps = Vec::new();
        let mut rest = text.trim();
        rest = rest.strip_prefix('$').unwrap_or(rest);
        let mut first = true;
        while !rest.is_empty() {
            if steps.len() == 16 {
                return Err("more than 16 steps".to_owned());
            }
            if let Some(inner) = rest.strip_prefix('[') {
                let (inside, after) = inner.split_once(']').ok_or("`[` without `]`")?;
                steps.push(match inside.trim() {
                    "*" => Step::Each,
                    number => Step::Index(
                        number
                            .parse()
                            .map_err(|_| format!("`[{number}]`, expected `[*]` or a number"))?,
                    ),
                });
                rest = after;
            } else {
                match rest.strip_prefix('.') {
                    Some(after) => rest = after,
                    None if first => {}
                    None => return Err(format!("`{rest}` without a dot before it")),
                }
                if let Some(quoted) = rest.strip_prefix('"') {
                    let (key, after) = quoted.split_once('"').ok_or("an open quote")?;
                    steps.push(Step::Key(key.to_owned()));
                    rest = after;
                } else {
                    let end = rest.find(['.', '[']).unwrap_or(rest.len());
                    let key = rest[..end].trim();
                    steps.push(match key {
                        "" => return Err("an empty key".to_owned()),
                        "*" => Step::Members,
                        key => Step::Key(key.to_owned()),
                    });
                    rest = &rest[end..];
                }
            }
            first = false;
        }
        Ok(Path(steps))
    }

    /// Whether it leads to many values.
    pub(crate) fn is_many(&self) -> bool {
        self.0.iter().any(|step| matches!(step, Step::Each | Step::Members))
    }
}

impl fmt::Display for Path {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, step) in self.0.iter().enumerate() {
            let dot = if index == 0 { "" } else { "." };
            match step {
                Step::Key(key)
                    if key.is_empty() || key.contains(['.', '[', ']', '*', '"', '$']) || key.trim() != key =>
                {
                    write!(f, "{dot}\"{key}\"")?;
                }
                Step::Key(key) => write!(f, "{dot}{key}")?,
                Step::Each => f.write_str("[*]")?,
                Step::Members => write!(f, "{dot}*")?,
                Step::Index(index) => write!(f, "[{index}]")?,
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_read_and_written() {
        let key = |key: &str| Step::Key(key.to_owned());
        for (text, steps) in [
            ("", vec![]),
            (
                "frames[*].people[*].pts",
                vec![key("frames"), Step::Each, key("people"), Step::Each, key("pts")],
            ),
            ("[*].a[2]", vec![Step::Each, key("a"), Step::Index(2)]),
            ("frames.*.pts", vec![key("frames"), Step::Members, key("pts")]),
            ("*", vec![Step::Members]),
            (r#"a."b.c"[*]"#, vec![key("a"), key("b.c"), Step::Each]),
        ] {
            let path = Path::parse(text).unwrap();
            assert_eq!(path.0, steps, "{text}");
            assert_eq!(path.to_string(), text);
        }
        for text in ["a..b", "a[", "a[x]", "[*]a", "a.\"b", "a."] {
            assert!(Path::parse(text).is_err(), "{text}");
        }
    }
}
