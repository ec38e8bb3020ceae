//! Tells taps, drags and two-finger navigation apart. Knows nothing of drawings.
//!
//! ```text
//!          down                slop passed
//!   Idle ───────> Pressed ─────────────────> Dragging ──up──> drop
//!                  │  └─up──> tap               │
//!                  └──────── second finger ─────┴──> Navigating ──> Spent ──all up──> Idle
//! ```
//!
//! Nothing is meant before a release: a press is only a press, and whatever a drag shows goes away
//! again when a second finger, a cancel or a move without a pressed button comes.

/// A point of the worktop, in CSS pixels from its upper left corner.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Screen {
    /// From the left.
    pub x: f64,
    /// From the top.
    pub y: f64,
}

impl Screen {
    /// The distance to another point.
    pub fn distance(self, other: Screen) -> f64 {
        let (dx, dy) = (self.x - other.x, self.y - other.y);
        (dx * dx + dy * dy).sqrt()
    }

    /// The point halfway to another.
    pub fn middle(self, other: Screen) -> Screen {
        Screen { x: (self.x + other.x) / 2.0, y: (self.y + other.y) / 2.0 }
    }
}

/// What happened to a pointer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phase {
    /// It was put down, or its main button was pressed.
    Down,
    /// It moved.
    Move,
    /// It moved, and nothing is pressed.
    Hover,
    /// It was lifted.
    Up,
    /// The browser took it away.
    Cancel,
}

/// What sort of pointer it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PointerKind {
    /// A finger.
    Finger,
    /// A pen.
    Pen,
    /// A mouse.
    Mouse,
}

/// One event of one pointer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pointer {
    /// Which pointer.
    pub id: i32,
    /// What happened to it.
    pub phase: Phase,
    /// What it is.
    pub kind: PointerKind,
    /// Where it is.
    pub at: Screen,
    /// Whether the shift key is held.
    pub shift: bool,
    /// When it was, in milliseconds from any beginning.
    pub time_ms: f64,
}

/// How far a pointer may stray and still tap, in pixels.
pub const SLOP: f64 = 10.0;

/// A tap of two fingers takes less than this, in milliseconds.
pub const TWO_FINGER_TAP_MS: f64 = 200.0;

/// What an event amounts to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Act {
    /// A pointer passes over the drawing with nothing pressed.
    Hover(Screen),
    /// A tap.
    Tap {
        /// Where it was put down.
        at: Screen,
        /// Whether the shift key was held.
        shift: bool,
    },
    /// A drag goes on.
    Drag {
        /// Where it was put down.
        from: Screen,
        /// Where it is now.
        to: Screen,
    },
    /// A drag ends by a release.
    Drop {
        /// Where it was put down.
        from: Screen,
        /// Where it was lifted.
        to: Screen,
    },
    /// What one pointer began is given up.
    Abort,
    /// Two fingers take over; what one began is given up.
    Grip,
    /// Two fingers moved.
    Navigate {
        /// Where they were when they took over.
        from: [Screen; 2],
        /// Where they are now.
        to: [Screen; 2],
    },
    /// A short tap of two fingers.
    TwoFingerTap,
}

/// A finger of two that navigate.
#[derive(Clone, Copy, Debug)]
struct Finger {
    id: i32,
    from: Screen,
    to: Screen,
    is_down: bool,
}

#[derive(Clone, Copy, Debug)]
enum State {
    Idle,
    Pressed {
        id: i32,
        kind: PointerKind,
        at: Screen,
        shift: bool,
        since_ms: f64,
    },
    Dragging {
        id: i32,
        kind: PointerKind,
        from: Screen,
    },
    Navigating {
        fingers: [Finger; 2],
        since_ms: f64,
        strayed: bool,
    },
    /// A gesture was given up while pointers are still down.
    Spent,
}

/// The machine.
#[derive(Clone, Debug)]
pub struct Machine {
    state: State,
    /// The pointers that are down and count.
    down: Vec<(i32, PointerKind, Screen)>,
}

impl Default for Machine {
    fn default() -> Machine {
        Machine { state: State::Idle, down: Vec::new() }
    }
}

impl Machine {
    /// Whether no pointer is down that counts.
    pub fn is_idle(&self) -> bool {
        self.down.is_empty()
    }

    /// Takes in one event and says what it amounts to.
    pub fn step(&mut self, event: Pointer) -> Option<Act> {
        match event.phase {
            Phase::Down => self.down(event),
            Phase::Move if !self.knows(event.id) => self.hover(event),
            Phase::Move => self.moved(event),
            Phase::Hover => self.hover(event),
            Phase::Up | Phase::Cancel => self.lifted(event),
        }
    }

    /// Gives up whatever is under way, as when the page is left.
    pub fn reset(&mut self) -> Option<Act> {
        let was = std::mem::take(self);
        matches!(was.state, State::Pressed { .. } | State::Dragging { .. }).then_some(Act::Abort)
    }

    fn knows(&self, id: i32) -> bool {
        self.down.iter().any(|(known, ..)| *known == id)
    }

    fn down(&mut self, event: Pointer) -> Option<Act> {
        let pen_is_down = self.down.iter().any(|(_, kind, _)| *kind == PointerKind::Pen);
        // The hand that holds the pen rests on the screen.
        if self.knows(event.id) || (pen_is_down && event.kind == PointerKind::Finger) {
            return None;
        }
        if event.kind != PointerKind::Finger {
            // A pen or a mouse means it, whatever fingers rest on the screen.
            let given_up = matches!(self.state, State::Pressed { .. } | State::Dragging { .. });
            self.down = vec![(event.id, event.kind, event.at)];
            self.state = pressed(event);
            return given_up.then_some(Act::Abort);
        }
        self.down.push((event.id, event.kind, event.at));
        let (first, since_ms) = match self.state {
            State::Idle => {
                self.state = pressed(event);
                return None;
            }
            State::Pressed { id, kind: PointerKind::Finger, since_ms, .. } => (id, since_ms),
            State::Dragging { id, kind: PointerKind::Finger, .. } => (id, f64::NEG_INFINITY),
            _ => return None,
        };
        let now = self.down.iter().find(|(id, ..)| *id == first).map_or(event.at, |(_, _, at)| *at);
        let finger = |id: i32, at: Screen| Finger { id, from: at, to: at, is_down: true };
        let fingers = [finger(first, now), finger(event.id, event.at)];
        self.state = State::Navigating { fingers, since_ms, strayed: false };
        Some(Act::Grip)
    }

    fn hover(&mut self, event: Pointer) -> Option<Act> {
        let was_down = self.knows(event.id);
        if !was_down && self.down.is_empty() {
            return (event.kind != PointerKind::Finger).then_some(Act::Hover(event.at));
        }
        if !was_down {
            return None;
        }
        // Its release was missed, as outside of the window.
        self.down.retain(|(id, ..)| *id != event.id);
        self.give_up(event.id)
    }

    fn moved(&mut self, event: Pointer) -> Option<Act> {
        if let Some(known) = self.down.iter_mut().find(|(id, ..)| *id == event.id) {
            known.2 = event.at;
        }
        match &mut self.state {
            State::Pressed { id, kind, at, .. } if *id == event.id && at.distance(event.at) > SLOP => {
                let from = *at;
                self.state = State::Dragging { id: event.id, kind: *kind, from };
                Some(Act::Drag { from, to: event.at })
            }
            State::Dragging { id, from, .. } if *id == event.id => {
                Some(Act::Drag { from: *from, to: event.at })
            }
            State::Navigating { fingers, strayed, .. } => {
                let finger = fingers.iter_mut().find(|finger| finger.id == event.id && finger.is_down)?;
                finger.to = event.at;
                *strayed |= finger.from.distance(finger.to) > SLOP;
                // One finger alone moves nothing: a hand is lifted finger by finger.
                let both = fingers.iter().all(|finger| finger.is_down);
                let act = Act::Navigate { from: fingers.map(|f| f.from), to: fingers.map(|f| f.to) };
                (both && *strayed).then_some(act)
            }
            _ => None,
        }
    }

    fn lifted(&mut self, event: Pointer) -> Option<Act> {
        if !self.knows(event.id) {
            return None;
        }
        self.down.retain(|(id, ..)| *id != event.id);
        if event.phase == Phase::Cancel {
            return self.give_up(event.id);
        }
        let last = self.down.is_empty();
        match &mut self.state {
            State::Pressed { id, at, shift, .. } if *id == event.id => {
                let (at, shift) = (*at, *shift || event.shift);
                let strayed = at.distance(event.at) > SLOP;
                self.state = State::Idle;
                // A release far away without a move in between is a drag that was told in one piece.
                Some(if strayed { Act::Drop { from: at, to: event.at } } else { Act::Tap { at, shift } })
            }
            State::Dragging { id, from, .. } if *id == event.id => {
                let from = *from;
                self.state = State::Idle;
                Some(Act::Drop { from, to: event.at })
            }
            State::Navigating { fingers, since_ms, strayed } => {
                for finger in fingers.iter_mut().filter(|finger| finger.id == event.id) {
                    finger.is_down = false;
                }
                let short = event.time_ms - *since_ms < TWO_FINGER_TAP_MS;
                let tapped = short && !*strayed && fingers.iter().all(|finger| !finger.is_down);
                if last {
                    self.state = State::Idle;
                }
                (tapped && last).then_some(Act::TwoFingerTap)
            }
            _ => {
                if last {
                    self.state = State::Idle;
                }
                None
            }
        }
    }

    /// Gives up what the pointer `id` takes part in; it is no longer down.
    fn give_up(&mut self, id: i32) -> Option<Act> {
        let act = match self.state {
            State::Pressed { id: own, .. } | State::Dragging { id: own, .. } if own == id => Some(Act::Abort),
            _ => None,
        };
        self.state = if self.down.is_empty() { State::Idle } else { State::Spent };
        act
    }
}

fn pressed(event: Pointer) -> State {
    State::Pressed {
        id: event.id,
        kind: event.kind,
        at: event.at,
        shift: event.shift,
        since_ms: event.time_ms,
    }
}
