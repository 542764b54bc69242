//! The papers for reading and for the bench: they agree with the plan, are well formed, need nothing from outside, are readable by
//! everybody, and stay small.

mod drawings;
mod fire;
mod labels;
mod look;
mod markup;
mod report;
mod size;
mod transfer_sheets;
mod words;

use std::fs;
use std::path::Path;

use crate::support::ProjectFiles;
use rehouse::assign;
use rehouse::intake::{self, Reading};
use rehouse::options::table::judge_all;
use rehouse::plan::{self, Plan};
use rehouse::project::Project;
use rehouse::report::{fire_sheet, html, labels as label_papers, transfer_sheets as sheets};

/// The demo project's files.
fn demo() -> ProjectFiles {
    let names = ["specimens.csv", "vessels.csv", "suppliers.csv", "fluid-stock.csv", "settings.toml"];
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
    names.map(|name| (name.to_owned(), fs::read(folder.join(name)).expect("a file of the demo"))).into()
}

/// A project and its plan.
fn planned(files: &ProjectFiles) -> (Project, Plan) {
    let Reading { project, diagnostics, skipped, .. } = intake::read_texts(files, &[], true);
    let project = project.unwrap_or_else(|| panic!("{}", rehouse::report::diagnostics::text(&diagnostics)));
    let rows = judge_all(&project);
    let assign::Answered { question, decision } = assign::decide_rows(&project, &rows, &mut |_| {}, &|| false);
    let labour = assign::question::labour_per_row(&project);
    let plan = plan::plan(&project, &rows, &question, &decision, labour, skipped);
    (project, plan)
}

/// Every paper of a plan, by its name.
fn papers(project: &Project, plan: &Plan) -> Vec<(&'static str, String)> {
    let inputs = [("specimens.csv".to_owned(), "0".repeat(64))];
    let papers = [
        ("report.html", html::report(project, plan, &inputs)),
        ("transfer-sheets.html", sheets::transfer_sheets(project, plan)),
        ("labels.html", label_papers::sheet(project, plan)),
        ("fire-sheet.html", fire_sheet::fire_sheet(project, plan)),
    ];
    papers.map(|(name, bytes)| (name, String::from_utf8(bytes).expect("UTF-8"))).into()
}

/// The demo as a project.
pub fn demo_project() -> Project {
    planned(&demo()).0
}

/// The paper of this name.
fn paper(files: &ProjectFiles, name: &str) -> (Project, Plan, String) {
    let (project, plan) = planned(files);
    let text = papers(&project, &plan).into_iter().find(|(own, _)| *own == name).expect("such a paper").1;
    (project, plan, text)
}

/// A project whose every text is meant to break a page.
fn hostile() -> ProjectFiles {
    let survey = "catalogNumber,scientificName,individualCount,length_mm,width_mm,height_mm,outline,posture,tissue_ml,fluid,\
        max_vessels,hazard,hold,location,typeStatus,eventID,current_vessel,<i>carried</i>\n\
        \"<script>alert('1')</script>\",\"<b>&amp;\"\"name'</b>\",4,40,12,10,rounded,any,4,ethanol-70,1,<human>,,\"</table>\",\
        \"\"\"><svg onload=x>\",<!--,<u>,</style>\n\
        \"a&b;\"\"<\",]]>,1,400,120,110,box,as-set,,formalin-10,1,,,,,,,\u{1}\n\
        held<,x,1,4,2,2,rounded,any,,ethanol-70,1,,\"<hold & keep>\",,,,,\n";
    let stock = "vessel,description,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,supplier,order_code,unit_price,pack_size\n\
        \"jar<&\"\"'>\",\"</td><script>\",cylinder,60,90,soda-lime,pp-cap-foamed-pe,,\"<Foss & \"\"Sons\"\">\",<c&d>,2,1\n";
    let settings = "currency = \"<crowns>&\"\n";
    [("specimens.csv", survey), ("vessels.csv", stock), ("settings.toml", settings)]
        .map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()))
        .into()
}
