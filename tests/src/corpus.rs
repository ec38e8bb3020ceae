//! The jobs in which mistakes are planted: the sound ones on file, and sound ones made by chance.

use std::path::Path;
use std::sync::Arc;

use engine::document::Document;
use engine::given::Given;

use crate::score::Plot;
use crate::{files_in, fixtures, literate, sound};

/// How many jobs made by chance the whole corpus has.
pub const N_MADE: u64 = 100;

/// Every sound job on file, and `n_made` made by chance.
///
/// # Panics
///
/// When a fixture cannot be read.
pub fn plots(n_made: u64) -> Vec<Plot> {
    let mut all = on_file();
    all.extend((0..n_made).map(|seed| Plot::new(format!("made {seed}"), sound::document(seed))));
    all
}

/// The sound jobs on file.
///
/// # Panics
///
/// When a fixture cannot be read.
pub fn on_file() -> Vec<Plot> {
    let mut files = files_in(&fixtures("jobs"), &[".json"]);
    files.extend(files_in(&fixtures("starts"), &[".json"]));
    files.into_iter().filter(|file| is_sound(file)).map(|file| open(&file)).collect()
}

/// Jobs on file that show a fault although nothing is wrong with their wiring: they are no sound ones.
const SHOW_A_FAULT: [&str; 1] = ["dark-lamps"];

/// Whether no mistakes are listed beside a job.
fn is_sound(file: &Path) -> bool {
    if SHOW_A_FAULT.iter().any(|name| file.file_stem().is_some_and(|stem| stem == *name)) {
        return false;
    }
    let beside = std::fs::read_to_string(file.with_extension("md")).unwrap_or_default();
    literate::table(&beside, &["mistake", "check", "subject", "severity"]).is_none_or(|rows| rows.is_empty())
}

fn open(file: &Path) -> Plot {
    let bytes = std::fs::read(file).expect("a fixture that was listed can be read");
    let document = engine::file::read(&bytes).expect("a sound job opens");
    let name = file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    Plot::new(name, typed(&document))
}

/// The same job with everything typed of its wires that follows from their ways, and without a plan: judge and mistakes
/// read what is typed.
fn typed(document: &Document) -> Document {
    let resolved = &engine::laid::circuit(document).resolved;
    let mut network = (*document.network).clone();
    for (index, wire) in network.wires.iter_mut().enumerate() {
        let (Some(way), Some(used)) = (resolved.ways.of(index), &resolved.wires[index]) else { continue };
        wire.length = Given::Known(used.length.used);
        wire.surroundings = wire.surroundings.or(way.hottest.map(|hottest| hottest.surroundings));
        wire.grommet = used.grommet;
        if !way.pieces.is_empty() {
            wire.bundle = Some(used.bundle);
        }
        if way.is_sleeved {
            wire.sleeve = wire.sleeve.take().or(Some("sleeved".to_owned()));
        }
        wire.via.clear();
    }
    for part in &mut network.parts {
        part.surroundings = document.network.part(&part.id).and_then(|part| resolved.surroundings_of(part));
        part.place = None;
    }
    Document { network: Arc::new(network), plan: Arc::default(), ..document.clone() }
}
