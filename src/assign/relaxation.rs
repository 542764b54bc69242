//! A part of the decision with packs taken as divisible: a transportation problem, its bound, and where to branch.

use super::evaluate::{self, Values};
use super::search::Goal;
use super::transport::{self, FORBIDDEN, Transport, UNLIMITED};
use crate::decision::{OfferTerms, Question};
use crate::units::Money;

/// The question prepared for one goal.
pub struct Relaxation<'a> {
    question: &'a Question,
    goal: Goal,
    kinds: Vec<Kind>,
    /// By kind and choice, in scaled cost.
    costs: Vec<Vec<i128>>,
    offers: Vec<FlatOffer<'a>>,
    /// By supply, where its offers start; one more at the end.
    first_offer: Vec<usize>,
    /// Money of the members whose constants are not in `costs`.
    constant: i128,
    /// Fluid breaks ties of money: money times this, plus fluid.
    fluid_steps: i128,
    /// All costs are multiplied by this, so that shares of packs are whole.
    scale: i128,
    /// Some supplier's goods must reach an amount.
    priced_by_goods: bool,
}

/// Rows of one class that are the same here.
struct Kind {
    class: usize,
    start: usize,
    len: usize,
    deferrable: bool,
}

struct FlatOffer<'a> {
    supply: usize,
    terms: &'a OfferTerms,
    most: i64,
}

/// Steps of a multiplier on a supplier's prices.
const STEPS: i64 = 8;

/// What has been decided about a supplier.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Terms {
    /// Nothing yet: no charge is counted.
    Undecided,
    /// Nothing is ordered.
    Closed,
    /// The charge is paid; goods reach the minimum.
    Paying,
    /// Goods reach the threshold; no charge.
    Free,
}

/// A part of the decision.
#[derive(Clone, Debug)]
pub struct State {
    least: Vec<i64>,
    most: Vec<i64>,
    terms: Vec<Terms>,
    multiplier: Vec<i64>,
    /// By kind: its choice is fixed (`None` in it = deferred).
    fixed: Vec<(usize, Option<u32>)>,
    forbidden: Vec<(usize, Option<u32>)>,
    /// Kinds of vessel that count as bought.
    opened: Vec<bool>,
}

/// The solution of a relaxation.
#[derive(Clone, Debug)]
pub struct Relaxed {
    /// No plan of this part costs less, in cost.
    pub bound: i128,
    scaled_bound: i128,
    /// By kind: choice and number of rows.
    sent: Vec<Vec<(Option<u32>, i64)>>,
    /// By offer, ten-thousandths of pieces beyond its least packs.
    amounts: Vec<i64>,
    /// By supplier, goods in scaled parts of money.
    goods: Vec<i128>,
}

/// Where a part is divided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Branch {
    /// What a supplier is.
    Supplier(usize),
    /// Whether a row takes a choice.
    Lot(usize, Option<u32>),
    /// Whether a kind of vessel is bought at all.
    Vessel(usize),
    /// At most so many packs of an offer, or more.
    Packs(usize, i64),
}

impl<'a> Relaxation<'a> {
    /// Prepares a question.
    pub fn new(question: &'a Question, goal: Goal) -> Self {
        let priced_by_goods =
            question.suppliers.iter().any(|terms| terms.minimum > Money::ZERO || terms.free_over.is_some());
        let sizes = question.supplies.iter().flat_map(|supply| &supply.offers).map(|offer| i128::from(offer.pack_size));
        let shares = sizes.fold(1, least_common_multiple) * 10_000;
        let scale = shares * if priced_by_goods { i128::from(STEPS) } else { 1 };
        let fluid_steps = if goal.then_fluid { 1 + evaluate::most_fluid(question) } else { 1 };
        let mut relaxation = Relaxation {
            question,
            goal,
            kinds: Vec::new(),
            costs: Vec::new(),
            offers: Vec::new(),
            first_offer: Vec::new(),
            constant: 0,
            fluid_steps,
            scale,
            priced_by_goods,
        };
        relaxation.add_kinds();
        relaxation.add_offers();
        relaxation
    }

    fn add_kinds(&mut self) {
        for (index, class) in self.question.classes.iter().enumerate() {
            if class.priority > self.goal.last_priority {
                continue;
            }
            let deferrable = self.goal.deferred[usize::from(class.priority) - 1] > 0;
            let one_by_one = self.budget_weighs() || class.choices.iter().any(|choice| choice.pieces > 1);
            let mut start = 0;
            while start < class.members.len() {
                let first = class.members[start];
                let alike = class.members[start..].iter().take_while(|member| {
                    !one_by_one && (!deferrable || (member.money, member.fluid) == (first.money, first.fluid))
                });
                let len = alike.count().max(1);
                // Members that cannot be deferred keep their own constants apart.
                let own = if deferrable { (first.money, first.fluid) } else { Default::default() };
                let cost = |choice: &crate::decision::Choice| self.cost(choice.money + own.0, choice.fluid + own.1);
                self.costs.push(class.choices.iter().map(|choice| cost(choice) * self.scale).collect());
                if !deferrable {
                    let members = &class.members[start..start + len];
                    self.constant +=
                        members.iter().map(|member| self.cost(member.money, member.fluid)).sum::<i128>() * self.scale;
                }
                self.kinds.push(Kind { class: index, start, len, deferrable });
                start += len;
            }
        }
    }

    /// The budget forbids plans that litres make cheap: money alone is not what is minimised.
    fn budget_weighs(&self) -> bool {
        self.goal.enough.is_none() && self.question.limits.budget.is_some() && self.goal.litre_weight > Money::ZERO
    }

    fn add_offers(&mut self) {
        let mut demand = vec![0i64; self.question.supplies.len()];
        for class in self.question.classes.iter().filter(|class| class.priority <= self.goal.last_priority) {
            for choice in &class.choices {
                if let Some(supply) = choice.supply {
                    demand[supply as usize] += i64::from(choice.pieces) * class.members.len() as i64;
                }
            }
        }
        for (supply, terms) in self.question.supplies.iter().enumerate() {
            self.first_offer.push(self.offers.len());
            let needed = evaluate::pieces_to_buy(self.question, demand[supply], terms.free);
            for offer in &terms.offers {
                let most = evaluate::most_packs(self.question, offer, needed);
                self.offers.push(FlatOffer { supply, terms: offer, most });
            }
        }
        self.first_offer.push(self.offers.len());
    }

    /// What money and fluid cost together.
    fn cost(&self, money: Money, fluid: crate::units::Millilitres) -> i128 {
        let weighed = money + self.goal.litre_weight.per_litre(fluid);
        let tie = if self.goal.then_fluid { i128::from(fluid.0) } else { 0 };
        i128::from(weighed.parts()) * self.fluid_steps + tie
    }

    /// What a plan costs.
    pub fn cost_of(&self, values: &Values) -> i128 {
        self.cost(values.money, values.fluid)
    }

    /// The cost of an amount of money alone.
    pub fn cost_of_money(&self, money: Money) -> i128 {
        i128::from(money.parts()) * self.fluid_steps
    }

    /// The money of a cost in whole parts, without the fluid that breaks ties.
    pub fn money_of(&self, cost: i128) -> i128 {
        cost.div_euclid(self.fluid_steps)
    }

    /// The whole decision.
    pub fn root(&self) -> State {
        let limits = &self.question.limits;
        let terms = self.question.suppliers.iter().map(|terms| {
            let matters = terms.charge > Money::ZERO || terms.minimum > Money::ZERO || limits.max_suppliers.is_some();
            if matters { Terms::Undecided } else { Terms::Paying }
        });
        State {
            least: vec![0; self.offers.len()],
            most: self.offers.iter().map(|offer| offer.most).collect(),
            terms: terms.collect(),
            multiplier: vec![0; self.question.suppliers.len()],
            fixed: Vec::new(),
            forbidden: Vec::new(),
            opened: vec![false; self.question.supplies.len()],
        }
    }

    /// The same suppliers and rows with these packs, no more and no fewer.
    pub fn with_packs(&self, state: &State, packs: &[Vec<i64>]) -> State {
        let packs: Vec<i64> = packs.iter().flatten().copied().collect();
        let terms = state.terms.iter().map(|_| Terms::Paying).collect();
        let root = self.root();
        State { least: packs.clone(), most: packs, terms, opened: root.opened.clone(), ..root }
    }

    /// What a supplier's goods must reach in a part.
    fn goods_needed(&self, state: &State, supplier: usize) -> Money {
        let terms = &self.question.suppliers[supplier];
        match state.terms[supplier] {
            Terms::Free => terms.minimum.max(terms.free_over.unwrap_or(Money::ZERO)),
            Terms::Paying => terms.minimum,
            _ => Money::ZERO,
        }
    }

    /// Price of a pack in scaled cost, as the supplier's multiplier lowers it.
    fn pack_cost(&self, state: &State, offer: &FlatOffer) -> i128 {
        let full = self.cost_of_money(offer.terms.pack_price) * self.scale;
        match offer.terms.supplier {
            Some(supplier) if self.priced_by_goods => {
                full / i128::from(STEPS) * i128::from(STEPS - state.multiplier[supplier as usize])
            }
            _ => full,
        }
    }

    /// Solves a part, lifting its bound by the suppliers' multipliers; `None` where it holds no plan.
    pub fn solve(&self, state: &mut State) -> Option<Relaxed> {
        let mut best = self.solve_once(state)?;
        if !self.priced_by_goods {
            return Some(best);
        }
        for supplier in 0..state.terms.len() {
            let needed = i128::from(self.goods_needed(state, supplier).parts()) * self.scale;
            if needed == 0 {
                continue;
            }
            let decided: i128 = self.decided_goods(state, supplier);
            if decided >= i128::from(self.goods_needed(state, supplier).parts()) {
                if state.multiplier[supplier] > 0 {
                    state.multiplier[supplier] = 0;
                    best = self.solve_once(state)?;
                }
                continue;
            }
            let start = state.multiplier[supplier];
            // The bound is concave in the multiplier; goods below the need ask for a higher one.
            let (mut low, mut high) = if best.goods[supplier] < needed { (start, STEPS) } else { (0, start) };
            let mut kept = start;
            while high - low > 1 {
                let middle = (low + high) / 2;
                state.multiplier[supplier] = middle;
                let relaxed = self.solve_once(state)?;
                if relaxed.goods[supplier] < needed {
                    low = middle
                } else {
                    high = middle
                }
                if relaxed.scaled_bound > best.scaled_bound {
                    (best, kept) = (relaxed, middle);
                }
            }
            state.multiplier[supplier] = kept;
        }
        Some(best)
    }

    /// Goods of the least packs of a supplier's offers, in parts of money.
    fn decided_goods(&self, state: &State, supplier: usize) -> i128 {
        let offers = self.offers.iter().zip(&state.least);
        let ours = offers.filter(|(offer, _)| offer.terms.supplier == Some(supplier as u32));
        ours.map(|(offer, &least)| i128::from(offer.terms.pack_price.parts()) * i128::from(least)).sum()
    }

    /// Solves a part as it is.
    pub fn solve_once(&self, state: &mut State) -> Option<Relaxed> {
        self.apply_caps(state)?;
        let mut base = self.constant;
        for (index, terms) in self.question.suppliers.iter().enumerate() {
            if state.terms[index] == Terms::Paying {
                base += self.cost_of_money(terms.charge) * self.scale;
            }
            let needed = self.goods_needed(state, index);
            base += self.cost_of_money(needed) * self.scale / i128::from(STEPS) * i128::from(state.multiplier[index]);
            let goods = self.offers.iter().zip(&state.most);
            let goods = goods.filter(|(offer, _)| offer.terms.supplier == Some(index as u32));
            let most: i128 =
                goods.map(|(offer, &most)| i128::from(offer.terms.pack_price.parts()) * i128::from(most)).sum();
            if most < i128::from(needed.parts()) {
                return None;
            }
        }
        let mut fixed_pieces = vec![0i64; self.question.supplies.len()];
        let mut fixed_deferred = [0i64; 4];
        for &(kind, choice) in &state.fixed {
            let class = &self.question.classes[self.kinds[kind].class];
            match choice {
                Some(index) => {
                    base += self.costs[kind][index as usize];
                    let choice = &class.choices[index as usize];
                    if let Some(supply) = choice.supply {
                        fixed_pieces[supply as usize] += i64::from(choice.pieces);
                    }
                }
                None => fixed_deferred[usize::from(class.priority) - 1] += 1,
            }
        }
        let mut places = Places::default();
        let mut amounts = vec![0i64; self.offers.len()];
        for (supply, mut left) in fixed_pieces.into_iter().enumerate() {
            for offer in self.first_offer[supply]..self.first_offer[supply + 1] {
                base += self.pack_cost(state, &self.offers[offer]) * i128::from(state.least[offer]);
            }
            for mut place in self.places_of(state, supply) {
                let taken = left.min(place.room);
                base += place.piece * i128::from(taken);
                for &(offer, amount) in &place.parts {
                    amounts[offer] += amount * taken;
                }
                left -= taken;
                if place.room != UNLIMITED {
                    place.room -= taken;
                }
                places.add(place);
            }
            if left > 0 {
                return None;
            }
        }
        self.send(state, &places, base, fixed_deferred, amounts)
    }

    /// The pieces of a supply in order of what one more costs: those at no price, then each offer's. A piece needs its
    /// spare beside it, so one piece may draw on two offers.
    fn places_of(&self, state: &State, supply: usize) -> Vec<Place> {
        let spare = 10_000 + self.question.limits.spare_per_10_000;
        let range = self.first_offer[supply]..self.first_offer[supply + 1];
        let owned: i64 =
            range.clone().map(|offer| state.least[offer] * self.offers[offer].terms.pack_size * 10_000).sum();
        let mut sources = vec![(0, None, self.question.supplies[supply].free * spare + owned, false)];
        for offer in range.filter(|&offer| state.most[offer] > state.least[offer]) {
            let FlatOffer { terms, most, .. } = self.offers[offer];
            let amount = (state.most[offer] - state.least[offer]) * terms.pack_size * 10_000;
            let cost = self.pack_cost(state, &self.offers[offer]) / (10_000 * i128::from(terms.pack_size));
            let never_full = state.most[offer] >= most && terms.max_packs.is_none();
            sources.push((cost, Some(offer), amount, never_full));
        }
        sources.sort_unstable();
        let mut places = Vec::new();
        // A piece that the sources so far do not fill.
        let mut begun = Place { supply, room: 1, piece: 0, parts: Vec::new() };
        let mut filled = 0;
        for (cost, offer, mut amount, never_full) in sources {
            if filled > 0 {
                let part = amount.min(spare - filled);
                begun.piece += cost * i128::from(part);
                begun.parts.extend(offer.map(|offer| (offer, part)));
                (filled, amount) = (filled + part, amount - part);
                if filled < spare {
                    continue;
                }
                places.push(std::mem::replace(&mut begun, Place { supply, room: 1, piece: 0, parts: Vec::new() }));
            }
            let room = if never_full { UNLIMITED } else { amount / spare };
            let parts = offer.map(|offer| (offer, spare)).into_iter().collect();
            places.push(Place { supply, room, piece: cost * i128::from(spare), parts });
            if never_full {
                break;
            }
            filled = amount % spare;
            begun.piece = cost * i128::from(filled);
            begun.parts = offer.map(|offer| (offer, filled)).into_iter().filter(|(_, part)| *part > 0).collect();
        }
        places
    }

    /// Sends the rows to the places.
    fn send(
        &self,
        state: &State,
        places: &Places,
        base: i128,
        fixed_deferred: [i64; 4],
        mut amounts: Vec<i64>,
    ) -> Option<Relaxed> {
        let n_places = places.all.len();
        let room = places.all.iter().map(|place| place.room).collect();
        let mut transport = Transport { room, ..Transport::default() };
        // After the vessels' places: tanks, then the deferred rows of each priority.
        transport.room.push(UNLIMITED);
        for (most, fixed) in self.goal.deferred.iter().zip(fixed_deferred) {
            if *most < fixed {
                return None;
            }
            transport.room.push(most - fixed);
        }
        let mut rows: Vec<usize> = Vec::new();
        let mut sent: Vec<Vec<(Option<u32>, i64)>> = vec![Vec::new(); self.kinds.len()];
        for (index, kind) in self.kinds.iter().enumerate() {
            if let Some((_, choice)) = state.fixed.iter().find(|(fixed, _)| *fixed == index) {
                sent[index].push((*choice, 1));
                continue;
            }
            let class = &self.question.classes[kind.class];
            let mut costs = vec![FORBIDDEN; transport.room.len()];
            for (number, choice) in class.choices.iter().enumerate() {
                if state.forbidden.contains(&(index, Some(number as u32))) {
                    continue;
                }
                let cost = self.costs[index][number];
                match choice.supply {
                    Some(supply) => {
                        for &place in places.of.get(supply as usize).into_iter().flatten() {
                            costs[place] = cost + places.all[place].piece * i128::from(choice.pieces);
                        }
                    }
                    None => costs[n_places] = cost,
                }
            }
            if kind.deferrable && !state.forbidden.contains(&(index, None)) {
                costs[n_places + usize::from(class.priority)] = 0;
            }
            transport.counts.push(kind.len as i64);
            transport.costs.push(costs);
            rows.push(index);
        }
        let flow = transport::solve(&transport)?;
        for (&index, places_used) in rows.iter().zip(&flow.sent) {
            let class = &self.question.classes[self.kinds[index].class];
            for &(place, amount) in places_used {
                let choice = match place {
                    place if place < n_places => {
                        let place = &places.all[place];
                        let supply = Some(place.supply as u32);
                        let number = class.choices.iter().position(|choice| choice.supply == supply)?;
                        for &(offer, part) in &place.parts {
                            amounts[offer] += part * amount * i64::from(class.choices[number].pieces);
                        }
                        Some(number as u32)
                    }
                    place if place == n_places => {
                        Some(class.choices.iter().position(|choice| choice.supply.is_none())? as u32)
                    }
                    _ => None,
                };
                sent[index].push((choice, amount));
            }
        }
        let mut goods = vec![0i128; self.question.suppliers.len()];
        for (index, offer) in self.offers.iter().enumerate() {
            if let Some(supplier) = offer.terms.supplier {
                let price = i128::from(offer.terms.pack_price.parts()) * self.scale;
                let shares = i128::from(amounts[index]) * price / (10_000 * i128::from(offer.terms.pack_size));
                goods[supplier as usize] += price * i128::from(state.least[index]) + shares;
            }
        }
        let scaled_bound = base + flow.cost;
        let bound = scaled_bound.div_euclid(self.scale) + i128::from(scaled_bound.rem_euclid(self.scale) > 0);
        Some(Relaxed { bound, scaled_bound, sent, amounts, goods })
    }

    /// Closes what the caps on kinds and suppliers leave no room for; `None` where they are passed already.
    fn apply_caps(&self, state: &mut State) -> Option<()> {
        let limits = &self.question.limits;
        if let Some(most) = limits.max_suppliers {
            let opened = state.terms.iter().filter(|terms| matches!(terms, Terms::Paying | Terms::Free)).count();
            if opened > most as usize {
                return None;
            }
            if opened == most as usize {
                for terms in state.terms.iter_mut().filter(|terms| **terms == Terms::Undecided) {
                    *terms = Terms::Closed;
                }
            }
        }
        if let Some(most) = limits.max_vessel_types {
            for (index, offer) in self.offers.iter().enumerate() {
                state.opened[offer.supply] |= state.least[index] > 0;
            }
            let opened = state.opened.iter().filter(|opened| **opened).count();
            if opened > most as usize {
                return None;
            }
            if opened == most as usize {
                for (offer, most) in self.offers.iter().zip(&mut state.most) {
                    if !state.opened[offer.supply] {
                        *most = 0;
                    }
                }
            }
        }
        for (index, offer) in self.offers.iter().enumerate() {
            if offer.terms.supplier.is_some_and(|supplier| state.terms[supplier as usize] == Terms::Closed) {
                state.most[index] = 0;
            }
        }
        state.least.iter().zip(&state.most).all(|(least, most)| least <= most).then_some(())
    }

    /// The rows of a relaxation as choices of members; rows of later priorities are deferred.
    pub fn rows(&self, relaxed: &Relaxed) -> Vec<Vec<Option<u32>>> {
        let mut rows: Vec<Vec<Option<u32>>> =
            self.question.classes.iter().map(|class| vec![None; class.members.len()]).collect();
        for (kind, sent) in self.kinds.iter().zip(&relaxed.sent) {
            let mut chosen: Vec<(Option<u32>, i64)> = sent.clone();
            chosen.sort_by_key(|(choice, _)| choice.unwrap_or(u32::MAX));
            let each = chosen.into_iter().flat_map(|(choice, amount)| std::iter::repeat_n(choice, amount as usize));
            for (member, choice) in rows[kind.class][kind.start..kind.start + kind.len].iter_mut().zip(each) {
                *member = choice;
            }
        }
        rows
    }

    /// The packs of a relaxation; whole where nothing is left to branch on.
    pub fn packs(&self, state: &State, relaxed: &Relaxed) -> Vec<Vec<i64>> {
        let flat: Vec<i64> = (0..self.offers.len()).map(|offer| self.packs_of(state, relaxed, offer).0).collect();
        self.first_offer.windows(2).map(|range| flat[range[0]..range[1]].to_vec()).collect()
    }

    /// Whole packs of an offer, rounded down, and what is left over in ten-thousandths of pieces.
    fn packs_of(&self, state: &State, relaxed: &Relaxed, offer: usize) -> (i64, i64) {
        let pack = self.offers[offer].terms.pack_size * 10_000;
        let used = relaxed.amounts[offer];
        if state.least[offer] + used.div_euclid(pack) >= state.most[offer] {
            // As many as could ever be needed: an offer at no price may be drawn on for more than that.
            return (state.most[offer], 0);
        }
        (state.least[offer] + used.div_euclid(pack), used.rem_euclid(pack))
    }

    /// Where to divide a part; `None` where its relaxation is a plan.
    pub fn branch(&self, state: &State, relaxed: &Relaxed) -> Option<Branch> {
        let bought = |offer: usize| relaxed.amounts[offer] > 0 || state.least[offer] > 0;
        let undecided = (0..state.terms.len()).filter(|&supplier| {
            let ours = |offer: &usize| self.offers[*offer].terms.supplier == Some(supplier as u32);
            state.terms[supplier] == Terms::Undecided && (0..self.offers.len()).filter(ours).any(bought)
        });
        if let Some(supplier) = undecided.max_by_key(|&supplier| (self.question.suppliers[supplier].charge, supplier)) {
            return Some(Branch::Supplier(supplier));
        }
        for (index, sent) in relaxed.sent.iter().enumerate() {
            let class = &self.question.classes[self.kinds[index].class];
            let divided =
                sent.iter().find(|(choice, _)| choice.is_some_and(|number| class.choices[number as usize].pieces > 1));
            if let Some((choice, _)) = divided
                && !state.fixed.iter().any(|(fixed, _)| *fixed == index)
            {
                return Some(Branch::Lot(index, *choice));
            }
        }
        if let Some(most) = self.question.limits.max_vessel_types {
            let mut bought_kinds: Vec<usize> =
                (0..self.offers.len()).filter(|&o| bought(o)).map(|o| self.offers[o].supply).collect();
            bought_kinds.dedup();
            if bought_kinds.len() > most as usize {
                return bought_kinds.into_iter().find(|&supply| !state.opened[supply]).map(Branch::Vessel);
            }
        }
        let fractional = (0..self.offers.len()).filter_map(|offer| {
            let (whole, rest) = self.packs_of(state, relaxed, offer);
            let terms = self.offers[offer].terms;
            let below_least = whole < terms.min_packs && (whole > 0 || rest > 0);
            let lost = i128::from(terms.pack_size * 10_000 - rest) * i128::from(terms.pack_price.parts())
                / i128::from(terms.pack_size);
            (rest > 0 || below_least).then_some((lost, offer, if below_least { 0 } else { whole }))
        });
        if let Some((_, offer, whole)) = fractional.max() {
            return Some(Branch::Packs(offer, whole));
        }
        (0..state.terms.len()).find_map(|supplier| self.branch_on_goods(state, relaxed, supplier))
    }

    /// The dearest row that is still free, and the choice it has: it takes that, or anything else.
    pub fn branch_on_rows(&self, state: &State, relaxed: &Relaxed) -> Option<Branch> {
        if !self.budget_weighs() {
            return None;
        }
        let free =
            relaxed.sent.iter().enumerate().filter(|(kind, _)| !state.fixed.iter().any(|(fixed, _)| fixed == kind));
        let cost = |kind: usize, choice: Option<u32>| choice.map_or(0, |number| self.costs[kind][number as usize]);
        free.filter_map(|(kind, sent)| sent.first().map(|(choice, _)| (cost(kind, *choice), kind, *choice)))
            .max()
            .map(|(_, kind, choice)| Branch::Lot(kind, choice))
    }

    /// Everything is whole, but a supplier's goods are short of what they must reach: a pack more of something, or of
    /// that no more. Or they pass it at prices lowered by the multiplier, so that the bound is not the plan's cost: a pack
    /// fewer, or all of these.
    fn branch_on_goods(&self, state: &State, relaxed: &Relaxed, supplier: usize) -> Option<Branch> {
        let needed = i128::from(self.goods_needed(state, supplier).parts()) * self.scale;
        let goods = relaxed.goods[supplier];
        let ours = (0..self.offers.len())
            .filter(|&offer| self.offers[offer].terms.supplier == Some(supplier as u32))
            .map(|offer| (self.offers[offer].terms.pack_price, offer, self.packs_of(state, relaxed, offer).0));
        if goods < needed {
            let cheapest = ours.filter(|(_, offer, whole)| *whole < state.most[*offer]).min();
            return cheapest.map(|(_, offer, whole)| Branch::Packs(offer, whole));
        }
        if goods > needed && state.multiplier[supplier] > 0 {
            let dearest = ours.filter(|(_, offer, whole)| *whole > state.least[*offer]).max();
            return dearest.map(|(_, offer, whole)| Branch::Packs(offer, whole - 1));
        }
        None
    }

    /// The parts that a branch divides a part into; together they hold every plan of it.
    pub fn children(&self, state: &State, branch: &Branch) -> Vec<State> {
        let with = |change: &dyn Fn(&mut State)| {
            let mut child = state.clone();
            change(&mut child);
            child
        };
        match *branch {
            Branch::Supplier(supplier) => {
                let terms = &self.question.suppliers[supplier];
                let mut all = vec![Terms::Closed, Terms::Paying];
                if terms.free_over.is_some() && terms.charge > Money::ZERO {
                    all.push(Terms::Free);
                }
                all.into_iter().map(|decided| with(&|child| child.terms[supplier] = decided)).collect()
            }
            Branch::Lot(kind, choice) => vec![
                with(&|child| child.fixed.push((kind, choice))),
                with(&|child| child.forbidden.push((kind, choice))),
            ],
            Branch::Vessel(supply) => vec![
                with(&|child| child.opened[supply] = true),
                with(&|child| {
                    for offer in self.first_offer[supply]..self.first_offer[supply + 1] {
                        child.most[offer] = 0;
                    }
                }),
            ],
            Branch::Packs(offer, whole) => {
                let more = (whole + 1).max(self.offers[offer].terms.min_packs);
                vec![with(&|child| child.most[offer] = whole), with(&|child| child.least[offer] = more)]
            }
        }
    }
}

/// Pieces of one supply that cost the same.
struct Place {
    supply: usize,
    room: i64,
    /// What one costs.
    piece: i128,
    /// What one draws from offers, in ten-thousandths of pieces.
    parts: Vec<(usize, i64)>,
}

/// Places that rows can go to.
#[derive(Default)]
struct Places {
    all: Vec<Place>,
    /// By supply.
    of: Vec<Vec<usize>>,
}

impl Places {
    fn add(&mut self, place: Place) {
        if self.of.len() <= place.supply {
            self.of.resize(place.supply + 1, Vec::new());
        }
        if place.room > 0 {
            self.of[place.supply].push(self.all.len());
            self.all.push(place);
        }
    }
}

/// Of two numbers; the first where it would grow out of hand: shares of packs are then rounded down, which only lowers a
/// bound.
fn least_common_multiple(a: i128, b: i128) -> i128 {
    let mut pair = (a, b);
    while pair.1 != 0 {
        pair = (pair.1, pair.0 % pair.1);
    }
    let multiple = a / pair.0 * b;
    if multiple > MOST_SHARES { a } else { multiple }
}

/// Packs are shared into no more parts than this.
const MOST_SHARES: i128 = 10_000_000;
