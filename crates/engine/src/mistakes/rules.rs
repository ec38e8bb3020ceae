//! The rules of a job, judged with a mistake in it.

use crate::check::Context;
use crate::circuit::Circuit;
use crate::document::{Rule, sentence};
use crate::kind::Role;
use crate::solve::Rest;
use crate::sweep::{Judge, usual, works};

/// The interlocks of a job, and those that are usual for the function of its new lamps, each with its sentence.
pub(super) struct Rules {
    judges: Vec<(Judge, String)>,
}

impl Rules {
    /// Looks them up. One that hangs on what is not known is left out: whether it holds cannot be told.
    pub fn new(context: &Context<'_>) -> Rules {
        let network = &context.circuit.resolved.network;
        let (usual, _) = usual(context.survey.sweeper(), context.interlocks);
        let usual = usual.into_iter().map(|usual| usual.interlock);
        let all = context.interlocks.iter().cloned().chain(usual);
        let looked_up = all.filter(|one| one.rule != Rule::AnyTime).filter_map(|interlock| {
            let sentence = sentence::print(&interlock, network);
            Some((Judge::new(context.circuit, &interlock).ok()?, sentence))
        });
        Rules { judges: looked_up.collect() }
    }

    /// The rules, as sentences, that do not hold in a lasting state and did in `was`.
    pub fn broken(&self, circuit: &Circuit, was: &Rest, is: &Rest) -> Vec<String> {
        let is_broken = |judge: &Judge, rest: &Rest| {
            judge.is_broken(&rest.state, &|branch| is_working(circuit, rest, branch))
        };
        let newly = self.judges.iter().filter(|(judge, _)| is_broken(judge, is) && !is_broken(judge, was));
        newly.map(|(_, sentence)| sentence.clone()).collect()
    }
}

fn is_working(circuit: &Circuit, rest: &Rest, branch: usize) -> bool {
    match &circuit.branches[branch].role {
        Role::Load(load) => works(circuit, rest, branch, load),
        _ => false,
    }
}
