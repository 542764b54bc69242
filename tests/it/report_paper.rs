//! report.html: well-formed, whole, its figures the plan's, nothing run, nothing fetched, legible.

use std::fs;

use quick_xml::Reader;
use quick_xml::events::Event;

use super::support::{Case, Planned};

const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,mouth_diameter_mm,body_height_mm,material,closure,on_hand,\
                     unit_price,supplier,description\n\
                     JAR<70>,cylinder,70,120,60,100,borosilicate,pp-cap-ptfe,2,4.50,\"Alder & \"\"Sons\"\"\",a <b>jar</b>\n\
                     JAR-30,cylinder,30,60,,,borosilicate,pp-cap-ptfe,,1.25,Birch,\n";
const SURVEY: &str = "catalogNumber,scientificName,length_mm,width_mm,height_mm,outline,posture,fluid,hold,location\n\
                      A-1,<script>alert(1)</script>,60,20,20,rounded,either,ethanol-70,,\"Bay \"\"1\"\"\"\n\
                      A-2,O'Brien & <i>Sons</i>,80,40,40,box,either,formalin-10,,\n\
                      A-3,Natrix natrix,500,12,12,rounded,coil,ethanol-70,,\n\
                      A-4,too long for any,300,15,15,box,upright,ethanol-70,,\n\
                      A-5,big,300,120,90,box,as-set,formalin-10,,\n\
                      A-6,kept,20,10,10,box,either,ethanol-70,\"on <show>\",\n\
                      A-7,small,20,10,10,box,either,ethanol-70,,\n\
                      A-8,small,21,10,10,box,either,ethanol-70,,\n";

fn case() -> Case {
    Case::new()
        .file("specimens.csv", SURVEY)
        .file("vessels.csv", STOCK)
        .file("settings.toml", "currency = \"cr<owns\"\nbudget = 900\n")
}

/// A plan and the text of its report.
fn reported() -> (Planned, String) {
    let case = case();
    let planned = case.planned();
    let html = fs::read_to_string(case.out().join("report.html")).expect("report.html");
    (planned, html)
}

#[test]
fn every_element_is_closed_where_it_was_opened() {
    let (_, html) = reported();
    let mut reader = Reader::from_str(&html);
    reader.config_mut().check_end_names = true;
    let mut open = Vec::new();
    loop {
        match reader.read_event().unwrap_or_else(|error| panic!("at {}: {error}", reader.error_position())) {
            Event::Start(element) => open.push(format!("{:?}", element.name())),
            Event::End(_) => drop(open.pop()),
            Event::Eof => break,
            _ => {}
        }
    }
    assert_eq!(open, Vec::<String>::new());
    assert_eq!(html.matches("<svg role=\"img\"").count(), html.matches("<title>").count() - 1);
    assert_eq!(html.matches("<title>").count() - 1, html.matches("<desc>").count());
}

#[test]
fn what_a_person_typed_is_shown_and_never_run() {
    let (_, html) = reported();
    for typed in ["<script", "<show>", "<b>jar", "JAR<70>", "cr<owns", "<i>Sons"] {
        assert!(!html.contains(typed), "{typed} stands in the page as it was typed");
    }
    for shown in
        ["&lt;script&gt;alert(1)&lt;/script&gt;", "JAR&lt;70&gt;", "O&#39;Brien &amp; &lt;i&gt;Sons", "cr&lt;owns"]
    {
        assert!(html.contains(shown), "{shown} is not shown");
    }
}

#[test]
fn nothing_comes_from_elsewhere() {
    let (_, html) = reported();
    for reference in ["http", "src=", "@import", "<link", "<iframe", "javascript:", "onload"] {
        assert!(!html.contains(reference), "{reference}");
    }
    let outside = html.match_indices("url(").filter(|(at, _)| !html[*at..].starts_with("url(#"));
    assert_eq!(outside.count(), 0);
}

#[test]
fn its_figures_are_the_plans() {
    let (planned, html) = reported();
    let figure = |what: &str, number: f64| format!("<dt>{what}</dt><dd>{number}</dd>");
    for (what, total) in [
        ("placed", "placed"),
        ("into vessels on hand", "on_hand"),
        ("into vessels to order", "order"),
        ("into custom tanks", "custom_tank"),
        ("deferred", "deferred"),
        ("need a decision", "needs_decision"),
        ("held, not to be moved", "held"),
    ] {
        assert!(html.contains(&figure(what, planned.total(total))), "{what}: {}", planned.total(total));
    }
    assert!(html.contains(&format!("Money: {:.2} cr&lt;owns", planned.total("money"))));
    assert!(html.contains(&format!("Fluid in vessels: {} l", planned.total("litres"))));
    for row in &planned.placements {
        assert!(html.contains(&row["catalogNumber"]), "{} is not in it", row["catalogNumber"]);
    }
    for section in ["Orders", "Into vessels", "Custom tanks", "Not placed", "Fluid", "Cautions", "What this rests on"] {
        assert!(html.contains(&format!("<h2>{section}</h2>")), "no section {section}");
    }
    for drawn in ["Near misses", "Cut list", "Tissue shares"] {
        assert!(html.contains(drawn), "no {drawn}");
    }
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    assert_eq!(reported().1, reported().1);
}

/// Contrast of two colours (Web Content Accessibility Guidelines 2.1, W3C 2018: relative luminance, contrast ratio).
fn contrast(one: &str, other: &str) -> f64 {
    let luminance = |colour: &str| {
        let full: String = match colour.len() {
            3 => colour.chars().flat_map(|c| [c, c]).collect(),
            _ => colour.to_owned(),
        };
        let part = |at: usize| {
            let value = f64::from(u8::from_str_radix(&full[at..at + 2], 16).expect("a colour")) / 255.0;
            if value <= 0.03928 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * part(0) + 0.7152 * part(2) + 0.0722 * part(4)
    };
    let (a, b) = (luminance(one), luminance(other));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn words_stand_out_from_their_ground() {
    assert!((contrast("fff", "000") - 21.0).abs() < 1e-9);
    let css = fs::read_to_string("src/report/html/report.css").expect("the style");
    let colours: Vec<&str> = css.split("; ").flat_map(|part| part.split("{ ")).collect();
    let words = colours.iter().filter_map(|part| part.trim().strip_prefix("color: #"));
    let words: Vec<&str> = words.map(|colour| colour.split([';', ' ', '}']).next().unwrap_or(colour)).collect();
    assert!(words.len() >= 5, "{words:?}");
    for word in words {
        // The page's own ground, and that of the fluid in a drawing.
        for ground in ["fff", "d6e4e3"] {
            assert!(contrast(word, ground) >= 4.5, "#{word} on #{ground}: {:.2}", contrast(word, ground));
        }
    }
}

#[test]
fn papers_are_written_only_where_they_are_wanted() {
    let case = case();
    let out = case.out();
    let ran = Case::run(&[
        "plan".as_ref(),
        case.project().as_ref(),
        "--out".as_ref(),
        out.as_ref(),
        "--papers".as_ref(),
        "none".as_ref(),
    ]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let names = fs::read_dir(&out).expect("the folder").map(|entry| entry.expect("an entry").file_name());
    let mut names: Vec<String> = names.map(|name| name.into_string().expect("a name")).collect();
    names.sort();
    assert!(names.iter().all(|name| name.ends_with(".csv") || name == "plan.json" || name == "inputs"), "{names:?}");
}
