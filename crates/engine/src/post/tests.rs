use super::*;
use crate::answer::answer;
use crate::document::{Situation, Standing};
use crate::file::read_json;
use crate::ids::{PartId, TerminalName, TerminalRef, WireId};
use crate::subject::Subject;

/// Jobs with findings, races, twin lamps and everything else there is, with the load asked for.
const JOBS: [(&str, &str); 3] = [
    (include_str!("../../../../fixtures/jobs/apiary-flatbed-as-bought.json"), "E3"),
    (include_str!("../../../../fixtures/jobs/honey-stall-trailer.json"), "M1"),
    (include_str!("../../../../fixtures/files/v7/first-job.json"), "lamp"),
];

/// Every sort of value in every form there is.
const EVERYTHING: &str = r#"{
    "format": "loomwright-job", "version": 7, "next_id": 90,
    "card": { "title": "Ω — \u0007", "number": "7" },
    "settings": { "nominal_v": 24 },
    "parts": [
        { "id": "box", "kind": "fuse-box", "values": { "ways": 6 } },
        { "id": "F", "kind": "fuse", "values": { "rating_a": { "between": [5, 7.5] }, "seat": { "box": "box", "way": 2 } },
          "at": [{ "view": "main", "x": -4, "y": 3999, "turn": 3, "mirrored": true }] },
        { "id": "H", "kind": "twin-lamp" },
        { "id": "E", "kind": "earth", "status": "remove", "values": { "surface": "painted" } }
    ],
    "wires": [
        { "id": "w1", "from": "box.feed", "to": "E.1", "status": "existing", "label": "L", "size": { "awg": "2/0" },
          "length_m": 0.1, "colour": { "base": "RD", "stripe": "WH" }, "insulation": { "rated_c": 105 },
          "surroundings": { "ambient_c": -12.5 }, "bundle": 6, "sleeve": "braid", "grommet": false,
          "ends": { "from": { "by": "crimp" }, "to": { "by": "bolt", "stud_mm": 8 } }, "use": "starter cable" },
        { "id": "w2", "from": "F.2", "to": "E.1", "size": { "mm2": { "between": [1.5, 2.5] } }, "grommet": true,
          "length_m": { "between": [0.1, 0.3] }, "colour": { "base": "BK" }, "insulation": "B", "surroundings": "outside" }
    ],
    "situations": [{ "name": "n", "set": {} }],
    "interlocks": [{ "load": "H", "name": "beam", "rule": "never with",
                     "any_of": [[{ "part": "H", "name": "position", "is": "off" }], [{ "part": "H", "name": "beam", "is": "on" }]] }]
}"#;

fn request(load: &str) -> Request {
    Request { revision: 41, situation: Situation::at_rest(), load: PartId::new(load) }
}

#[test]
fn documents_arrive_as_sent() {
    for job in JOBS.map(|(job, _)| job).into_iter().chain([EVERYTHING]) {
        let document = read_json(job).unwrap();
        assert_eq!(unpacked(&packed(&document)).unwrap(), document);
        let terminals = vec![TerminalName::new("2"), TerminalName::new("1")];
        let standing = document.placement.poses.iter();
        let standing = standing.map(|pose| Standing { pose: pose.clone(), terminals: terminals.clone() });
        let standing = standing.collect();
        let reply = Reply::Job(document, standing);
        assert_eq!(Reply::from_bytes(&reply.to_bytes()), reply);
    }
    assert_eq!(unpacked(&packed(&Document::default())).unwrap(), Document::default());
}

#[test]
fn questions_arrive_as_sent() {
    for (job, load) in JOBS {
        let document = read_json(job).unwrap();
        let job = packed(&document);
        for situation in document.situations.iter().chain([&Situation::at_rest()]) {
            let asked = Request { situation: situation.clone(), ..request(load) };
            assert_eq!(wanted(&question(&job, &asked)), Some(Wanted::Answer(asked, job.as_slice())));
        }
        let least = Request { load: None, ..request("x") };
        assert_eq!(wanted(&question(&[], &least)), Some(Wanted::Answer(least, [].as_slice())));
    }
    assert_eq!(wanted(&file(b"{}")), Some(Wanted::Job(b"{}".as_slice())));
}

#[test]
fn answers_arrive_as_sent() {
    let arrived = |answer: &Answer| Reply::from_bytes(&Reply::Answer(Box::new(answer.clone())).to_bytes());
    for (job, load) in JOBS {
        let document = read_json(job).unwrap();
        for situation in document.situations.iter().chain([&Situation::at_rest()]) {
            let mut told = answer(&document, &Request { situation: situation.clone(), ..request(load) });
            assert_eq!(arrived(&told), Reply::Answer(Box::new(told.clone())));
            told.path = None;
            assert_eq!(arrived(&told), Reply::Answer(Box::new(told)));
        }
    }
    assert_eq!(arrived(&Answer::default()), Reply::Answer(Box::default()));
}

#[test]
fn reports_and_the_wishes_for_them_arrive_as_sent() {
    for (job, load) in JOBS {
        let document = read_json(job).unwrap();
        let job = packed(&document);
        let asked = Inquiry {
            stamp: 7,
            situation: document.situations.first().cloned().unwrap_or_default(),
            words: "working w1\nname=“a”".to_owned(),
        };
        assert_eq!(wanted(&inquiry(&job, &asked)), Some(Wanted::Report(asked.clone(), job.as_slice())));
        let mut spot = Spot::default();
        let subjects = document.network.parts.iter().map(|part| Subject::Part(part.id.clone()));
        subjects.for_each(|subject| spot.add(&subject));
        spot.at = vec![Subject::Wire(WireId::new("w1").unwrap())];
        let report = Report {
            stamp: 7,
            markup: "<p>x</p>".to_owned(),
            said: "done".to_owned(),
            change: Some(Change::between("mend W1", &Document::default(), &document)),
            positions: Some(asked.situation),
            show: PartId::new(load).map(Subject::Part),
            spot: Some(spot),
        };
        for report in [report, Report::default()] {
            let reply = Reply::Report(Box::new(report));
            assert_eq!(Reply::from_bytes(&reply.to_bytes()), reply);
        }
    }
}

#[test]
fn every_sort_of_subject_arrives_as_sent() {
    let at = TerminalRef::parse("K1.30").unwrap();
    for one in [
        Subject::Part(PartId::new("K1").unwrap()),
        Subject::Wire(WireId::new("w1").unwrap()),
        Subject::Terminal(at.clone()),
        Subject::Net(at),
    ] {
        let mut bytes = Vec::new();
        one.pack(&mut bytes);
        assert_eq!(whole::<Subject>(&bytes), Some(one));
    }
}

#[test]
fn a_failure_keeps_its_words() {
    let failure = Reply::Failure("parts[3].id: missing".to_owned());
    assert_eq!(Reply::from_bytes(&failure.to_bytes()), failure);
}

#[test]
fn a_document_cut_short_or_too_long_is_none() {
    let bytes = packed(&read_json(EVERYTHING).unwrap());
    for end in 0..bytes.len() {
        assert_eq!(unpacked(&bytes[..end]), None, "{end}");
    }
    assert_eq!(unpacked(&[bytes.as_slice(), &[0]].concat()), None);
}

#[test]
fn whatever_the_bytes_are_unpacking_returns() {
    let document = read_json(EVERYTHING).unwrap();
    let job = packed(&document);
    let question = question(&job, &request("E3"));
    for at in 0..question.len() {
        for byte in [0, 1, 2, 0x7f, 0xff] {
            let mut changed = question.clone();
            changed[at] = byte;
            if let Some(Wanted::Answer(_, job)) = wanted(&changed) {
                // It may be another document or none; it must not be a stop.
                let _ = unpacked(job);
            }
        }
    }
    assert!(matches!(Reply::from_bytes(&[]), Reply::Failure(_)));
    assert!(matches!(Reply::from_bytes(&[9, 9]), Reply::Failure(_)));
    // A length that nothing follows must not take memory for it.
    assert_eq!(whole::<Vec<u64>>(&[0xff; 4]), None);
    assert_eq!(whole::<String>(&[0xff; 4]), None);
}
