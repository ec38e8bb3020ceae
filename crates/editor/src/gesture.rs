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
//! again when a second finger, a cancel or a move without a pressed button comes. What touches for a
//! moment only, as drops of water do, is no finger and means nothing.

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

/// What touches the screen, which decides how exactly a touch is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Hands {
    /// Fingers, pen or mouse.
    #[default]
    Bare,
    /// Fingers in work gloves.
    Gloved,
}

impl Hands {
    /// How far a pointer may stray and still tap, in pixels.
    pub fn slop(self) -> f64 {
        match self {
            Hands::Bare => 10.0,
            Hands::Gloved => 16.0,
        }
    }

    /// How many times as far as a bare finger it reaches: 40 pixels around a terminal instead of 28.
    pub fn reach(self) -> f64 {
        match self {
            Hands::Bare => 1.0,
            Hands::Gloved => 40.0 / 28.0,
        }
    }
}

/// A tap of two fingers takes less than this, in milliseconds.
pub const TWO_FINGER_TAP_MS: f64 = 200.0;

/// A finger touches for at least this long, in milliseconds; what is shorter is a drop of water or a sleeve.
pub const GHOST_MS: f64 = 40.0;

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
    since_ms: f64,
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
        since_ms: f64,
    },
    Navigating {
        fingers: [Finger; 2],
        strayed: bool,
        /// Whether lifting both may still be a tap.
        may_tap: bool,
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
    /// What touches.
    pub hands: Hands,
}

impl Default for Machine {
    fn default() -> Machine {
        Machine { state: State::Idle, down: Vec::new(), hands: Hands::default() }
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
        let was = std::mem::replace(self, Machine { hands: self.hands, ..Machine::default() });
        matches!(was.state, State::Pressed { .. } | State::Dragging { .. }).then_some(Act::Abort)
    }

    /// Whether lifting this pointer now would be a tap.
    pub fn would_tap(&self, event: &Pointer) -> bool {
        match self.state {
            State::Pressed { id, kind, at, since_ms, .. } => {
                id == event.id
                    && at.distance(event.at) <= self.hands.slop()
                    && !is_ghost(kind, since_ms, event)
            }
            _ => false,
        }
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
            State::Navigating { ref mut may_tap, .. } => {
                // Three or more are a palm, or water: they must not take a step back.
                *may_tap = false;
                return None;
            }
            _ => return None,
        };
        let now = self.down.iter().find(|(id, ..)| *id == first).map_or(event.at, |(_, _, at)| *at);
        let finger =
            |id: i32, at: Screen, since_ms: f64| Finger { id, from: at, to: at, is_down: true, since_ms };
        let fingers = [finger(first, now, since_ms), finger(event.id, event.at, event.time_ms)];
        self.state = State::Navigating { fingers, strayed: false, may_tap: true };
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
        let slop = self.hands.slop();
        if let Some(known) = self.down.iter_mut().find(|(id, ..)| *id == event.id) {
            known.2 = event.at;
        }
        match &mut self.state {
            State::Pressed { id, kind, at, since_ms, .. }
                if *id == event.id && at.distance(event.at) > slop =>
            {
                let from = *at;
                self.state = State::Dragging { id: event.id, kind: *kind, from, since_ms: *since_ms };
                Some(Act::Drag { from, to: event.at })
            }
            State::Dragging { id, from, .. } if *id == event.id => {
                Some(Act::Drag { from: *from, to: event.at })
            }
            State::Navigating { fingers, strayed, .. } => {
                let finger = fingers.iter_mut().find(|finger| finger.id == event.id && finger.is_down)?;
                finger.to = event.at;
                *strayed |= finger.from.distance(finger.to) > slop;
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
        let would_tap = self.would_tap(&event);
        match &mut self.state {
            State::Pressed { id, kind, at, shift, since_ms } if *id == event.id => {
                let (at, shift) = (*at, *shift || event.shift);
                let ghost = is_ghost(*kind, *since_ms, &event);
                self.state = State::Idle;
                match (would_tap, ghost) {
                    (true, _) => Some(Act::Tap { at, shift }),
                    (false, true) => None,
                    // A release far away without a move in between is a drag that was told in one piece.
                    (false, false) => Some(Act::Drop { from: at, to: event.at }),
                }
            }
            State::Dragging { id, kind, from, since_ms } if *id == event.id => {
                let from = *from;
                let ghost = is_ghost(*kind, *since_ms, &event);
                self.state = State::Idle;
                Some(if ghost { Act::Abort } else { Act::Drop { from, to: event.at } })
            }
            State::Navigating { fingers, strayed, may_tap } => {
                for finger in fingers.iter_mut().filter(|finger| finger.id == event.id) {
                    finger.is_down = false;
                    *may_tap &= !is_ghost(event.kind, finger.since_ms, &event);
                }
                let short = event.time_ms - fingers[0].since_ms < TWO_FINGER_TAP_MS;
                let tapped = short && *may_tap && !*strayed && fingers.iter().all(|finger| !finger.is_down);
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

/// Whether something that touched since then and is lifted now is no finger at all.
fn is_ghost(kind: PointerKind, since_ms: f64, lifted: &Pointer) -> bool {
    kind == PointerKind::Finger && lifted.time_ms - since_ms < GHOST_MS
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
