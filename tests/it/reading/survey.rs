//! The survey.

use super::{ReadingCase, SURVEY, found, mm, one_row};
use rehouse::collection::{Display, Envelope, Outline, Posture, Size, Tissue, VesselChoice};
use rehouse::rules::FluidId;
use rehouse::stock::VesselId;
use rehouse::units::{Mass, Money, Volume};

#[test]
fn blank_keys_and_fluids_are_refused() {
    found(ReadingCase::survey(SURVEY.replace("A-1", " ")), &["specimens.csv:2:1 blank-cell"]);
    found(ReadingCase::survey(SURVEY.replace("ethanol-70", "")), &["specimens.csv:2:15 blank-cell"]);
}

#[test]
fn equal_keys_are_duplicates_and_both_lines_are_named() {
    let case = ReadingCase::survey(format!("{SURVEY}A-2,1,2,3,unknown\nA-1,1,2,3,unknown\n"));
    assert_eq!(case.found(), ["specimens.csv:4:1 duplicate-key"]);
    assert!(case.says().contains("the key \"A-1\" is also in row 2"));
    let codes = "institutionCode,catalogNumber,length_mm,width_mm,height_mm,fluid\n\
                 X,A-1,1,2,3,unknown\nY,A-1,1,2,3,unknown\nX,A-1,1,2,3,unknown\n";
    found(ReadingCase::survey(codes), &["specimens.csv:4:3 duplicate-key"]);
    // A row with another error still has its key.
    found(
        ReadingCase::survey(format!("{SURVEY}A-1,0,2,3,unknown\n")),
        &["specimens.csv:3:1 duplicate-key", "specimens.csv:3:5 zero"],
    );
}

#[test]
fn some_but_not_all_sizes_are_refused() {
    found(ReadingCase::survey(SURVEY.replace(",20,", ",,")), &["specimens.csv:2:9 incomplete-size"]);
    found(ReadingCase::survey(SURVEY.replace("100,20,", ",,")), &["specimens.csv:2:5 incomplete-size"]);
}

#[test]
fn blank_sizes_are_taken_from_a_listed_vessel_or_unknown() {
    let row = |vessel: &str| one_row("current_vessel", vessel).replace("100,20,30", ",,");
    assert_eq!(ReadingCase::survey(row("J-1")).project().collection.specimens[0].size, Size::LikeForLike(VesselId(0)));
    for unlisted in ["", "some jar"] {
        let project = ReadingCase::survey(row(unlisted)).project();
        assert_eq!(project.collection.specimens[0].size, Size::Unknown);
        assert_eq!(project.collection.specimens[0].particulars.current_vessel, unlisted);
    }
    let sized = ReadingCase::survey(one_row("current_vessel", "some jar"));
    assert_eq!(sized.found(), Vec::<String>::new());
    found(ReadingCase::survey(row("J1")), &["specimens.csv:2:19 unknown-vessel?"]);
}

#[test]
fn unknown_fluids_are_refused_with_the_nearest_name() {
    let case = ReadingCase::survey(SURVEY.replace("ethanol-70", "ethonal-70"));
    assert_eq!(case.found(), ["specimens.csv:2:15 unknown-fluid"]);
    assert!(case.says().contains("if you mean \"ethanol-70\""));
    // A strength without a fluid of its own is not guessed.
    found(ReadingCase::survey(SURVEY.replace("ethanol-70", "ethanol-75")), &["specimens.csv:2:15 unknown-fluid"]);
    found(ReadingCase::survey(one_row("current_fluid", "gin")), &["specimens.csv:2:26 unknown-fluid"]);
}

#[test]
fn fluids_are_found_by_alias() {
    for (typed, id) in [
        ("70% alcohol", 0),
        ("Alcohol 70 %", 0),
        ("etoh-70", 0),
        ("ETHANOL-96", 1),
        ("Formaldehyde 4%", 2),
        ("unknown", 3),
    ] {
        let project = ReadingCase::survey(SURVEY.replace("ethanol-70", typed)).project();
        assert_eq!(project.collection.specimens[0].fluid, FluidId(id), "{typed}");
    }
}

#[test]
fn a_fluid_without_a_strength_is_an_error_that_asks_for_it() {
    for typed in ["spirit", "alcohol", "Alcohol", "ethanol"] {
        let case = ReadingCase::survey(SURVEY.replace("ethanol-70", typed));
        assert_eq!(case.found(), ["specimens.csv:2:15 strength-missing"], "{typed}");
        assert!(case.says().contains("→ measure it and write ethanol-70, ethanol-96 or unknown  ["));
    }
}

#[test]
fn words_outside_a_closed_list_are_refused() {
    let case = ReadingCase::survey(one_row("posture", "sideways"));
    assert_eq!(case.found(), ["specimens.csv:2:26 unknown-word"]);
    assert!(case.says().contains("upright for one on end (length vertical)"));
    found(ReadingCase::survey(one_row("outline", "round")), &["specimens.csv:2:26 unknown-word"]);
    found(ReadingCase::survey(one_row("display", "yes")), &["specimens.csv:2:26 unknown-word"]);
}

#[test]
fn pins_must_name_listed_vessels_and_not_contradict_each_other() {
    let case = ReadingCase::survey(one_row("must_use", "J-1|J1"));
    assert_eq!(case.found(), ["specimens.csv:2:26 unknown-vessel"]);
    assert!(case.says().contains("no vessel \"J1\" is listed") && case.says().contains("if you mean \"J-1\""));
    found(
        ReadingCase::survey(one_row("must_use,must_not_use", "J-1,@tank|J-1")),
        &["specimens.csv:2:26 contradictory-pins"],
    );
}

#[test]
fn a_mass_or_volume_that_the_envelopes_cannot_hold_is_refused() {
    // 100 × 20 × 30 mm are 60 ml, and 78 g at 1.3 g/ml.
    found(ReadingCase::survey(one_row("mass_g", "78")), &[]);
    found(ReadingCase::survey(one_row("mass_g", "78.1")), &["specimens.csv:2:26 mass-beyond-envelope"]);
    found(ReadingCase::survey(one_row("mass_g,individualCount", "150,2")), &[]);
    found(ReadingCase::survey(one_row("tissue_ml", "60")), &[]);
    found(ReadingCase::survey(one_row("tissue_ml", "60.1")), &["specimens.csv:2:26 tissue-beyond-envelope"]);
}

#[test]
fn a_mass_of_zero_is_unknown_and_reported() {
    for header in ["mass_g", "tissue_ml"] {
        let case = ReadingCase::survey(one_row(header, "0"));
        assert_eq!(case.found(), ["specimens.csv:2:26 zero-is-unknown?"]);
        assert_eq!(case.project().collection.specimens[0].tissue, Tissue::Unknown);
    }
    assert_eq!(ReadingCase::survey(one_row("mass_g", "")).project().collection.specimens[0].tissue, Tissue::Unknown);
}

#[test]
fn a_hold_of_no_is_reported_as_unclear() {
    found(ReadingCase::survey(one_row("hold", "no")), &["specimens.csv:2:26 unclear-hold"]);
}

#[test]
fn every_cell_of_a_survey_is_read() {
    let text = "dwc:catalogNumber,InstitutionCode,collectionCode,part,scientificName,individualCount,length_cm,width_in,\
                DEPTH_m,outline,posture,mass_kg,body_factor,fluid,current_fluid,current_strength_pct,current_fluid_l,\
                tank_quote,section_give_pct,keep_years,display,priority,must_use,must_not_use,max_vessels,clearance_mm,\
                max_outer_height_mm,hazard,hold,disposition,location,current_vessel,current_material,current_closure,\
                eventID,typeStatus,collector\n\
                7,NHM,FISH,gut,Anguilla,3,12.5,2,0.07,Rounded,as set,0.25,0.3,ethanol-96,70% alcohol,68.5,1.5,120.5,10,25,\
                flat,1,J-1 | @TANK,,2,1.5,300,Human|PICRIC,fragile,in collection,B4,old jar,glass,cork,E1,holotype,'=x\n";
    let project = ReadingCase::survey(text).project();
    assert_eq!(project.collection.key_headers, ["catalogNumber", "institutionCode", "collectionCode", "part"]);
    assert_eq!(project.collection.carried_headers, ["collector"]);
    let specimen = &project.collection.specimens[0];
    assert_eq!(specimen.key.to_string(), "NHM:FISH:7:gut");
    assert_eq!(specimen.line, 2);
    assert_eq!(specimen.name, "Anguilla");
    assert_eq!(specimen.individuals, 3);
    assert_eq!(specimen.size, Size::Measured(Envelope { length: mm(125.0), width: mm(50.8), height: mm(70.0) }));
    assert_eq!((specimen.outline, specimen.outline_stated), (Outline::Rounded, true));
    assert_eq!(specimen.posture, Posture::AsSet);
    assert_eq!(specimen.tissue, Tissue::Mass(Mass::new(250.0).unwrap()));
    assert_eq!(specimen.particulars.body_factor, Some(0.3));
    assert_eq!((specimen.fluid, specimen.current_fluid), (FluidId(1), Some(FluidId(0))));
    assert_eq!(specimen.particulars.current_strength_pct, Some(68.5));
    assert_eq!(specimen.particulars.current_fluid_ml, Volume::new(1500.0));
    assert_eq!(specimen.particulars.tank_quote, Money::parse("120.5"));
    assert_eq!(specimen.section_give, 0.1);
    assert_eq!(specimen.keep_years, 25.0);
    assert_eq!(specimen.display, Display::Flat);
    assert_eq!(specimen.priority, 1);
    assert_eq!(specimen.particulars.must_use, [VesselChoice::Listed(VesselId(0)), VesselChoice::Tank]);
    assert_eq!(specimen.particulars.must_not_use, []);
    assert_eq!(specimen.max_vessels, 2);
    assert_eq!(
        (specimen.particulars.clearance, specimen.particulars.max_outer_height),
        (Some(mm(1.5)), Some(mm(300.0)))
    );
    assert_eq!(specimen.particulars.hazards, ["human", "picric"]);
    assert_eq!(specimen.particulars.hold.as_deref(), Some("fragile"));
    assert_eq!((specimen.particulars.disposition.as_str(), specimen.location.as_str()), ("in collection", "B4"));
    assert_eq!((specimen.particulars.event.as_str(), specimen.particulars.type_status.as_str()), ("E1", "holotype"));
    let now = [
        &specimen.particulars.current_vessel,
        &specimen.particulars.current_material,
        &specimen.particulars.current_closure,
    ];
    assert_eq!(now, ["old jar", "glass", "cork"]);
    assert_eq!(specimen.particulars.carried, ["=x"], "one formula guard is taken off");
}

#[test]
fn blank_cells_take_the_defaults_of_the_settings_then_the_programs() {
    let project = ReadingCase::settings("keep_years = 12\n").project();
    let specimen = &project.collection.specimens[0];
    assert_eq!((specimen.individuals, specimen.priority, specimen.max_vessels), (1, 3, 1));
    assert_eq!((specimen.posture, specimen.display), (Posture::Either, Display::No));
    assert_eq!((specimen.outline, specimen.outline_stated), (Outline::Box, false));
    assert_eq!(specimen.keep_years, 12.0);
    let settings = "[defaults]\nposture = \"upright\"\npriority = 2\nclearance_cm = 0.4\nkeep_years = 30\n";
    let survey = format!("{}A-2,1,2,3,unknown,any\n", one_row("posture", ""));
    let project = ReadingCase::settings(settings).with("specimens.csv", survey).project();
    let [blank, stated] = &project.collection.specimens[..] else { panic!() };
    assert_eq!((blank.posture, blank.priority, blank.particulars.clearance), (Posture::Upright, 2, Some(mm(4.0))));
    assert_eq!(blank.keep_years, 30.0);
    assert_eq!((stated.posture, stated.priority), (Posture::Any, 2));
}
