//! The list of attempts: a CSV table for a coach to correct, which is a manifest for a batch too.

use crate::colour::Colour;
use crate::error::Error;
use crate::propose::Found;

/// The columns, in the order in which they are written.
const COLUMNS: [&str; 8] = ["turn", "file", "from", "to", "athlete", "drill", "colour", "look"];
/// Largest list, bytes.
const MOST_BYTES: usize = 16 << 20;
/// Problems of a list that are told.
const MOST_PROBLEMS: usize = 20;

/// One attempt of the list.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Row {
    /// Number of the turn, from 1.
    pub turn: usize,
    /// The film, as it is reached from the list.
    pub file: String,
    /// Where the attempt begins, s.
    pub from_s: f64,
    /// Where it ends, s.
    pub to_s: f64,
    /// Whose it is; empty: nobody's.
    pub athlete: String,
    /// Which drill; empty: as the batch says.
    pub drill: String,
    /// What the athlete wears.
    pub colour: Option<Colour>,
    /// What wants a look.
    pub look: String,
    /// Columns of the coach's own, in the order of [`List::own_columns`].
    pub own: Vec<String>,
}

/// A list of attempts.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct List {
    /// The attempts, in the order of the film.
    pub rows: Vec<Row>,
    /// Names of the coach's own columns, kept as they are.
    pub own_columns: Vec<String>,
}

impl List {
    /// The list of what was found, nobody's yet. `file`: the film as it is reached from the list.
    #[must_use]
    pub fn new(file: &str, found: &Found, drill: Option<&str>) -> Self {
        let row = |(index, attempt): (usize, &crate::Attempt)| Row {
            turn: index + 1,
            file: file.to_owned(),
            from_s: attempt.from_s,
            to_s: attempt.to_s,
            drill: drill.unwrap_or_default().to_owned(),
            colour: attempt.colour,
            ..Row::default()
        };
        Self {
            rows: found.attempts.iter().enumerate().map(row).collect(),
            own_columns: Vec::new(),
        }
    }

    /// The list as CSV, times in hundredths of a second.
    #[must_use]
    pub fn to_csv(&self) -> String {
        let mut lines = csv::Writer::from_writer(Vec::new());
        let own = self.own_columns.iter().map(String::as_str);
        let mut done = lines.write_record(COLUMNS.into_iter().chain(own));
        for row in &self.rows {
            let cells = [
                row.turn.to_string(),
                row.file.clone(),
                format!("{:.2}", row.from_s),
                format!("{:.2}", row.to_s),
                row.athlete.clone(),
                row.drill.clone(),
                row.colour.map(Colour::hex).unwrap_or_default(),
                row.look.clone(),
            ];
            done = done.and_then(|()| lines.write_record(cells.iter().chain(&row.own)));
        }
        let bytes = done
            .ok()
            .and_then(|()| lines.into_inner().ok())
            .expect("rows of one length always fit into memory");
        String::from_utf8(bytes).expect("CSV of texts is text")
    }

    /// Reads a list, corrected by a coach perhaps. `name`: what the file is called in messages.
    ///
    /// Rows may be taken out, and columns added; commas or semicolons part the columns.
    ///
    /// # Errors
    /// [`Error::List`] with every problem: line, what was found, what was expected.
    pub fn from_csv(name: &str, text: &str) -> Result<Self, Error> {
        let mut problems = Vec::new();
        let list = read(text, &mut |line, problem| {
            if problems.len() < MOST_PROBLEMS {
                problems.push(format!("{name}: line {line}: {problem}"));
            }
        });
        if problems.is_empty() {
            Ok(list)
        } else {
            Err(Error::List { problems })
        }
    }
}

fn read(text: &str, say: &mut dyn FnMut(u64, String)) -> List {
    let mut list = List::default();
    if text.len() > MOST_BYTES {
        say(1, format!("found {} bytes, expected at most {MOST_BYTES}", text.len()));
        return list;
    }
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let header = text.lines().next().unwrap_or_default();
    let semicolons = header.contains(';') && !header.contains(',');
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(if semicolons { b';' } else { b',' })
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let headers = match reader.headers() {
        Ok(headers) => headers.clone(),
        Err(error) => {
            say(1, format!("found {error}, expected a header row"));
            return list;
        }
    };
    let place = |name: &str| headers.iter().position(|header| header.eq_ignore_ascii_case(name));
    let places = COLUMNS.map(place);
    for (column, found) in COLUMNS.iter().zip(places).take(4) {
        if found.is_none() {
            say(
                1,
                format!("found no column {column}, expected {}", COLUMNS[..5].join(", ")),
            );
        }
    }
    let own: Vec<usize> = (0..headers.len()).filter(|at| !places.contains(&Some(*at))).collect();
    list.own_columns = own.iter().map(|at| headers[*at].to_owned()).collect();
    for record in reader.records() {
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                let line = error.position().map_or(0, csv::Position::line);
                say(line, format!("found {error}, expected a row as the header"));
                continue;
            }
        };
        if record.iter().all(str::is_empty) {
            continue;
        }
        let line = record.position().map_or(0, csv::Position::line);
        let cell = |column: usize| places[column].and_then(|at| record.get(at)).unwrap_or_default();
        let mut number = |column: usize, expected: &str| -> f64 {
            let found: Option<f64> = cell(column).replace(',', ".").parse().ok();
            found.filter(|value| (0.0..=1e7).contains(value)).unwrap_or_else(|| {
                say(
                    line,
                    format!(
                        "{}: found {:?}, expected {expected}",
                        COLUMNS[column],
                        short(cell(column))
                    ),
                );
                0.0
            })
        };
        let turn = number(0, "a whole number");
        let (from_s, to_s) = (number(2, "seconds, such as 75.20"), number(3, "seconds, such as 79.00"));
        if to_s <= from_s {
            say(
                line,
                format!("found {from_s} to {to_s} s, expected an end after the start"),
            );
        }
        list.rows.push(Row {
            turn: turn as usize,
            file: cell(1).to_owned(),
            from_s,
            to_s,
            athlete: cell(4).to_owned(),
            drill: cell(5).to_owned(),
            colour: Colour::from_hex(cell(6)),
            look: cell(7).to_owned(),
            own: own.iter().map(|at| record[*at].to_owned()).collect(),
        });
    }
    list
}

/// As much of a cell as a message repeats.
fn short(text: &str) -> String {
    text.chars().filter(|letter| !letter.is_control()).take(40).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn list() -> List {
        let found = Found {
            attempts: [(1.234, 5.0), (9.5, 12.25)]
                .map(|(from_s, to_s)| crate::Attempt {
                    from_s,
                    to_s,
                    colour: Colour::from_hex("#c81e1e"),
                })
                .to_vec(),
            looked: 100,
            lost: 0,
        };
        List::new("station.mp4", &found, Some("handspring-floor"))
    }

    #[test]
    fn a_list_reads_back() {
        let text = list().to_csv();
        assert_eq!(
            text,
            "turn,file,from,to,athlete,drill,colour,look\n\
             1,station.mp4,1.23,5.00,,handspring-floor,#c81e1e,\n\
             2,station.mp4,9.50,12.25,,handspring-floor,#c81e1e,\n"
        );
        let read = List::from_csv("list.csv", &text).expect("our own list");
        assert_eq!(read.to_csv(), text);
        // As a spreadsheet of another country saves it, with a column of the coach's own.
        let theirs = "\u{feff}turn;file;from;to;athlete;note\r\n2;station.mp4;9,50;12,25;Ada;\"good; late\"\r\n";
        let read = List::from_csv("list.csv", theirs).expect("semicolons");
        assert_eq!((read.rows[0].from_s, read.rows[0].athlete.as_str()), (9.5, "Ada"));
        assert!(read.to_csv().ends_with("2,station.mp4,9.50,12.25,Ada,,,,good; late\n"));
    }

    #[test]
    fn every_problem_of_a_list_is_told_with_its_line() {
        let text = "turn,file,from,to,athlete\n1,a.mp4,x,2.0,\n2,a.mp4,5.0,4.0,\n3,a.mp4\n";
        let told = List::from_csv("list.csv", text).expect_err("problems").to_string();
        let lines: Vec<&str> = told.lines().collect();
        assert_eq!(
            lines[0],
            "list.csv: line 2: from: found \"x\", expected seconds, such as 75.20"
        );
        assert_eq!(
            lines[1],
            "list.csv: line 3: found 5 to 4 s, expected an end after the start"
        );
        assert!(lines[2].starts_with("list.csv: line 4: found "), "{told}");
        let other = List::from_csv("list.csv", "a,b\n1,2\n")
            .expect_err("no list")
            .to_string();
        assert!(other.starts_with("list.csv: line 1: found no column turn, expected turn, file, from, to, athlete"));
    }
}
