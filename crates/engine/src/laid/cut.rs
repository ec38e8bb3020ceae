//! The cut list: what is cut off which reel, how long.

use crate::circuit::Circuit;
use crate::document::{Color, Size, Status};
use crate::quantity::Metres;

/// One wire to cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// The wire, by index.
    pub wire: usize,
    /// How long it is cut: its length, up to the next centimetre.
    pub length: Metres,
}

/// The wires that are cut off one reel.
#[derive(Clone, Debug, PartialEq)]
pub struct Lot {
    /// Size; `None` when it is not known.
    pub size: Option<Size>,
    /// Color; `None` when none was said.
    pub color: Option<Color>,
    /// The wires, the longest first: what is left of a reel may still do for a short one.
    pub cuts: Vec<Cut>,
    /// All of them together.
    pub total: Metres,
}

/// What is cut for the new wires of a job, by size and color: thickest first, colors in the order in which they come. A
/// wire whose length is not known is left out.
pub fn cut_list(circuit: &Circuit) -> Vec<Lot> {
    let resolved = &circuit.resolved;
    let mut lots: Vec<Lot> = Vec::new();
    for (index, wire) in resolved.network.wires.iter().enumerate() {
        let Some(used) = resolved.wires[index].as_ref().filter(|_| wire.status == Status::New) else {
            continue;
        };
        if used.length_from == crate::resolve::LengthFrom::Assumed {
            continue;
        }
        let size = used.size.map(|size| size.used);
        let cut = Cut { wire: index, length: up_to_the_centimetre(used.length.high) };
        match lots.iter_mut().find(|lot| lot.size == size && lot.color == wire.color) {
            Some(lot) => lot.cuts.push(cut),
            None => lots.push(Lot { size, color: wire.color, cuts: vec![cut], total: Metres::ZERO }),
        }
    }
    for lot in &mut lots {
        crate::arrange::sort_by(&mut lot.cuts, |one, other| other.length.get().total_cmp(&one.length.get()));
        let total = lot.cuts.iter().map(|cut| cut.length.get()).sum();
        lot.total = Metres::new(total).unwrap_or(Metres::ZERO);
    }
    let area = |lot: &Lot| lot.size.map_or(0.0, |size| size.area().get());
    crate::arrange::sort_by(&mut lots, |one, other| area(other).total_cmp(&area(one)));
    lots
}

/// A length up to the next centimetre, as wires are measured off; one that is whole centimetres but for rounding stays what
/// it is.
pub fn up_to_the_centimetre(length: Metres) -> Metres {
    Metres::new(libm::ceil(length.get() * 100.0 - 1e-6) / 100.0).unwrap_or(length)
}
