//! Fixes do what they say: tried on every fixture, those that are kept take their finding with them and bring no new Stop.

use std::collections::BTreeSet;

use engine::document::Document;
use engine::finding::{Finding, Severity};
use engine::mend::{findings, mend, mend_all};
use suite::{files_in, fixtures, literate, name_of};

fn jobs() -> Vec<(String, Document)> {
    let mut all = Vec::new();
    for path in files_in(&fixtures("jobs"), &[".json"]) {
        let bytes = std::fs::read(&path).expect("a fixture can be read");
        all.push((name_of(&path), engine::file::read(&bytes).expect("a whole job opens")));
    }
    for path in files_in(&fixtures("checks"), &[".md"]) {
        let text = std::fs::read_to_string(&path).expect("a fixture can be read");
        for case in literate::cases(&text).expect("a fixture has its form") {
            let document = engine::file::read_json(&case.job).expect("the job of a case opens");
            all.push((format!("{}: {}", name_of(&path), case.title), document));
        }
    }
    all
}

fn stops(findings: &[Finding]) -> BTreeSet<(&'static str, String)> {
    let stops = findings.iter().filter(|finding| finding.severity == Severity::Stop);
    stops.map(|finding| (finding.check, finding.subject.to_string())).collect()
}

#[test]
fn what_is_kept_takes_its_finding_away_and_brings_no_stop() {
    let (mut n_offered, mut n_kept) = (0, 0);
    let mut by_check: BTreeSet<&str> = BTreeSet::new();
    for (name, document) in jobs() {
        let before = findings(&document);
        for finding in &before {
            for help in finding.help.iter().filter(|help| !help.fix.is_empty()) {
                n_offered += 1;
                let Ok(mended) = mend(&document, &before, finding, &help.fix) else { continue };
                n_kept += 1;
                by_check.insert(finding.check);
                // Looked at anew, by other means than those of the fix itself.
                let after = findings(&mended.document);
                let stays =
                    after.iter().any(|one| one.check == finding.check && one.subject == finding.subject);
                assert!(!stays, "{name}: {} stays", finding.message);
                assert!(stops(&after).is_subset(&stops(&before)), "{name}: {}", finding.message);
                assert_eq!(mended.document.card, document.card, "{name}");
            }
        }
    }
    assert!(n_kept * 10 >= n_offered * 8, "{n_kept} of {n_offered} fixes help");
    for check in [
        "against-marking",
        "color-changes",
        "destroyed-when-reversed",
        "fuse-larger-than-wire",
        "insulation-too-cool",
        "label-used-twice",
        "no-grommet",
        "suppression-reversed",
        "too-thin-to-handle",
        "undersized-conductor",
        "unfused-run",
        "volt-drop",
        "works-upside-down",
    ] {
        assert!(by_check.contains(check), "no fix of {check} is ever kept");
    }
}

#[test]
fn what_was_there_before_is_left_alone() {
    for (name, document) in jobs() {
        let (mended, _) = mend_all(&document);
        let status = |one: engine::document::Status| one == engine::document::Status::Existing;
        for part in document.network.parts.iter().filter(|part| status(part.status)) {
            assert_eq!(mended.document.network.part(&part.id), Some(part), "{name}");
        }
        for wire in document.network.wires.iter().filter(|wire| status(wire.status)) {
            assert_eq!(mended.document.network.wire(&wire.id), Some(wire), "{name}");
        }
    }
}
