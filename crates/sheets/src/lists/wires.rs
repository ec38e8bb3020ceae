//! The wire list.

use engine::document::{Status, Wire};
use engine::ids::TerminalRef;
use engine::quantity::by_hand;

use super::{NOT_KNOWN, Row, Setting, Table};
use crate::facts::Facts;

/// Every wire of the job: where it leads and what it is.
pub fn wire_list(facts: &Facts<'_>) -> Table {
    use Setting::{Name, Number, Words};
    let network = &facts.document().network;
    let mut table = Table::new(
        "Wire list",
        "wires",
        &[
            ("wire", Name),
            ("from", Name),
            ("to", Name),
            ("colour", Name),
            ("size", Number),
            ("status", Words),
        ],
    );
    let end = |end: &TerminalRef| {
        let part = network.part(&end.part).map_or(end.part.as_str(), |part| part.title());
        format!("{part}:{}", end.terminal)
    };
    let row = |wire: &Wire| {
        let color = wire.color.map_or_else(|| NOT_KNOWN.to_owned(), |color| color.title());
        let size = wire.size.known().map_or_else(|| NOT_KNOWN.to_owned(), |size| by_hand(&size.title()));
        let status = match wire.status {
            Status::New => "new",
            Status::Existing => "already there",
            Status::Remove => "comes out",
        };
        let title = wire.title().to_owned();
        Row::Entry(vec![title, end(&wire.from), end(&wire.to), color, size, status.to_owned()])
    };
    table.rows = network.wires.iter().map(row).collect();
    table
}
