//! Which fuses open while a supply is shorted, and whether that ends the short circuit.

use crate::check::Context;
use crate::check::survey::{Surveyed, carries, short};
use crate::circuit::reach::walk;
use crate::circuit::{Circuit, NetIndex};
use crate::document::Network;
use crate::ids::PartId;
use crate::kind::{Class, OPENS_ABOVE, Role};
use crate::quantity::{Amps, Ohms};
use crate::solve::Rest;
use crate::subject::Subject;

/// What becomes of a short circuit when every fuse that does not stand its current opens, one after another.
#[derive(Clone, Debug, PartialEq)]
pub struct Clearing {
    /// The fuses that open, by branch, the first one first.
    pub opened: Vec<(usize, Amps)>,
    /// Whether there is more than one fuse in its way.
    pub several: bool,
    /// A fuse on the way whose rating is not known, by branch: it may open before the others, or not at all.
    pub not_known: Option<usize>,
    /// How it ends.
    pub end: End,
}

/// How a short circuit ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum End {
    /// What has opened ends it.
    Cleared,
    /// It stays, over a way without a fuse.
    Unfused,
    /// It stays, because the fuse in its way, by branch, stands the current.
    Holds { fuse: usize, rating: Amps, amps: Amps },
    /// It stays, unless the fuse whose rating is not known opens.
    NotKnown,
}

/// Ohms of a fuse that has opened: with it no current is left that any other fuse would notice.
const OPENED_OHM: f64 = 1e6;

/// Opens the fuses that do not stand the short circuit of `source`, and solves again after each.
///
/// The fuse that opens first is the one that carries the greatest multiple of its rated current: of fuses one behind
/// another that is the one with the smallest rating. Links of different families may open in another order.
pub fn clearing(context: &Context<'_>, surveyed: &Surveyed, source: usize) -> Clearing {
    let circuit = context.circuit;
    let mut opened: Vec<(usize, Amps)> = Vec::new();
    let mut not_known = None;
    let mut several = false;
    let mut solution = surveyed.solution.clone();
    loop {
        let has_opened = |fuse: usize| opened.iter().any(|(known, _)| *known == fuse);
        let is_shorted = |rest: &&Rest| short(circuit, rest, source, &has_opened).is_some();
        let Some(rest) = solution.shown().filter(is_shorted) else {
            return Clearing { opened, several, not_known, end: End::Cleared };
        };
        let fuses = in_the_way(circuit, rest, source, &has_opened);
        several |= fuses.len() > 1;
        let in_doubt =
            fuses.iter().copied().find(|fuse| circuit.branches[*fuse].role == Role::Protection(None));
        not_known = not_known.or(in_doubt);
        // Of a range the higher end is the worse: with it the fuse may hold.
        let loaded = |fuse: &usize| {
            let rating = circuit.rating(*fuse)?.high;
            Some((*fuse, rating, Amps::new(rest.steady.amps(*fuse).abs())?))
        };
        let multiple = |(_, rating, amps): &(usize, Amps, Amps)| amps.get() / rating.get();
        let next = fuses.iter().filter_map(loaded).max_by(|a, b| multiple(a).total_cmp(&multiple(b)));
        match next {
            Some(fuse) if multiple(&fuse) > OPENS_ABOVE => opened.push((fuse.0, fuse.1)),
            _ => {
                let without_fuse = short(circuit, rest, source, &|index| {
                    matches!(circuit.branches[index].role, Role::Protection(_))
                });
                let end = match next {
                    _ if without_fuse.is_some() => End::Unfused,
                    // A fuse that was in doubt earlier may be out of the way by now.
                    _ if in_doubt.is_some() => End::NotKnown,
                    Some((fuse, rating, amps)) => End::Holds { fuse, rating, amps },
                    None => End::Unfused,
                };
                return Clearing { opened, several, not_known, end };
            }
        }
        let in_its_place =
            |index: usize| opened.iter().any(|(fuse, _)| *fuse == index).then(|| Ohms::new(OPENED_OHM))?;
        let solver = context.survey.solver().with_resistances(in_its_place);
        solution = solver.solve(surveyed.positions.clone());
    }
}

/// The fuses that the current of the short circuit passes: those with one side on the positive pole and the other on
/// the negative, as what uses no energy joins them without the fuse itself.
fn in_the_way(
    circuit: &Circuit,
    rest: &Rest,
    source: usize,
    has_opened: &dyn Fn(usize) -> bool,
) -> Vec<usize> {
    let poles = &circuit.branches[source];
    let lies_between = |fuse: usize| {
        let joins = |side: NetIndex, pole: NetIndex| {
            let met = walk(circuit, &[side], |index, _| {
                index != fuse && !has_opened(index) && carries(circuit, rest, index)
            });
            met.iter().any(|(net, _)| *net == pole)
        };
        let (a, b) = (circuit.branches[fuse].from, circuit.branches[fuse].to);
        (joins(a, poles.from) && joins(b, poles.to)) || (joins(b, poles.from) && joins(a, poles.to))
    };
    let is_fuse = |index: &usize| {
        matches!(circuit.branches[*index].role, Role::Protection(_))
            && !has_opened(*index)
            && rest.steady.conducting(*index)
    };
    (0..circuit.branches.len()).filter(is_fuse).filter(|fuse| lies_between(*fuse)).collect()
}

/// What a fuse, a breaker or the fuse of a donor circuit does at too much current: who it is, and the verb.
pub fn opens(network: &Network, id: &PartId, rated: Amps) -> (String, &'static str) {
    let title = Subject::Part(id.clone()).title(network);
    match network.part(id) {
        Some(part) if part.kind.class == Class::Donor => {
            (format!("the vehicle's own fuse of {title} ({rated})"), "blow")
        }
        // What can be closed again trips; what cannot blows.
        Some(part) if part.kind.value("reset").is_some() => (format!("{title} ({rated})"), "trip"),
        _ => (format!("{title} ({rated})"), "blow"),
    }
}
