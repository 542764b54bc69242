//! The flow of a node, which is changed into the flow of the next node instead of solved anew.
//!
//! Sources are the groups of lots. Sinks are, in this order: the supplies (vessels), with their supply curves; one for
//! all tanks, without limit; one for the deferred lots of each priority, with the capacity that the problem allows. Lots
//! that branches have fixed are not in the flow: their pieces are taken off the front of the supply curve.

use super::supply_curve::{self, CurveSegment};
use super::{LotGroup, Relaxation, Subproblem};
use crate::assign::flow::transport::{Arc, FlowSource, Segment, Transport, UNLIMITED};
use crate::decision::{ChoiceIndex, OfferIndex, SupplyIndex};
use crate::units::{IndexTable, Pieces, Position, number_of};

/// An optimal flow, with the data of the subproblem that it depends on.
#[derive(Clone)]
pub(super) struct NodeFlow {
    transport: Transport,
    supplies: IndexTable<SupplyIndex, SupplyState>,
    max_deferred: [i64; 4],
    fixed: Vec<(usize, Option<ChoiceIndex>)>,
    forbidden: Vec<(usize, Option<ChoiceIndex>)>,
    /// Choices of several pieces: supply, group and choice.
    multi_piece_arcs: Vec<(SupplyIndex, usize, ChoiceIndex)>,
    /// Whether more lots are fixed as deferred than may be.
    is_infeasible: bool,
}

/// The supply curve of a supply, with the data that it depends on.
#[derive(Clone)]
struct SupplyState {
    fixed_pieces: i64,
    packs: Vec<PackTerms>,
    curve: Vec<CurveSegment>,
    /// Cost of the fixed pieces; `None` if the supply has fewer.
    fixed_cost: Option<i128>,
}

/// The terms of an offer that the supply curve depends on.
#[derive(Clone, Copy, PartialEq, Eq)]
struct PackTerms {
    least: i64,
    most: i64,
    price: i128,
}

/// How a supply changes from one subproblem to the next.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Change {
    None,
    /// Fewer packs may be bought; nothing else differs.
    Tightened,
    Other,
}

/// Lots that branches have fixed.
struct FixedLots {
    /// Their pieces, by supply.
    pieces: IndexTable<SupplyIndex, i64>,
    /// How many of them are deferred, by priority.
    deferred: [i64; 4],
}

impl NodeFlow {
    /// The flow of a subproblem, solved anew.
    pub fn new(relaxation: &Relaxation, subproblem: &Subproblem) -> Self {
        let n_supplies = relaxation.question.supplies.len();
        let fixed = FixedLots::of(relaxation, subproblem);
        let mut supplies = IndexTable::with_capacity(n_supplies);
        let mut all_segments = Vec::with_capacity(n_supplies + 5);
        for (supply, &fixed_pieces) in fixed.pieces.enumerated() {
            let (supply, segments) = SupplyState::new(relaxation, subproblem, supply, fixed_pieces);
            supplies.push(supply);
            all_segments.push(segments);
        }
        all_segments.push(vec![Segment { capacity: UNLIMITED, price: 0 }]);
        all_segments.extend(fixed.room_for_deferred(relaxation).map(|segment| vec![segment]));
        let mut multi_piece_arcs = Vec::new();
        let sources = relaxation.groups.iter().enumerate().map(|(index, group)| {
            let is_fixed = subproblem.fixed.iter().any(|(fixed, _)| *fixed == index);
            let supply = if is_fixed { 0 } else { number_of(group.len) };
            let arcs = arcs(relaxation, (index, group), &supplies, &mut multi_piece_arcs);
            FlowSource { supply, arcs, last_arc_extras: group.savings.clone() }
        });
        let transport = Transport::new(sources, &all_segments);
        let mut flow = NodeFlow {
            transport,
            supplies,
            max_deferred: relaxation.problem.max_deferred,
            fixed: subproblem.fixed.clone(),
            forbidden: Vec::new(),
            multi_piece_arcs,
            is_infeasible: fixed.too_many_deferred(relaxation),
        };
        flow.forbid(relaxation, subproblem);
        flow
    }

    /// Changes the flow into that of another subproblem. With `cost`, stops as soon as the flow costs that much; true if it does.
    ///
    /// Changes that only remove packs come last. Until all are made, the flow is that of a subproblem that contains the other, so
    /// its cost is a lower bound of the other's.
    pub fn move_to(&mut self, relaxation: &Relaxation, subproblem: &Subproblem, cost: Option<i128>) -> bool {
        let fixed = FixedLots::of(relaxation, subproblem);
        self.forbid(relaxation, subproblem);
        self.fix(relaxation, subproblem, &fixed);
        let mut tightened = Vec::new();
        for (supply, &fixed_pieces) in fixed.pieces.enumerated() {
            match self.supplies[supply].change(pack_terms(relaxation, subproblem, supply), fixed_pieces) {
                Change::None => {}
                Change::Tightened if cost.is_some() => tightened.push((supply, fixed_pieces)),
                _ => self.change_supply(relaxation, subproblem, supply, fixed_pieces),
            }
        }
        let costs_as_much = |flow: &Self| cost.is_some_and(|cost| flow.cost().is_none_or(|of_flow| of_flow >= cost));
        for (supply, fixed_pieces) in tightened {
            if costs_as_much(self) {
                return true;
            }
            self.change_supply(relaxation, subproblem, supply, fixed_pieces);
        }
        costs_as_much(self)
    }

    /// Takes fixed lots out of the flow, and puts lots back that are no longer fixed.
    fn fix(&mut self, relaxation: &Relaxation, subproblem: &Subproblem, fixed: &FixedLots) {
        let is_in = |list: &[(usize, Option<ChoiceIndex>)], group: usize| list.iter().any(|(other, _)| *other == group);
        for &(group, _) in subproblem.fixed.iter().filter(|(group, _)| !is_in(&self.fixed, *group)) {
            self.transport.set_supply(group, 0);
        }
        for &(group, _) in self.fixed.iter().filter(|(group, _)| !is_in(&subproblem.fixed, *group)) {
            self.transport.set_supply(group, number_of(relaxation.groups[group].len));
        }
        let max_deferred = relaxation.problem.max_deferred;
        if self.fixed != subproblem.fixed || self.max_deferred != max_deferred {
            self.is_infeasible = fixed.too_many_deferred(relaxation);
            let first = self.supplies.len() + 1;
            for (sink, segment) in (first..).zip(fixed.room_for_deferred(relaxation)) {
                self.transport.set_segments(sink, &[segment]);
            }
            self.max_deferred = max_deferred;
            self.fixed.clone_from(&subproblem.fixed);
        }
    }

    /// Closes the arcs of forbidden choices, and opens those of choices that are no longer forbidden.
    fn forbid(&mut self, relaxation: &Relaxation, subproblem: &Subproblem) {
        let arc_of =
            |group: usize, choice: Option<ChoiceIndex>| choice.map_or(relaxation.choices(group).len(), Position::index);
        for &(group, choice) in self.forbidden.iter().filter(|arc| !subproblem.forbidden.contains(arc)) {
            self.transport.set_closed(group, arc_of(group, choice), false);
        }
        for &(group, choice) in subproblem.forbidden.iter().filter(|arc| !self.forbidden.contains(arc)) {
            self.transport.set_closed(group, arc_of(group, choice), true);
        }
        self.forbidden.clone_from(&subproblem.forbidden);
    }

    fn change_supply(
        &mut self,
        relaxation: &Relaxation,
        subproblem: &Subproblem,
        supply: SupplyIndex,
        fixed_pieces: i64,
    ) {
        let (changed, segments) = SupplyState::new(relaxation, subproblem, supply, fixed_pieces);
        self.supplies[supply] = changed;
        self.transport.set_segments(supply.index(), &segments);
        for &(_, group, number) in self.multi_piece_arcs.iter().filter(|(of, ..)| *of == supply) {
            let pieces = relaxation.choices(group)[number].pieces;
            let cost = relaxation.cost_of_choice(group, number) + self.supplies[supply].cost_of_further_pieces(pieces);
            self.transport.set_cost(group, number.index(), cost);
        }
    }

    /// Scaled cost of all lots and pieces; `None` if some lot has no room.
    pub fn cost(&self) -> Option<i128> {
        if self.is_infeasible {
            return None;
        }
        let fixed: Option<i128> = self.supplies.iter().map(|supply| supply.fixed_cost).sum();
        Some(fixed? + self.transport.cost()?)
    }

    /// Lots of a group by choice, then the deferred lots.
    pub fn flow_of(&self, group: usize) -> &[i64] {
        self.transport.flow_of(group)
    }

    /// By sink, the least change of cost elsewhere for one unit more, and for one unit fewer.
    pub fn marginal_costs(&mut self) -> (Vec<i128>, Vec<i128>) {
        self.transport.marginal_costs()
    }

    /// By sink, the lowest optimal dual prices.
    pub fn dual_prices(&mut self) -> Vec<i128> {
        self.transport.dual_prices()
    }

    /// Price of the last piece in use of a supply.
    pub fn last_price(&self, supply: SupplyIndex) -> i128 {
        self.transport.last_price(supply.index())
    }

    /// By supply, pieces in use.
    pub fn pieces(&self, relaxation: &Relaxation) -> IndexTable<SupplyIndex, Pieces> {
        let supplies = self.supplies.enumerated();
        let mut pieces: IndexTable<SupplyIndex, Pieces> =
            supplies.map(|(at, supply)| Pieces(supply.fixed_pieces + self.transport.inflow(at.index()))).collect();
        for &(supply, group, number) in &self.multi_piece_arcs {
            let further = relaxation.choices(group)[number].pieces - Pieces(1);
            pieces[supply] += further * self.transport.flow_of(group)[number.index()];
        }
        pieces
    }

    /// Adds to `drawn`, by offer, the pieces drawn beyond its least packs, in ten-thousandths.
    pub fn drawn(&self, mut drawn: IndexTable<OfferIndex, i64>) -> IndexTable<OfferIndex, i64> {
        for (index, supply) in self.supplies.iter().enumerate() {
            supply_curve::draw(&supply.curve, supply.fixed_pieces + self.transport.inflow(index), &mut drawn);
        }
        drawn
    }
}

/// The arcs of a group: one for each choice and, if it is deferrable, last the one to deferral. Adds choices of several pieces to
/// `multi_piece_arcs`.
fn arcs(
    relaxation: &Relaxation,
    (index, group): (usize, &LotGroup),
    supplies: &IndexTable<SupplyIndex, SupplyState>,
    multi_piece_arcs: &mut Vec<(SupplyIndex, usize, ChoiceIndex)>,
) -> Vec<Arc> {
    let class = &relaxation.question.classes[group.class];
    let arcs = class.choices.enumerated().map(|(number, choice)| {
        let cost = relaxation.scaled_cost(choice.money, choice.fluid);
        let sink = choice.supply.map_or(supplies.len(), Position::index);
        if let Some(supply) = choice.supply.filter(|_| choice.pieces > Pieces(1)) {
            multi_piece_arcs.push((supply, index, number));
        }
        let further = choice.supply.map_or(0, |supply| supplies[supply].cost_of_further_pieces(choice.pieces));
        Arc { sink, cost: cost + further }
    });
    let deferral = Arc { sink: supplies.len() + usize::from(class.priority), cost: 0 };
    arcs.chain(group.is_deferrable().then_some(deferral)).collect()
}

impl SupplyState {
    /// The state, and the segments of the curve that remain for the flow.
    fn new(
        relaxation: &Relaxation,
        subproblem: &Subproblem,
        supply: SupplyIndex,
        fixed_pieces: i64,
    ) -> (Self, Vec<Segment>) {
        let curve = relaxation.supply_curve(subproblem, supply);
        let (segments, fixed_cost) = match supply_curve::beyond(&curve, fixed_pieces) {
            Some((segments, cost)) => (segments, Some(cost)),
            None => (Vec::new(), None),
        };
        let packs = pack_terms(relaxation, subproblem, supply).collect();
        (SupplyState { fixed_pieces, packs, curve, fixed_cost }, segments)
    }

    /// How it changes with these packs and this number of fixed pieces.
    fn change(&self, packs: impl Iterator<Item = PackTerms>, fixed_pieces: i64) -> Change {
        let mut change = if self.fixed_pieces == fixed_pieces { Change::None } else { Change::Other };
        for (old, new) in self.packs.iter().zip(packs) {
            if (old.least, old.price) != (new.least, new.price) || old.most < new.most {
                change = Change::Other;
            } else if old.most > new.most && change == Change::None {
                change = Change::Tightened;
            }
        }
        change
    }

    /// A lower bound on the cost of the pieces of a lot beyond its first.
    fn cost_of_further_pieces(&self, pieces: Pieces) -> i128 {
        let cheapest = self.curve.iter().find(|segment| segment.capacity > 0).map_or(0, |segment| segment.price);
        cheapest * i128::from(pieces.0 - 1)
    }
}

/// The terms of each offer of a supply.
fn pack_terms(
    relaxation: &Relaxation,
    subproblem: &Subproblem,
    supply: SupplyIndex,
) -> impl Iterator<Item = PackTerms> {
    relaxation.offers_in(supply).positions().map(|offer| PackTerms {
        least: subproblem.min_packs[offer],
        most: subproblem.max_packs[offer],
        price: relaxation.pack_cost(subproblem, &relaxation.offers[offer]),
    })
}

impl FixedLots {
    fn of(relaxation: &Relaxation, subproblem: &Subproblem) -> Self {
        let mut fixed = FixedLots { pieces: relaxation.question.supplies.filled(0), deferred: [0; 4] };
        for &(group, choice) in &subproblem.fixed {
            match choice.map(|number| relaxation.choices(group)[number]) {
                Some(choice) => {
                    if let Some(supply) = choice.supply {
                        fixed.pieces[supply] += choice.pieces.0;
                    }
                }
                None => {
                    let class = &relaxation.question.classes[relaxation.groups[group].class];
                    fixed.deferred[usize::from(class.priority) - 1] += 1;
                }
            }
        }
        fixed
    }

    fn too_many_deferred(&self, relaxation: &Relaxation) -> bool {
        self.deferred.iter().zip(relaxation.problem.max_deferred).any(|(fixed, most)| *fixed > most)
    }

    /// By priority, the number of further lots that may be deferred.
    fn room_for_deferred(&self, relaxation: &Relaxation) -> impl Iterator<Item = Segment> {
        let most = relaxation.problem.max_deferred.into_iter().zip(self.deferred);
        most.map(|(most, fixed)| Segment { capacity: (most - fixed).max(0), price: 0 })
    }
}
