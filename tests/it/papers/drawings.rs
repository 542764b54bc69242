//! Drawings agree with the verdicts: bodies within the walls, gaps and cover as in the plan.

use rehouse::collection::Size;
use rehouse::options::judge;
use rehouse::plan::Plan;
use rehouse::project::Project;
use rehouse::report::drawing::body::posed;
use rehouse::report::drawing::sheet::layout;

use super::{demo, planned};
use crate::support::ProjectFiles;

/// The demo with bodies that may lean.
fn leaning() -> ProjectFiles {
    let mut files = demo();
    let settings = String::from_utf8(files["settings.toml"].clone()).expect("UTF-8");
    files.insert("settings.toml".to_owned(), format!("leaning = true\n{settings}").into_bytes());
    files
}

/// Bodies that fit a rectangular vessel only when turned in plan.
fn turned() -> ProjectFiles {
    let survey = "catalogNumber,length_mm,width_mm,height_mm,outline,posture,tissue_ml,fluid,max_outer_height_mm\n\
        T1,118,10,20,box,as-set,4,formalin-10,\nT2,122,30,20,rounded,as-set,4,formalin-10,\n\
        C1,20,20,30,rounded,as-set,,formalin-10,\nS1,90,40,40,box,as-set,9,formalin-10,50\n";
    let stock = "vessel,form,inner_length_mm,inner_width_mm,inner_height_mm,material,closure,on_hand,outer_height_mm\n\
        square,rectangular,110,105,60,soda-lime,plate-silicone,9,70\n";
    [("specimens.csv", survey), ("vessels.csv", stock)]
        .map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()))
        .into()
}

/// Compares every drawing of a measured body in a vessel with the plan; returns the number that lean and the number that are turned.
fn held_against_the_plan(project: &Project, plan: &Plan) -> (usize, usize) {
    let (mut leaning, mut turned) = (0, 0);
    for placement in &plan.placements {
        let specimen = &project.collection.specimens[placement.specimen];
        let (Some(id), Some(fit), Size::Measured(_)) = (placement.vessel, placement.fit, specimen.size) else {
            continue;
        };
        let vessel = project.stock.vessel(id);
        let stance = fit.stance.expect("a measured body has a stance");
        let pose = posed(project, specimen, vessel, stance, fit.leaning).expect("it can be drawn");
        let (wide, deep) = pose.reach();
        assert!(wide <= vessel.section.larger().mm() + 1e-6, "{}: {wide} wide", specimen.key);
        assert!(deep <= vessel.section.smaller().mm() + 1e-6, "{}: {deep} deep", specimen.key);
        let fill = judge::fill(project, specimen.fluid, vessel);
        let top = project.settings.floor + pose.vertical;
        let cover = fit.cover.expect("measured").mm();
        assert!((fill.height.mm() - top.mm() - cover).abs() < 0.01, "{}: cover {cover}", specimen.key);
        if fit.leaning {
            leaning += 1;
            continue;
        }
        let gap = fit.wall_gap.expect("measured").mm();
        let [from, to] = pose.nearest(vessel.section);
        let drawn = (from[0] - to[0]).hypot(from[1] - to[1]);
        assert!((drawn - gap).abs() < 0.01, "{}: drawn {drawn}, judged {gap}", specimen.key);
        turned += usize::from(pose.turn != 0.0);
    }
    (leaning, turned)
}

#[test]
fn bodies_are_drawn_within_their_walls_with_the_gaps_that_were_judged() {
    let (project, plan) = planned(&demo());
    held_against_the_plan(&project, &plan);
    let (project, plan) = planned(&leaning());
    assert!(held_against_the_plan(&project, &plan).0 > 3, "some lean");
    let (project, plan) = planned(&turned());
    assert!(held_against_the_plan(&project, &plan).1 >= 2, "two go in only when turned");
}

#[test]
fn a_lack_of_fluid_and_a_low_shelf_are_drawn_too() {
    let mut files = turned();
    let survey = "catalogNumber,individualCount,length_mm,width_mm,height_mm,outline,posture,tissue_ml,fluid,max_outer_height_mm\n\
        C1,60,20,20,20,rounded,as-set,200,formalin-10,\nS1,1,90,40,40,box,as-set,9,formalin-10,50\n";
    files.insert("specimens.csv".to_owned(), survey.as_bytes().to_vec());
    let (_, plan, report) = super::paper(&files, "report.html");
    let causes: Vec<_> = plan
        .placements
        .iter()
        .filter_map(|row| row.near_miss.as_deref())
        .map(|(_, miss)| rehouse::words::refusal(miss).into_owned())
        .collect();
    assert_eq!(causes, ["too crowded: 2.8 % over", "20 mm too tall for its shelf"]);
    let leftovers = report.split("<section id=\"leftovers\">").nth(1).expect("leftovers");
    assert_eq!(leftovers.split("</section>").next().unwrap_or_default().matches("class=\"over\"").count(), 2);
}

#[test]
fn every_pane_on_a_sheet_of_glass_has_its_number_at_any_drawn_width() {
    let (project, plan) = planned(&demo());
    let narrow = plan.sheets.iter().flat_map(|sheet| &sheet.panes).any(|pane| pane.length.mm() < 100.0);
    assert!(narrow, "a strip that is drawn narrower than two digits");
    for sheet in &plan.sheets {
        let drawing = layout(&project, sheet).into_string();
        for number in 1..=sheet.panes.len() {
            let named = drawing.contains(&format!(">{number}</text>")) || drawing.contains(&format!(">{number}  "));
            assert!(named, "{number}");
        }
    }
}
