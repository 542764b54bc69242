//! The geometry of fitting: worked cases, rotations sampled without a formula, and laws of every body and room.

use rehouse::collection::Outline;
use rehouse::fit::footprint::Footprint;
use rehouse::stock::Section;
use rehouse::units::Length;

use crate::random::Random;

/// Worked cases as tables, each with the source of its criterion.
mod cases;
/// Laws that hold for every body and room, tested on random ones.
mod laws;
/// Thousands of random cases against sampled rotations.
mod sampled;

fn mm(number: f64) -> Length {
    Length::new(number).expect("a length")
}

fn boxed(along: f64, across: f64) -> Footprint {
    Footprint { outline: Outline::Box, along: mm(along), across: mm(across) }
}

fn rounded(along: f64, across: f64) -> Footprint {
    Footprint { outline: Outline::Rounded, along: mm(along), across: mm(across) }
}

fn round(bore: f64) -> Section {
    Section::Round(mm(bore))
}

fn rectangle(length: f64, width: f64) -> Section {
    Section::Rectangular(mm(length), mm(width))
}

/// By how much a body exceeds a mouth, at its best rotation.
fn through(body: Footprint, mouth: Section) -> Length {
    rehouse::fit::footprint::lack(body, mouth, true)
}

/// The least shorter side `b` of a rectangle with longer side `a` that takes a rectangle `p` by `q`, `p ≥ q`, `p > a`, in the form of
/// W. B. Carver, American Mathematical Monthly 64 (1957) 114–116. The library uses another form.
fn carver(p: f64, q: f64, a: f64) -> f64 {
    (2.0 * p * q * a + (p * p - q * q) * (p * p + q * q - a * a).sqrt()) / (p * p + q * q)
}

impl Random {
    fn body(&mut self) -> Footprint {
        let outline = if self.next().is_multiple_of(2) { Outline::Box } else { Outline::Rounded };
        Footprint { outline, along: mm(self.uniform(0.5, 10.0)), across: mm(self.uniform(0.5, 10.0)) }
    }

    fn room(&mut self) -> Section {
        let (one, other) = (self.uniform(0.5, 12.0), self.uniform(0.5, 12.0));
        if self.next().is_multiple_of(3) { round(one) } else { rectangle(one, other) }
    }
}
