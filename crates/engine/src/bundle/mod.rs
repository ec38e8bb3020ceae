//! Wires that lie together along one piece of a vehicle: how thick they are together, and what goes around them.
//!
//! Lengths are millimetres unless a name says otherwise. Nothing here looks at the network: a caller says which wires
//! lie together.

use crate::arrange::sort_by;

mod around;
mod bound;
mod relax;
mod search;
mod wire;

pub use around::{
    Conduit, FILL_SOURCE, GROMMET_SOURCE, GROMMET_WALL_MM, Grommet, SUPPORT_SOURCE, Supported, TUBING_MM,
    TUBING_SOURCE, conduit, conduit_working, fill_share, grommet, grommet_working, support_spacing_m,
    supports,
};
pub use wire::{OUTER_DIAMETER_SOURCE, outer_diameter};

/// Round wires that lie together, as close as a search could bring them.
#[derive(Clone, Debug, PartialEq)]
pub struct Bundle {
    /// Outer diameters of the wires, as they were given.
    pub outer_mm: Vec<f64>,
    /// Diameter of the smallest circle that was found to hold all wires.
    ///
    /// What is found can be held: no two wires overlap in [`Bundle::centers`]. Wires laid by hand take more room.
    pub diameter_mm: f64,
    /// No circle below this diameter holds the wires; this is proved, see the module `bound`.
    pub at_least_mm: f64,
    /// Where the centers of the wires are, in the order of `outer_mm`; the center of the circle is the origin.
    pub centers: Vec<(f64, f64)>,
}

/// The bundle of wires of these outer diameters; the same diameters give the same bundle in any order.
///
/// `None` when there is no wire, or when a diameter is not a positive finite number.
pub fn bundle(outer_mm: &[f64]) -> Option<Bundle> {
    let largest = outer_mm.iter().copied().fold(0.0, f64::max);
    if outer_mm.is_empty() || outer_mm.iter().any(|outer| !outer.is_finite() || *outer <= 0.0) {
        return None;
    }
    let mut order: Vec<usize> = (0..outer_mm.len()).collect();
    sort_by(&mut order, |a, b| outer_mm[*b].total_cmp(&outer_mm[*a]));
    let radii: Vec<f64> = order.iter().map(|wire| outer_mm[*wire] / largest).collect();
    // The search goes by the ratios alone, rounded so far that they are the same at every scale.
    let ratios: Vec<f64> =
        radii.iter().map(|radius| ((radius * SCALE).round() / SCALE).max(1.0 / SCALE)).collect();
    let at_least = bound::least_radius(&radii);
    let mut layout = search::search(&ratios, at_least);
    layout.part(&radii);
    let mut centers = vec![(0.0, 0.0); outer_mm.len()];
    for (wire, (x, y)) in order.into_iter().zip(layout.centers()) {
        centers[wire] = (x * largest / 2.0, y * largest / 2.0);
    }
    let reach = |(outer, (x, y)): (&f64, &(f64, f64))| 2.0 * libm::hypot(*x, *y) + outer;
    let diameter_mm = outer_mm.iter().zip(&centers).map(reach).fold(0.0, f64::max);
    Some(Bundle { outer_mm: outer_mm.to_vec(), diameter_mm, at_least_mm: at_least * largest, centers })
}

/// Steps to one, to which ratios of radii are rounded: two to the 32nd.
const SCALE: f64 = 4_294_967_296.0;

#[cfg(test)]
mod tests;
