//! Markup in the making. Texts are escaped here and nowhere else, so that what a user wrote stays a text.

/// Elements, one after the other.
#[derive(Default)]
pub struct Markup(String);

impl Markup {
    /// None yet.
    pub fn new() -> Markup {
        Markup::default()
    }

    /// As it is sent.
    pub fn done(self) -> String {
        self.0
    }

    /// Adds an element with attributes, and inside it what `fill` adds.
    pub fn element(&mut self, name: &str, attributes: &[(&str, &str)], fill: impl FnOnce(&mut Markup)) {
        self.open(name, attributes);
        fill(self);
        self.0.push_str("</");
        self.0.push_str(name);
        self.0.push('>');
    }

    /// Adds an element that has no end, such as a field.
    pub fn open(&mut self, name: &str, attributes: &[(&str, &str)]) {
        self.0.push('<');
        self.0.push_str(name);
        for (attribute, value) in attributes {
            self.0.push(' ');
            self.0.push_str(attribute);
            self.0.push_str("=\"");
            self.text(value);
            self.0.push('"');
        }
        self.0.push('>');
    }

    /// Adds a text.
    pub fn text(&mut self, text: &str) {
        for character in text.chars() {
            match character {
                '&' => self.0.push_str("&amp;"),
                '<' => self.0.push_str("&lt;"),
                '>' => self.0.push_str("&gt;"),
                '"' => self.0.push_str("&quot;"),
                other => self.0.push(other),
            }
        }
    }

    /// Adds an element with a class that holds a text in the direction of its own letters.
    pub fn line(&mut self, name: &str, class: &str, text: &str) {
        let of_class = [("dir", "auto"), ("class", class)];
        let attributes = if class.is_empty() { &of_class[..1] } else { &of_class[..] };
        self.element(name, attributes, |inside| inside.text(text));
    }

    /// Adds a paragraph.
    pub fn paragraph(&mut self, text: &str) {
        self.line("p", "", text);
    }

    /// Adds a heading, which takes the focus when what had it is gone.
    pub fn heading(&mut self, text: &str) {
        self.element("h4", &[("dir", "auto"), ("tabindex", "-1")], |inside| inside.text(text));
    }

    /// Adds a button that asks for `words`.
    pub fn button(&mut self, caption: &str, words: &str) {
        self.element("button", &[("type", "button"), ("dir", "auto"), ("data-ask", words)], |inside| {
            inside.text(caption);
        });
    }

    /// Adds a button that has the second worker asked for `words`, because it takes long.
    pub fn button_long(&mut self, caption: &str, words: &str) {
        let attributes = [("type", "button"), ("data-long", ""), ("data-ask", words)];
        self.element("button", &attributes, |inside| inside.text(caption));
    }

    /// Adds a button that asks for `words`, and then opens the place of another report, where it goes on.
    pub fn button_opening(&mut self, caption: &str, words: &str, report: &str) {
        let attributes = [("type", "button"), ("data-ask", words), ("data-opens", report)];
        self.element("button", &attributes, |inside| inside.text(caption));
    }

    /// Adds a button that shows its place anew, as it stands: what is shown then is renewed with the job.
    pub fn button_of_place(&mut self, caption: &str, words: &str) {
        let attributes = [("type", "button"), ("data-own", ""), ("data-ask", words)];
        self.element("button", &attributes, |inside| inside.text(caption));
    }

    /// Adds a button that stays down while what it asks for is shown.
    pub fn button_pressed(&mut self, caption: &str, words: &str, is_pressed: bool) {
        let pressed = if is_pressed { "true" } else { "false" };
        let attributes =
            [("type", "button"), ("dir", "auto"), ("aria-pressed", pressed), ("data-ask", words)];
        self.element("button", &attributes, |inside| inside.text(caption));
    }

    /// Adds a field for a text.
    pub fn field(&mut self, name: &str, caption: &str, value: &str) {
        self.field_up_to(name, caption, value, "120");
    }

    /// Adds a field for a text of some sentences.
    pub fn field_long(&mut self, name: &str, caption: &str, value: &str) {
        self.field_up_to(name, caption, value, "600");
    }

    fn field_up_to(&mut self, name: &str, caption: &str, value: &str, most: &str) {
        self.element("label", &[("class", "field")], |label| {
            label.line("span", "caption", caption);
            label.open("input", &[("type", "text"), ("name", name), ("value", value), ("maxlength", most)]);
        });
    }

    /// Adds a field that takes one of some values, each with what it is called.
    pub fn select(&mut self, name: &str, caption: &str, options: &[(&str, &str)], chosen: &str) {
        self.element("label", &[("class", "field")], |label| {
            label.line("span", "caption", caption);
            label.element("select", &[("name", name)], |select| {
                for (value, title) in options {
                    let mut attributes = vec![("value", *value)];
                    if *value == chosen {
                        attributes.push(("selected", ""));
                    }
                    select.element("option", &attributes, |option| option.text(title));
                }
            });
        });
    }

    /// Adds a field to tick.
    pub fn tick(&mut self, name: &str, caption: &str) {
        self.element("label", &[("dir", "auto")], |label| {
            label.open("input", &[("type", "checkbox"), ("name", name)]);
            label.text(caption);
        });
    }

    /// Adds a paragraph that begins with a word that counts.
    pub fn strong(&mut self, word: &str, rest: &str) {
        self.element("p", &[("dir", "auto")], |line| {
            line.element("strong", &[], |inside| inside.text(word));
            line.text(rest);
        });
    }

    /// Adds a table. The first row names the columns, and the first cell of each other row the row; a table that is wider
    /// than its place scrolls within it.
    pub fn table(&mut self, caption: &str, rows: &[Vec<String>]) {
        let attributes = [("class", "wide"), ("role", "region"), ("tabindex", "0"), ("aria-label", caption)];
        self.element("div", &attributes, |inside| {
            inside.element("table", &[], |table| {
                for (number, row) in rows.iter().enumerate() {
                    table.element("tr", &[], |line| {
                        for (column, cell) in row.iter().enumerate() {
                            let (name, scope) = match (number, column) {
                                (0, _) => ("th", Some(("scope", "col"))),
                                (_, 0) => ("th", Some(("scope", "row"))),
                                _ => ("td", None),
                            };
                            let mut attributes = vec![("dir", "auto")];
                            attributes.extend(scope);
                            line.element(name, &attributes, |inside| inside.text(cell));
                        }
                    });
                }
            });
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_user_wrote_stays_a_text() {
        let mut markup = Markup::new();
        markup.button("<img src=x onerror=alert(1)> & \"co\"", "show \"><b>");
        assert_eq!(
            markup.done(),
            "<button type=\"button\" dir=\"auto\" data-ask=\"show &quot;&gt;&lt;b&gt;\">&lt;img src=x \
             onerror=alert(1)&gt; &amp; &quot;co&quot;</button>"
        );
    }

    #[test]
    fn the_first_row_names_columns_and_the_first_cell_its_row() {
        let mut markup = Markup::new();
        let row = |cells: [&str; 2]| cells.map(str::to_owned).to_vec();
        markup.table("Sizes", &[row(["", "now"]), row(["W1", "2.5 mm²"])]);
        let made = markup.done();
        assert!(made.contains("<th dir=\"auto\" scope=\"col\">now</th>"), "{made}");
        assert!(
            made.contains("<th dir=\"auto\" scope=\"row\">W1</th><td dir=\"auto\">2.5 mm²</td>"),
            "{made}"
        );
    }
}
