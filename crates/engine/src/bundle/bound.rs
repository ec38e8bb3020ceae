//! How small a circle that holds given circles cannot be.
//!
//! Each bound here is proved, for mixed sizes as for equal ones; the largest of them holds. Circles are given by their
//! radii, the largest first, and what comes back is a radius.

use std::f64::consts::PI;

/// A radius below which no circle holds circles of these radii, which fall.
pub(super) fn least_radius(radii: &[f64]) -> f64 {
    let by_area = radii.iter().map(|radius| radius * radius).sum::<f64>().sqrt();
    // A circle that holds all holds the largest of them, and each of these holds a circle of the smallest one's size.
    let by_count = radii.iter().enumerate().map(|(before, radius)| radius * least_ratio(before + 1));
    by_count.fold(by_area, f64::max).max(by_three(radii))
}

/// Exact for up to three circles: the largest three touch each other.
///
/// Where three circles lie in a circle around `p`, their centers are at least as far from each other as those of three
/// that touch. By Kirszbraun's theorem there is a point no farther from any center of the touching three than `p` is
/// from the center of the same circle; around it a circle of the same size holds the touching three. So no circle is
/// smaller than the smallest around the touching three.
///
/// That one goes by the largest two alone when the third has room beside them, which it has up to
/// `a b (a + b) / (a^2 + a b + b^2)`; else it touches all three and its curvature is that of Descartes' theorem.
fn by_three(radii: &[f64]) -> f64 {
    match *radii {
        [] => 0.0,
        [a] => a,
        [a, b] => a + b,
        [a, b, c, ..] => {
            if c <= a * b * (a + b) / (a * a + a * b + b * b) {
                return a + b;
            }
            let [a, b, c] = [1.0 / a, 1.0 / b, 1.0 / c];
            1.0 / (2.0 * (a * b + b * c + c * a).sqrt() - a - b - c)
        }
    }
}

/// Radius of the smallest circle that holds `n` circles of radius one, rounded down, where it is proved.
///
/// From 1 on, by the names that public lists give: trivial up to 4; 5 to 7 Graham 1968, 8 Braaksma 1963, 9 and 10 Pirl 1969, 11 Melissen 1994, 12 Fodor
/// 2000, 13 Fodor 2003. They are `1 + 1/sin(pi/n)` up to 6, 3 for 7, `1 + 1/sin(pi/(n - 1))` for 8 and 9, the number of
/// OEIS A281115 for 10, `1 + 1/sin(pi/9)` for 11, that of OEIS A282279 for 12 and `2 + sqrt 5` for 13.
const PROVED: [f64; 13] = [
    1.0, 2.0, 2.154_700, 2.414_213, 2.701_301, 3.0, 3.0, 3.304_764, 3.613_125, 3.813_025, 3.923_804,
    4.029_601, 4.236_067,
];

/// The same of 19, `1 + sqrt 2 + sqrt 6` (Fodor 1999).
const PROVED_19: f64 = 4.863_703;

/// A radius below which no circle holds `n` circles of radius one.
fn least_ratio(n: usize) -> f64 {
    match n {
        0 => 0.0,
        1..=13 => PROVED[n - 1],
        _ => {
            // More circles need no less room.
            let proved = if n < 19 { PROVED[12] } else { PROVED_19 };
            proved.max(by_centers(n))
        }
    }
}

/// By the room that the centers need.
///
/// In a convex body of area `A` and perimeter `U` lie at most `2 A / sqrt 3 + U / 2 + 1` points with distances of at
/// least one (Groemer, Mathematische Zeitschrift 73 (1960) 285-294; Oler, Acta Mathematica 105 (1961) 19-48; both from
/// memory). The centers of `n` circles of radius one in a circle of radius `R` are such points, twice as large, in a
/// circle of radius `R - 1`.
fn by_centers(n: usize) -> f64 {
    let (square, linear, constant) = (2.0 * PI / 3.0_f64.sqrt(), PI, 1.0 - n as f64);
    let halved = ((linear * linear - 4.0 * square * constant).sqrt() - linear) / (2.0 * square);
    1.0 + 2.0 * halved
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn proved_ratios_are_the_rounded_down_values_of_their_formulas() {
        let by_sine = |k: f64| 1.0 + 1.0 / libm::sin(PI / k);
        let root = |x: f64| x.sqrt();
        let exact = [
            1.0,
            by_sine(2.0),
            by_sine(3.0),
            by_sine(4.0),
            by_sine(5.0),
            by_sine(6.0),
            3.0,
            by_sine(7.0),
            by_sine(8.0),
            3.813_025_63,
            by_sine(9.0),
            4.029_601_93,
            2.0 + root(5.0),
        ];
        for (n, (found, exact)) in PROVED.iter().zip(exact).enumerate() {
            assert!((0.0..1.1e-6).contains(&(exact + 1e-12 - found)), "{}: {found} {exact}", n + 1);
        }
        assert!((0.0..1.1e-6).contains(&(1.0 + root(2.0) + root(6.0) - PROVED_19)));
    }

    #[test]
    fn the_bound_by_centers_stays_below_every_proved_ratio() {
        for (n, ratio) in (1..).zip(PROVED).chain([(19, PROVED_19)]) {
            assert!(by_centers(n) <= ratio, "{n}: {} {ratio}", by_centers(n));
        }
        // It is worth having only where it is above that by area.
        assert!(by_centers(40) > 40.0_f64.sqrt() * 1.05, "{}", by_centers(40));
    }

    #[test]
    fn the_bound_is_no_weaker_than_any_of_its_parts() {
        // By the largest two; by area: sqrt(4 + 30); by number: 3 for seven, of which the seventh is one.
        for (radii, part) in [
            (vec![2.0, 1.5, 0.1], 3.5),
            ([vec![2.0], vec![1.0; 30]].concat(), 34.0_f64.sqrt()),
            ([vec![1.2], vec![1.0; 6], vec![0.1]].concat(), 3.0),
            (vec![0.5; 40], by_centers(40) / 2.0),
        ] {
            assert!(least_radius(&radii) >= part, "{radii:?}: {} {part}", least_radius(&radii));
        }
        assert_eq!(least_radius(&[0.7]), 0.7);
    }

    #[test]
    fn three_circles_need_the_circle_around_them_that_touches_all() {
        let equal = by_three(&[1.0, 1.0, 1.0]);
        assert!((equal - (1.0 + 2.0 / 3.0_f64.sqrt())).abs() < 1e-12, "{equal}");
        // The largest that has room beside two equal ones is two thirds of them (Archimedes' pattern of touching circles).
        assert_eq!(by_three(&[1.0, 1.0, 0.66]), 2.0);
        let just_larger = by_three(&[1.0, 1.0, 0.667]);
        assert!(just_larger > 2.0 && just_larger < 2.001, "{just_larger}");
        // Curvatures 2, 2 and 3 in a circle of curvature 1: radii 1/2, 1/2, 1/3.
        let touching = by_three(&[0.5, 0.5, 1.0 / 3.0]);
        assert!((touching - 1.0).abs() < 1e-12, "{touching}");
        // Curvatures 2, 3 and 6 have the circle of curvature 1 around them too: 11 - 2 sqrt(36) = -1.
        let touching = by_three(&[1.0 / 2.0, 1.0 / 3.0, 1.0 / 6.0]);
        assert!((touching - 5.0 / 6.0).abs() < 1e-12, "the third has room beside the two: {touching}");
    }
}
