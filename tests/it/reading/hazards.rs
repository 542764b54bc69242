//! Hazards of a row: found by alias and whole word in the columns that state them; only reported when found in other columns.

use super::{ReadingCase, SURVEY, found, one_row};
use rehouse::project::Project;
use rehouse::words;

/// The ids of the hazards of the only row.
fn hazards(project: &Project) -> Vec<&str> {
    let known = &project.collection.specimens[0].particulars.known_hazards;
    known.iter().map(|id| project.rules.hazards.get(*id).id.as_str()).collect()
}

/// The reason, in words, why the only row is held.
fn held(project: &Project) -> Option<String> {
    let specimen = &project.collection.specimens[0];
    Some(words::held(project, specimen, specimen.held(&project.rules)?))
}

#[test]
fn every_way_to_write_picric_acid_holds_the_row() {
    for typed in ["picric", "Picric acid", "picric-acid", "PICRIC", "Bouin", "Bouin's fluid", "fixed in Bouin’s 1931"]
    {
        let project = ReadingCase::survey(one_row("hazard", typed)).project();
        assert_eq!(hazards(&project), ["picric"], "{typed}");
        assert!(held(&project).is_some_and(|reason| reason.starts_with("picric acid: not moved")), "{typed}");
    }
    let ether = ReadingCase::survey(one_row("hazard", "old ether")).project();
    assert!(held(&ether).is_some_and(|reason| reason.starts_with("old ether: not moved")));
}

#[test]
fn other_hazards_are_known_and_do_not_hold_the_row() {
    for (typed, id) in [
        ("mercuric chloride", "mercury"),
        ("corrosive sublimate", "mercury"),
        ("Zenker's", "mercury"),
        ("human tissue", "human"),
        ("Human", "human"),
        ("arsenic", "arsenic"),
        ("lead", "lead"),
    ] {
        let project = ReadingCase::survey(one_row("hazard", typed)).project();
        assert_eq!((hazards(&project), held(&project)), (vec![id], None), "{typed}");
    }
    let both = ReadingCase::survey(one_row("hazard", "\"arsenic | mercury, human\"")).project();
    assert_eq!(hazards(&both), ["mercury", "arsenic", "human"], "in table order");
}

#[test]
fn an_unknown_hazard_is_reported() {
    let case = ReadingCase::survey(one_row("hazard", "picrik"));
    assert_eq!(case.found(), ["specimens.csv:2:26 unknown-hazard?"]);
    assert!(case.says().contains("if you mean \"picric\""), "{}", case.says());
    let case = ReadingCase::survey(one_row("hazard", "sharp hooks"));
    assert_eq!(case.found(), ["specimens.csv:2:26 unknown-hazard?"]);
    assert!(case.says().contains("give the reason under hold"));
    assert_eq!(case.project().collection.specimens[0].particulars.hazards, ["sharp hooks"]);
}

#[test]
fn a_fluid_that_names_a_hazard_holds_the_row_in_either_column() {
    let case = ReadingCase::survey(one_row("current_fluid", "Bouin's fluid"));
    assert_eq!(case.found(), ["specimens.csv:2:26 hazardous-fluid?"]);
    assert!(held(&case.project()).is_some());
    let case = ReadingCase::survey(SURVEY.replace("ethanol-70", "Bouin"));
    assert_eq!(case.found(), ["specimens.csv:2:15 hazardous-fluid?"]);
    assert!(held(&case.project()).is_some());
    // A name that is neither a hazard nor a fluid is an error.
    found(ReadingCase::survey(one_row("current_fluid", "Bouinia")), &["specimens.csv:2:26 unknown-fluid"]);
}

#[test]
fn hazards_in_carried_columns_are_only_reported() {
    let case = ReadingCase::survey(one_row("preparations,notes", "\"Bouin, then 70% EtOH\",old"));
    assert_eq!(case.found(), ["specimens.csv:2:26 hazard-in-text?"]);
    // J. E. Simmons, NHCOLL-L:4056, 30 October 2008: traces of picric acid stay in specimens moved to alcohol.
    assert!(
        case.says().contains("write picric under hazard") && case.says().contains("is now in alcohol still holds some")
    );
    assert_eq!((hazards(&case.project()), held(&case.project())), (vec![], None));
    // A hazard that the row states is not reported again; one report is enough.
    found(ReadingCase::survey(one_row("hazard,notes", "picric,Bouin")), &[]);
    found(ReadingCase::survey(one_row("preparations,notes", "Bouin,Bouin")), &["specimens.csv:2:26 hazard-in-text?"]);
    found(ReadingCase::survey(one_row("notes", "lead author: bouinia")), &[]);
}

#[test]
fn hazards_in_name_location_and_present_closure_are_reported() {
    for (header, cell, id) in [
        ("scientificName", "Homo sapiens", "human"),
        ("location", "picric acid cupboard", "picric"),
        ("current_closure", "lead seal", "lead"),
    ] {
        let case = ReadingCase::survey(one_row(header, cell));
        assert_eq!(case.found(), ["specimens.csv:2:26 hazard-in-text?"], "{header}");
        assert!(case.says().contains(&format!("write {id} under hazard")), "{}", case.says());
        assert_eq!((hazards(&case.project()), held(&case.project())), (vec![], None), "{header}");
    }
    found(ReadingCase::survey(one_row("scientificName,hazard", "Homo sapiens,human")), &[]);
    found(ReadingCase::survey(one_row("scientificName", "Homo erectus")), &[]);
}

#[test]
fn a_project_table_of_hazards_replaces_the_built_in_one() {
    let table = "hazard,aliases,action,words\nspines,sea urchin,held,Spines: not by hand.\n";
    let own = |hazard: &str| ReadingCase::survey(one_row("hazard", hazard)).with("rules/hazards.csv", table);
    assert_eq!(held(&own("Sea-urchin").project()).as_deref(), Some("sea urchin: not moved; call a specialist"));
    assert_eq!(own("picric").found(), ["specimens.csv:2:26 unknown-hazard?"]);
    let wrong = "hazard,aliases,action,words\nspines,,stop,\nspines,,held,x\n";
    found(
        ReadingCase::new().with("rules/hazards.csv", wrong),
        &["rules/hazards.csv:2:9 unknown-word", "rules/hazards.csv:2:14 blank-cell"],
    );
}

#[test]
fn a_hold_is_the_reason_before_a_hazard_and_a_hazard_before_its_column() {
    let reason = |headers: &str, cells: &str| held(&ReadingCase::survey(one_row(headers, cells)).project());
    assert_eq!(reason("hold,hazard", "type,picric").as_deref(), Some("hold: type"));
    assert!(reason("disposition,hazard", "on loan,picric").is_some_and(|reason| reason.starts_with("picric acid")));
    assert_eq!(reason("disposition", "on loan").as_deref(), Some("disposition: on loan"));
}

/// Lots as keepers describe them, planned with the built-in table: which are held, and what is reported of those that are moved.
/// J. E. Simmons, NHCOLL-L:4056, 30 October 2008: traces of picric acid stay in specimens moved to alcohol.
#[test]
fn a_plan_holds_picric_acid_however_it_is_written_and_cautions_of_other_hazards() {
    let lot = |key: &str, present: &str, hazard: &str, notes: &str| {
        format!("{key},40,14,12,rounded,ethanol-70,{present},{hazard},{notes}\n")
    };
    let lots: String = [
        lot("P-1", "ethanol-70", "Picric acid", ""),
        lot("P-2", "ethanol-70", "picric-acid", ""),
        lot("P-3", "ethanol-70", "fixed in Bouin", ""),
        lot("E-1", "ethanol-70", "old ether", ""),
        lot("M-1", "ethanol-70", "mercuric chloride", ""),
        lot("H-1", "ethanol-70", "human tissue", ""),
        lot("A-1", "ethanol-70", "arsenic", ""),
        lot("N-1", "ethanol-70", "", "Bouin 1931"),
        lot("U-1", "unknown", "", ""),
        lot("W-1", "ethanol-70", "picrik", ""),
    ]
    .concat();
    let head = "catalogNumber,length_mm,width_mm,height_mm,outline,fluid,current_fluid,hazard,notes\n";
    let stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
                 jar,cylinder,30,60,borosilicate,ground-glass-stopper,20\n";
    let case =
        |survey: String| crate::support::TestProject::new().file("specimens.csv", survey).file("vessels.csv", stock);
    let planned = case(format!("{head}{lots}")).planned();
    let outcome = |key: &str| planned.placement(key)["outcome"].clone();
    for key in ["P-1", "P-2", "P-3", "E-1"] {
        assert_eq!(outcome(key), "held", "{key}");
    }
    assert_eq!(outcome("U-1"), "needs a decision", "nobody knows what it is in");
    for key in ["M-1", "H-1", "A-1", "N-1", "W-1"] {
        assert_eq!(outcome(key), "on hand", "{key}");
    }
    let cautions = planned.plan["cautions"].to_string();
    for words in ["Picric acid: ", "Old ether: ", "Mercury salts: ", "Human tissue: ", "Arsenic: "] {
        assert!(cautions.contains(words), "{words} {cautions}");
    }
    for code in ["hazard-in-text", "unknown-hazard"] {
        assert!(planned.ran.stderr.contains(code), "{code} {}", planned.ran.stderr);
    }
    // A present fluid that is a hazard holds the lot too.
    let planned = case(format!("{head}{}", lot("B-1", "Bouin's fluid", "", ""))).planned();
    assert_eq!(planned.placement("B-1")["outcome"], "held");
}
