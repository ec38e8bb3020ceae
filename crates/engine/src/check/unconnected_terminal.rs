//! Terminals that need a wire and have none.

use crate::check::Context;
use crate::circuit::Circuit;
use crate::document::{Part, Status};
use crate::finding::{Basis, Finding, Harm, Help, Label, Severity};
use crate::ids::{TerminalName, TerminalRef};
use crate::kind::Class;
use crate::subject::Subject;

declare_check! {
    /// Finds terminals that a part needs for its work but that nothing is connected to.
    ///
    /// # What it checks
    ///
    /// Each part that this job adds: terminals its kind needs, both outputs of a change-over switch left free, one side
    /// of a connector way wired and the other not, and a splice, bar or earth point with a single wire or none.
    /// A part without any wire at all is reported once, as a whole.
    /// Where the only two loose ends are one that is live or grounded and one that is neither, they are one finding:
    /// one wire may serve both.
    ///
    /// # Why it matters
    ///
    /// A coil, fuse or lamp with one loose side does nothing, and a live loose end may touch the body.
    ///
    /// # Example
    ///
    /// A relay whose 85 was forgotten: it never pulls in and its lamps stay dark.
    ///
    /// # What to do
    ///
    /// Connect the terminal, or take the part out of the drawing.
    name: "unconnected-terminal",
    summary: "a terminal that needs a wire has none",
    harm: Harm::Failure,
    explained_by: &["missing-earth-return"],
    run: run,
}

fn run(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let mut loose = Vec::new();
    loose_ends(context, &mut loose);
    findings.extend(as_one(context, as_one_joint(context, loose)));
}

/// The pieces of a joint that was left out are one finding, about the first of them.
fn as_one_joint(context: &Context<'_>, loose: Vec<Finding>) -> Vec<Finding> {
    let is_piece = |finding: &Finding| context.pieces_of_a_joint().contains(&finding.subject);
    let (pieces, mut others): (Vec<_>, Vec<_>) = loose.into_iter().partition(is_piece);
    let mut pieces = pieces.into_iter();
    if let Some(mut root) = pieces.next() {
        for piece in pieces {
            let text = format!("{}; one joint may serve them all", piece.message);
            root.because.push(Label { subject: piece.subject, text });
            root.touches.extend(piece.touches);
        }
        others.push(root);
    }
    others
}

/// A wire that was left out leaves two loose ends: the one that is live or grounded goes under the one that lacks it,
/// where there is only one of each and so no doubt which belongs to which.
fn as_one(context: &Context<'_>, mut loose: Vec<Finding>) -> Vec<Finding> {
    let side = |finding: &Finding| context.side_of(&finding.subject);
    let mut givers: Vec<usize> = (0..loose.len()).filter(|index| side(&loose[*index]).is_some()).collect();
    // What is fed from behind may be meant to be fed from its fuse.
    if givers.len() == 2 {
        let network = &context.circuit.resolved.network;
        let part = |index: &usize| loose[*index].subject.part().and_then(|id| network.part(id));
        givers.retain(|index| part(index).is_some_and(|part| part.kind.class == Class::Protection));
    }
    if let ([giver], 2) = (&givers[..], loose.len()) {
        let giver = loose.remove(*giver);
        let root = &mut loose[0];
        root.because.push(Label {
            subject: giver.subject.clone(),
            text: format!("{}; one wire may serve both", giver.message),
        });
        root.touches.extend(giver.touches);
    }
    loose
}

fn loose_ends(context: &Context<'_>, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    for (index, part) in circuit.resolved.network.parts.iter().enumerate() {
        if part.status != Status::New || circuit.resolved.parts[index].is_none() {
            continue;
        }
        let wired = |terminal: &TerminalName| is_wired(context, part, terminal);
        let terminals = part.terminals();
        if !terminals.iter().any(|terminal| wired(&terminal.name)) {
            let message = format!("{} is connected to nothing", context.title(index));
            findings.push(finding(part, Subject::Part(part.id.clone()), message));
            continue;
        }
        for terminal in terminals.iter().filter(|terminal| terminal.needed && !wired(&terminal.name)) {
            let message = format!(
                "{} terminal {} ({}) has no wire",
                context.title(index),
                terminal.name,
                terminal.meaning
            );
            findings.push(finding(part, of_part(part, &terminal.name), message));
        }
        loose_way(context, index, findings);
    }
}

/// Joints and change-over switches, whose terminals are needed only together.
fn loose_way(context: &Context<'_>, index: usize, findings: &mut Vec<Finding>) {
    let circuit = context.circuit;
    let part = &circuit.resolved.network.parts[index];
    let title = context.title(index);
    let free: Vec<TerminalName> =
        part.terminals().into_iter().filter(|t| !t.needed).map(|t| t.name).collect();
    let (wired, loose): (Vec<_>, Vec<_>) = free.into_iter().partition(|name| is_wired(context, part, name));
    match part.kind.class {
        Class::Contact if wired.is_empty() && loose.len() > 1 => {
            let message = format!("no output of {title} has a wire");
            findings.push(finding(part, of_part(part, &loose[0]), message));
        }
        Class::Joint if part.box_ways().is_some() => {
            let feed = TerminalRef { part: part.id.clone(), terminal: TerminalName::new("feed") };
            let is_used = |net: usize| {
                circuit.nets[net].iter().any(|other| other.part != part.id) && !context.supplied[net]
            };
            if context.ends_at(&feed) == 0 && circuit.net_of(&feed).is_some_and(is_used) {
                let message = format!("{title} has fuses in it and no feed");
                findings.push(finding(part, Subject::Terminal(feed), message));
            }
        }
        Class::Joint => {
            let n_branches = circuit.branches_of_part(index).count();
            if n_branches == 0
                && wired.len() == 1
                && context.ends_at(&TerminalRef { part: part.id.clone(), terminal: wired[0].clone() }) == 1
            {
                let message = format!("{title} joins a single wire to nothing");
                findings.push(finding(part, Subject::Part(part.id.clone()), message));
            }
            for (_, branch) in circuit.branches_of_part(index) {
                let sides: Vec<&TerminalName> = [branch.from, branch.to]
                    .iter()
                    .filter_map(|net| own_terminal(circuit, part, *net))
                    .collect();
                if let [a, b] = sides[..]
                    && is_wired(context, part, a) != is_wired(context, part, b)
                {
                    let bare = if is_wired(context, part, a) { b } else { a };
                    let message = format!("{title} terminal {bare} has no wire while its other side has one");
                    findings.push(finding(part, of_part(part, bare), message));
                }
            }
        }
        _ => {}
    }
}

fn own_terminal<'c>(circuit: &'c Circuit, part: &Part, net: usize) -> Option<&'c TerminalName> {
    circuit.nets[net].iter().find(|terminal| terminal.part == part.id).map(|terminal| &terminal.terminal)
}

fn of_part(part: &Part, name: &TerminalName) -> Subject {
    Subject::Terminal(TerminalRef { part: part.id.clone(), terminal: name.clone() })
}

/// Whether a wire ends on the terminal, or the terminal is one with another part's.
fn is_wired(context: &Context<'_>, part: &Part, name: &TerminalName) -> bool {
    let terminal = TerminalRef { part: part.id.clone(), terminal: name.clone() };
    let joined_with_another = || {
        let circuit = context.circuit;
        circuit
            .net_of(&terminal)
            .is_some_and(|net| circuit.nets[net].iter().any(|other| other.part != part.id))
    };
    context.ends_at(&terminal) > 0 || joined_with_another()
}

fn finding(part: &Part, subject: Subject, message: String) -> Finding {
    let touches = vec![subject.clone(), Subject::Part(part.id.clone())];
    Finding {
        check: CHECK.name,
        severity: Severity::Look,
        message,
        subject,
        because: Vec::new(),
        measured: None,
        basis: Basis::Calculated,
        allowed: None,
        help: vec![Help::words("connect it, or take the part out")],
        source: "common practice, no source".to_owned(),
        working: Vec::new(),
        touches,
    }
}

#[cfg(test)]
mod tests {
    use crate::circuit::build;
    use crate::document::Settings;
    use crate::{check, notation};

    /// The subjects of what is told of loose ends, each with what stands under it.
    fn told(text: &str) -> Vec<(String, usize)> {
        let circuit = build(&notation::network(text).unwrap(), &Settings::default());
        let mut found = Vec::new();
        (super::CHECK.run)(&check::Context::new(&circuit, &[], &[]), &mut found);
        found.into_iter().map(|one| (one.subject.id(), one.because.len())).collect()
    }

    const FED: &str = "battery G1
        fuse F1 rating_a=10
        lamp E1 watts=21
        earth X1
        wire w1 G1.+ F1.1 mm2=2.5 m=0.1
        wire w3 E1.2 X1.1 mm2=2.5 m=1
        ";

    #[test]
    fn the_two_ends_of_one_missing_wire_are_one_finding_about_what_lacks_it() {
        assert_eq!(told(FED), [("E1.1".to_owned(), 1)]);
    }

    #[test]
    fn where_more_than_one_wire_is_missing_every_end_is_told() {
        let second = "fuse F2 rating_a=10
            lamp E2 watts=21
            wire w4 G1.+ F2.1 mm2=2.5 m=0.1
            wire w5 E2.2 X1.1 mm2=2.5 m=1";
        let told = told(&format!("{FED}{second}"));
        assert_eq!(told.len(), 4, "{told:?}");
        assert!(told.iter().all(|(_, under)| *under == 0), "{told:?}");
    }
}
