//! Suggestions for unknown names: never another number, never the worst choice, all likely names with their meaning.

use super::{ReadingCase, SURVEY, one_row};
use rehouse::intake::default_rules;
use rehouse::intake::typed;

/// A case with the built-in tables.
fn defaults(survey: impl Into<Vec<u8>>, stock: &str) -> ReadingCase {
    let mut case = ReadingCase::new();
    case.files.retain(|name, _| !name.starts_with("rules/"));
    case.with("specimens.csv", survey).with("vessels.csv", stock)
}

const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,unit_price\n\
                     J-1,cylinder,80,150,soda-lime,pp-cap-ptfe,2.50\n";

/// Code and help on a fluid of a row.
fn fluid(typed: &str) -> (String, String) {
    let case = defaults(SURVEY.replace("ethanol-70", typed), STOCK);
    let code =
        case.found().first().map_or(String::new(), |found| found.rsplit(' ').next().unwrap_or_default().to_owned());
    (code, if case.found().is_empty() { String::new() } else { case.says() })
}

#[test]
fn a_strength_is_never_changed() {
    // Formalin is counted in two ways: 4 % of formaldehyde is 10 % of stock (USGS Open-File Report 93-104, p. 28).
    let (code, says) = fluid("4% formalin");
    assert_eq!(code, "two-strengths");
    assert!(says.contains("formalin-10 (Formalin 10 % (4 % formaldehyde))"), "{says}");
    assert!(!says.contains("formalin-5 ") && !says.contains("5% formalin"), "{says}");
    let (code, says) = fluid("formaldehyde 10%");
    assert_eq!(code, "two-strengths");
    assert!(says.contains("if it holds 10 % of stock, write formalin-10"), "{says}");
    assert!(says.contains("if it holds 10 % of formaldehyde, add a row for it to fluids.csv"), "{says}");
    for typed in ["7% formalin", "ethanol-72", "72% EtOH", "alcohol 68 %", "glycerol 33%", "isopropanol-42"] {
        let (code, says) = fluid(typed);
        assert_eq!(code, "unknown-fluid", "{typed}");
        assert!(says.contains("known, but not at this strength") && !says.contains("-70"), "{typed}: {says}");
    }
    let (code, says) = fluid("ethonol-70");
    assert_eq!(code, "unknown-fluid");
    assert!(!says.contains("denatured"), "a slip in one name, of which the other has all words: {says}");
    assert!(says.contains("if you mean \"ethanol-70\" (Ethanol 70 %), write that"), "{says}");
}

#[test]
fn every_fluid_of_a_family_is_named_where_its_strength_is_asked_for() {
    for (typed, family) in [("alcohol", "alcohol"), ("formalin", "formaldehyde"), ("glycerine", "glycerol")] {
        let (code, says) = fluid(typed);
        assert_eq!(code, "strength-missing", "{typed}");
        let cure = says.split_once("measure it and write ").expect("a cure").1;
        let rules = default_rules();
        let of_family = rules.fluids.iter().filter(|f| format!("{:?}", f.family).to_lowercase() == family);
        for id in of_family.filter(|f| !f.present_only).map(|f| f.id.as_str()) {
            let (stem, strength) = id.rsplit_once('-').unwrap_or((id, ""));
            let after =
                cure.split_once(&format!("{stem}- ")).map_or("", |(_, rest)| rest.split(')').next().unwrap_or(""));
            let together = after.split(|c: char| !c.is_ascii_digit()).any(|number| number == strength);
            assert!(together || cure.contains(id), "{typed}: {id} is not in {cure}");
        }
        assert!(cure.contains("or unknown"), "{cure}");
    }
    let (_, says) = fluid("isopropanol");
    assert!(says.contains("isopropanol- with its strength (40, 45, 50, 55, 60, 70 or 99) or unknown"), "{says}");
}

#[test]
fn four_per_cent_formalin_suggests_all_fluids_of_that_strength() {
    let (_, says) = fluid("4% formalin");
    for id in ["sea-water-formalin-4", "formalin-10", "nbf-10", "borax-formalin-10", "formol-saline-10"] {
        assert!(says.contains(&format!("{id} (")), "{id}: {says}");
    }
    let (code, says) = fluid("4% buffered formalin");
    assert_eq!(code, "two-strengths");
    assert!(says.contains("nbf-10 (") && says.contains("borax-formalin-10 ("), "{says}");
    assert!(!says.contains("saline") && !says.contains(" formalin-10 ("), "it says buffered: {says}");
}

#[test]
fn all_likely_fluids_are_suggested_with_their_meaning() {
    let (_, says) = fluid("10% buffered formalin");
    assert!(says.contains("nbf-10 (Neutral buffered formalin 10 %)") && says.contains("borax-formalin-10"), "{says}");
    for accepted in ["20% formalin", "phenoxyethanol 1%", "FAA", "Steedman's solution", "70% EtOH", "propylene glycol"]
    {
        assert_eq!(fluid(accepted).0, "", "{accepted}");
    }
}

/// The message on a material or closure.
fn part(column: &str, typed: &str) -> String {
    let stock = match column {
        "material" => STOCK.replace("soda-lime", typed),
        _ => STOCK.replace("pp-cap-ptfe", typed),
    };
    let case = defaults(SURVEY, &stock);
    if case.found().is_empty() { String::new() } else { case.says() }
}

#[test]
fn the_worst_choice_is_never_suggested() {
    let says = part("closure", "screw cap");
    assert!(says.contains("pp-cap-ptfe (") && says.contains("pp-cap-foamed-pe ("), "{says}");
    assert!(!says.contains("phenolic") && !says.contains("pvc"), "{says}");
    let says = part("material", "glass");
    assert!(
        says.contains("borosilicate (Borosilicate glass)") && says.contains("soda-lime (Soda-lime glass)"),
        "{says}"
    );
    // A clear misspelling of it is corrected.
    assert!(part("closure", "phenolc-cap").contains("phenolic-cap"));
}

/// The ids suggested for an unknown name.
fn offered(column: &str, typed: &str) -> Vec<String> {
    let says = part(column, typed);
    assert!(!says.is_empty(), "{typed} is taken");
    let rules = default_rules();
    let ids: Vec<&str> = match column {
        "material" => rules.materials.iter().map(|part| part.id.as_str()).collect(),
        _ => rules.closures.iter().map(|part| part.id.as_str()).collect(),
    };
    let words: Vec<&str> = says.split(|c: char| !c.is_ascii_alphanumeric() && c != '-').collect();
    ids.into_iter().filter(|id| words.contains(id)).map(str::to_owned).collect()
}

#[test]
fn a_word_for_a_kind_suggests_all_of_that_kind_and_nothing_else() {
    let rules = default_rules();
    for typed in ["glass", "Glass", "Glas", "glassware", "clear glass", "glass jar", "brown glass"] {
        let ids = offered("material", typed);
        assert!(ids.contains(&"soda-lime".to_owned()) && ids.contains(&"borosilicate".to_owned()), "{typed}: {ids:?}");
        for id in ids {
            let material = rules.materials.iter().find(|material| material.id == id).expect("a material");
            assert_eq!(material.glass, Some(true), "{typed}: {id}");
        }
    }
    // Glass-reinforced plastic contains the word but is hardly ever meant by a plastic jar.
    for typed in ["plastic", "Plastic", "plastics", "plastic jar"] {
        let ids = offered("material", typed);
        assert!(ids.iter().any(|id| id == "polypropylene") && ids.iter().any(|id| id == "hdpe"), "{typed}: {ids:?}");
        assert!(ids.len() > 8 && !ids.iter().any(|id| id.contains("glass") || id == "soda-lime"), "{typed}: {ids:?}");
        // GRP comes last, and phenolic resin, which keeps nothing, is not suggested.
        assert!(ids.last().is_some_and(|id| id == "grp"), "{typed}: {ids:?}");
    }
    // Polyethylene terephthalate is another plastic.
    for typed in ["polyethylene", "polythene", "PE"] {
        assert_eq!(offered("material", typed), ["hdpe", "ldpe"], "{typed}");
    }
    assert_eq!(offered("material", "polyester"), ["pet", "petg", "grp"]);
    assert!(offered("material", "metal").contains(&"stainless-steel-316".to_owned()));
    let caps = offered("closure", "plastic cap");
    assert!(caps.iter().any(|id| id == "pp-cap-ptfe") && caps.iter().any(|id| id == "snap-pe"), "{caps:?}");
    // Where the other words name a material, that is suggested.
    assert!(part("material", "acrylc glass").contains("if you mean \"acrylic\""));
    assert!(part("material", "glass fiber").contains("if you mean \"grp\""));
}

#[test]
fn trade_words_are_accepted() {
    for (column, typed) in [
        ("material", "PP"),
        ("material", "stainless steel"),
        ("material", "Pyrex"),
        ("material", "Perspex"),
        ("material", "polymethylpentene"),
        ("material", "fibreglass"),
        ("closure", "Bakelite"),
        ("closure", "foam-PTFE cap"),
        ("closure", "cotton plug"),
        ("closure", "gutta percha"),
    ] {
        assert_eq!(part(column, typed), "", "{typed}");
    }
}

#[test]
fn a_present_fluid_may_be_named_by_its_family() {
    for (typed, id) in
        [("formalin", "formalin-unmeasured"), ("alcohol", "alcohol-unmeasured"), ("spirit", "alcohol-unmeasured")]
    {
        let project = defaults(one_row("current_fluid", typed), STOCK).project();
        let present = project.collection.specimens[0].current_fluid.expect("it is stated");
        assert_eq!(project.rules.fluid(present).id, id, "{typed}");
        assert_eq!(fluid(typed).0, "strength-missing", "{typed} is nothing to be kept in");
    }
    // A project table need not have such rows.
    let project = ReadingCase::survey(one_row("current_fluid", "formalin")).project();
    let present = project.collection.specimens[0].current_fluid.expect("it is stated");
    assert!(project.rules.fluid(present).present_only);
    assert_eq!(project.rules.fluid(present).id, "formalin-unmeasured");
}

#[test]
fn a_tank_or_a_mixture_gets_the_same_suggestions() {
    let rules = default_rules();
    assert_eq!(typed::fluids_meant(&rules, "ethnol 96"), ["ethanol-96"]);
    assert_eq!(typed::fluids_meant(&rules, "ethnol 97"), [""; 0]);
    assert!(typed::fluid(&rules, "alcohol").is_err());
}

#[test]
fn misspelt_headers_are_suggested_and_not_guessed() {
    let survey = "Catalogue No,Length (mm),width_mm,height_mm,fluid,Weight g\nA-1,100,20,30,ethanol-70,12\n";
    let case = ReadingCase::survey(survey);
    let reading = case.read();
    assert!(reading.project.is_none());
    let said: Vec<String> = reading.diagnostics.iter().map(ToString::to_string).collect();
    let said = said.join("\n");
    for cure in [
        "if you mean the column \"Catalogue No\", rename it \"catalogNumber\"",
        "if you mean the column \"Length (mm)\", rename it \"length_mm\"",
        "if you mean \"mass_g\", rename it",
    ] {
        assert!(said.contains(cure), "{cure}\n{said}");
    }
    let stock = "vessel,shape,Bore (cm),inner height,material,closure\nJ-1,cylinder,8,150 mm,soda-lime,pp-cap\n";
    let said: Vec<String> = ReadingCase::stock(stock).read().diagnostics.iter().map(ToString::to_string).collect();
    let said = said.join("\n");
    assert!(said.contains("if you mean the column \"shape\", rename it \"form\""), "{said}");
    assert!(said.contains("if you mean \"inner_diameter_cm\", rename it"), "{said}");
}

#[test]
fn a_word_for_a_priority_or_a_posture_gets_its_own_cure() {
    let case = ReadingCase::survey(one_row("priority", "high"));
    assert_eq!(case.found(), ["specimens.csv:2:26 not-a-priority"]);
    assert!(case.says().contains("→ write 1 for urgent, 2 for this year, 3 for in its turn or 4 for what can wait"));
    for typed in ["5", "0"] {
        let case = ReadingCase::survey(one_row("priority", typed));
        assert!(
            case.says().contains("→ write 1 for urgent, 2 for this year, 3 for in its turn or 4"),
            "{}",
            case.says()
        );
    }
    let case = ReadingCase::survey(one_row("posture", "lying"));
    assert_eq!(case.found(), ["specimens.csv:2:26 unknown-word"]);
    assert!(case.says().contains("write as-set for a body kept as it was fixed"));
}

#[test]
fn a_blank_price_among_others_is_reported_once() {
    let rows = "J-2,cylinder,60,90,soda-lime,pp-cap,\nJ-3,cylinder,50,90,soda-lime,pp-cap,\n";
    let case = ReadingCase::stock(format!("{}{rows}", super::STOCK));
    assert_eq!(case.found(), ["vessels.csv:3:37 blank-price?"]);
    assert!(case.says().contains("2 vessels have no price and will not be ordered, while others have one: J-2, J-3"));
    // Empties on hand that nobody sells need no price; a supplier's do.
    let header = super::STOCK.replace("unit_price", "unit_price,on_hand,supplier").replace("2.50", "2.50,,");
    let shelf =
        |supplier: &str| ReadingCase::stock(format!("{header}J-2,cylinder,60,90,soda-lime,pp-cap,,4,{supplier}\n"));
    assert_eq!(shelf("").found(), [""; 0]);
    assert_eq!(shelf("Alder").found(), ["vessels.csv:3:37 blank-price?"]);
    // A stock list of empties has no prices at all. A vessel marked as not for sale raises no warning.
    let empties = super::STOCK.replace(",2.50", ",").replace(",unit_price", ",on_hand");
    assert_eq!(ReadingCase::stock(empties).found(), [""; 0]);
    let not_for_sale = format!(
        "{}J-2,cylinder,60,90,soda-lime,pp-cap,,0\n",
        super::STOCK.replace("unit_price", "unit_price,order_limit").replace("2.50", "2.50,")
    );
    assert_eq!(ReadingCase::stock(not_for_sale).found(), [""; 0]);
}

#[test]
fn methanol_is_never_taken_for_ethanol() {
    for typed in ["methanol", "80% methanol", "methanl 80", "methyl alcohol 70", "MeOH 70"] {
        let (code, says) = fluid(typed);
        assert_eq!(code, "unknown-fluid", "{typed}");
        assert!(!says.contains("ethanol-") && !says.contains("denatured-"), "{typed}: {says}");
    }
}

#[test]
fn each_reading_of_a_word_is_suggested_with_its_meaning() {
    let (_, says) = fluid("4% formalin");
    let of_stock = says.split_once("if it holds 4 % of stock, ").expect("a reading").1;
    assert!(
        of_stock.starts_with(
            "write sea-water-formalin-4 (Formalin 4 % in sea water) if you mean that, otherwise add a row"
        ),
        "{says}"
    );
    let (_, says) = fluid("seawater formalin");
    for id in ["sea-water-formalin-2 (", "sea-water-formalin-4 (", "sea-water-formalin-5 ("] {
        assert!(says.contains(id), "{id}: {says}");
    }
    assert!(!says.contains("saline"), "{says}");
    let (code, says) = fluid("4% seawater formalin");
    assert!(code.is_empty() || says.contains("sea-water-formalin-4"), "{says}");
    for column in ["fluid", "current_fluid"] {
        let case = match column {
            "fluid" => defaults(SURVEY.replace("ethanol-70", "glutaraldehyde"), STOCK),
            _ => defaults(one_row(column, "glutaraldehyde"), STOCK),
        };
        let says = case.says();
        assert!(says.contains("glutaraldehyde-2 (") && says.contains("glutaraldehyde-4 ("), "{column}: {says}");
    }
    assert_eq!(fluid("RNA-preserving salt solution").0, "");
    // A hazard that holds a lot is recognized before any suggestion.
    assert!(defaults(one_row("current_fluid", "Bouin"), STOCK).says().contains("this is a hazard (picric)"));
}

#[test]
fn a_present_fluid_of_another_strength_is_written_in_two_columns() {
    for (typed, cure) in [
        ("ethanol 72", "write ethanol under current_fluid and 72 under current_strength_pct"),
        ("68 % alcohol", "write alcohol under current_fluid and 68 under current_strength_pct"),
    ] {
        let says = defaults(one_row("current_fluid", typed), STOCK).says();
        assert!(says.contains(cure), "{typed}: {says}");
    }
    assert!(!fluid("ethanol 72").1.contains("current_strength_pct"));
}

#[test]
fn every_family_can_be_named_as_a_present_fluid() {
    for (typed, id) in
        [("oil", "oil-unmeasured"), ("clearing oil", "oil-unmeasured"), ("aqueous", "aqueous-unmeasured")]
    {
        let project = defaults(one_row("current_fluid", typed), STOCK).project();
        let present = project.collection.specimens[0].current_fluid.expect("it is stated");
        assert_eq!(project.rules.fluid(present).id, id, "{typed}");
        assert!(fluid(typed).1.contains("the fluid is not named"), "{typed} is nothing to be kept in");
    }
}

#[test]
fn every_member_of_a_kind_of_closures_or_materials_is_suggested() {
    for typed in ["none", "None", "no lid", "open"] {
        let says = part("closure", typed);
        assert!(says.contains("an open vessel") && !says.contains("cap-"), "{typed}: {says}");
    }
    let says = part("closure", "screw lid");
    for id in ["pp-cap-ptfe", "pp-cap-foamed-pe", "pp-cap-pe-insert", "pp-cap-unlined", "cap-foil-liner", "metal-lid"] {
        assert!(says.contains(id), "{id}: {says}");
    }
    assert!(part("closure", "snap cap").contains("snap-pe"));
    let says = part("closure", "silicone seal");
    assert!(says.contains("plate-silicone") && says.contains("clip-silicone") && !says.contains("bung"), "{says}");
    let says = part("material", "plastic");
    for id in ["polypropylene", "hdpe", "ldpe", "pmp", "acrylic", "polystyrene", "pet", "grp", "polycarbonate"] {
        assert!(says.contains(id), "{id}: {says}");
    }
    for typed in ["crystal", "lead glass", "lead crystal", "quartz"] {
        let says = part("material", typed);
        assert!(says.contains("write a name from materials.csv") && !says.contains("soda"), "{typed}: {says}");
    }
    for typed in ["Bakelite", "phenolic resin", "boro 3.3", "Kimax"] {
        assert_eq!(part("material", typed), "", "{typed}");
    }
}
