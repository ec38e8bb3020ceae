//! The command line: reads a job, asks the engine, shows the answer.
//!
//! Answers go to standard output, everything said about the input or the arguments to standard
//! error. The exit code is 0 when all is well, 1 when a check found something as grave as asked
//! for, 2 when the input or the arguments cannot be used.

mod args;
mod command;
mod render;

use std::io::Write;
use std::process::ExitCode;

use clap::Parser;

fn main() -> ExitCode {
    // Wrong arguments end here, with exit code 2 and the usage on standard error.
    let args = args::Args::parse();
    match command::run(args.command) {
        Ok(answer) => match print(&answer.text) {
            Ok(()) => {
                if !answer.done.is_empty() {
                    eprintln!("{}", render::harmless(&answer.done));
                }
                ExitCode::from(answer.code)
            }
            Err(error) => refuse(&format!("cannot write the answer: {error}")),
        },
        Err(error) => refuse(&format!("{error:#}")),
    }
}

fn print(text: &str) -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        // Whoever reads the answer has read enough of it.
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(()),
        written => written,
    }
}

fn refuse(message: &str) -> ExitCode {
    eprintln!("loomwright: {}", render::harmless(message));
    ExitCode::from(2)
}
