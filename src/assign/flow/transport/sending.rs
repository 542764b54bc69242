//! Rows of a kind on their way to places.

use super::chains::START;
use super::{NONE, Transport};

impl Transport {
    /// Sends up to `most` rows of a kind to the one place where they are cheapest, as long as there is room at its price, and
    /// says how many.
    pub(super) fn send_directly(&mut self, kind: usize, most: i64) -> i64 {
        let mut best = (NONE, true, START, 0);
        let mut others = NONE;
        for arc in self.network.arcs(kind).filter(|&arc| !self.closed[arc]) {
            let at = &self.places[self.network.place(arc)];
            let this = (self.next_on(arc).0 + at.price, at.next.0 > at.price, self.network.place(arc), arc);
            others = others.min(this.max(best).0);
            best = best.min(this);
        }
        let (_, dearer, place, arc) = best;
        if dearer {
            return 0;
        }
        let before = (self.sent[arc] == 0, self.costs_if_rising(arc));
        let price = self.places[place].price;
        let mut amount = 0;
        while amount < most {
            let ((cost, alike), (next, room)) = (self.next_on(arc), self.places[place].next);
            if next > price || cost + price > others {
                break;
            }
            let some = alike.min(room).min(most - amount);
            self.sent[arc] += some;
            self.change_used(place, some);
            self.cost += (cost + next) * i128::from(some);
            amount += some;
        }
        self.offer(arc as u32, before);
        amount
    }

    /// Sends up to `most` rows of a kind along one cheapest chain, and says how many.
    pub(super) fn send(&mut self, kind: usize, most: i64) -> i64 {
        self.search.clear();
        let arcs = self.network.arcs(kind);
        let open: Vec<usize> = arcs.filter(|&arc| !self.closed[arc]).collect();
        let at_prices = |arc: &usize| self.next_on(*arc).0 + self.places[self.network.place(*arc)].price;
        let costs: Vec<i128> = open.iter().map(at_prices).collect();
        let least = costs.iter().copied().min().unwrap_or(0);
        for (&arc, cost) in open.iter().zip(costs) {
            let (place, distance) = (self.network.place(arc), cost - least);
            let at = &self.places[place];
            self.search.meet(place, distance, START);
            self.search.end = self.search.end.min((distance + at.next.0 - at.price, place));
        }
        self.reach();
        let (distance, end) = self.search.end;
        self.reprice(distance, 1);
        let path = least + distance;
        let chain = self.chain(end);
        let arc = open.iter().copied().find(|&arc| self.network.place(arc) == chain[0]);
        let alike = arc.map_or(i64::MAX, |arc| self.next_on(arc).1);
        let amount = self.most_along(&chain).min(self.places[end].next.1).min(most).min(alike);
        self.shift(&chain, amount);
        if let Some(arc) = arc {
            self.put(arc as u32, amount);
        }
        self.change_used(end, amount);
        self.cost += path * i128::from(amount);
        amount
    }
}
