//! What the user said about a value, kept apart from what is assumed when nothing was said.

/// A value as the user gave it. Never holds a default: see [`crate::resolve`] for those.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub enum Given<T> {
    /// Known exactly.
    Known(T),
    /// Known to lie between two values, the smaller first.
    Between(T, T),
    /// Not known.
    #[default]
    NotKnown,
}

impl<T> Given<T> {
    /// Whether anything at all was said.
    pub fn is_said(&self) -> bool {
        !matches!(self, Given::NotKnown)
    }

    /// Applies `change` to each value said.
    pub fn map<U>(self, change: impl Fn(T) -> U) -> Given<U> {
        match self {
            Given::Known(value) => Given::Known(change(value)),
            Given::Between(low, high) => Given::Between(change(low), change(high)),
            Given::NotKnown => Given::NotKnown,
        }
    }
}

impl<T: Copy> Given<T> {
    /// The exact value, if it was given.
    pub fn known(&self) -> Option<T> {
        match self {
            Given::Known(value) => Some(*value),
            Given::Between(..) | Given::NotKnown => None,
        }
    }
}
