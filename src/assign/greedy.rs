//! Greedy plans, which always exist: rows in order of priority, each with its cheapest choice given the purchases so far.
//!
//! If the order from a supplier is below its minimum, the supplier is closed and the plan is made anew, so that the result
//! satisfies every constraint. It is the solver's starting plan, and the result if the solver finds none.
//!
//! Cost: one pass over the rows, and one more for each supplier that is closed. A row looks at all its choices, unless the choice of
//! the row before is still the cheapest ([`Leader`]).

use super::evaluate;
use crate::decision::{
    ChoiceIndex, Class, ClassIndex, Decision, OfferTerms, OwnedSupply, PacksBought, Question, SupplierIndex, Supply,
    SupplyIndex,
};
use crate::settings::CountLimits;
use crate::units::{IndexTable, Millilitres, Money, Packs, Pieces, index};

/// A greedy plan that satisfies every constraint.
pub fn decide(question: &Question) -> Decision {
    let mut closed = question.suppliers.filled(false);
    loop {
        let decision = pass(question, &closed, None);
        let orders = evaluate::orders(question, &decision.packs);
        let short = orders
            .enumerated()
            .find(|&(supplier, order)| order.any && order.goods < question.suppliers[supplier].minimum);
        match short {
            Some((supplier, _)) => closed[supplier] = true,
            None => return decision,
        }
    }
}

/// A plan with its placed rows and packs kept, and deferred rows placed greedily where possible.
pub fn complete(question: &Question, decision: &Decision) -> Decision {
    let orders = evaluate::orders(question, &decision.packs);
    // A new order from a supplier with a minimum might stay below it.
    let closed = question.suppliers.iter().zip(&orders);
    let closed = closed.map(|(terms, order)| !order.any && terms.minimum > Money::ZERO).collect();
    pass(question, &closed, Some(decision))
}

/// Pieces used, packs bought and money spent so far.
struct Shelf {
    used: IndexTable<SupplyIndex, Pieces>,
    packs: PacksBought,
    goods: IndexTable<SupplierIndex, Money>,
    /// By supplier, packs ordered.
    ordered: IndexTable<SupplierIndex, Packs>,
    /// Kinds of vessel bought.
    kinds: usize,
    spent: Money,
    /// By supply, how one more piece can be had, if known for the purchases so far.
    next: IndexTable<SupplyIndex, Option<NextPiece>>,
    /// How many purchases have changed the terms for other supplies too.
    terms: u64,
    /// Need of each owned fluid of the lots placed so far.
    needs: Vec<Millilitres>,
}

/// How one more piece of a supply can be had.
#[derive(Clone, Copy)]
enum NextPiece {
    /// A free or bought piece is left.
    There,
    Bought(PackChange),
    Never,
}

/// A new number of packs of an offer.
#[derive(Clone, Copy)]
struct PackChange {
    offer: usize,
    packs: Packs,
    /// Money it adds, including the change of delivery charges.
    money: Money,
}

/// One pass over all rows that `start` leaves deferred.
fn pass(question: &Question, closed: &IndexTable<SupplierIndex, bool>, start: Option<&Decision>) -> Decision {
    let nothing = || Decision {
        chosen: question.classes.map(|class| vec![None; class.members.len()]),
        packs: question.supplies.map(|supply| vec![Packs::ZERO; supply.offers.len()]),
        ..Decision::default()
    };
    let start = start.cloned().unwrap_or_else(nothing);
    let values = evaluate::values(question, &start);
    let mut shelf = Shelf {
        used: evaluate::pieces_used(question, &start.chosen),
        goods: evaluate::orders(question, &start.packs).map(|order| order.goods),
        ordered: packs_ordered(question, &start.packs),
        kinds: start.packs.iter().filter(|packs| packs.iter().any(|&packs| packs > Packs::ZERO)).count(),
        spent: values.money + question.limits.labour_per_row * values.placed,
        needs: question.owned.iter().map(|fluid| evaluate::need(fluid, &start)).collect(),
        packs: start.packs,
        next: question.supplies.filled(None),
        terms: 0,
    };
    let mut chosen = start.chosen;
    let start_is_open: IndexTable<ClassIndex, Vec<bool>> = chosen.map(|row| row.iter().map(Option::is_none).collect());
    let mut order: Vec<ClassIndex> = question.classes.positions().collect();
    // Within a priority, rows with the fewest choices come first.
    order.sort_by_key(|&index| (question.classes[index].priority, question.classes[index].choices.len()));
    for index in order {
        let class = &question.classes[index];
        // The least cost of a row without its constant. `too_dear` is the constant of a row that found no place; until one is placed,
        // rows with at least that constant find none either.
        let least = class.choices.iter().map(|choice| choice.money).min().unwrap_or_default();
        let least = least + question.limits.labour_per_row;
        let mut too_dear: Option<Money> = None;
        let mut leader: Option<Leader> = None;
        for member in (0..class.members.len()).filter(|&member| start_is_open[index][member]) {
            let money = class.members[member].money;
            let beyond = question.limits.budget.is_some_and(|budget| shelf.spent + least + money > budget);
            if beyond || too_dear.is_some_and(|least| money >= least) {
                continue;
            }
            chosen[index][member] = place(question, closed, index, (member, &mut leader), &mut shelf);
            too_dear = if chosen[index][member].is_none() { Some(money) } else { None };
        }
    }
    Decision { chosen, packs: shelf.packs, ..Decision::default() }
}

/// The cheapest choice of the last placed member of a class. For the next member, only the cost of this choice may have changed.
struct Leader {
    choice: ChoiceIndex,
    /// Cost and position of the cheapest other choice.
    other: Option<(Money, ChoiceIndex)>,
    /// [`Shelf::terms`] at that time.
    terms: u64,
}

/// Places one member in its cheapest choice within the limits; `None` if there is none.
fn place(
    question: &Question,
    closed: &IndexTable<SupplierIndex, bool>,
    at: ClassIndex,
    (member, leader): (usize, &mut Option<Leader>),
    shelf: &mut Shelf,
) -> Option<ChoiceIndex> {
    let class: &Class = &question.classes[at];
    let own = class.members[member].money + question.limits.labour_per_row;
    let left = question.limits.budget.map(|budget| budget - shelf.spent - own);
    // Cost of a choice without the member's constant.
    let cost = |shelf: &mut Shelf, index: ChoiceIndex| {
        let choice = &class.choices[index];
        let purchase = match choice.supply {
            None => None,
            Some(supply) => match shelf.pieces(question, closed, supply, choice.pieces) {
                NextPiece::There => None,
                NextPiece::Bought(purchase) => Some(purchase),
                NextPiece::Never => return None,
            },
        };
        let bought = shelf.owned_money(question, at, member, index);
        let paid = choice.money + bought + purchase.map_or(Money::ZERO, |purchase| purchase.money);
        Some((paid + question.limits.litre_weight.per_litre(choice.fluid), paid, purchase))
    };
    let within = |paid: Money| left.is_none_or(|left| paid <= left);
    // With owned fluid, each placed lot changes the cost of all choices.
    let same_terms = |leader: &&mut Leader| leader.terms == shelf.terms && question.owned.is_empty();
    let again = leader.as_mut().filter(same_terms).and_then(|leader| {
        let (weighed, paid, purchase) = cost(shelf, leader.choice)?;
        let least = leader.other.is_none_or(|other| (weighed, leader.choice) < other);
        (least && within(paid)).then_some((leader.choice, paid, purchase))
    });
    let (index, paid, purchase) = match again {
        Some(again) => again,
        None => {
            let costs = class.choices.positions().filter_map(|index| Some((index, cost(shelf, index)?)));
            let ((index, paid, purchase), other) = cheapest(costs, within)?;
            *leader = Some(Leader { choice: index, other, terms: shelf.terms });
            (index, paid, purchase)
        }
    };
    let choice = class.choices[index];
    if let Some(supply) = choice.supply {
        shelf.take(question, supply, choice.pieces, purchase);
    }
    for (fluid, needs) in question.owned.iter().zip(&mut shelf.needs) {
        *needs += fluid.need(at, member, index);
    }
    shelf.spent += paid + own;
    Some(index)
}

/// Weighed money, money paid, and the purchase of packs.
type GreedyCost = (Money, Money, Option<PackChange>);

/// Two results: the choice of least weighed money within the limits, with money paid and purchase; and the weighed money and
/// position of the cheapest of all other choices, within the limits or not.
#[allow(clippy::type_complexity)]
fn cheapest(
    costs: impl Iterator<Item = (ChoiceIndex, GreedyCost)>,
    within: impl Fn(Money) -> bool,
) -> Option<((ChoiceIndex, Money, Option<PackChange>), Option<(Money, ChoiceIndex)>)> {
    let mut best: Option<(ChoiceIndex, GreedyCost)> = None;
    let mut other: Option<(Money, ChoiceIndex)> = None;
    for (index, (weighed, paid, purchase)) in costs {
        let mut beaten = Some((weighed, index));
        if within(paid) && best.as_ref().is_none_or(|(_, (least, ..))| weighed < *least) {
            beaten = best.replace((index, (weighed, paid, purchase))).map(|(index, (weighed, ..))| (weighed, index));
        }
        other = other.into_iter().chain(beaten).min();
    }
    let (index, (_, paid, purchase)) = best?;
    Some(((index, paid, purchase), other))
}

impl Shelf {
    /// Money for owned fluid that a member in a choice adds, because the need exceeds the stock.
    fn owned_money(&self, question: &Question, class: ClassIndex, member: usize, choice: ChoiceIndex) -> Money {
        let of_fluid = |(fluid, &needs): (&OwnedSupply, &Millilitres)| {
            let beyond = |need: Millilitres| fluid.price.per_litre((need - fluid.amount).max(Millilitres::ZERO));
            beyond(needs + fluid.need(class, member, choice)) - beyond(needs)
        };
        question.owned.iter().zip(&self.needs).map(of_fluid).sum()
    }

    /// How `pieces` more of a supply can be had.
    fn pieces(
        &mut self,
        question: &Question,
        closed: &IndexTable<SupplierIndex, bool>,
        supply: SupplyIndex,
        pieces: Pieces,
    ) -> NextPiece {
        if pieces > Pieces(1) {
            return buy(question, closed, self, supply, pieces);
        }
        let piece = self.next[supply].unwrap_or_else(|| buy(question, closed, self, supply, Pieces(1)));
        self.next[supply] = Some(piece);
        piece
    }

    /// Takes pieces of a supply and records the purchase for them.
    fn take(&mut self, question: &Question, supply: SupplyIndex, pieces: Pieces, purchase: Option<PackChange>) {
        self.used[supply] += pieces;
        self.next[supply] = None;
        let Some(PackChange { offer, packs, .. }) = purchase else { return };
        let is_counted = question.supplies[supply].counts_as_kind;
        let new_kind = is_counted && self.packs[supply].iter().all(|&packs| packs == Packs::ZERO);
        self.kinds += usize::from(new_kind);
        let more = packs - self.packs[supply][offer];
        self.packs[supply][offer] = packs;
        let terms = &question.supplies[supply].offers[offer];
        let mut terms_change = new_kind && question.limits.max_vessel_types.is_some();
        if let Some(supplier) = terms.supplier {
            let threshold = question.suppliers[supplier].free_over;
            terms_change |=
                self.ordered[supplier] == Packs::ZERO || threshold.is_some_and(|over| self.goods[supplier] < over);
            self.goods[supplier] += terms.pack_price * more;
            self.ordered[supplier] += more;
        }
        if terms_change {
            self.terms += 1;
            self.next.fill(None);
        }
    }
}

/// Packs ordered, by supplier.
fn packs_ordered(question: &Question, packs: &PacksBought) -> IndexTable<SupplierIndex, Packs> {
    let mut ordered = question.suppliers.filled(Packs::ZERO);
    for (supply, packs) in question.supplies.iter().zip(packs) {
        for (offer, packs) in supply.offers.iter().zip(packs) {
            if let Some(supplier) = offer.supplier {
                ordered[supplier] += *packs;
            }
        }
    }
    ordered
}

/// The cheapest purchase, of one offer, that provides `pieces` more of a supply, if any is needed.
fn buy(
    question: &Question,
    closed: &IndexTable<SupplierIndex, bool>,
    shelf: &Shelf,
    supply: SupplyIndex,
    pieces: Pieces,
) -> NextPiece {
    let terms: &Supply = &question.supplies[supply];
    let have = &shelf.packs[supply];
    let bought: Pieces = terms.offers.iter().zip(have).map(|(offer, packs)| offer.pack_size * *packs).sum();
    let needed = evaluate::pieces_to_buy(question, shelf.used[supply] + pieces, terms.free) - bought;
    if needed <= Pieces::ZERO {
        return NextPiece::There;
    }
    let CountLimits { max_vessel_types, max_suppliers } = question.limits.count_limits();
    let new_kind = terms.counts_as_kind && have.iter().all(|&packs| packs == Packs::ZERO);
    if new_kind && max_vessel_types.is_some_and(|most| shelf.kinds >= index(most)) {
        return NextPiece::Never;
    }
    let mut best: Option<PackChange> = None;
    for (index, offer) in terms.offers.iter().enumerate() {
        if offer.supplier.is_some_and(|supplier| closed[supplier] || !may_open(max_suppliers, shelf, supplier)) {
            continue;
        }
        let more = needed.in_packs_of(offer.pack_size);
        let packs = (have[index] + more).max(offer.min_packs);
        if offer.max_packs.is_some_and(|most| packs > most) {
            continue;
        }
        let money = added(question, shelf, offer, packs - have[index]);
        if best.is_none_or(|best| money < best.money) {
            best = Some(PackChange { offer: index, packs, money });
        }
    }
    best.map_or(NextPiece::Never, NextPiece::Bought)
}

/// Whether a supplier is ordered from already, or `max_suppliers` allows one more.
fn may_open(max_suppliers: Option<u32>, shelf: &Shelf, supplier: SupplierIndex) -> bool {
    let Some(most) = max_suppliers else { return true };
    let ordered_from = || shelf.ordered.iter().filter(|&&packs| packs > Packs::ZERO).count();
    shelf.ordered[supplier] > Packs::ZERO || ordered_from() < index(most)
}

/// Money that more packs of an offer add, including the change of the delivery charge.
fn added(question: &Question, shelf: &Shelf, offer: &OfferTerms, packs: Packs) -> Money {
    let price = offer.pack_price * packs;
    let Some(supplier) = offer.supplier else { return price };
    let terms = &question.suppliers[supplier];
    let before = shelf.goods[supplier];
    let delivery = |goods: Money, any: bool| {
        let free = terms.free_over.is_some_and(|threshold| goods >= threshold);
        if any && !free { terms.charge } else { Money::ZERO }
    };
    price + delivery(before + price, true) - delivery(before, shelf.ordered[supplier] > Packs::ZERO)
}
