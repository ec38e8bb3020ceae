//! Fuses: the smallest that their loads do not blow and that do not open before those behind them, unless a larger one
//! that is there already costs nothing.

use crate::check::by_name;
use crate::finding::{Finding, Severity};
use crate::given::Given;
use crate::kind::Value;
use crate::sizing::finds_sizes;
use crate::sizing::task::{Choice, Task, looked_at};
use crate::subject::Subject;

/// The checks that find a fuse too small, and name it.
const FIND_TOO_SMALL: [&str; 2] = ["fuse-too-small", "not-selective"];

/// Raises each free fuse until nothing finds it too small, or it is the largest of its family.
///
/// What one fuse needs grows with what those behind it are rated, and never sinks: the ratings reached one step at a
/// time are the smallest of all that will do.
pub(super) fn raise(task: &Task<'_>, choice: &mut Choice) {
    loop {
        let document = task.document(choice);
        let named = looked_at(&document, |context| {
            let mut findings = Vec::new();
            for check in FIND_TOO_SMALL.into_iter().filter_map(by_name) {
                (check.run)(context, &mut findings);
            }
            findings.retain(|finding| finding.severity != Severity::Note);
            findings.into_iter().map(|finding| finding.subject).collect::<Vec<_>>()
        });
        if !raise_those(task, choice, &named) {
            return;
        }
    }
}

/// Raises the fuses that findings of other checks than those about sizes are about; whether there are any.
pub(super) fn raise_named(task: &Task<'_>, choice: &mut Choice, findings: &[Finding]) -> bool {
    let about_fuses = findings.iter().filter(|finding| !finds_sizes(finding.check));
    let named: Vec<Subject> = about_fuses.map(|finding| finding.subject.clone()).collect();
    raise_those(task, choice, &named)
}

fn raise_those(task: &Task<'_>, choice: &mut Choice, named: &[Subject]) -> bool {
    let mut is_raised = false;
    for (fuse, rating) in task.fuses.iter().zip(&mut choice.ratings) {
        if named.contains(&fuse.subject) && *rating + 1 < fuse.series.len() {
            *rating += 1;
            is_raised = true;
        }
    }
    is_raised
}

/// Leaves each fuse as it is where it passes with the sizes chosen: a smaller one would save nothing.
pub(super) fn keep(task: &Task<'_>, choice: &mut Choice) {
    for (place, fuse) in task.fuses.iter().enumerate() {
        let given = task.document.network.parts[fuse.index].values.get("rating_a");
        let as_it_is = fuse.series.iter().position(|amps| given == Given::Known(Value::Number(*amps)));
        let needed = choice.ratings[place];
        let Some(as_it_is) = as_it_is.filter(|rating| *rating != needed) else { continue };
        choice.ratings[place] = as_it_is;
        if !task.objections(choice).is_empty() {
            choice.ratings[place] = needed;
        }
    }
}
