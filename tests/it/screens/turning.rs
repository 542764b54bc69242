//! `why`: the hint to turn a body by hand where it does not pass the mouth as it will stand.

use crate::support::TestProject;

fn why(body: &str, bore: u32, settings: &str) -> String {
    let survey = format!(
        "catalogNumber,length_mm,width_mm,height_mm,outline,posture,fluid,tissue_ml\nA-1,{body},box,as-set,ethanol-70,20\n"
    );
    let stock = format!(
        "vessel,form,inner_diameter_mm,inner_height_mm,body_height_mm,mouth_diameter_mm,material,closure,on_hand\n\
         jar,cylinder,{bore},180,150,56,borosilicate,ground-glass-stopper,5\n"
    );
    let case =
        TestProject::new().file("specimens.csv", survey).file("vessels.csv", stock).file("settings.toml", settings);
    let ran =
        TestProject::run(&["why", "A-1", "--in", &case.project().display().to_string()].map(std::path::Path::new));
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    ran.stdout
}

const HINT: &str = "it goes in end on and lies down below the neck";

#[test]
fn turning_is_suggested_only_where_the_body_lies_down_and_turning_is_not_set() {
    // Lying, it needs a bore of about 104 mm: the diagonal of 85 × 40 is 93.9, and 5 % at each wall.
    let narrow = why("85,40,10", 100, "");
    assert!(narrow.contains("mouth") && !narrow.contains(HINT), "{narrow}");
    assert!(why("85,40,10", 112, "").contains(HINT));
    // With the setting on, turning was tried already.
    let turned = why("85,40,10", 100, "turning = true\n");
    assert!(!turned.contains(HINT), "{turned}");
    assert!(why("85,40,10", 112, "turning = true\n").contains("Suitable"));
}
