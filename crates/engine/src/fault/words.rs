//! Faults and what mends them, in words.

use super::{Fault, Mode};
use crate::document::Network;
use crate::kind::Class;
use crate::subject::Subject;

/// What is wrong.
pub(super) fn of(fault: &Fault, network: &Network) -> String {
    let what = fault.subject.title(network);
    match &fault.mode {
        Mode::Open => match class(fault, network) {
            Some(Class::Earth) => format!("{what} is missing, or its bolt is loose"),
            Some(Class::Battery | Class::Generator) => format!("the strap from {what} to the body is off"),
            Some(Class::Donor) => format!("the vehicle's own earth of {what} is off"),
            Some(Class::Joint) => format!("a contact of {what} does not touch"),
            Some(Class::Valve) => format!("{what} is open"),
            _ => format!("{what} is broken, or off its terminal at one end"),
        },
        Mode::Resistive => match class(fault, network) {
            Some(Class::Earth) => format!("{what} has a bad joint to the body: paint, rust or a loose bolt"),
            Some(Class::Battery | Class::Generator) => {
                format!("the strap from {what} to the body has a bad joint")
            }
            Some(Class::Protection) => format!("{what} sits badly in its holder"),
            Some(Class::Donor) => format!("the vehicle's own earth of {what} has a bad joint"),
            Some(Class::Joint) => format!("a contact of {what} is bad"),
            _ => format!("{what} has a bad joint at one of its ends"),
        },
        Mode::BadFeed => format!("the vehicle's own wiring up to {what} has a bad joint"),
        Mode::TouchesBody => format!("{what} is worn through and touches the body"),
        Mode::Blown => match class(fault, network) {
            Some(Class::Donor) => format!("the vehicle's own fuse of {what} is blown"),
            _ => format!("{what} is open"),
        },
        Mode::WrongFuse => format!("{what} has another rating than drawn"),
        Mode::CoilOpen => format!("the coil of {what} is broken"),
        Mode::NeverCloses(terminal) => format!("the contact of {what} to {terminal} does not close"),
        Mode::Welded(terminal) => format!("the contact of {what} to {terminal} is welded"),
        Mode::BurntContact(terminal) => format!("the contact of {what} to {terminal} is burnt"),
        Mode::Dead("") => format!("{what} itself is dead"),
        Mode::Dead(name) => format!("the {name} of {what} is dead"),
        Mode::Reversed => format!("{what} is connected the wrong way round"),
        Mode::Shorted => match class(fault, network) {
            Some(Class::Valve) => format!("{what} conducts both ways"),
            _ => format!("the diode across the coil of {what} has failed and shorts it"),
        },
        Mode::Swapped(a, b) => format!("the wires at {a} and {b} of {what} are exchanged"),
        Mode::TerminalOff(terminal) => format!("terminal {terminal} of {what} is off"),
        Mode::Apart => format!("{what} has come apart"),
        Mode::WrongTap(terminal) => {
            let tapped = Subject::Terminal(terminal.clone()).title(network);
            format!("{what} is tapped from {tapped}")
        }
        Mode::Flat => match class(fault, network) {
            Some(Class::Battery) => format!("{what} is flat"),
            _ => format!("{what} gives nothing"),
        },
    }
}

/// What mends it.
pub(super) fn remedy(fault: &Fault, network: &Network) -> String {
    let what = fault.subject.title(network);
    match &fault.mode {
        Mode::Open | Mode::TerminalOff(_) | Mode::Apart => {
            format!("Find the break of {what} and make the joint anew; pull at both ends to be sure.")
        }
        Mode::Resistive | Mode::BadFeed => {
            format!("Clean the joints of {what} to bare metal, make them anew and measure the loss again.")
        }
        Mode::TouchesBody => {
            format!("Find where {what} rubs, mend or replace it, and protect it with a grommet or a sleeve.")
        }
        Mode::Blown => {
            format!("Find out why {what} opened before a new one of the rating drawn is put in.")
        }
        Mode::WrongFuse => format!("Put in {what} as it is drawn."),
        Mode::CoilOpen | Mode::NeverCloses(_) | Mode::Welded(_) | Mode::BurntContact(_) => {
            format!("Replace {what}, and check that its contact is rated for what it switches.")
        }
        Mode::Dead(_) | Mode::Shorted => format!("Replace {what}."),
        Mode::Reversed => format!("Exchange the two wires of {what}; replace it if it has suffered."),
        Mode::Swapped(a, b) => format!("Exchange the wires at {a} and {b} of {what}."),
        Mode::WrongTap(_) => format!("Move {what} to the wire that is drawn."),
        Mode::Flat => format!("Charge {what}, and have it tested if it does not keep its charge."),
    }
}

/// What sort of part it is about; a wire is none.
fn class(fault: &Fault, network: &Network) -> Option<Class> {
    match &fault.subject {
        Subject::Part(id) => network.part(id).map(|part| part.kind.class),
        _ => None,
    }
}
