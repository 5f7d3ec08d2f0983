//! Draws from the normal, the rectangular and Student's distribution, the same ones every time.
//!
//! The uniform numbers are those of ChaCha with 8 rounds (Bernstein, *ChaCha, a variant of Salsa20*, 2008) from a fixed seed,
//! 53 bits each. JCGM 101:2008, C.3, recommends a generator of 2006 and asks for one that passes the usual tests; this one is
//! a cipher's, its numbers are fixed by its definition, and its crate keeps them from version to version.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// A distribution about nought.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Shape {
    /// Normal, with this standard deviation.
    Normal(f64),
    /// Student's t with so many degrees of freedom, times a scale (JCGM 101:2008, 6.4.9).
    Student {
        /// The standard uncertainty it is scaled by.
        scale: f64,
        /// The degrees of freedom, above nought.
        freedom: f64,
    },
    /// Equally probable everywhere within this half width to either side (JCGM 101:2008, 6.4.2).
    Rectangular(f64),
}

/// A sequence of draws, the same for the same seed.
pub struct Draws {
    chance: ChaCha8Rng,
    /// The second of a pair of normal numbers.
    spare: Option<f64>,
}

impl Draws {
    /// The sequence of a seed.
    #[must_use]
    pub fn of(seed: u64) -> Draws {
        Draws { chance: ChaCha8Rng::seed_from_u64(seed), spare: None }
    }

    /// One value of a distribution.
    pub fn one(&mut self, shape: Shape) -> f64 {
        match shape {
            Shape::Normal(deviation) => deviation * self.normal(),
            Shape::Student { scale, freedom } => scale * self.student(freedom),
            Shape::Rectangular(half_width) => half_width * self.either_side(),
        }
    }

    /// A multiple of 2⁻⁵² from −1 to just below 1, every one equally probable.
    fn either_side(&mut self) -> f64 {
        // The upper 53 bits are held exactly.
        (self.chance.next_u64() >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
    }

    /// A point inside the unit circle, not its middle: its first coordinate, its second, and the square of its distance.
    fn in_circle(&mut self) -> (f64, f64, f64) {
        loop {
            let (across, up) = (self.either_side(), self.either_side());
            let square = across * across + up * up;
            if square > 0.0 && square < 1.0 {
                return (across, up, square);
            }
        }
    }

    /// By the polar method (Marsaglia and Bray, *A convenient method for generating normal variables*, SIAM Review 6, 1964),
    /// two at a time.
    fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        let (across, up, square) = self.in_circle();
        let stretch = (-2.0 * square.ln() / square).sqrt();
        self.spare = Some(up * stretch);
        across * stretch
    }

    /// By the polar method for t (Bailey, *Polar generation of random variates with the t-distribution*, Mathematics of
    /// Computation 62, 1994), which takes any degrees of freedom above nought, whole or not.
    fn student(&mut self, freedom: f64) -> f64 {
        let (across, _, square) = self.in_circle();
        across * (freedom * (square.powf(-2.0 / freedom) - 1.0) / square).sqrt()
    }
}
