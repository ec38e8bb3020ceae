//! Questions and answers, packed.

use super::packed::{Packed, Unread, packed, packed_choice};
use crate::answer::{Answer, LitPath, PartReading, Request, Told, WireReading, Words};
use crate::finding::Severity;
use crate::subject::Subject;

packed!(Request { revision, situation, load, manual });

packed!(Answer {
    revision,
    verdict,
    verdict_words,
    checked,
    findings,
    wires,
    parts,
    terminals,
    opening,
    assumptions,
    unjudged,
    path,
    manual,
});

packed!(Told { severity, check, subject, title, message, because, limits, help, fixes, has_working, source });
packed!(WireReading { id, amps, drop, share, flow, assumed });
packed!(PartReading { id, state, words, loads, contact, assumed });
packed!(Words { volts, amps, watts, flow });
packed!(LitPath { parts, wires, blocked_by, words });

packed_choice!(Severity { 0 => Stop, 1 => Look, 2 => Note });
packed_choice!(Subject { 0 => Part(id), 1 => Terminal(id), 2 => Wire(id), 3 => Net(id) });
