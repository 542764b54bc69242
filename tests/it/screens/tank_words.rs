//! `tank`: the words on lids, joints, braces and on tanks that cannot be divided.

use super::Bench;

/// The screen without its line breaks.
fn said(command: &str) -> String {
    Bench::new().screen(command).split_whitespace().collect::<Vec<_>>().join(" ")
}

const SMALL: &str = "tank --length 400 --width 200 --height 250 --fluid formalin-10";

#[test]
fn a_lid_has_the_closing_step_of_its_kind_and_its_life_is_compared_with_the_years() {
    let taped = said(&format!("{SMALL} --set tank.lid=taped-plate"));
    assert!(taped.contains("lay the plate and tape it round; plug its opening"), "{taped}");
    assert!(taped.contains("renew after 1 year in this fluid") && !taped.contains("1 years"), "{taped}");
    assert!(
        taped.contains("lid (taped-plate) and glass last 1 year in this fluid, and the tank is to keep it 10 years")
    );
    let clamped = said(&format!("{SMALL} --set tank.lid=gasketed-lid"));
    assert!(clamped.contains("clamp the lid on its gasket; plug its opening"), "{clamped}");
    assert!(!clamped.contains("and the tank is to keep it"), "{clamped}");
    assert!(clamped.contains("a tank of flat panes must breathe"), "{clamped}");
    let loose = said(&format!("{SMALL} --set tank.lid=loose-cover --set tank.loose_lid=true"));
    assert!(loose.contains("lay the loose cover on; label the tank"), "{loose}");
    assert!(!loose.contains("keep the fill-and-vent opening"), "{loose}");
}

#[test]
fn figures_stand_before_their_limits() {
    let page = said(SMALL);
    for words in
        [" deflection ", " lid stress own weight ", "with a hand load of 100 N, ", "at the minimum glass thickness: "]
    {
        assert!(page.contains(words), "{words}: {page}");
    }
    assert!(page.contains(" allowed)") && !page.contains(" allowed by"), "{page}");
}

#[test]
fn a_lid_that_supports_the_walls_is_mentioned() {
    let page =
        said("tank --length 1200 --width 250 --height 300 --fluid formalin-10 --set tank.lid_supports_walls=true");
    assert!(page.contains("it supports the walls: do not fill or test the tank without it"), "{page}");
}

#[test]
fn the_order_of_work_has_a_step_for_a_long_free_rim() {
    let page = said("tank --length 900 --width 300 --height 300 --fluid formalin-10 --set tank.brace=false");
    assert!(page.contains("and the inside fillet is run the full height for it"), "{page}");
    assert!(!page.contains("or brace the rim") && page.contains("run the inside fillet the full height"), "{page}");
}

#[test]
fn the_depth_of_the_strips_of_a_brace_is_stated() {
    let tank = "tank --length 2000 --width 400 --height 400 --fluid formalin-10";
    let page = said(tank);
    let depth: f64 = page
        .split("under them, down to ")
        .nth(1)
        .and_then(|rest| rest.split(' ').next())
        .expect("a depth")
        .parse()
        .expect("a number");
    let wall: f64 =
        page.split("walls ").nth(1).and_then(|rest| rest.split(' ').next()).expect("a wall").parse().expect("a number");
    // The depth is two layers as thick as the walls, and the joint between them.
    assert!((depth - 2.0 * wall - 1.5).abs() < 1e-9, "{depth} {wall}");
    assert!(page.contains("25 mm below the rim, stays below them") == (depth <= 25.0), "{page}");
    let low = said(&format!("{tank} --set tank.freeboard_mm=60"));
    assert!(low.contains("60 mm below the rim, stays below them"), "{low}");
    let high = said(&format!("{tank} --set tank.freeboard_mm=10"));
    assert!(high.contains("10 mm below the rim, stands against the lower strips"), "{high}");
}

#[test]
fn two_shorter_tanks_are_advised_only_where_the_body_has_room_in_one() {
    let long = said("tank --specimen 1900x200x250mm --fluid formalin-10 --set tank.brace=false");
    let open = said("tank --length 2000 --width 300 --height 320 --fluid formalin-10 --set tank.brace=false");
    assert!(long.contains("No design") && !long.contains("two shorter tanks"), "{long}");
    assert!(open.contains("No design") && open.contains("two shorter tanks"), "{open}");
}
