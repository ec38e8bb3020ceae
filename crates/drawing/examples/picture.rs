//! Writes a picture of a job file for looking at.
//!
//! ```text
//! cargo run -p drawing --example picture -- JOB.json OUT.svg
//! ```

#![expect(
    clippy::disallowed_methods,
    clippy::disallowed_macros,
    reason = "a program for looking at pictures reads and writes files"
)]

use std::process::ExitCode;

use drawing::overlay::Overlay;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [from, to] = arguments.as_slice() else {
        eprintln!("usage: picture JOB.json OUT.svg");
        return ExitCode::from(2);
    };
    let document = std::fs::read(from)
        .map_err(|error| error.to_string())
        .and_then(|bytes| engine::file::read(&bytes).map_err(|error| error.to_string()));
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
