//! The picture of a workshop: a small PNG, as base64 text (RFC 4648).

use base64::engine::{GeneralPurpose, GeneralPurposeConfig};
use base64::{Engine as _, alphabet};

/// Most bytes of the PNG.
const LARGEST: usize = 200 * 1024;

/// Most pixels along a side.
const MOST_PIXELS: u32 = 600;

/// What a PNG begins with (ISO/IEC 15948, 5.2).
const SIGNATURE: [u8; 8] = [0x89, b'P', b'N', b'G', 0x0d, 0x0a, 0x1a, 0x0a];

/// A PNG that is small enough for a title block, of eight bits a channel and not interlaced.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    text: String,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
}

impl Picture {
    /// The picture of this base64 text.
    ///
    /// # Errors
    ///
    /// Why it is none. Only its head is looked at: what follows may still be damaged.
    pub fn of(text: &str) -> Result<Picture, String> {
        if text.len() > LARGEST.div_ceil(3) * 4 {
            return Err(format!("more than {} kB", LARGEST / 1024));
        }
        let bytes = decoded(text).ok_or("no base64 text")?;
        let (width, height) = size(&bytes).ok_or("no PNG of eight bits a channel, without interlacing")?;
        match [width, height].iter().all(|side| (1..=MOST_PIXELS).contains(side)) {
            true => Ok(Picture { text: text.to_owned(), width, height }),
            false => Err(format!("{width} by {height} pixels; at most {MOST_PIXELS} along a side")),
        }
    }

    /// It as base64 text.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The bytes of the PNG.
    pub fn bytes(&self) -> Vec<u8> {
        decoded(&self.text).unwrap_or_default()
    }
}

/// Width and height as the first chunk of a PNG has them.
fn size(bytes: &[u8]) -> Option<(u32, u32)> {
    let head = bytes.strip_prefix(&SIGNATURE)?.get(..25)?;
    let number = |at: usize| Some(u32::from_be_bytes(head.get(at..at + 4)?.try_into().ok()?));
    let is_plain = head[4..8] == *b"IHDR" && head[16] == 8 && [0, 2, 4, 6].contains(&head[17]);
    // Compression, filters and interlacing: what is not nought is another format, or comes in passes.
    (is_plain && head[18..21] == [0, 0, 0]).then_some((number(8)?, number(12)?))
}

/// The bytes that a base64 text stands for; `None` when it is none. It is filled up with `=`.
fn decoded(text: &str) -> Option<Vec<u8>> {
    // Bits left over at the end say nothing.
    const CONFIG: GeneralPurposeConfig = GeneralPurposeConfig::new().with_decode_allow_trailing_bits(true);
    GeneralPurpose::new(&alphabet::STANDARD, CONFIG).decode(text).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_is_read_as_its_standard_has_it() {
        // The examples of RFC 4648, section 10.
        for (text, bytes) in [
            ("", ""),
            ("Zg==", "f"),
            ("Zm8=", "fo"),
            ("Zm9v", "foo"),
            ("Zm9vYg==", "foob"),
            ("Zm9vYmFy", "foobar"),
        ] {
            assert_eq!(decoded(text).as_deref(), Some(bytes.as_bytes()), "{text}");
        }
        for text in ["Zg", "Zg=", "Z===", "Zm9v\n", "Zm9*", "====", "=Zm9"] {
            assert_eq!(decoded(text), None, "{text}");
        }
    }
}
