//! Flows against trying every way.

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
    kinds: Vec<Kind>,
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
    let kinds = (0..n_kinds).map(|_| {
        let (count, arcs) = (1 + (next(state) % 3) as i64, arcs(state));
        let mut rise = -((next(state) % 9) as i128);
        let mut rises = Vec::new();
        while next(state).is_multiple_of(2) && rises.iter().map(|(rows, _)| rows).sum::<i64>() < MOST_ROWS {
            rises.push((1 + (next(state) % 2) as i64, rise));
            rise += 1 + (next(state) % 6) as i128;
        }
        if !rises.is_empty() {
            rises.push((MOST_ROWS, rise));
        }
        Kind { count, arcs, rises }
    });
    let kinds = kinds.collect();
    Case { kinds, steps: (0..n_places).map(|_| steps(state)).collect() }
}

/// No kind has more rows.
const MOST_ROWS: i64 = 4;

/// What a row of a kind costs on its last arc beside the arc's cost, where so many are on it already.
fn rise(kind: &Kind, already: i64) -> i128 {
    let each = kind.rises.iter().flat_map(|&(rows, cost)| std::iter::repeat_n(cost, rows as usize));
    each.into_iter().nth(already as usize).unwrap_or(0)
}

/// The least cost by trying everything, one row at a time. `used` are the rows by place, `risen` those by kind on its last arc.
fn least(case: &Case, rows: &[usize], used: &mut Vec<i64>, risen: &mut Vec<i64>) -> Option<i128> {
    let Some((&kind, rest)) = rows.split_first() else { return Some(0) };
    let mut best = None;
    for (number, Arc { place, cost }) in case.kinds[kind].arcs.iter().enumerate() {
        let mut at = Place::new(&case.steps[*place]);
        at.used = used[*place];
        at.reprice();
        if at.used >= at.capacity {
            continue;
        }
        let is_last = number + 1 == case.kinds[kind].arcs.len();
        let more = if is_last { rise(&case.kinds[kind], risen[kind]) } else { 0 };
        used[*place] += 1;
        risen[kind] += i64::from(is_last);
        if let Some(others) = least(case, rest, used, risen) {
            let all = cost + more + at.next.0 + others;
            best = Some(best.map_or(all, |best: i128| best.min(all)));
        }
        used[*place] -= 1;
        risen[kind] -= i64::from(is_last);
    }
    best
}

fn check(case: &Case, transport: &Transport) -> Option<i128> {
    let each = case.kinds.iter().enumerate();
    let rows: Vec<usize> = each.flat_map(|(kind, of_kind)| vec![kind; of_kind.count as usize]).collect();
    let best = least(case, &rows, &mut vec![0; case.steps.len()], &mut vec![0; case.kinds.len()]);
    assert_eq!(transport.cost(), best, "{case:?}");
    if best.is_some() {
        let mut used = vec![0; case.steps.len()];
        for (kind, Kind { count, arcs, .. }) in case.kinds.iter().enumerate() {
            assert_eq!(transport.sent(kind).iter().sum::<i64>(), *count);
            arcs.iter().zip(transport.sent(kind)).for_each(|(arc, sent)| used[arc.place] += sent);
        }
        assert_eq!(used, (0..used.len()).map(|place| transport.used(place)).collect::<Vec<_>>());
    }
    best
}

/// Prices of the room at which every row is where it is cheapest, none below what the last row costs or above what the next
/// would.
fn are_prices_of_the_flow(transport: &Transport, prices: &[i128]) {
    for (at, &price) in transport.places.iter().zip(prices) {
        assert!(at.used == 0 || at.last.0 <= price, "{} is less than the last row costs: {at:?}", price);
        assert!(price <= at.next.0, "{} is more than the next row costs: {at:?}", price);
    }
    for kind in 0..transport.counts.len() {
        let arcs = transport.network.arcs(kind).filter(|&arc| !transport.closed[arc]);
        let price = |arc: usize| prices[transport.network.place(arc)];
        let least = arcs.clone().map(|arc| transport.next_on(arc).0 + price(arc)).min();
        for arc in arcs.filter(|&arc| transport.sent[arc] > 0) {
            let cost = transport.last_on(arc).0 + price(arc);
            assert!(Some(cost) <= least, "a row of {kind} costs {cost}, elsewhere {least:?}");
        }
    }
}

#[test]
fn the_flow_is_the_cheapest_of_all_ways_at_first_and_after_every_change() {
    let mut state = 88_172_645_463_325_252;
    let (mut possible, mut impossible) = (0, 0);
    for _ in 0..1000 {
        let mut case = case(&mut state);
        let mut transport = Transport::new(case.kinds.iter().cloned(), &case.steps);
        check(&case, &transport);
        for _ in 0..10 {
            let kind = (next(&mut state) % case.kinds.len() as u64) as usize;
            let place = (next(&mut state) % case.steps.len() as u64) as usize;
            match next(&mut state) % 4 {
                0 => {
                    case.kinds[kind].count = (next(&mut state) % 4) as i64;
                    transport.set_count(kind, case.kinds[kind].count);
                }
                1 if !case.kinds[kind].arcs.is_empty() => {
                    let arc = (next(&mut state) % case.kinds[kind].arcs.len() as u64) as usize;
                    let cost = (next(&mut state) % 20) as i128 - 5;
                    case.kinds[kind].arcs[arc].cost = cost;
                    transport.set_cost(kind, arc, cost);
                }
                2 if !case.kinds[kind].arcs.is_empty() => {
                    let arc = (next(&mut state) % case.kinds[kind].arcs.len() as u64) as usize;
                    transport.set_closed(kind, arc, true);
                    let mut without = case.clone();
                    without.kinds[kind].arcs[arc].place = without.steps.len();
                    without.steps.push(Vec::new());
                    let rows = without.kinds.iter().enumerate();
                    let rows: Vec<usize> =
                        rows.flat_map(|(kind, of_kind)| vec![kind; of_kind.count as usize]).collect();
                    let best =
                        least(&without, &rows, &mut vec![0; without.steps.len()], &mut vec![0; without.kinds.len()]);
                    assert_eq!(transport.cost(), best, "{case:?} without {arc} of {kind}");
                    transport.set_closed(kind, arc, false);
                }
                _ => {
                    case.steps[place] = steps(&mut state);
                    transport.set_steps(place, &case.steps[place]);
                }
            }
            let kept: Vec<i128> = transport.places.iter().map(|at| at.price).collect();
            are_prices_of_the_flow(&transport, &kept);
            let lowest = transport.prices();
            // None of those is below nothing.
            if transport.places.iter().all(|at| at.next.0 >= 0 && at.last.0 >= 0) {
                are_prices_of_the_flow(&transport, &lowest);
            }
            match check(&case, &transport) {
                Some(_) => possible += 1,
                None => impossible += 1,
            }
        }
    }
    assert!(possible > 2000 && impossible > 2000, "{possible} possible, {impossible} not");
}
