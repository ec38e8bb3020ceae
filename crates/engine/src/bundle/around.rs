//! What goes around a bundle: tubing, the grommet in sheet metal, and what holds it up.

use crate::quantity::Unit;
use crate::working::{Basis, Working};

use super::Bundle;

/// Source of [`fill_share`].
pub const FILL_SOURCE: &str =
    "NFPA 70 (NEC) Chapter 9 Table 1, made for conduit in buildings; common practice for tubing in vehicles";

/// Greatest share of the inside of a conduit that so many wires may fill: 53 % for one, 31 % for two, 40 % for more
/// (NFPA 70 Chapter 9 Table 1, edition not known to us).
///
/// Two wires get the least because round ones lie side by side across the conduit.
pub fn fill_share(n_wires: usize) -> f64 {
    match n_wires {
        0 | 1 => 0.53,
        2 => 0.31,
        _ => 0.40,
    }
}

/// Source of [`TUBING_MM`].
pub const TUBING_SOURCE: &str = "usual nominal widths of slit corrugated tubing, common practice, no source; the true inside diameter differs by maker";

/// Nominal widths in millimetres in which slit corrugated tubing is usually sold, narrowest first.
///
/// From memory; no published series was found. They stand for the inside diameter, from which the true one may differ
/// by half a millimetre and more.
pub const TUBING_MM: &[f64] = &[4.5, 7.5, 10.0, 13.0, 17.0, 22.0, 29.0, 36.0, 48.0];

/// Tubing around a bundle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conduit {
    /// Greatest share of its inside area that the wires may fill, see [`fill_share`].
    pub fill: f64,
    /// Least inside diameter in millimetres.
    pub inside_mm: f64,
    /// The next size of [`TUBING_MM`] that has it; `None` when none does.
    pub nominal_mm: Option<f64>,
}

/// The tubing that a bundle needs: wide enough for the bundle, and so wide that the wires fill no more than
/// [`fill_share`].
pub fn conduit(bundle: &Bundle) -> Conduit {
    let fill = fill_share(bundle.outer_mm.len());
    let inside_mm = (squares(bundle) / fill).sqrt().max(bundle.diameter_mm);
    Conduit { fill, inside_mm, nominal_mm: TUBING_MM.iter().copied().find(|nominal| *nominal >= inside_mm) }
}

/// How [`Conduit::inside_mm`] came about.
pub fn conduit_working(bundle: &Bundle) -> Option<Working> {
    let Conduit { fill, inside_mm, .. } = conduit(bundle);
    let what = "inside diameter that tubing around the wires needs";
    let working =
        Working::of(what, "d_i = max(d_b, sqrt(s / (f / 100)))", inside_mm, Unit::Millimetre, FILL_SOURCE)?;
    let n_wires = bundle.outer_mm.len();
    Some(
        working
            .with("d_b", "diameter of the bundle", bundle.diameter_mm, Unit::Millimetre, Basis::Calculated)
            .with(
                "s",
                "squares of the wires' outer diameters, added up",
                squares(bundle),
                Unit::SquareMillimetre,
                Basis::Calculated,
            )
            .with(
                "f",
                format!("share of the inside that may be filled, by number of wires ({n_wires})"),
                fill * 100.0,
                Unit::Percent,
                Basis::Tabled,
            ),
    )
}

/// Shares of areas of circles are shares of the squares of their diameters.
fn squares(bundle: &Bundle) -> f64 {
    bundle.outer_mm.iter().map(|outer| outer * outer).sum()
}

/// Source of [`grommet`].
pub const GROMMET_SOURCE: &str = "protection where wires pass a rigid surface by 33 CFR 183.445(a); the wall of the grommet is common practice, no source";

/// Thickness in millimetres of a grommet's wall in the hole (common practice, no source).
pub const GROMMET_WALL_MM: f64 = 2.0;

/// The grommet through which a bundle passes sheet metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grommet {
    /// Least inside diameter in millimetres.
    pub inside_mm: f64,
    /// Diameter in millimetres of the hole for a grommet of just that inside diameter.
    pub hole_mm: f64,
}

/// The grommet for a bare bundle.
///
/// Where tubing or tape goes through the hole as well, its outside counts and not the bundle; that is not known here.
pub fn grommet(bundle: &Bundle) -> Grommet {
    Grommet { inside_mm: bundle.diameter_mm, hole_mm: bundle.diameter_mm + 2.0 * GROMMET_WALL_MM }
}

/// How [`Grommet::hole_mm`] came about.
pub fn grommet_working(bundle: &Bundle) -> Option<Working> {
    let Grommet { inside_mm, hole_mm } = grommet(bundle);
    let what = "hole for a grommet around the bare wires";
    let working = Working::of(what, "d_h = d_g + 2 * w", hole_mm, Unit::Millimetre, GROMMET_SOURCE)?;
    Some(working.with("d_g", "diameter of the bundle", inside_mm, Unit::Millimetre, Basis::Calculated).with(
        "w",
        "wall of the grommet",
        GROMMET_WALL_MM,
        Unit::Millimetre,
        Basis::Tabled,
    ))
}

/// What is held up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Supported {
    /// Wires in general.
    Wires,
    /// Conductors between a battery and its disconnect switch.
    BatteryConductors,
}

/// Source of [`support_spacing_m`].
pub const SUPPORT_SOURCE: &str = "ISO 10133:2012 7.3 and 7.4, made for small craft";

/// Greatest distance in metres between two supports: 0.45 for wires, 0.3 for conductors from a battery to its disconnect
/// switch (ISO 10133:2012 7.3 and 7.4).
///
/// The standard allows the first support of the latter up to a metre from the battery; it is not used here.
pub fn support_spacing_m(of: Supported) -> f64 {
    match of {
        Supported::Wires => 0.45,
        Supported::BatteryConductors => 0.3,
    }
}

/// How many clips hold up a run of this length in metres: the fewest with which no free piece is longer than
/// [`support_spacing_m`].
///
/// The parts at both ends hold the run there and are not counted, so that a run of no more than one spacing needs none,
/// and one of two spacings needs one, in its middle. `None` for what is no length.
pub fn supports(length_m: f64, of: Supported) -> Option<u32> {
    // So that rounding adds no clip to a run of whole spacings.
    let pieces = (length_m / support_spacing_m(of) - 1e-9).ceil();
    (length_m >= 0.0 && pieces <= f64::from(u32::MAX)).then(|| (pieces - 1.0).max(0.0) as u32)
}

#[cfg(test)]
mod tests {
    use super::super::bundle;
    use super::*;

    fn of(outer_mm: &[f64]) -> Bundle {
        bundle(outer_mm).expect("the diameters are positive")
    }

    #[test]
    fn wires_fill_tubing_to_the_share_of_the_table() {
        // One: 3.6 / sqrt(0.53). Two: 2.7 sqrt(2 / 0.31). Three: 2.7 sqrt(3 / 0.40).
        for (outer, inside, nominal) in
            [(vec![3.6], 4.945, 7.5), (vec![2.7; 2], 6.858, 7.5), (vec![2.7; 3], 7.394, 7.5)]
        {
            let found = conduit(&of(&outer));
            assert!((found.inside_mm - inside).abs() < 5e-4, "{outer:?}: {found:?}");
            assert_eq!(found.nominal_mm, Some(nominal), "{outer:?}");
        }
    }

    #[test]
    fn tubing_has_room_for_the_bundle_and_for_the_share_of_the_table() {
        for outer in
            [vec![15.5], vec![15.5, 2.7], vec![15.5, 15.5, 2.7], vec![15.5, 10.4, 2.7, 2.7], vec![3.0; 20]]
        {
            let bundle = of(&outer);
            let found = conduit(&bundle);
            assert!(found.inside_mm >= bundle.diameter_mm, "{outer:?}: {found:?}");
            let filled = squares(&bundle) / (found.inside_mm * found.inside_mm);
            assert!(filled <= found.fill + 1e-12, "{outer:?}: {filled}");
        }
    }

    #[test]
    fn a_bundle_thicker_than_all_tubing_has_no_nominal_size() {
        assert_eq!(conduit(&of(&[34.0])).nominal_mm, Some(48.0));
        assert_eq!(conduit(&of(&[36.0])).nominal_mm, None);
    }

    #[test]
    fn a_hole_has_room_for_the_wall_on_both_sides() {
        let found = grommet(&of(&[3.0, 3.0]));
        assert!((found.inside_mm - 6.0).abs() < 1e-9 && (found.hole_mm - 10.0).abs() < 1e-9, "{found:?}");
    }

    #[test]
    fn no_free_piece_is_longer_than_the_spacing() {
        use Supported::{BatteryConductors, Wires};
        for (length, of, clips) in [
            (0.0, Wires, 0),
            (0.45, Wires, 0),
            (0.46, Wires, 1),
            (0.9, Wires, 1),
            (4.5, Wires, 9),
            (4.51, Wires, 10),
            (0.9, BatteryConductors, 2),
            (0.91, BatteryConductors, 3),
        ] {
            assert_eq!(supports(length, of), Some(clips), "{length} m of {of:?}");
        }
        assert_eq!(supports(-1.0, Wires), None);
        assert_eq!(supports(f64::NAN, Wires), None);
        assert_eq!(supports(f64::INFINITY, Wires), None);
    }
}
