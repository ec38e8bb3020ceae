//! A drawing that follows edits stays as good as one drawn afresh, and leaves alone what an edit
//! does not touch.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::faults;
use crate::geometry::{circuits, names_are_unique};
use crate::support::{Chance, bodies, wire_paths};
use drawing::board::{Board, SymbolKey, stand};
use drawing::draw::draw;
use drawing::geometry::{Cell, Point, Rect, STEP};
use drawing::layout::{Layout, lay_out};
use drawing::scene::{Change, Element, ElementId, Scene, Shape, diff};
use engine::document::{Insulation, Joint, Network, Part, Placement, Pose, Surroundings, Use, Wire};
use engine::given::Given;
use engine::ids::{PartId, TerminalRef, WireId};
use engine::kind::{ALL, Values};
use engine::quantity::Metres;

/// A job while it is edited, without an editor.
#[derive(Clone)]
struct Job {
    network: Arc<Network>,
    placement: Arc<Placement>,
}

impl Job {
    fn network(&mut self) -> &mut Network {
        Arc::make_mut(&mut self.network)
    }

    fn placement(&mut self) -> &mut Placement {
        Arc::make_mut(&mut self.placement)
    }

    /// Some terminal; those of parts with very many only among the first.
    fn terminal(&self, chance: &mut Chance) -> Option<TerminalRef> {
        let part = self.network.parts.get(chance.below(self.network.parts.len().max(1)))?;
        let terminals = part.terminals();
        let name = &terminals[chance.below(terminals.len().min(6))].name;
        Some(TerminalRef { part: part.id.clone(), terminal: name.clone() })
    }

    /// One edit of any sort; `None` when it is not possible here.
    fn edit(&mut self, board: &Board, chance: &mut Chance, number: usize) -> Option<&'static str> {
        let bounds = board.scene().bounds().unwrap_or(Rect::new(0, 0, 0, 0)).grown(2000);
        let cell = Cell::new(
            (bounds.left + chance.below(bounds.width() as usize) as i32) / STEP,
            (bounds.top + chance.below(bounds.height() as usize) as i32) / STEP,
        );
        match chance.below(10) {
            0..4 => self.shift(chance),
            4 => {
                let kind = ALL[chance.below(ALL.len())];
                let values = Values::default();
                let id = PartId::new(&format!("new{number}")).unwrap();
                let at = board.free_spot(kind, &values, cell);
                for (view, offset) in stand(kind, &values) {
                    let (x, y) = (at.x + offset.x, at.y + offset.y);
                    self.placement().poses.push(pose(&id, view, x, y));
                }
                let label = String::new();
                self.network().parts.push(Part { values, ..Part::new(id, kind, label) });
                Some("a part more")
            }
            5 => {
                let gone = self.network.parts.get(chance.below(self.network.parts.len().max(1)))?.id.clone();
                self.placement().poses.retain(|pose| pose.part != gone);
                let network = self.network();
                network.wires.retain(|wire| wire.from.part != gone && wire.to.part != gone);
                network.parts.retain(|part| part.id != gone);
                Some("a part less")
            }
            6..8 => {
                let (from, to) = (self.terminal(chance)?, self.terminal(chance)?);
                let id = WireId::new(&format!("new{number}")).unwrap();
                let wire = Wire { label: "W".to_owned(), ..Wire::new(id, from.clone(), to.clone()) };
                self.network().wires.push(wire);
                (from != to).then_some("a wire more")
            }
            8 => {
                let n = self.network.wires.len();
                (n > 0).then(|| self.network().wires.remove(chance.below(n)))?;
                Some("a wire less")
            }
            _ => {
                let n = self.network.parts.len();
                (n > 0).then(|| self.network().parts[chance.below(n)].label = format!("renamed {number}"))?;
                Some("another label")
            }
        }
    }

    /// Moves a symbol, turned or not, to where its body keeps clear of others.
    fn shift(&mut self, chance: &mut Chance) -> Option<&'static str> {
        let chosen = chance.below(self.placement.poses.len().max(1));
        let mut moved = self.clone();
        let pose = moved.placement().poses.get_mut(chosen)?;
        pose.x += chance.below(31) as i32 - 15;
        pose.y += chance.below(31) as i32 - 15;
        if chance.one_in(3) {
            pose.turn = (pose.turn + 1) % 4;
        }
        let scene = draw(&Network { wires: Vec::new(), ..(*moved.network).clone() }, &moved.placement);
        let clear = bodies(&scene).iter().all(|(a, body)| {
            bodies(&scene).iter().all(|(b, other)| a.id == b.id || !body.grown(3 * STEP).overlaps(other))
        });
        clear.then(|| *self = moved)?;
        Some("a symbol moved")
    }
}

fn pose(part: &PartId, view: &str, x: i32, y: i32) -> Pose {
    Pose { part: part.clone(), view: view.to_owned(), x, y, turn: 0, mirrored: false, pinned: false }
}

fn pinned(board: &Board) -> Arc<Placement> {
    Arc::new(Placement { poses: board.poses() })
}

fn n_forced(scene: &Scene) -> usize {
    wire_paths(scene).iter().filter(|(wire, _)| wire.forced).count()
}

/// The wires whose path differs between two scenes, those that are new or gone left out.
fn rerouted(before: &Scene, after: &Scene) -> BTreeSet<ElementId> {
    let path = |scene: &Scene, id: &ElementId| -> Option<Shape> {
        scene.element(id).and_then(|element| element.shapes.first().cloned())
    };
    let wires = wire_paths(after).into_iter().map(|(element, _)| element.id.clone());
    wires.filter(|id| path(before, id).is_some_and(|was| path(after, id) != Some(was))).collect()
}

#[test]
fn a_drawing_that_follows_edits_is_as_good_as_a_fresh_one() {
    // Every third of the small and of the large ones: each step draws everything once more.
    for (number, (circuit, network)) in circuits().enumerate().step_by(3) {
        let mut chance = Chance::new(number as u64);
        let network = Arc::new(network);
        let mut board = Board::new(&network, &Arc::new(Placement::default()));
        let mut job = Job { network, placement: pinned(&board) };
        let mut past = vec![job.clone()];
        for step in 0..25 {
            let what = if chance.one_in(8) {
                job = past[chance.below(past.len())].clone();
                "back to an earlier state"
            } else {
                let mut next = job.clone();
                let Some(what) = next.edit(&board, &mut chance, step) else { continue };
                job = next;
                what
            };
            past.push(job.clone());
            board.update(&job.network, &job.placement);
            let (scene, circuit) = (board.scene(), format!("{circuit}, step {step}, {what}"));
            let fresh = draw(&job.network, &pinned(&board));
            assert!(n_forced(scene) <= n_forced(&fresh), "{circuit}: {} forced", n_forced(scene));
            let found = faults::faults_beside_forced(&job.network, scene);
            assert!(found.is_empty(), "{circuit}: {found:?}");
            names_are_unique(&job.network, scene, &circuit);
        }
    }
}

#[test]
fn a_board_begins_with_what_is_drawn_and_keeps_it_when_everything_is_pinned() {
    for (circuit, network) in circuits() {
        let network = Arc::new(network);
        let mut board = Board::new(&network, &Arc::new(Placement::default()));
        let drawn = board.scene().clone();
        assert_eq!(*drawn, draw(&network, &Placement::default()), "{circuit}");
        board.update(&network, &pinned(&board));
        assert_eq!(board.scene(), &drawn, "{circuit}");
    }
}

#[test]
fn a_job_laid_out_elsewhere_is_drawn_as_if_it_had_been_here_and_again_after_undo() {
    for (circuit, network) in circuits() {
        let network = Arc::new(network);
        let free = Arc::new(Placement::default());
        let here = Board::new(&network, &free);
        let some = Arc::new(Placement { poses: here.poses().into_iter().step_by(2).collect() });
        for placement in [&free, &pinned(&here), &some] {
            let layout = lay_out(&network, placement);
            let standing = layout.standing(&network);
            assert_eq!(Layout::of(&network, placement, &standing).as_ref(), Some(&layout), "{circuit}");
            let board = Board::laid_out(&network, placement, &standing);
            assert_eq!(*board.scene(), *Board::new(&network, placement).scene(), "{circuit}");
        }
        let mut board = Board::laid_out(&network, &free, &lay_out(&network, &free).standing(&network));
        let poses = pinned(&board);
        board.update(&Arc::new(Network::default()), &poses);
        board.update(&network, &free);
        assert_eq!(*board.scene(), *here.scene(), "{circuit}");
        let less = &lay_out(&network, &free).standing(&network)[1..];
        assert_eq!(Layout::of(&network, &free, less), None, "{circuit}");
    }
}

#[test]
fn another_label_changes_lettering_only() {
    for (circuit, network) in circuits() {
        let network = Arc::new(network);
        let mut board = Board::new(&network, &Arc::new(Placement::default()));
        let placement = pinned(&board);
        board.update(&network, &placement);
        let before = board.scene().clone();
        let mut renamed = (*network).clone();
        let part = &mut renamed.parts[0];
        part.label = "another name".to_owned();
        board.update(&Arc::new(renamed), &placement);
        for change in diff(&before, board.scene()) {
            let Change::Changed(element) = change else { panic!("{circuit}: {change:?}") };
            let was = before.element(&element.id).unwrap();
            match &element.id {
                // What names the part in words only.
                ElementId::Symbol(..) | ElementId::Stud(..) | ElementId::Wire(_) => {
                    assert_eq!(element.shapes, was.shapes, "{circuit}: {}", element.id.name());
                }
                // The new name, and designations that were counted around the old one.
                ElementId::PartText(..) => {
                    assert_ne!(words(&element), words(was), "{circuit}: {}", element.id.name());
                }
                other => panic!("{circuit}: {}", other.name()),
            }
        }
    }
}

#[test]
fn what_is_said_of_a_wire_and_does_not_show_leaves_the_scene_as_it_is() {
    for (circuit, network) in circuits() {
        let network = Arc::new(network);
        let mut board = Board::new(&network, &Arc::new(Placement::default()));
        let placement = pinned(&board);
        board.update(&network, &placement);
        let before = board.scene().clone();
        let mut measured = (*network).clone();
        for wire in &mut measured.wires {
            wire.length = Given::Known(Metres::new(1.5).unwrap());
            wire.insulation = Some(Insulation::Rated(105.0));
            wire.surroundings = Some(Surroundings::EngineBay);
            wire.bundle = Some(6);
            wire.sleeve = Some("braid".to_owned());
            wire.grommet = Some(true);
            wire.joint_from = Some(Joint { by: "lug".to_owned(), stud_mm: Some(8.0) });
            wire.joint_to = Some(Joint { by: "crimp".to_owned(), stud_mm: None });
            wire.used_for = Some(Use::StarterCable);
        }
        board.update(&Arc::new(measured.clone()), &placement);
        assert!(Arc::ptr_eq(&before, board.scene()), "{circuit}");
        assert_eq!(draw(&measured, &placement), draw(&network, &placement), "{circuit}");
    }
}

/// What a text says.
fn words(element: &Element) -> Vec<&str> {
    element.shapes.iter().filter_map(text_of).collect()
}

fn text_of(shape: &Shape) -> Option<&str> {
    match shape {
        Shape::Text(lettering) => Some(&lettering.text),
        _ => None,
    }
}

#[test]
fn a_wire_far_from_an_edit_keeps_its_path() {
    for (circuit, network) in circuits() {
        let network = Arc::new(network);
        let mut board = Board::new(&network, &Arc::new(Placement::default()));
        let mut job = Job { placement: pinned(&board), network };
        board.update(&job.network, &job.placement);
        let before = board.scene().clone();
        // To the right of everything.
        let moved = job.network.parts[0].id.clone();
        let right = before.bounds().unwrap().right / STEP + 20;
        for pose in job.placement().poses.iter_mut().filter(|pose| pose.part == moved) {
            pose.x += right;
        }
        board.update(&job.network, &job.placement);
        // Wires that share a terminal share its stud, which grows and shrinks with their number.
        let near: BTreeSet<&TerminalRef> = (job.network.wires.iter())
            .filter(|wire| wire.from.part == moved || wire.to.part == moved)
            .flat_map(|wire| [&wire.from, &wire.to])
            .collect();
        for id in rerouted(&before, board.scene()) {
            let ElementId::Wire(wire) = &id else { panic!("a path belongs to a wire") };
            let wire = job.network.wire(wire).unwrap();
            let hangs_on_it = near.contains(&wire.from) || near.contains(&wire.to);
            assert!(hangs_on_it, "{circuit}: {}", id.name());
        }
    }
}

#[test]
fn hardly_any_wire_changes_that_does_not_hang_on_what_is_dragged() {
    let (mut n_moves, mut n_foreign, mut n_wires) = (0, 0, 0);
    for (_, network) in circuits().step_by(6) {
        let network = Arc::new(network);
        let mut board = Board::new(&network, &Arc::new(Placement::default()));
        let placement = pinned(&board);
        board.update(&network, &placement);
        for chosen in (0..placement.poses.len()).step_by(5) {
            let mut moved = (*placement).clone();
            moved.poses[chosen].x += 2;
            let part = &moved.poses[chosen].part;
            let near: BTreeSet<&TerminalRef> = (network.wires.iter())
                .filter(|wire| wire.from.part == *part || wire.to.part == *part)
                .flat_map(|wire| [&wire.from, &wire.to])
                .collect();
            let mut after = board.clone();
            after.update(&network, &Arc::new(moved.clone()));
            let foreign = rerouted(board.scene(), after.scene()).into_iter().filter(|id| match id {
                ElementId::Wire(id) => network
                    .wire(id)
                    .is_some_and(|wire| !near.contains(&wire.from) && !near.contains(&wire.to)),
                _ => true,
            });
            n_foreign += foreign.count();
            n_moves += 1;
            n_wires += network.wires.len();
        }
    }
    // What was in the way of the symbol or of its wires gives way: a wire in every second move.
    assert!(2 * n_foreign <= n_moves, "{n_foreign} of {n_wires} in {n_moves} moves");
}

#[test]
fn nothing_moves_when_an_edit_is_taken_back_at_once() {
    for (circuit, network) in circuits() {
        let network = Arc::new(network);
        let mut board = Board::new(&network, &Arc::new(Placement::default()));
        let placement = pinned(&board);
        board.update(&network, &placement);
        let before = board.scene().clone();
        let mut less = (*network).clone();
        less.parts.clear();
        less.wires.clear();
        let mut board_of_nothing = board.clone();
        board_of_nothing.update(&Arc::new(less), &Arc::new(Placement::default()));
        assert_eq!(board_of_nothing.scene().elements(), [], "{circuit}");
        board.update(&network, &placement);
        assert_eq!(board.scene(), &before, "{circuit}");
    }
}

#[test]
fn a_drawing_without_poses_is_laid_out_anew_when_the_circuit_changes() {
    for (circuit, network) in circuits().step_by(7) {
        let free = Arc::new(Placement::default());
        let mut board = Board::new(&Arc::new(network.clone()), &free);
        let mut more = network;
        let at = TerminalRef::new(&more.parts[0].id, &more.parts[0].terminals()[0].name.to_string());
        let lamp = PartId::new("lamp").unwrap();
        let kind = engine::kind::by_name("lamp").unwrap();
        more.parts.push(Part::new(lamp.clone(), kind, String::new()));
        more.wires.push(Wire::new(WireId::new("extra").unwrap(), at, TerminalRef::new(&lamp, "1")));
        let more = Arc::new(more);
        board.update(&more, &free);
        assert_eq!(**board.scene(), draw(&more, &free), "{circuit}");
    }
}

#[test]
fn a_new_part_gets_a_spot_where_it_lies_on_nothing() {
    for (circuit, network) in circuits().step_by(3) {
        let network = Arc::new(network);
        let mut board = Board::new(&network, &Arc::new(Placement::default()));
        let mut job = Job { placement: pinned(&board), network };
        let middle = board.scene().bounds().unwrap().center();
        let wish = Cell::new(middle.x / STEP, middle.y / STEP);
        for (number, kind) in (0..).zip(ALL) {
            let before = board.scene().clone();
            let values = Values::default();
            let id = PartId::new(&format!("new{number}")).unwrap();
            let at = board.free_spot(kind, &values, wish);
            for (view, offset) in stand(kind, &values) {
                job.placement().poses.push(pose(&id, view, at.x + offset.x, at.y + offset.y));
            }
            let label = String::new();
            job.network().parts.push(Part { values, ..Part::new(id, kind, label) });
            board.update(&job.network, &job.placement);
            let on_one_another = faults::symbols_that_overlap(board.scene());
            assert!(on_one_another.is_empty(), "{circuit}: {on_one_another:?}");
            let changes = diff(&before, board.scene());
            let only_new = changes.iter().all(|change| matches!(change, Change::Added(..)));
            assert!(only_new, "{circuit}: {} changes {changes:?}", kind.name);
        }
    }
}

#[test]
fn a_drag_shows_what_moves_and_lines_that_follow() {
    for (circuit, network) in circuits() {
        let network = Arc::new(network);
        let board = Board::new(&network, &Arc::new(Placement::default()));
        let scene = board.scene();
        let chosen: BTreeSet<PartId> = network.parts.iter().step_by(4).map(|part| part.id.clone()).collect();
        let keys: Vec<SymbolKey> = (scene.elements().iter())
            .filter_map(|element| match &element.id {
                ElementId::Symbol(part, view, instance) if chosen.contains(part) => {
                    Some(SymbolKey { part: part.clone(), view, instance: *instance })
                }
                _ => None,
            })
            .collect();
        let (dx, dy) = (7, -3);
        let lifted = board.lifted(&keys, dx, dy);
        for wire in &network.wires {
            let ends = [&wire.from, &wire.to];
            let n_moved = ends.iter().filter(|end| chosen.contains(&end.part)).count();
            let id = ElementId::Wire(wire.id.clone());
            let line = lifted.wires.iter().find(|(own, _)| *own == wire.id).map(|(_, line)| line);
            let what = format!("{circuit}: {}", wire.id);
            assert_eq!(lifted.moved.contains(&id), n_moved == 2, "{what}");
            assert_eq!(lifted.hidden.contains(&id), n_moved == 1, "{what}");
            assert_eq!(line.is_some(), n_moved == 1, "{what}");
            let Some(line) = line else { continue };
            let Some(Shape::Line(_, path)) = scene.element(&id).unwrap().shapes.first() else {
                panic!("{what}: a wire is a line")
            };
            let expected = [(path[0], ends[0]), (path[path.len() - 1], ends[1])].map(|(at, end)| {
                let moves = chosen.contains(&end.part);
                if moves { at.moved(dx * STEP, dy * STEP) } else { at }
            });
            assert_eq!([line[0], line[line.len() - 1]], expected, "{what}");
            let straight = |leg: &[Point]| (leg[0].x == leg[1].x) != (leg[0].y == leg[1].y);
            assert!(line.windows(2).all(straight), "{what}: {line:?}");
        }
        let n_symbols = lifted.moved.iter().filter(|id| matches!(id, ElementId::Symbol(..))).count();
        assert_eq!(n_symbols, keys.len(), "{circuit}");
    }
}
