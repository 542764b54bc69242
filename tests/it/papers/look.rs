//! Colours that everybody can tell apart, drawings with words, tables that print.

use std::collections::BTreeMap;

use rehouse::report::html::page::STYLE;

use super::{demo, papers, planned};

/// The colours at the head of the style sheet, by name.
fn colours() -> BTreeMap<String, [u8; 3]> {
    let root = STYLE.split_once(":root {").expect("colours").1.split_once('}').expect("an end").0;
    let colour = |line: &str| {
        let (name, value) = line.split_once(':')?;
        let hex = value.trim().strip_prefix('#')?;
        let part = |i: usize| u8::from_str_radix(&hex[i..i + 2], 16).expect("hexadecimal");
        Some((name.trim().trim_start_matches("--").to_owned(), [part(0), part(2), part(4)]))
    };
    root.split(';').filter_map(colour).collect()
}

/// Relative luminance, and the contrast ratio of two: W3C, Web Content Accessibility Guidelines 2.2 (2023), definitions
/// "relative luminance" and "contrast ratio".
fn contrast(one: [u8; 3], other: [u8; 3]) -> f64 {
    let luminance = |colour: [u8; 3]| {
        let [r, g, b] = colour.map(|part| {
            let part = f64::from(part) / 255.0;
            if part <= 0.04045 { part / 12.92 } else { ((part + 0.055) / 1.055).powf(2.4) }
        });
        0.2126 * r + 0.7152 * g + 0.0722 * b
    };
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

#[test]
fn contrast_is_computed_as_in_the_guidelines() {
    assert!((contrast([0, 0, 0], [255, 255, 255]) - 21.0).abs() < 1e-9);
    // #767676 is the lightest grey that passes on white: W3C, Understanding SC 1.4.3.
    assert!(contrast([0x76; 3], [255; 3]) >= 4.5 && contrast([0x77; 3], [255; 3]) < 4.5);
}

#[test]
fn text_has_the_contrast_of_4_5_and_lines_that_of_3() {
    let colours = colours();
    for ground in ["paper", "wash"] {
        for text in ["ink", "soft", "fluid"] {
            let ratio = contrast(colours[text], colours[ground]);
            assert!(ratio >= 4.5, "{text} on {ground}: {ratio:.2} (WCAG 2.2, 1.4.3)");
        }
        let ratio = contrast(colours["line"], colours[ground]);
        assert!(ratio >= 3.0, "line on {ground}: {ratio:.2} (WCAG 2.2, 1.4.11)");
    }
}

#[test]
fn headers_of_workbooks_have_the_contrast_of_4_5_too() {
    use rehouse::report::xlsx::{MAY_COLOUR, MUST_COLOUR, READ_COLOUR};
    let parts = |colour: u32| [(colour >> 16) as u8, (colour >> 8) as u8, colour as u8];
    let colours = colours();
    assert!(contrast(parts(MUST_COLOUR), [255; 3]) >= 4.5);
    for ground in [MAY_COLOUR, READ_COLOUR] {
        assert!(contrast([0; 3], parts(ground)) >= 4.5 && contrast(colours["soft"], parts(ground)) >= 4.5);
    }
    assert_eq!([parts(MUST_COLOUR), parts(READ_COLOUR)], [colours["fluid"], colours["wash"]], "one look");
}

#[test]
fn colours_stand_only_at_the_head_of_the_style_sheet() {
    let (project, plan) = planned(&demo());
    let rest = STYLE.split_once('}').expect("colours").1;
    // Three digits or more up to the end of the word: `#decisions` names a section.
    let hex = |part: &str| {
        let word = part.split(|c: char| !c.is_ascii_alphanumeric()).next().unwrap_or_default();
        word.len() >= 3 && word.chars().all(|c| c.is_ascii_hexdigit())
    };
    let literal = rest.split('#').skip(1).find(|part| hex(part));
    assert_eq!(literal, None, "a colour in the style");
    let starter = rehouse::starter::files(&rehouse::intake::default_rules());
    let measure = starter.into_iter().find(|file| file.name == "how-to-measure.html").expect("the page").bytes;
    let measure = String::from_utf8(measure).expect("UTF-8").replace(STYLE, "");
    let literal = measure.split('#').skip(1).find(|part| hex(part));
    assert_eq!(literal, None, "a colour of how-to-measure.html");
    for (name, text) in papers(&project, &plan) {
        let body = text.split_once("</style>").expect("a style").1;
        for word in ["fill=\"", "stroke=\"", "color:", "rgb(", "hsl("] {
            assert!(!body.contains(word), "{name}: {word}");
        }
    }
}

#[test]
fn every_drawing_has_a_title_and_a_description_and_may_not_be_split() {
    let (project, plan) = planned(&demo());
    let report = &papers(&project, &plan)[0].1;
    let drawings: Vec<&str> = report.split("<svg role=\"img\"").skip(1).collect();
    assert!(drawings.len() > 150, "{} drawings", drawings.len());
    for drawing in &drawings {
        let inside = drawing.split_once('>').expect("a tag").1;
        let title = inside.strip_prefix("<title>").expect("a title first").split("</title>").next().unwrap_or_default();
        let description =
            inside.split("<desc>").nth(1).expect("a description").split("</desc>").next().unwrap_or_default();
        assert!(title.len() > 5 && description.len() > 5, "{title}: {description}");
    }
    assert_eq!(
        report.matches("<svg").count(),
        drawings.len() + report.matches("<svg class=\"hidden\" aria-hidden").count()
    );
    assert!(STYLE.contains("figure { margin: 0; break-inside: avoid; }"));
    // A page does not begin with the last line of a caution.
    assert!(STYLE.contains("li { break-inside: avoid; } p, li, dd { orphans: 3; widows: 3; }"));
    assert!(STYLE.contains("thead { display: table-header-group; }"));
    assert!(STYLE.contains("@page {"));
    // Only lists of facts have no header to repeat.
    let tables: Vec<&str> = report.split("<table").skip(1).filter_map(|table| table.split("</table>").next()).collect();
    let headless = tables.iter().filter(|table| !table.contains("<thead>")).count();
    let designs = planned(&demo()).1.tanks.iter().filter(|tank| tank.design.is_some()).count();
    assert!(tables.len() > 30);
    assert_eq!(headless, designs, "only the facts of a tank have no heads of columns");
}
