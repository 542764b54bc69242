//! Closures renewed while specimens are kept: options where that is switched on, counted and costed beside the budget.

use crate::support::{Planned, TestProject};

fn planned(closure: &str, years: u32, settings: &str) -> Planned {
    let survey = format!(
        "catalogNumber,length_mm,width_mm,height_mm,outline,fluid,current_fluid,keep_years,tissue_ml,individualCount,max_vessels\n\
         A-1,40,14,12,rounded,ethanol-70,ethanol-70,{years},5,1,1\n\
         A-2,40,14,12,rounded,ethanol-70,ethanol-70,{years},120,20,2\n"
    );
    let stock = format!(
        "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
         jar,cylinder,60,110,borosilicate,{closure},5\n"
    );
    let case = TestProject::new().file("specimens.csv", survey).file("vessels.csv", stock);
    case.file(
        "settings.toml",
        format!("budget = 500\ncurrency = \"crowns\"\n{settings}\n[labour]\nrate_per_hour = 20\n"),
    )
    .planned()
}

/// The paragraph of the screen on later work, without its line breaks.
fn later(planned: &Planned) -> String {
    let lines = planned.ran.stdout.lines().skip_while(|line| !line.starts_with("Later"));
    let whole = lines.enumerate().take_while(|(i, line)| *i == 0 || line.starts_with("      "));
    whole.flat_map(|(_, line)| line.split_whitespace()).collect::<Vec<_>>().join(" ")
}

#[test]
fn a_plate_over_alcohol_is_sealed_again_every_five_years_where_that_is_switched_on() {
    let refused = planned("plate-silicone", 20, "");
    assert_eq!(refused.placement("A-1")["outcome"], "needs a decision");
    assert!(refused.placement("A-1")["reason"].contains("does not last long enough: 15 years short"));
    let renewed = planned("plate-silicone", 20, "renewals = true\n");
    for key in ["A-1", "A-2"] {
        let placement = renewed.placement(key);
        assert_eq!(placement["outcome"], "on hand");
        assert!(placement["review"].contains("the closure must be renewed"), "{}", placement["review"]);
    }
    assert_eq!(renewed.placement("A-2")["vessels_used"], "2");
    // After 5, 10 and 15 years, on three jars: nine times half an hour at 20, and 2 for sealant each.
    assert_eq!(
        later(&renewed),
        "Later plate-silicone: seal it again every 5 years for 2 lots, 9 times in all in total 4.5 h of work and 108.00 crowns for work and materials over the keeping period, outside the budget"
    );
    let money = |planned: &Planned| (planned.total("money"), planned.total("to_pay"));
    assert_eq!(money(&renewed), money(&planned("plate-silicone", 5, "")), "outside money and budget");
}

#[test]
fn no_renewal_is_due_at_the_end_of_the_years_or_for_a_closure_that_cannot_be_renewed() {
    let just = planned("plate-silicone", 5, "renewals = true\n");
    assert_eq!(just.placement("A-1")["outcome"], "on hand");
    assert!(!just.placement("A-1")["review"].contains("renewed"));
    assert_eq!(later(&just), "");
    // A cork lasts a year and cannot be renewed.
    let cork = planned("cork", 10, "renewals = true\n");
    assert_eq!(cork.placement("A-1")["outcome"], "needs a decision");
}

#[test]
fn ground_stoppers_last_25_years_with_new_grease_every_ten() {
    let greased = planned("ground-glass-stopper", 25, "");
    assert_eq!(greased.placement("A-1")["outcome"], "on hand");
    assert!(
        later(&greased).starts_with("Later ground-glass-stopper: new grease every 10 years for 2 lots, 6 times in all")
    );
    // New grease does not extend the life of an old stopper.
    for settings in ["", "renewals = true\n"] {
        let older = planned("ground-glass-stopper", 26, settings);
        assert_eq!(older.placement("A-1")["outcome"], "needs a decision", "{settings}");
        assert!(older.placement("A-1")["reason"].contains("1 year short"), "{}", older.placement("A-1")["reason"]);
    }
    let renewed = planned("ground-glass-stopper", 25, "renewals = true\n");
    assert_eq!(later(&renewed), later(&greased));
}
