//! What menus, buttons and shortcuts do, in one table.

/// Something that can be done at any time, whatever the tool.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Action {
    /// Takes the last step back.
    Undo,
    /// Does the step again that was taken back last.
    Redo,
    /// Deletes what is selected.
    Delete,
    /// Puts a copy of what is selected beside it.
    Duplicate,
    /// Turns the selected parts by a quarter, clockwise.
    Turn,
    /// Mirrors the selected parts, left to right as they are seen.
    Mirror,
    /// Lays the whole drawing out anew, but for what is kept in its place.
    Tidy,
    /// Keeps the selected parts in their places when the drawing is tidied.
    Keep,
    /// Keeps them there no longer.
    LetGo,
    /// Selects everything.
    SelectAll,
    /// Selects nothing.
    SelectNone,
    /// Makes taps add to the selection, or no longer.
    MoreSelect,
    /// Shows the whole drawing.
    ShowAll,
    /// Shows less of the drawing, larger.
    ZoomIn,
    /// Shows more of the drawing, smaller.
    ZoomOut,
}

/// How an action is presented.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The action.
    pub action: Action,
    /// Its name.
    pub name: &'static str,
    /// Its keys, while the drawing has the focus; empty when it has none.
    pub shortcut: &'static str,
    /// What the keys are: whether control and shift are held, and the stroke.
    keys: Option<(bool, bool, Stroke)>,
}

const fn entry(
    action: Action,
    name: &'static str,
    shortcut: &'static str,
    keys: Option<(bool, bool, Stroke)>,
) -> Entry {
    Entry { action, name, shortcut, keys }
}

/// Every action, in the order of a menu.
pub static ALL: &[Entry] = &[
    entry(Action::Undo, "Undo", "Ctrl+Z", Some((true, false, Stroke::Letter('z')))),
    entry(Action::Redo, "Redo", "Ctrl+Shift+Z", Some((true, true, Stroke::Letter('z')))),
    entry(Action::Duplicate, "Duplicate", "Ctrl+D", Some((true, false, Stroke::Letter('d')))),
    entry(Action::Delete, "Delete", "Delete", Some((false, false, Stroke::Delete))),
    entry(Action::Turn, "Turn", "R", Some((false, false, Stroke::Letter('r')))),
    entry(Action::Mirror, "Mirror", "M", Some((false, false, Stroke::Letter('m')))),
    entry(Action::Tidy, "Tidy", "T", Some((false, false, Stroke::Letter('t')))),
    entry(Action::Keep, "Keep in place", "K", Some((false, false, Stroke::Letter('k')))),
    entry(Action::LetGo, "Let go", "L", Some((false, false, Stroke::Letter('l')))),
    entry(Action::SelectAll, "Select all", "Ctrl+A", Some((true, false, Stroke::Letter('a')))),
    entry(Action::SelectNone, "Select nothing", "", None),
    entry(Action::MoreSelect, "Add to the selection by taps", "", None),
    entry(Action::ShowAll, "Show all", "0", Some((false, false, Stroke::Letter('0')))),
    entry(Action::ZoomIn, "Larger", "+", Some((false, false, Stroke::Letter('+')))),
    entry(Action::ZoomOut, "Smaller", "-", Some((false, false, Stroke::Letter('-')))),
];

impl Action {
    /// Its entry in the table.
    pub fn entry(self) -> &'static Entry {
        ALL.iter().find(|entry| entry.action == self).expect("every action has its entry")
    }

    /// The action that belongs to these keys.
    pub fn of_key(key: Key) -> Option<Action> {
        // Two habits for the same thing are in use.
        if key.control && !key.shift && key.stroke == Stroke::Letter('y') {
            return Some(Action::Redo);
        }
        // A sign such as `+` may need the shift key by itself.
        let is_sign = matches!(key.stroke, Stroke::Letter(sign) if !sign.is_alphabetic());
        let matches = |(control, shift, stroke): (bool, bool, Stroke)| {
            control == key.control && (shift == key.shift || is_sign) && stroke == key.stroke
        };
        ALL.iter().find(|entry| entry.keys.is_some_and(matches)).map(|entry| entry.action)
    }
}

/// A key of the keyboard, as far as the drawing uses it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stroke {
    /// Arrow to the left.
    Left,
    /// Arrow to the right.
    Right,
    /// Arrow up.
    Up,
    /// Arrow down.
    Down,
    /// Enter.
    Enter,
    /// Escape.
    Escape,
    /// Delete or backspace.
    Delete,
    /// A character, letters in lower case.
    Letter(char),
}

/// A key with what is held beside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Key {
    /// The key.
    pub stroke: Stroke,
    /// Whether the shift key is held.
    pub shift: bool,
    /// Whether the control key, or the command key, is held.
    pub control: bool,
}

impl Key {
    /// The key by itself.
    pub fn plain(stroke: Stroke) -> Key {
        Key { stroke, shift: false, control: false }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_action_has_one_entry_and_no_two_share_keys() {
        for (index, entry) in ALL.iter().enumerate() {
            assert_eq!(entry.action.entry(), entry);
            let before = &ALL[..index];
            assert!(before.iter().all(|other| other.action != entry.action), "{entry:?}");
            assert!(entry.keys.is_none() || before.iter().all(|other| other.keys != entry.keys), "{entry:?}");
        }
    }

    #[test]
    fn shortcuts_find_their_actions() {
        let key = |stroke, control, shift| Action::of_key(Key { stroke, shift, control });
        assert_eq!(key(Stroke::Letter('z'), true, false), Some(Action::Undo));
        assert_eq!(key(Stroke::Letter('z'), true, true), Some(Action::Redo));
        assert_eq!(key(Stroke::Letter('y'), true, false), Some(Action::Redo));
        assert_eq!(key(Stroke::Letter('z'), false, false), None);
        assert_eq!(key(Stroke::Letter('+'), false, true), Some(Action::ZoomIn));
        assert_eq!(key(Stroke::Delete, false, false), Some(Action::Delete));
    }
}
