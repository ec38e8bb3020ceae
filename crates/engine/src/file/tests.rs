//! Reading and writing as seen from outside; what a single step does is tested beside it.

use super::*;
use crate::document::Found;
use crate::document::network::MOST_PARTS_AND_WIRES;
use crate::file::part::MOST_SYMBOLS;

/// A job around these parts, wires and situations.
fn job(parts: &str, wires: &str, situations: &str) -> String {
    format!(
        r#"{{ "format": "loomwright-job", "version": 7, "settings": {{ "nominal_v": 12 }},
        "parts": [{parts}], "wires": [{wires}], "situations": [{situations}] }}"#
    )
}

const PAIR: &str = r#"{ "id": "p1", "kind": "battery" }, { "id": "p2", "kind": "lamp" }"#;

fn refusal(text: &str) -> String {
    read(text.as_bytes()).unwrap_err().to_string()
}

#[test]
fn a_job_without_anything_is_the_empty_document() {
    let document = read_json(&job("", "", "")).unwrap();
    assert_eq!(document, Document::default());
    assert_eq!(read_json(&write_json(&document)).unwrap(), document);
}

#[test]
fn a_mark_in_front_and_the_form_are_recognized() {
    let json = job(PAIR, "", "");
    let document = read(json.as_bytes()).unwrap();
    let svg = format!(
        "\u{feff}<?xml version=\"1.0\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\"><metadata>{}</metadata></svg>",
        job_element(&document)
    );
    assert_eq!(read(svg.as_bytes()).unwrap(), document);
    assert_eq!(read(format!("\u{feff}{json}").as_bytes()).unwrap(), document);
}

#[test]
fn every_problem_names_its_place() {
    let wire = |rest: &str| job(PAIR, &format!(r#"{{ "id": "w1", "from": "p1.+", {rest} }}"#), "");
    let part = |rest: &str| job(&format!(r#"{{ "id": "p1", {rest} }}"#), "", "");
    for (text, message) in [
        (wire(r#""to": "p2.3""#), "wires[0].to: the lamp `p2` has no terminal `3`; it has `1`, `2`"),
        (wire(r#""to": "p9.1""#), "wires[0].to: there is no part `p9`"),
        (wire(r#""to": "p1.+""#), "wires[0]: wire `w1` has both ends on one terminal"),
        (wire(r#""to": "p2.1", "id2": 1"#), "wires[0].id2: unknown key; did you mean `id`?"),
        (
            wire(r#""to": "p2.1", "size": { "mm2": 2.4 }"#),
            "wires[0].size.mm2: 2.4 mm2 is no size of the series: 0.22, 0.35, 0.5, 0.75, 1, 1.25, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 50, 60, 70, 95, 120",
        ),
        (
            wire(r#""to": "p2.1", "length_m": { "between": [3, 2] }"#),
            "wires[0].length_m.between: the smaller end of a range comes first",
        ),
        (
            part(r#""kind": "relay", "values": { "coil_ohm": -5 }"#),
            "parts[0].values.coil_ohm: -5 is out of range: 0.1 to 100000 ohm",
        ),
        (
            part(r#""kind": "twin-lamp", "values": { "beam": { "wats": 5 } }"#),
            "parts[0].values.beam.wats: unknown key; did you mean `watts`?",
        ),
        (part(r#""kind": "realy""#), "parts[0].kind: there is no part kind `realy`; did you mean `relay`?"),
        (
            part(r#""kind": "relay", "at": [{ "x": 1, "y": 2 }]"#),
            "parts[0].at[0].view: missing; a relay has `coil`, `contact`",
        ),
        (
            part(r#""kind": "donor", "values": { "battery": "p1" }"#),
            "parts[0].values: `p1` names `p1`, which is no battery",
        ),
        (job(&PAIR.replace("p2", "p1"), "", ""), "parts[1].id: the id `p1` is used twice"),
        (
            job(PAIR, "", r#"{ "name": "night", "set": { "p2": "on" } }"#),
            "situations[0].set.p2: a lamp has no positions to set",
        ),
        (
            job(PAIR, "", r#"{ "name": "at rest" }"#),
            "situations[0].name: `at rest` always exists and is not listed",
        ),
        (job(PAIR, "", "").replace("12", "13"), "settings.nominal_v: 13 V is neither 12 V nor 24 V"),
    ] {
        assert_eq!(refusal(&text), message);
    }
}

#[test]
fn several_parts_are_complained_about_at_once() {
    let bad = r#"{ "id": "p 1", "kind": "lamp" }, { "id": "p2", "kind": "lamp", "label": 3 }"#;
    assert_eq!(
        refusal(&job(bad, "", "")),
        "parts[0].id: `p 1` is no id: 1 to 64 letters a to z, digits, `_` or `-`\n\
         parts[1].label: expected a text, found the number 3"
    );
    let many = vec![r#"{ "id": "", "kind": "lamp" }"#; 50].join(",");
    assert!(refusal(&job(&many, "", "")).ends_with("\nand 30 more"));
}

#[test]
fn one_mistake_does_not_hide_the_others() {
    let parts = r#"{ "id": "p1", "kind": "lamb", "status": "old" }, { "id": "p2", "kind": "lamp" },
        { "id": "p2", "kind": "fuse", "label": 3, "values": { "rating_a": -1, "amps": 2 } }"#;
    let wires = r#"{ "id": "w1", "from": "p1.+", "to": "p2.3" },
        { "id": "p2", "from": "p9.1", "to": "p2.1", "bundle": 0, "grommet": 1 },
        { "id": "w3", "from": "p2.2", "to": "p2.2" }"#;
    let situations = r#"{ "name": "", "set": { "p1": "on", "p9": "on" } }"#;
    assert_eq!(
        refusal(&job(parts, wires, situations)),
        "parts[0].kind: there is no part kind `lamb`; did you mean `lamp`?\n\
         parts[0].status: `old` is none of `existing`, `new`, `remove`\n\
         parts[2].id: the id `p2` is used twice\n\
         parts[2].label: expected a text, found the number 3\n\
         parts[2].values.amps: unknown key; known here: `rating_a`, `family`, `element_ohm`, `rated_v`, `breaking_a`, `sealed`, `seat`\n\
         parts[2].values.rating_a: -1 is out of range: 0.1 to 1000 A\n\
         wires[0].to: the lamp `p2` has no terminal `3`; it has `1`, `2`\n\
         wires[1].id: the id `p2` is used twice\n\
         wires[1].from: there is no part `p9`\n\
         wires[1].bundle: 0 is out of range: 1 to 1000\n\
         wires[1].grommet: expected `true` or `false`, found the number 1\n\
         wires[2]: wire `w3` has both ends on one terminal\n\
         situations[0].name: a situation needs a name\n\
         situations[0].set.p9: there is no part `p9`"
    );
    // While a part has no id that can be read, any id may be its own.
    let nameless = r#"{ "id": "p 1", "kind": "lamp" }"#;
    let wire = r#"{ "id": "w1", "from": "p1.1", "to": "p1.2" }"#;
    let refused = refusal(&job(nameless, wire, ""));
    assert_eq!(refused, "parts[0].id: `p 1` is no id: 1 to 64 letters a to z, digits, `_` or `-`");
}

#[test]
fn an_id_used_three_times_is_told_at_each_further_place() {
    let refused = refusal(&job(&[r#"{ "id": "p1", "kind": "lamp" }"#; 3].join(","), "", ""));
    assert_eq!(refused, "parts[1].id: the id `p1` is used twice\nparts[2].id: the id `p1` is used twice");
}

#[test]
fn a_label_in_place_of_an_id_is_told_with_the_id() {
    let parts = r#"{ "id": "bat", "kind": "battery", "label": "G1" }, { "id": "s1", "kind": "switch", "label": "S1" },
        { "id": "x1", "kind": "earth", "label": "X" }, { "id": "x2", "kind": "earth", "label": "X" },
        { "id": "lamp", "kind": "lamp", "label": "work lamp" }"#;
    let wires = r#"{ "id": "w1", "from": "G1.+", "to": "X.1" }, { "id": "w2", "from": "work lamp.1", "to": "s1.in" }"#;
    assert_eq!(
        refusal(&job(parts, wires, r#"{ "name": "on", "set": { "S1": "on" } }"#)),
        "wires[0].from: `G1` is the label of part `bat`; write `bat.+`\n\
         wires[0].to: `X` is the label of the parts `x1`, `x2`; name the one that is meant by its id\n\
         wires[1].from: `work lamp` is the label of part `lamp`; write `lamp.1`\n\
         situations[0].set.S1: `S1` is the label of part `s1`; write `s1`"
    );
}

#[test]
fn what_was_meant_is_told_in_its_right_form() {
    let wire =
        |rest: &str| job(PAIR, &format!(r#"{{ "id": "w1", "from": "p1.+", "to": "p2.1", {rest} }}"#), "");
    for (text, message) in [
        (wire(r#""size": 2.5"#), r#"wires[0].size: a size is written `{ "mm2": 2.5 }`, found 2.5"#),
        (
            wire(r#""size": "2,5 mm2""#),
            r#"wires[0].size: a size is written `{ "mm2": 2.5 }`, found `2,5 mm2`"#,
        ),
        (wire(r#""size": "AWG 14""#), r#"wires[0].size: a size is written `{ "awg": 14 }`, found `AWG 14`"#),
        (wire(r#""size": "thick""#), "wires[0].size: expected an object, found the text `thick`"),
        (wire(r#""colour": "rd""#), r#"wires[0].colour: a colour is written `{ "base": "RD" }`, found `rd`"#),
        (
            wire(r#""length_m": "0,2""#),
            "wires[0].length_m: expected a number, found the text `0,2`; write 0.2",
        ),
        (wire(r#""length_m": "2 m""#), "wires[0].length_m: expected a number, found the text `2 m`"),
        (
            job(r#"{ "id": "p1", "kind": "lamp", "watts": 55 }"#, "", ""),
            r#"parts[0].watts: a value of the part; put it in `values`: { "values": { "watts": ... } }"#,
        ),
        (
            job(r#"{ "id": "p1", "kind": "fuse", "watts": 55 }"#, "", ""),
            "parts[0].watts: unknown key; known here: `id`, `kind`, `label`, `status`, `surroundings`, `place`, `values`, `at`",
        ),
    ] {
        assert_eq!(refusal(&text), message);
    }
}

#[test]
fn a_long_list_is_told_once() {
    let wire =
        |id: &str| format!(r#"{{ "id": "{id}", "from": "p1.+", "to": "p2.1", "size": {{ "mm2": 0.8 }} }}"#);
    let refused = refusal(&job(PAIR, &[wire("w1"), wire("w2")].join(","), ""));
    assert_eq!(refused.matches("0.22, 0.35").count(), 1, "{refused}");
    assert!(refused.ends_with("\nwires[1].size.mm2: 0.8 mm2 is no size of the series"), "{refused}");
}

#[test]
fn what_is_no_job_is_refused() {
    for (text, message) in [
        ("", "the file is empty"),
        ("[]", "expected an object, found a list"),
        ("{}", "format: missing; a job says `loomwright-job`"),
        (r#"{ "format": "other" }"#, "format: `other` is not `loomwright-job`"),
        (r#"{ "format": "loomwright-job" }"#, "version: missing"),
        ("<html/>", "line 1, column 1: this is XML but no SVG drawing"),
        ("<svg xmlns='http://www.w3.org/2000/svg'/>", "this drawing carries no job"),
        ("<svg>\n<a></b></svg>", "line 2, column 4: not well-formed XML: expected 'a' tag, not 'b'"),
        ("<svg>", "not well-formed XML: the root node was opened but never closed"),
        ("<!DOCTYPE svg [<!ENTITY a 'b'>]><svg/>", "not well-formed XML: XML with DTD detected"),
    ] {
        assert_eq!(refusal(text), message);
    }
    assert_eq!(read(b"{ \"a\": \"\xff\" }").unwrap_err().to_string(), "byte 9: the file is not UTF-8 text");
    let long = "a".repeat(10_000);
    for (text, told) in [
        (format!("<svg></{long}>"), "expected 'svg' tag, not 'aaa"),
        (format!("<{long}:svg/>"), "an unknown namespace prefix 'aaa"),
        (format!("<svg>&{long};</svg>"), "unknown entity reference 'aaa"),
    ] {
        let refusal = refusal(&text);
        assert!(refusal.contains(told) && refusal.len() < 200, "{refusal}");
    }
    let large = vec![b' '; LARGEST_FILE + 1];
    assert_eq!(read(&large).unwrap_err().to_string(), "the file has 8388609 bytes; at most 8388608 are read");
}

#[test]
fn a_drawing_carries_exactly_one_job_in_its_metadata() {
    let element = job_element(&Document::default());
    let svg = |inner: &str| format!("<svg xmlns='http://www.w3.org/2000/svg'>\n{inner}</svg>");
    let twice = format!("<metadata>{element}\n {element}</metadata>");
    assert_eq!(refusal(&svg(&twice)), "line 3, column 2: this drawing carries more than one job");
    assert_eq!(
        refusal(&svg(&element)),
        "line 2, column 1: the job in this drawing does not stand in `metadata`"
    );
    let inside = |old: &str, new: &str| svg(&format!("<metadata>{}</metadata>", element.replace(old, new)));
    assert_eq!(
        refusal(&inside("version=\"7\"", "version=\"8\"")),
        "in the job inside the drawing, line 2, column 65, attribute `version`: \
         this file was made by a newer version: 8; this one reads up to 7"
    );
    assert_eq!(
        refusal(&inside("\"nominal_v\":12", "\"nominal_v\":null")),
        "in the job inside the drawing, settings.nominal_v: \
         expected a number, found nothing; leave a key out when its value is not known"
    );
    assert_eq!(
        refusal(&inside("{", "<b/>{")),
        "line 2, column 77: the job inside the drawing has markup in it"
    );
}

#[test]
fn where_the_job_inside_a_drawing_is_no_json_is_told_as_a_line_of_the_drawing() {
    let svg = |job: &str| {
        format!(
            "<svg xmlns='http://www.w3.org/2000/svg'>\n<metadata><job xmlns='{NAMESPACE}' version='7'>{job}</job></metadata></svg>"
        )
    };
    for (job, place) in [
        ("\n{ \"format\": 'x' }", "line 3, column 13"),
        ("<![CDATA[\n{ \"format\": 'x' }]]>", "line 3, column 13"),
        ("\n{ &quot;format\": 'x' }", "counted from its beginning, line 2, column 13"),
    ] {
        let told = refusal(&svg(job));
        assert!(told.starts_with("in the job inside the drawing") && told.contains(place), "{told}");
    }
    assert_eq!(refusal(&svg(" ")), "line 2, column 11: the job inside the drawing is empty");
}

#[test]
fn a_job_too_large_to_work_on_is_refused() {
    let many = vec![r#"{"id":"p1","kind":"lamp"}"#; MOST_PARTS_AND_WIRES + 1].join(",");
    assert_eq!(
        refusal(&job(&many, "", "")),
        "the job has 20001 parts and 0 wires; at most 20000 together are read"
    );
}

#[test]
fn a_part_with_more_symbols_than_anybody_draws_is_refused() {
    let symbols = |n: usize| vec![r#"{"view":"main","x":0,"y":0}"#; n].join(",");
    let part = |n: usize| job(&format!(r#"{{"id":"p1","kind":"lamp","at":[{}]}}"#, symbols(n)), "", "");
    assert_eq!(refusal(&part(MOST_SYMBOLS + 1)), "parts[0].at: a part has at most 1000 symbols");
    assert!(read_json(&part(MOST_SYMBOLS)).is_ok());
}

#[test]
fn records_keep_what_is_not_in_the_job_any_more() {
    let with = |extra: &str| job("", "", "").replacen('{', &format!("{{ {extra}, "), 1);
    let empty = r#""interlocks": [], "plan": { "places": [], "routes": [] }, "records": []"#;
    assert_eq!(read_json(&with(empty)), Ok(Document::default()));
    let reading = r#"{ "probe": { "volts_at": "gone.30" }, "found": { "number": 12.1 } }"#;
    let kept = read_json(&with(&format!(r#""records": [{{ "for": "fault", "readings": [{reading}] }}]"#)));
    assert_eq!(kept.unwrap().records[0].readings[0].found, Some(Found::Number(12.1)));
    let reading = r#"{ "probe": { "listen_to": "K1" }, "found": { "number": 1 } }"#;
    assert_eq!(
        refusal(&with(&format!(r#""records": [{{ "for": "fault", "readings": [{reading}] }}]"#))),
        "records[0].readings[0].found: this is no answer to what was looked at"
    );
}

#[test]
fn the_next_id_is_kept_and_never_falls_below_an_id_in_use() {
    let with = |next: &str| read_json(&job(PAIR, "", "").replacen('{', &format!("{{ {next}"), 1)).unwrap();
    assert_eq!(with("").network.next_id, 3);
    assert_eq!(with(r#""next_id": 2,"#).network.next_id, 3);
    let kept = with(r#""next_id": 9,"#);
    assert_eq!(kept.network.next_id, 9);
    assert_eq!(read_json(&write_json(&kept)), Ok(kept));
}

#[test]
fn hostile_labels_survive_both_forms() {
    for label in [
        "]]></loomwright:job></svg><script>",
        "&amp;&lt;",
        "\u{0}\u{b}\u{1f}",
        "\u{fffe}\u{ffff}",
        "\u{202e}\u{85}\r\n",
        "\u{1fffe}😀",
    ] {
        let mut document = read_json(&job(PAIR, "", "")).unwrap();
        std::sync::Arc::make_mut(&mut document.network).parts[0].label = label.to_owned();
        assert_eq!(read_json(&write_json(&document)), Ok(document.clone()), "{label:?}");
        let element = job_element(&document);
        let svg = |inner: &str| {
            format!("<svg xmlns='http://www.w3.org/2000/svg'><metadata>{inner}</metadata></svg>")
        };
        assert_eq!(read_svg(&svg(&element)), Ok(document.clone()), "{label:?}");
        // A program that rewrites the drawing may turn the text into a CDATA section.
        let section = element.replacen("\">{", "\"><![CDATA[{", 1).replacen("}</", "}]]></", 1);
        assert!(section.contains("CDATA"));
        assert_eq!(read_svg(&svg(&section)), Ok(document), "{label:?}");
    }
}
