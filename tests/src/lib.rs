//! Support for the fixture runners.
