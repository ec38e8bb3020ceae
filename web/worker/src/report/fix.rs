//! Carrying out what a finding says can be done, where the program can do it and it helps.

use engine::finding::Finding;
use engine::mend::{NoHelp, in_words, mend};
use engine::post::{Change, Report};
use engine::quantity::by_hand;

use super::Asked;

/// Carries out one help of a finding, both counted from nought; `None` when there is no such help.
///
/// The whole job is checked with it before it is changed. Where the finding would stay, or something worse come, the job
/// is left as it is and the reason said.
pub fn carry_out(asked: &Asked<'_>, finding: usize, help: usize) -> Option<Report> {
    let before = asked.prepared.findings();
    let finding = before.get(finding)?;
    let help = finding.help.get(help).filter(|help| !help.fix.is_empty())?;
    let mended = match mend(asked.document, before, finding, &help.fix) {
        Ok(mended) => mended,
        Err(why) => return Some(Report { said: no_help(&why), ..Report::default() }),
    };
    let network = &asked.document.network;
    let done: Vec<String> = help.fix.iter().map(|edit| by_hand(&in_words(network, edit))).collect();
    let done = done.join("; ");
    let change = Change::between(&format!("mend {done}"), asked.document, &mended.document);
    let said = format!("Done: {done}. {}", balance(before, &mended.findings));
    Some(Report { said, change: Some(change), ..Report::default() })
}

fn no_help(why: &NoHelp) -> String {
    let why = match why {
        NoHelp::Refused(error) => error.to_string(),
        NoHelp::Stays => "the finding would stay".to_owned(),
        NoHelp::NewStop(new) => format!("then {}", by_hand(&new.message)),
    };
    format!("It was tried, and nothing was changed: {why}.")
}

/// How many findings are gone, and how many have come.
fn balance(before: &[Finding], after: &[Finding]) -> String {
    let without = |some: &[Finding], others: &[Finding]| {
        let is_in = |one: &&Finding| {
            others.iter().any(|other| other.check == one.check && other.subject == one.subject)
        };
        some.iter().filter(|one| !is_in(one)).count()
    };
    let gone = match without(before, after) {
        1 => "1 finding is gone".to_owned(),
        n => format!("{n} findings are gone"),
    };
    match without(after, before) {
        0 => format!("{gone}."),
        1 => format!("{gone}, 1 has come."),
        n => format!("{gone}, {n} have come."),
    }
}
