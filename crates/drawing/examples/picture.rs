//! Writes pictures for looking at: of a job file, or of every symbol there is.
//!
//! ```text
//! cargo run -p drawing --example picture -- JOB.json OUT.svg
//! cargo run -p drawing --example picture -- symbols OUT.svg
//! ```

#![expect(
    clippy::disallowed_methods,
    clippy::disallowed_macros,
    reason = "a program for looking at pictures reads and writes files"
)]

use std::process::ExitCode;
use std::sync::Arc;

use drawing::overlay::Overlay;
use engine::document::{Document, Network, Part, Placement, Pose};
use engine::ids::PartId;
use engine::kind::{ALL, Form, Value, Values};

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [from, to] = arguments.as_slice() else {
        eprintln!("usage: picture JOB.json|symbols OUT.svg");
        return ExitCode::from(2);
    };
    let document = if from == "symbols" {
        Ok(every_symbol())
    } else {
        std::fs::read(from)
            .map_err(|error| error.to_string())
            .and_then(|bytes| engine::file::read(&bytes).map_err(|error| error.to_string()))
    };
    let written = document.and_then(|document| {
        let text = drawing::picture(&document, &Overlay::default());
        std::fs::write(to, text).map_err(|error| error.to_string())
    });
    match written {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error}");
            ExitCode::from(2)
        }
    }
}

/// A job with each kind once, and once more for each word that one of its values may take.
fn every_symbol() -> Document {
    let mut network = Network::default();
    let mut placement = Placement::default();
    let (mut x, mut y) = (0, 0);
    for kind in ALL {
        let mut variants = vec![(kind.name.to_owned(), Values::default())];
        for spec in kind.values {
            if let Form::Word(words) = spec.form {
                for word in words.iter().skip(1) {
                    let mut values = Values::default();
                    values.set(spec.name, engine::given::Given::Known(Value::Word(word)));
                    variants.push((format!("{} {word}", kind.name), values));
                }
            }
        }
        let mut seen = Vec::new();
        for (label, values) in variants {
            let views = (kind.views)(&values);
            if seen.contains(&views) {
                continue;
            }
            let id =
                PartId::new(&format!("p{}", network.parts.len())).expect("a letter and a number are an id");
            for view in &views {
                let (left, _, right, _) = view.body;
                if x + right - left > 120 {
                    (x, y) = (0, y + 14);
                }
                let pose = Pose {
                    part: id.clone(),
                    view: view.name.to_owned(),
                    x: x - left,
                    y,
                    turn: 0,
                    mirrored: false,
                    pinned: false,
                };
                placement.poses.push(pose);
                x += right - left + 13;
            }
            seen.push(views);
            network.parts.push(Part { values, ..Part::new(id, kind, label) });
        }
    }
    Document { network: Arc::new(network), placement: Arc::new(placement), ..Document::default() }
}
