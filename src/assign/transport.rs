//! Rows to places at least cost: the transportation problem, solved exactly in whole numbers and solved again after a change.
//!
//! Successive shortest paths on the graph of places (Jewell 1958; Busacker & Gowen 1960; cited from memory): each row goes
//! along the cheapest chain of moves, and so does each row that a change of a place's prices pushes out or draws in. The
//! flow is the cheapest after every call, so a small change costs little.

use std::collections::VecDeque;

/// A cost no move has: there is none.
const NONE: i128 = i128::MAX / 4;

/// What a row costs where there is no room for it: more than any chain of moves saves.
const OVERFULL: i128 = 1 << 110;

/// Room that never fills.
pub const UNLIMITED: i64 = i64::MAX;

/// So many rows at one price each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Step {
    /// Rows; [`UNLIMITED`] where there is no end of them.
    pub room: i64,
    /// What each costs.
    pub price: i128,
}

/// Where a kind of rows may go.
#[derive(Clone, Copy, Debug)]
pub struct Arc {
    /// Which place.
    pub place: usize,
    /// What a row costs there beside the price of its room.
    pub cost: i128,
}

/// A cheapest flow of rows to places.
#[derive(Clone, Debug)]
pub struct Transport {
    /// By kind, where its arcs start; one more at the end.
    first_arc: Vec<usize>,
    counts: Vec<i64>,
    /// Rows of a kind that has nowhere to go.
    stranded: i64,
    kind_of: Vec<u32>,
    arcs: Vec<Arc>,
    /// The arcs of each kind in order of place.
    by_place: Vec<u32>,
    closed: Vec<bool>,
    /// By arc, rows on it.
    sent: Vec<i64>,
    places: Vec<Place>,
    /// Places with rows.
    occupied: Vec<usize>,
    /// By two places, the cheapest move from one to the other.
    moves: Vec<Move>,
    cost: i128,
    search: Search,
}

#[derive(Clone, Debug)]
struct Place {
    /// Rows up to which a price holds, in order of price; the last is endless.
    steps: Vec<(i64, i128)>,
    capacity: i64,
    used: i64,
    /// What one more row costs, and for how many.
    next: (i128, i64),
    /// What the last row cost, and how many did.
    last: (i128, i64),
    /// Arcs with rows here.
    here: Vec<u32>,
    /// Places to which the cheapest move from here is to be sought again.
    stale: Vec<usize>,
}

/// The cheapest move of one row between two places.
#[derive(Clone, Copy, Debug)]
struct Move {
    cost: i128,
    from: u32,
    to: u32,
}

const NO_MOVE: Move = Move { cost: NONE, from: u32::MAX, to: u32::MAX };

/// A search for shortest chains.
#[derive(Clone, Debug)]
struct Search {
    distance: Vec<i128>,
    before: Vec<usize>,
    /// The best chain found and the place where it ends, or starts where it was sought backwards.
    end: (i128, usize),
    queue: VecDeque<usize>,
    queued: Vec<bool>,
}

/// No place stands before this one in a chain.
const START: usize = usize::MAX;

impl Transport {
    /// Sends all rows: of each kind so many, along its arcs, one to a place; each place with its
    /// steps in order of price.
    pub fn new(kinds: Vec<(i64, Vec<Arc>)>, steps: &[Vec<Step>]) -> Self {
        let n = steps.len();
        let mut first_arc = vec![0];
        let (mut arcs, mut kind_of): (Vec<Arc>, Vec<u32>) = (Vec::new(), Vec::new());
        for (kind, (_, of_kind)) in kinds.iter().enumerate() {
            arcs.extend(of_kind);
            kind_of.resize(arcs.len(), kind as u32);
            first_arc.push(arcs.len());
        }
        let mut by_place: Vec<u32> = (0..arcs.len() as u32).collect();
        for range in first_arc.windows(2) {
            by_place[range[0]..range[1]].sort_by_key(|&arc| arcs[arc as usize].place);
        }
        let search = Search {
            distance: vec![NONE; n],
            before: vec![START; n],
            end: (NONE, START),
            queue: VecDeque::new(),
            queued: vec![false; n],
        };
        let mut transport = Transport {
            first_arc,
            counts: vec![0; kinds.len()],
            stranded: 0,
            kind_of,
            by_place,
            closed: vec![false; arcs.len()],
            sent: vec![0; arcs.len()],
            arcs,
            places: steps.iter().map(|steps| Place::new(steps)).collect(),
            occupied: Vec::new(),
            moves: vec![NO_MOVE; n * n],
            cost: 0,
            search,
        };
        for (kind, (count, _)) in kinds.iter().enumerate() {
            transport.set_count(kind, *count);
        }
        transport
    }

    /// What the flow costs; `None` where some row has no room.
    pub fn cost(&self) -> Option<i128> {
        let fits = self.stranded == 0 && self.places.iter().all(|place| place.used <= place.capacity);
        fits.then_some(self.cost)
    }

    /// Rows at a place.
    pub fn used(&self, place: usize) -> i64 {
        self.places[place].used
    }

    /// Rows of a kind by arc, in the order the arcs were given.
    pub fn sent(&self, kind: usize) -> &[i64] {
        &self.sent[self.first_arc[kind]..self.first_arc[kind + 1]]
    }

    /// For each place what one row more or fewer there would change elsewhere at least: what a row costs that comes, less
    /// what it cost where it was; and what a row costs where it goes. The price of its room here is in neither, and with
    /// each further row both only grow. Where there is no such row it is out of all proportion.
    pub fn margins(&mut self) -> (Vec<i128>, Vec<i128>) {
        let n = self.places.len();
        self.search.clear();
        self.refresh_all();
        for &place in &self.occupied {
            self.search.distance[place] = -self.places[place].last.0;
            self.search.add(place);
        }
        while let Some(from) = self.search.queue.pop_front() {
            self.search.queued[from] = false;
            let so_far = self.search.distance[from];
            for (to, step) in self.moves[from * n..(from + 1) * n].iter().enumerate() {
                if step.cost < NONE && so_far + step.cost < self.search.distance[to] {
                    self.search.distance[to] = so_far + step.cost;
                    if !self.places[to].here.is_empty() {
                        self.search.add(to);
                    }
                }
            }
        }
        let mut coming = vec![NONE; n];
        for &from in &self.occupied {
            for (to, step) in self.moves[from * n..(from + 1) * n].iter().enumerate().filter(|(_, s)| s.cost < NONE) {
                coming[to] = coming[to].min(self.search.distance[from] + step.cost);
            }
        }
        self.search.clear();
        for place in 0..n {
            self.search.distance[place] = self.places[place].next.0;
        }
        let mut going = vec![NONE; n];
        let mut shorter = true;
        while shorter {
            shorter = false;
            for &from in &self.occupied {
                let moves = self.moves[from * n..(from + 1) * n].iter().zip(&self.search.distance);
                let least =
                    moves.filter(|(step, _)| step.cost < NONE).map(|(step, end)| step.cost + end).min().unwrap_or(NONE);
                going[from] = least;
                if least < self.search.distance[from] {
                    self.search.distance[from] = least;
                    shorter = true;
                }
            }
        }
        (coming, going)
    }

    /// What the last row at a place costs there.
    pub fn last_price(&self, place: usize) -> i128 {
        self.places[place].last.0
    }

    /// Changes the prices of a place, in order of price.
    pub fn set_steps(&mut self, place: usize, steps: &[Step]) {
        let at = &mut self.places[place];
        let (next, last) = (at.next.0, at.last.0);
        self.cost -= at.cost();
        at.set_steps(steps);
        self.cost += at.cost();
        if at.last.0 > last {
            self.push_out(place);
        }
        if self.places[place].next.0 < next {
            self.draw_in(place);
        }
    }

    /// Changes the number of rows of a kind.
    pub fn set_count(&mut self, kind: usize, count: i64) {
        if count < self.counts[kind] {
            self.take_out(kind);
        }
        let open = self.first_arc[kind]..self.first_arc[kind + 1];
        let stranded = open.into_iter().all(|arc| self.closed[arc]);
        let mut left = count - self.counts[kind];
        self.counts[kind] = count;
        if stranded {
            self.stranded += left;
            left = 0;
        }
        while left > 0 {
            left -= self.send(kind, left);
        }
    }

    /// Opens or closes an arc of a kind.
    pub fn set_closed(&mut self, kind: usize, arc: usize, closed: bool) {
        let count = self.counts[kind];
        self.take_out(kind);
        self.closed[self.first_arc[kind] + arc] = closed;
        self.set_count(kind, count);
    }

    /// Changes the cost of an arc of a kind.
    pub fn set_cost(&mut self, kind: usize, arc: usize, cost: i128) {
        let index = self.first_arc[kind] + arc;
        if self.arcs[index].cost == cost {
            return;
        }
        let count = self.counts[kind];
        self.take_out(kind);
        self.arcs[index].cost = cost;
        self.set_count(kind, count);
    }

    /// Takes all rows of a kind out.
    fn take_out(&mut self, kind: usize) {
        let arcs = self.first_arc[kind]..self.first_arc[kind + 1];
        if arcs.clone().all(|arc| self.closed[arc]) {
            self.stranded -= self.counts[kind];
        }
        self.counts[kind] = 0;
        // What is drawn in may be rows of this kind from another place.
        while let Some(arc) = arcs.clone().find(|&arc| self.sent[arc] > 0) {
            let amount = self.sent[arc];
            let Arc { place, cost } = self.arcs[arc];
            self.take(arc as u32, amount);
            self.cost -= cost * i128::from(amount) + self.places[place].cost();
            self.change_used(place, -amount);
            self.cost += self.places[place].cost();
            self.draw_in(place);
        }
    }

    /// Sends up to `most` rows of a kind along one cheapest chain, and says how many.
    fn send(&mut self, kind: usize, most: i64) -> i64 {
        self.search.clear();
        let arcs = self.first_arc[kind]..self.first_arc[kind + 1];
        let open: Vec<usize> = arcs.filter(|&arc| !self.closed[arc]).collect();
        for &arc in &open {
            let Arc { place, cost } = self.arcs[arc];
            self.search.distance[place] = cost;
            self.search.end = self.search.end.min((cost + self.places[place].next.0, place));
        }
        for &arc in &open {
            self.go_on_from(self.arcs[arc].place);
        }
        self.reach();
        let (path, end) = self.search.end;
        let chain = self.chain(end);
        let amount = self.most_along(&chain).min(self.places[end].next.1).min(most);
        self.shift(&chain, amount);
        if let Some(&arc) = open.iter().find(|arc| self.arcs[**arc].place == chain[0]) {
            self.put(arc as u32, amount);
        }
        self.change_used(end, amount);
        self.cost += path * i128::from(amount);
        amount
    }

    /// Moves rows out of a place while one of them would be cheaper elsewhere.
    fn push_out(&mut self, place: usize) {
        while self.places[place].used > 0 {
            self.search.clear();
            self.search.end = (0, START);
            self.search.distance[place] = -self.places[place].last.0;
            self.search.add(place);
            self.reach();
            let (path, end) = self.search.end;
            if end == START {
                return;
            }
            let chain = self.chain(end);
            self.shift_out(&chain, path);
        }
    }

    /// Moves rows into a place while one from elsewhere would be cheaper here.
    fn draw_in(&mut self, place: usize) {
        loop {
            self.refresh_all();
            self.search.clear();
            self.search.end = (0, START);
            self.search.distance[place] = self.places[place].next.0;
            self.search.add(place);
            self.reach_back();
            let (path, start) = self.search.end;
            if start == START {
                return;
            }
            let mut chain = self.chain(start);
            chain.reverse();
            self.shift_out(&chain, path);
        }
    }

    /// Moves rows along a chain, out of the place where it starts and into the place where it ends.
    fn shift_out(&mut self, chain: &[usize], path: i128) {
        let (start, end) = (chain[0], chain[chain.len() - 1]);
        let amount = self.most_along(chain).min(self.places[start].last.1).min(self.places[end].next.1);
        self.shift(chain, amount);
        self.change_used(start, -amount);
        self.change_used(end, amount);
        self.cost += path * i128::from(amount);
    }

    /// Shortens chains from the places in the queue until none can be. A row that passes a place saves no more than the
    /// last row there costs, or the flow would not have been the cheapest: what that leaves dearer than an end is left.
    fn reach(&mut self) {
        let n = self.places.len();
        while let Some(from) = self.search.queue.pop_front() {
            self.search.queued[from] = false;
            self.refresh(from);
            let so_far = self.search.distance[from];
            for to in 0..n {
                let step = self.moves[from * n + to].cost;
                if step < NONE && so_far + step < self.search.distance[to] {
                    self.search.distance[to] = so_far + step;
                    self.search.before[to] = from;
                    self.search.end = self.search.end.min((so_far + step + self.places[to].next.0, to));
                    self.go_on_from(to);
                }
            }
        }
    }

    fn go_on_from(&mut self, place: usize) {
        let at = &self.places[place];
        if at.used > 0 && self.search.distance[place] + at.last.0 < self.search.end.0 {
            self.search.add(place);
        }
    }

    /// The same backwards, from where chains end: a row that passes a place has saved no more than the next costs there.
    fn reach_back(&mut self) {
        let n = self.places.len();
        while let Some(to) = self.search.queue.pop_front() {
            self.search.queued[to] = false;
            let so_far = self.search.distance[to];
            for &from in &self.occupied {
                let step = self.moves[from * n + to].cost;
                if step < NONE && so_far + step < self.search.distance[from] {
                    self.search.distance[from] = so_far + step;
                    self.search.before[from] = to;
                    let at = &self.places[from];
                    self.search.end = self.search.end.min((so_far + step - at.last.0, from));
                    if so_far + step - at.next.0 < self.search.end.0 {
                        self.search.add(from);
                    }
                }
            }
        }
    }

    fn chain(&self, end: usize) -> Vec<usize> {
        let mut chain = vec![end];
        while self.search.before[chain[chain.len() - 1]] != START {
            chain.push(self.search.before[chain[chain.len() - 1]]);
        }
        chain.reverse();
        chain
    }

    /// Rows that can go along a chain at its price.
    fn most_along(&self, chain: &[usize]) -> i64 {
        let n = self.places.len();
        let moved = chain.windows(2).map(|pair| self.sent[self.moves[pair[0] * n + pair[1]].from as usize]);
        moved.fold(i64::MAX, i64::min)
    }

    fn shift(&mut self, chain: &[usize], amount: i64) {
        let n = self.places.len();
        let moves: Vec<Move> = chain.windows(2).map(|pair| self.moves[pair[0] * n + pair[1]]).collect();
        for step in moves {
            self.take(step.from, amount);
            self.put(step.to, amount);
        }
    }

    fn change_used(&mut self, place: usize, by: i64) {
        self.places[place].used += by;
        self.places[place].reprice();
    }

    /// Adds rows to an arc; the cheapest moves from its place may become cheaper.
    fn put(&mut self, arc: u32, amount: i64) {
        let newly_there = self.sent[arc as usize] == 0;
        self.sent[arc as usize] += amount;
        if newly_there {
            let place = self.arcs[arc as usize].place;
            if self.places[place].here.is_empty() {
                self.occupied.push(place);
            }
            self.places[place].here.push(arc);
            self.offer_moves(arc);
        }
    }

    /// Takes rows from an arc; where the last leaves, moves that were its own are sought again when they are asked for.
    fn take(&mut self, arc: u32, amount: i64) {
        self.sent[arc as usize] -= amount;
        if self.sent[arc as usize] == 0 {
            let n = self.places.len();
            let index = self.arcs[arc as usize].place;
            let place = &mut self.places[index];
            place.here.retain(|&other| other != arc);
            if place.here.is_empty() {
                self.occupied.retain(|&other| other != index);
            }
            for (to, best) in self.moves[index * n..(index + 1) * n].iter_mut().enumerate() {
                if best.from == arc {
                    *best = NO_MOVE;
                    place.stale.push(to);
                }
            }
        }
    }

    fn refresh_all(&mut self) {
        let occupied = std::mem::take(&mut self.occupied);
        for &place in &occupied {
            self.refresh(place);
        }
        self.occupied = occupied;
    }

    /// The cheapest moves out of a place, where rows that would have made them have left.
    fn refresh(&mut self, place: usize) {
        if self.places[place].stale.is_empty() {
            return;
        }
        let n = self.places.len();
        let stale = std::mem::take(&mut self.places[place].stale);
        let here = std::mem::take(&mut self.places[place].here);
        for &arc in &here {
            let cost = self.arcs[arc as usize].cost;
            let kind = self.kind_of[arc as usize] as usize;
            let (first, end) = (self.first_arc[kind], self.first_arc[kind + 1]);
            for &to in &stale {
                let by_place = &self.by_place[first..end];
                if let Ok(found) = by_place.binary_search_by_key(&to, |&arc| self.arcs[arc as usize].place) {
                    self.offer_move(place * n + to, arc, cost, by_place[found] as usize);
                }
            }
        }
        self.places[place].here = here;
    }

    /// The moves that the rows of an arc could make.
    fn offer_moves(&mut self, arc: u32) {
        let Arc { place, cost } = self.arcs[arc as usize];
        let first = place * self.places.len();
        let kind = self.kind_of[arc as usize] as usize;
        for to in self.first_arc[kind]..self.first_arc[kind + 1] {
            self.offer_move(first + self.arcs[to].place, arc, cost, to);
        }
    }

    /// One of them, where it is cheaper than what there is; of equals the first arc's.
    fn offer_move(&mut self, index: usize, arc: u32, cost: i128, to: usize) {
        let gained = self.arcs[to].cost - cost;
        let best = &mut self.moves[index];
        if to != arc as usize && !self.closed[to] && (gained, arc) < (best.cost, best.from) {
            *best = Move { cost: gained, from: arc, to: to as u32 };
        }
    }
}

impl Search {
    fn clear(&mut self) {
        self.distance.fill(NONE);
        self.before.fill(START);
        self.end = (NONE, START);
    }

    fn add(&mut self, place: usize) {
        if !self.queued[place] {
            self.queued[place] = true;
            self.queue.push_back(place);
        }
    }
}

impl Place {
    fn new(steps: &[Step]) -> Self {
        let (next, last) = ((0, 0), (0, 0));
        let mut place =
            Place { steps: Vec::new(), capacity: 0, used: 0, next, last, here: Vec::new(), stale: Vec::new() };
        place.set_steps(steps);
        place
    }

    fn set_steps(&mut self, steps: &[Step]) {
        self.steps.clear();
        self.capacity = 0;
        for step in steps.iter().filter(|step| step.room > 0) {
            self.capacity = self.capacity.saturating_add(step.room);
            self.steps.push((self.capacity, step.price));
        }
        self.steps.push((UNLIMITED, OVERFULL));
        self.reprice();
    }

    /// What the next row costs and what the last one cost.
    fn reprice(&mut self) {
        let mut start = 0;
        for &(end, price) in &self.steps {
            if start < self.used && self.used <= end {
                self.last = (price, self.used - start);
            }
            if self.used < end {
                self.next = (price, end - self.used);
                break;
            }
            start = end;
        }
        if self.used == 0 {
            self.last = (self.next.0, 0);
        }
    }

    /// What the room used costs.
    fn cost(&self) -> i128 {
        let mut start = 0;
        let mut cost = 0;
        for &(end, price) in &self.steps {
            if self.used <= start {
                break;
            }
            cost += price * i128::from(self.used.min(end) - start);
            start = end;
        }
        cost
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

    /// Kinds with their arcs, and places with their steps.
    #[derive(Clone, Debug)]
    struct Case {
        kinds: Vec<(i64, Vec<Arc>)>,
        steps: Vec<Vec<Step>>,
    }

    fn steps(state: &mut u64) -> Vec<Step> {
        let mut price = (next(state) % 7) as i128 - 2;
        let each = (0..next(state) % 3).map(|_| {
            price += (next(state) % 4) as i128;
            let room = if next(state).is_multiple_of(5) { UNLIMITED } else { (next(state) % 3) as i64 };
            Step { room, price }
        });
        each.collect()
    }

    fn case(state: &mut u64) -> Case {
        let (n_kinds, n_places) = (1 + next(state) % 4, 1 + (next(state) % 4) as usize);
        let arcs = |state: &mut u64| {
            let mut open = (0..n_places).filter(|_| !next(state).is_multiple_of(4)).collect::<Vec<_>>();
            if next(state).is_multiple_of(2) {
                open.reverse();
            }
            open.into_iter().map(|place| Arc { place, cost: (next(state) % 20) as i128 - 5 }).collect()
        };
        let kinds = (0..n_kinds).map(|_| (1 + (next(state) % 2) as i64, arcs(state))).collect();
        Case { kinds, steps: (0..n_places).map(|_| steps(state)).collect() }
    }

    /// The least cost by trying everything, one row at a time.
    fn least(case: &Case, rows: &[usize], used: &mut Vec<i64>) -> Option<i128> {
        let Some((&kind, rest)) = rows.split_first() else { return Some(0) };
        let mut best = None;
        for Arc { place, cost } in &case.kinds[kind].1 {
            let mut places = vec![Place::new(&case.steps[*place])];
            places[0].used = used[*place];
            places[0].reprice();
            if places[0].used >= places[0].capacity {
                continue;
            }
            used[*place] += 1;
            if let Some(others) = least(case, rest, used) {
                let all = cost + places[0].next.0 + others;
                best = Some(best.map_or(all, |best: i128| best.min(all)));
            }
            used[*place] -= 1;
        }
        best
    }

    fn check(case: &Case, transport: &Transport) -> Option<i128> {
        let each = case.kinds.iter().enumerate();
        let rows: Vec<usize> = each.flat_map(|(kind, (count, _))| vec![kind; *count as usize]).collect();
        let best = least(case, &rows, &mut vec![0; case.steps.len()]);
        assert_eq!(transport.cost(), best, "{case:?}");
        if best.is_some() {
            let mut used = vec![0; case.steps.len()];
            for (kind, (count, arcs)) in case.kinds.iter().enumerate() {
                assert_eq!(transport.sent(kind).iter().sum::<i64>(), *count);
                arcs.iter().zip(transport.sent(kind)).for_each(|(arc, sent)| used[arc.place] += sent);
            }
            assert_eq!(used, (0..used.len()).map(|place| transport.used(place)).collect::<Vec<_>>());
        }
        best
    }

    #[test]
    fn the_flow_is_the_cheapest_of_all_ways_at_first_and_after_every_change() {
        let mut state = 88_172_645_463_325_252;
        let (mut possible, mut impossible) = (0, 0);
        for _ in 0..1000 {
            let mut case = case(&mut state);
            let mut transport = Transport::new(case.kinds.clone(), &case.steps);
            check(&case, &transport);
            for _ in 0..10 {
                let kind = (next(&mut state) % case.kinds.len() as u64) as usize;
                let place = (next(&mut state) % case.steps.len() as u64) as usize;
                match next(&mut state) % 4 {
                    0 => {
                        case.kinds[kind].0 = (next(&mut state) % 3) as i64;
                        transport.set_count(kind, case.kinds[kind].0);
                    }
                    1 if !case.kinds[kind].1.is_empty() => {
                        let arc = (next(&mut state) % case.kinds[kind].1.len() as u64) as usize;
                        let cost = (next(&mut state) % 20) as i128 - 5;
                        case.kinds[kind].1[arc].cost = cost;
                        transport.set_cost(kind, arc, cost);
                    }
                    2 if !case.kinds[kind].1.is_empty() => {
                        let arc = (next(&mut state) % case.kinds[kind].1.len() as u64) as usize;
                        transport.set_closed(kind, arc, true);
                        let mut without = case.clone();
                        without.kinds[kind].1[arc].place = without.steps.len();
                        without.steps.push(Vec::new());
                        let rows = without.kinds.iter().enumerate();
                        let rows: Vec<usize> =
                            rows.flat_map(|(kind, (count, _))| vec![kind; *count as usize]).collect();
                        let best = least(&without, &rows, &mut vec![0; without.steps.len()]);
                        assert_eq!(transport.cost(), best, "{case:?} without {arc} of {kind}");
                        transport.set_closed(kind, arc, false);
                    }
                    _ => {
                        case.steps[place] = steps(&mut state);
                        transport.set_steps(place, &case.steps[place]);
                    }
                }
                match check(&case, &transport) {
                    Some(_) => possible += 1,
                    None => impossible += 1,
                }
            }
        }
        assert!(possible > 2000 && impossible > 2000, "{possible} possible, {impossible} not");
    }
}
