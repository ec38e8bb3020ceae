//! Columns of lists: how wide they are, and how texts are broken in them.

use drawing::scene::Role;
use drawing::text::{HEIGHT, bold, clean, width};

use crate::lists::{Column, Row, Setting, Table};

/// Free space inside a cell, left and right.
pub const PAD: i32 = 110;

/// Room to write in by hand, and to tick.
const BY_HAND: i32 = 2000;
const TO_TICK: i32 = 700;

/// How wide a text is in this role.
fn wide(text: &str, role: Role) -> i32 {
    let plain = width(text, HEIGHT);
    if role == Role::Designation { bold(plain) } else { plain }
}

/// The texts of a column, each with the role it is written in.
fn texts(table: &Table, column: usize) -> impl Iterator<Item = (&str, Role)> {
    let rows = table.rows.iter().filter_map(move |row| match row {
        Row::Entry(cells) => Some((cells.get(column)?.as_str(), Role::Lettering)),
        Row::Heading(_) => None,
    });
    std::iter::once((table.columns[column].head, Role::Designation)).chain(rows)
}

/// How wide a number is behind its point; `None` for what is no number.
fn fraction(text: &str) -> Option<i32> {
    let number = text.rsplit(' ').next()?;
    let is_number = number.starts_with(|c: char| c.is_ascii_digit())
        && number.chars().all(|c| c.is_ascii_digit() || c == '.');
    is_number.then(|| number.find('.').map_or(0, |point| width(&number[point..], HEIGHT)))
}

/// How wide the numbers of a column are behind their points at most.
pub fn widest_fraction(table: &Table, column: usize) -> i32 {
    match table.columns[column].set {
        Setting::Number => texts(table, column).filter_map(|(text, _)| fraction(text)).max().unwrap_or(0),
        _ => 0,
    }
}

/// How far from the right of its column a text ends, so that the points of numbers stand below each other.
pub fn indent(text: &str, widest_fraction: i32) -> i32 {
    fraction(text).map_or(0, |own| (widest_fraction - own).max(0))
}

/// The width every column would have if nothing had to be broken.
fn natural(table: &Table) -> Vec<i32> {
    let widest = |column: usize| {
        let fraction = widest_fraction(table, column);
        let needs = texts(table, column).map(|(text, role)| wide(text, role) + indent(text, fraction));
        needs.chain(by_hand(table, column)).max().unwrap_or(0) + 2 * PAD
    };
    (0..table.columns.len()).map(widest).collect()
}

/// The room to write in by hand, or to tick, in a column that is there for it.
fn by_hand(table: &Table, column: usize) -> Option<i32> {
    match table.columns[column].set {
        Setting::Blank => Some(BY_HAND),
        Setting::Tick => Some(TO_TICK),
        Setting::Words | Setting::Name | Setting::Number => None,
    }
}

/// A long list that is narrow, in columns of rows side by side; `None` where it is to stay as it is.
pub fn beside_itself(table: &Table, room: i32) -> Option<Table> {
    const LONG: usize = 8;
    let entries: Vec<&Vec<String>> = table
        .rows
        .iter()
        .filter_map(|row| match row {
            Row::Entry(cells) => Some(cells),
            Row::Heading(_) => None,
        })
        .collect();
    let own: i32 = natural(table).iter().sum();
    let times = usize::try_from((room + 2 * PAD) / (own + 2 * PAD)).unwrap_or(0).min(entries.len() / 3);
    // Side by side they are read down, which nobody does over pages.
    let n_rows = entries.len().div_ceil(times.max(1));
    if times < 2 || entries.len() != table.rows.len() || !(LONG..3 * LONG * times).contains(&entries.len()) {
        return None;
    }
    let mut wide = Table { columns: Vec::new(), rows: Vec::new(), ..table.clone() };
    let n_own = table.columns.len();
    for strip in 0..times {
        if strip > 0 {
            wide.columns.push(Column { head: "", set: Setting::Name });
        }
        wide.columns.extend(&table.columns);
    }
    for index in 0..n_rows {
        let mut cells = Vec::new();
        for strip in 0..times {
            if strip > 0 {
                cells.push(String::new());
            }
            match entries.get(strip * n_rows + index) {
                Some(entry) => cells.extend(entry.iter().cloned()),
                None => cells.extend(std::iter::repeat_n(String::new(), n_own)),
            }
        }
        wide.rows.push(Row::Entry(cells));
    }
    Some(wide)
}

/// The width that every column needs if no name or number is to be broken: words, and what stands above a column, have
/// their longest word on one line.
pub fn least(table: &Table) -> Vec<i32> {
    let of = |column: usize| {
        let is_broken = |role: Role| role == Role::Designation || table.columns[column].set == Setting::Words;
        let fraction = widest_fraction(table, column);
        let needs = |(text, role): (&str, Role)| match is_broken(role) {
            true => text.split_whitespace().map(|word| wide(word, role)).max().unwrap_or(0),
            false => wide(text, role) + indent(text, fraction),
        };
        texts(table, column).map(needs).chain(by_hand(table, column)).max().unwrap_or(0) + 2 * PAD
    };
    (0..table.columns.len()).map(of).collect()
}

/// Widths of the columns that make up `room`.
pub fn fitted(table: &Table, room: i32) -> Vec<i32> {
    let mut widths = natural(table);
    let total: i32 = widths.iter().sum();
    if total <= room {
        // Columns that are too far apart are hard to follow.
        let spare = i64::from(room - total);
        for width in &mut widths {
            let more = spare * i64::from(*width) / i64::from(total.max(1));
            *width += i32::try_from(more).unwrap_or(0).min(*width / 2);
        }
        return widths;
    }
    // Words give way first, the widest before all others, down to their longest.
    let least = least(table);
    if least.iter().sum::<i32>() <= room {
        let at_most =
            |most: i32| widths.iter().zip(&least).map(move |(width, least)| *least.max(width.min(&most)));
        // The greatest width that leaves room for everything, by halving.
        let (mut fits, mut too_much) = (0, room + 1);
        while too_much - fits > 1 {
            let middle = i32::midpoint(fits, too_much);
            if at_most(middle).sum::<i32>() <= room { fits = middle } else { too_much = middle }
        }
        let mut fitting: Vec<i32> = at_most(fits).collect();
        lower(table, &mut fitting, &least, &widths);
        return fitting;
    }
    // Then everything does, and long names are broken.
    widths = least;
    let share = room / widths.len() as i32;
    let least: Vec<i32> = widths.iter().map(|width| share.min(*width)).collect();
    shrink(&mut widths, &least, room);
    widths
}

/// Takes width from one column for another as long as the list becomes lower by it: the column with the longest texts
/// needs most. No column becomes narrower than its least, or wider than its texts.
fn lower(table: &Table, widths: &mut Vec<i32>, least: &[i32], natural: &[i32]) {
    let words = Words::of(table);
    let mut height = words.height(widths);
    for step in [3200, 1600, 800, 400, 200] {
        loop {
            let mut best: Option<(usize, Vec<i32>)> = None;
            for from in (0..widths.len()).filter(|from| widths[*from] - step >= least[*from]) {
                for to in (0..widths.len()).filter(|to| *to != from && widths[*to] < natural[*to]) {
                    let mut tried = widths.clone();
                    tried[from] -= step;
                    tried[to] += step;
                    let becomes = words.height(&tried);
                    if becomes < best.as_ref().map_or(height, |(least, _)| *least) {
                        best = Some((becomes, tried));
                    }
                }
            }
            let Some((becomes, tried)) = best else { break };
            (height, *widths) = (becomes, tried);
        }
    }
}

/// How wide the words of a list and its head are, row by row and cell by cell: enough to tell how high it becomes.
struct Words {
    rows: Vec<Vec<Vec<i32>>>,
    space: i32,
}

impl Words {
    fn of(table: &Table) -> Words {
        let of_cell =
            |cell: &String| cell.split_whitespace().map(|word| wide(word, Role::Lettering)).collect();
        let rows = table.rows.iter().filter_map(|row| match row {
            Row::Entry(cells) => Some(cells.iter().map(of_cell).collect()),
            Row::Heading(_) => None,
        });
        let of_head = |column: &Column| {
            column.head.split_whitespace().map(|word| wide(word, Role::Designation)).collect()
        };
        let head = table.columns.iter().map(of_head).collect();
        Words { rows: std::iter::once(head).chain(rows).collect(), space: width(" ", HEIGHT) }
    }

    /// How many lines all rows take with columns of these widths.
    fn height(&self, widths: &[i32]) -> usize {
        let of_row = |row: &Vec<Vec<i32>>| {
            let lines = row.iter().zip(widths).map(|(cell, width)| self.n_lines(cell, width - 2 * PAD));
            lines.max().unwrap_or(0)
        };
        self.rows.iter().map(of_row).sum()
    }

    fn n_lines(&self, words: &[i32], most: i32) -> usize {
        /// By how much the sum of words may be wider than the text is.
        const ROUNDED: i32 = 5;
        let (mut n_lines, mut at) = (1, 0);
        for word in words {
            if at == 0 || at + self.space + word <= most + ROUNDED {
                at += word + if at == 0 { 0 } else { self.space };
            } else {
                (n_lines, at) = (n_lines + 1, *word);
            }
        }
        n_lines
    }
}

/// Makes columns narrower until they fit, each by its share of what it can give, but none narrower than its least.
fn shrink(widths: &mut [i32], least: &[i32], room: i32) {
    let excess = widths.iter().sum::<i32>() - room;
    let can_give: i32 = widths.iter().zip(least).map(|(width, least)| width - least).sum();
    if excess <= 0 || can_give <= 0 {
        return;
    }
    let give = excess.min(can_give);
    for (width, least) in widths.iter_mut().zip(least) {
        let own = i64::from(*width - least);
        // Rounded up, so that the sum is no more than the room.
        let share = (own * i64::from(give) + i64::from(can_give) - 1) / i64::from(can_give);
        *width -= i32::try_from(share.min(own)).unwrap_or(0);
    }
}

/// The units that stand behind a number, as they are written on sheets.
const UNITS: [&str; 18] =
    ["A", "mA", "kA", "V", "mV", "Ω", "mΩ", "W", "Ah", "s", "ms", "min", "h", "m", "mm", "mm²", "°C", "%"];

/// The number a line ends with, and what stands before it, where `word` is its unit.
fn number_of<'a>(line: &'a str, word: &str) -> Option<(&'a str, &'a str)> {
    let unit = word.trim_end_matches(['.', ',', ';', ':', ')']);
    let (before, number) = line.rsplit_once(' ')?;
    (UNITS.contains(&unit) && number.ends_with(|c: char| c.is_ascii_digit())).then_some((before, number))
}

/// A text in lines no wider than `most`: between words, and inside a word only where it is wider than a line by itself. A
/// number goes to the next line with its unit.
pub fn lines_of(text: &str, most: i32, role: Role) -> Vec<String> {
    let text = clean(text);
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        if let Some(line) = lines.last_mut() {
            let joined = format!("{line} {word}");
            if wide(&joined, role) <= most {
                *line = joined;
                continue;
            }
            if let Some((before, number)) = number_of(line, word) {
                let together = format!("{number} {word}");
                if wide(&together, role) <= most {
                    *line = before.to_owned();
                    lines.push(together);
                    continue;
                }
            }
        }
        lines.push(String::new());
        for c in word.chars() {
            let line = lines.last().map_or("", String::as_str);
            let longer = format!("{line}{c}");
            match lines.last_mut() {
                Some(line) if wide(&longer, role) <= most || line.is_empty() => *line = longer,
                _ => lines.push(c.to_string()),
            }
        }
    }
    if lines.is_empty() {
        lines.push(String::new());
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_of_a_text_is_lost_in_lines() {
        let text = "a-very-long-designation-without-any-space and more words after it";
        for most in [300, 900, 2000, 9000] {
            let lines = lines_of(text, most, Role::Lettering);
            let joined: String = lines.concat().split_whitespace().collect();
            assert_eq!(joined, text.split_whitespace().collect::<String>(), "{most}");
            assert!(lines.iter().all(|line| wide(line, Role::Lettering) <= most), "{most}: {lines:?}");
        }
    }

    #[test]
    fn a_number_goes_to_the_next_line_with_its_unit() {
        let broken = |text: &str| lines_of(text, width("carries at most 12.5", HEIGHT), Role::Lettering);
        assert_eq!(broken("carries at most 12.5 A, here"), ["carries at most", "12.5 A, here"]);
        assert_eq!(broken("carries at most 12.5 in all"), ["carries at most 12.5", "in all"]);
        // With no room for both, and with nothing before it, it stays where it is.
        assert_eq!(lines_of("or 12.5 mm²", width("12.5 m", HEIGHT), Role::Lettering), ["or", "12.5", "mm²"]);
        assert_eq!(lines_of("12.5 mm²", width("12.5 m", HEIGHT), Role::Lettering), ["12.5", "mm²"]);
    }

    #[test]
    #[expect(clippy::disallowed_methods, reason = "the demonstration jobs are read from their files")]
    fn every_cell_of_every_list_stays_within_its_column_on_every_paper() {
        let jobs = std::fs::read_dir("../../fixtures/jobs").expect("jobs");
        let mut n_cells = 0;
        let jobs = jobs.map(|entry| entry.expect("a file").path());
        for job in jobs.filter(|path| path.extension().is_some_and(|ending| ending == "json")) {
            let document = engine::file::read(&std::fs::read(&job).expect("a file")).expect("a job");
            let prepared = engine::answer::Prepared::new(&document);
            let groups = crate::lists::groups(&crate::Facts::of(&prepared));
            for table in groups.iter().flat_map(|group| &group.tables) {
                // The widths of lists on all papers, upright and lying, and one that is much too narrow.
                for room in [16_880, 25_580, 37_880, 17_220, 23_570, 38_810, 5_000] {
                    let table = crate::on_paper::on_paper(table, room);
                    for table in beside_itself(&table, room).iter().chain([&table]) {
                        let widths = fitted(table, room);
                        assert!(widths.iter().sum::<i32>() <= room, "{job:?}, {}: {widths:?}", table.name);
                        for (column, width) in widths.iter().enumerate() {
                            for (text, role) in texts(table, column) {
                                for line in lines_of(text, width - 2 * PAD, role) {
                                    let is_inside = wide(&line, role) <= width - 2 * PAD;
                                    // A single letter is never broken, however narrow its column.
                                    let is_one = line.chars().count() == 1;
                                    assert!(is_inside || is_one, "{job:?}, {}, {room}: `{line}`", table.name);
                                    n_cells += 1;
                                }
                            }
                        }
                    }
                }
            }
        }
        assert!(n_cells > 10_000, "only {n_cells} lines of cells were looked at");
    }

    #[test]
    fn columns_fit_the_room_whatever_stands_in_them() {
        let mut table = Table::new(
            "List",
            "list",
            &[("name", Setting::Name), ("words", Setting::Words), ("n", Setting::Number)],
        );
        for n in [1, 5, 40] {
            table.rows = vec![Row::Entry(vec!["N".repeat(n), "some words ".repeat(n), "1".repeat(n)])];
            for room in [6_000, 12_000, 24_000] {
                let widths = fitted(&table, room);
                assert!(
                    widths.iter().sum::<i32>() <= room && widths.iter().all(|width| *width > 2 * PAD),
                    "{n} {room} {widths:?}"
                );
            }
        }
    }
}
