//! A plan that is always there: rows in order of priority, each by its cheapest choice as things stand.
//!
//! Suppliers whose minimum is not reached are closed and the whole is done again, so that the result keeps every
//! constraint; it is the solver's start, and the plan where the solver stops empty-handed.

use super::evaluate;
use crate::decision::{
    ChoiceIndex, Class, ClassIndex, Decision, OfferTerms, OwnedSupply, PacksBought, Question, SupplierIndex, Supply,
    SupplyIndex,
};
use crate::units::{IndexTable, Millilitres, Money, Packs, Pieces};

/// A decision that keeps every constraint.
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

/// A decision with the rows it left deferred placed where they can be, its own rows and packs kept.
pub fn complete(question: &Question, decision: &Decision) -> Decision {
    let orders = evaluate::orders(question, &decision.packs);
    // A supplier with a minimum that is not ordered from yet might stay below it.
    let closed = question.suppliers.iter().zip(&orders);
    let closed = closed.map(|(terms, order)| !order.any && terms.minimum > Money::ZERO).collect();
    pass(question, &closed, Some(decision))
}

/// What has been used and bought so far.
struct Shelf {
    used: IndexTable<SupplyIndex, Pieces>,
    packs: PacksBought,
    goods: IndexTable<SupplierIndex, Money>,
    /// By supplier, packs ordered.
    ordered: IndexTable<SupplierIndex, Packs>,
    /// Kinds of vessel bought.
    kinds: usize,
    spent: Money,
    /// By supply, one piece more, where that is known as things stand.
    next: IndexTable<SupplyIndex, Option<NextPiece>>,
    /// How often the terms of purchases have changed, for more than the supply that was bought.
    terms: u64,
    /// What the lots placed so far need of each owned fluid.
    needs: Vec<Millilitres>,
}

/// How one piece more of a supply may be had.
#[derive(Clone, Copy)]
enum NextPiece {
    /// There is one.
    There,
    Bought(PackChange),
    Never,
}

/// So many packs of an offer in all, instead of those there were.
#[derive(Clone, Copy)]
struct PackChange {
    offer: usize,
    packs: Packs,
    /// What that adds, with the delivery it brings or saves.
    money: Money,
}

/// One round over all rows that the start leaves deferred.
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
    // Rows with the fewest choices first within a priority: they have nowhere else to go.
    order.sort_by_key(|&index| (question.classes[index].priority, question.classes[index].choices.len()));
    for index in order {
        let class = &question.classes[index];
        // What a row costs at least beside its own, and the money of a row that found no place since one did: what costs as
        // much finds none either.
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

/// The choice that was cheapest for a member of a class. For the next one only its own cost is another.
struct Leader {
    choice: ChoiceIndex,
    /// The least that any other costs, and which.
    other: Option<(Money, ChoiceIndex)>,
    /// Of the shelf.
    terms: u64,
}

/// Places one member by its cheapest choice, if any is within the limits.
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
    // What a choice costs beside what the member does wherever it is placed.
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
    // What is left of an owned fluid changes with every lot.
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

/// Weighed money, money paid, and packs bought for it.
type GreedyCost = (Money, Money, Option<PackChange>);

/// Two results: the choice of least weighed money among those within the limits, with what is paid and bought for it; and
/// the weighed money and position of the cheapest of all other choices, within the limits or not.
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
    /// What owned fluid has to be bought for a member in a choice, beyond what there is.
    fn owned_money(&self, question: &Question, class: ClassIndex, member: usize, choice: ChoiceIndex) -> Money {
        let of_fluid = |(fluid, &needs): (&OwnedSupply, &Millilitres)| {
            let beyond = |need: Millilitres| fluid.price.per_litre((need - fluid.amount).max(Millilitres::ZERO));
            beyond(needs + fluid.need(class, member, choice)) - beyond(needs)
        };
        question.owned.iter().zip(&self.needs).map(of_fluid).sum()
    }

    /// How so many pieces of a supply may be had.
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

    /// Takes pieces of a supply, with what is bought for them.
    fn take(&mut self, question: &Question, supply: SupplyIndex, pieces: Pieces, purchase: Option<PackChange>) {
        self.used[supply] += pieces;
        self.next[supply] = None;
        let Some(PackChange { offer, packs, .. }) = purchase else { return };
        let new_kind = self.packs[supply].iter().all(|&packs| packs == Packs::ZERO);
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

/// Packs of each supplier's offers.
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

/// What is bought to take so many more pieces of a supply, if anything need be.
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
    let new_kind = have.iter().all(|&packs| packs == Packs::ZERO);
    if new_kind && shelf.kinds >= question.limits.most_kinds() {
        return NextPiece::Never;
    }
    let mut best: Option<PackChange> = None;
    for (index, offer) in terms.offers.iter().enumerate() {
        if offer.supplier.is_some_and(|supplier| closed[supplier] || !may_open(question, shelf, supplier)) {
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

/// Whether a supplier is ordered from already, or may still be.
fn may_open(question: &Question, shelf: &Shelf, supplier: SupplierIndex) -> bool {
    if question.limits.max_suppliers.is_none() {
        return true;
    }
    let ordered_from = || shelf.ordered.iter().filter(|&&packs| packs > Packs::ZERO).count();
    shelf.ordered[supplier] > Packs::ZERO || ordered_from() < question.limits.most_suppliers()
}

/// What more packs of an offer add, with the delivery they bring or save.
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
