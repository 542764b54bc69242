//! Control characters in data never act on a terminal.

use std::path::Path;
use std::process::Command;

use crate::support::TestProject;

/// Sets the title, clears the screen, colours, reverses the direction of the line, deletes, and begins an eight-bit sequence.
const PAYLOAD: &str = "\u{1b}]0;owned\u{7}\u{1b}[2J\u{1b}[31m\u{202e}gpj\u{2066}\u{9b}1A\u{7f}\u{8}";

fn case() -> TestProject {
    let survey = format!(
        "catalogNumber,scientificName,length_mm,width_mm,height_mm,fluid,location,hold,must_use\n\
         A-1{PAYLOAD},Rana{PAYLOAD},40,14,12,ethanol-70,bay{PAYLOAD},,\n\
         A-2,Rana,40,14,12,ethanol-70,,on show{PAYLOAD},\nA-3,Rana,400,140,120,ethanol-70,bay,,\n"
    );
    let stock = format!(
        "vessel,description,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,unit_price,supplier,order_code\n\
         jar{PAYLOAD},a jar{PAYLOAD},cylinder,60,110,borosilicate,pp-cap-ptfe,0,3.00,Alder{PAYLOAD},X{PAYLOAD}\n"
    );
    TestProject::new()
        .file("specimens.csv", survey)
        .file("vessels.csv", stock)
        .file("settings.toml", "currency = \"kr\\u001b[31m\\u202e\"\n")
}

fn acts(text: &str) -> Option<char> {
    text.chars().find(|c| {
        (c.is_control() && !matches!(c, '\n' | '\t'))
            || matches!(c, '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    })
}

#[test]
fn control_characters_in_data_and_names_are_shown_as_text() {
    let case = case();
    let project = case.project();
    let out = case.out().with_file_name(format!("out{}", PAYLOAD.replace('/', "")));
    let key = format!("A-1{PAYLOAD}");
    let missing = case.out().with_file_name("no\u{1b}[31msuch");
    let runs: [&[&Path]; 9] = [
        &["check".as_ref(), &project],
        &["plan".as_ref(), &project, "--out".as_ref(), &out],
        &["plan".as_ref(), &project, "--format".as_ref(), "json".as_ref()],
        &["check".as_ref(), &project, "--format".as_ref(), "json".as_ref()],
        &["audit".as_ref(), &out],
        &["why".as_ref(), key.as_ref(), "--in".as_ref(), &project],
        &["why".as_ref(), "A-1\u{1b}[31m".as_ref(), "--in".as_ref(), &project],
        &["plan".as_ref(), &missing],
        &["plan".as_ref(), &project, "--set".as_ref(), "bud\u{1b}[31mget=1".as_ref()],
    ];
    for arguments in runs {
        for color in ["never", "auto"] {
            let output = Command::new(env!("CARGO_BIN_EXE_rehouse"))
                .args(arguments)
                .args(["--color", color])
                .env("COLUMNS", "100")
                .output()
                .expect("it runs");
            for bytes in [&output.stdout, &output.stderr] {
                let text = String::from_utf8_lossy(bytes);
                assert_eq!(acts(&text), None, "{arguments:?}: {text:?}");
            }
            assert!(output.status.code().is_some_and(|code| code < 3), "{arguments:?}: {:?}", output.status);
        }
    }
    let shown = TestProject::run(&["why".as_ref(), key.as_ref(), "--in".as_ref(), project.as_path()]);
    assert!(shown.stdout.contains("\\u001b"), "{}", shown.stdout);
}

#[test]
fn errors_that_quote_data_colour_only_the_programs_own_text() {
    let survey = format!("catalogNumber,length_mm,width_mm,height_mm,fluid\nA-1,4{PAYLOAD},14,12,e{PAYLOAD}\n");
    let case = case().file("specimens.csv", survey);
    let output = Command::new(env!("CARGO_BIN_EXE_rehouse"))
        .arg("check")
        .arg(case.project())
        .args(["--color", "always"])
        .output()
        .expect("it runs");
    let text = String::from_utf8_lossy(&output.stderr).into_owned();
    let own = ["\u{1b}[0m", "\u{1b}[1m", "\u{1b}[31m", "\u{1b}[33m", "\u{1b}[36m"];
    let rest = own.iter().fold(text.clone(), |text, own| text.replace(own, ""));
    assert_eq!(acts(&rest), None, "{rest:?}");
    assert_eq!(output.status.code(), Some(1));
}
