//! Which vessels are certainly suitable for a body, and which may be, as one bit for each vessel: most pairs are decided without
//! being judged one by one. Where rounding or a turn about the vertical leaves a doubt, the rules decide.
//!
//! Each test of rules 2 to 4 that is used here asks whether one measure of the row is within a limit of the vessel. The vessels
//! are sorted by each limit once, and the set of vessels is stored for each step between limits. A binary search for a measure
//! then finds its set.

use super::in_fluid::InFluid;
use super::standing::Body;
use crate::collection::{Display, Outline, Specimen};
use crate::fit::footprint::FootprintMeasures;
use crate::project::Project;
use crate::stock::Section;
use crate::units::Length;

/// A set of vessels, by their places in the stock list.
pub(super) type Set = Vec<u64>;

/// Two sets, the first within the second.
#[derive(Clone, Debug, Default)]
pub(super) struct Sifted {
    /// Certainly suitable.
    pub(super) surely: Set,
    /// May be suitable: no other vessel is.
    pub(super) perhaps: Set,
}

/// The vessels of a stock list in one fluid, sorted by their limits.
#[derive(Clone, Debug)]
pub(super) struct Sieve {
    /// Available, and not unsuitable for the fluid.
    serves: Set,
    /// Of these, the vessels whose pairs with the fluid are proven, or all where unproven pairs are accepted.
    accepted: Set,
    clear: Set,
    flat_faced: Set,
    /// Years.
    lives: Ladder,
    /// Millilitres.
    volume: Ladder,
    /// Of the measure that is vertical.
    height: Ladder,
    section: Passage,
    mouth: Passage,
}

/// The limits of a section: of the room inside less the free space at the walls, or of the mouth.
#[derive(Clone, Debug)]
struct Passage {
    round: Ladder,
    longer: Ladder,
    shorter: Ladder,
    diagonal: Ladder,
}

/// Tolerances far above rounding errors: absolute in mm or ml, and relative for very large measures.
const DOUBT: (f64, f64) = (1e-6, 1e-9);

impl Sieve {
    pub(super) fn of(project: &Project, vessels: &[InFluid]) -> Self {
        let n = vessels.len();
        let set = |of: &dyn Fn(&InFluid) -> bool| set_of(n, (0..n).filter(|&at| of(&vessels[at])));
        let ladder = |limit: &dyn Fn(&InFluid) -> Option<MeasureLimit>| {
            Ladder::new(n, vessels.iter().map(limit).enumerate().filter_map(|(at, limit)| Some((at, limit?))).collect())
        };
        let floor = project.settings.floor.mm();
        let height = |InFluid { vessel, fill, cover, .. }: &InFluid| {
            let limit = (fill.height.mm() - cover.mm()).min(vessel.body_height.mm()) - floor;
            Some(MeasureLimit::about(limit, fill.height.mm() + floor))
        };
        let passage = |room: &dyn Fn(&InFluid) -> (Section, f64)| {
            let side = |round: bool, measure: &dyn Fn(Section, f64) -> f64| {
                ladder(&|vessel| {
                    let (section, taken) = room(vessel);
                    let is_round = matches!(section, Section::Round(_));
                    (is_round == round).then(|| MeasureLimit::about(measure(section, taken), section.larger().mm()))
                })
            };
            let free = |side: Length, taken: f64| (side.mm() - taken).max(0.0);
            Passage {
                round: side(true, &|section, taken| section.larger().mm() - taken),
                longer: side(false, &|section, taken| section.larger().mm() - taken),
                shorter: side(false, &|section, taken| section.smaller().mm() - taken),
                diagonal: side(false, &|section, taken| {
                    free(section.larger(), taken).hypot(free(section.smaller(), taken))
                }),
            }
        };
        let serves = |vessel: &InFluid| vessel.available && !vessel.suitability.never();
        let unproven = |vessel: &InFluid| vessel.suitability.unproven() && !project.settings.accept_unproven;
        Sieve {
            serves: set(&serves),
            accepted: set(&|vessel| serves(vessel) && !unproven(vessel)),
            clear: set(&|vessel| vessel.suitability.clear()),
            flat_faced: set(&|vessel| matches!(vessel.vessel.section, Section::Rectangular(..))),
            lives: ladder(&|vessel| {
                Some(MeasureLimit::exact(vessel.suitability.life_years().unwrap_or(f64::INFINITY)))
            }),
            volume: ladder(&|vessel| Some(MeasureLimit::about(vessel.fill.volume.ml(), vessel.fill.volume.ml()))),
            height: ladder(&height),
            section: passage(&|place| (place.vessel.section, 2.0 * place.wall.mm())),
            mouth: passage(&|place| (place.vessel.mouth, 0.0)),
        }
    }

    /// The vessels for a row. `body` is `None` where limits cannot decide about it. `least` holds two filled volumes below which the row
    /// is too crowded: divided over as many vessels as it may be, and in one vessel.
    pub(super) fn sift(&self, specimen: &Specimen, body: Option<&Body>, least: [f64; 2]) -> Sifted {
        let mut stands = body.map_or_else(
            || Sifted { surely: vec![0; self.serves.len()], perhaps: self.serves.clone() },
            |body| self.stands(body),
        );
        let [divided, whole] = least;
        keep(&mut stands.perhaps, self.volume.at(divided).perhaps);
        keep(&mut stands.perhaps, &self.serves);
        if body.is_some() {
            keep(&mut stands.surely, self.volume.at(whole).surely);
            keep(&mut stands.surely, &self.accepted);
        }
        let lives = self.lives.at(specimen.keep_years);
        let looks = match specimen.display {
            Display::No => None,
            Display::Clear => Some([&self.clear, &self.clear]),
            Display::Flat => Some([&self.clear, &self.flat_faced]),
        };
        for (set, lives) in [(&mut stands.surely, lives.surely), (&mut stands.perhaps, lives.perhaps)] {
            keep(set, lives);
            looks.iter().flatten().for_each(|looks| keep(set, looks));
        }
        stands
    }

    /// Applies rules 2 and 3.
    fn stands(&self, body: &Body) -> Sifted {
        let words = self.serves.len();
        let mut sets = Sifted { surely: vec![0; words], perhaps: vec![0; words] };
        for stood in body.stances() {
            let height = self.height.at(stood.vertical.mm());
            let section = self.section.at(&stood.measures, [0.0; 2], body.may_turn());
            let free = stood.free.map(Length::mm);
            let mouth = self.mouth.at(&stood.passing, free, body.may_turn());
            for word in 0..words {
                sets.surely[word] |= height.surely[word] & section.surely(word) & mouth.surely(word);
                sets.perhaps[word] |= height.perhaps[word] & section.perhaps(word) & mouth.perhaps(word);
            }
        }
        sets
    }
}

impl Passage {
    /// The vessels that take a footprint with so much free space, both sides together, in a round and in a rectangular section.
    fn at(&self, footprint: &FootprintMeasures, [in_round, in_rectangle]: [f64; 2], may_turn: bool) -> Passing<'_> {
        let diagonal = footprint.diagonal().mm() + in_rectangle;
        Passing {
            round: self.round.at(footprint.round().mm() + in_round),
            longer: self.longer.at(footprint.longer().mm() + in_rectangle),
            shorter: self.shorter.at(footprint.shorter().mm() + in_rectangle),
            // Free space shortens the diagonal of a room by at least as much.
            diagonal: self.diagonal.at(diagonal),
            // An ellipse fits where its shorter axis and its diagonal fit (fit/footprint.rs). With free space, the diagonal of the room
            // that is left is not known here.
            turns: may_turn && footprint.outline() == Outline::Rounded && in_rectangle == 0.0,
        }
    }
}

/// The vessels that take a footprint, measure by measure.
struct Passing<'a> {
    round: MeasureStep<'a>,
    longer: MeasureStep<'a>,
    shorter: MeasureStep<'a>,
    diagonal: MeasureStep<'a>,
    turns: bool,
}

impl Passing<'_> {
    fn surely(&self, word: usize) -> u64 {
        let turned = if self.turns { self.diagonal.surely[word] } else { 0 };
        self.round.surely[word] | (self.shorter.surely[word] & (self.longer.surely[word] | turned))
    }

    fn perhaps(&self, word: usize) -> u64 {
        self.round.perhaps[word] | (self.shorter.perhaps[word] & self.diagonal.perhaps[word])
    }
}

/// The largest measure that a vessel certainly allows, and the largest that it may allow.
#[derive(Clone, Copy, Debug)]
struct MeasureLimit {
    surely: f64,
    perhaps: f64,
}

impl MeasureLimit {
    fn about(limit: f64, of: f64) -> Self {
        let doubt = DOUBT.0 + DOUBT.1 * of.abs();
        MeasureLimit { surely: limit - doubt, perhaps: limit + doubt }
    }

    fn exact(limit: f64) -> Self {
        MeasureLimit { surely: limit, perhaps: limit }
    }
}

/// The vessels sorted by how much of one measure they allow.
#[derive(Clone, Debug)]
struct Ladder {
    /// Rising. A measure belongs to the step that ends with the first edge it is not above.
    edges: Vec<f64>,
    words: usize,
    /// By step, the vessels that certainly allow every measure of the step.
    surely: Vec<u64>,
    /// By step, the vessels that may allow some measure of the step.
    perhaps: Vec<u64>,
}

/// The vessels at one measure.
struct MeasureStep<'a> {
    surely: &'a [u64],
    perhaps: &'a [u64],
}

/// Most words of 64 bits in one set of a ladder, over all steps. For a very long stock list only some limits become edges.
const MOST_WORDS: usize = 1 << 16;

impl Ladder {
    fn new(n_vessels: usize, limits: Vec<(usize, MeasureLimit)>) -> Self {
        let words = n_vessels.div_ceil(64);
        let mut edges: Vec<f64> = limits.iter().flat_map(|(_, limit)| [limit.surely, limit.perhaps]).collect();
        edges.sort_unstable_by(f64::total_cmp);
        edges.dedup();
        let most = (MOST_WORDS / words.max(1)).max(2);
        let edges: Vec<f64> = edges.iter().copied().step_by(edges.len().div_ceil(most).max(1)).collect();
        let mut ladder = Ladder { words, surely: Vec::new(), perhaps: Vec::new(), edges };
        for step in 0..=ladder.edges.len() {
            let (below, end) = (step.checked_sub(1).map(|below| ladder.edges[below]), ladder.edges.get(step));
            let surely = limits.iter().filter(|(_, limit)| end.is_some_and(|end| limit.surely >= *end));
            ladder.surely.extend(set_of(n_vessels, surely.map(|(at, _)| *at)));
            let perhaps = limits.iter().filter(|(_, limit)| below.is_none_or(|below| limit.perhaps > below));
            ladder.perhaps.extend(set_of(n_vessels, perhaps.map(|(at, _)| *at)));
        }
        ladder
    }

    fn at(&self, measure: f64) -> MeasureStep<'_> {
        let start = self.edges.partition_point(|edge| *edge < measure) * self.words;
        let step = start..start + self.words;
        MeasureStep { surely: &self.surely[step.clone()], perhaps: &self.perhaps[step] }
    }
}

fn set_of(n_vessels: usize, places: impl Iterator<Item = usize>) -> Set {
    let mut set = vec![0; n_vessels.div_ceil(64)];
    places.for_each(|at| set[at / 64] |= 1 << (at % 64));
    set
}

fn keep(set: &mut [u64], others: &[u64]) {
    set.iter_mut().zip(others).for_each(|(word, other)| *word &= other);
}

/// Places of a set, rising.
pub(super) fn places(set: &[u64]) -> impl Iterator<Item = usize> + '_ {
    set.iter().enumerate().flat_map(|(word, &bits)| {
        std::iter::successors((bits != 0).then_some(bits), |bits| Some(bits & (bits - 1)).filter(|bits| *bits != 0))
            .map(move |bits| word * 64 + bits.trailing_zeros() as usize)
    })
}
