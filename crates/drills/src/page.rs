//! Plain text, wrapped as it is written, with the tags of sources put into words.

/// Longest line of an explanation, characters.
const WIDTH: usize = 88;

/// Tags that say how the source of a number was read, and the words that stand for them.
const TAGS: &[(&str, &str)] = &[
    ("[R]", "(published)"),
    ("[R2]", "(published, quoted)"),
    ("[R abstract]", "(published, abstract)"),
    ("[R, C]", "(published, converted)"),
    ("[C]", "(not published)"),
    ("[M]", "(from memory)"),
];

/// What the words in brackets behind a band mean.
pub(crate) const WHERE_FROM: &str = "In brackets, where a number comes from: published = read in the source itself; \
    published, quoted = read in a text that quotes it; published, abstract = read in its summary only; \
    published, converted = computed from a published number; not published = our own computation or choice; \
    from memory = not looked up.";

/// Text that is wrapped as it is written.
#[derive(Default)]
pub(crate) struct Page {
    text: String,
    told_a_source: bool,
}

impl Page {
    /// A paragraph, wrapped, every line indented.
    pub(crate) fn line(&mut self, indent: usize, text: &str) {
        self.wrapped(indent, indent, text);
    }

    /// An entry of a list.
    pub(crate) fn item(&mut self, text: &str) {
        self.wrapped(2, 4, &format!("- {text}"));
    }

    /// A line above which one is left free.
    pub(crate) fn heading(&mut self, text: &str) {
        self.text.push('\n');
        self.line(0, text);
    }

    /// A paragraph whose first line is indented otherwise than the later ones.
    pub(crate) fn wrapped(&mut self, first: usize, later: usize, text: &str) {
        let plain = in_words(text);
        self.told_a_source |= plain != text;
        let mut line = " ".repeat(first);
        let mut used = 0;
        let mut length = first;
        for word in plain.split_whitespace() {
            let wide = word.chars().count();
            if used > 0 && length + 1 + wide > WIDTH {
                self.push_line(&line);
                line = " ".repeat(later);
                length = later;
                used = 0;
            }
            if used > 0 {
                line.push(' ');
                length += 1;
            }
            line.push_str(word);
            length += wide;
            used += 1;
        }
        self.push_line(&line);
    }

    /// Whether the tag of a source has been put into words so far.
    pub(crate) fn told_a_source(&self) -> bool {
        self.told_a_source
    }

    /// All that was written.
    pub(crate) fn finished(self) -> String {
        self.text
    }

    fn push_line(&mut self, line: &str) {
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }
}

fn in_words(text: &str) -> String {
    let mut text = text.to_owned();
    for (tag, words) in TAGS {
        text = text.replace(tag, words);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tags_become_words_and_nothing_else_does() {
        let mut page = Page::default();
        page.line(2, "hands [left] over [0, 1]");
        assert!(!page.told_a_source());
        page.line(2, "quoted [R2]; edges editorial [C]");
        assert!(page.told_a_source());
        assert_eq!(
            page.finished(),
            "  hands [left] over [0, 1]\n  quoted (published, quoted); edges editorial (not published)\n"
        );
    }
}
