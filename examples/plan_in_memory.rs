//! Uses the library from input texts to a plan: `cargo run --release --example plan_in_memory`.

use std::collections::BTreeMap;

use rehouse::assign;
use rehouse::options::table::judge_all;
use rehouse::{audit, intake, plan, report};

const SURVEY: &str = "catalogNumber,length_mm,width_mm,height_mm,outline,posture,fluid\n\
                      F1,92,31,24,rounded,either,ethanol-70\n\
                      F2,140,48,35,rounded,either,ethanol-70\n";
const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,unit_price,pack_size\n\
                     small,cylinder,45,120,soda-lime,pp-cap-foamed-pe,1,1.10,6\n\
                     large,cylinder,80,190,soda-lime,pp-cap-foamed-pe,,2.40,1\n";

fn main() {
    let files = BTreeMap::from([
        ("specimens.csv".to_owned(), SURVEY.as_bytes().to_vec()),
        ("vessels.csv".to_owned(), STOCK.as_bytes().to_vec()),
    ]);
    let reading = intake::read_texts(&files, &[], false);
    let Some(project) = reading.project else {
        print!("{}", report::diagnostics::text(&reading.diagnostics));
        return;
    };
    let rows = judge_all(&project);
    let assign::Answered { question, decision } = assign::decide_rows(&project, &rows, &mut |_| {}, &|| false);
    let labour = assign::question::labour_per_row(&project);
    let plan = plan::plan(&project, &rows, &question, &decision, labour, reading.skipped);
    assert!(audit::audit(&project, &plan).is_empty(), "a plan agrees with its inputs");
    print!("{}", report::summary::plan(&project, &plan, None, None));
}
