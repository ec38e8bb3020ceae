//! Support for the fixture runners.

pub mod cable;
pub mod chance;
pub mod corpus;
pub mod formula;
pub mod fuzz;
pub mod generate;
pub mod judge;
pub mod literate;
pub mod mistake;
pub mod networks;
pub mod reading;
pub mod score;
pub mod sound;
pub mod walks;
pub mod widened;

use std::path::{Path, PathBuf};

use engine::document::Document;

/// The folder of this name in `fixtures/`.
pub fn fixtures(folder: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures").join(folder)
}

/// The demonstration job of this name.
///
/// # Panics
///
/// When it is not on file or cannot be read.
pub fn demonstration(name: &str) -> Document {
    let path = fixtures("jobs").join(format!("{name}.json"));
    let bytes = std::fs::read(path).expect("the job is on file");
    engine::file::read(&bytes).expect("a job on file opens")
}

/// The files of a folder whose names end in one of `endings`, sorted by name.
///
/// # Panics
///
/// When the folder cannot be read or has no such file: a runner that finds nothing proves nothing.
pub fn files_in(folder: &Path, endings: &[&str]) -> Vec<PathBuf> {
    let entries =
        std::fs::read_dir(folder).unwrap_or_else(|error| panic!("cannot read {}: {error}", folder.display()));
    let mut files: Vec<PathBuf> = entries
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| endings.iter().any(|ending| path.to_string_lossy().ends_with(ending)))
        .collect();
    files.sort();
    assert!(!files.is_empty(), "no fixtures in {}", folder.display());
    files
}

/// The name of a fixture file, for the name of its test.
pub fn name_of(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

/// Whether expectations on file are to be written anew instead of compared.
pub fn updating() -> bool {
    std::env::var_os("UPDATE_EXPECT").is_some()
}
