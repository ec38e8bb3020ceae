//! The module that writes PDF files. It brings the fonts that go into them, so it is loaded only when somebody first
//! wants such a file.
//!
//! It knows no job: the worker puts the set on its sheets, and hands it over as bytes.

use sheets::Set;
use wasm_bindgen::prelude::wasm_bindgen;

/// The set of these bytes, which are those of [`Set::to_bytes`], as a PDF file; nothing when they are no set.
#[wasm_bindgen]
pub fn pdf(set: &[u8]) -> Option<Vec<u8>> {
    Set::from_bytes(set).map(|set| sheets::pdf(&set))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_set_becomes_a_file_and_anything_else_nothing() {
        let file = pdf(&Set::default().to_bytes()).unwrap();
        assert!(file.starts_with(b"%PDF-"));
        assert_eq!(pdf(b"no set"), None);
    }
}
