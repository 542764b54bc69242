//! Correct plans pass the audit; each of many single wrongs is found, and found where it is.

pub mod scenes;

use rehouse::audit::audit;
use rehouse::plan::Plan;
use rehouse::project::Project;
use rehouse::{assign, options, plan};

/// The project with the plan the program makes of it.
pub fn planned(project: Project) -> (Project, Plan) {
    let rows = options::table::judge_all(&project);
    let question = assign::question::question(&project, &rows);
    let decision = assign::decide(&question);
    let labour = assign::question::labour_per_row(&project);
    let plan = plan::plan(&project, &rows, &question, &decision, labour, Vec::new());
    (project, plan)
}

#[test]
fn a_correct_plan_has_no_findings() {
    for project in [scenes::every_outcome(), scenes::divided_lot()] {
        let (project, plan) = planned(project);
        println!("{}", String::from_utf8(plan::saved::to_json(&project, &plan, &[])).unwrap());
        assert_eq!(audit(&project, &plan), Vec::new());
    }
}
