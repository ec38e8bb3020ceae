use super::*;

fn of(outer_mm: &[f64]) -> Bundle {
    bundle(outer_mm).expect("the diameters are positive")
}

fn assert_holds(bundle: &Bundle) {
    let name = &bundle.outer_mm;
    for (i, (x, y)) in bundle.centers.iter().enumerate() {
        let out = 2.0 * libm::hypot(*x, *y) + bundle.outer_mm[i];
        assert!(out <= bundle.diameter_mm + 1e-9, "{name:?}: {i} is outside");
        for (j, (other_x, other_y)) in bundle.centers.iter().enumerate().take(i) {
            let apart = libm::hypot(x - other_x, y - other_y);
            let needed = (bundle.outer_mm[i] + bundle.outer_mm[j]) / 2.0;
            assert!(apart >= needed - 1e-9, "{name:?}: {i} and {j} overlap by {}", needed - apart);
        }
    }
    assert!(bundle.diameter_mm >= bundle.at_least_mm - 1e-9, "{name:?}: smaller than is possible");
}

/// Ratios of the diameters of circles of the best known packings, from 1 circle on.
///
/// Graham, Lubachevsky, Nurmela and Ostergard, "Dense packings of congruent circles in a circle", Discrete Mathematics
/// 181 (1998) 139-154, from memory; all agree with a published list that gives three decimals.
const BEST_KNOWN: [f64; 19] = [
    1.0, 2.0, 2.1547, 2.4142, 2.7013, 3.0, 3.0, 3.3048, 3.6131, 3.8130, 3.9238, 4.0296, 4.2361, 4.3284,
    4.5214, 4.6154, 4.7920, 4.8637, 4.8637,
];

#[test]
fn equal_wires_lie_as_close_as_the_best_known_packings() {
    for (n, ratio) in (1..).zip(BEST_KNOWN) {
        let bundle = of(&vec![2.7; n]);
        assert_holds(&bundle);
        let found = bundle.diameter_mm / 2.7;
        let allowed = if n <= 10 { 1e-3 } else { 0.01 * ratio };
        assert!((found - ratio).abs() <= allowed, "{n}: {found}, not {ratio}");
    }
}

#[test]
fn up_to_three_wires_are_exact() {
    for outer in [vec![3.6], vec![3.6, 2.7], vec![3.6, 3.0, 2.7], vec![15.5, 15.5, 2.7]] {
        let bundle = of(&outer);
        assert_holds(&bundle);
        assert!(bundle.diameter_mm <= bundle.at_least_mm * (1.0 + 1e-8), "{bundle:?}");
    }
    // Three circles of curvatures 2, 2 and 3 touch each other and the circle of curvature 1 around them.
    let bundle = of(&[9.0, 9.0, 6.0]);
    assert!((bundle.diameter_mm - 18.0).abs() < 1e-7, "{}", bundle.diameter_mm);
}

#[test]
fn what_is_no_wire_makes_no_bundle() {
    for outer in [vec![], vec![0.0], vec![2.7, -1.0], vec![f64::NAN, 2.7], vec![f64::INFINITY]] {
        assert_eq!(bundle(&outer), None, "{outer:?}");
    }
}

#[test]
fn centers_stand_in_the_order_of_the_wires() {
    let bundle = of(&[2.7, 15.5, 3.0, 2.7]);
    assert_holds(&bundle);
    assert_eq!(bundle.outer_mm, [2.7, 15.5, 3.0, 2.7]);
}

/// Wires of the table in sets of many sizes, the same ones always.
fn mixed_sets() -> Vec<Vec<f64>> {
    const OUTER: [f64; 11] = [2.7, 3.0, 3.6, 4.4, 5.0, 6.5, 8.3, 10.4, 11.6, 13.5, 15.5];
    let set = |n: usize, step: usize, sizes: usize| {
        (0..n).map(|i| OUTER[(i * i + step * i + step) % sizes]).collect()
    };
    (2..=14).flat_map(|n| [set(n, 3, 11), set(n, 5, 6)]).collect()
}

#[test]
fn mixed_wires_lie_between_equal_ones() {
    for outer in mixed_sets() {
        let bundle = of(&outer);
        assert_holds(&bundle);
        let smallest = outer.iter().copied().fold(f64::INFINITY, f64::min);
        let largest = outer.iter().copied().fold(0.0, f64::max);
        let [all_small, all_large] = [smallest, largest].map(|size| of(&vec![size; outer.len()]).diameter_mm);
        // One hundredth for what the search may leave.
        assert!(bundle.diameter_mm >= all_small * 0.99, "{outer:?}");
        assert!(bundle.diameter_mm <= all_large * 1.01, "{outer:?}");
    }
}

#[test]
fn a_further_wire_never_makes_a_bundle_thinner() {
    for outer in mixed_sets() {
        let with = of(&outer).diameter_mm;
        let without = of(&outer[1..]).diameter_mm;
        assert!(with >= without * 0.99, "{outer:?}: {with} with, {without} without the first");
    }
}

#[test]
fn the_order_of_the_wires_does_not_matter() {
    for mut outer in mixed_sets() {
        let first = of(&outer).diameter_mm;
        outer.reverse();
        let reversed = of(&outer).diameter_mm;
        outer.rotate_left(1);
        let rotated = of(&outer).diameter_mm;
        // The sum of squares behind the bound is taken in one order, so not a digit differs.
        assert_eq!((first, first), (reversed, rotated), "{outer:?}");
    }
}

#[test]
fn a_bundle_grows_with_its_wires() {
    for outer in mixed_sets() {
        let once = of(&outer).diameter_mm;
        for scale in [0.001, 0.7, 3.0, 1234.5] {
            let scaled: Vec<f64> = outer.iter().map(|outer| outer * scale).collect();
            let found = of(&scaled).diameter_mm / scale;
            assert!((found / once - 1.0).abs() < 1e-9, "{outer:?} by {scale}: {found}, not {once}");
        }
    }
}

#[test]
fn many_wires_are_laid_out_without_a_search_and_still_hold() {
    for n in [61, 100, 300] {
        let outer: Vec<f64> = (0..n).map(|i| [2.7, 3.6, 5.0, 8.3][i % 4]).collect();
        let bundle = of(&outer);
        assert_holds(&bundle);
        let share =
            outer.iter().map(|outer| outer * outer).sum::<f64>() / bundle.diameter_mm / bundle.diameter_mm;
        assert!(share > 0.7, "{n}: {share}");
    }
}

#[test]
fn a_thin_wire_beside_a_thick_one_holds() {
    assert_holds(&of(&[1000.0, 1e-9, 1e-9, 0.5]));
    assert_holds(&of(&[1e-3, 2e-3, 2e-3, 1e-3]));
}
