//! Mistakes with wires.

use engine::document::{Insulation, Size, Surroundings};
use engine::given::Given;
use engine::kind::Class;
use engine::quantity::{Metres, SquareMillimetres};

use super::{Bed, wire_of};
use crate::cable;

pub(super) fn plant(bed: &mut Bed<'_>) {
    for wire in bed.wires() {
        let id = wire.id.to_string();
        let own = || [id.clone()];
        let ends = || [id.clone(), wire.from.part.to_string(), wire.to.part.to_string()];
        let class_at = |part| bed.network().part(part).map(|part| part.kind.class);
        let is_return = [&wire.from, &wire.to].iter().any(|end| class_at(&end.part) == Some(Class::Earth));
        let kind = if is_return { "return left out" } else { "wire left out" };
        let what = format!("{id}: {} to {}", wire.from, wire.to);
        bed.plant(kind, what, ends(), |network| network.wires.retain(|other| other.id != wire.id));
        if let Given::Known(Size::Metric(area)) = wire.size {
            for (steps, kind) in [(1, "wire one size too thin"), (2, "wire two sizes too thin")] {
                let Some(thinner) = cable::sizes().rev().filter(|mm2| *mm2 < area.get()).nth(steps - 1)
                else {
                    continue;
                };
                bed.plant(kind, format!("{id}: {area} to {thinner} mm2"), own(), |network| {
                    let size = SquareMillimetres::new(thinner).expect("a size is finite");
                    wire_of(network, &wire.id).size = Given::Known(Size::Metric(size));
                });
            }
        }
        if let Given::Known(metres) = wire.length {
            bed.plant("wire five times as long", format!("{id}: from {metres}"), own(), |network| {
                let longer = Metres::new(5.0 * metres.get()).expect("a length is finite");
                wire_of(network, &wire.id).length = Given::Known(longer);
            });
        }
        if wire.surroundings == Some(Surroundings::EngineBay) {
            let kind = "insulation too poor for its place";
            bed.plant(kind, format!("{id}: 85 degC in the engine bay"), own(), |network| {
                wire_of(network, &wire.id).insulation = Some(Insulation::Class('A'));
            });
        }
        bed.plant("wire laid in a bundle of ten", id.clone(), own(), |network| {
            wire_of(network, &wire.id).bundle = Some(10);
        });
    }
}
