//! Lines filled with words, and tables in columns.

use super::harmless;

/// Longest line that is filled with words.
const WIDTH: usize = 96;

/// Adds `text` as lines of at most [`WIDTH`] characters, the first after `first`, the others
/// after as many blanks.
pub fn wrapped(out: &mut String, first: &str, text: &str) {
    let indent = first.chars().count();
    let text = harmless(text);
    let mut line = harmless(first);
    let mut length = indent;
    for word in text.split_whitespace() {
        let word_length = word.chars().count();
        if length > indent && length + 1 + word_length > WIDTH {
            out.push_str(line.trim_end());
            out.push('\n');
            line = " ".repeat(indent);
            length = indent;
        }
        if length > indent {
            line.push(' ');
            length += 1;
        }
        line.push_str(word);
        length += word_length;
    }
    out.push_str(line.trim_end());
    out.push('\n');
}

/// A table whose columns are as wide as their widest entry, two blanks apart.
pub fn table(out: &mut String, rows: &[Vec<String>]) {
    // A line end inside a cell would begin a row that is none.
    let on_one_line = |cell: &String| cell.replace('\n', " ");
    let rows: Vec<Vec<String>> = rows.iter().map(|row| row.iter().map(on_one_line).collect()).collect();
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width_of = |text: &String| text.chars().count();
    let widths: Vec<usize> = (0..columns)
        .map(|column| rows.iter().filter_map(|row| row.get(column)).map(width_of).max().unwrap_or(0))
        .collect();
    for row in &rows {
        let mut line = String::new();
        for (entry, width) in row.iter().zip(&widths) {
            let blanks = width - width_of(entry);
            line.push_str(&format!("  {entry}{}", " ".repeat(blanks)));
        }
        out.push_str(line.trim_end());
        out.push('\n');
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_text_is_wrapped_under_its_beginning() {
        let mut out = String::new();
        wrapped(&mut out, "do  ", &"word ".repeat(30));
        let lines: Vec<&str> = out.lines().collect();
        assert_eq!(lines.len(), 2);
        assert!(lines[0].starts_with("do  word") && lines[1].starts_with("    word"));
        assert!(lines.iter().all(|line| line.len() <= WIDTH));
    }

    #[test]
    fn columns_line_up_whatever_stands_in_them() {
        let mut out = String::new();
        table(&mut out, &[vec!["ü".to_owned(), "1".to_owned()], vec!["ab".to_owned(), "2".to_owned()]]);
        assert_eq!(out, "  ü   1\n  ab  2\n");
    }
}
