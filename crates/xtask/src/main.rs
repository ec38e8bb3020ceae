//! Builds, serves and tests the project: `cargo xtask COMMAND`.
//!
//! What is not here: any rule of electricity and anything a user of the project runs. Each command
//! is one module; a command that fails says why in one message and exits with 1.

mod browser;
mod build;
mod catalogue;
mod generate;
mod machine;
mod measure;
mod place;
mod python;
mod run;
mod serve;
mod site;
mod slim;
mod split;
mod stages;

mod tidy;

use std::process::ExitCode;

const USAGE: &str = "\
usage: cargo xtask COMMAND

  serve [--port N]   build the web app and serve it on this machine
  build              build the web app into dist/, for any static host
  test               everything that must hold before a change lands; what CI runs
  tidy               the rules of the source tree alone
  generate           write the generated files anew
  measure NAME ...   run one of the measurements, with what else it takes; without a name, list them";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let outcome = match words.as_slice() {
        ["build"] => build::command(),
        ["serve"] => serve::command(serve::DEFAULT_PORT),
        ["serve", "--port", port] => match port.parse() {
            Ok(port) => serve::command(port),
            Err(_) => Err(anyhow::anyhow!("`{port}` is not a port number")),
        },
        ["test"] => stages::command(),
        ["tidy"] => tidy::command(),
        ["generate"] => generate::command(),
        ["measure"] => measure::list(),
        ["measure", name, more @ ..] => measure::command(name, more),
        ["help" | "--help" | "-h"] => {
            println!("{USAGE}");
            return ExitCode::SUCCESS;
        }
        _ => {
            eprintln!("{USAGE}");
            return ExitCode::from(2);
        }
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}
