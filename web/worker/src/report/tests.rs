use std::ops::ControlFlow;
use std::sync::Arc;

use engine::document::{Rule, Status};
use engine::file::{read_json, write_json};
use engine::finding::Finding;

use super::*;

/// A job with findings of many sorts.
const DARK: &str = include_str!("../../../../fixtures/jobs/dark-lamps.json");
const AS_BOUGHT: &str = include_str!("../../../../fixtures/jobs/apiary-flatbed-as-bought.json");

/// What a job reports when it is asked by these words, at rest or in the situation of this name.
fn told(job: &str, situation: &str, words: &str) -> Report {
    let document = read_json(job).unwrap();
    told_of(&document, situation, words).unwrap_or_else(|| panic!("nothing is told by {words}"))
}

pub(super) fn told_of(document: &Document, situation: &str, words: &str) -> Option<Report> {
    let named = document.situations.iter().find(|one| one.name == situation).cloned();
    let situation = named.unwrap_or_else(Situation::at_rest);
    let inquiry = Inquiry { stamp: 3, situation, words: words.to_owned() };
    report(document, &Prepared::new(document), &inquiry, &mut Made::default(), &mut |_, _| {
        ControlFlow::Continue(())
    })
}

#[test]
fn a_report_tells_which_state_of_the_job_it_is_about() {
    assert_eq!(told(AS_BOUGHT, "", "working w1").stamp, 3);
}

#[test]
fn words_that_ask_for_nothing_get_nothing() {
    let document = read_json(AS_BOUGHT).unwrap();
    for words in ["", "working", "working nothing-of-this-name", "finding 999", "finding x", "sing"] {
        assert_eq!(told_of(&document, "", words), None, "{words}");
    }
}

#[test]
fn every_finding_with_numbers_shows_a_formula_for_them() {
    let document = read_json(AS_BOUGHT).unwrap();
    let prepared = Prepared::new(&document);
    let mut n_shown = 0;
    for (number, finding) in prepared.findings().iter().enumerate() {
        let markup = told(AS_BOUGHT, "", &format!("finding {number}")).markup;
        assert_eq!(markup.is_empty(), finding.working.is_empty(), "{}", finding.check);
        assert_eq!(markup.matches("Source: ").count(), finding.working.len());
        n_shown += finding.working.len();
    }
    assert!(n_shown > 5, "{n_shown}");
}

#[test]
fn what_does_not_conduct_says_so() {
    let document = read_json(AS_BOUGHT).unwrap();
    let load = &document.network.parts.iter().find(|part| part.kind.name == "lamp").unwrap().id;
    let markup = told(AS_BOUGHT, "", &format!("working {load}")).markup;
    assert!(markup.contains("formula") || markup.contains("Nothing flows"), "{markup}");
}

#[test]
fn every_fix_that_is_offered_rids_the_job_of_its_finding_or_changes_nothing_and_says_why() {
    let document = read_json(AS_BOUGHT).unwrap();
    let prepared = Prepared::new(&document);
    let mut n_done = 0;
    for (number, finding) in prepared.findings().iter().enumerate() {
        for (index, _) in finding.help.iter().enumerate().filter(|(_, help)| !help.fix.is_empty()) {
            let report = told(AS_BOUGHT, "", &format!("fix {number} {index}"));
            let Some(change) = report.change else {
                assert!(report.said.starts_with("It was tried, and nothing was changed"), "{}", report.said);
                continue;
            };
            n_done += 1;
            assert!(report.said.starts_with("Done: "), "{}", report.said);
            let mended = Document { network: Arc::new(change.network.unwrap()), ..document.clone() };
            let left = Prepared::new(&mended);
            let is_it = |other: &Finding| other.check == finding.check && other.subject == finding.subject;
            assert!(!left.findings().iter().any(is_it), "{}", finding.message);
        }
    }
    assert!(n_done > 0);
    assert_eq!(told_of(&document, "", "fix 0 99"), None);
}

#[test]
fn situations_are_kept_renamed_and_deleted_by_name() {
    let names = |report: &Report| -> Option<Vec<String>> {
        let situations = report.change.as_ref()?.situations.as_ref()?;
        Some(situations.iter().map(|situation| situation.name.clone()).collect())
    };
    let known: Vec<String> =
        read_json(AS_BOUGHT).unwrap().situations.iter().map(|situation| situation.name.clone()).collect();
    let kept = told(AS_BOUGHT, "reversing", "situation-keep\nname= backing up ");
    assert_eq!(names(&kept).unwrap(), [known.clone(), vec!["backing up".to_owned()]].concat());
    let renamed = told(AS_BOUGHT, "reversing", "situation-rename\nname=backing up");
    assert!(names(&renamed).unwrap().contains(&"backing up".to_owned()));
    assert!(!names(&renamed).unwrap().contains(&"reversing".to_owned()));
    let deleted = told(AS_BOUGHT, "reversing", "situation-delete");
    assert_eq!(names(&deleted).unwrap().len(), known.len() - 1);
    for taken in ["at rest", "hive warmer on", ""] {
        let refused = told(AS_BOUGHT, "reversing", &format!("situation-rename\nname={taken}"));
        assert!(refused.change.is_none() && !refused.said.is_empty(), "{taken}: {refused:?}");
    }
}

#[test]
fn a_comparison_tells_what_differs_and_nothing_else() {
    let same = told(AS_BOUGHT, "", "compared\none=reversing\nother=reversing").markup;
    assert!(same.contains("nothing differs") && !same.contains("<table>"), "{same}");
    let other = told(AS_BOUGHT, "", "compared\none=at rest\nother=hive warmer on").markup;
    assert!(
        other.contains("resistor R1") && other.contains("off, 0\u{a0}V") && other.contains("works, "),
        "{other}"
    );
    assert!(!other.contains("lamp E3"), "{other}");
}

#[test]
fn every_step_of_a_sweep_sets_positions_that_there_are() {
    let swept = told(AS_BOUGHT, "", "swept").markup;
    let asks = swept.split("data-ask=\"set").skip(1).filter_map(|rest| rest.split('"').next());
    let mut n_steps = 0;
    for ask in asks {
        let report = told(AS_BOUGHT, "", &format!("set{ask}"));
        assert!(report.positions.is_some() && !report.said.is_empty());
        n_steps += 1;
    }
    assert!(n_steps > 2, "{swept}");
    let document = read_json(AS_BOUGHT).unwrap();
    assert_eq!(told_of(&document, "", "set p10:9"), None);
}

#[test]
fn the_combinations_that_are_counted_are_all_there_are() {
    let swept = told(AS_BOUGHT, "", "swept").markup;
    let table = swept.split("<table>").nth(1).unwrap().split("</table>").next().unwrap();
    let cells = table
        .split("<td dir=\"auto\">")
        .skip(1)
        .filter_map(|cell| cell.split('<').next()?.parse::<u64>().ok());
    let n: u64 = cells.sum();
    assert!(
        swept.contains(&format!("<p dir=\"auto\">{n} combinations of positions gone through")),
        "{n}: {swept}"
    );
}

#[test]
fn what_cannot_be_is_said_never_to_be_reached() {
    let lamps = include_str!("../../../../fixtures/jobs/dark-lamps.json");
    let document = read_json(lamps).unwrap();
    let lamp = &document.network.parts.iter().find(|part| part.kind.name == "lamp").unwrap().id;
    let both = told(lamps, "", &format!("reached\nstate={lamp}||on\nalso={lamp}||off")).markup;
    assert!(both.contains("Never reached: all "), "{both}");
    let rest = told(lamps, "", &format!("reached\nstate={lamp}||off\nalso=")).markup;
    assert!(rest.contains("Reached at rest."), "{rest}");
}

#[test]
fn a_rule_is_added_deleted_and_waived_for_a_reason() {
    let lamps = include_str!("../../../../fixtures/jobs/dark-lamps.json");
    let document = read_json(lamps).unwrap();
    let lamp = &document.network.parts.iter().find(|part| part.kind.name == "lamp").unwrap().id;
    let switch = &document.network.parts.iter().find(|part| part.kind.name == "switch").unwrap().id;
    let chosen =
        format!("rule-add\nload={lamp}||\nrule=never with\nstate={switch}||on\njoin=\nalso={switch}||off");
    let added = told(lamps, "", &chosen).change.unwrap().interlocks.unwrap();
    assert_eq!((added.len(), added[0].any_of.len(), added[0].rule), (1, 1, Rule::NeverWith));
    let either = told(lamps, "", &chosen.replace("join=", "join=or")).change.unwrap().interlocks.unwrap();
    assert_eq!(either[0].any_of.len(), 2);
    let both = told(lamps, "", &chosen.replace("join=", "join=and")).change.unwrap().interlocks.unwrap();
    assert_eq!(both[0].any_of, [[either[0].any_of[0].clone(), either[0].any_of[1].clone()].concat()]);

    let ruled = Document { interlocks: Arc::new(added), ..document.clone() };
    let page = told_of(&ruled, "", "rules").unwrap().markup;
    assert!(page.contains("never with") && page.contains("rule-delete 0"), "{page}");
    assert_eq!(told_of(&ruled, "", "rule-delete 0").unwrap().change.unwrap().interlocks, Some(Vec::new()));
    assert_eq!(told_of(&ruled, "", "rule-delete 1"), None);

    assert!(told(lamps, "", "rule-waive 0\nreason-0=  ").change.is_none());
    let waived = told(lamps, "", "rule-waive 0\nreason-0=private ground").change.unwrap().interlocks.unwrap();
    let waived = Document { interlocks: Arc::new(waived), ..document };
    let kept = read_json(&write_json(&waived)).unwrap();
    assert_eq!(kept.interlocks[0].reason, "private ground");
    assert!(told_of(&kept, "", "rules").unwrap().markup.contains("<strong>Waived</strong>: private ground"));
}

#[test]
fn sizes_are_taken_over_only_for_the_job_they_were_worked_out_for() {
    let lamps = include_str!("../../../../fixtures/jobs/dark-lamps.json");
    let document = read_json(lamps).unwrap();
    let prepared = Prepared::new(&document);
    let mut made = Made::default();
    let mut ask = |words: &str| {
        let inquiry = Inquiry { stamp: 0, situation: Situation::at_rest(), words: words.to_owned() };
        report(&document, &prepared, &inquiry, &mut made, &mut |_, _| ControlFlow::Continue(())).unwrap()
    };
    assert!(ask("sized-apply").change.is_none());
    let shown = ask("sized").markup;
    assert!(shown.contains("Copper of these wires") && shown.contains("→\u{a0}"), "{shown}");
    let network = ask("sized-apply").change.unwrap().network.unwrap();
    for (before, after) in document.network.wires.iter().zip(&network.wires) {
        assert!(before.size == after.size || before.status == Status::New, "{}", before.id);
    }
    assert!(ask("sized-apply").change.is_none());
}

/// A job with a vehicle plan.
const PLANNED: &str = include_str!("../../../../fixtures/replies/job-with-plan.json");

#[test]
fn a_part_is_moved_to_the_place_whose_button_is_pressed() {
    let page = told(PLANNED, "", "sit p3").markup;
    assert!(page.contains("data-ask=\"sat p3\"") && page.contains("name=\"part-p4\""), "{page}");
    let places = told(PLANNED, "", "sat p3").markup;
    assert!(places.contains("Best: relay box") && places.contains("under the seat (now)"), "{places}");
    assert!(
        places.contains("data-ask=\"sit-apply p3 l6\"") && places.contains("data-ask=\"sit-apply p3 l4\"")
    );
    assert!(!places.contains("data-ask=\"sit-apply p3 l5\""), "it sits there now");
    let moved = told(PLANNED, "", "sit-apply p3 l4");
    let change = moved.change.unwrap();
    assert_eq!((change.label.as_str(), change.plan.is_some()), ("move K1 to dash", false));
    assert_eq!(change.network.unwrap().parts[2].place.as_ref().unwrap().as_str(), "l4");
    let both = told(PLANNED, "", "sat p3\npart-p4=on").markup;
    assert!(both.contains("data-ask=\"sit-apply p3 l6 p4 l1\""), "{both}");
    let document = read_json(PLANNED).unwrap();
    for words in
        ["sit", "sit p99", "sat p99", "sit-apply", "sit-apply p3", "sit-apply p3 l3", "sit-apply p3 l4 p4"]
    {
        assert_eq!(told_of(&document, "", words), None, "{words}");
    }
    let no_plan = told(AS_BOUGHT, "", "sit p18").markup;
    assert!(no_plan.contains("no place") && !no_plan.contains("data-ask"), "{no_plan}");
}

#[test]
fn a_set_is_made_before_its_sheets_are_asked_for() {
    let document = read_json(AS_BOUGHT).unwrap();
    let prepared = Prepared::new(&document);
    let mut made = Made::default();
    let mut told = |words: &str| {
        let inquiry = Inquiry { stamp: 3, situation: Situation::at_rest(), words: words.to_owned() };
        report(&document, &prepared, &inquiry, &mut made, &mut |_, _| ControlFlow::Continue(()))
    };
    for words in ["handover-sheet 0", "handover-set", "handover-table 0", "handover", "handover A5"] {
        assert_eq!(told(words), None, "{words}");
    }
    let sheets = told("handover A3 black marks").unwrap().markup;
    let n_sheets = sheets.matches("<figure").count();
    assert!(n_sheets > 0);
    for number in 0..n_sheets {
        assert!(told(&format!("handover-sheet {number}")).unwrap().markup.starts_with("<svg"));
    }
    assert_eq!(told(&format!("handover-sheet {n_sheets}")), None);
    let bytes: Vec<u8> = told("handover-set").unwrap().markup.chars().map(|one| one as u8).collect();
    assert_eq!(sheets::Set::from_bytes(&bytes).unwrap().sheets.len(), n_sheets);
    let table = told("handover-table 0").unwrap().markup;
    let (name, text) = table.split_once('\n').unwrap();
    assert!(name.ends_with(".csv") && text.contains("\r\n"), "{table}");
}

#[test]
fn an_inspection_and_a_proving_sheet_are_in_the_set_where_they_are_wanted() {
    let document = read_json(DARK).unwrap();
    let names = |words: &str| told_of(&document, "", words).unwrap().markup;
    for (word, name) in [("inspection", "Inspection"), ("proof", "Proving sheet")] {
        assert!(names(&format!("handover A4 color {word}")).contains(name), "{word}");
        assert!(!names("handover A4 color marks").contains(name), "{word}");
    }
}

#[test]
fn a_set_bears_the_title_of_the_job_as_it_is_now() {
    let document = read_json(AS_BOUGHT).unwrap();
    let prepared = Prepared::new(&document);
    let mut renamed = document.clone();
    Arc::make_mut(&mut renamed.card).title = "Another title".to_owned();
    let inquiry =
        Inquiry { stamp: 3, situation: Situation::at_rest(), words: "handover A4 color".to_owned() };
    let mut progress = |_, _| ControlFlow::Continue(());
    let told = report(&renamed, &prepared, &inquiry, &mut Made::default(), &mut progress).unwrap();
    assert!(told.markup.contains("Another title"), "{}", told.markup);
}

#[test]
fn a_drawing_is_tidied_but_for_what_is_kept() {
    let mut document = read_json(AS_BOUGHT).unwrap();
    let tidy = |document: &Document| told_of(document, "", "tidy").unwrap();
    let nothing = tidy(&document);
    assert!(nothing.change.is_none() && nothing.said.contains("as tidy as it gets"), "{nothing:?}");
    let laid = drawing::layout::lay_out(&document.network, &document.placement);
    let opened: Vec<_> = laid.standing(&document.network).into_iter().map(|one| one.pose).collect();
    let mut poses = opened.clone();
    for pose in &mut poses[..2] {
        pose.x += 40;
        pose.y += 30;
    }
    poses[0].pinned = true;
    let kept = poses[0].clone();
    Arc::make_mut(&mut document.placement).poses = poses;
    let change = tidy(&document).change.unwrap();
    assert_eq!((change.label.as_str(), change.network.is_none()), ("tidy", true));
    let tidied = change.placement.unwrap();
    assert!(tidied.poses.contains(&kept), "what is kept stays, and stays kept");
    document.placement = Arc::new(tidied);
    assert!(tidy(&document).change.is_none(), "tidied twice is tidied once");
    Arc::make_mut(&mut document.placement).poses.iter_mut().for_each(|pose| pose.pinned = false);
    assert_eq!(tidy(&document).change.unwrap().placement.unwrap().poses, opened);
}

#[test]
fn a_finding_is_accepted_with_a_name_and_a_reason_and_opened_again() {
    let mut document = read_json(AS_BOUGHT).unwrap();
    let told = |document: &Document, words: &str| told_of(document, "", words).unwrap();
    assert!(told(&document, "accept 0").markup.contains("finding-accept 0"));
    let refused = told(&document, "finding-accept 0\nby=J. Sample\nwhy= ");
    assert!(refused.change.is_none() && refused.said.contains("why it may stay"), "{refused:?}");
    let words = "finding-accept 0\nby=J. Sample\nwhy=a <spare> follows\ndate=2026-02-28";
    let change = told(&document, words).change.unwrap();
    document.accepted = Arc::new(change.accepted.unwrap());
    let finding = Prepared::new(&document).findings()[0].clone();
    assert!(finding.accepted(&document.accepted).is_some());
    let markup = told(&document, "accept 0").markup;
    assert!(markup.contains("by J. Sample, 2026-02-28: a &lt;spare&gt; follows"), "{markup}");
    assert!(markup.contains("finding-unaccept 0"), "{markup}");
    let change = told(&document, "finding-unaccept 0").change.unwrap();
    assert_eq!(change.accepted, Some(Vec::new()));
    assert_eq!(told_of(&document, "", "accept 999"), None);
}

#[test]
fn an_inspection_says_what_to_do_first_and_leads_to_every_value_that_is_missing() {
    let mut document = read_json(AS_BOUGHT).unwrap();
    let network = Arc::make_mut(&mut document.network);
    network.wires.iter_mut().find(|wire| wire.label == "W45").unwrap().size = engine::given::Given::NotKnown;
    let page = told_of(&document, "", "inspect").unwrap().markup;
    assert!(page.contains("data-long=\"\" data-ask=\"inspected\""), "{page}");
    let report = told_of(&document, "", "inspected").unwrap();
    assert!(report.said.starts_with("Do not drive it. Found: "), "{}", report.said);
    let markup = report.markup;
    for words in [
        "Read the size printed on wire W45, or measure its conductor. At 1.5 mm² or less: this wire can catch fire",
        "<strong>Stop, possible</strong>: wire W45",
        "<strong>Stop, sure</strong>: wire W6",
        "What was not drawn was not judged.",
        "Fill in: wire W45",
    ] {
        assert!(markup.contains(words), "{words}: {markup}");
    }
    let shown = markup.match_indices("data-ask=\"show ").map(|(at, start)| &markup[at + start.len()..]);
    let shown: Vec<&str> = shown.filter_map(|rest| rest.split('"').next()).collect();
    assert!(shown.len() > 20, "{shown:?}");
    for id in shown {
        assert!(told_of(&document, "", &format!("show {id}")).unwrap().show.is_some(), "{id}");
    }
}

#[test]
fn an_inspection_of_a_sound_job_still_says_what_it_does_not_tell() {
    let report = told(include_str!("../../../../fixtures/jobs/apiary-flatbed.json"), "", "inspected");
    assert_eq!(report.said, "Nothing dangerous found in what was drawn.");
    assert!(report.markup.contains("What was not drawn was not judged."), "{}", report.markup);
}

#[test]
fn what_changed_since_another_state_is_told_entry_by_entry() {
    let document = read_json(DARK).unwrap();
    let before = DARK.replace('\n', " ").replacen("\"mm2\": 35", "\"mm2\": 25", 1);
    let told = |words: &str| told_of(&document, "", words).unwrap().markup;
    let markup = told(&format!("changes\nbefore={before}"));
    assert!(markup.contains("<p dir=\"auto\">1 change.</p>"), "{markup}");
    assert!(markup.contains("Size: now 35 mm², was 25 mm²"), "{markup}");
    let same = told(&format!("changes\nbefore={before}\nafter={before}"));
    assert!(same.contains("Nothing that the job says of the vehicle has changed."), "{same}");
    assert!(told("changes\nbefore={}").contains("role=\"alert\""));
}

#[test]
fn a_version_that_is_put_back_is_the_whole_job_again() {
    let mut open = read_json(DARK).unwrap();
    let kept = open.clone();
    Arc::make_mut(&mut open.card).title = "Another title".to_owned();
    Arc::make_mut(&mut open.network).wires.pop();
    let words = format!("put-back\njob={}", DARK.replace('\n', " "));
    let report = told_of(&open, "", &words).unwrap();
    assert_eq!(report.markup, "");
    // Everything that differs is in the change, and where symbols stand always is.
    let change = report.change.unwrap();
    assert_eq!(change.card.as_ref(), Some(&*kept.card));
    assert_eq!(change.network.as_ref(), Some(&*kept.network));
    assert_eq!(change.placement.as_ref(), Some(&*kept.placement));
    assert_eq!((change.settings, change.plan, change.records), (None, None, None));
    let refused = told_of(&open, "", "put-back\njob={}").unwrap();
    assert!(refused.change.is_none() && refused.markup.contains("nothing was changed"), "{}", refused.markup);
}
