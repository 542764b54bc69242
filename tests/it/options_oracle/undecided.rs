//! Rows without a decision: held by a hazard, or with an unknown fluid. Implemented again with spaces round words, where the program has
//! an index of words.

use std::collections::BTreeMap;

use crate::random::Random;
use crate::support::TestProject;

/// A table of hazards for these tests: id, aliases, whether it holds the lot.
const HAZARDS: [(&str, &[&str], bool); 4] = [
    ("yellow-powder", &["picric acid", "picrate", "Bouin"], true),
    ("quicksilver", &["mercuric chloride", "sublimate", "Zenker's fluid"], false),
    ("lead", &["lead seal"], false),
    ("old-ether", &["ether", "ethyl ether"], true),
];

/// Texts for the column of hazards.
const WORDS: [&str; 20] = [
    "",
    "",
    "",
    "Yellow powder",
    "picric-acid",
    "PICRIC ACID, dry",
    "picric",
    "picrates",
    "Bouin's fluid",
    "bouin’s",
    "Bouinia",
    "mercuric  chloride",
    "mercuric",
    "Zenker fluid",
    "zenkers fluid",
    "LEAD",
    "leaden",
    "lead-seal",
    "ethyl ether",
    "ethereal",
];
const FLUIDS: [&str; 8] =
    ["ethanol-70", "formalin-10", "unknown", "", "Bouin", "Bouin's, then alcohol", "Zenker's fluid", "lead"];

/// Whether a text names a hazard, by its aliases or, in the column of hazards, by its id too.
fn names(text: &str, (id, aliases, _): &(&str, &[&str], bool), among_hazards: bool) -> bool {
    let spaced = |text: &str| {
        let text = text.to_lowercase().replace('’', "'").replace("'s", " ").replace('\'', "");
        let text: String = text.chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
        format!(" {} ", text.split_whitespace().collect::<Vec<_>>().join(" "))
    };
    let text = spaced(text);
    aliases.iter().any(|alias| text.contains(&spaced(alias))) || (among_hazards && text.contains(&spaced(id)))
}

#[test]
fn rows_with_a_holding_hazard_or_an_unknown_fluid_are_not_decided() {
    let mut random = Random(41);
    let mut survey = "catalogNumber,length_mm,width_mm,height_mm,fluid,current_fluid,hazard\n".to_owned();
    let mut expected: BTreeMap<String, &str> = BTreeMap::new();
    let mut seen: BTreeMap<&str, u32> = BTreeMap::new();
    for row in 0..400 {
        let fluid = random.one(&FLUIDS[..3]);
        let [present, hazard] = [random.one(&FLUIDS[..]), random.one(&WORDS[..])];
        // A name that is neither a fluid nor a hazard would be an input error.
        let known = ["ethanol-70", "formalin-10", "unknown", ""].contains(&present);
        let hazardous = HAZARDS.iter().any(|known| names(present, known, false));
        let present = if known || hazardous { present } else { "" };
        survey += &format!("r-{row},20,10,10,{fluid},\"{present}\",\"{hazard}\"\n");
        let holds = |known: &&(&str, &[&str], bool)| {
            known.2 && (names(hazard, known, true) || names(present, known, false) || names(fluid, known, false))
        };
        let outcome = if HAZARDS.iter().any(|known| holds(&known)) {
            "held"
        } else if fluid == "unknown" {
            "fluid unknown: test first"
        } else if present == "unknown" || !["ethanol-70", "formalin-10", ""].contains(&present) {
            "present fluid unknown: test first"
        } else {
            "on hand"
        };
        *seen.entry(outcome).or_default() += 1;
        expected.insert(format!("r-{row}"), outcome);
    }
    assert!(seen.len() == 4 && seen.values().all(|times| *times >= 20), "{seen:?}");
    let mut hazards = "hazard,aliases,action,words,source\n".to_owned();
    for (id, aliases, held) in HAZARDS {
        let action = if held { "held" } else { "caution" };
        hazards += &format!("{id},{},{action},\"Words on {id}.\",invented\n", aliases.join("|"));
    }
    let stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
                 J,cylinder,50,80,borosilicate,pp-cap-ptfe,400\n";
    let case =
        TestProject::new().file("specimens.csv", survey).file("vessels.csv", stock).file("rules/hazards.csv", hazards);
    let planned = case.planned();
    for (number, outcome) in expected {
        let placed = planned.placement(&number);
        match outcome {
            "held" => {
                assert_eq!(placed["outcome"], "held", "{placed:?}");
                assert!(placed["reason"].ends_with(": not moved; call a specialist"), "{placed:?}");
            }
            "on hand" => assert_eq!(placed["outcome"], "on hand", "{placed:?}"),
            reason => {
                assert_eq!(
                    (placed["outcome"].as_str(), placed["reason"].as_str()),
                    ("needs a decision", reason),
                    "{placed:?}"
                );
            }
        }
    }
}
