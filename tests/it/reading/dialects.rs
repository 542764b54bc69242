//! The same survey in many dialects reads to the same values.

use super::ReadingCase;

#[test]
fn the_same_survey_reads_to_the_same_values_in_every_dialect() {
    let plain = "catalogNumber,scientificName,length_mm,width_mm,height_mm,fluid,mass_g,tank_quote\n\
                 A-1,\"Anguilla, anguilla\",381,25.4,70,ethanol-70,250.5,12.5\nA-2,Ærø,127,50.8,30,unknown,,\n";
    let expected = format!("{:?}", ReadingCase::survey(plain).project().collection);
    let name = "Anguilla, anguilla";
    let separated = |separator: &str, decimal: &str| {
        let bare = plain.replace(&format!("\"{name}\""), "NAME").replace(',', separator);
        bare.replace('.', decimal).replace("NAME", name)
    };
    let semicolon = separated(";", ",");
    let centimetres = plain
        .replace("length_mm", "length_cm")
        .replace("381", "38.1")
        .replace("127", "12.7")
        .replace("width_mm", "Width_IN")
        .replace("25.4", "1")
        .replace("50.8", "2")
        .replace("height_mm", "depth_m")
        .replace(",70,", ",0.07,")
        .replace(",30,", ",0.03,")
        .replace("mass_g", "mass_kg")
        .replace("250.5", "0.2505");
    let in_cells = plain
        .replace("381", "15 in")
        .replace("25.4", "2.54 cm")
        .replace(",70,", ",0.07m,")
        .replace("250.5", "250.5 g")
        .replace("127", "\"5 \"\"\"");
    let darwin_core = plain.replace("catalogNumber", "dwc:CATALOGNUMBER").replace("scientificName", "ScientificName");
    let guarded = plain.replace("A-1", " A-1 ").replace("Ærø", "'Ærø");
    for (name, text) in [
        ("semicolon", semicolon.clone()),
        ("semicolon, stated", format!("sep=;\n{semicolon}")),
        ("tab", separated("\t", ".")),
        ("tab, decimal comma", separated("\t", ",")),
        ("byte-order mark", format!("\u{feff}{plain}")),
        ("CRLF", plain.replace('\n', "\r\n")),
        ("CR", plain.replace('\n', "\r")),
        ("other units", centimetres),
        ("units in the cells", in_cells),
        ("Darwin Core prefix", darwin_core),
    ] {
        let case = ReadingCase::survey(text);
        let mut collection = case.project().collection;
        // A `sep=` line moves the rows down by one and changes nothing else.
        if name.ends_with("stated") {
            collection.specimens.iter_mut().for_each(|specimen| specimen.line -= 1);
        }
        assert_eq!(format!("{collection:?}"), expected, "{name}");
    }
    assert_eq!(
        ReadingCase::survey(guarded).project().collection.specimens[1].name,
        "'Ærø",
        "an apostrophe alone is text"
    );
}

#[test]
fn columns_may_come_in_any_order() {
    let text = "fluid,height_mm,catalogNumber,width_mm,length_mm\nethanol-70,30,A-1,20,100\n";
    assert_eq!(
        format!("{:?}", ReadingCase::survey(text).project().collection),
        format!("{:?}", ReadingCase::new().project().collection)
    );
}
