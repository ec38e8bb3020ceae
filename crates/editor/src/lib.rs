//! Placeholder until its first module lands.
