//! Misspelt names and headers: what is suggested, what is accepted, and what is never suggested.

use rehouse::intake::default_rules;
use rehouse::rules::hazards::Where;

use super::{ReadingCase, SURVEY, one_row};

const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,unit_price\n\
                     J-1,cylinder,80,150,soda-lime,pp-cap-ptfe,2.50\n";

/// A case with the built-in tables.
fn defaults(survey: impl Into<Vec<u8>>, stock: &str) -> ReadingCase {
    let mut case = ReadingCase::new();
    case.files.retain(|name, _| !name.starts_with("rules/"));
    case.with("specimens.csv", survey).with("vessels.csv", stock)
}

/// The only diagnostic of a case, or nothing.
fn said(case: &ReadingCase) -> String {
    if case.found().is_empty() { String::new() } else { case.says() }
}

fn fluid(typed: &str) -> String {
    said(&defaults(SURVEY.replace("ethanol-70", &format!("\"{typed}\"")), STOCK))
}

fn current(typed: &str) -> String {
    said(&defaults(one_row("current_fluid", &format!("\"{typed}\"")), STOCK))
}

fn closure(typed: &str) -> String {
    said(&defaults(SURVEY, &STOCK.replace("pp-cap-ptfe", typed)))
}

/// Whether a message suggests a fluid.
fn offers(says: &str, id: &str) -> bool {
    says.split(|c: char| !c.is_ascii_alphanumeric() && c != '-').any(|word| word == id)
}

#[test]
fn a_recipe_of_another_number_is_not_suggested() {
    for typed in ["Kaiserling I", "Kaiserling 2", "Kaiserling II", "Jores II"] {
        let says = fluid(typed);
        assert!(says.contains("a fluid of this name is known, but with another number"), "{typed}: {says}");
        assert!(!offers(&says, "kaiserling-3") && !offers(&says, "jores"), "{typed}: {says}");
    }
    for typed in ["Kaiserling III", "Kaiserling 3", "Jores I"] {
        assert_eq!(fluid(typed), "", "{typed}");
    }
    let says = fluid("glutaraldehyde 2.5%");
    assert!(says.contains("the fluid is known, but not at this strength"), "{says}");
}

#[test]
fn another_substance_is_not_suggested() {
    let rules = default_rules();
    for typed in ["ethylene glycol", "Owen's fluid", "formalin-alcohol", "alcohol formalin"] {
        let says = fluid(typed);
        assert!(says.contains("no fluid of this name is known"), "{typed}: {says}");
        let offered: Vec<_> = rules.fluids.iter().filter(|fluid| offers(&says, &fluid.id)).collect();
        assert!(offered.is_empty(), "{typed}: {says}");
    }
    assert!(offers(&fluid("propylene glycl"), "propylene-glycol-50"));
    assert!(offers(&fluid("formalin acetic"), "faa") || fluid("formalin acetic acid alcohol").is_empty());
}

#[test]
fn formal_and_formol_are_formalin() {
    let says = fluid("formal 10%");
    for id in ["formalin-10", "formol-saline-10"] {
        assert!(says.contains(&format!("{id} (")), "{id}: {says}");
    }
    for typed in ["formol 10", "formol 10%", "10% formol"] {
        assert_eq!(fluid(typed), "", "{typed}");
        assert_eq!(current(typed), "", "{typed}");
    }
}

#[test]
fn a_strength_alone_asks_for_the_fluid() {
    for typed in ["70%", "70", "70 % v/v"] {
        for says in [fluid(typed), current(typed)] {
            assert!(says.contains("this is a strength without the name of a fluid"), "{typed}: {says}");
            for id in ["ethanol-70", "denatured-70", "isopropanol-70", "glycerol-70"] {
                assert!(offers(&says, id), "{typed}: {says}");
            }
        }
    }
    assert!(fluid("72").contains("write the name with its strength"));
}

#[test]
fn a_name_with_a_question_mark_is_not_accepted() {
    for (typed, cure) in [
        ("formalin ?", "if it is certain, write formalin (strength not known); otherwise write unknown"),
        ("alcohol?", "if it is certain, write alcohol (strength not known); otherwise write unknown"),
        ("ethanol-70?", "if it is certain, write ethanol-70; otherwise write unknown"),
    ] {
        let says = current(typed);
        assert!(says.contains(cure), "{typed}: {says}");
    }
    assert_eq!(current("?"), "");
}

#[test]
fn names_as_the_papers_print_them_are_accepted() {
    let rules = default_rules();
    for listed in &rules.fluids {
        assert_eq!(current(&listed.name), "", "{}", listed.name);
    }
    for typed in ["Formalin 10 % (4 % formaldehyde)", "Kaiserling III"] {
        assert_eq!(fluid(typed), "", "{typed}");
    }
    for part in &rules.closures {
        assert_eq!(rules.closure_named(&part.name).map(|id| &rules.closure(id).id), Some(&part.id), "{}", part.name);
    }
    for part in &rules.materials {
        assert_eq!(rules.material_named(&part.name).map(|id| &rules.material(id).id), Some(&part.id), "{}", part.name);
    }
}

#[test]
fn caps_are_suggested_by_their_material() {
    let ids = ["pp-cap-ptfe", "pp-cap-foamed-pe", "pp-cap-pe-insert", "pp-cap-unlined", "pp-cap-cone-liner"];
    for typed in ["PP screw cap", "PP cap", "screw cap", "PP screw lid"] {
        let says = closure(typed);
        for id in ids {
            assert!(says.contains(id), "{typed}: {id}: {says}");
        }
        assert!(!says.contains("phenolic"), "{typed}: {says}");
    }
    for typed in ["black cap", "Black screw cap", "white lid"] {
        let says = closure(typed);
        assert!(says.contains("a colour does not say what the cap is made of"), "{typed}: {says}");
        assert!(says.contains("phenolic-cap (") && says.contains("pp-cap-ptfe ("), "{typed}: {says}");
    }
    assert_eq!(closure("black phenolic cap"), "");
}

#[test]
fn a_word_inside_the_exact_name_of_a_fluid_is_no_hazard() {
    let hazards = |typed: &str| {
        let project = defaults(one_row("current_fluid", typed), STOCK).project();
        let known = &project.collection.specimens[0].particulars.known_hazards;
        known.iter().map(|id| project.rules.hazards.get(*id).id.clone()).collect::<Vec<_>>()
    };
    for typed in ["1% ethylene glycol phenyl ether", "2% ethylene glycol phenyl ether"] {
        assert!(hazards(typed).is_empty(), "{typed}");
        let case = defaults(SURVEY.replace("ethanol-70", typed), STOCK);
        assert!(case.project().collection.specimens[0].held(&case.project().rules).is_none(), "{typed}");
    }
    assert_eq!(hazards("glutaraldehyde 2%"), ["glutaraldehyde"]);
    assert_eq!(hazards("old ether"), ["ether"]);
}

/// No name in the tables names a hazard, except those that should.
#[test]
fn no_name_in_the_tables_names_a_hazard_by_accident() {
    let rules = default_rules();
    let named = |text: &str| {
        let found = rules.hazards.named_in(text, Where::Elsewhere);
        found.into_iter().map(|id| rules.hazards.get(id).id.as_str()).collect::<Vec<_>>()
    };
    for fluid in &rules.fluids {
        for typed in [&fluid.id, &fluid.name].into_iter().chain(&fluid.aliases) {
            let found = rules.hazards.of_listed_fluid(&fluid.id, &fluid.name, typed);
            let found: Vec<_> = found.into_iter().map(|id| rules.hazards.get(id).id.as_str()).collect();
            let meant: &[&str] = if fluid.id.starts_with("glutaraldehyde") { &["glutaraldehyde"] } else { &[] };
            assert_eq!(found, meant, "{typed}");
        }
    }
    let parts = rules.materials.iter().map(|part| (&part.id, &part.name, &part.aliases));
    let parts = parts.chain(rules.closures.iter().map(|part| (&part.id, &part.name, &part.aliases)));
    for (id, name, aliases) in parts {
        for typed in [id, name].into_iter().chain(aliases) {
            let found = named(typed);
            assert!(found.is_empty() || id == "lead-seal" && found == ["lead"], "{typed}: {found:?}");
        }
    }
}

#[test]
fn misspelt_headers_get_a_suggestion() {
    let survey = |heading: &str| {
        let case = ReadingCase::survey(one_row(heading, "5"));
        case.read().diagnostics.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    };
    for (heading, meant) in [
        ("Weight in g", "mass_g"),
        ("Mass (grams)", "mass_g"),
        ("Tissue vol (ml)", "tissue_ml"),
        ("Priority level", "priority"),
        ("On display", "display"),
        ("Closure", "current_closure"),
        ("On hold", "hold"),
        ("Do not move", "hold"),
    ] {
        let says = survey(heading);
        assert!(says.contains(&format!("if you mean \"{meant}\", rename it")), "{heading}: {says}");
    }
    for (heading, meant) in [
        ("Qty", "on_hand"),
        ("Diameter", "outer_diameter_mm"),
        ("Supplier name", "supplier"),
        ("Cat no", "order_code"),
        ("Manufacturer", "supplier"),
        ("Weight", "empty_mass_g"),
    ] {
        let stock = format!(
            "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,{heading}\nJ-1,cylinder,80,150,soda-lime,pp-cap,5\n"
        );
        let case = ReadingCase::stock(stock);
        let says = case.read().diagnostics.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n");
        assert!(says.contains(&format!("if you mean \"{meant}\", rename it")), "{heading}: {says}");
    }
}

#[test]
fn a_count_that_is_a_word_asks_for_a_whole_number() {
    let says = ReadingCase::survey(one_row("individualCount", "one")).says();
    assert!(says.contains("write a whole number in digits, such as 3") && !says.contains("12.5"), "{says}");
    let says = ReadingCase::survey(one_row("mass_g", "heavy")).says();
    assert!(says.contains("such as 120 or 12.5"), "{says}");
}

#[test]
fn an_oil_has_no_mark_to_measure_its_strength() {
    let review = |typed: &str| {
        let survey = format!(
            "catalogNumber,length_mm,width_mm,height_mm,fluid,current_fluid\nA-1,60,20,20,methyl-salicylate,{typed}\n"
        );
        let case = defaults(survey, STOCK);
        let project = case.project();
        rehouse::options::treatment::strength_not_known(&project, &project.collection.specimens[0])
    };
    assert!(!review("oil") && !review("aqueous") && review("alcohol"));
}
