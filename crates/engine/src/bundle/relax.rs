//! Circles that push each other apart in a container that draws together: the descent to the next small packing.
//!
//! Circles may overlap at a price. With `o` the depth by which two circles overlap, or one stands out of the container
//! of radius `R`, what is made least is `sum o^2 / 2 + pull R`. Where it is least the depths at the container sum to
//! `pull`, so that a smaller pull leaves smaller overlaps, and in the limit it is `R` alone that is made least among
//! true packings. With a strong pull circles slip past each other, which takes them out of poor packings.

/// Corrections that the quasi-Newton step remembers.
const MEMORY: usize = 6;

/// Where circles of given radii are, and how large a container around the origin is.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    /// All x, then all y, then the radius of the container.
    pub values: Vec<f64>,
}

impl Layout {
    /// Circles around `centers`, in a container just large enough.
    pub fn new(radii: &[f64], centers: &[(f64, f64)]) -> Layout {
        let x = centers.iter().map(|(x, _)| *x);
        let y = centers.iter().map(|(_, y)| *y);
        let mut values: Vec<f64> = x.chain(y).collect();
        values.push(reach(radii, centers.iter().copied()));
        Layout { values }
    }

    /// The centers of the circles, the center of the container being the origin.
    pub fn centers(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        let n = self.values.len() / 2;
        self.values[..n].iter().copied().zip(self.values[n..].iter().copied())
    }

    /// How many times farther from the origin the centers must be for the nearest two circles just to touch.
    pub fn stretch(&self, radii: &[f64]) -> f64 {
        let n = radii.len();
        let (x, y) = (&self.values[..n], &self.values[n..2 * n]);
        let mut most = 0.0_f64;
        for i in 1..n {
            for j in 0..i {
                let apart = radii[i] + radii[j];
                let square = (x[i] - x[j]) * (x[i] - x[j]) + (y[i] - y[j]) * (y[i] - y[j]);
                most = most.max(apart * apart / square);
            }
        }
        most.sqrt()
    }

    /// Moves circles of these radii apart, or together, until the nearest two just touch.
    pub fn part(&mut self, radii: &[f64]) {
        if radii.len() < 2 {
            self.values.fill(0.0);
            return;
        }
        let stretch = self.stretch(radii);
        for value in &mut self.values {
            *value *= stretch;
        }
    }

    /// Radius of the container that holds the circles when they are moved apart until none overlap; not finite when two
    /// have one center.
    pub fn true_radius(&self, radii: &[f64]) -> f64 {
        let stretch = self.stretch(radii);
        reach(radii, self.centers().map(|(x, y)| (x * stretch, y * stretch)))
    }
}

/// Radius of the circle around the origin that holds circles around these centers.
fn reach(radii: &[f64], centers: impl Iterator<Item = (f64, f64)>) -> f64 {
    radii.iter().zip(centers).map(|(r, (x, y))| (x * x + y * y).sqrt() + r).fold(0.0, f64::max)
}

/// The descent for circles of some radii, with the room it works in.
pub(super) struct Descent<'r> {
    radii: &'r [f64],
    slope: Vec<f64>,
    next: Vec<f64>,
    next_slope: Vec<f64>,
    direction: Vec<f64>,
    memory: Memory,
}

impl<'r> Descent<'r> {
    pub fn new(radii: &'r [f64]) -> Descent<'r> {
        let n_values = 2 * radii.len() + 1;
        let room = || vec![0.0; n_values];
        Descent {
            radii,
            slope: room(),
            next: room(),
            next_slope: room(),
            direction: room(),
            memory: Memory::new(n_values),
        }
    }

    /// Lets `layout` down to where pushing and pulling balance, or `most_steps` towards there.
    ///
    /// What comes back is the cost by the pull: at the balance a little less than the radius of the packing near by.
    pub fn relax(&mut self, layout: &mut Layout, pull: f64, most_steps: usize) -> f64 {
        self.memory.n_kept = 0;
        let mut cost = cost(self.radii, &layout.values, pull, &mut self.slope);
        for _ in 0..most_steps {
            if self.slope.iter().all(|along| along.abs() < pull * 1e-4) {
                break;
            }
            self.memory.downhill(&self.slope, &mut self.direction);
            match self.step(layout, cost, pull) {
                Some(there) => cost = there,
                None if self.memory.n_kept == 0 => break,
                None => self.memory.n_kept = 0,
            }
        }
        cost / pull
    }

    /// Goes along the direction, half as far again and again until it leads down.
    fn step(&mut self, layout: &mut Layout, cost: f64, pull: f64) -> Option<f64> {
        let fall = dot(&self.slope, &self.direction);
        let mut length = 1.0;
        while fall < 0.0 && length > 1e-6 {
            for ((next, value), along) in self.next.iter_mut().zip(&layout.values).zip(&self.direction) {
                *next = value + length * along;
            }
            let there = self::cost(self.radii, &self.next, pull, &mut self.next_slope);
            if there <= cost + 1e-4 * length * fall {
                self.memory.keep((&layout.values, &self.next), (&self.slope, &self.next_slope));
                std::mem::swap(&mut layout.values, &mut self.next);
                std::mem::swap(&mut self.slope, &mut self.next_slope);
                return Some(there);
            }
            length /= 2.0;
        }
        None
    }
}

/// What is made least, and its slope along every value.
fn cost(radii: &[f64], values: &[f64], pull: f64, slope: &mut [f64]) -> f64 {
    let n = radii.len();
    let (x, rest) = values.split_at(n);
    let (y, container) = (&rest[..n], rest[n]);
    let (slope_x, rest) = slope.split_at_mut(n);
    let (slope_y, outward) = rest.split_at_mut(n);
    slope_x.fill(0.0);
    slope_y.fill(0.0);
    let mut inward = 0.0;
    let mut total = 0.0;
    for i in 0..n {
        let (xi, yi, ri) = (x[i], y[i], radii[i]);
        let (mut along_x, mut along_y) = (0.0, 0.0);
        let others = x[..i].iter().zip(&y[..i]).zip(&radii[..i]);
        let slopes = slope_x[..i].iter_mut().zip(&mut slope_y[..i]);
        for (((xj, yj), rj), (slope_xj, slope_yj)) in others.zip(slopes) {
            let (dx, dy, apart) = (xi - xj, yi - yj, ri + rj);
            let square = dx * dx + dy * dy;
            // Two circles with one center have no direction to part in; the others move them.
            if square < apart * apart && square > 0.0 {
                let distance = square.sqrt();
                let depth = apart - distance;
                total += depth * depth;
                let push = depth / distance;
                along_x -= push * dx;
                along_y -= push * dy;
                *slope_xj += push * dx;
                *slope_yj += push * dy;
            }
        }
        let distance = (xi * xi + yi * yi).sqrt();
        let depth = distance + ri - container;
        if depth > 0.0 {
            total += depth * depth;
            inward += depth;
            let push = if distance > 0.0 { depth / distance } else { 0.0 };
            along_x += push * xi;
            along_y += push * yi;
        }
        slope_x[i] += along_x;
        slope_y[i] += along_y;
    }
    outward[0] = pull - inward;
    total / 2.0 + pull * container
}

/// The last steps and how the slope changed over them, from which the limited-memory quasi-Newton method makes its
/// direction (Nocedal, "Updating quasi-Newton matrices with limited storage", Mathematics of Computation 35 (1980)
/// 773-782).
struct Memory {
    kept: Vec<Correction>,
    n_kept: usize,
}

struct Correction {
    step: Vec<f64>,
    change: Vec<f64>,
    together: f64,
}

impl Memory {
    fn new(n_values: usize) -> Memory {
        let empty = || Correction { step: vec![0.0; n_values], change: vec![0.0; n_values], together: 0.0 };
        Memory { kept: (0..MEMORY).map(|_| empty()).collect(), n_kept: 0 }
    }

    fn keep(&mut self, values: (&[f64], &[f64]), slopes: (&[f64], &[f64])) {
        if self.n_kept == MEMORY {
            self.kept.rotate_left(1);
            self.n_kept -= 1;
        }
        let new = &mut self.kept[self.n_kept];
        between(&mut new.step, values);
        between(&mut new.change, slopes);
        new.together = dot(&new.step, &new.change);
        // The method needs a slope that rises along the step.
        self.n_kept += usize::from(new.together > 1e-12 * dot(&new.step, &new.step));
    }

    fn downhill(&self, slope: &[f64], direction: &mut [f64]) {
        let kept = &self.kept[..self.n_kept];
        for (along, slope) in direction.iter_mut().zip(slope) {
            *along = -slope;
        }
        let mut shares = [0.0; MEMORY];
        for (share, last) in shares.iter_mut().zip(kept).rev() {
            *share = dot(&last.step, direction) / last.together;
            add(direction, -*share, &last.change);
        }
        // Two circles that touch have the stiffness of two, so half the slope is a fair first step.
        let softness = kept.last().map_or(0.5, |last| last.together / dot(&last.change, &last.change));
        for along in direction.iter_mut() {
            *along *= softness;
        }
        for (share, last) in shares.iter().zip(kept) {
            let back = dot(&last.change, direction) / last.together;
            add(direction, share - back, &last.step);
        }
    }
}

fn between(to: &mut [f64], (from, until): (&[f64], &[f64])) {
    for ((to, from), until) in to.iter_mut().zip(from).zip(until) {
        *to = until - from;
    }
}

/// Summed in four parts, which the processor can do side by side.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut parts = [0.0; 4];
    let (fours_a, fours_b) = (a.chunks_exact(4), b.chunks_exact(4));
    let rest: f64 = fours_a.remainder().iter().zip(fours_b.remainder()).map(|(a, b)| a * b).sum();
    for (a, b) in fours_a.zip(fours_b) {
        for ((part, a), b) in parts.iter_mut().zip(a).zip(b) {
            *part += a * b;
        }
    }
    (parts[0] + parts[1]) + (parts[2] + parts[3]) + rest
}

fn add(to: &mut [f64], times: f64, what: &[f64]) {
    for (to, what) in to.iter_mut().zip(what) {
        *to += times * what;
    }
}
