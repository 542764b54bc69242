//! Values that are too large, too long or contradictory are refused with their limit.

use std::time::{Duration, Instant};

use rehouse::settings::Settings;
use rehouse::settings::limits::most;
use toml::Value;

use super::{ReadingCase, STOCK, SURVEY, found};

/// Keys of settings that take a number.
fn numbers() -> impl Iterator<Item = &'static str> {
    Settings::KEYS.iter().copied().filter(|key| {
        let takes = |value: f64| matches!(Settings::default().set(key, &Value::Float(value)), Some(Ok(())));
        let takes_whole = matches!(Settings::default().set(key, &Value::Integer(5)), Some(Ok(())));
        takes(5.0) || takes(0.05) || takes(37.0) || takes_whole
    })
}

fn setting(key: &str, value: &str) -> ReadingCase {
    match key.split_once('.') {
        Some((section, name)) => ReadingCase::settings(&format!("[{section}]\n{name} = {value}\n")),
        None => ReadingCase::settings(&format!("{key} = {value}\n")),
    }
}

#[test]
fn every_numeric_setting_has_a_maximum_which_the_error_names() {
    let keys: Vec<&str> = numbers().collect();
    assert!(keys.len() > 80, "{}", keys.len());
    for key in keys {
        let above = most(key) * 1.01 + 1.0;
        for value in [format!("{}", above.ceil() as i64), format!("{above:.1}"), "1e300".to_owned()] {
            let case = setting(key, &value);
            let codes = case.found();
            assert!(codes[0].ends_with(" wrong-setting"), "{key} = {value}: {codes:?}");
            let cure = case.read().diagnostics[0].cure.as_ref().expect("a cure").to_string();
            assert!(
                cure.contains(|c: char| c.is_ascii_digit()) || cure.contains("whole number"),
                "{key} = {value}: {cure}"
            );
        }
        let below = setting(key, "-1").found();
        assert!(below[0].ends_with(" wrong-setting"), "{key} = -1: {below:?}");
    }
}

#[test]
fn settings_that_limit_each_other_are_compared() {
    for (lines, said) in [
        ("[clearance]\nwall_min_mm = 12", "clearance.wall_min_mm is 12, above clearance.wall_max_mm, which is 10"),
        ("[clearance]\nwall_max_mm = 0.2", "clearance.wall_min_mm is 0.5, above clearance.wall_max_mm, which is 0.2"),
        ("[clearance]\nmouth_min_mm = 12", "clearance.mouth_min_mm is 12"),
        ("[clearance]\ncover_min_mm = 12", "clearance.cover_min_mm is 12"),
        ("[tissue]\nhigh_box = 0.1", "tissue.low is 0.2, above tissue.high_box, which is 0.1"),
        ("[tissue]\nhigh_rounded = 0.1", "tissue.low is 0.2, above tissue.high_rounded, which is 0.1"),
        ("[tissue]\nshare_pct = 2", "tissue.very_loose_pct is 3, above tissue.share_pct, which is 2"),
    ] {
        let case = ReadingCase::settings(lines);
        assert_eq!(
            case.found(),
            [format!("settings.toml:2:{} wrong-setting", lines.split('\n').nth(1).unwrap().find('=').unwrap() + 3)]
        );
        assert!(case.says().contains(said), "{}", case.says());
    }
    found(ReadingCase::settings("[tissue]\nlow = 99.9\n"), &["settings.toml:2:7 wrong-setting"]);
    found(ReadingCase::settings("[tissue]\nshare_pct = 101\n"), &["settings.toml:2:13 wrong-setting"]);
    found(ReadingCase::settings("[labels]\nwidth_mm = 1000000000\n"), &["settings.toml:2:12 wrong-setting"]);
}

fn quickly<T>(work: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let made = work();
    assert!(start.elapsed() < Duration::from_secs(10), "{:?}", start.elapsed());
    made
}

#[test]
fn a_cell_of_any_length_is_refused_and_not_looked_up() {
    let long = "x".repeat(10_000_000);
    for (survey, stock) in [
        (SURVEY.replace("ethanol-70", &long), STOCK.to_owned()),
        (SURVEY.replace("100", &long), STOCK.to_owned()),
        (SURVEY.to_owned(), STOCK.replace("soda-lime", &long)),
        (SURVEY.to_owned(), STOCK.replace("pp-cap", &long)),
        (SURVEY.replace("\nA", ",must_use\nA").replace("70\n", &format!("70,{long}\n")), STOCK.to_owned()),
    ] {
        let case = ReadingCase::survey(survey).with("vessels.csv", stock);
        let found = quickly(|| case.found());
        assert!(found.iter().any(|found| found.ends_with(" too-large")), "{found:?}");
        assert!(case.read().diagnostics.iter().all(|found| found.to_string().len() < 1000));
    }
}

/// Names that differ from one another, each with a misspelling of a name from a table.
fn misspelt(n: usize, name: &str) -> impl Iterator<Item = (usize, String)> {
    (0..n).map(move |i| {
        (i, format!("{name} {}", ["q", "w", "x", "y"].map(|letter| letter.repeat(1 + i % 3)).concat() + &i.to_string()))
    })
}

fn of_code(case: &ReadingCase, code: &str) -> usize {
    case.found().iter().filter(|found| found.ends_with(code)).count()
}

#[test]
fn help_with_many_misspelt_names_is_quick() {
    let fluids: String = misspelt(5_000, "ethanl").map(|(i, name)| format!("F{i},100,20,30,{name}\n")).collect();
    let case = ReadingCase::survey(format!("catalogNumber,length_mm,width_mm,height_mm,fluid\n{fluids}"));
    assert_eq!(quickly(|| of_code(&case, " unknown-fluid")), 5_000);
    let vessels: String =
        (0..3_000).map(|i| format!("Jar-{i:012},cylinder,80,150,soda-lime,pp-cap-ptfe,1\n")).collect();
    let pins: String = (0..4_000).map(|i| format!("P{i},100,20,30,ethanol-70,Jra-{i:012}\n")).collect();
    let case = ReadingCase::survey(format!("catalogNumber,length_mm,width_mm,height_mm,fluid,must_use\n{pins}")).with(
        "vessels.csv",
        format!("vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n{vessels}"),
    );
    assert_eq!(quickly(|| of_code(&case, " unknown-vessel")), 4_000);
}

#[test]
fn a_name_longer_than_any_listed_is_not_looked_up() {
    let long = "soda-lime".repeat(20);
    let case = ReadingCase::stock(STOCK.replace("soda-lime", &long));
    assert!(case.says().contains("write a name from materials.csv"), "{}", case.says());
}

#[test]
fn more_than_20_000_columns_are_refused() {
    let many: String = (0..20_001).map(|n| format!(",c{n}")).collect();
    let case = ReadingCase::survey(SURVEY.replacen('\n', &format!("{many}\n"), 1));
    assert_eq!(quickly(|| case.found())[0], "specimens.csv:1 too-large");
    assert!(case.read().diagnostics[0].to_string().contains("20006 columns"), "{:?}", case.read().diagnostics[0]);
}

#[test]
fn a_settings_file_above_the_size_limit_is_refused() {
    let case = ReadingCase::settings(&format!("# {}\nbudget = 5\n", "x".repeat(11_000_000)));
    assert_eq!(quickly(|| case.found()), ["settings.toml too-large"]);
}

#[test]
fn a_name_that_is_a_text_is_told_by_its_start() {
    let long = "spare_pct".repeat(400);
    let headed = SURVEY.replace("fluid", &long);
    for case in [
        ReadingCase::new().with("specimens.csv", headed.as_str()),
        ReadingCase::settings(&format!("{long} = []\n")),
        ReadingCase::settings(&format!("[{long}]\nx = 1\n")),
        ReadingCase::settings(&format!("[defaults]\n{long} = \"x\"\n")),
        ReadingCase::settings(&format!("[fluid_price]\n{long} = 3\n")),
        ReadingCase::settings(&format!("[containers]\n{long} = \"1=9\"\n")),
        ReadingCase::settings(&format!("[disposal_price]\n{long} = 3\n")),
        ReadingCase::settings(&format!("[tank]\nlid = \"{long}\"\nlid_supports_walls = true\nmaterial = \"{long}\"\n")),
    ] {
        let reading = case.read();
        assert!(!reading.diagnostics.is_empty());
        for found in reading.diagnostics {
            let text = found.to_string();
            assert!(text.len() < 1500, "{} bytes: {text:.300}", text.len());
        }
    }
}
