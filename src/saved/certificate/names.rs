//! What the positions in a certificate refer to, and the texts of its cuts, numbers and nodes, written and read.

use std::collections::{BTreeSet, HashMap};

use itertools::Itertools;

use super::rows::{KeyOrder, read_rows, written_rows};
use super::spelling::{items, one_for_each, pairs, position_and_number, whole};
use crate::decision::Certificate;
use crate::decision::certificate::{Cut, CutForm, LotChoice, Node, Numbers, Weights};
use crate::project::Project;
use crate::rules::FluidId;
use crate::stock::{SupplierId, VesselId};

/// The suppliers, offers, vessels and fluids that positions in a certificate refer to.
pub(super) struct Names {
    pub(super) suppliers: Vec<SupplierId>,
    pub(super) offers: Vec<usize>,
    pub(super) vessels: Vec<VesselId>,
    pub(super) fluids: Vec<FluidId>,
}

impl Names {
    /// All that a certificate refers to, in the order of the stock list. Only offers are in order of their first occurrence in the tree, then by
    /// vessel and terms, which does not depend on the order of the stock list's lines.
    pub(super) fn of(project: &Project, certificate: &Certificate) -> Self {
        let Certificate { nodes, numbers, cuts, .. } = certificate;
        let mut suppliers: BTreeSet<SupplierId> = BTreeSet::new();
        let mut vessels: BTreeSet<VesselId> = BTreeSet::new();
        let mut offers = Vec::new();
        for node in nodes {
            match *node {
                Node::Supplier(supplier) => drop(suppliers.insert(supplier)),
                Node::Packs { offer, .. } => offers.push(offer),
                Node::Lots { place: LotChoice::Vessel(vessel), .. } => drop(vessels.insert(vessel)),
                Node::Lots { .. } | Node::Pieces { .. } | Node::Leaf { .. } => {}
            }
        }
        suppliers.extend(numbers.iter().flat_map(|numbers| numbers.goods.iter().map(|(supplier, _)| *supplier)));
        vessels.extend(numbers.iter().flat_map(|numbers| numbers.prices.iter().map(|(vessel, _)| *vessel)));
        for Cut { vessel, form, .. } in cuts {
            vessels.insert(*vessel);
            if let CutForm::Supplier(supplier) = form {
                suppliers.insert(*supplier);
            }
        }
        let fluids = numbers.iter().flat_map(|numbers| numbers.owned.iter().map(|(fluid, _)| *fluid));
        let shares = numbers.iter().flat_map(|numbers| numbers.per_kind.iter().map(|(offer, _)| *offer));
        let terms = |offer: &usize| {
            let offer = &project.stock.offers[*offer];
            let supplier = offer.supplier.map(|supplier| &project.stock.supplier(supplier).name);
            let packs = (offer.pack_size, offer.pack_price, offer.min_packs, offer.order_limit);
            (offer.vessel, supplier, packs, &offer.order_code, offer.line)
        };
        offers.extend(shares.sorted_unstable().dedup().sorted_by_key(terms));
        Names {
            suppliers: suppliers.into_iter().collect(),
            offers: offers.into_iter().unique().collect(),
            vessels: vessels.into_iter().collect(),
            fluids: fluids.collect::<BTreeSet<_>>().into_iter().collect(),
        }
    }

    fn supplier(&self, supplier: SupplierId) -> usize {
        self.suppliers.partition_point(|other| *other < supplier)
    }

    fn vessel(&self, vessel: VesselId) -> usize {
        self.vessels.partition_point(|other| *other < vessel)
    }

    fn offer(&self, offer: usize) -> usize {
        self.offers.iter().take_while(|other| **other != offer).count()
    }

    pub(super) fn written_node(&self, node: &Node) -> String {
        match *node {
            Node::Leaf { numbers } => numbers.to_string(),
            Node::Supplier(supplier) => format!("s{}", self.supplier(supplier)),
            Node::Packs { offer, at_most } => format!("p{}<={at_most}", self.offer(offer)),
            Node::Pieces { cut, at_most } => format!("c{cut}<={at_most}"),
            Node::Lots { group, place, at_most } => {
                let place = match place {
                    LotChoice::Vessel(vessel) => format!("v{}", self.vessel(vessel)),
                    LotChoice::Tank => TANK.to_owned(),
                    LotChoice::Waiting => WAITING.to_owned(),
                };
                format!("l{group}@{place}<={at_most}")
            }
        }
    }

    pub(super) fn node(&self, text: &str) -> Option<Node> {
        if let Some(supplier) = text.strip_prefix('s') {
            return Some(Node::Supplier(*self.suppliers.get(whole::<usize>(supplier)?)?));
        }
        if let Some(packs) = text.strip_prefix('p') {
            let (offer, at_most) = packs.split_once("<=")?;
            return Some(Node::Packs { offer: *self.offers.get(whole::<usize>(offer)?)?, at_most: whole(at_most)? });
        }
        if let Some(pieces) = text.strip_prefix('c') {
            let (cut, at_most) = pieces.split_once("<=")?;
            return Some(Node::Pieces { cut: whole(cut)?, at_most: whole(at_most)? });
        }
        if let Some(lots) = text.strip_prefix('l') {
            let (group, rest) = lots.split_once('@')?;
            let (place, at_most) = rest.split_once("<=")?;
            let place = match place {
                TANK => LotChoice::Tank,
                WAITING => LotChoice::Waiting,
                vessel => LotChoice::Vessel(*self.vessels.get(whole::<usize>(vessel.strip_prefix('v')?)?)?),
            };
            return Some(Node::Lots { group: whole(group)?, place, at_most: whole(at_most)? });
        }
        Some(Node::Leaf { numbers: whole(text)? })
    }

    pub(super) fn written_cuts(&self, order: &KeyOrder, cuts: &[Cut]) -> Vec<String> {
        let mut first: HashMap<&[u32], usize> = HashMap::new();
        for (position, cut) in cuts.iter().enumerate() {
            first.entry(&cut.rows).or_insert(position);
        }
        let written = |(position, cut): (usize, &'_ Cut)| {
            let form = match cut.form {
                CutForm::Packs { divisor, spares: false } => divisor.to_string(),
                CutForm::Packs { divisor, spares: true } => format!("{divisor}{SPARES}"),
                CutForm::SparePiece { divisor } => format!("{divisor}{SPARE_PIECE}"),
                CutForm::LeastPurchase => return format!("v{}/{LEAST}:", self.vessel(cut.vessel)),
                CutForm::Count => COUNT.to_owned(),
                CutForm::Kind => KIND.to_owned(),
                CutForm::Supplier(supplier) => format!("s{}", self.supplier(supplier)),
            };
            let same = first[cut.rows.as_slice()];
            let rows = if same < position { format!("={same}") } else { written_rows(order, &cut.rows) };
            format!("v{}/{form}:{rows}", self.vessel(cut.vessel))
        };
        cuts.iter().enumerate().map(written).collect()
    }

    /// Reads a cut; `before` are those that precede it.
    pub(super) fn cut(&self, order: &KeyOrder, before: &[Cut], text: &str) -> Option<Cut> {
        let (says, rows) = text.split_once(':')?;
        let (vessel, form) = says.strip_prefix('v')?.split_once('/')?;
        let form = match form {
            LEAST => CutForm::LeastPurchase,
            COUNT => CutForm::Count,
            KIND => CutForm::Kind,
            _ => match (form.strip_prefix('s'), form.strip_suffix(SPARES), form.strip_suffix(SPARE_PIECE)) {
                (Some(supplier), ..) => CutForm::Supplier(*self.suppliers.get(whole::<usize>(supplier)?)?),
                (None, Some(divisor), _) => CutForm::Packs { divisor: whole(divisor)?, spares: true },
                (None, None, Some(divisor)) => CutForm::SparePiece { divisor: whole(divisor)? },
                (None, None, None) => CutForm::Packs { divisor: whole(form)?, spares: false },
            },
        };
        let rows = match rows.strip_prefix('=') {
            None if form == CutForm::LeastPurchase => rows.is_empty().then(Vec::new)?,
            Some(_) if form == CutForm::LeastPurchase => return None,
            Some(same) => before.get(whole::<usize>(same)?)?.rows.clone(),
            None => read_rows(order, rows)?,
        };
        Some(Cut { vessel: *self.vessels.get(whole::<usize>(vessel)?)?, form, rows })
    }

    /// Numbers; `before` are the prices of those before, and then their own.
    pub(super) fn written(&self, numbers: &Numbers, before: &mut Vec<i64>) -> String {
        let Weights { weighted_deferred, deferred: [one, two, three, four], money, fluid, budget } = numbers.weights;
        let weights = [one, two, three, four, money, fluid, budget];
        let weighted = Some(weighted_deferred).filter(|weight| *weight != 0);
        let weights = weights.into_iter().chain(weighted).join(",");
        let pairs = |pairs: &mut dyn Iterator<Item = (usize, i64)>| {
            pairs.sorted_unstable().map(|(position, number)| format!("{position}:{number}")).join(",")
        };
        let goods = pairs(&mut numbers.goods.iter().map(|(supplier, weight)| (self.supplier(*supplier), *weight)));
        let fluid = |fluid: FluidId| self.fluids.partition_point(|other| *other < fluid);
        let owned = pairs(&mut numbers.owned.iter().map(|(of, weight)| (fluid(*of), *weight)));
        let shares = pairs(&mut numbers.per_kind.iter().map(|(offer, share)| (self.offer(*offer), *share)));
        let mut prices = vec![0; self.vessels.len()];
        numbers.prices.iter().for_each(|(vessel, price)| prices[self.vessel(*vessel)] = *price);
        let changed = prices.iter().zip(&*before).map(|(price, before)| (price != before).then(|| price.to_string()));
        let changed = changed.map(Option::unwrap_or_default).join(",");
        *before = prices;
        let cuts = pairs(&mut numbers.cuts.iter().copied());
        format!("{weights}|{},{}|{goods}|{changed}|{owned}|{shares}|{cuts}", numbers.per_supplier, numbers.kinds)
    }

    /// Numbers; `before` are the prices of those before, and then their own.
    pub(super) fn numbers(&self, text: &str, before: &mut [i64]) -> Option<Numbers> {
        let [weights, caps, goods, prices, owned, shares, cuts] =
            text.split('|').collect::<Vec<_>>().try_into().ok()?;
        let weights = items(weights).map(whole).collect::<Option<Vec<i64>>>()?;
        let (weights, weighted_deferred) = match weights[..] {
            [.., weighted] if weights.len() == 8 => (&weights[..7], weighted),
            _ => (&weights[..], 0),
        };
        let &[one, two, three, four, money, fluid, budget] = weights else { return None };
        let [per_supplier, kinds] = items(caps).map(whole).collect::<Option<Vec<_>>>()?.try_into().ok()?;
        let prices = one_for_each(prices, self.vessels.len())?;
        for (price, text) in before.iter_mut().zip(prices).filter(|(_, text)| !text.is_empty()) {
            *price = whole(text)?;
        }
        let prices = self.vessels.iter().copied().zip(before.iter().copied()).filter(|(_, price)| *price != 0);
        let mut per_kind = pairs(shares, &self.offers)?;
        per_kind.sort_unstable();
        Some(Numbers {
            weights: Weights { weighted_deferred, deferred: [one, two, three, four], money, fluid, budget },
            prices: prices.collect(),
            goods: pairs(goods, &self.suppliers)?,
            owned: pairs(owned, &self.fluids)?,
            per_supplier,
            kinds,
            per_kind,
            cuts: items(cuts).map(position_and_number).collect::<Option<_>>()?,
        })
    }
}

const TANK: &str = "tank";
const WAITING: &str = "wait";
const KIND: &str = "kind";
const COUNT: &str = "count";
const SPARES: &str = "+spares";
const SPARE_PIECE: &str = "+one";
const LEAST: &str = "least";
