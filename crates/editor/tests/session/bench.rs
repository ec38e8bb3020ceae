//! A session on a bench: input is given as a script, and after every piece of it the document is
//! looked over.

use drawing::geometry::{Cell, Point};
use editor::{Inset, Key, Phase, Pointer, PointerKind, Screen, Session, Stroke, Tool};
use engine::document::validate::violations;
use engine::document::{Document, Part, Wire};
use engine::ids::{PartId, TerminalRef, WireId};
use engine::{file, kind};

/// A session with a clock and a mouse.
pub struct Bench {
    pub session: Session,
    pub clock_ms: f64,
}

impl Bench {
    /// A bench with an empty job.
    pub fn empty() -> Bench {
        Bench::with(Document::default())
    }

    /// A bench with this job.
    pub fn with(document: Document) -> Bench {
        let mut session = Session::new(document);
        session.resize(1600.0, 1200.0, Inset::default());
        Bench { session, clock_ms: 0.0 }
    }

    /// A bench with a demonstration job.
    pub fn demonstration(name: &str) -> Bench {
        Bench::with(demonstration(name))
    }

    /// A bench on which this script was run.
    pub fn after(script: &str) -> Bench {
        let mut bench = Bench::empty();
        bench.run(script);
        bench
    }

    /// Runs commands separated by semicolons:
    ///
    /// * `put KIND PLACE`, `tool select|wire|try|put KIND`
    /// * `tap PLACE`, `shift-tap PLACE`, `drag PLACE PLACE`, `hover PLACE`
    /// * `key KEYS`, as in `key ctrl+z` or `key shift+left`
    /// * `choose NUMBER`, answering an offer
    ///
    /// A place is `X,Y` in grid steps, or a terminal `p1.30`, or the middle of a part `p1`.
    pub fn run(&mut self, script: &str) {
        for command in script.split(';').map(str::trim).filter(|command| !command.is_empty()) {
            self.command(command);
            self.sweep(command);
        }
    }

    fn command(&mut self, command: &str) {
        let words: Vec<&str> = command.split_whitespace().collect();
        match words.as_slice() {
            ["put", name, place] => {
                self.command(&format!("tool put {name}"));
                self.command(&format!("tap {place}"));
            }
            ["tool", "put", name] => {
                let kind = kind::by_name(name).unwrap_or_else(|| panic!("no kind {name}"));
                self.session.set_tool(Tool::Put { kind, at: None });
            }
            ["tool", name] => self.session.set_tool(match *name {
                "select" => Tool::Select,
                "wire" => Tool::Wire { from: None },
                "try" => Tool::Try,
                other => panic!("no tool {other}"),
            }),
            ["tap", place] => self.tap(self.screen(place), false),
            ["shift-tap", place] => self.tap(self.screen(place), true),
            ["drag", from, to] => self.drag(self.screen(from), self.screen(to)),
            ["hover", place] => self.mouse(Phase::Hover, self.screen(place)),
            ["key", keys] => {
                self.session.key(key(keys));
            }
            ["choose", number] => self.session.accept(number.parse().unwrap()),
            other => panic!("no command {other:?}"),
        }
    }

    /// What must hold after every input, whatever it was.
    pub fn sweep(&self, what: &str) {
        let document = self.session.document();
        assert_eq!(violations(document), [], "after {what}");
        let read = file::read_json(&file::write_json(document));
        assert_eq!(read.as_ref(), Ok(document), "after {what}");
        let network = &document.network;
        let selection = self.session.selection();
        assert!(selection.parts.iter().all(|part| network.part(part).is_some()), "after {what}");
        assert!(selection.wires.iter().all(|wire| network.wire(wire).is_some()), "after {what}");
        assert!(self.session.situation().set.keys().all(|part| network.part(part).is_some()), "after {what}");
        let drawn = self.session.scene().elements().iter().flat_map(|element| &element.contacts);
        let drawn: Vec<_> = drawn.map(|contact| &contact.terminal).collect();
        for terminal in network.wires.iter().flat_map(|wire| [&wire.from, &wire.to]) {
            assert!(drawn.contains(&terminal), "{terminal} is not drawn after {what}");
        }
    }

    /// A place of a script on the screen.
    pub fn screen(&self, place: &str) -> Screen {
        self.session.view().to_screen(self.point(place))
    }

    fn point(&self, place: &str) -> Point {
        if let Some((x, y)) = place.split_once(',') {
            let steps = |text: &str| (text.parse::<f64>().unwrap() * 250.0) as i32;
            return Point::new(steps(x), steps(y));
        }
        if let Some(terminal) = TerminalRef::parse(place) {
            let elements = self.session.scene().elements().iter();
            let contact = elements.flat_map(|element| &element.contacts).find(|one| one.terminal == terminal);
            return contact.unwrap_or_else(|| panic!("{place} is not drawn")).points[0];
        }
        let part = PartId::new(place).unwrap();
        let symbol =
            self.session.scene().elements().iter().find(
                |element| matches!(&element.id, drawing::scene::ElementId::Symbol(id, ..) if *id == part),
            );
        symbol.unwrap_or_else(|| panic!("{place} is not drawn")).body.unwrap().center()
    }

    pub fn pointer(&mut self, id: i32, kind: PointerKind, phase: Phase, at: Screen) {
        self.wait(phase);
        self.session.pointer(Pointer { id, phase, kind, at, shift: false, time_ms: self.clock_ms });
    }

    /// Lets the time pass that a hand takes until it does this.
    fn wait(&mut self, phase: Phase) {
        self.clock_ms += if phase == Phase::Up { 50.0 } else { 10.0 };
    }

    pub fn mouse(&mut self, phase: Phase, at: Screen) {
        self.pointer(1, PointerKind::Mouse, phase, at);
    }

    pub fn finger(&mut self, id: i32, phase: Phase, at: Screen) {
        self.pointer(id, PointerKind::Finger, phase, at);
    }

    fn tap(&mut self, at: Screen, shift: bool) {
        for phase in [Phase::Down, Phase::Up] {
            self.wait(phase);
            let kind = PointerKind::Finger;
            self.session.pointer(Pointer { id: 2, phase, kind, at, shift, time_ms: self.clock_ms });
        }
    }

    /// A tap of a finger at a point of the screen.
    pub fn tap_at(&mut self, at: Screen) {
        self.tap(at, false);
        self.sweep("a tap");
    }

    fn drag(&mut self, from: Screen, to: Screen) {
        self.finger(2, Phase::Down, from);
        for step in 1..=4 {
            let share = f64::from(step) / 4.0;
            let at = Screen { x: from.x + (to.x - from.x) * share, y: from.y + (to.y - from.y) * share };
            self.finger(2, Phase::Move, at);
        }
        self.finger(2, Phase::Up, to);
    }

    pub fn document(&self) -> &Document {
        self.session.document()
    }

    /// The part with this label.
    pub fn part(&self, label: &str) -> &Part {
        let part = self.document().network.parts.iter().find(|part| part.label == label);
        part.unwrap_or_else(|| panic!("no part {label}"))
    }

    /// The wire with this label.
    pub fn wire(&self, label: &str) -> &Wire {
        let wire = self.document().network.wires.iter().find(|wire| wire.label == label);
        wire.unwrap_or_else(|| panic!("no wire {label}"))
    }

    /// All wires, as `W1 G1:+ F1:1`.
    pub fn wires(&self) -> Vec<String> {
        let network = &self.document().network;
        let words = |wire: &Wire| {
            let end = |end| network.terminal_title(end);
            format!("{} {} {}", wire.title(), end(&wire.from), end(&wire.to))
        };
        network.wires.iter().map(words).collect()
    }

    /// The labels of all parts.
    pub fn labels(&self) -> Vec<&str> {
        self.document().network.parts.iter().map(|part| part.label.as_str()).collect()
    }

    /// What is selected, by label.
    pub fn selected(&self) -> Vec<String> {
        let network = &self.document().network;
        let selection = self.session.selection();
        let parts = selection.parts.iter().map(|id: &PartId| network.part(id).unwrap().title().to_owned());
        let wires = selection.wires.iter().map(|id: &WireId| network.wire(id).unwrap().title().to_owned());
        parts.chain(wires).collect()
    }

    /// Where the anchor of the first symbol of a part stands.
    pub fn at(&self, label: &str) -> Cell {
        let part = self.part(label).id.clone();
        let pose =
            self.document().placement.of(&part).next().unwrap_or_else(|| panic!("{label} has no pose"));
        Cell::new(pose.x, pose.y)
    }

    pub fn text(&self) -> String {
        file::write_json(self.document())
    }

    pub fn notice(&self) -> &str {
        self.session.notice().unwrap_or_default()
    }
}

/// A demonstration job.
pub fn demonstration(name: &str) -> Document {
    let text = match name {
        "apiary-flatbed" => include_str!("../../../../fixtures/jobs/apiary-flatbed.json"),
        "honey-stall-trailer" => include_str!("../../../../fixtures/jobs/honey-stall-trailer.json"),
        "switched-earth-donor" => include_str!("../../../../fixtures/jobs/switched-earth-donor.json"),
        other => panic!("no demonstration {other}"),
    };
    file::read_json(text).unwrap()
}

/// A key as a script writes it.
pub fn key(keys: &str) -> Key {
    let mut key = Key::plain(Stroke::Escape);
    for word in keys.split('+') {
        key.stroke = match word {
            "ctrl" => {
                key.control = true;
                continue;
            }
            "shift" => {
                key.shift = true;
                continue;
            }
            "left" => Stroke::Left,
            "right" => Stroke::Right,
            "up" => Stroke::Up,
            "down" => Stroke::Down,
            "enter" => Stroke::Enter,
            "escape" => Stroke::Escape,
            "delete" => Stroke::Delete,
            "plus" => Stroke::Letter('+'),
            letter => Stroke::Letter(letter.chars().next().unwrap()),
        };
    }
    key
}

/// A stream of numbers from a seed (xorshift, 64 bits).
pub struct Chance(u64);

impl Chance {
    pub fn new(seed: u64) -> Chance {
        Chance(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    /// A number from 0 to `n` - 1.
    pub fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 16) as usize % n
    }
}
