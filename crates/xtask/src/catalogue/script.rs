//! The texts of a JavaScript file.

/// The string and template literals of a script, with what is put in as numbered gaps. What stands inside of a gap comes too.
pub fn literals(text: &str) -> Vec<String> {
    let mut reader = Reader { text: text.chars().collect(), at: 0, literals: Vec::new() };
    reader.code();
    reader.literals
}

struct Reader {
    text: Vec<char>,
    at: usize,
    literals: Vec<String>,
}

impl Reader {
    fn next(&mut self) -> Option<char> {
        let next = self.text.get(self.at).copied();
        self.at += 1;
        next
    }

    fn peek(&self) -> Option<char> {
        self.text.get(self.at).copied()
    }

    /// Reads code to its end, or to the brace that closes a gap.
    fn code(&mut self) {
        let mut depth = 0_usize;
        // What stood before tells a regular expression from a division.
        let mut before = '(';
        while let Some(letter) = self.next() {
            match (letter, self.peek()) {
                ('/', Some('/')) => self.skip_to("\n"),
                ('/', Some('*')) => self.skip_to("*/"),
                ('/', _) if "(,=:[!&|?{};>".contains(before) => self.expression(),
                ('"' | '\'', _) => self.quoted(letter),
                ('`', _) => self.template(),
                ('{', _) => depth += 1,
                ('}', _) if depth == 0 => return,
                ('}', _) => depth -= 1,
                _ => {}
            }
            if !letter.is_whitespace() {
                before = letter;
            }
        }
    }

    fn skip_to(&mut self, end: &str) {
        let end: Vec<char> = end.chars().collect();
        while self.at < self.text.len() && !self.text[self.at..].starts_with(&end) {
            self.at += 1;
        }
        self.at += end.len();
    }

    fn expression(&mut self) {
        let mut is_in_class = false;
        while let Some(letter) = self.next() {
            match letter {
                '\\' => self.at += 1,
                '[' => is_in_class = true,
                ']' => is_in_class = false,
                '/' if !is_in_class => return,
                '\n' => return,
                _ => {}
            }
        }
    }

    fn quoted(&mut self, quote: char) {
        let mut literal = String::new();
        while let Some(letter) = self.next() {
            match letter {
                '\\' => self.escaped(&mut literal),
                '\n' => break,
                _ if letter == quote => break,
                _ => literal.push(letter),
            }
        }
        self.literals.push(literal);
    }

    fn template(&mut self) {
        let mut literal = String::new();
        let mut n_gaps = 0;
        while let Some(letter) = self.next() {
            match letter {
                '\\' => self.escaped(&mut literal),
                '`' => break,
                '$' if self.peek() == Some('{') => {
                    self.at += 1;
                    self.code();
                    n_gaps += 1;
                    literal.push_str(&format!("{{{n_gaps}}}"));
                }
                _ => literal.push(letter),
            }
        }
        self.literals.push(literal);
    }

    fn escaped(&mut self, literal: &mut String) {
        match self.next() {
            Some('n') => literal.push('\n'),
            Some('u') => {
                let code: String = self.text.iter().skip(self.at).take(4).collect();
                literal.extend(u32::from_str_radix(&code, 16).ok().and_then(char::from_u32));
                self.at += 4;
            }
            Some(other) => literal.push(other),
            None => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn literals_and_templates_are_taken_with_gaps() {
        let text = "// \"no\"\nlet a = \"One \\\"x\\\"\"; /* 'no' */ b(/[/\"]/g, `Two ${c({ d: \"in\" })} of ${e}.`); f / g; 'Th\\u00fcr'";
        assert_eq!(literals(text), ["One \"x\"", "in", "Two {1} of {2}.", "Thür"]);
    }
}
