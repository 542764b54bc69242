//! What a supplier's list is worth: small projects whose stock list is divided in two, against every plan, and lists with faults.

use rehouse::assign::question::question;
use rehouse::decision::Question;
use rehouse::inquiry::break_even::{BoughtUpTo, STEP};
use rehouse::inquiry::catalogue::{catalogue_worth, with_catalogue};
use rehouse::inquiry::{Inquiry, Watch};
use rehouse::options::table::judge_all;
use rehouse::units::Money;
use serde_json::json;

use super::{answered, judged, ran, small_files};
use crate::decision_oracle::reference;
use crate::support::{TestProject, rows, sampled, tries_all};

/// The question with packs of an offer at a price.
fn priced(asked: &Question, offer: usize, price: Money) -> Question {
    let mut asked = asked.clone();
    let terms = asked.supplies.iter_mut().flat_map(|supply| &mut supply.offers);
    terms.filter(|terms| terms.offer as usize == offer).for_each(|terms| terms.pack_price = price);
    asked
}

#[test]
fn rows_of_a_list_are_bought_as_if_they_stood_in_the_stock_list() {
    let (mut prices, mut bought, mut none) = (0, 0, 0);
    for seed in 0..sampled(40) {
        // The second vessel stands in the list of a supplier alone; pieces of it on a shelf are not ours.
        let all = small_files(seed);
        let Some(name) = all.stock.iter().map(|row| row["vessel"].clone()).max() else { continue };
        let (mut own, mut other, mut both) = (all.clone(), all.clone(), all.clone());
        own.stock.retain(|row| row["vessel"] != name);
        other.stock.retain(|row| row["vessel"] == name);
        if own.stock.is_empty() {
            continue;
        }
        for row in both.stock.iter_mut().filter(|row| row["vessel"] == name) {
            for column in ["on_hand", "on_order", "reserve"] {
                if row.contains_key(column) {
                    row.insert(column.to_owned(), String::new());
                }
            }
        }
        let (project, own_rows) = judged(&own);
        let with = with_catalogue(&project, &judged(&other).0.stock).expect("vessels of other names");
        let rows = judge_all(&with.project);
        let mut watch = Watch { report: &mut |_| {}, stop: &|| false };
        let inquiry = Inquiry::about(&project, &own_rows);
        let now = inquiry.plan_value(&inquiry.decide(&mut watch));
        let worth = catalogue_worth(now, &Inquiry::about(&with.project, &rows), &with.offers, &mut watch);
        assert!(worth.is_whole(), "seed {seed}");
        let (in_one, in_one_rows) = judged(&both);
        let best = reference::best(&question(&in_one, &in_one_rows));
        let levels: Vec<i64> = worth.plan.levels.iter().map(|level| level.value).collect();
        assert_eq!(levels[..5], best[..5], "seed {seed}: as if they stood in the stock list");
        let asked = question(&with.project, &rows);
        for row in &worth.rows {
            let at = format!("seed {seed}, offer {}: {:?}", row.threshold.offer, row.threshold.bought);
            let best = |price| reference::best(&priced(&asked, row.threshold.offer, price));
            let far = best(Money::whole(1_000_000));
            match row.threshold.bought {
                BoughtUpTo::Price(price) => {
                    assert!(price < STEP || best(price - STEP)[..5] < far[..5], "{at}: below");
                    prices += 1;
                }
                BoughtUpTo::AnyPrice => {}
                BoughtUpTo::NoPrice => none += 1,
            }
            bought += usize::from(row.threshold.packs.0 > 0);
        }
    }
    assert!(
        !tries_all() || prices > 5 && bought > 2 && none > 1,
        "{prices} prices, {bought} rows bought, {none} at no price"
    );
}

const HEADER: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,unit_price,supplier,order_code\n";

/// One lot in a plain jar for 5, and a supplier's list.
fn one_jar(list: &str) -> TestProject {
    TestProject::new()
        .file("specimens.csv", "catalogNumber,length_mm,width_mm,height_mm,fluid\nA,40,20,20,ethanol-70\n")
        .file("vessels.csv", format!("{HEADER}plain,cylinder,60,80,soda-lime,pp-cap-ptfe,5,,\n"))
        .file("settings.toml", "[fluid_price]\nethanol-70 = 0\n")
        .file("list.csv", list)
}

/// The rows of a list in its answer as CSV.
fn list_of(case: &TestProject) -> String {
    case.project().join("list.csv").to_str().expect("a name").to_owned()
}

#[test]
fn a_list_of_three_rows_by_hand() {
    let rows_of = "cheap,cylinder,60,80,soda-lime,pp-cap-ptfe,3,Fens,C-1\ndear,cylinder,60,80,soda-lime,pp-cap-ptfe,9,Fens,C-2\n\
                   plain,cylinder,60,80,soda-lime,pp-cap-ptfe,4,Fens,C-3\n";
    let case = one_jar(&format!("{HEADER}{rows_of}"));
    let list = list_of(&case);
    let answer = answered(&case, "sizes", &["--offer", &list]);
    assert_eq!((&answer["plan"]["money"], &answer["with_the_list"]["money"]), (&json!("5.00"), &json!("3.00")));
    let told = ran(&case, "sizes", &["--offer", &list, "--format", "csv"]);
    assert_eq!(told.code, 0, "{}", told.stderr);
    let table = rows(told.stdout.as_bytes());
    let cells = |name: &str| table.iter().map(|line| line[name].clone()).collect::<Vec<_>>();
    assert_eq!(cells("order_code"), ["C-3", "C-1", "C-2"]);
    assert_eq!(cells("row"), ["4", "2", "3"]);
    assert_eq!(cells("packs"), ["0", "1", "0"]);
    // The cheap jar up to the price of the plain one in the list, the others up to its own.
    assert_eq!(cells("break_even_pack_price"), ["3.00", "4.00", "3.00"]);
    let shown = ran(&case, "sizes", &["--offer", &list]);
    insta::assert_snapshot!(shown.stdout, @r"
    What the plan buys from this list, and up to which price
      row   vessel   lots   packs   pack price   bought up to   proved
        4   plain       0       0         4.00           3.00   yes
        2   cheap       1       1         3.00           4.00   yes
        3   dear        0       0         9.00           3.00   yes
      The plan costs 5.00 without this list, and 3.00 with it.
      Bought up to: the price of a pack below which the plan buys some, and above which it buys none, with all
      other prices as they are.
    ");
}

#[test]
fn a_list_with_faults_is_refused_with_place_and_cure() {
    let other = "plain,cylinder,61,80,soda-lime,pp-cap-ptfe,4,,\n";
    let wrong = "cheap,cylinder,sixty,80,soda-lime,pp-cap-ptfe,3,,\n";
    let unpriced = "cheap,cylinder,60,80,soda-lime,pp-cap-ptfe,,,\n";
    for (list, code, told) in [
        (HEADER.to_owned(), 2, "list.csv has no row that could be bought"),
        (format!("{HEADER}{unpriced}"), 2, "give each row a vessel and a price: unit_price or pack_price"),
        (format!("{HEADER}{other}"), 2, "other sizes, materials or closures for plain"),
        (format!("{HEADER}{wrong}"), 1, "row 2, inner_diameter_mm"),
    ] {
        let case = one_jar(&list);
        let ran = ran(&case, "sizes", &["--offer", &list_of(&case)]);
        assert_eq!((ran.code, ran.stdout.as_str()), (code, ""), "{list}: {}", ran.stderr);
        assert!(ran.stderr.contains(told), "{list}: {}", ran.stderr);
    }
    let case = one_jar(HEADER);
    let missing = case.project().join("no-such.csv");
    let ran = ran(&case, "sizes", &["--offer", missing.to_str().expect("a name")]);
    assert_eq!((ran.code, ran.stdout.as_str()), (2, ""), "{}", ran.stderr);
    assert!(ran.stderr.contains("no-such.csv"), "{}", ran.stderr);
}
