//! Undo and redo by whole documents, which share what did not change.

use engine::document::Document;

use crate::session::Selection;

/// Most steps kept.
const CAP: usize = 200;

/// What was there on the other side of a step.
#[derive(Clone, Debug)]
pub(crate) struct Step {
    /// What the step did, as a menu names it.
    pub label: String,
    /// The document on the other side of the step.
    pub document: Document,
    /// What was selected there.
    pub selection: Selection,
}

/// The steps that can be undone, and those that can be redone.
#[derive(Debug, Default)]
pub(crate) struct History {
    past: Vec<Step>,
    future: Vec<Step>,
    /// Whether the last step still takes in edits of the same label.
    is_open: bool,
}

impl History {
    /// Notes a step away from `document`. Only here is redo dropped.
    ///
    /// With `merging` the step becomes one with the step before, if that has the same label and
    /// nothing has closed it since.
    pub fn commit(&mut self, label: &str, document: Document, selection: Selection, merging: bool) {
        self.future.clear();
        let joins = merging && self.is_open && self.past.last().is_some_and(|step| step.label == label);
        self.is_open = merging;
        if joins {
            return;
        }
        if self.past.len() == CAP {
            self.past.remove(0);
        }
        self.past.push(Step { label: label.to_owned(), document, selection });
    }

    /// Keeps the last step from taking in more.
    pub fn close(&mut self) {
        self.is_open = false;
    }

    /// Steps back: hands out what was before, and keeps what is now.
    pub fn undo(&mut self, document: &Document, selection: &Selection) -> Option<Step> {
        self.is_open = false;
        let step = self.past.pop()?;
        self.future.push(other_side(&step, document, selection));
        Some(step)
    }

    /// Steps forth again.
    pub fn redo(&mut self, document: &Document, selection: &Selection) -> Option<Step> {
        self.is_open = false;
        let step = self.future.pop()?;
        self.past.push(other_side(&step, document, selection));
        Some(step)
    }

    /// What undo would take back.
    pub fn undo_label(&self) -> Option<&str> {
        self.past.last().map(|step| step.label.as_str())
    }

    /// What redo would do again.
    pub fn redo_label(&self) -> Option<&str> {
        self.future.last().map(|step| step.label.as_str())
    }
}

fn other_side(step: &Step, document: &Document, selection: &Selection) -> Step {
    Step { label: step.label.clone(), document: document.clone(), selection: selection.clone() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named(title: &str) -> Document {
        let mut document = Document::default();
        std::sync::Arc::make_mut(&mut document.card).title = title.to_owned();
        document
    }

    fn commit(history: &mut History, label: &str, before: &str, merging: bool) {
        history.commit(label, named(before), Selection::default(), merging);
    }

    #[test]
    fn typing_in_one_field_is_one_step_until_it_is_closed() {
        let mut history = History::default();
        commit(&mut history, "title", "", true);
        commit(&mut history, "title", "a", true);
        commit(&mut history, "date", "ab", true);
        history.close();
        commit(&mut history, "date", "abc", true);
        let none = Selection::default();
        let back: Vec<String> = ["abcd", "abc", "ab"]
            .iter()
            .map(|now| history.undo(&named(now), &none).unwrap().document.card.title.clone())
            .collect();
        assert_eq!(back, ["abc", "ab", ""]);
        assert_eq!(history.undo_label(), None);
        assert_eq!(history.redo_label(), Some("title"));
    }

    #[test]
    fn a_step_that_does_not_merge_is_not_merged_into() {
        let mut history = History::default();
        commit(&mut history, "move", "", false);
        commit(&mut history, "move", "a", true);
        history.undo(&named("b"), &Selection::default());
        assert_eq!(history.undo_label(), Some("move"));
    }

    #[test]
    fn only_so_many_steps_are_kept() {
        let mut history = History::default();
        for number in 0..CAP + 5 {
            commit(&mut history, "move", &number.to_string(), false);
        }
        let mut last = None;
        while let Some(step) = history.undo(&named(""), &Selection::default()) {
            last = Some(step.document.card.title.clone());
        }
        assert_eq!(last.as_deref(), Some("5"));
    }
}
