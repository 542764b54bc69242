//! The geometry of fitting against worked cases, sampled rotations that know no formula, and the laws it must obey.

use rehouse::collection::Outline;
use rehouse::fit::footprint::Footprint;
use rehouse::stock::Section;
use rehouse::units::Length;

/// Worked cases as tables, each with where its criterion was published.
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

/// Pseudorandom numbers, the same in every run: SplitMix64 (G. L. Steele, D. Lea and C. H. Flood, "Fast splittable pseudorandom
/// number generators", OOPSLA 2014).
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// Uniform from `low` to `high`.
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * ((self.next() >> 11) as f64 / (1u64 << 53) as f64)
    }

    fn body(&mut self) -> Footprint {
        let outline = if self.next().is_multiple_of(2) { Outline::Box } else { Outline::Rounded };
        Footprint { outline, along: mm(self.between(0.5, 10.0)), across: mm(self.between(0.5, 10.0)) }
    }

    fn room(&mut self) -> Section {
        let (one, other) = (self.between(0.5, 12.0), self.between(0.5, 12.0));
        if self.next().is_multiple_of(3) { round(one) } else { rectangle(one, other) }
    }
}
