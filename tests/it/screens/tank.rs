//! `tank`: one tank made to measure.

use insta::assert_snapshot;

use super::{Bench, head};

#[test]
fn a_tank_from_the_size_of_what_goes_in() {
    assert_snapshot!(Bench::new().screen("tank --specimen 66x11x46cm --fluid formalin-10"), @"");
}

#[test]
fn a_tank_for_a_program() {
    assert_snapshot!(head(&Bench::new().screen("tank --length 700 --width 15cm --height 0.5m --fluid formalin-10 --format json --set tank.lid_supports_walls=true"), 24), @"");
}

#[test]
fn a_tank_that_is_not_designed() {
    assert_snapshot!(Bench::new().screen("tank --length 1300 --width 200 --height 300 --fluid formalin-10 --set tank.brace=false"), @"");
    assert_snapshot!(Bench::new().screen("tank --length 300 --width 200 --height 300 --fluid 70%%alcohol"), @"");
    assert_snapshot!(Bench::new().screen("tank --length 300 --width 200 --height 300 --fluid methyl-salicylate --format json"), @"");
    assert_snapshot!(Bench::new().screen("tank --length 30q --width 200 --height 300 --fluid formalin-10"), @"");
    assert_snapshot!(Bench::new().screen("tank --specimen 660x110 --fluid formalin-10"), @"");
    assert_snapshot!(Bench::new().screen("tank --specimen 66x11x46 --fluid formalin-10 --set tank.allowable_mpa=9"), @"");
    assert_snapshot!(Bench::new().screen("tank --specimen 66x11x46 --fluid formalim-10"), @"");
}
