//! Compares the cost of flows with the least cost over all assignments of units to arcs, by enumeration.

use super::*;

/// A small random number generator with a fixed seed, so that every run has the same cases (Marsaglia 2003, xorshift).
fn next(state: &mut u64) -> u64 {
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    *state
}

/// Sources with their arcs, and sinks with their segments.
#[derive(Clone, Debug)]
struct Case {
    sources: Vec<FlowSource>,
    segments: Vec<Vec<Segment>>,
}

fn segments(state: &mut u64) -> Vec<Segment> {
    let mut price = (next(state) % 7) as i128 - 2;
    let each = (0..next(state) % 3).map(|_| {
        price += (next(state) % 4) as i128;
        let capacity = if next(state).is_multiple_of(5) { UNLIMITED } else { (next(state) % 3) as i64 };
        Segment { capacity, price }
    });
    each.collect()
}

fn case(state: &mut u64) -> Case {
    let (n_sources, n_sinks) = (1 + next(state) % 4, 1 + (next(state) % 4) as usize);
    let arcs = |state: &mut u64| {
        let mut open = (0..n_sinks).filter(|_| !next(state).is_multiple_of(4)).collect::<Vec<_>>();
        if next(state).is_multiple_of(2) {
            open.reverse();
        }
        open.into_iter().map(|sink| Arc { sink, cost: (next(state) % 20) as i128 - 5 }).collect()
    };
    let sources = (0..n_sources).map(|_| {
        let (supply, arcs) = (1 + (next(state) % 3) as i64, arcs(state));
        let mut rise = -((next(state) % 9) as i128);
        let mut last_arc_extras = Vec::new();
        while next(state).is_multiple_of(2) && last_arc_extras.iter().map(|(units, _)| units).sum::<i64>() < MOST_UNITS
        {
            last_arc_extras.push((1 + (next(state) % 2) as i64, rise));
            rise += 1 + (next(state) % 6) as i128;
        }
        if !last_arc_extras.is_empty() {
            last_arc_extras.push((MOST_UNITS, rise));
        }
        FlowSource { supply, arcs, last_arc_extras }
    });
    let sources = sources.collect();
    Case { sources, segments: (0..n_sinks).map(|_| segments(state)).collect() }
}

/// Upper limit of the units of a source.
const MOST_UNITS: i64 = 4;

/// Extra cost of the next unit on the last arc of a source that has `already` units on it.
fn extra(source: &FlowSource, already: i64) -> i128 {
    let each = source.last_arc_extras.iter().flat_map(|&(units, cost)| std::iter::repeat_n(cost, units as usize));
    each.into_iter().nth(already as usize).unwrap_or(0)
}

/// The least cost by enumeration, one unit at a time. `inflow` is the number of units by sink, `on_last` that of units on the
/// last arc by source.
fn least(case: &Case, units: &[usize], inflow: &mut Vec<i64>, on_last: &mut Vec<i64>) -> Option<i128> {
    let Some((&source, rest)) = units.split_first() else { return Some(0) };
    let mut best = None;
    for (number, Arc { sink, cost }) in case.sources[source].arcs.iter().enumerate() {
        let mut at = Sink::new(&case.segments[*sink]);
        at.inflow = inflow[*sink];
        at.update_marginal_prices();
        if at.inflow >= at.capacity {
            continue;
        }
        let is_last = number + 1 == case.sources[source].arcs.len();
        let more = if is_last { extra(&case.sources[source], on_last[source]) } else { 0 };
        inflow[*sink] += 1;
        on_last[source] += i64::from(is_last);
        if let Some(others) = least(case, rest, inflow, on_last) {
            let all = cost + more + at.next.price + others;
            best = Some(best.map_or(all, |best: i128| best.min(all)));
        }
        inflow[*sink] -= 1;
        on_last[source] -= i64::from(is_last);
    }
    best
}

fn check(case: &Case, transport: &Transport) -> Option<i128> {
    let each = case.sources.iter().enumerate();
    let units: Vec<usize> = each.flat_map(|(source, of_source)| vec![source; of_source.supply as usize]).collect();
    let best = least(case, &units, &mut vec![0; case.segments.len()], &mut vec![0; case.sources.len()]);
    assert_eq!(transport.cost(), best, "{case:?}");
    if best.is_some() {
        let mut inflow = vec![0; case.segments.len()];
        for (source, FlowSource { supply, arcs, .. }) in case.sources.iter().enumerate() {
            assert_eq!(transport.flow_of(source).iter().sum::<i64>(), *supply);
            arcs.iter().zip(transport.flow_of(source)).for_each(|(arc, flow)| inflow[arc.sink] += flow);
        }
        assert_eq!(inflow, (0..inflow.len()).map(|sink| transport.inflow(sink)).collect::<Vec<_>>());
    }
    best
}

/// Checks the optimality conditions: at these dual prices every unit is on a cheapest arc, and the price of each sink
/// is at least that of its last unit and at most that of its next unit.
fn check_dual_prices(transport: &Transport, prices: &[i128]) {
    for (at, &price) in transport.sinks.iter().zip(prices) {
        assert!(at.inflow == 0 || at.last.price <= price, "{} is below the last unit: {at:?}", price);
        assert!(price <= at.next.price, "{} is above the next unit: {at:?}", price);
    }
    for source in 0..transport.supplies.len() {
        let arcs = transport.network.arcs(source).filter(|&arc| !transport.closed[arc]);
        let price = |arc: usize| prices[transport.network.sink(arc)];
        let least = arcs.clone().map(|arc| transport.next_on(arc).price + price(arc)).min();
        for arc in arcs.filter(|&arc| transport.flow[arc] > 0) {
            let cost = transport.last_on(arc).price + price(arc);
            assert!(Some(cost) <= least, "a unit of {source} costs {cost}, elsewhere {least:?}");
        }
    }
}

#[test]
fn the_flow_is_optimal_at_first_and_after_every_change() {
    let mut state = 88_172_645_463_325_252;
    let (mut possible, mut impossible) = (0, 0);
    for _ in 0..1000 {
        let mut case = case(&mut state);
        let mut transport = Transport::new(case.sources.iter().cloned(), &case.segments);
        check(&case, &transport);
        for _ in 0..10 {
            let source = (next(&mut state) % case.sources.len() as u64) as usize;
            let sink = (next(&mut state) % case.segments.len() as u64) as usize;
            match next(&mut state) % 4 {
                0 => {
                    case.sources[source].supply = (next(&mut state) % 4) as i64;
                    transport.set_supply(source, case.sources[source].supply);
                }
                1 if !case.sources[source].arcs.is_empty() => {
                    let arc = (next(&mut state) % case.sources[source].arcs.len() as u64) as usize;
                    let cost = (next(&mut state) % 20) as i128 - 5;
                    case.sources[source].arcs[arc].cost = cost;
                    transport.set_cost(source, arc, cost);
                }
                2 if !case.sources[source].arcs.is_empty() => {
                    let arc = (next(&mut state) % case.sources[source].arcs.len() as u64) as usize;
                    transport.set_closed(source, arc, true);
                    let mut without = case.clone();
                    without.sources[source].arcs[arc].sink = without.segments.len();
                    without.segments.push(Vec::new());
                    let units = without.sources.iter().enumerate();
                    let units: Vec<usize> =
                        units.flat_map(|(source, of_source)| vec![source; of_source.supply as usize]).collect();
                    let best = least(
                        &without,
                        &units,
                        &mut vec![0; without.segments.len()],
                        &mut vec![0; without.sources.len()],
                    );
                    assert_eq!(transport.cost(), best, "{case:?} without {arc} of {source}");
                    transport.set_closed(source, arc, false);
                }
                _ => {
                    case.segments[sink] = segments(&mut state);
                    transport.set_segments(sink, &case.segments[sink]);
                }
            }
            let kept: Vec<i128> = transport.sinks.iter().map(|at| at.potential).collect();
            check_dual_prices(&transport, &kept);
            let lowest = transport.dual_prices();
            // Those dual prices are never negative, so they are optimal only if no price of room is.
            if transport.sinks.iter().all(|at| at.next.price >= 0 && at.last.price >= 0) {
                check_dual_prices(&transport, &lowest);
            }
            match check(&case, &transport) {
                Some(_) => possible += 1,
                None => impossible += 1,
            }
        }
    }
    assert!(possible > 2000 && impossible > 2000, "{possible} possible, {impossible} not");
}
