//! `sweep`: every state that working switches and donors one at a time can lead to.

use std::ops::ControlFlow;
use std::rc::Rc;

use anyhow::anyhow;
use engine::document::sentence;
use engine::laid;
use engine::solve::Solver;
use engine::sweep::{Outcome, Sweeper, prove, reach, usual};

use super::{Answer, load};
use crate::args::{Format, Sweep};
use crate::render::sweep::{self as render, Ruled};

/// Goes through all states of the job; or looks for the shortest way to one.
pub fn run(args: &Sweep) -> anyhow::Result<Answer> {
    let document = load(&args.input.file)?;
    let circuit = laid::circuit(&document);
    let mut sweeper = Sweeper::new(Rc::new(Solver::new(&circuit)));
    if let Some(most) = args.most {
        sweeper = sweeper.at_most(most, most);
    }
    let mut on = |_, _| ControlFlow::Continue(());
    if let Some(wanted) = &args.reach {
        let states = sentence::parse_states(wanted, &document.network)
            .map_err(|error| anyhow!("cannot use `{wanted}`: {error}"))?;
        let proof = reach(&sweeper, &states, &mut on);
        let code = u8::from(!matches!(proof.outcome, Outcome::Broken { .. }));
        let answer = match args.input.format {
            Format::Text => render::reach_text(&document, &states, &proof),
            Format::Json => render::reach_json(&document, &states, &proof),
        };
        return Ok(Answer { code, ..Answer::well(answer) });
    }
    let sweep = sweeper.sweep(&mut on);
    let mut ruled: Vec<Ruled> = Vec::new();
    for interlock in document.interlocks.iter() {
        let proof = prove(&sweeper, interlock, &mut on);
        ruled.push(Ruled { interlock: interlock.clone(), source: None, proof });
    }
    for one in usual(&sweeper, &document.interlocks).0 {
        let proof = prove(&sweeper, &one.interlock, &mut on);
        ruled.push(Ruled { interlock: one.interlock, source: Some(one.source), proof });
    }
    Ok(Answer::well(match args.input.format {
        Format::Text => render::text(&document, &circuit, &sweep, &ruled),
        Format::Json => render::json(&document, &circuit, &sweep, &ruled),
    }))
}
