//! What a language says is about words that the sources still have, with the same gaps.

use anyhow::Result;

use super::Complaints;
use crate::catalogue;

pub fn examine(complaints: &mut Complaints) -> Result<()> {
    for (_, path) in catalogue::LANGUAGES {
        for mistake in catalogue::mistakes(path)? {
            complaints.fail(mistake);
        }
    }
    Ok(())
}
