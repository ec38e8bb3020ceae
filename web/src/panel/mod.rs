//! The panels beside the drawing: one folder each, with its style sheet.

pub mod cautions;
pub mod checks;
