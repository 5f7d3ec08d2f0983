//! What kind of quantity a number counts, as powers of the base dimensions; refuses to know any unit.

use std::fmt;

/// The base dimensions in the order they are named.
const BASES: [&str; 8] = ["length", "mass", "time", "current", "temperature", "amount", "luminous intensity", "angle"];

/// A product of powers of the base dimensions.
///
/// Angle is a base dimension here, so that a torque (energy for each radian turned) is not an energy, and a speed of
/// rotation is not a frequency. A temperature on a scale (21 °C) is a point: two of them have a difference but no sum.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub struct Dimension {
    exponents: [i8; 8],
    point: bool,
}

/// Length, mass, time, temperature and angle: the powers that make up the dimensions a shop meets.
const fn powers(length: i8, mass: i8, time: i8, temperature: i8, angle: i8) -> Dimension {
    Dimension { exponents: [length, mass, time, 0, temperature, 0, 0, angle], point: false }
}

const fn base(place: usize) -> Dimension {
    let mut exponents = [0; 8];
    // Only ever evaluated by the compiler, which would refuse a place past the end.
    #[allow(clippy::indexing_slicing, reason = "evaluated at compile time")]
    {
        exponents[place] = 1;
    }
    Dimension { exponents, point: false }
}

/// The dimensions with a name of their own. A difference of temperatures is told from a temperature by its name.
const NAMED: [(Dimension, &str); 26] = [
    (Dimension::NUMBER, "number"),
    (Dimension::LENGTH, "length"),
    (Dimension::MASS, "mass"),
    (Dimension::TIME, "time"),
    (Dimension::CURRENT, "electric current"),
    (Dimension::TEMPERATURE, "temperature difference"),
    (Dimension::AMOUNT, "amount of substance"),
    (Dimension::LUMINOUS_INTENSITY, "luminous intensity"),
    (Dimension::ANGLE, "angle"),
    (powers(2, 0, 0, 0, 0), "area"),
    (powers(3, 0, 0, 0, 0), "volume"),
    (powers(1, 0, -1, 0, 0), "speed"),
    (powers(1, 0, -2, 0, 0), "acceleration"),
    (powers(1, 1, -2, 0, 0), "force"),
    (powers(-1, 1, -2, 0, 0), "pressure"),
    (powers(2, 1, -2, 0, 0), "energy"),
    (powers(2, 1, -3, 0, 0), "power"),
    (powers(2, 1, -2, 0, -1), "torque"),
    (powers(0, 0, -1, 0, 1), "speed of rotation"),
    (powers(0, 0, -1, 0, 0), "frequency"),
    (powers(-3, 1, 0, 0, 0), "density"),
    (powers(1, 1, 0, 0, 0), "unbalance"),
    (powers(2, 1, 0, 0, 0), "moment of inertia"),
    (powers(0, 1, -2, 0, 0), "stiffness"),
    (powers(0, 0, 0, -1, 0), "expansion coefficient"),
    (powers(3, 0, -1, 0, 0), "volume flow"),
];

impl Dimension {
    /// A number alone: a ratio or a count.
    pub const NUMBER: Dimension = powers(0, 0, 0, 0, 0);
    /// Length.
    pub const LENGTH: Dimension = base(0);
    /// Mass.
    pub const MASS: Dimension = base(1);
    /// Time.
    pub const TIME: Dimension = base(2);
    /// Electric current.
    pub const CURRENT: Dimension = base(3);
    /// A difference of temperatures; see [`Dimension::point`] for a temperature on a scale.
    pub const TEMPERATURE: Dimension = base(4);
    /// Amount of substance.
    pub const AMOUNT: Dimension = base(5);
    /// Luminous intensity.
    pub const LUMINOUS_INTENSITY: Dimension = base(6);
    /// Angle.
    pub const ANGLE: Dimension = base(7);

    /// The dimension of a product; `None` where a point takes part, or a power outgrows 127.
    #[must_use]
    pub fn product(self, other: Dimension) -> Option<Dimension> {
        self.joined(other, i8::checked_add)
    }

    /// The dimension of a quotient; `None` as for [`Dimension::product`].
    #[must_use]
    pub fn quotient(self, other: Dimension) -> Option<Dimension> {
        self.joined(other, i8::checked_sub)
    }

    /// The dimension of a power; `None` as for [`Dimension::product`].
    #[must_use]
    pub fn power(self, exponent: i8) -> Option<Dimension> {
        let all = Dimension { exponents: [exponent; 8], point: false };
        self.joined(all, i8::checked_mul)
    }

    /// The dimension whose power this is: of an area, the second root is a length. `None` where there is none.
    #[must_use]
    pub fn root(self, degree: i8) -> Option<Dimension> {
        let all = Dimension { exponents: [degree; 8], point: false };
        self.joined(all, |power, degree| (power.checked_rem(degree)? == 0).then(|| power / degree))
    }

    fn joined(self, other: Dimension, join: impl Fn(i8, i8) -> Option<i8>) -> Option<Dimension> {
        if self.point || other.point {
            return None;
        }
        let mut exponents = self.exponents;
        for (exponent, second) in exponents.iter_mut().zip(other.exponents) {
            *exponent = join(*exponent, second)?;
        }
        Some(Dimension { exponents, point: false })
    }

    /// The same as a place on a scale.
    #[must_use]
    pub fn point(self) -> Dimension {
        Dimension { point: true, ..self }
    }

    /// Whether this is a place on a scale, such as 21 °C.
    #[must_use]
    pub fn is_point(self) -> bool {
        self.point
    }

    /// What lies between two places on a scale; any other dimension as it is.
    #[must_use]
    pub fn difference(self) -> Dimension {
        Dimension { point: false, ..self }
    }

    /// Whether this is a number alone.
    #[must_use]
    pub fn is_number(self) -> bool {
        self == Dimension::NUMBER
    }

    /// Its name with its article, such as `an angle`; without a dimension, `a plain number`.
    #[must_use]
    pub fn words(self) -> String {
        if self.is_number() {
            return "a plain number".to_owned();
        }
        let name = self.name();
        let article = if name.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
        format!("{article} {name}")
    }

    /// Its name, such as `pressure`; a dimension without one is put together, such as `length² per time`.
    #[must_use]
    pub fn name(self) -> String {
        if self == Dimension::TEMPERATURE.point() {
            return "temperature".to_owned();
        }
        if let Some((_, name)) = NAMED.iter().find(|(dimension, _)| *dimension == self) {
            return (*name).to_owned();
        }
        let factors = |above: bool| -> Vec<String> {
            let powers = self.exponents.iter().zip(BASES).filter(|(power, _)| **power != 0 && (**power > 0) == above);
            powers.map(|(power, name)| format!("{name}{}", superscript(power.unsigned_abs()))).collect()
        };
        let (above, below) = (factors(true).join(" · "), factors(false).join(" · "));
        let above = if above.is_empty() { "number".to_owned() } else { above };
        let whole = if below.is_empty() { above } else { format!("{above} per {below}") };
        if self.point { format!("{whole} on a scale") } else { whole }
    }
}

/// A power as it is set behind a name: nothing for one.
pub(super) fn superscript(power: u8) -> String {
    if power == 1 {
        return String::new();
    }
    let raise = |digit| match digit {
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        '0' => '⁰',
        // The other raised digits stand in order from U+2074.
        other => char::from_u32(0x2070 + other.to_digit(10).unwrap_or(0)).unwrap_or(other),
    };
    power.to_string().chars().map(raise).collect()
}

impl fmt::Display for Dimension {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.pad(&self.name())
    }
}
