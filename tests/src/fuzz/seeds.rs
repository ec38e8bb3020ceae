//! What the inputs are made from.

use std::path::PathBuf;

use engine::document::Document;
use engine::file;
use serde_json::Value;

use super::structure::{Pool, gather};
use crate::chance::Chance;
use crate::{demonstration, files_in, fixtures};

/// The files to begin from.
pub struct Seeds {
    files: Vec<Vec<u8>>,
    values: Vec<Value>,
    /// What stands in those, by key.
    pub(super) pool: Pool,
    /// What stands before and after the job in a picture that carries one.
    around: (String, String),
    /// The job that observations are read for.
    pub(super) observed: Document,
}

impl Seeds {
    /// All jobs, starts, pictures and observations on file, and a workshop, those among them that are refused.
    ///
    /// # Panics
    ///
    /// When fixtures are missing.
    pub fn on_file() -> Seeds {
        let observed = demonstration("dark-lamps");
        let files: Vec<Vec<u8>> = paths()
            .iter()
            .map(|path| std::fs::read(path).expect("a fixture that was listed can be read"))
            .collect();
        let values: Vec<Value> =
            files.iter().filter_map(|bytes| serde_json::from_slice(bytes).ok()).collect();
        let mut pool = Pool::new();
        values.iter().for_each(|value| gather(value, "", &mut pool));
        let element = file::job_element(&observed);
        let start = element.find('>').expect("an element has a start tag") + 1;
        let end = element.rfind('<').expect("an element has an end tag");
        let before = format!("<svg xmlns=\"http://www.w3.org/2000/svg\"><metadata>{}", &element[..start]);
        let after = format!("{}</metadata></svg>", &element[end..]);
        Seeds { files, values, pool, around: (before, after), observed }
    }

    /// One of the files.
    pub(super) fn any(&self, chance: &mut Chance) -> &[u8] {
        &self.files[chance.below(self.files.len())]
    }

    /// One of those that are JSON.
    pub(super) fn json(&self, chance: &mut Chance) -> &Value {
        &self.values[chance.below(self.values.len())]
    }

    /// A picture that carries this text as its job: escaped, as CDATA, or as it is.
    pub(super) fn in_picture(&self, job: &str, chance: &mut Chance) -> Vec<u8> {
        let job = match chance.below(6) {
            0 => job.to_owned(),
            1 => format!("<![CDATA[{job}]]>"),
            _ => job.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;"),
        };
        format!("{}{job}{}", self.around.0, self.around.1).into_bytes()
    }
}

fn paths() -> Vec<PathBuf> {
    let versions = ["v1", "v2", "v3", "v4", "v5", "v6", "v7", "bad"].map(|name| format!("files/{name}"));
    let folders = ["jobs", "starts", "drawings"].map(str::to_owned);
    let mut paths: Vec<PathBuf> = folders
        .iter()
        .chain(&versions)
        .flat_map(|folder| files_in(&fixtures(folder), &[".json", ".svg"]))
        .collect();
    paths.push(fixtures("workshop").join("workshop.json"));
    paths.push(fixtures("replies").join("observations.json"));
    paths
}
