//! Rows to places with limited room at least cost: the transportation problem, solved exactly in whole numbers.
//!
//! Successive shortest paths on the graph of places (Jewell 1958; Busacker & Gowen 1960; cited from memory): rows are added one kind at a
//! time, each along the cheapest chain of moves that ends where there is room. Places without a limit never fill, so
//! only the limited ones are nodes of the graph.

/// A cost no arc has: the arc does not exist.
pub const FORBIDDEN: i128 = i128::MAX / 8;

/// Kinds of rows with their numbers, places with their room, and the cost of each with each.
#[derive(Clone, Debug, Default)]
pub struct Transport {
    /// Rows of each kind.
    pub counts: Vec<i64>,
    /// Cost by kind and place; [`FORBIDDEN`] where it may not go.
    pub costs: Vec<Vec<i128>>,
    /// Room of each place; [`UNLIMITED`] where there is no limit.
    pub room: Vec<i64>,
}

/// Room that never fills.
pub const UNLIMITED: i64 = i64::MAX;

/// A cheapest way to send every row somewhere.
#[derive(Clone, Debug)]
pub struct Flow {
    /// Its cost.
    pub cost: i128,
    /// Rows by kind: place and number, in order of place.
    pub sent: Vec<Vec<(usize, i64)>>,
}

/// The cheapest flow; `None` where the rows cannot all be sent.
pub fn solve(transport: &Transport) -> Option<Flow> {
    let mut network = Network::new(transport);
    for kind in 0..transport.counts.len() {
        let mut left = transport.counts[kind];
        while left > 0 {
            left -= network.send(kind, left)?;
        }
    }
    Some(network.flow())
}

/// The cheapest move of a row out of a place.
#[derive(Clone, Copy)]
struct Move {
    cost: i128,
    kind: usize,
}

const NO_MOVE: Move = Move { cost: FORBIDDEN, kind: usize::MAX };

struct Network<'a> {
    transport: &'a Transport,
    /// Places with a limit.
    limited: Vec<usize>,
    /// By kind, the cheapest place without a limit.
    outside: Vec<Move>,
    outside_place: Vec<usize>,
    /// By kind and limited place, rows there.
    sent: Vec<Vec<i64>>,
    /// By kind, rows outside.
    sent_outside: Vec<i64>,
    /// By limited place, room left.
    left: Vec<i64>,
    /// By limited place, kinds with rows there.
    kinds: Vec<Vec<usize>>,
    /// By limited place, the cheapest move to each other limited place, and outside last.
    moves: Vec<Vec<Move>>,
}

impl<'a> Network<'a> {
    fn new(transport: &'a Transport) -> Self {
        let limited: Vec<usize> = (0..transport.room.len())
            .filter(|&place| transport.room[place] != UNLIMITED && transport.room[place] > 0)
            .collect();
        let free = (0..transport.room.len()).filter(|&place| transport.room[place] == UNLIMITED);
        let free: Vec<usize> = free.collect();
        let cheapest =
            |costs: &Vec<i128>| free.iter().map(|&place| (costs[place], place)).min().unwrap_or((FORBIDDEN, 0));
        let outside: Vec<(i128, usize)> = transport.costs.iter().map(cheapest).collect();
        let n = limited.len();
        Network {
            transport,
            outside: outside.iter().enumerate().map(|(kind, &(cost, _))| Move { cost, kind }).collect(),
            outside_place: outside.into_iter().map(|(_, place)| place).collect(),
            sent: vec![vec![0; n]; transport.counts.len()],
            sent_outside: vec![0; transport.counts.len()],
            left: limited.iter().map(|&place| transport.room[place]).collect(),
            kinds: vec![Vec::new(); n],
            moves: vec![vec![NO_MOVE; n + 1]; n],
            limited,
        }
    }

    fn cost(&self, kind: usize, place: usize) -> i128 {
        self.transport.costs[kind][self.limited[place]]
    }

    /// Sends up to `most` rows of a kind along one cheapest chain, and says how many; `None` where there is none.
    fn send(&mut self, kind: usize, most: i64) -> Option<i64> {
        let n = self.limited.len();
        let mut distance: Vec<i128> = (0..n).map(|place| self.cost(kind, place)).collect();
        // No chain out of a full place gains anything: where the cheapest place has room, or is outside, it is the end.
        if let Some((place, &least)) = distance.iter().enumerate().min_by_key(|(_, cost)| **cost)
            && least < self.outside[kind].cost
        {
            if self.left[place] > 0 {
                let amount = most.min(self.left[place]);
                self.left[place] -= amount;
                self.put(kind, place, amount);
                return Some(amount);
            }
        } else if self.outside[kind].cost < FORBIDDEN {
            self.sent_outside[kind] += most;
            return Some(most);
        }
        let mut before: Vec<Option<usize>> = vec![None; n];
        // Places whose distance fell since their moves were last looked at.
        let mut fell = vec![true; n];
        let mut changed = true;
        while changed {
            changed = false;
            for from in 0..n {
                if !std::mem::replace(&mut fell[from], false) || self.left[from] > 0 || distance[from] >= FORBIDDEN {
                    continue;
                }
                for to in 0..n {
                    let step = self.moves[from][to].cost;
                    if step < FORBIDDEN && to != from && distance[from] + step < distance[to] {
                        distance[to] = distance[from] + step;
                        before[to] = Some(from);
                        fell[to] = true;
                        changed = true;
                    }
                }
            }
        }
        // Where the chain ends: at once outside, at a place with room, or by a move outside from a full place.
        let mut best = (self.outside[kind].cost, None);
        for (place, &so_far) in distance.iter().enumerate() {
            let end = if self.left[place] > 0 { 0 } else { self.moves[place][n].cost };
            if so_far < FORBIDDEN && end < FORBIDDEN && so_far + end < best.0 {
                best = (so_far + end, Some(place));
            }
        }
        if best.0 >= FORBIDDEN {
            return None;
        }
        let Some(end) = best.1 else {
            self.sent_outside[kind] += most;
            return Some(most);
        };
        let mut chain = vec![end];
        while let Some(from) = before[chain[chain.len() - 1]] {
            chain.push(from);
        }
        chain.reverse();
        let mut amount = if self.left[end] > 0 { most.min(self.left[end]) } else { most };
        for pair in chain.windows(2) {
            amount = amount.min(self.sent[self.moves[pair[0]][pair[1]].kind][pair[0]]);
        }
        let leaves = self.left[end] == 0;
        if leaves {
            amount = amount.min(self.sent[self.moves[end][n].kind][end]);
        }
        let steps: Vec<(usize, usize, usize)> =
            chain.windows(2).map(|pair| (self.moves[pair[0]][pair[1]].kind, pair[0], pair[1])).collect();
        if leaves {
            let moved = self.moves[end][n].kind;
            self.take(moved, end, amount);
            self.sent_outside[moved] += amount;
        } else {
            self.left[end] -= amount;
        }
        for (moved, from, to) in steps {
            self.take(moved, from, amount);
            self.put(moved, to, amount);
        }
        self.put(kind, chain[0], amount);
        Some(amount)
    }

    /// Cost of a kind at a limited place, or outside for the number after the last.
    fn cost_to(&self, kind: usize, to: usize) -> i128 {
        if to == self.limited.len() { self.outside[kind].cost } else { self.cost(kind, to) }
    }

    /// Adds rows to a place; its cheapest moves may become cheaper.
    fn put(&mut self, kind: usize, place: usize, amount: i64) {
        let newly_there = self.sent[kind][place] == 0;
        self.sent[kind][place] += amount;
        if !newly_there {
            return;
        }
        self.kinds[place].push(kind);
        let here = self.cost(kind, place);
        for to in 0..=self.limited.len() {
            let there = self.cost_to(kind, to);
            let best = &mut self.moves[place][to];
            if there < FORBIDDEN && (there - here, kind) < (best.cost, best.kind) {
                *best = Move { cost: there - here, kind };
            }
        }
    }

    /// Takes rows from a place; where the last of a kind leaves, the moves that were its own are sought again.
    fn take(&mut self, kind: usize, place: usize, amount: i64) {
        self.sent[kind][place] -= amount;
        if self.sent[kind][place] > 0 {
            return;
        }
        self.kinds[place].retain(|&other| other != kind);
        for to in 0..=self.limited.len() {
            if self.moves[place][to].kind != kind {
                continue;
            }
            let mut best = NO_MOVE;
            for &other in &self.kinds[place] {
                let there = self.cost_to(other, to);
                let cost = there - self.cost(other, place);
                if there < FORBIDDEN && (cost, other) < (best.cost, best.kind) {
                    best = Move { cost, kind: other };
                }
            }
            self.moves[place][to] = best;
        }
    }

    fn flow(&self) -> Flow {
        let mut cost = 0;
        let mut sent = Vec::with_capacity(self.sent.len());
        for (kind, places) in self.sent.iter().enumerate() {
            let mut row: Vec<(usize, i64)> = Vec::new();
            for (place, &amount) in places.iter().enumerate().filter(|(_, amount)| **amount > 0) {
                cost += self.cost(kind, place) * i128::from(amount);
                row.push((self.limited[place], amount));
            }
            if self.sent_outside[kind] > 0 {
                cost += self.outside[kind].cost * i128::from(self.sent_outside[kind]);
                row.push((self.outside_place[kind], self.sent_outside[kind]));
            }
            row.sort_unstable();
            sent.push(row);
        }
        Flow { cost, sent }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A small generator, so that every run sees the same cases (Marsaglia 2003, xorshift).
    fn next(state: &mut u64) -> u64 {
        *state ^= *state << 13;
        *state ^= *state >> 7;
        *state ^= *state << 17;
        *state
    }

    /// The least cost by trying everything, one row at a time.
    fn least(transport: &Transport, rows: &[usize], room: &mut Vec<i64>) -> Option<i128> {
        let Some((&kind, rest)) = rows.split_first() else { return Some(0) };
        let mut best = None;
        for place in 0..room.len() {
            let cost = transport.costs[kind][place];
            if cost >= FORBIDDEN || room[place] == 0 {
                continue;
            }
            let limited = room[place] != UNLIMITED;
            room[place] -= i64::from(limited);
            if let Some(others) = least(transport, rest, room) {
                best = Some(best.map_or(cost + others, |best: i128| best.min(cost + others)));
            }
            room[place] += i64::from(limited);
        }
        best
    }

    #[test]
    fn the_flow_is_the_cheapest_of_all_ways() {
        let mut state = 88_172_645_463_325_252;
        let mut infeasible = 0;
        for _ in 0..2000 {
            let n_kinds = 1 + (next(&mut state) % 4) as usize;
            let n_places = 1 + (next(&mut state) % 4) as usize;
            let room = (0..n_places).map(|_| match next(&mut state) % 6 {
                0 => UNLIMITED,
                n => n as i64 - 1,
            });
            let room: Vec<i64> = room.collect();
            let cost = |state: &mut u64| {
                if next(state).is_multiple_of(4) { FORBIDDEN } else { (next(state) % 20) as i128 - 5 }
            };
            let costs: Vec<Vec<i128>> =
                (0..n_kinds).map(|_| (0..n_places).map(|_| cost(&mut state)).collect()).collect();
            let counts: Vec<i64> = (0..n_kinds).map(|_| 1 + (next(&mut state) % 2) as i64).collect();
            let transport = Transport { counts: counts.clone(), costs, room: room.clone() };
            let rows: Vec<usize> = (0..n_kinds).flat_map(|kind| vec![kind; counts[kind] as usize]).collect();
            let best = least(&transport, &rows, &mut room.clone());
            let flow = solve(&transport);
            assert_eq!(flow.as_ref().map(|flow| flow.cost), best, "{transport:?}");
            infeasible += usize::from(best.is_none());
            if let Some(flow) = flow {
                for (kind, sent) in flow.sent.iter().enumerate() {
                    assert_eq!(sent.iter().map(|(_, amount)| amount).sum::<i64>(), counts[kind]);
                }
                for (place, &room) in room.iter().enumerate() {
                    let used: i64 = flow.sent.iter().flatten().filter(|(to, _)| *to == place).map(|(_, n)| n).sum();
                    assert!(room == UNLIMITED || used <= room);
                }
            }
        }
        assert!(infeasible > 100, "too few cases without a way: {infeasible}");
    }
}
