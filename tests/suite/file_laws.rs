//! What holds for every document and for any bytes at all.

use engine::document::validate::violations;
use engine::file;
use suite::chance::Chance;
use suite::generate;
use suite::{files_in, fixtures};

const SVG: (&str, &str) = ("<svg xmlns=\"http://www.w3.org/2000/svg\"><metadata>", "</metadata></svg>");

#[test]
fn what_was_written_reads_back_the_same() {
    let mut kinds = std::collections::BTreeSet::new();
    for seed in 0..600 {
        let document = generate::document(seed);
        assert_eq!(violations(&document), [], "seed {seed}");
        kinds.extend(document.network.parts.iter().map(|part| part.kind.name));
        let text = file::write_json(&document);
        let read = file::read_json(&text).unwrap_or_else(|error| panic!("seed {seed}: {error}\n{text}"));
        assert_eq!(read, document, "seed {seed}");
        assert_eq!(file::write_json(&read), text, "seed {seed}");
        let svg = format!("{}{}{}", SVG.0, file::job_element(&document), SVG.1);
        assert_eq!(file::read(svg.as_bytes()), Ok(document), "seed {seed}");
    }
    assert_eq!(kinds.len(), engine::kind::ALL.len(), "every kind comes up");
}

#[test]
fn numbers_read_back_to_the_last_bit() {
    let mut chance = Chance::new(1);
    for _ in 0..3000 {
        // Any bit pattern whose number lies within the limits of a resistance.
        let ohm = f64::from_bits(chance.bits()).abs();
        let ohm = if (1.0..=1e9).contains(&ohm) { ohm } else { 1.0 + chance.unit() * 1e6 };
        let job = format!(
            r#"{{ "format": "loomwright-job", "version": 7, "settings": {{ "nominal_v": 12 }},
            "parts": [ {{ "id": "p1", "kind": "resistor", "values": {{ "ohm": {ohm:?} }} }} ] }}"#
        );
        let read = |text: &str| {
            let document = file::read_json(text).unwrap_or_else(|error| panic!("{ohm:?}: {error}"));
            match document.network.parts[0].values.get("ohm") {
                engine::given::Given::Known(engine::kind::Value::Number(number)) => (number, document),
                other => panic!("{ohm:?} was read as {other:?}"),
            }
        };
        let (first, document) = read(&job);
        let (second, _) = read(&file::write_json(&document));
        assert_eq!((first.to_bits(), second.to_bits()), (ohm.to_bits(), ohm.to_bits()), "{ohm:?}");
    }
}

/// Samples to start damage from: those that open, then those that do not.
fn samples() -> [Vec<Vec<u8>>; 2] {
    let [mut good, bad] = ["files/v2", "files/bad"].map(|folder| {
        files_in(&fixtures(folder), &[".json", ".svg"])
            .into_iter()
            .map(|path| std::fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display())))
            .collect::<Vec<_>>()
    });
    for seed in [40, 90] {
        let element = file::job_element(&generate::document(seed));
        good.push(format!("{}{element}{}", SVG.0, SVG.1).into_bytes());
    }
    [good, bad]
}

#[test]
fn damaged_files_are_read_or_refused_but_never_panic() {
    /// Bytes that mean something to one of the parsers.
    const TELLING: &[u8] = b"{}[]\",:\\<>&/!-0919eE+.u \0\xff\xef";
    let [good, bad] = samples();
    let mut chance = Chance::new(2);
    let (mut opened, mut refused) = (0, 0);
    for _ in 0..4000 {
        let mut bytes = if chance.once_in(5) { chance.one_of(&bad) } else { chance.one_of(&good) };
        for _ in 0..1 + chance.below(3) {
            let at = chance.below(bytes.len() + 1);
            match chance.below(8) {
                0 => bytes.truncate(at),
                1 => bytes.insert(at, chance.one_of(TELLING)),
                2 if at < bytes.len() => bytes[at] ^= 1 << chance.below(8),
                3 if at < bytes.len() => bytes[at] = chance.one_of(TELLING),
                3..=5 => {
                    // Another number is often still one that may stand there.
                    let digits: Vec<usize> =
                        (0..bytes.len()).filter(|i| bytes[*i].is_ascii_digit()).collect();
                    if !digits.is_empty() {
                        bytes[chance.one_of(&digits)] = b'0' + chance.below(10) as u8;
                    }
                }
                _ => {
                    // A piece comes twice, or goes missing.
                    let end = (at + chance.below(40)).min(bytes.len());
                    let piece = bytes[at..end].to_vec();
                    let put = if chance.once_in(2) { [piece.clone(), piece].concat() } else { Vec::new() };
                    bytes.splice(at..end, put);
                }
            }
        }
        match file::read(&bytes) {
            Ok(document) => {
                opened += 1;
                assert_eq!(violations(&document), []);
                assert_eq!(file::read_json(&file::write_json(&document)), Ok(document));
            }
            Err(error) => {
                refused += 1;
                let told = error.to_string();
                assert!(!told.is_empty() && told.chars().all(|c| c == '\n' || !c.is_control()), "{told:?}");
            }
        }
    }
    assert!(opened > 100 && refused > 1000, "{opened} opened, {refused} refused");
}

#[test]
fn hostile_xml_is_refused_without_using_up_stack_or_patience() {
    let deep = format!("{}{}", SVG.0, "<g>".repeat(2_000_000));
    assert!(file::read(deep.as_bytes()).is_err());
    let closed = format!("{}{}{}{}", SVG.0, "<g>".repeat(100_000), "</g>".repeat(100_000), SVG.1);
    assert!(file::read(closed.as_bytes()).is_err());
    // Both would keep the parser busy for minutes.
    let attributes: String = (0..500_000).map(|i| format!(" a{i}=''")).collect();
    let refused = file::read(format!("{}<g{attributes}/>{}", SVG.0, SVG.1).as_bytes()).unwrap_err();
    assert_eq!(refused.to_string(), "an element has more than 100 attributes");
    let namespaces: String = (0..50_000).map(|i| format!("<g xmlns:a{i}='u{i}'>")).collect();
    let refused = file::read(format!("{}{namespaces}", SVG.0).as_bytes()).unwrap_err();
    assert_eq!(refused.to_string(), "more than 100 namespaces are declared");
}
