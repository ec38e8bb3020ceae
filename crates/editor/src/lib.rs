//! The editing session without a user interface: everything the app does, without one.
//!
//! ```text
//! pointer, key, wheel ──> gesture ──> tool ──> Edit ──> document, one named step a gesture
//!                            └──> preview, while nothing is committed yet
//! ```
//!
//! * [`Session`] owns the present document, the history, the selection, the positions of switches
//!   and donors, the tool and the view; it is the only way to change any of them.
//! * [`gesture`] tells taps, drags and two-finger navigation apart, and knows nothing of drawings.
//! * [`tool`] says what a tap or a drag means: [`Tool::Select`], [`Tool::Put`], [`Tool::Wire`],
//!   [`Tool::Try`].
//! * [`action`] lists what menus, buttons and shortcuts do.
//! * [`offer`] holds the questions that a gesture may leave open, such as which of two terminals
//!   was meant.
//! * [`form`] describes what can be said of a part, a wire or the job as fields of a form.
//! * [`answers`] holds what is known of the job, and tells old answers from those that hold.
//! * [`density`] says how much lettering is worth showing at a scale.
//! * [`groups`] sorts the kinds of parts as they are offered.
//! * [`view`] turns the drawing into the screen and back; [`clip`] carries parts between jobs.
//!
//! How input is handed over, as far as the types do not say it:
//!
//! * Positions on the screen are CSS pixels from the upper left corner of the worktop.
//! * A mouse or pen that moves while nothing is pressed is [`Phase::Hover`]; it also ends a press
//!   whose release was missed. A plain [`Phase::Move`] before anything is pressed counts as a hover.
//! * [`Key`] is a [`Stroke`] with its modifiers.
//!
//! The crate hands the two below it on, so that the app reaches them by one way only.
//! Nothing in it may know a browser, a signal or a clock.

pub use drawing;
pub use engine;

pub mod action;
pub mod answers;
pub mod clip;
pub mod density;
pub mod form;
pub mod gesture;
mod ground;
pub mod groups;
mod history;
pub mod offer;
pub mod session;
mod supply;
pub mod tool;
pub mod view;

pub use action::{Action, Key, Stroke};
pub use answers::Answers;
pub use clip::Clip;
pub use density::Density;
pub use gesture::{Hands, Phase, Pointer, PointerKind, Screen};
pub use offer::Offer;
pub use session::{Preview, Selection, Session};
pub use tool::Tool;
pub use view::{Inset, View};
