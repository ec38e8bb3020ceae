//! Running other programs, and finding the ones a machine has.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail};

/// The root of the source tree.
pub fn root() -> PathBuf {
    let manifest = Path::new(env!("CARGO_MANIFEST_DIR"));
    manifest.ancestors().nth(2).expect("this crate sits two folders below the root").to_path_buf()
}

/// Where cargo puts what it builds; scratch files of the stages go below it too.
pub fn target() -> PathBuf {
    match std::env::var_os("CARGO_TARGET_DIR") {
        Some(folder) => root().join(folder),
        None => root().join("target"),
    }
}

/// Cargo, started from the root of the source tree.
///
/// The `cargo` that started this program is used again, so one toolchain does everything.
pub fn cargo(arguments: &[&str]) -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.args(arguments).current_dir(root());
    command
}

/// The compiler that belongs to [`cargo`].
pub fn rustc() -> Command {
    let mut command = Command::new(std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into()));
    command.current_dir(root());
    command
}

/// Runs a command to its end, its output shown as it comes; an exit code other than 0 is an error.
pub fn run(command: &mut Command) -> Result<()> {
    let line = line(command);
    println!("$ {line}");
    let status = command.status().with_context(|| format!("cannot start `{line}`"))?;
    if !status.success() {
        bail!("`{line}` failed with {status}");
    }
    Ok(())
}

/// Runs a command to its end and returns what it wrote to standard output.
pub fn output(command: &mut Command) -> Result<Vec<u8>> {
    let line = line(command);
    let output =
        command.stderr(Stdio::inherit()).output().with_context(|| format!("cannot start `{line}`"))?;
    if !output.status.success() {
        bail!("`{line}` failed with {}", output.status);
    }
    Ok(output.stdout)
}

/// Whether a command starts and ends well; its output is dropped.
pub fn succeeds(command: &mut Command) -> bool {
    command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|s| s.success())
}

/// The first of these programs that is on the search path.
pub fn find(names: &[&str]) -> Option<PathBuf> {
    let path = std::env::var_os("PATH")?;
    let folders: Vec<PathBuf> = std::env::split_paths(&path).collect();
    let endings = if cfg!(windows) { [".exe", ".cmd"].as_slice() } else { &[""] };
    for name in names {
        for folder in &folders {
            for ending in endings {
                let candidate = folder.join(format!("{name}{ending}"));
                if candidate.is_file() {
                    return Some(candidate);
                }
            }
        }
    }
    None
}

fn line(command: &Command) -> String {
    let program = Path::new(command.get_program()).file_name().unwrap_or(command.get_program());
    let mut line = program.to_string_lossy().into_owned();
    for argument in command.get_args() {
        line.push(' ');
        line.push_str(&argument.to_string_lossy());
    }
    line
}
