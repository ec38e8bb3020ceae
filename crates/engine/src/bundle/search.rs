//! The search for a small packing.
//!
//! Several starts are let down to the next small packing; the best is then shaken many times, by exchanging two circles
//! or by putting one where there is room, and let down again, and what is better stays. There is no proof that nothing
//! smaller exists, which is why a bundle tells what is proved as well.

use super::relax::{Descent, Layout};

/// More circles than this are laid out once instead of searched for, because the time of the search grows with the
/// square of their number.
const MOST_SEARCHED: usize = 60;

/// Starts besides the one that is built up circle by circle.
const STARTS: usize = 12;

/// Times that the best packing is shaken, by the greatest number of circles: few circles are searched well enough by
/// few, and for many there is no time for more.
const SHAKES: &[(usize, usize)] = &[(12, 130), (24, 300), (MOST_SEARCHED, 120)];

/// Places that are looked at for one that has room.
const PLACES: usize = 20;

/// How far down the sorted circles the partner of an exchange may be: exchanging the largest with the smallest hardly
/// ever helps.
const PARTNERS: usize = 5;

/// Of so many changes one puts a circle elsewhere, the others exchange two.
const EXCHANGES: usize = 4;

/// Pulls for radii of about one, see [`super::relax`]: one at which circles slip past each other, one at which a
/// packing shows its size, and those that make it exact.
const SOFT: f64 = 0.1;
const FIRM: f64 = 0.001;
const EXACT: [f64; 3] = [1e-4, 1e-6, 1e-8];

/// Steps of a descent on trial, and of one that is to be exact.
const STEPS: usize = 40;
const EXACT_STEPS: usize = 300;

/// How much larger than the best a packing may look while it is soft, and still be looked at closely.
const LOOKS_LARGER: f64 = 1.003;

/// A packing this near to what is proved is not improved on, but made exact.
const AS_GOOD_AS_PROVED: f64 = 1.000_1;

/// Circles of these radii, the largest first and one, in a container that is as small as could be found.
///
/// The layout may overlap by rounding; [`Layout::part`] takes that out.
pub(super) fn search(radii: &[f64], at_least: f64) -> Layout {
    let mut descent = Descent::new(radii);
    let best = if radii.len() > MOST_SEARCHED {
        laid_out(radii, &mut descent)
    } else {
        let mut scatter = Scatter { state: 0 };
        let start = best_start(radii, at_least, &mut descent, &mut scatter);
        shaken(radii, at_least, start, &mut descent, &mut scatter)
    };
    exact(radii, best, &mut descent)
}

/// The same packing to the last digits.
fn exact(radii: &[f64], packing: Packing, descent: &mut Descent<'_>) -> Layout {
    let mut layout = packing.layout.clone();
    let (mut radius, mut best) = (packing.radius, packing.layout);
    for pull in EXACT {
        descent.relax(&mut layout, pull, affordable_steps(radii.len()));
        let found = layout.true_radius(radii);
        if found < radius {
            (radius, best) = (found, layout.clone());
        }
    }
    best
}

/// A layout with its size.
struct Packing {
    layout: Layout,
    /// Radius once no circles overlap.
    radius: f64,
    /// What its size looked like while it was soft.
    soft: f64,
}

/// The best of all starts.
fn best_start(radii: &[f64], at_least: f64, descent: &mut Descent<'_>, scatter: &mut Scatter) -> Packing {
    let built = Layout::new(radii, &build_up(radii));
    // Nothing is known of what it looks like while it is soft, so all looks better than it.
    let mut best = Packing { radius: built.true_radius(radii), soft: f64::INFINITY, layout: built.clone() };
    for start in 0..=STARTS {
        let mut layout = if start == 0 { built.clone() } else { scattered(radii, scatter) };
        let soft = descent.relax(&mut layout, SOFT, 2 * STEPS);
        descent.relax(&mut layout, FIRM, STEPS);
        let radius = layout.true_radius(radii);
        if radius < best.radius {
            best = Packing { layout, radius, soft };
        }
        if best.radius <= at_least * AS_GOOD_AS_PROVED {
            break;
        }
    }
    best
}

/// The best of a packing and what comes of shaking it.
fn shaken(
    radii: &[f64],
    at_least: f64,
    mut best: Packing,
    descent: &mut Descent<'_>,
    scatter: &mut Scatter,
) -> Packing {
    let n = radii.len();
    let n_shakes = SHAKES.iter().find(|(most, _)| n <= *most).map_or(0, |(_, shakes)| *shakes);
    for shake in 0..n_shakes {
        if best.radius <= at_least * AS_GOOD_AS_PROVED {
            break;
        }
        let mut layout = best.layout.clone();
        // Packings from which no one change leads on are left by two at once.
        for change in shake..=shake + shake % 2 {
            alter(radii, &mut layout, change % EXCHANGES != 0, best.radius, scatter);
        }
        let soft = descent.relax(&mut layout, SOFT, STEPS);
        if soft > best.soft * LOOKS_LARGER {
            continue;
        }
        descent.relax(&mut layout, FIRM, STEPS);
        let radius = layout.true_radius(radii);
        if radius < best.radius {
            best = Packing { layout, radius, soft };
        }
    }
    best
}

/// Exchanges one circle with another that differs, or puts it where there is room.
fn alter(radii: &[f64], layout: &mut Layout, exchanges: bool, container: f64, scatter: &mut Scatter) {
    let n = radii.len();
    let one = scatter.below(n);
    let other = (one + 1 + scatter.below(PARTNERS.min(n - 1))) % n;
    if exchanges && radii[one] != radii[other] {
        layout.values.swap(one, other);
        layout.values.swap(n + one, n + other);
    } else {
        let (x, y) = roomy_place(radii, layout, one, container, scatter);
        layout.values[one] = x;
        layout.values[n + one] = y;
    }
}

/// Of some places in the container, the one where `circle` would overlap the others least.
fn roomy_place(
    radii: &[f64],
    layout: &Layout,
    circle: usize,
    container: f64,
    scatter: &mut Scatter,
) -> (f64, f64) {
    let overlap = |(x, y): (f64, f64)| -> f64 {
        let others = layout.centers().zip(radii).enumerate().filter(|(other, _)| *other != circle);
        let depths = others.map(|(_, ((other_x, other_y), radius))| {
            let square = (x - other_x) * (x - other_x) + (y - other_y) * (y - other_y);
            (radius + radii[circle] - square.sqrt()).max(0.0)
        });
        depths.map(|depth| depth * depth).sum()
    };
    let mut best = (f64::INFINITY, (0.0, 0.0));
    for _ in 0..PLACES {
        let place = scatter.within(container - radii[circle]);
        let found = overlap(place);
        if found < best.0 {
            best = (found, place);
        }
    }
    best.1
}

/// Circles anywhere in a container of their area.
fn scattered(radii: &[f64], scatter: &mut Scatter) -> Layout {
    let container = radii.iter().map(|radius| radius * radius).sum::<f64>().sqrt();
    let centers: Vec<(f64, f64)> = radii.iter().map(|_| scatter.within(container)).collect();
    Layout::new(radii, &centers)
}

/// The largest first, each where it touches two others without overlapping any and is nearest to their common center
/// of gravity.
fn build_up(radii: &[f64]) -> Vec<(f64, f64)> {
    let mut centers = vec![(0.0, 0.0)];
    if let [first, second, ..] = *radii {
        centers.push((first + second, 0.0));
    }
    for (placed, radius) in radii.iter().enumerate().skip(2) {
        let (mut x, mut y, mut weight) = (0.0, 0.0, 0.0);
        for ((at_x, at_y), radius) in centers.iter().zip(radii) {
            let area = radius * radius;
            (x, y, weight) = (x + at_x * area, y + at_y * area, weight + area);
        }
        let middle = (x / weight, y / weight);
        let mut best = (f64::INFINITY, middle);
        for one in 0..placed {
            for other in 0..one {
                let [a, b] = [one, other].map(|at| (centers[at], radii[at] + radius));
                for place in touching(a, b).into_iter().flatten() {
                    let off = libm::hypot(place.0 - middle.0, place.1 - middle.1);
                    let is_free = || {
                        centers.iter().zip(radii).all(|((x, y), other)| {
                            let apart = radius + other;
                            let square = (x - place.0) * (x - place.0) + (y - place.1) * (y - place.1);
                            square >= apart * apart * (1.0 - 1e-9)
                        })
                    };
                    if off < best.0 && is_free() {
                        best = (off, place);
                    }
                }
            }
        }
        centers.push(best.1);
    }
    centers
}

/// The two points that have these distances from two points, where there are any.
fn touching((a, from_a): ((f64, f64), f64), (b, from_b): ((f64, f64), f64)) -> Option<[(f64, f64); 2]> {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let square = dx * dx + dy * dy;
    let distance = square.sqrt();
    let along = (square + from_a * from_a - from_b * from_b) / (2.0 * distance);
    let aside = from_a * from_a - along * along;
    let at =
        |aside: f64| (a.0 + (along * dx - aside * dy) / distance, a.1 + (along * dy + aside * dx) / distance);
    (aside >= 0.0).then(|| [at(aside.sqrt()), at(-aside.sqrt())])
}

/// Many circles: the largest in the middle, going round by the golden angle as seeds of a sunflower do, then let down
/// once for as long as it may take.
fn laid_out(radii: &[f64], descent: &mut Descent<'_>) -> Packing {
    const GOLDEN_ANGLE: f64 = 2.399_963_229_728_653;
    let mut area = 0.0;
    let places = radii.iter().enumerate().map(|(nth, radius)| {
        area += radius * radius;
        let angle = GOLDEN_ANGLE * nth as f64;
        let out = (area - radius * radius / 2.0).sqrt();
        (out * libm::cos(angle), out * libm::sin(angle))
    });
    let centers: Vec<(f64, f64)> = places.collect();
    let mut layout = Layout::new(radii, &centers);
    let mut best = Packing { radius: layout.true_radius(radii), soft: f64::INFINITY, layout: layout.clone() };
    for pull in [SOFT, FIRM] {
        descent.relax(&mut layout, pull, affordable_steps(radii.len()));
        let radius = layout.true_radius(radii);
        if radius < best.radius {
            best = Packing { layout: layout.clone(), radius, ..best };
        }
    }
    best
}

/// Steps of a descent that is to be exact; each looks at every pair, so that very many circles get few.
fn affordable_steps(n_circles: usize) -> usize {
    const LOOKS: usize = 50_000_000;
    EXACT_STEPS.min(LOOKS / (n_circles * n_circles).max(1))
}

/// Scattered numbers, always the same ones (SplitMix64: Steele, Lea and Flood, "Fast splittable pseudorandom number
/// generators", OOPSLA 2014).
///
/// Evenly spread ones (a lattice modulo one) would give every start nearly the same shape.
struct Scatter {
    state: u64,
}

impl Scatter {
    /// A number from 0 up to but not 1.
    fn number(&mut self) -> f64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.state;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^= mixed >> 31;
        (mixed >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A whole number below `end`.
    fn below(&mut self, end: usize) -> usize {
        (self.number() * end as f64) as usize
    }

    /// A point in the circle of this radius around the origin, every area equally likely.
    fn within(&mut self, radius: f64) -> (f64, f64) {
        let out = radius * self.number().sqrt();
        let angle = std::f64::consts::TAU * self.number();
        (out * libm::cos(angle), out * libm::sin(angle))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn circles_that_are_built_up_do_not_overlap() {
        let radii = [1.0, 0.9, 0.9, 0.5, 0.5, 0.5, 0.3, 0.2, 0.2, 0.2];
        let stretch = Layout::new(&radii, &build_up(&radii)).stretch(&radii);
        assert!((stretch - 1.0).abs() < 1e-8, "{stretch}");
    }

    #[test]
    fn scattered_numbers_are_the_published_ones() {
        // The first outputs of SplitMix64 for the seed 1234567, as its reference implementation prints them.
        let mut scatter = Scatter { state: 1_234_567 };
        let first = 6_457_827_717_110_365_317_u64;
        assert_eq!(scatter.number(), (first >> 11) as f64 / (1_u64 << 53) as f64);
    }
}
