//! The reason why a row waits states what would place it; a plan made with that addition does place it.

use super::support::TestProject;

const SURVEY: &str = "catalogNumber,length_mm,width_mm,height_mm,fluid,tissue_ml,priority\n\
                      A1,60,40,40,formalin-10,30,1\nA2,90,70,70,formalin-10,100,2\n";

/// Two kinds of vessel: A1 fits both, A2 only the larger.
const VESSELS: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,unit_price,order_limit,supplier\n\
                       small,cylinder,80,100,borosilicate,pp-cap-ptfe,0,3,,Arden\n\
                       large,cylinder,130,150,borosilicate,pp-cap-ptfe,0,8,,Birch\n";

const SUPPLIERS: &str = "supplier,delivery_charge,free_delivery_over,minimum_order\nArden,2,,\nBirch,4,,8\n";

fn case(vessels: &str, settings: &str) -> TestProject {
    let case = TestProject::new().file("specimens.csv", SURVEY).file("vessels.csv", vessels);
    case.file("suppliers.csv", SUPPLIERS).file("settings.toml", settings)
}

/// The reason of A2, which is deferred.
fn reason(vessels: &str, settings: &str) -> String {
    let planned = case(vessels, settings).planned();
    let row = planned.placement("A2");
    assert_eq!(row["outcome"], "deferred");
    row["reason"].clone()
}

/// The number before these words of a sentence.
fn amount(reason: &str, before: &str) -> f64 {
    let head = reason.split(before).next().expect("the word");
    head.split_whitespace().last().expect("a number").parse().expect("a number")
}

#[test]
fn the_stated_missing_money_places_the_row() {
    let budget = 9.0;
    let reason = reason(VESSELS, &format!("budget = {budget}\n"));
    assert!(reason.starts_with("waits: by itself it takes "), "{reason}");
    let (more, left) = (amount(&reason, " more;"), amount(&reason, " of the budget is left"));
    assert!(left < more, "{reason}");
    // Birch's jar at 8 and its charge of 4, with the fluid.
    assert!(more > 12.0, "{reason}");
    let planned = |budget: f64| case(VESSELS, &format!("budget = {budget:.4}\n")).planned();
    let just = planned(budget - left + more + 0.01);
    assert_ne!(just.placement("A2")["outcome"], "deferred");
    let under = planned(budget - left + more - 0.02);
    assert_eq!(under.placement("A2")["outcome"], "deferred");
}

#[test]
fn money_for_the_rest_of_whole_containers_is_stated() {
    let settings = "budget = 9\n[fluid_price]\nformalin-10 = 5\n[containers]\nformaldehyde-37 = \"1=0.5\"\n";
    let planned = case(VESSELS, settings).planned();
    let reason = planned.placement("A2")["reason"].clone();
    assert!(planned.total("containers") < 0.0, "whole containers cost less than the counted fluid");
    let left = amount(&reason, " of the budget is left");
    let unspent = amount(&reason, " of the budget will remain after fluid is bought in whole containers");
    assert!((unspent - (left - planned.total("containers"))).abs() < 0.011, "{reason}");
    // Without known containers they are not mentioned.
    assert!(!self::reason(VESSELS, "budget = 9\n").contains("containers"));
}

#[test]
fn a_used_up_vessel_and_a_cap_on_kinds_give_different_reasons() {
    // One piece of the large kind, which the row of higher priority takes; the small kind is too small for both rows.
    let small = VESSELS.replace("small,cylinder,80,100", "small,cylinder,30,100");
    for one in ["1,8,0", "0,8,1"] {
        let one = small.replace("0,8,", one);
        for settings in ["", "budget = 500\n"] {
            let reason = reason(&one, settings);
            assert!(reason.starts_with("waits: every suitable piece is taken"), "{reason}");
        }
    }
}

#[test]
fn a_cap_is_the_reason_where_nothing_else_prevents_the_row() {
    // Only the small kind takes A1, only the large kind A2; where one kind may be bought, A1 comes first.
    let apart = VESSELS
        .replace("large,cylinder,130,150,borosilicate,pp-cap-ptfe", "large,cylinder,130,150,borosilicate,metal-lid");
    let survey = format!("{}\n", SURVEY.trim_end())
        .replace("tissue_ml,priority", "tissue_ml,priority,keep_years")
        .replace("30,1", "30,1,20")
        .replace("100,2", "100,2,1");
    for cap in ["max_vessel_types = 1\n", "max_suppliers = 1\n"] {
        let planned = case(&apart, cap).file("specimens.csv", &survey).planned();
        let row = planned.placement("A2");
        assert_eq!(row["outcome"], "deferred", "{cap}");
        assert!(
            row["reason"].starts_with("waits: the limits allow no further kind of vessel or supplier"),
            "{}",
            row["reason"]
        );
    }
}

#[test]
fn what_a_row_takes_by_itself_is_not_called_the_least() {
    // L012 can leave the jar on the shelf to L011 for a bought one: 20.218 more is enough, where L011 by itself takes 26.62.
    let case = |budget: &str| {
        TestProject::new()
            .file(
                "specimens.csv",
                "catalogNumber,length_mm,width_mm,height_mm,fluid,tissue_ml\n\
                 L011,32,54,41,formalin-10,18.7\nL012,23,58,52,ethanol-70,26.7\n",
            )
            .file(
                "vessels.csv",
                "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,supplier,order_code,pack_price\n\
                 v03,cylinder,125,50,borosilicate,pp-cap-ptfe,1,S0,C3-0,16.2\n\
                 v04,cylinder,150,150,borosilicate,pp-cap-ptfe,,S0,C4-0,6\n",
            )
            .file("settings.toml", format!("budget = {budget}\n[fluid_price]\n\"ethanol-70\" = 2\n\"formalin-10\" = 20\n"))
            .planned()
    };
    let row = case("12.51").placement("L011").clone();
    assert!(row["reason"].starts_with("waits: by itself it takes 26.62 more; 11.48 of the budget is left"), "{row:?}");
    assert!(!row["reason"].contains("at least"), "{row:?}");
    assert_ne!(case("21.244").placement("L011")["outcome"], "deferred");
}
