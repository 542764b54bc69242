//! Thousands of vessels: a plan within limits of time and memory, a bound that the audit recomputes, the best plan where it is known by hand.

use std::time::Instant;

use crate::support::{Planned, TestProject, number};

const LOTS: usize = 60;
const VESSELS: usize = 3100;

/// Lots that may each have every jar but one, a different one for each, so that no two are alike; jars of one size. `pack` gives the
/// price of a jar's pack in cents and its pieces.
fn planned(pack: impl Fn(usize) -> (usize, usize)) -> Planned {
    let lot = |at: usize| format!("L-{at:02},40,18,18,5,ethanol-70,J-{at:04}\n");
    let survey: String = (0..LOTS).map(lot).collect();
    let jar = |at: usize| {
        let (cents, pieces) = pack(at);
        format!("J-{at:04},cylinder,45,80,borosilicate,pp-cap-ptfe,{}.{:02},{pieces}\n", cents / 100, cents % 100)
    };
    let stock: String = (0..VESSELS).map(jar).collect();
    let case = TestProject::new()
        .file(
            "specimens.csv",
            format!("catalogNumber,length_mm,width_mm,height_mm,tissue_ml,fluid,must_not_use\n{survey}"),
        )
        .file(
            "vessels.csv",
            format!("vessel,form,inner_diameter_mm,inner_height_mm,material,closure,pack_price,pack_size\n{stock}"),
        )
        .file("settings.toml", "[fluid_price]\nethanol-70 = 0\n[solver]\ntime_limit_s = 4\n");
    let begun = Instant::now();
    let planned = case.planned();
    assert!(begun.elapsed().as_secs() < 40, "the limit is 4 s, reading and audit beside it");
    assert_eq!(planned.total("deferred"), 0.0);
    case.audit();
    planned
}

fn money(planned: &Planned, of: &str) -> f64 {
    number(&planned.plan["levels"][4][of]).expect("an amount")
}

#[test]
fn the_cheapest_of_thousands_of_single_jars_is_proved_best() {
    // Jar 7 costs 0.50, jar 2000 costs 0.51, all others 0.60 to 9.59. Lot 7 may not have jar 7 and takes jar 2000.
    let planned = planned(|at| match at {
        7 => (50, 1),
        2000 => (51, 1),
        _ => (60 + at % 900, 1),
    });
    assert_eq!(planned.status(), "proved best");
    assert!((planned.total("money") - (59.0 * 0.50 + 0.51)).abs() < 1e-9, "{}", planned.total("money"));
}

#[test]
fn lots_share_packs_of_thousands_of_jars_and_the_bound_is_near() {
    // Packs of five to nine at about 1.00 a piece; the cheapest is 0.90 a piece in packs of seven, so that 60 lots cost at least 54.00, and
    // nine of those packs cost 56.70.
    let planned = planned(|at| match at {
        1234 => (630, 7),
        _ => ((5 + at % 5) * (95 + at % 11), 5 + at % 5),
    });
    let (value, bound) = (money(&planned, "value"), money(&planned, "bound"));
    assert!((54.0..=56.7).contains(&value), "{value}");
    assert!((54.0 - 1e-9..=value).contains(&bound), "{bound}");
}
